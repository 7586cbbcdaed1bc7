"""Recalculating a workbook file with no spreadsheet program.

The results are stored as the formula cells' values, where any viewer reads them. Nothing else of
the file changes, but for the mark on cells that could not be computed (``marks``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeGuard

from lxml import etree
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter, range_boundaries
from openpyxl.utils.exceptions import CellCoordinatesException

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Book, Cell, Evaluation, Table, Value
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.files.targets import check_target, is_same_place
from basinbook.workbook.file.cells import SheetCells, shared_texts, unescaped
from basinbook.workbook.file.marks import set_marks
from basinbook.workbook.file.package import (
    ARGUMENT,
    Package,
    open_package,
    sheet_parts,
    to_xml,
    workbook_part,
    write_package,
)
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.row_heights import fit_rows

Key = tuple[str, str]
"""A sheet's name and a cell of it, such as ("Job", "B5")."""
Refresher = Callable[[Package, Mapping[Key, Value]], Mapping[str, bytes]]
"""Takes the package and the fresh values; returns the media parts to replace."""
Reader = Callable[[Iterable[str]], Mapping[Key, Value]]
"""Takes defined names; returns the values with those of their cells fresh, the others as stored."""
Early = Callable[[Package, Reader], AbstractContextManager[Refresher]]
"""Begins before the formulas are evaluated; gives a refresher for when they are."""

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
class Report:
    """What a recalculation did.

    ``not_computed``: cells whose old value was kept and marked. ``refused``: cells that show an
    error because one of our functions refused an argument, and what it said of it.
    """

    out: Path
    formulas: int
    changed: int
    not_computed: tuple[Problem, ...]
    refused: tuple[Problem, ...]
    pictures: int = 0


def recalculate(
    path: Path,
    *,
    out: Path | None = None,
    force: bool = False,
    refreshers: Iterable[Refresher] = (),
    early: Iterable[Early] = (),
    typed: Mapping[Key, Value] | None = None,
) -> Report:
    """Evaluate the workbook and store the results as its cells' values; return what was done.

    ``out`` writes to another file and leaves ``path`` as it is; an existing one is replaced only
    with ``force``. ``refreshers`` give fresh bytes for picture parts, made from the new values;
    those of ``early`` come first, and are at work while the formulas are evaluated.
    ``typed`` puts values into cells without a formula first, as if the user had typed them.
    Raises InputError where a file can't be read or written; then nothing has changed.
    """
    target = out if out is not None else path
    opened = _open(path)
    for cell, value in (typed or {}).items():
        opened.type(cell, value)
    in_place = is_same_place(path, target)
    check_target(target, replace=in_place or force)
    with ExitStack() as stack:
        begun = [stack.enter_context(begin(opened.package, opened.fresh)) for begin in early]
        evaluation = evaluate_book(opened.book)
        changed = opened.store(evaluation)
        replaced = opened.set_marks(evaluation)
        values = opened.values(evaluation)
        fit_rows(
            opened.package, {name: sheet for name, (_, sheet) in opened.sheets.items()}, values
        )
        for part, sheet in opened.sheets.values():
            if sheet.changed:
                replaced[part] = to_xml(sheet.root)
        pictures: dict[str, bytes] = {}
        for refresh in (*begun, *refreshers):
            pictures.update(refresh(opened.package, values))
    pictures = {p: data for p, data in pictures.items() if data != opened.package.parts.get(p)}
    replaced.update(pictures)
    if replaced or not in_place:
        write_package(opened.package, replaced, target, replace=in_place or force)
    return Report(
        out=target,
        formulas=sum(len(grid.formulas) for grid in opened.book.grids.values()),
        changed=changed,
        not_computed=opened.problems(evaluation.not_computed),
        refused=opened.problems(evaluation.refused),
        pictures=len(pictures),
    )


def evaluate(path: Path, overrides: Mapping[Key, Value] | None = None) -> dict[Key, Value]:
    """Return every cell's value as it is after a recalculation; the file stays as it is.

    ``overrides`` puts other values (or values in place of formulas) into cells first.
    """
    opened = _open(path)
    for (sheet, at), value in (overrides or {}).items():
        if sheet.upper() not in opened.book.grids:
            raise InputError("overrides", sheet, "the workbook has no such sheet")
        grid = opened.book.grids[sheet.upper()]
        place = coordinate_to_tuple(at.upper())
        grid.values[place] = value
        grid.formulas.pop(place, None)
    return opened.values(evaluate_book(opened.book))


