"""Evaluating a workbook's formulas with no spreadsheet program.

The PyPI package ``formulas`` reads the formulas and gives the standard functions; the catalogue
gives ours, under both spellings (``BASIN.NAME`` and ``BASIN_NAME``). What is here orders the
cells, fetches what they refer to, and says of each cell that can't be computed why not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import product
from typing import Any, Final

import numpy as np
import schedula
from formulas.cell import CELL
from formulas.errors import BaseError
from formulas.functions import COMPILING, Array, get_functions, not_implemented
from formulas.ranges import Ranges
from formulas.tokens.operand import Error, XlError

from basinbook import catalogue
from basinbook.catalogue import model
from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.hosts.formula_tree import (
    MAX_COLUMN,
    MAX_ROW,
    Area,
    Blank,
    Call,
    Literal,
    Name,
    Node,
    NotComputed,
    Operation,
    Spill,
    parse,
    walk,
)
from basinbook.hosts.standard import (
    FUNCTIONS,
    OPERATIONS,
    TEXT_FUNCTIONS,
    texts_for,
    with_criteria,
)

Value = float | int | str | bool | CellError | None
Cell = tuple[str, int, int]
"""A sheet's name in capitals, and the row and column from 1."""

_EMPTY: Final = schedula.EMPTY
_VALUE: Final = Error.errors["#VALUE!"]
_CIRCULAR: Final = "it refers to itself, directly or through other cells"
_NOT_AVAILABLE: Final = Error.errors["#N/A"]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# In a plain formula these take one cell of a range they are given: the one in the formula's own
# row or column ("implicit intersection").
_SCALAR_FUNCTIONS: Final = _words(
    "ABS CEILING CHAR CODE DATE DAY EDATE EOMONTH EVEN EXP FIND FIXED FLOOR HOUR INT LEFT LEN LN "
    "LOG LOG10 LOWER MID MINUTE MOD MONTH MROUND NOT ODD POWER PROPER REPLACE REPT RIGHT ROUND "
    "ROUNDDOWN ROUNDUP SEARCH SECOND SIGN SQRT SUBSTITUTE TEXT TIME TRIM TRUNC UPPER VALUE "
    "WEEKDAY YEAR ISBLANK ISERROR ISNA ISNUMBER ISTEXT"
)
# These take arrays in any formula, so that operators inside them work on whole ranges.
_ARRAY_FUNCTIONS: Final = _words("SUMPRODUCT MMULT LOOKUP XLOOKUP XMATCH FILTER")
# These read only the argument that the result comes from.
_LAZY: Final = _words("IF IFERROR IFNA CHOOSE")
# These are answered here.
_OWN: Final = _words("SINGLE HYPERLINK")
_DATE_FUNCTIONS: Final = _words(
    "DATE DATEVALUE DAY DAYS DAYS360 EDATE EOMONTH MONTH NETWORKDAYS NOW TODAY WEEKDAY WEEKNUM "
    "WORKDAY YEAR YEARFRAC TEXT"
)


@dataclass(frozen=True)
class Formula:
    """A cell's formula without its equals sign; ``rows`` by ``columns`` cells if an array's."""

    text: str
    rows: int = 1
    columns: int = 1
    is_array: bool = False
    problem: str = ""
    """Why it can't be computed, where the file already tells."""


@dataclass
class Grid:
    """One sheet: its values (of formula cells: the stored ones) and formulas by row, column."""

    name: str
    values: dict[tuple[int, int], Value] = field(default_factory=dict)
    formulas: dict[tuple[int, int], Formula] = field(default_factory=dict)


@dataclass
class Book:
    """A workbook to evaluate: sheets by name in capitals, defined names by (sheet or "", name)."""

    grids: dict[str, Grid]
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    date_1904: bool = False


@dataclass(frozen=True)
class Evaluation:
    """What came out: the value of every computed cell, and what could not be computed and why.

    ``refused`` has, for cells that show an error, what our functions said of their arguments.
    """

    values: dict[Cell, Value]
    not_computed: dict[Cell, str]
    refused: dict[Cell, str]


def evaluate_book(book: Book) -> Evaluation:
    """Evaluate every formula of ``book``; cells that fail keep their stored value."""
    # What is too large for a number ends as #NUM!; numpy need not warn of it.
    with np.errstate(over="ignore"):
        return _Evaluator(book).run()


@dataclass(frozen=True)
class _Place:
    """Where a formula stands, and whether it is an array formula."""

    sheet: str
    row: int
    column: int
    is_array: bool


