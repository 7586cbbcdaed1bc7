"""What of a formula's result a cell holds, and how an array fills its cells."""

from __future__ import annotations

import math

from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import MOST_TEXT
from basinbook.evaluation.values import NA, NUM, VALUE, Given


def as_result(value: Value) -> Value:
    """Return a formula's result as a cell can hold it."""
    if value is None:
        return 0
    if isinstance(value, float) and not math.isfinite(value):
        return NUM
    if isinstance(value, str):
        return value if len(value) <= MOST_TEXT else VALUE
    return value


def spread(given: Given, down: int, right: int, *, blank_beyond: bool) -> Value:
    """Return what an array formula's result puts into one of its cells.

    As in a spreadsheet, one row or column is repeated, and other cells beyond the result show
    #N/A; with ``blank_beyond`` they are blank.
    """
    if not isinstance(given, list):
        return given
    height, width = len(given), len(given[0])
    if not blank_beyond or height == width == 1:
        down, right = (0 if height == 1 else down), (0 if width == 1 else right)
    if down < height and right < width:
        return given[down][right]
    return "" if blank_beyond else NA
