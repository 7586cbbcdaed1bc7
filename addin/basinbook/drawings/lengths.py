"""Lengths and scales as a drawing states them: feet and inches to 1/16 in, or mm."""

from __future__ import annotations

from typing import Final

from basinbook.units import tape_mark, tape_words

INCH: Final = 0.0254

# The architect's scales: inches on paper to a foot (common practice, no source).
US_SCALES: Final[dict[int, str]] = {
    1: "Full size",
    2: '6" = 1\' 0"',
    4: '3" = 1\' 0"',
    8: '1 1/2" = 1\' 0"',
    12: '1" = 1\' 0"',
    16: '3/4" = 1\' 0"',
    24: '1/2" = 1\' 0"',
    32: '3/8" = 1\' 0"',
    48: '1/4" = 1\' 0"',
    64: '3/16" = 1\' 0"',
    96: '1/8" = 1\' 0"',
    128: '3/32" = 1\' 0"',
    192: '1/16" = 1\' 0"',
    384: '1/32" = 1\' 0"',
}
# ISO 5455 reduction scales, the 25 and 75 of the usual metric scale rule, and steps between.
METRIC_SCALES: Final = (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500)

UNITS_NOTE: Final[dict[str, str]] = {
    "us": "Feet and inches, to 1/16 in",
    "metric": "Millimetres",
}


def length_text(length: float, system: str) -> str:
    """Return a length [m] as ``4' 2 1/2"`` (us, to the nearest 1/16 in) or ``1270`` (metric, mm).

    A half of either is kept where a length has one: 1/32 in, 442.5 mm. A us length under one foot
    has inches only.
    """
    return tape_mark(length, system)


def length_with_unit(length: float, system: str) -> str:
    """Return a length [m] as words in a label use it: ``4' 2 1/2"`` or ``1270 mm``."""
    return tape_words(length, system)


def scales(system: str) -> tuple[int, ...]:
    """Return the standard scales 1:n of a unit system, the largest drawing first."""
    return METRIC_SCALES if system == "metric" else tuple(US_SCALES)


def scale_text(scale: int, system: str) -> str:
    """Return a scale as the title block shows it."""
    if system == "metric" or scale not in US_SCALES:
        return f"1:{scale}"
    return f"{US_SCALES[scale]} (1:{scale})"
