"""Workbooks held in memory, typed over and worked out without a file being read again."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter
from openpyxl.utils.datetime import to_excel

from basinbook.evaluation.book import Book, Formula, Grid
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.workbook.recalculation import recalc
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.recalc import Key
from workbook.dependents import Dependents
from workbook.places import place


def evaluated(
    path: Path, typed: Mapping[Key, Any] | None = None, unread: Collection[str] = ()
) -> dict[Key, Any]:
    """As ``recalc.evaluate``: all values with some cells typed over.

    ``unread``: sheets that nothing is read of, whose formula cells stay without a value.
    """
    stored = _read(path, path.stat().st_mtime_ns)
    over: dict[str, dict[tuple[int, int], Any]] = defaultdict(dict)
    for (sheet, at), value in (typed or {}).items():
        over[sheet.upper()][coordinate_to_tuple(at)] = value
    grids = {}
    for title, grid in stored.grids.items():
        if grid.name in unread:
            over[title] = {**dict.fromkeys(grid.formulas), **over[title]}
        formulas = {at: formula for at, formula in grid.formulas.items() if at not in over[title]}
        values = {**grid.values, **over[title]}
        grids[title] = Grid(grid.name, values, formulas, grid.hidden_rows)
    found = evaluate_book(Book(grids, stored.names, stored.tables, stored.date_1904))
    assert not found.not_computed
    return {
        (grids[sheet].name, _at(spot)): value
        for sheet, grid in grids.items()
        for spot, value in grid.values.items()
    } | {
        (grids[sheet].name, _at((row, column))): value
        for (sheet, row, column), value in found.values.items()
    }


@cache
def _read(path: Path, _written: int) -> Book:
    return recalc.read_book(path)


class Edited:
    """A calculated workbook in which an edit works anew what hangs on the edited cells alone."""

    def __init__(self, path: Path, unread: Iterable[str] = ()) -> None:
        """Open it; ``unread``: sheets that nothing is read of after an edit."""
        self.path = path
        self.unread = frozenset(unread)
        self.book = openpyxl.load_workbook(path)
        self.dependents = Dependents(self.book)
        opened = recalc._open(path)
        self.stored, self.package = opened.book, opened.package
        self.typed: dict[Key, Any] = {}
        self.start: dict[Key, Any] = {
            (grid.name, _at(spot)): value
            for grid in self.stored.grids.values()
            for spot, value in grid.values.items()
        }

    def type(self, typed: Mapping[Key, Any]) -> None:
        """Keep cells typed: what they give is where every later edit starts from."""
        self.typed = {**self.typed, **typed}
        self.start = recalc.evaluate(self.path, self.typed)
        for (sheet, at), value in self.start.items():
            self.stored.grids[sheet.upper()].values[coordinate_to_tuple(at)] = value

    def cell(self, name: str) -> Key:
        """Where a name is; of a range its area."""
        return place(self.book, name)

    def cells(self, typed: Mapping[str, Any]) -> dict[Key, Any]:
        """Values by cell that are given by name; of a range, the first cell's."""
        found = {}
        for name, value in typed.items():
            sheet, at = self.cell(name)
            date = isinstance(value, dt.date)
            found[sheet, at.partition(":")[0]] = to_excel(value) if date else value
        return found

    def named(self, values: Mapping[Key, Any]) -> NamedValues:
        """The values by defined name."""
        return NamedValues(self.package, values)

    def whole(self, changed: Mapping[Key, Any], name: str | None = None) -> dict[Key, Any]:
        """Return all values after an edit; with a name, those that its cells do not read stay."""
        return {**self.start, **changed, **self.after(changed, name)}

    def after(self, changed: Mapping[Key, Any], name: str | None = None) -> dict[Key, Any]:
        """Return the cells that an edit works anew; with a name, of those that its cells read."""
        formulas: dict[str, dict[tuple[int, int], Formula]] = defaultdict(dict)
        for sheet, at in self.dependents.after(changed):
            here = self.stored.grids[sheet.upper()].formulas
            spot = coordinate_to_tuple(at)
            if sheet not in self.unread and (sheet, at) not in changed and spot in here:
                formulas[sheet.upper()][spot] = here[spot]
        typed: dict[str, dict[tuple[int, int], Any]] = defaultdict(dict)
        for (sheet, at), value in changed.items():
            typed[sheet.upper()][coordinate_to_tuple(at)] = value
        grids = {
            title: Grid(
                grid.name,
                {**grid.values, **typed[title]} if title in typed else grid.values,
                formulas[title],
                grid.hidden_rows,
            )
            for title, grid in self.stored.grids.items()
        }
        book = Book(grids, self.stored.names, self.stored.tables, self.stored.date_1904)
        wanted = None
        if name is not None:
            rows = self.named({}).places(name)
            wanted = [(s.upper(), *coordinate_to_tuple(at)) for row in rows for s, at in row]
        found = evaluate_book(book, wanted)
        assert not found.not_computed
        return {
            (grids[sheet].name, _at((row, column))): value
            for (sheet, row, column), value in found.values.items()
        }


@cache
def _at(spot: tuple[int, int]) -> str:
    return f"{get_column_letter(spot[1])}{spot[0]}"
