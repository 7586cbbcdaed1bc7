"""The cells of a workbook's file as it is read once: formulas, stored values, and where they go."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeGuard

from lxml import etree
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter, range_boundaries
from openpyxl.utils.exceptions import CellCoordinatesException

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Book, Cell, Evaluation, Table, Value
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.workbook.file.cells import SheetCells, shared_texts, unescaped
from basinbook.workbook.file.marks import set_marks
from basinbook.workbook.file.package import (
    ARGUMENT,
    Package,
    counts_from_1904,
    open_package,
    sheet_parts,
    to_xml,
    workbook_part,
)
from basinbook.workbook.recalculation.named_values import NamedValues

Key = tuple[str, str]
"""A sheet's name and a cell of it, such as ("Job", "B5")."""

# Programs store 15 to 17 digits; what differs by less was not computed from other inputs.
_SAME: Final = 1e-9
# A number that a program wrote with 15 digits is left as it wrote it.
_DIGITS: Final = 1e-14


@dataclass(frozen=True)
class Problem:
    """A cell to look at, and why."""

    sheet: str
    cell: str
    formula: str
    reason: str


@dataclass(frozen=True)
class Opened:
    """The cells of a workbook's file, read once."""

    package: Package
    book: Book
    sheets: dict[str, tuple[str, SheetCells]]
    """By the name in capitals: the sheet's part and its cells."""

    def key(self, cell: Cell) -> Key:
        """Return a cell as users know it."""
        return self.book.grids[cell[0]].name, address(cell[1:])

    def type(self, cell: Key, value: Value) -> None:
        """Put a value into a cell without a formula."""
        name, place = cell[0].upper(), coordinate_to_tuple(cell[1])
        self.book.grids[name].values[place] = value
        self.sheets[name][1].store(place, value)

    def store(self, evaluation: Evaluation) -> int:
        """Store what was worked out; return how many values are others now."""
        changed = 0
        for cell, value in evaluation.values.items():
            stored = self.book.grids[cell[0]].values.get(cell[1:])
            if not _is_number(stored) or not _agree(stored, value, _DIGITS):
                changed += not _agree(stored, value)
                self.sheets[cell[0]][1].store(cell[1:], value)
        return changed

    def set_marks(self, evaluation: Evaluation) -> dict[str, bytes]:
        """Mark what could not be computed; return the styles part where it had to change."""
        main = workbook_part(self.package)
        related = self.package.related(main).values()
        part = next((target for kind, target in related if kind == "styles"), "")
        if part not in self.package.parts:
            return {}
        styles = self.package.xml(part)
        styles_changed = False
        for name, (_, sheet) in self.sheets.items():
            formulas = self.book.grids[name].formulas
            ranges = [
                _range(cell[1:], formulas[cell[1:]].rows, formulas[cell[1:]].columns)
                for cell in evaluation.not_computed
                if cell[0] == name
            ]
            styles_changed |= set_marks(sheet, ranges, styles)
        return {part: to_xml(styles)} if styles_changed else {}

    def values(self, evaluation: Evaluation) -> dict[Key, Value]:
        """Return the values with those worked out."""
        everything: dict[Cell, Value] = {
            (name, *place): value
            for name, grid in self.book.grids.items()
            for place, value in grid.values.items()
        }
        everything.update(evaluation.values)
        return {self.key(cell): value for cell, value in everything.items()}

    def fresh(self, names: Iterable[str]) -> dict[Key, Value]:
        """Return the values with those of defined names calculated, and all that these read."""
        named = NamedValues(self.package, {})
        places = (place for name in names for row in named.places(name) for place in row)
        return self.values(evaluate_book(self.book, map(_cell, places)))

    def stored(self) -> dict[Key, Value]:
        """Return the values as they are stored in the file."""
        return {
            (grid.name, address(place)): value
            for grid in self.book.grids.values()
            for place, value in grid.values.items()
        }

    def stale(self, among: Iterable[Key] | None = None) -> tuple[Key, ...]:
        """Return the formula cells whose stored value is missing or differs from a fresh one.

        ``among``: only these cells are asked about; then what they do not read is not computed.
        Cells that give another value every time, such as NOW, are left out; cells that can't be
        computed here count where they have no value at all.
        """
        grids = self.book.grids
        asked = None if among is None else {_cell(key) for key in among}
        evaluation = evaluate_book(self.book, asked)
        stale = [
            cell
            for cell, value in evaluation.values.items()
            if (asked is None or cell in asked)
            and not _agree(grids[cell[0]].values.get(cell[1:]), value)
        ]
        if stale:
            again = evaluate_book(self.book, asked).values
            stale = [cell for cell in stale if _agree(evaluation.values[cell], again.get(cell))]
        stale += [
            cell
            for cell in evaluation.not_computed
            if (asked is None or cell in asked) and grids[cell[0]].values.get(cell[1:]) is None
        ]
        return tuple(self.key(cell) for cell in stale)

    def without_value(self) -> tuple[Key, ...]:
        """Return the formula cells that have no stored value: they were never calculated."""
        return tuple(
            (grid.name, address(place))
            for grid in self.book.grids.values()
            for place in grid.formulas
            if grid.values.get(place) is None
        )

    def _order(self, cell: Cell) -> tuple[int, int, int]:
        return list(self.book.grids).index(cell[0]), *cell[1:]

    def problems(self, found: Mapping[Cell, str]) -> tuple[Problem, ...]:
        """Return what was found of cells, in the workbook's order."""
        return tuple(
            Problem(*self.key(cell), self.book.grids[cell[0]].formulas[cell[1:]].text, reason)
            for cell, reason in sorted(found.items(), key=lambda item: self._order(item[0]))
        )


