"""What fuzzing sets for itself does not reach the property tests."""

from __future__ import annotations

from hypothesis import settings

AT_IMPORT = settings().max_examples


def test_property_tests_keep_the_usual_number_of_cases() -> None:
    assert AT_IMPORT == 100
    assert settings().max_examples == 100
