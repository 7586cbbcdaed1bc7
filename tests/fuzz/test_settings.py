"""The lengths of fuzzing hold in this folder."""

from __future__ import annotations

from hypothesis import settings

AT_IMPORT = settings().max_examples


def test_the_lengths_hold_here() -> None:
    assert settings.get_current_profile_name() in ("fuzz-short", "fuzz-long")
    assert settings().max_examples == AT_IMPORT
