"""Evaluating a workbook's formulas with no spreadsheet program.

The PyPI package ``formulas`` reads the formulas and gives the standard functions; the catalogue
gives ours, under both spellings (``BASIN.NAME`` and ``BASIN_NAME``). What is here orders the
cells, fetches what they refer to, and says of each cell that can't be computed why not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import Any, Final

import numpy as np
import schedula
from formulas.cell import CELL
from formulas.functions import COMPILING, get_functions, not_implemented
from formulas.ranges import Ranges
from formulas.tokens.operand import XlError
from openpyxl.utils.cell import get_column_letter

from basinbook import catalogue
from basinbook.catalogue import model
from basinbook.engine.errors import InputError
from basinbook.evaluation import areas
from basinbook.evaluation.book import Book, Cell, Evaluation, Formula, Grid, Table, Value
from basinbook.evaluation.cell_values import (
    EMPTY,
    ERRORS,
    as_argument,
    as_result,
    from_catalogue,
    from_library,
    is_text,
    single,
    spread,
    to_library,
)
from basinbook.evaluation.formula_tree import (
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
from basinbook.evaluation.standard_functions import (
    FUNCTIONS,
    OPERATIONS,
    SUBTOTALS,
    TEXT_FUNCTIONS,
    texts_for,
    with_criteria,
)
from basinbook.evaluation.table_references import without_table_references

__all__ = [
    "Book", "Cell", "Evaluation", "Formula", "Grid", "NotComputed", "Table", "Value",
    "evaluate_book",
]  # fmt: skip

_CIRCULAR: Final = "it refers to itself, directly or through other cells"

_MOST_CELLS: Final = 2_000_000


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
_DATE_FUNCTIONS: Final = _words(
    "DATE DATEVALUE DAY DAYS DAYS360 EDATE EOMONTH MONTH NETWORKDAYS NOW TODAY WEEKDAY WEEKNUM "
    "WORKDAY YEAR YEARFRAC TEXT"
)


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

    __slots__ = ("areas", "fetch")

    def __init__(self, areas: Sequence[Area], fetch: Callable[[Area], Any]) -> None:
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
        self.fetch = fetch

    @property
    def value(self) -> Any:
        arrays = [self.fetch(area) for area in self.areas]
        return arrays[0] if len(arrays) == 1 else np.concatenate([a.ravel() for a in arrays])


class _Evaluator:
    def __init__(self, book: Book) -> None:
        self._book = book
        self._values: dict[Cell, Any] = {}
        self._not_computed: dict[Cell, str] = {}
        self._refused: dict[Cell, str] = {}
        self._open: list[Cell] = []
        self._circular: set[Cell] = set()
        self._trees: dict[Cell, Node] = {}
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
                cell: from_library(value)
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
            tree = self._tree(anchor)
            return iter(tuple(self._read_by(tree, anchor[0])))
        except (NotComputed, RecursionError):
            return iter(())

    def _read_by(self, tree: Node, sheet: str, depth: int = 0) -> Iterator[Cell]:
        for node in walk(tree):
            if isinstance(node, Area):
                yield from self._formulas_in(self._clipped(_placed(node, sheet)))
            elif isinstance(node, Name) and depth < 20:
                try:
                    yield from self._read_by(self._named(node, sheet), sheet, depth + 1)
                except NotComputed:
                    continue

    def _formulas_in(self, area: Area) -> tuple[Cell, ...]:
        if area not in self._inside:
            cells: Iterator[Cell]
            if areas.cell_count(area) <= len(self._anchors):
                rows = range(area.top, area.bottom + 1)
                columns = range(area.left, area.right + 1)
                cells = ((area.sheet or "", *place) for place in product(rows, columns))
            else:
                cells = (cell for cell in self._anchors if areas.holds(area, *cell))
            self._inside[area] = tuple(
                dict.fromkeys(self._anchors[cell] for cell in cells if cell in self._anchors)
            )
        return self._inside[area]

    # ---- cells

    def _formula(self, anchor: Cell) -> Formula:
        return self._book.grids[anchor[0]].formulas[anchor[1:]]

    def _tree(self, anchor: Cell) -> Node:
        if anchor not in self._trees:
            formula = self._formula(anchor)
            if formula.problem:
                raise NotComputed(formula.problem)
            text = without_table_references(formula.text, self._book.tables, anchor[1])
            self._trees[anchor] = parse(text)
        return self._trees[anchor]

    def _compute(self, anchor: Cell) -> None:
        if anchor in self._open:
            self._circular.update(self._open[self._open.index(anchor) :])
            raise NotComputed(_CIRCULAR)
        formula = self._formula(anchor)
        place = _Place(*anchor, formula.is_array)
        self._open.append(anchor)
        try:
            result = self._evaluate(self._tree(anchor), place)
            if not place.is_array:
                result = self._facing(result, place)
            if anchor in self._circular:
                raise NotComputed(_CIRCULAR)
            self._store(anchor, formula, result)
        except NotComputed as reason:
            circular = anchor in self._circular
            self._keep(anchor, formula, _CIRCULAR if circular else str(reason))
        except RecursionError:
            self._keep(anchor, formula, "the formula is nested too deeply")
        finally:
            self._open.pop()

    def _store(self, anchor: Cell, formula: Formula, result: Any) -> None:
        sheet, row, column = anchor
        value = result.value if isinstance(result, Ranges) else result
        if not formula.is_array:
            value = value.ravel()[0] if isinstance(value, np.ndarray) else value
            self._values[anchor] = as_result(value)
            return
        # A table of the catalogue leaves the cells beyond it blank.
        pad_blank = _gives_table(self._tree(anchor))
        filled = spread(value, formula.rows, formula.columns, pad_blank=pad_blank)
        for down, right in product(range(formula.rows), range(formula.columns)):
            self._values[sheet, row + down, column + right] = as_result(filled[down, right])

    def _keep(self, anchor: Cell, formula: Formula, reason: str) -> None:
        self._not_computed[anchor] = reason
        sheet, row, column = anchor
        stored = self._book.grids[sheet].values
        if stored.get((row, column)) is None:
            return
        for down, right in product(range(formula.rows), range(formula.columns)):
            place = (row + down, column + right)
            self._values[(sheet, *place)] = to_library(stored.get(place))

    def _value(self, cell: Cell) -> Any:
        anchor = self._anchors.get(cell)
        if anchor is None:
            return to_library(self._book.grids[cell[0]].values.get(cell[1:]))
        if not self._settled(anchor):
            self._compute(anchor)
        if cell not in self._values:
            name = f"{self._book.grids[cell[0]].name}!{get_column_letter(cell[2])}{cell[1]}"
            raise NotComputed(f"it reads {name}, which could not be computed")
        return self._values[cell]

    def _fetch(self, area: Area) -> Any:
        """Return the values of an area as a two-dimensional array of objects."""
        area = self._clipped(area)
        if areas.cell_count(area) > _MOST_CELLS:
            raise NotComputed(f"it reads a range of {areas.cell_count(area):,} cells")
        if area not in self._arrays:
            rows = range(area.top, area.bottom + 1)
            columns = range(area.left, area.right + 1)
            array = np.empty((len(rows), len(columns)), object)
            for down, row in enumerate(rows):
                for right, column in enumerate(columns):
                    array[down, right] = self._value((area.sheet or "", row, column))
            self._arrays[area] = array
        return self._arrays[area]

    def _clipped(self, area: Area) -> Area:
        if area.bottom == MAX_ROW:
            area = replace(area, bottom=max(self._last_row, area.top))
        if area.right == MAX_COLUMN:
            area = replace(area, right=max(self._last_column, area.left))
        return area

    # ---- references

    def _reference(self, *found: Area) -> _Reference:
        return _Reference(found, self._fetch)

    def _area(self, area: Area, place: _Place) -> Area:
        placed = _placed(area, place.sheet)
        if placed.sheet not in self._book.grids:
            raise NotComputed(f"there is no sheet {area.sheet}")
        return placed

    def _named(self, name: Name, sheet: str) -> Node:
        scopes = (name.sheet.upper() if name.sheet else sheet, "")
        for scope in scopes:
            text = self._book.names.get((scope, name.text.upper()))
            if text is not None:
                return parse(without_table_references(text, self._book.tables, 0))
        table = self._book.tables.get(name.text.upper())
        if table is not None:
            return parse(without_table_references(f"{name.text}[]", self._book.tables, 0))
        raise NotComputed(f"the name {name.text} is not defined")

    def _spill(self, node: Spill, place: _Place) -> Any:
        area = self._area(node.anchor, place)
        anchor = (area.sheet or "", area.top, area.left)
        if self._anchors.get(anchor) != anchor:
            return ERRORS["#REF!"]
        formula = self._formula(anchor)
        bottom, right = area.top + formula.rows - 1, area.left + formula.columns - 1
        return self._reference(replace(area, bottom=bottom, right=right))

    def _referred(self, node: Node, place: _Place) -> tuple[Area, ...]:
        """Return what a reference operator's operand refers to."""
        if isinstance(node, Name):
            try:
                self._named(node, place.sheet)
            except NotComputed:
                # In A1:INDEX(…) the tokenizer takes A1 for a name.
                area = parse(f"{node.text}:{node.text}")
                if not isinstance(area, Area) or areas.is_open(area):
                    raise
                node = replace(area, sheet=node.sheet)
        found = self._evaluate(node, place)
        if not isinstance(found, _Reference):
            raise NotComputed("a range is made of something that is no reference")
        return found.areas

    def _combined(self, operation: Operation, place: _Place) -> Any:
        first, second = (self._referred(node, place) for node in operation.operands)
        if operation.operator == ",":
            return self._reference(*first, *second)
        if len({area.sheet for area in (*first, *second)}) != 1:
            raise NotComputed("a range reaches over several sheets")
        if operation.operator == ":":
            return self._reference(areas.around((*first, *second)))
        common = [area for a, b in product(first, second) if (area := areas.shared(a, b))]
        return self._reference(*common) if common else ERRORS["#NULL!"]

    def _facing(self, value: Any, place: _Place) -> Any:
        """Return the cell of a range that stands in the formula's own row or column."""
        if not isinstance(value, _Reference):
            return value
        area = areas.facing(value.areas[0], place.row, place.column)
        return self._reference(area) if area and len(value.areas) == 1 else ERRORS["#VALUE!"]

    # ---- formulas

    def _evaluate(self, node: Node, place: _Place) -> Any:
        if isinstance(node, Literal):
            return node.value
        if isinstance(node, Blank):
            return 0
        if isinstance(node, Area):
            return self._reference(self._area(node, place))
        if isinstance(node, Name):
            return self._evaluate(self._named(node, place.sheet), place)
        if isinstance(node, Spill):
            return self._spill(node, place)
        if isinstance(node, Operation):
            return self._operate(node, place)
        return self._call(node, place)

    def _operate(self, node: Operation, place: _Place) -> Any:
        if node.operator in (":", ",", " "):
            return self._combined(node, place)
        operands = [self._evaluate(operand, place) for operand in node.operands]
        if node.operator == "@":
            return self._facing(operands[0], place)
        if not place.is_array:
            operands = [self._facing(operand, place) for operand in operands]
        return _guarded(OPERATIONS[node.operator], operands, f"the operator {node.operator}")

    def _call(self, node: Call, place: _Place) -> Any:
        name = node.function
        if name in _LAZY and (taken := self._branch(node, place)) is not None:
            return self._evaluate(taken, place)
        if _declared(name):
            return self._catalogue(name, node, place)
        own = _OWN.get(name)
        if own is None and _standard(name) is None:
            raise NotComputed(f"the function {name} is not known here")
        if self._book.date_1904 and name in _DATE_FUNCTIONS:
            raise NotComputed("dates of this workbook count from 1904")
        if name in _ARRAY_FUNCTIONS:
            place = replace(place, is_array=True)
        arguments = [self._evaluate(argument, place) for argument in node.arguments]
        if name in _SCALAR_FUNCTIONS and not place.is_array:
            arguments = [self._facing(argument, place) for argument in arguments]
        if own is not None and (result := own(self, arguments, place)) is not None:
            return result
        return self._library(name, arguments, place)

    def _branch(self, node: Call, place: _Place) -> Node | None:
        """Return the one argument that the result of IF and its like comes from, if one does.

        The other arguments are left unread, as a spreadsheet leaves them.
        """
        if len(node.arguments) < 2:
            return None
        first, *others = node.arguments
        tested = self._evaluate(first, place)
        tested = single(tested if place.is_array else self._facing(tested, place))
        if tested is None:
            return None
        is_error = isinstance(tested, XlError)
        if node.function == "IFERROR":
            return others[0] if is_error else Literal(tested)
        if node.function == "IFNA":
            return others[0] if tested == ERRORS["#N/A"] else Literal(tested)
        if is_error:
            return Literal(tested)
        tested = 0 if tested is EMPTY else tested
        if is_text(tested):
            return None
        if node.function == "CHOOSE":
            index = int(tested) - 1
            return others[index] if 0 <= index < len(others) else Literal(ERRORS["#VALUE!"])
        if tested:
            return others[0]
        return others[1] if len(others) > 1 else Literal(False)

    def _library(self, name: str, arguments: Sequence[Any], place: _Place) -> Any:
        arguments = with_criteria(name, arguments)
        if name in TEXT_FUNCTIONS:
            arguments = texts_for(arguments)
        found = _standard(name)
        extra: list[Any] = []
        if isinstance(found, dict):
            own = Area(place.sheet, place.row, place.column, place.row, place.column)
            # The library asks whether it only tries the formula out; it never does here.
            extra = [
                self._reference(own) if key is CELL else False
                for key in found.get("extra_inputs", ())
            ]
            found = found["function"]
        return _guarded(found, [*extra, *arguments], f"the function {name}")

    def _catalogue(self, name: str, node: Call, place: _Place) -> Any:
        arguments = [
            None if isinstance(argument, Blank) else as_argument(self._evaluate(argument, place))
            for argument in node.arguments
        ]
        # A table that many cells index is worked out once; 1, 1.0 and TRUE stay apart in text.
        key = (name[len("BASIN.") :], repr(arguments))
        if key not in self._calls:
            try:
                self._calls[key] = from_catalogue(catalogue.call(name, *arguments).value)
            except InputError as error:
                self._calls[key] = error
            except Exception as error:
                # One function's fault must not keep the rest of a user's workbook from updating.
                raise NotComputed(f"{name} failed with {type(error).__name__}: {error}") from error
        result = self._calls[key]
        if isinstance(result, InputError):
            self._refused.setdefault(self._open[-1], str(result))
            return ERRORS["#VALUE!"]
        return result

    # ---- functions that work on references; None hands the call on to the library

    def _index(self, arguments: Sequence[Any], place: _Place) -> Any:
        """INDEX of one range, by plain numbers: a reference, for which the range is not read."""
        area = _only_area(arguments[:1])
        numbers = _whole_numbers(arguments[1:])
        if area is None or numbers is None or len(numbers) not in (1, 2):
            if len(_areas_of(arguments[0] if arguments else None)) > 1:
                raise NotComputed("the function INDEX meets several ranges")
            # The library looks for the values of a reference elsewhere.
            read = [a.value if isinstance(a, Ranges) else a for a in arguments]
            return self._library("INDEX", read, place)
        if len(numbers) == 1:
            if area.top == area.bottom:
                numbers = [1, *numbers]
            else:
                numbers = [*numbers, 1 if area.left == area.right else 0]
        if min(numbers) < 0:
            return ERRORS["#VALUE!"]
        found = areas.picked(area, *numbers)
        return self._reference(found) if found else ERRORS["#REF!"]

    def _offset(self, arguments: Sequence[Any], _: _Place) -> Any:
        area = _only_area(arguments[:1])
        numbers = _whole_numbers(arguments[1:])
        if area is None or numbers is None or len(numbers) not in (2, 3, 4):
            return ERRORS["#VALUE!"]
        size = [area.bottom - area.top + 1, area.right - area.left + 1]
        found = areas.moved(area, *numbers, *size[len(numbers) - 2 :])
        return self._reference(found) if found else ERRORS["#REF!"]

    def _indirect(self, arguments: Sequence[Any], place: _Place) -> Any:
        text = single(arguments[0]) if len(arguments) == 1 else None
        if text is None or not is_text(text):
            raise NotComputed("the function INDIRECT can't be computed with these arguments")
        return self._reference(*self._referred(parse(text), place))

    def _subtotal(self, arguments: Sequence[Any], _: _Place) -> Any:
        """SUBTOTAL: other subtotals in the range are left out of it."""
        code = (_whole_numbers(arguments[:1]) or [0])[0]
        if code % 100 not in SUBTOTALS or code > 111:
            return ERRORS["#VALUE!"]
        arrays = []
        for area in (a for argument in arguments[1:] for a in _areas_of(argument)):
            area = self._clipped(area)
            grid = self._book.grids[area.sheet or ""]
            if any(area.top <= row <= area.bottom for row in grid.hidden_rows):
                raise NotComputed("the function SUBTOTAL meets hidden rows")
            array = self._fetch(area).copy()
            for (row, column), formula in grid.formulas.items():
                if "SUBTOTAL(" in formula.text.upper() and areas.holds(
                    area, area.sheet or "", row, column
                ):
                    array[row - area.top, column - area.left] = EMPTY
            arrays.append(array)
        return self._library(SUBTOTALS[code % 100], arrays, _)

    def _count_blank(self, arguments: Sequence[Any], _: _Place) -> Any:
        if any(areas.is_open(area) for argument in arguments for area in _areas_of(argument)):
            raise NotComputed("it counts the blanks of whole columns or rows")

    def _own_cell(self, arguments: Sequence[Any], place: _Place) -> Any:
        return self._facing(arguments[0], place) if arguments else None

    def _last(self, arguments: Sequence[Any], _: _Place) -> Any:
        return arguments[-1] if arguments else None