def open_cells(path: Path) -> Opened:
    """Read the cells of a workbook's file; raises InputError for what is none."""
    package = open_package(path)
    try:
        return _opened(package)
    except InputError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, CellCoordinatesException) as error:
        raise InputError(
            ARGUMENT, str(path), "its sheets have something no sheet has; open and save it again"
        ) from error


def _opened(package: Package) -> Opened:
    main = workbook_part(package)
    root = package.xml(main)
    texts = next(
        (
            shared_texts(package.xml(part))
            for kind, part in package.related(main).values()
            if kind == "sharedStrings"
        ),
        [],
    )
    sheets = {
        name.upper(): (part, SheetCells(package.xml(part), texts))
        for name, part in sheet_parts(package).items()
    }
    book = Book(
        {name.upper(): sheets[name.upper()][1].grid(name) for name in sheet_parts(package)},
        _defined_names(root),
        _tables(package),
        counts_from_1904(package),
    )
    return Opened(package, book, sheets)


def _defined_names(root: etree._Element) -> dict[tuple[str, str], str]:
    names = [sheet.get("name", "").upper() for sheet in root.iterfind("{*}sheets/{*}sheet")]
    found = {}
    for item in root.iterfind("{*}definedNames/{*}definedName"):
        scope = item.get("localSheetId")
        sheet = names[int(scope)] if scope and int(scope) < len(names) else ""
        found[sheet, item.get("name", "").upper()] = item.text or ""
    return found


def _tables(package: Package) -> dict[str, Table]:
    found = {}
    for sheet, sheet_part in sheet_parts(package).items():
        for kind, part in package.related(sheet_part).values():
            if kind != "table":
                continue
            root = package.xml(part)
            left, top, right, bottom = range_boundaries(root.get("ref", ""))
            if left is None or top is None or right is None or bottom is None:
                continue
            name = root.get("displayName", root.get("name", ""))
            found[name.upper()] = Table(
                sheet,
                top,
                left,
                bottom,
                tuple(
                    unescaped(column.get("name", ""))
                    for column in root.iterfind("{*}tableColumns/{*}tableColumn")
                ),
                int(root.get("headerRowCount", 1)),
                int(root.get("totalsRowCount", 0)),
            )
    return found


def _is_number(value: Value) -> TypeGuard[float]:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _agree(stored: Value, fresh: Value, tolerance: float = _SAME) -> bool:
    if _is_number(stored) and _is_number(fresh):
        return math.isclose(stored, fresh, rel_tol=tolerance, abs_tol=tolerance * 1e-3)
    if isinstance(stored, bool) or isinstance(fresh, bool):
        return stored is fresh
    # A blank of an array's tail may have no cell.
    return ("" if stored is None else stored) == ("" if fresh is None else fresh)


def _cell(key: Key) -> Cell:
    return (key[0].upper(), *coordinate_to_tuple(key[1]))


def address(place: tuple[int, int]) -> str:
    """Return a row and column as a cell is named, such as B5."""
    return f"{get_column_letter(place[1])}{place[0]}"


def _range(place: tuple[int, int], rows: int, columns: int) -> str:
    if rows == columns == 1:
        return address(place)
    return f"{address(place)}:{address((place[0] + rows - 1, place[1] + columns - 1))}"