class _Reference(Ranges):  # type: ignore[misc]
    """A reference to cells whose values are fetched when a function asks for them."""

    __slots__ = ("areas", "evaluator")

    def __init__(self, areas: Sequence[Area], evaluator: _Evaluator) -> None:
        super().__init__(
            tuple(
                {
                    "sheet_id": area.sheet,
                    "r1": str(area.top),
                    "r2": str(area.bottom),
                    "n1": area.left,
                    "n2": area.right,
                    "name": f"{area.sheet}!{area.top},{area.left},{area.bottom},{area.right}",
                }
                for area in areas
            )
        )
        self.areas = tuple(areas)
        self.evaluator = evaluator

    @property
    def value(self) -> Any:
        arrays = [self.evaluator.fetch(area) for area in self.areas]
        return arrays[0] if len(arrays) == 1 else np.concatenate([a.ravel() for a in arrays])


class _Evaluator:
    def __init__(self, book: Book) -> None:
        self._book = book
        self._values: dict[Cell, Any] = {}
        self._not_computed: dict[Cell, str] = {}
        self._refused: dict[Cell, str] = {}
        self._open: list[Cell] = []
        self._circular: set[Cell] = set()
        self._arrays: dict[Area, Any] = {}
        self._inside: dict[Area, tuple[Cell, ...]] = {}
        self._calls: dict[tuple[str, str], Any] = {}
        self._anchors: dict[Cell, Cell] = {}
        for sheet, grid in book.grids.items():
            for (row, column), formula in grid.formulas.items():
                anchor = (sheet, row, column)
                for down, right in product(range(formula.rows), range(formula.columns)):
                    self._anchors[sheet, row + down, column + right] = anchor
        used = [cell for grid in book.grids.values() for cell in grid.values]
        used += [(row, column) for _, row, column in self._anchors]
        # Whole columns and rows end here, at one place in all sheets, so that pairs of them
        # (as in SUMIF) stay of one size.
        self._last_row = max((row for row, _ in used), default=1)
        self._last_column = max((column for _, column in used), default=1)

    def run(self) -> Evaluation:
        for anchor in dict.fromkeys(self._anchors.values()):
            self._compute_with_inputs(anchor)
        return Evaluation(
            {
                cell: _plain(value)
                for cell, value in self._values.items()
                if self._anchors[cell] not in self._not_computed
            },
            self._not_computed,
            {
                cell: message
                for cell, message in self._refused.items()
                if isinstance(self._values.get(cell), XlError)
            },
        )

    # ---- order

    def _compute_with_inputs(self, start: Cell) -> None:
        """Compute a cell after those it reads, without deep recursion along long chains."""
        seen = {start}
        stack = [(start, self._inputs(start))]
        while stack:
            cell, inputs = stack[-1]
            following = next((i for i in inputs if i not in seen and not self._settled(i)), None)
            if following is not None:
                seen.add(following)
                stack.append((following, self._inputs(following)))
            else:
                stack.pop()
                if not self._settled(cell):
                    self._compute(cell)

    def _settled(self, anchor: Cell) -> bool:
        return anchor in self._values or anchor in self._not_computed

    def _inputs(self, anchor: Cell) -> Iterator[Cell]:
        try:
            tree = parse(self._formula(anchor).text)
        except NotComputed:
            return iter(())
        return self._read_by(tree, anchor[0])

    def _read_by(self, tree: Node, sheet: str, depth: int = 0) -> Iterator[Cell]:
        for node in walk(tree):
            if isinstance(node, Area):
                yield from self._formulas_in(self._clipped(self._placed(node, sheet)))
            elif isinstance(node, Name) and depth < 20:
                try:
                    yield from self._read_by(self._named(node, sheet), sheet, depth + 1)
                except NotComputed:
                    continue

    def _formulas_in(self, area: Area) -> tuple[Cell, ...]:
        if area not in self._inside:
            sheet = area.sheet or ""
            size = (area.bottom - area.top + 1) * (area.right - area.left + 1)
            if size <= len(self._anchors):
                cells: Iterator[Cell] = (
                    (sheet, row, column)
                    for row in range(area.top, area.bottom + 1)
                    for column in range(area.left, area.right + 1)
                )
            else:
                cells = (cell for cell in self._anchors if _within(cell, area))
            self._inside[area] = tuple(
                dict.fromkeys(self._anchors[cell] for cell in cells if cell in self._anchors)
            )
        return self._inside[area]

    # ---- cells

    def _formula(self, anchor: Cell) -> Formula:
        return self._book.grids[anchor[0]].formulas[anchor[1:]]

    def _compute(self, anchor: Cell) -> None:
        if anchor in self._open:
            self._circular.update(self._open[self._open.index(anchor) :])
            raise NotComputed(_CIRCULAR)
        formula = self._formula(anchor)
        self._open.append(anchor)
        try:
            if formula.problem:
                raise NotComputed(formula.problem)
            tree = parse(formula.text)
            result = self._evaluate(tree, _Place(*anchor, formula.is_array))
            if isinstance(result, Ranges):
                result = self._dereferenced(result, _Place(*anchor, formula.is_array))
            if anchor in self._circular:
                raise NotComputed(_CIRCULAR)
            self._store(anchor, formula, tree, result)
        except NotComputed as reason:
            circular = anchor in self._circular
            self._keep(anchor, formula, _CIRCULAR if circular else str(reason))
        except RecursionError:
            self._keep(anchor, formula, "the formula is nested too deeply")
        finally:
            self._open.pop()

    def _store(self, anchor: Cell, formula: Formula, tree: Node, result: Any) -> None:
        sheet, row, column = anchor
        if not formula.is_array:
            value = result.ravel()[0] if isinstance(result, np.ndarray) else result
            self._values[anchor] = _checked(value)
            return
        table = np.asarray(result, object)
        table = table.reshape(1, -1) if table.ndim < 2 else table
        filled = _spread(table, formula.rows, formula.columns, _gives_table(tree))
        for down, right in product(range(formula.rows), range(formula.columns)):
            self._values[sheet, row + down, column + right] = _checked(filled[down, right])

    def _keep(self, anchor: Cell, formula: Formula, reason: str) -> None:
        self._not_computed[anchor] = reason
        sheet, row, column = anchor
        stored = self._book.grids[sheet].values
        if stored.get((row, column)) is None:
            return
        for down, right in product(range(formula.rows), range(formula.columns)):
            place = (row + down, column + right)
            self._values[(sheet, *place)] = _wrapped(stored.get(place))

    def _value(self, cell: Cell) -> Any:
        anchor = self._anchors.get(cell)
        if anchor is None:
            return _wrapped(self._book.grids[cell[0]].values.get(cell[1:]))
        if not self._settled(anchor):
            self._compute(anchor)
        if cell not in self._values:
            name = f"{self._book.grids[cell[0]].name}!{column_letters(cell[2])}{cell[1]}"
            raise NotComputed(f"it reads {name}, which could not be computed")
        return self._values[cell]

    def fetch(self, area: Area) -> Any:
        """Return the values of an area as a two-dimensional array of objects."""
        area = self._clipped(area)
        if area not in self._arrays:
            sheet = area.sheet or ""
            rows = range(area.top, area.bottom + 1)
            columns = range(area.left, area.right + 1)
            array = np.empty((len(rows), len(columns)), object)
            for down, row in enumerate(rows):
                for right, column in enumerate(columns):
                    array[down, right] = self._value((sheet, row, column))
            self._arrays[area] = array
        return self._arrays[area]

    def _clipped(self, area: Area) -> Area:
        if area.bottom == MAX_ROW:
            area = replace(area, bottom=max(self._last_row, area.top))
        if area.right == MAX_COLUMN:
            area = replace(area, right=max(self._last_column, area.left))
        return area

    # ---- references

    def _placed(self, area: Area, sheet: str) -> Area:
        return replace(area, sheet=area.sheet.upper() if area.sheet else sheet)

    def _reference(self, area: Area, place: _Place) -> _Reference:
        placed = self._placed(area, place.sheet)
        if placed.sheet not in self._book.grids:
            raise NotComputed(f"there is no sheet {area.sheet}")
        return _Reference((placed,), self)

    def _named(self, name: Name, sheet: str) -> Node:
        for scope in (name.sheet.upper(),) if name.sheet else (sheet, ""):
            text = self._book.names.get((scope, name.text.upper()))
            if text is not None:
                return parse(text)
        if name.sheet and (text := self._book.names.get(("", name.text.upper()))) is not None:
            return parse(text)
        raise NotComputed(f"the name {name.text} is not defined")

    def _areas(self, node: Node, place: _Place) -> tuple[Area, ...]:
        """Return what a reference operator's operand refers to."""
        if isinstance(node, Name):
            try:
                self._named(node, place.sheet)
            except NotComputed:
                # In A1:INDEX(…) the tokenizer takes A1 for a name.
                area = parse(f"{node.text}:{node.text}")
                if not isinstance(area, Area) or area.bottom == MAX_ROW:
                    raise
                node = replace(area, sheet=node.sheet)
        found = self._evaluate(node, place)
        if not isinstance(found, _Reference):
            raise NotComputed("a range is made of something that is no reference")
        return found.areas

    def _refer(self, operator: str, operands: Sequence[Node], place: _Place) -> Any:
        first, second = (self._areas(node, place) for node in operands)
        if operator == ",":
            return _Reference((*first, *second), self)
        if len({area.sheet for area in (*first, *second)}) != 1:
            raise NotComputed("a range reaches over several sheets")
        if operator == ":":
            both = (*first, *second)
            return _Reference(
                (
                    Area(
                        both[0].sheet,
                        min(area.top for area in both),
                        min(area.left for area in both),
                        max(area.bottom for area in both),
                        max(area.right for area in both),
                    ),
                ),
                self,
            )
        common = [
            Area(
                a.sheet,
                max(a.top, b.top),
                max(a.left, b.left),
                min(a.bottom, b.bottom),
                min(a.right, b.right),
            )
            for a, b in product(first, second)
        ]
        common = [area for area in common if area.top <= area.bottom and area.left <= area.right]
        return _Reference(common, self) if common else Error.errors["#NULL!"]

    def _intersected(self, value: Any, place: _Place) -> Any:
        """Return the cell of a range that stands in the formula's own row or column."""
        if not isinstance(value, _Reference):
            return value
        if len(value.areas) != 1:
            return _VALUE
        area = value.areas[0]
        if area.top == area.bottom and area.left == area.right:
            return value
        if area.left == area.right and area.top <= place.row <= area.bottom:
            return _Reference((replace(area, top=place.row, bottom=place.row),), self)
        if area.top == area.bottom and area.left <= place.column <= area.right:
            return _Reference((replace(area, left=place.column, right=place.column),), self)
        return _VALUE

    def _dereferenced(self, value: Any, place: _Place) -> Any:
        if not place.is_array:
            value = self._intersected(value, place)
        return value.value if isinstance(value, Ranges) else value

    # ---- formulas

    def _evaluate(self, node: Node, place: _Place) -> Any:
        if isinstance(node, Literal):
            return node.value
        if isinstance(node, Blank):
            return 0
        if isinstance(node, Area):
            return self._reference(node, place)
        if isinstance(node, Name):
            return self._evaluate(self._named(node, place.sheet), place)
        if isinstance(node, Spill):
            return self._spill(node, place)
        if isinstance(node, Operation):
            return self._operate(node, place)
        return self._call(node, place)

    def _spill(self, node: Spill, place: _Place) -> Any:
        area = self._reference(node.anchor, place).areas[0]
        anchor = (area.sheet or "", area.top, area.left)
        if self._anchors.get(anchor) != anchor:
            return Error.errors["#REF!"]
        formula = self._formula(anchor)
        area = replace(
            area, bottom=area.top + formula.rows - 1, right=area.left + formula.columns - 1
        )
        return _Reference((area,), self)

    def _operate(self, node: Operation, place: _Place) -> Any:
        if node.operator in (":", ",", " "):
            return self._refer(node.operator, node.operands, place)
        operands = [self._evaluate(operand, place) for operand in node.operands]
        if node.operator == "@":
            return self._intersected(operands[0], place)
        if not place.is_array:
            operands = [self._intersected(operand, place) for operand in operands]
        return _guarded(OPERATIONS[node.operator], operands, f"the operator {node.operator}")

    def _call(self, node: Call, place: _Place) -> Any:
        name = node.function
        if name in _LAZY and (taken := self._branch(node, place)) is not None:
            return self._evaluate(taken, place)
        if _declared(name):
            return self._catalogue(name, node, place)
        if name not in _OWN and _standard(name) is None:
            raise NotComputed(f"the function {name} is not known here")
        if self._book.date_1904 and name in _DATE_FUNCTIONS:
            raise NotComputed("dates of this workbook count from 1904")
        if name in _ARRAY_FUNCTIONS:
            place = replace(place, is_array=True)
        arguments = [self._evaluate(argument, place) for argument in node.arguments]
        if name in _SCALAR_FUNCTIONS and not place.is_array:
            arguments = [self._intersected(argument, place) for argument in arguments]
        if name == "SINGLE":
            return self._intersected(arguments[0], place)
        if name == "HYPERLINK":
            return arguments[-1]
        if name == "COUNTBLANK" and any(
            area.bottom == MAX_ROW or area.right == MAX_COLUMN
            for argument in arguments
            if isinstance(argument, _Reference)
            for area in argument.areas
        ):
            raise NotComputed("it counts the blanks of whole columns or rows")
        if name == "INDEX" and (cell := self._indexed(arguments)) is not None:
            return cell
        return self._library(name, arguments, place)

    def _branch(self, node: Call, place: _Place) -> Node | None:
        """Return the one argument that the result of IF and its like comes from, if one does.

        The other arguments are left unread, as a spreadsheet leaves them.
        """
        if len(node.arguments) < 2:
            return None
        first, *others = node.arguments
        tested = self._evaluate(first, place)
        if not place.is_array:
            tested = self._intersected(tested, place)
        tested = tested.value if isinstance(tested, Ranges) else tested
        if isinstance(tested, np.ndarray):
            if tested.size != 1:
                return None
            tested = tested.ravel()[0]
        is_error = isinstance(tested, XlError)
        if node.function == "IFERROR":
            return others[0] if is_error else Literal(tested)
        if node.function == "IFNA":
            return others[0] if tested == _NOT_AVAILABLE else Literal(tested)
        if is_error:
            return Literal(tested)
        tested = 0 if tested is _EMPTY else tested
        if isinstance(tested, str):
            return None
        if node.function == "CHOOSE":
            index = int(tested) - 1
            return others[index] if 0 <= index < len(others) else Literal(_VALUE)
        if tested:
            return others[0]
        return others[1] if len(others) > 1 else Literal(False)

    def _indexed(self, arguments: Sequence[Any]) -> Any:
        """Return INDEX of one range with plain numbers as a reference, without reading the range.

        None where it takes more than that.
        """
        if len(arguments) not in (2, 3) or not isinstance(arguments[0], _Reference):
            return None
        if len(arguments[0].areas) != 1:
            return None
        area = arguments[0].areas[0]
        numbers = []
        for argument in arguments[1:]:
            number = argument.value if isinstance(argument, Ranges) else argument
            if isinstance(number, np.ndarray):
                if number.size != 1:
                    return None
                number = number.ravel()[0]
            if isinstance(number, XlError):
                return number
            number = 0 if number is _EMPTY else number
            if isinstance(number, str) or not math.isfinite(number):
                return None
            numbers.append(int(number))
        if len(numbers) == 1:
            numbers = [1, numbers[0]] if area.top == area.bottom else [numbers[0], 1]
            if area.top != area.bottom and area.left != area.right:
                numbers[1] = 0
        row, column = numbers
        if row < 0 or column < 0:
            return _VALUE
        if row > area.bottom - area.top + 1 or column > area.right - area.left + 1:
            return Error.errors["#REF!"]
        if row:
            area = replace(area, top=area.top + row - 1, bottom=area.top + row - 1)
        if column:
            area = replace(area, left=area.left + column - 1, right=area.left + column - 1)
        return _Reference((area,), self)

    def _library(self, name: str, arguments: Sequence[Any], place: _Place) -> Any:
        arguments = with_criteria(name, arguments)
        if name in TEXT_FUNCTIONS:
            arguments = texts_for(arguments)
        found = _standard(name)
        extra: list[Any] = []
        if isinstance(found, dict):
            for key in found.get("extra_inputs", ()):
                if key is CELL:
                    own = Area(place.sheet, place.row, place.column, place.row, place.column)
                    extra.append(_Reference((own,), self))
                else:
                    # The library asks whether it only tries the formula out; it never does here.
                    extra.append(False)
            found = found["function"]
        return _guarded(found, [*extra, *arguments], f"the function {name}")

    def _catalogue(self, name: str, node: Call, place: _Place) -> Any:
        arguments = [
            None if isinstance(argument, Blank) else _handed_over(self._evaluate(argument, place))
            for argument in node.arguments
        ]
        # A table that many cells index is worked out once; 1, 1.0 and TRUE stay apart in text.
        key = (name[len("BASIN.") :], repr(arguments))
        if key not in self._calls:
            try:
                self._calls[key] = _taken_back(catalogue.call(name, *arguments).value)
            except InputError as error:
                self._calls[key] = error
            except Exception as error:
                # One function's fault must not keep the rest of a user's workbook from updating.
                raise NotComputed(f"{name} failed with {type(error).__name__}: {error}") from error
        result = self._calls[key]
        if isinstance(result, InputError):
            self._refused.setdefault(self._open[-1], str(result))
            return _VALUE
        return result


