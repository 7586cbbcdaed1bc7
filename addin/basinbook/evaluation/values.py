"""What a formula computes with: values, rows of values, and turning one kind into another.

Spreadsheets hold a number to 15 digits where they round, compare or write it out: 1.1*3-0.3 is
3, so rounding it up gives 3 and not 4. That decides how many packs are ordered. Meanings follow
OpenFormula (OASIS OpenDocument 1.2 part 2); the tests compare them with LibreOffice.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import chain
from typing import Any, Final

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import MOST_TEXT, spend

Rows = list[list[Value]]
"""The values of a range or array, row by row; all rows are of one length."""
Given = Value | Rows

DIV: Final = CellError("#DIV/0!")
NA: Final = CellError("#N/A")
NULL: Final = CellError("#NULL!")
NUM: Final = CellError("#NUM!")
REF: Final = CellError("#REF!")
VALUE: Final = CellError("#VALUE!")

_NUMBER_TEXT: Final = re.compile(
    r"(?P<sign>[+-]?)[$€£]?(?P<whole>\d{1,3}(?:,\d{3})+|\d*)(?P<part>\.\d*)?"
    r"(?P<power>[eE][+-]?\d{1,3})?(?P<percent>%?)",
    re.ASCII,
)
_FRACTION_TEXT: Final = re.compile(
    r"(?P<sign>[+-]?)(?P<whole>\d{1,15}) (?P<top>\d{1,15})/(?P<bottom>\d{1,15})", re.ASCII
)


class Fault(Exception):  # noqa: N818 - a result in a cell, not a failure
    """Ends a function with an error value as its result."""

    def __init__(self, error: CellError) -> None:
        super().__init__(error.text)
        self.error = error


def is_number(value: object) -> bool:
    """Return whether a value is a number and no truth value."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def snapped(value: float) -> float:
    """Return a number to 15 significant digits."""
    if not math.isfinite(value) or value == int(value):
        return value
    return float(f"{value:.15g}")


def number(value: Value) -> float:
    """Return a value as a number; raises Fault."""
    if type(value) is float:
        return value
    if isinstance(value, (int, float)):
        return float(value)
    if value is None:
        return 0.0
    if isinstance(value, CellError):
        raise Fault(value)
    found = text_number(value)
    if found is None:
        raise Fault(VALUE)
    return found


def whole(value: Value) -> int:
    """Return a value as a whole number, cut; raises Fault."""
    found = number(value)
    if not abs(found) < 1e15:
        raise Fault(NUM)
    return int(found)


def text(value: Value) -> str:
    """Return a value as a spreadsheet joins it to a text; raises Fault."""
    if isinstance(value, str):
        return value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, CellError):
        raise Fault(value)
    return number_text(float(value))


def truth(value: Value) -> bool:
    """Return a value as a truth value; raises Fault."""
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        if value.upper() in ("TRUE", "FALSE"):
            return value.upper() == "TRUE"
        raise Fault(VALUE)
    return number(value) != 0.0


def number_text(value: float) -> str:
    """Return a number in at most 15 digits, as ``&`` writes it."""
    if not math.isfinite(value):
        raise Fault(NUM)
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    digits = f"{value:.15g}"
    if "e" not in digits:
        return digits
    mantissa, _, power = digits.partition("e")
    if -10 < int(power) < 0:
        return f"{Decimal(digits):f}"
    return f"{mantissa}E{power}"


def text_number(value: str) -> float | None:
    """Return the number that a text such as "1,234.5", "5%" or "1 1/2" is, if it is one."""
    plain = value.strip()
    if (match := _FRACTION_TEXT.fullmatch(plain)) and int(match["bottom"]):
        found = int(match["whole"]) + int(match["top"]) / int(match["bottom"])
        return -found if match["sign"] == "-" else found
    match = _NUMBER_TEXT.fullmatch(plain)
    if match is None or not (match["whole"] or (match["part"] or ".") != "."):
        return None
    digits = match["whole"].replace(",", "") + (match["part"] or "") + (match["power"] or "")
    found = float(match["sign"] + digits)
    return found / 100.0 if match["percent"] else found


def checked_text(found: str) -> str:
    """Return a text that a cell can hold; raises Fault where it is too long."""
    if len(found) > MOST_TEXT:
        raise Fault(VALUE)
    return found


def order_key(value: Value) -> tuple[int, Any]:
    """Return what values are sorted and compared by: numbers, then texts, then truth values."""
    if isinstance(value, bool):
        return 2, value
    if isinstance(value, str):
        return 1, value.upper()
    if isinstance(value, CellError):
        return 3, value.text
    return 0, 0.0 if value is None else snapped(float(value))


def _blank_like(value: Value) -> Value:
    if isinstance(value, str):
        return ""
    return False if isinstance(value, bool) else 0


def compared(first: Value, second: Value) -> tuple[tuple[int, Any], tuple[int, Any]]:
    """Return the keys of two values; a blank is whatever blank or zero the other one is."""
    for value in (first, second):
        if isinstance(value, CellError):
            raise Fault(value)
    if first is None:
        first = _blank_like(second)
    if second is None:
        second = _blank_like(first)
    return order_key(first), order_key(second)


def as_rows(given: Given) -> Rows:
    """Return an argument as rows."""
    return given if isinstance(given, list) else [[given]]


def flat(given: Given) -> Iterator[Value]:
    """Return the values of an argument, row by row."""
    return chain.from_iterable(given) if isinstance(given, list) else iter((given,))


def single(given: Given) -> Given:
    """Return the one value of one-cell rows; else what was given."""
    if isinstance(given, list) and len(given) == 1 and len(given[0]) == 1:
        return given[0][0]
    return given


def first_value(given: Given) -> Value:
    """Return a value, or the first one of rows."""
    return given[0][0] if isinstance(given, list) else given


def at(given: Given, row: int, column: int) -> Value:
    """Return what stands at a place, counted from 0, one row or column being repeated."""
    if not isinstance(given, list):
        return given
    height, width = len(given), len(given[0])
    row, column = (0 if height == 1 else row), (0 if width == 1 else column)
    return given[row][column] if row < height and column < width else NA


def each(function: Callable[..., Value], arguments: list[Given]) -> Given:
    """Call a function of values; where arguments are rows, once for each place of the largest."""
    tables = [argument for argument in arguments if isinstance(argument, list)]
    if not tables:
        return function(*arguments)
    height = max(len(table) for table in tables)
    width = max(len(table[0]) for table in tables)
    spend(height * width * len(arguments))
    return [
        [
            function(*(at(argument, row, column) for argument in arguments))
            for column in range(width)
        ]
        for row in range(height)
    ]
