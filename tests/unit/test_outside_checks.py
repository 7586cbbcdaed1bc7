"""The page of all outside checks is what the command writes, and a check cannot be empty."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from outside import Check, Exhibit, judge, named
from outside_checks import modules, page

PAGE = Path(__file__).parents[2] / "docs" / "outside_checks.md"
# Addresses that a source may have: governments and bodies that make standards.
ADDRESS = re.compile(r"\b(?:[\w-]+\.)+(?:com|net|org|info|io|co|biz|edu|gov|mil|int|tk)\b")
ALLOWED = re.compile(r"(?:^|\.)(?:gov|mil|int|iso\.org|astm\.org|bipm\.org|iapws\.org|fao\.org)$")
NOT_A_SOURCE = re.compile(r"wikipedia|calculator|homework|quiz|tutorial|forum|blog|scribd", re.I)


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


def _exhibits() -> Iterator[tuple[str, Exhibit]]:
    for subject, module in modules().items():
        for exhibit in getattr(module, "OUTSIDE", ()):
            yield subject, exhibit


def _may_be_cited(source: str) -> bool:
    addresses = ADDRESS.findall(source.lower())
    return all(ALLOWED.search(each) for each in addresses) and not NOT_A_SOURCE.search(source)


def test_sources_are_standards_books_or_governments() -> None:
    assert not [
        f"{subject}, {exhibit.title}: {exhibit.source}"
        for subject, exhibit in _exhibits()
        if not _may_be_cited(exhibit.source) or len(exhibit.source.strip()) < len("by hand")
    ]


@pytest.mark.parametrize(
    ("source", "may"),
    [
        ("NIST SP 811, physics.nist.gov", True),
        ("ISO 1438:2017, www.iso.org", True),
        ("weirs.example.com, table of flows", False),
        ("Wikipedia, weir", False),
    ],
)
def test_which_sources_may_be_cited(source: str, may: bool) -> None:
    assert _may_be_cited(source) == may


def test_every_check_can_fail() -> None:
    """A value moved by three times its tolerance, either way, is a failure."""
    held = []
    for subject, exhibit in _exhibits():
        for check in exhibit.checks:
            ours, allowed = check.ours(), check.allowed
            for way in (-3.0, 3.0):
                moved = replace(
                    check,
                    value=check.value + way * allowed,
                    rel=0.0,
                    abs=allowed,
                    ours=lambda ours=ours: ours,  # type: ignore[misc]
                )
                try:
                    judge(exhibit, moved)
                except AssertionError:
                    continue
                held.append(f"{subject}, {check.what}")
    assert not held


def test_titles_of_a_subject_differ() -> None:
    for subject, module in modules().items():
        titles = [exhibit.title for exhibit in getattr(module, "OUTSIDE", ())]
        assert len(titles) == len(set(titles)), subject
