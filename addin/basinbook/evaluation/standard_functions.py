"""Standard functions and operators that need another answer than the ``formulas`` library gives.

Spreadsheets hold a number to 15 digits where they round, compare or write it out: 1.1*3-0.3 is
3, so rounding it up gives 3 and not 4. That decides how many packs are ordered. Meanings follow
OpenFormula (OASIS OpenDocument 1.2 part 2); the tests compare them with LibreOffice.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal, InvalidOperation
from typing import Any, Final

import numpy as np
from formulas.functions import wrap_ufunc
from formulas.functions.operators import LOGIC_OPERATORS, OPERATORS
from formulas.ranges import Ranges

from basinbook.evaluation.cell_values import ERRORS, is_text, single
from basinbook.evaluation.formula_tree import NotComputed
from basinbook.evaluation.number_format import format_value

_DIV: Final = ERRORS["#DIV/0!"]
_NUM: Final = ERRORS["#NUM!"]
_NUMBER_TEXT: Final = re.compile(
    r"(?P<sign>[+-]?)[$€£]?(?P<whole>\d{1,3}(?:,\d{3})+|\d*)(?P<part>\.\d*)?"
    r"(?P<power>[eE][+-]?\d{1,3})?(?P<percent>%?)"
)
_FRACTION_TEXT: Final = re.compile(r"(?P<sign>[+-]?)(?P<whole>\d+) (?P<top>\d+)/(?P<bottom>\d+)")
_WILDCARD: Final = re.compile(r"(?<!~)[*?]")
# Where the first pair of a range and a criterion stands among the arguments.
_CRITERIA: Final = {
    "COUNTIF": 0, "COUNTIFS": 0, "SUMIF": 0, "AVERAGEIF": 0,
    "SUMIFS": 1, "AVERAGEIFS": 1, "MAXIFS": 1, "MINIFS": 1,
}  # fmt: skip


def snapped(value: Any) -> Any:
    """Return a number to 15 significant digits; other values as they are."""
    if isinstance(value, float) and math.isfinite(value) and not value.is_integer():
        return float(f"{value:.15g}")
    return value


def as_text(value: Any) -> Any:
    """Return a number as a spreadsheet joins it to a text; other values as they are."""
    if not isinstance(value, float) or not math.isfinite(value):
        return value
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    digits = f"{value:.15g}"
    if "e" not in digits:
        return digits
    mantissa, _, power = digits.partition("e")
    if -10 < int(power) < 0:
        return f"{Decimal(digits):f}"
    return f"{mantissa}E{power}"


def text_number(value: Any) -> Any:
    """Return the number that a text such as "1,234.5", "5%" or "1 1/2" is; else the value."""
    if not is_text(value):
        return value
    text = value.strip()
    if (match := _FRACTION_TEXT.fullmatch(text)) and int(match["bottom"]):
        number = int(match["whole"]) + int(match["top"]) / int(match["bottom"])
        return -number if match["sign"] == "-" else number
    match = _NUMBER_TEXT.fullmatch(text)
    if match is None or not re.search(r"\d", match["whole"] + (match["part"] or "")):
        return value
    digits = match["whole"].replace(",", "") + (match["part"] or "") + (match["power"] or "")
    number = float(match["sign"] + digits)
    return number / 100.0 if match["percent"] else number


def with_criteria(name: str, arguments: Sequence[Any]) -> list[Any]:
    """Return the arguments of COUNTIF and its like with wildcard criteria worked out.

    The range of such a criterion becomes 1 where it matches and 0 elsewhere.
    """
    found = list(arguments)
    start = _CRITERIA.get(name)
    if start is None:
        return found
    if name in ("SUMIF", "AVERAGEIF") and len(found) == 2:
        found.append(found[0])
    elif (
        name in ("SUMIF", "AVERAGEIF") and len(found) == 3 and _shape(found[2]) != _shape(found[0])
    ):
        raise NotComputed(f"{name} has two ranges of different size")
    if len(found) < start + 2:
        return found
    stop = start + 2 if name in ("COUNTIF", "SUMIF", "AVERAGEIF") else len(found)
    for index in range(start, stop - 1, 2):
        criterion = single(found[index + 1])
        if not is_text(criterion) or not _WILDCARD.search(criterion):
            continue
        wanted = 0 if criterion.startswith("<>") else 1
        pattern = criterion[2:] if wanted == 0 else criterion.removeprefix("=")
        matches = re.compile(_regex(pattern), re.IGNORECASE | re.DOTALL).fullmatch
        cells = found[index]
        cells = cells.value if isinstance(cells, Ranges) else np.atleast_2d(cells)
        found[index] = np.vectorize(
            lambda cell, matches=matches: int(is_text(cell) and bool(matches(cell))),
            otypes=[object],
        )(cells)
        found[index + 1] = wanted
    return found


def _shape(value: Any) -> tuple[int, ...]:
    return np.shape(value.value if isinstance(value, Ranges) else value)


def _regex(pattern: str) -> str:
    pieces = re.split(r"(~[*?~]|[*?])", pattern)
    return "".join(
        {"*": ".*", "?": "."}.get(piece) or re.escape(piece[1:] if piece[:1] == "~" else piece)
        for piece in pieces
    )


def _to_places(rounding: str) -> Callable[..., Any]:
    def to_places(number: float, places: float = 0.0) -> Any:
        try:
            exact = Decimal(repr(snapped(number)))
            return float(exact.quantize(Decimal(1).scaleb(-int(places)), rounding))
        except (InvalidOperation, OverflowError):
            # More places than the number has digits: there is nothing to round.
            return number

    return to_places


def _multiple(rounded: Callable[[float], int], *, signs_agree: bool = True) -> Callable[..., Any]:
    def multiple(number: float, step: float = 1.0) -> Any:
        if step == 0.0 or number == 0.0:
            return 0.0
        if signs_agree and number > 0.0 > step:
            return _NUM
        return snapped(rounded(snapped(number / step)) * step)

    return multiple


def _mround(number: float, step: float) -> Any:
    if step == 0.0 or number == 0.0:
        return 0.0
    if (number > 0.0) != (step > 0.0):
        return _NUM
    return snapped(math.floor(snapped(number / step) + 0.5) * step)


def _mod(number: float, divisor: float) -> Any:
    if divisor == 0.0:
        return _DIV
    return snapped(number - divisor * math.floor(snapped(number / divisor)))


def _quotient(number: float, divisor: float) -> Any:
    return math.trunc(snapped(number / divisor)) if divisor else _DIV


def _text(value: Any, code: Any) -> str:
    value = text_number(value)
    if str(code).strip().lower() == "general":
        return str(as_text(value))
    return format_value(snapped(value), as_text(code)).text


def _as_given(*values: Any) -> Any:
    return values


def _powered(number: float, power: float) -> Any:
    if number == 0.0 and power < 0.0:
        return _DIV
    try:
        result = number**power
    except OverflowError:
        return _NUM
    return _NUM if isinstance(result, complex) else result


def _numbers(*values: Any) -> Any:
    return map(float, map(text_number, values))


def _compared(function: Callable[..., Any]) -> Any:
    def compare(*operands: Any) -> Any:
        return function(*(_each(snapped, operand) for operand in operands))

    return compare


def _each(change: Callable[[Any], Any], value: Any) -> Any:
    value = value.value if isinstance(value, Ranges) else value
    if isinstance(value, np.ndarray):
        return np.vectorize(change, otypes=[object])(value).view(type(value))
    return change(value)


def texts_for(arguments: Sequence[Any]) -> list[Any]:
    """Return arguments with the numbers as texts that would else be written differently."""
    return [_each(_long_as_text, argument) for argument in arguments]


def _long_as_text(value: Any) -> Any:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        number = float(value)
        return as_text(number) if not number.is_integer() or abs(number) >= 1e15 else value
    return value


SUBTOTALS: Final = {
    1: "AVERAGE", 2: "COUNT", 3: "COUNTA", 4: "MAX", 5: "MIN", 6: "PRODUCT", 7: "STDEV",
    8: "STDEVP", 9: "SUM", 10: "VAR", 11: "VARP",
}  # fmt: skip
"""What SUBTOTAL's first argument stands for; 100 more is the same without hidden rows."""
TEXT_FUNCTIONS: Final = frozenset(
    (
        "CONCATENATE", "CONCAT", "TEXTJOIN", "LEFT", "RIGHT", "MID", "LEN", "FIND", "SEARCH",
        "SUBSTITUTE", "REPLACE", "EXACT", "UPPER", "LOWER", "PROPER", "REPT",
    )
)  # fmt: skip
FUNCTIONS: Final[dict[str, Callable[..., Any]]] = {
    "ROUND": wrap_ufunc(_to_places(ROUND_HALF_UP), input_parser=_numbers),
    "ROUNDUP": wrap_ufunc(_to_places(ROUND_UP), input_parser=_numbers),
    "ROUNDDOWN": wrap_ufunc(_to_places(ROUND_DOWN), input_parser=_numbers),
    "TRUNC": wrap_ufunc(_to_places(ROUND_DOWN), input_parser=_numbers),
    "INT": wrap_ufunc(lambda number: math.floor(snapped(number)), input_parser=_numbers),
    "CEILING": wrap_ufunc(_multiple(math.ceil), input_parser=_numbers),
    "FLOOR": wrap_ufunc(_multiple(math.floor), input_parser=_numbers),
    "MROUND": wrap_ufunc(_mround, input_parser=_numbers),
    "MOD": wrap_ufunc(_mod, input_parser=_numbers),
    "QUOTIENT": wrap_ufunc(_quotient, input_parser=_numbers),
    "TEXT": wrap_ufunc(_text, input_parser=_as_given),
    "TRIM": wrap_ufunc(
        lambda text: re.sub(" +", " ", str(as_text(text))).strip(" "),
        input_parser=_as_given,
    ),
    "N": wrap_ufunc(lambda value: 0 if is_text(value) else float(value), input_parser=_as_given),
    "VALUE": wrap_ufunc(float, input_parser=_numbers),
}
OPERATIONS: Final[dict[str, Callable[..., Any]]] = {
    **{sign: _compared(OPERATORS[sign]) for sign in LOGIC_OPERATORS},
    "+": wrap_ufunc(lambda a, b: a + b, input_parser=_numbers),
    "-": wrap_ufunc(lambda a, b: a - b, input_parser=_numbers),
    "*": wrap_ufunc(lambda a, b: a * b, input_parser=_numbers),
    "/": wrap_ufunc(lambda a, b: a / b if b else _DIV, input_parser=_numbers),
    "^": wrap_ufunc(_powered, input_parser=_numbers),
    "U-": wrap_ufunc(lambda a: -a, input_parser=_numbers),
    "%": wrap_ufunc(lambda a: a / 100.0, input_parser=_numbers),
    "U+": OPERATORS["U+"],
    "&": lambda *operands: OPERATORS["&"](*texts_for(operands)),
}
"""The operators on values; those that make references are the evaluator's."""