@cache
def column_letters(column: int) -> str:
    """Return A for 1, AA for 27 and so on."""
    head, tail = divmod(column - 1, 26)
    return (column_letters(head) if head else "") + chr(ord("A") + tail)


def _within(cell: Cell, area: Area) -> bool:
    sheet, row, column = cell
    return (
        sheet == area.sheet and area.top <= row <= area.bottom and area.left <= column <= area.right
    )


@cache
def _declared(name: str) -> model.Function | None:
    """Return the catalogue's function of a name with our prefix, if there is one."""
    if not name.startswith(("BASIN.", "BASIN_")):
        return None
    return catalogue.functions().get(name[len("BASIN.") :])


@cache
def _standard(name: str) -> Any:
    """Return the standard function of that name as the library holds it; None if it has none."""
    if name in FUNCTIONS:
        return FUNCTIONS[name]
    library = get_functions()
    found = library.get(name, library.get(f"_XLFN.{name}"))
    wants = found.get("extra_inputs", ()) if isinstance(found, dict) else ()
    # Some ask for the library's own model of the workbook, which there is none of.
    if found is not_implemented or any(key not in (CELL, COMPILING) for key in wants):
        return None
    return found


def _gives_table(tree: Node) -> bool:
    return any(
        isinstance(node, Call)
        and (found := _declared(node.function)) is not None
        and isinstance(found.result, model.Array)
        for node in walk(tree)
    )


