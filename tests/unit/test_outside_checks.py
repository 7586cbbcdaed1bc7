"""The page of all outside checks is what the command writes, and a check cannot be empty."""

from __future__ import annotations

from pathlib import Path

import pytest

from outside import Check, Exhibit, judge, named
from outside_checks import page

PAGE = Path(__file__).parents[2] / "docs" / "outside_checks.md"


def test_page_is_fresh() -> None:
    assert PAGE.read_text(encoding="utf-8") == page()


def _exhibit(*checks: Check) -> Exhibit:
    return Exhibit("hand", "arithmetic", "exact", checks)


def test_a_check_fails_beyond_its_tolerance() -> None:
    near = Check("two", 2.0, "m", lambda: 2.01, rel=0.005)
    far = Check("two", 2.0, "m", lambda: 2.02, rel=0.005)
    judge(_exhibit(near), near)
    with pytest.raises(AssertionError, match="allowed ±0"):
        judge(_exhibit(far), far)


def test_what_a_check_must_have() -> None:
    with pytest.raises(ValueError, match="tolerance"):
        Check("two", 2.0, "m", lambda: 2.0)
    with pytest.raises(ValueError, match="source"):
        Exhibit("hand", "", "exact", (Check("two", 2.0, "m", lambda: 2.0, abs=1e-9),))
    twice = Check("two", 2.0, "m", lambda: 2.0, abs=1e-9)
    with pytest.raises(ValueError, match="two checks"):
        named([_exhibit(twice, twice)])