def calculated(path: Path, name: str) -> tuple[Package, dict[Key, Value]]:
    """Return the workbook's package, and the values with those of a defined name calculated.

    What that name's cells do not read has its stored value.
    """
    opened = _open(path)
    return opened.package, opened.fresh([name])


def read_values(path: Path) -> dict[str, dict[str, Value]]:
    """Return the values as they are stored in the file: sheet → cell → value."""
    opened = _open(path)
    return {
        grid.name: {_at(place): value for place, value in grid.values.items()}
        for grid in opened.book.grids.values()
    }


def read_book(path: Path) -> Book:
    """Return the sheets as they are stored in the file: values and formulas."""
    return _open(path).book


def read_named(path: Path) -> tuple[Book, NamedValues]:
    """Return the sheets as they are stored in the file, and where its defined names are."""
    opened = _open(path)
    return opened.book, NamedValues(opened.package, {})


def staleness(path: Path, among: Iterable[Key] | None = None) -> tuple[Key, ...]:
    """Return the formula cells whose stored value is missing or differs from a fresh one.

    ``among``: only these cells are asked about; then what they do not read is not computed.
    Cells that give another value every time, such as NOW, are left out; cells that can't be
    computed here count where they have no value at all.
    """
    opened = _open(path)
    asked = None if among is None else {_cell(key) for key in among}
    evaluation = evaluate_book(opened.book, asked)
    stale = [
        cell
        for cell, value in evaluation.values.items()
        if (asked is None or cell in asked)
        and not _agree(opened.book.grids[cell[0]].values.get(cell[1:]), value)
    ]
    if stale:
        again = evaluate_book(opened.book, asked).values
        stale = [cell for cell in stale if _agree(evaluation.values[cell], again.get(cell))]
    stale += [
        cell
        for cell in evaluation.not_computed
        if (asked is None or cell in asked)
        and opened.book.grids[cell[0]].values.get(cell[1:]) is None
    ]
    return tuple(opened.key(cell) for cell in stale)


def without_value(path: Path) -> tuple[Key, ...]:
    """Return the formula cells that have no stored value: they were never calculated."""
    return tuple(
        (grid.name, _at(place))
        for grid in _open(path).book.grids.values()
        for place in grid.formulas
        if grid.values.get(place) is None
    )


def is_stale(path: Path) -> bool:
    """Return whether the file needs a recalculation."""
    return bool(staleness(path))


@dataclass(frozen=True)
class _Opened:
    package: Package
    book: Book
    sheets: dict[str, tuple[str, SheetCells]]
    """By the name in capitals: the sheet's part and its cells."""

    def key(self, cell: Cell) -> Key:
        return self.book.grids[cell[0]].name, _at(cell[1:])

    def type(self, cell: Key, value: Value) -> None:
        name, place = cell[0].upper(), coordinate_to_tuple(cell[1])
        self.book.grids[name].values[place] = value
        self.sheets[name][1].store(place, value)

    def store(self, evaluation: Evaluation) -> int:
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

    def _order(self, cell: Cell) -> tuple[int, int, int]:
        return list(self.book.grids).index(cell[0]), *cell[1:]

    def problems(self, found: Mapping[Cell, str]) -> tuple[Problem, ...]:
        return tuple(
            Problem(*self.key(cell), self.book.grids[cell[0]].formulas[cell[1:]].text, reason)
            for cell, reason in sorted(found.items(), key=lambda item: self._order(item[0]))
        )


def _open(path: Path) -> _Opened:
    package = open_package(path)
    try:
        return _opened(package)
    except InputError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, CellCoordinatesException) as error:
        raise InputError(
            ARGUMENT, str(path), "its sheets have something no sheet has; open and save it again"
        ) from error


def _opened(package: Package) -> _Opened:
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
    properties = root.find("{*}workbookPr")
    book = Book(
        {name.upper(): sheets[name.upper()][1].grid(name) for name in sheet_parts(package)},
        _defined_names(root),
        _tables(package),
        properties is not None and properties.get("date1904") in ("1", "true"),
    )
    return _Opened(package, book, sheets)


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


def _at(place: tuple[int, int]) -> str:
    return f"{get_column_letter(place[1])}{place[0]}"


def _range(place: tuple[int, int], rows: int, columns: int) -> str:
    if rows == columns == 1:
        return _at(place)
    return f"{_at(place)}:{_at((place[0] + rows - 1, place[1] + columns - 1))}"
