"""Calling a worksheet function: reading its arguments, checking ranges, converting the result."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from basinbook.catalogue.joined import parted
from basinbook.catalogue.model import Argument, Array, Cell, CellError, Function, Measure, Table
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.units import check_system, from_si, line, one_unit, read, shown, shown_range, unit_of

# Room for rounding where a limit is typed in another unit than the one it is held in.
_SLACK = 1e-9
_MAX_TEXT = 500
# Up to it a ratio is a share or a rate, which may be meant in percent.
_SHARE = 2.0
# Whole numbers below it are the same as floats.
_EXACT = 2**53


@dataclass(frozen=True)
class Result:
    """What a call gives: a cell's value or a table of them, and the unit of a single number."""

    value: Cell | Table
    unit: str = ""
    decimals: int = 3

    def text(self) -> str:
        """Return the value as a person reads it, with its unit."""
        if isinstance(self.value, list):
            return "\n".join("\t".join(self._cell(c) for c in row) for row in self.value)
        return f"{self._cell(self.value)} {self.unit}".strip()

    def _cell(self, value: Cell) -> str:
        if isinstance(value, float):
            text = f"{value:,.{self.decimals}f}"
            return text.rstrip("0").rstrip(".") if "." in text else text
        return "" if value is None else str(value)


def invoke(function: Function, raw: Sequence[object]) -> Result:
    """Call ``function`` with arguments as a host has them: numbers, texts, blanks, ranges.

    Raises InputError naming the argument, its value and what is allowed, in the user's units.
    """
    declared = function.all_arguments
    count = len(declared)
    repeats = count > 0 and declared[-1].repeats
    if len(raw) > count and not repeats:
        raise InputError(function.name, f"{len(raw)} arguments", f"it takes at most {count}")
    given = [*raw, *[None] * (count - len(raw))]
    system = "us"
    if function.has_units:
        system = _unit_system(given.pop())
    if repeats:
        given[count - 1 :] = [tuple(raw[count - 1 :])]
    ready = _ready(function, system)
    values = {name: read(value) for (name, read), value in zip(ready.readers, given, strict=True)}
    try:
        for group in function.groups:
            parts = {a.name: values.pop(a.name) for a in group.arguments}
            if group.takes_system:
                parts["system"] = system
            values[group.name] = group.make(**parts)
        if function.takes_system:
            values["system"] = system
        computed = function.compute(**values)
    except InputError as error:
        raise _in_users_unit(error, function, system) from error
    return ready.result(computed)


Reader = Callable[[object], object]


@dataclass(frozen=True)
class _Ready:
    """What a call of a function needs in one unit system, worked out once.

    A sheet makes a thousand calls at an edit, so the plain case of each argument, a number within
    its range, takes no more than a product and two comparisons.
    """

    readers: tuple[tuple[str, Reader], ...]
    result: Callable[[object], Result]


@cache
def _ready(function: Function, system: str) -> _Ready:
    readers = tuple((a.name, _reader(a, system)) for a in function.arguments)
    return _Ready(readers, _result_maker(function, system))


def _unit_system(value: object) -> str:
    if value is None or value == "us":
        return "us"
    return check_system(single(value, "units"))


def _reader(argument: Argument, system: str) -> Reader:
    """Return what reads one argument: the plain case at once, all others by read_argument."""
    if argument.repeats:
        return lambda value: value
    if argument.kind is kinds.RANGE:
        return _range_reader(argument, system)
    if argument.choices:
        return _choice_reader(argument, system)
    if argument.low is None or argument.high is None:
        return lambda value: read_argument(argument, value, system)
    slope, zero = line(argument.kind, system)
    low, high = argument.low, argument.high
    whole = argument.kind is kinds.COUNT

    def read_number(value: object) -> object:
        if type(value) is float or (type(value) is int and -_EXACT < value < _EXACT):
            number = value * slope + zero
            if low <= number <= high:
                if not whole:
                    return number
                if number.is_integer():
                    return int(number)
        return read_argument(argument, value, system)

    return read_number


def _range_reader(argument: Argument, system: str) -> Reader:
    if argument.cells is None:
        return _rows
    read_cell = _reader(replace(argument, kind=argument.cells, cells=None, default=None), system)
    return lambda value: tuple(read_cell(cell) for row in _rows(value) for cell in row)


def _choice_reader(argument: Argument, system: str) -> Reader:
    words = {word: word for word in argument.choices}

    def read_choice(value: object) -> object:
        if type(value) is str and value in words:
            return value
        return read_argument(argument, value, system)

    return read_choice


def _in_users_unit(error: InputError, function: Function, system: str) -> InputError:
    """Return an engine's error with its value and lengths in the user's unit.

    The value is an SI number or text; the layout tells lengths in both systems.
    """
    value = one_unit(error.value, system) if isinstance(error.value, str) else error.value
    allowed = one_unit(error.allowed, system) if function.has_units else error.allowed
    found = {a.name: a.quantity for a in function.arguments}.get(error.argument)
    # What is no finite number comes as the user gave it.
    if found and found.has_unit and isinstance(value, float) and math.isfinite(value):
        value = shown(value, found, system)
    return InputError(error.argument, value, allowed)