def _guarded(function: Any, arguments: Sequence[Any], what: str) -> Any:
    try:
        result = function(*arguments)
    except (BaseError, NotImplementedError) as error:
        raise NotComputed(f"{what} can't be computed with these arguments") from error
    if result is schedula.NONE:
        raise NotComputed(f"{what} can't be computed with these arguments")
    return result


def _spread(table: Any, rows: int, columns: int, pad_blank: bool) -> Any:
    """Fit an array formula's result to its cells: what is over is cut.

    A table of the catalogue leaves the cells beyond it blank. Otherwise, as in a spreadsheet, one
    row or column is repeated, and other cells beyond the result show #N/A.
    """
    if not pad_blank or table.size == 1:
        if table.shape[0] == 1:
            table = np.repeat(table, rows, axis=0)
        if table.shape[1] == 1:
            table = np.repeat(table, columns, axis=1)
    filled = np.empty((rows, columns), object)
    filled.fill("" if pad_blank else _NOT_AVAILABLE)
    height, width = min(rows, table.shape[0]), min(columns, table.shape[1])
    filled[:height, :width] = table[:height, :width]
    return filled


def _checked(value: Any) -> Any:
    """Return a result as a cell can hold it."""
    if value is _EMPTY:
        return 0
    if isinstance(value, (np.generic, np.ndarray)):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return Error.errors["#NUM!"]
    if isinstance(value, complex):
        return Error.errors["#NUM!"]
    if value is None:
        return ""
    if not isinstance(value, (bool, int, float, str)):
        raise NotComputed("the result is nothing that a cell can hold")
    return value


