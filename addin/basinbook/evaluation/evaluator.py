"""Evaluating a workbook's formulas with no spreadsheet program.

The standard functions are those of ``functions``; the catalogue gives ours, under both spellings
(``BASIN.NAME`` and ``BASIN_NAME``). What is here orders the cells, fetches what they refer to,
and says of each cell that can't be computed why not. A formula that meets a cell not computed yet
is put off until that one is: no chain of cells needs deep recursion, and a branch not taken is
never read.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from itertools import product
from operator import itemgetter
from typing import Final

from openpyxl.utils.cell import get_column_letter

from basinbook import catalogue
from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.evaluation import areas
from basinbook.evaluation.areas import MAX_COLUMN, MAX_ROW, Area, Reference
from basinbook.evaluation.book import (
    Book,
    Cell,
    Evaluation,
    Formula,
    Grid,
    NotComputed,
    Table,
    Value,
)
from basinbook.evaluation.budget import (
    CURRENT,
    MOST_ARRAY_CELLS,
    MOST_CELLS,
    MOST_COVERED,
    Budget,
)
from basinbook.evaluation.formula_code import TOO_DEEP, areas_of, worked_out
from basinbook.evaluation.formula_tree import Name, Parsed, parse
from basinbook.evaluation.here import Here, Needs
from basinbook.evaluation.our_functions import from_catalogue, gives_table
from basinbook.evaluation.results import as_result, spread
from basinbook.evaluation.table_references import without_table_references
from basinbook.evaluation.values import REF, VALUE, Given, Rows, first_value, single

__all__ = [
    "Book", "Cell", "Evaluation", "Formula", "Grid", "NotComputed", "Table", "Value",
    "evaluate_book",
]  # fmt: skip

_CIRCULAR: Final = "it refers to itself, directly or through other cells"
_READING_STEPS: Final = 4
_FETCHED_BEFORE: Final = 16
_CALL_STEPS: Final = 500
_LONG_CALL: Final = 500


def evaluate_book(book: Book, wanted: Iterable[Cell] | None = None) -> Evaluation:
    """Evaluate every formula of ``book``; cells that fail keep their stored value.

    wanted: only these cells are wanted; then they and what they read are evaluated.
    """
    evaluator = Evaluator(book)
    token = CURRENT.set(evaluator.budget)
    try:
        return evaluator.run(wanted)
    finally:
        CURRENT.reset(token)


@dataclass(slots=True)
class _Step:
    """A cell on the way: its number on the path, the lowest one it leads back to, what it needs."""

    number: int
    reaches: int
    waiting: list[Cell]


class Evaluator:
    """The evaluation of one workbook; functions of references call back into it."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.budget = Budget()
        self._values: dict[Cell, Value] = {}
        self._not_computed: dict[Cell, str] = {}
        self._refused: dict[Cell, str] = {}
        self._fetched: dict[Area, Rows] = {}
        self._names: dict[tuple[Name, str], tuple[Parsed, int]] = {}
        self._calls: dict[tuple[str, str | bytes], Given | InputError] = {}
        self._current: Cell = ("", 0, 0)
        self._beyond: set[Cell] = set()
        self._anchors = self._find_anchors()
        used = [place for grid in book.grids.values() for place in grid.values]
        used += [cell[1:] for cell in self._anchors]
        # Whole columns and rows end here, at one place in all sheets, so that pairs of them
        # (as in SUMIF) stay of one size.
        self._last_row = max(map(itemgetter(0), used), default=1)
        self._last_column = max(map(itemgetter(1), used), default=1)

    def _find_anchors(self) -> dict[Cell, Cell]:
        """Return, of each cell that gets a computed value, the cell that has the formula."""
        anchors: dict[Cell, Cell] = {}
        formulas = [
            ((sheet, *place), formula)
            for sheet, grid in self.book.grids.items()
            for place, formula in grid.formulas.items()
        ]
        covered = 0
        for anchor, formula in formulas:
            if not formula.is_array or _too_large(formula):
                continue
            covered += formula.rows * formula.columns
            if covered > MOST_COVERED:
                self._beyond.add(anchor)
            else:
                sheet, row, column = anchor
                for down, right in product(range(formula.rows), range(formula.columns)):
                    anchors[sheet, row + down, column + right] = anchor
        # Where an array and a cell's own formula overlap, the cell's own counts.
        anchors.update((anchor, anchor) for anchor, _ in formulas)
        return anchors

    def run(self, wanted: Iterable[Cell] | None = None) -> Evaluation:
        """Compute all formula cells, in the book's order, or wanted ones and what they read."""
        cells = self._anchors if wanted is None else wanted
        for anchor in dict.fromkeys(self._anchors[cell] for cell in cells if cell in self._anchors):
            self._settle(anchor)
        return Evaluation(
            {
                cell: value
                for cell, value in self._values.items()
                if self._anchors[cell] not in self._not_computed
            },
            self._not_computed,
            {
                cell: message
                for cell, message in self._refused.items()
                if isinstance(self._values.get(cell), CellError)
            },
        )

    # ---- order

    def _settle(self, start: Cell) -> None:
        """Compute a cell after those that it turns out to read."""
        if self._is_settled(start):
            return
        try:
            self._compute(start, is_circular=False)
        except Needs as needs:
            self._settle_in_order(start, needs)

    def _settle_in_order(self, start: Cell, needs: Needs) -> None:
        path = {start: _Step(0, 1, needs.cells[::-1])}
        todo = [start]
        while todo:
            cell = todo[-1]
            if cell not in path:
                if self._is_settled(cell):
                    todo.pop()
                    continue
                path[cell] = _Step(len(path), len(path) + 1, [])
            step = path[cell]
            while step.waiting and (
                (needed := step.waiting[-1]) in path or self._is_settled(needed)
            ):
                if needed in path:
                    step.reaches = min(step.reaches, path[needed].number)
                step.waiting.pop()
            if step.waiting:
                todo.append(step.waiting[-1])
                continue
            try:
                self._compute(cell, is_circular=step.reaches <= step.number)
            except Needs as needs:
                step.waiting = needs.cells[::-1]
            else:
                todo.pop()
                del path[cell]
                if todo and step.reaches < step.number:
                    below = path[todo[-1]]
                    below.reaches = min(below.reaches, step.reaches)

    def _is_settled(self, anchor: Cell) -> bool:
        return anchor in self._values or anchor in self._not_computed

    # ---- cells

    def _formula(self, anchor: Cell) -> Formula:
        return self.book.grids[anchor[0]].formulas[anchor[1:]]

    def _parsed(self, anchor: Cell) -> Parsed:
        formula = self._formula(anchor)
        if formula.problem:
            raise NotComputed(formula.problem)
        if _too_large(formula):
            raise NotComputed(f"its array covers {formula.rows * formula.columns:,} cells")
        if formula.is_array and anchor in self._beyond:
            raise NotComputed(f"the workbook's arrays cover more than {MOST_COVERED:,} cells")
        return self._parse(formula.text, anchor[1])

    def _parse(self, text: str, row: int) -> Parsed:
        self.budget.spend(_READING_STEPS * len(text))
        return parse(without_table_references(text, self.book.tables, row))

    def _compute(self, anchor: Cell, *, is_circular: bool) -> None:
        formula = self._formula(anchor)
        self._current = anchor
        self._refused.pop(anchor, None)
        self.budget.next_formula()
        try:
            if is_circular:
                raise NotComputed(_CIRCULAR)
            here = Here(*anchor, formula.is_array, self._parsed(anchor))
            result = worked_out(self, here)
            self._store(anchor, formula, here, result)
        except NotComputed as reason:
            self._keep(anchor, formula, str(reason))
        except RecursionError:
            self._keep(anchor, formula, TOO_DEEP)

    def _store(self, anchor: Cell, formula: Formula, here: Here, result: Given | Reference) -> None:
        if not formula.is_array:
            self._values[anchor] = as_result(first_value(self.value(result, here)))
            return
        given = self.rows(result) if isinstance(result, Reference) else result
        # A table of the catalogue leaves the cells beyond it blank.
        blank_beyond = gives_table(here.parsed.shape.tree)
        sheet, top, left = anchor
        for down, right in product(range(formula.rows), range(formula.columns)):
            cell = (sheet, top + down, left + right)
            if self._anchors[cell] == anchor:
                found = spread(given, down, right, blank_beyond=blank_beyond)
                self._values[cell] = as_result(found)

    def _keep(self, anchor: Cell, formula: Formula, reason: str) -> None:
        self._not_computed[anchor] = reason
        sheet, row, column = anchor
        stored = self.book.grids[sheet].values
        if stored.get((row, column)) is None:
            return
        if _too_large(formula) or anchor in self._beyond:
            self._values[anchor] = stored[row, column]
            return
        for down, right in product(range(formula.rows), range(formula.columns)):
            cell = (sheet, row + down, column + right)
            if self._anchors.get(cell) == anchor:
                self._values[cell] = stored.get(cell[1:])

    # ---- values of references

    def rows(self, reference: Reference, *, trim: bool = False) -> Rows:
        """Return the values of a reference; of a union, in one column.

        ``trim`` leaves out cells beyond the last used row and column.
        """
        if len(reference.areas) == 1:
            return self._fetch(reference.areas[0], trim=trim)
        return [
            [value]
            for area in reference.areas
            for row in self._fetch(area, trim=trim)
            for value in row
        ]

    def value(self, found: Given | Reference, here: Here) -> Given:
        """Return an operand: in a plain formula, of a range the cell facing the formula."""
        if not isinstance(found, Reference):
            return found
        if not here.is_array or (found.only and found.only.size == 1):
            faced = self.facing(found, here)
            return self._fetch(faced.areas[0])[0][0] if isinstance(faced, Reference) else faced
        return single(self.rows(found))

    def facing(self, found: Given | Reference, here: Here) -> Given | Reference:
        """Return the cell of a range that stands in the formula's own row or column."""
        if not isinstance(found, Reference):
            return found
        area = areas.facing(found.areas[0], here.row, here.column)
        return Reference((area,)) if area and found.only else VALUE

    def clipped(self, area: Area, *, trim: bool = False) -> Area:
        """Return an area of whole columns or rows without what lies beyond the used ones."""
        if area.bottom == MAX_ROW or (trim and area.bottom > self._last_row):
            area = area._replace(bottom=max(self._last_row, area.top))
        if area.right == MAX_COLUMN or (trim and area.right > self._last_column):
            area = area._replace(right=max(self._last_column, area.left))
        return area

    def cell(self, title: str | None, row: int, column: int, here: Here) -> Value:
        """Return the value of one cell; ``title`` None is a cell of the own sheet."""
        self.budget.spend(1)
        sheet = title.upper() if title else here.sheet
        cell = (sheet, row, column)
        if cell in self._values:
            return self._values[cell]
        if cell in self._anchors:
            self._ask_for([cell])
        if sheet not in self.book.grids:
            raise NotComputed(f"there is no sheet {title}")
        return self.book.grids[sheet].values.get((row, column))

    def _fetch(self, area: Area, *, trim: bool = False) -> Rows:
        known = self._fetched.get(area)
        if known is not None:
            self.budget.spend(1 + area.size // _FETCHED_BEFORE)
            return known
        clipped = self.clipped(area)
        if clipped.size > MOST_CELLS:
            raise NotComputed(f"it reads a range of {clipped.size:,} cells")
        area = self.clipped(area, trim=trim)
        if area in self._fetched:
            self.budget.spend(1 + area.size // _FETCHED_BEFORE)
            return self._fetched[area]
        self.budget.spend(area.size)
        sheet = area.sheet or ""
        stored = self.book.grids[sheet].values
        missing: list[Cell] = []
        rows: Rows = []
        for row in range(area.top, area.bottom + 1):
            values: list[Value] = []
            for column in range(area.left, area.right + 1):
                cell = (sheet, row, column)
                if cell in self._values:
                    values.append(self._values[cell])
                elif cell in self._anchors:
                    missing.append(cell)
                else:
                    values.append(stored.get((row, column)))
            rows.append(values)
        if missing:
            self._ask_for(missing)
        if area.size > 1:
            self._fetched[area] = rows
        return rows

    def _ask_for(self, missing: list[Cell]) -> None:
        needed = [a for cell in missing if not self._is_settled(a := self._anchors[cell])]
        if needed:
            raise Needs(needed)
        sheet, row, column = missing[0]
        name = f"{self.book.grids[sheet].name}!{get_column_letter(column)}{row}"
        raise NotComputed(f"it reads {name}, which could not be computed")

    # ---- references

    def area(self, area: Area, here: Here) -> Area:
        """Return a formula's area with its sheet as the book has it."""
        sheet = area.sheet.upper() if area.sheet else here.sheet
        if sheet not in self.book.grids:
            raise NotComputed(f"there is no sheet {area.sheet}")
        return Area(sheet, *area[1:])

    def named(self, name: Name, sheet: str) -> Parsed:
        """Return what a defined name stands for on a sheet."""
        known = self._names.get((name, sheet))
        if known is None:
            text = self._text_of(name, sheet)
            known = self._names[name, sheet] = self._parse(text, 0), len(text)
        else:
            self.budget.spend(_READING_STEPS * known[1])
        return known[0]

    def _text_of(self, name: Name, sheet: str) -> str:
        for scope in (name.sheet.upper() if name.sheet else sheet, ""):
            text = self.book.names.get((scope, name.text.upper()))
            if text is not None:
                return text
        if name.text.upper() in self.book.tables:
            return f"{name.text}[]"
        raise NotComputed(f"the name {name.text} is not defined")

    def spilled(self, found: Given | Reference) -> Given | Reference:
        """Return what the array formula at one cell covers."""
        area = found.only if isinstance(found, Reference) else None
        if area is None:
            return REF
        anchor = (area.sheet or "", area.top, area.left)
        if self._anchors.get(anchor) != anchor:
            return REF
        formula = self._formula(anchor)
        bottom, right = area.top + formula.rows - 1, area.left + formula.columns - 1
        return Reference((area._replace(bottom=bottom, right=right),))

    def referred(self, text: str, here: Here) -> Given | Reference:
        """Return what a text refers to (INDIRECT)."""
        return Reference(areas_of(worked_out(self, here.inside(self._parse(text, here.row)))))

    # ---- our functions

    def catalogue(self, function: str, arguments: list[object]) -> Given:
        """Return what a function of ours gives."""
        # A table that many cells index is worked out once; 1, 1.0 and TRUE stay apart in text.
        text = repr(arguments)
        self.budget.spend(len(text) // 4)
        # Of whole ranges a digest is kept: many of them would fill the memory.
        short = (
            text if len(text) <= _LONG_CALL else sha256(text.encode("utf-8", "replace")).digest()
        )
        key = (function[len("BASIN.") :], short)
        if key not in self._calls:
            self.budget.spend(_CALL_STEPS)
            try:
                self._calls[key] = from_catalogue(catalogue.call(function, *arguments).value)
            except InputError as error:
                self._calls[key] = error
            except Exception as error:
                # One function's fault must not keep the rest of a user's workbook from updating.
                raise NotComputed(
                    f"{function} failed with {type(error).__name__}: {error}"
                ) from error
        result = self._calls[key]
        if isinstance(result, InputError):
            self._refused.setdefault(self._current, str(result))
            return VALUE
        return result


def _too_large(formula: Formula) -> bool:
    return formula.rows * formula.columns > MOST_ARRAY_CELLS
