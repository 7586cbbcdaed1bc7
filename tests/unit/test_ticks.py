"""Limits in messages: what they show may be typed, in either unit."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as some

from basinbook.engine.layout.ticks import at_least, at_most, ticks


def _typed(words: str) -> tuple[int, int]:
    """The length in ticks as its inches and as its millimetres are typed (25.4 mm are 1 in)."""
    found = re.fullmatch(r"at (?:most|least) ([0-9.]+) in \(([0-9.]+) mm\)", words)
    assert found
    return ticks(float(found[1]) * 0.0254), ticks(float(found[2]) / 1000.0)


@given(some.integers(0, 60_000_000))
def test_a_limit_may_be_typed_as_it_is_shown(length: int) -> None:
    # A length that is typed is taken to the nearest 1/320 mm, which is 12 ticks.
    assert all(typed <= length + 6 for typed in _typed(at_most(length)))
    assert all(typed >= length - 6 for typed in _typed(at_least(length)))


@pytest.mark.parametrize("inches", [1, 2.5, 13, 6.625])
def test_a_limit_in_whole_thousandths_is_shown_as_it_is(inches: float) -> None:
    length = ticks(inches * 0.0254)
    assert at_most(length).startswith(f"at most {inches:g} in (")
    assert at_least(length).startswith(f"at least {inches:g} in (")
