"""Lengths as whole ticks, so that inches and millimetres are both exact."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor
from typing import Final

LATTICE: Final = 12
"""Inputs are whole multiples of this, so that 2, 3 or 4 equal pieces come out in whole ticks."""

PER_MM: Final = 320 * LATTICE
"""1/320 mm is 1/127 of 1/64 in: whole millimetres and whole 64ths of an inch are both exact."""


_PER_METRE: Final = PER_MM * 1000.0
_HAIR: Final = 1e-6


def ticks(metres: float) -> int:
    """Return a length [m] in ticks, rounded to the nearest 1/320 mm."""
    return round(metres * 320_000.0) * LATTICE


def metres(length: int) -> float:
    """Return a length in ticks as metres."""
    return length / _PER_METRE


def twice(metres: float) -> int:
    """Return twice a length [m] that was reckoned in ticks, in ticks: middles are half ticks."""
    return round(2.0 * metres * _PER_METRE)


def text(length: int) -> str:
    """Return a length in ticks as text in inches and millimetres, for messages."""
    return _shown(length / PER_MM / 25.4, length / PER_MM)


def at_most(length: int) -> str:
    """Return a highest value in words: rounded down, so that it may be typed in either unit."""
    return f"at most {_to_whole(length, lambda number: floor(number + _HAIR))}"


def at_least(length: int) -> str:
    """Return a lowest value in words: rounded up, so that it may be typed in either unit."""
    return f"at least {_to_whole(length, lambda number: ceil(number - _HAIR))}"


def _to_whole(length: int, whole: Callable[[float], int]) -> str:
    inches, millimetres = length / PER_MM / 25.4, length / PER_MM
    return _shown(whole(1000.0 * inches) / 1000.0, whole(10.0 * millimetres) / 10.0)


def _shown(inches: float, millimetres: float) -> str:
    shown = [f"{inches:.3f}", f"{millimetres:.1f}"]
    return " in (".join(one.rstrip("0").rstrip(".") for one in shown) + " mm)"


def as_typed(length: int) -> list[int]:
    """Return the lengths that are typed for one in ticks where a message shows it, in either unit.

    Mostly one: the text is rounded only where a length has more decimals than it shows.
    """
    inches, millimetres = length / PER_MM / 25.4, length / PER_MM
    return sorted({ticks(round(inches, 3) * 0.0254), ticks(round(millimetres, 1) / 1000.0)})