def _wrapped(value: Value) -> Any:
    """Return a cell's value as the library wants it."""
    if value is None:
        return _EMPTY
    if isinstance(value, CellError):
        return Error.errors.get(value.text) or XlError(value.text)
    return value


def _plain(value: Any) -> Value:
    """Return the library's value as ours."""
    if value is _EMPTY:
        return None
    if isinstance(value, XlError):
        return CellError(str(value))
    plain: Value = value
    return plain


def _handed_over(value: Any) -> object:
    """Return an argument as the catalogue wants it: one value, or a tuple of row tuples."""
    value = value.value if isinstance(value, Ranges) else value
    if not isinstance(value, np.ndarray):
        return _cell(value)
    if value.size == 1:
        return _cell(value.ravel()[0])
    rows = value if value.ndim == 2 else value.reshape(-1, 1)
    return tuple(tuple(_cell(item) for item in row) for row in rows)


def _cell(value: Any) -> Value:
    return _plain(value.item() if isinstance(value, np.generic) else value)


def _taken_back(value: model.Cell | model.Table) -> Any:
    if not isinstance(value, list):
        return "" if value is None else value
    columns = max((len(row) for row in value), default=0)
    if not columns:
        return ""
    table = np.empty((len(value), columns), object)
    table.fill("")
    for index, row in enumerate(value):
        table[index, : len(row)] = ["" if item is None else item for item in row]
    return table.view(Array)