def read_argument(argument: Argument, value: object, system: str) -> object:
    """Return one raw argument as ``compute`` wants it, checked against its allowed range."""
    if argument.kind is kinds.RANGE:
        return _range_reader(argument, system)(value)
    value = single(value, argument.name)
    if value is None or (isinstance(value, str) and not value.strip()):
        if argument.required:
            raise InputError(argument.name, None, f"give {_allowed(argument, system)}")
        return argument.default
    if argument.kind is kinds.ANY:
        return value
    if argument.kind is kinds.TEXT:
        return _text(argument.name, value)
    if argument.kind is kinds.CHOICE:
        return _choice(argument, value)
    number = read(value, argument.kind, system, argument.name)
    if argument.kind is kinds.COUNT and not math.isclose(number, round(number), abs_tol=1e-9):
        raise InputError(argument.name, value, "give a whole number")
    number = _in_range(argument, number, value, system)
    return round(number) if argument.kind is kinds.COUNT else number


def single(value: object, argument: str) -> object:
    """Return the one cell of a one-cell range, or the value itself; refuse error cells."""
    while isinstance(value, (list, tuple)):
        if len(value) != 1:
            raise InputError(argument, f"a range of {len(value)} rows or columns", "give one cell")
        value = value[0]
    if isinstance(value, CellError):
        raise InputError(argument, value.text, "mend the cell that this one reads")
    return value


def _rows(value: object) -> tuple[tuple[object, ...], ...]:
    """Return the rows of a range; a cell may hold the text of one (``joined``)."""
    if not isinstance(value, (list, tuple)):
        return parted(value) or ((value,),)
    if len(value) == 1 and isinstance(value[0], (list, tuple)) and len(value[0]) == 1:
        return parted(value[0][0]) or (tuple(value[0]),)
    if {type(row) for row in value} <= {list, tuple}:
        return tuple(map(tuple, value))
    return tuple(tuple(row) if isinstance(row, (list, tuple)) else (row,) for row in value)


def as_text(argument: str, value: object) -> str:
    """Return a cell's value as text; raises InputError where it is too large for one."""
    try:
        return str(value)
    except (ValueError, RecursionError):  # thousands of digits, or of rows in rows
        raise InputError(argument, value, "give a text") from None


def _text(argument: str, value: object) -> str:
    text = as_text(argument, value)
    if len(text) > _MAX_TEXT:
        raise InputError(argument, text, f"give at most {_MAX_TEXT} characters")
    return text


def _choice(argument: Argument, value: object) -> str:
    word = as_text(argument.name, value).strip().lower()
    if isinstance(value, bool):
        word = "yes" if value else "no"
    if word not in argument.choices:
        raise InputError(argument.name, value, f"allowed are {', '.join(argument.choices)}")
    return word


def _in_range(argument: Argument, number: float, value: object, system: str) -> float:
    """Return the number, or the limit that it misses by rounding alone; refuse what is outside."""
    low = -math.inf if argument.low is None else argument.low
    high = math.inf if argument.high is None else argument.high
    within = min(max(number, low), high)
    # Each limit has its own room: that of a large upper one would let a zero past a small lower.
    if abs(number - within) > _SLACK * abs(within):
        allowed = f"allowed is {_allowed(argument, system)}"
        share = number / 100.0
        if argument.kind is kinds.RATIO and low <= share <= high < number and high <= _SHARE:
            allowed += f"; {number:g}% is {share:g}"
        raise InputError(argument.name, value, allowed)
    return within


def _allowed(argument: Argument, system: str) -> str:
    if argument.choices:
        return " or ".join(argument.choices)
    kind: Kind = argument.kind
    if argument.low is not None and argument.high is not None:
        return shown_range(argument.low, argument.high, kind, system)
    return f"a {kind.name}"


def _result_maker(function: Function, system: str) -> Callable[[object], Result]:
    """Return what turns the computed SI value of a function into its result."""
    declared = function.result
    if isinstance(declared, Array):
        columns = tuple(_cell_maker(column.kind, system) for column in declared.columns)
        return lambda value: _table(value, columns)
    unit = unit_of(declared, system)
    slope, zero = line(declared, system)

    def single_result(value: object) -> Result:
        if type(value) is float and math.isfinite(number := (value - zero) / slope):
            return Result(number, unit.label, unit.decimals)
        if isinstance(value, Measure):
            own = unit_of(value.kind, system)
            return Result(_converted(value.number, value.kind, system), own.label, own.decimals)
        return Result(_converted(value, declared, system), unit.label, unit.decimals)

    return single_result


def _table(value: object, columns: Sequence[Callable[[object], Cell]]) -> Result:
    assert isinstance(value, Sequence)
    table: Table = [
        [convert(cell) for convert, cell in zip(columns, row, strict=True)] for row in value
    ]
    return Result(table)


def _cell_maker(kind: Kind, system: str) -> Callable[[object], Cell]:
    """Return what converts the cells of a column: a piece list has thousands, mostly of texts."""
    slope, zero = line(kind, system)

    def cell(value: object) -> Cell:
        if type(value) is str or type(value) is int:
            return value
        if type(value) is float and math.isfinite(number := (value - zero) / slope):
            return number
        return _converted(value, kind, system)

    return cell


def _converted(value: object, kind: Kind, system: str) -> Cell:
    if value is None or isinstance(value, (str, bool, int)):
        return value
    number = from_si(float(value), kind, system)  # type: ignore[arg-type]
    if not math.isfinite(number):
        raise InputError("result", number, "the inputs give no finite number; check them")
    return number