_OWN: Final[dict[str, Callable[[_Evaluator, Sequence[Any], _Place], Any]]] = {
    "INDEX": _Evaluator._index,
    "OFFSET": _Evaluator._offset,
    "INDIRECT": _Evaluator._indirect,
    "SUBTOTAL": _Evaluator._subtotal,
    "COUNTBLANK": _Evaluator._count_blank,
    "SINGLE": _Evaluator._own_cell,
    "HYPERLINK": _Evaluator._last,
}


def _placed(area: Area, sheet: str) -> Area:
    return replace(area, sheet=area.sheet.upper() if area.sheet else sheet)


def _areas_of(value: Any) -> tuple[Area, ...]:
    return value.areas if isinstance(value, _Reference) else ()


def _only_area(arguments: Sequence[Any]) -> Area | None:
    found = _areas_of(arguments[0]) if arguments else ()
    return found[0] if len(found) == 1 else None


def _whole_numbers(arguments: Sequence[Any]) -> list[int] | None:
    """Return arguments that are single numbers, cut to whole ones; None where one is not."""
    numbers = [0 if (value := single(argument)) is EMPTY else value for argument in arguments]
    if any(
        not isinstance(number, (int, float, np.number)) or not math.isfinite(number)
        for number in numbers
    ):
        return None
    return [int(number) for number in numbers]


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
    except NotComputed:
        raise
    except Exception as error:
        # What the library doesn't foresee must not keep the rest of the workbook from updating.
        raise NotComputed(f"{what} can't be computed with these arguments") from error
    if result is schedula.NONE:
        raise NotComputed(f"{what} can't be computed with these arguments")
    return result
