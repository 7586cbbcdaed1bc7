"""Workbooks held in memory, typed over and worked out without a file being read again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter
from openpyxl.utils.datetime import to_excel

from basinbook.evaluation.book import Cell
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.opened import Key, open_cells
from workbook.places import place
from workbook.reworked import Reworked


def evaluated(
    path: Path, typed: Mapping[Key, Any] | None = None, unread: Collection[str] = ()
) -> dict[Key, Any]:
    """As ``recalc.evaluate``: all values with some cells typed over.

    ``unread``: sheets that nothing is read of, whose formula cells stay without a value.
    """
    worked = _worked(path, path.stat().st_mtime_ns, frozenset(unread))
    return _by_key(worked, typed or {}, worked.after(_places(typed or {})))


@lru_cache(maxsize=8)
def _worked(path: Path, _written: int, unread: frozenset[str]) -> Reworked:
    book = open_cells(path).book
    for grid in book.grids.values():
        if grid.name in unread:
            grid.values |= dict.fromkeys(grid.formulas)
            grid.formulas.clear()
    return Reworked(book)


def _places(typed: Mapping[Key, Any]) -> dict[Cell, Any]:
    return {(sheet.upper(), *coordinate_to_tuple(at)): v for (sheet, at), v in typed.items()}


def _by_key(
    worked: Reworked, typed: Mapping[Key, Any], found: Mapping[Cell, Any]
) -> dict[Key, Any]:
    grids = worked.book.grids
    stored = {
        (grid.name, _at(spot)): value
        for grid in grids.values()
        for spot, value in grid.values.items()
    }
    return {**stored, **_keys(worked, _places(typed)), **_keys(worked, found)}


def _keys(worked: Reworked, found: Mapping[Cell, Any]) -> dict[Key, Any]:
    grids = worked.book.grids
    return {(grids[at[0]].name, _at(at[1:])): value for at, value in found.items()}


class Edited:
    """A calculated workbook in which an edit works anew what it can move alone."""

    def __init__(self, path: Path, unread: Iterable[str] = ()) -> None:
        """Open it; ``unread``: sheets that nothing is read of after an edit."""
        self.path = path
        self.unread = frozenset(unread)
        self.book = openpyxl.load_workbook(path)
        opened = open_cells(path)
        self.package = opened.package
        for grid in opened.book.grids.values():
            if grid.name in self.unread:
                grid.formulas.clear()
        self.worked = Reworked(opened.book)
        self._named: dict[str, Key] = {}
        self.typed: dict[Key, Any] = {}
        self.start = _by_key(self.worked, {}, self.worked.values)

    def type(self, typed: Mapping[Key, Any]) -> None:
        """Keep cells typed: what they give is where every later edit starts from."""
        self.typed = {**self.typed, **typed}
        self.start = _by_key(self.worked, self.typed, self.worked.type(_places(self.typed)))

    def cell(self, name: str) -> Key:
        """Where a name is; of a range its area."""
        if name not in self._named:
            self._named[name] = place(self.book, name)
        return self._named[name]

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
        """Return the cells that an edit moves; with a name, of those that its cells read."""
        wanted = None
        if name is not None:
            rows = self.named({}).places(name)
            wanted = [(s.upper(), *coordinate_to_tuple(at)) for row in rows for s, at in row]
        typed = _places({**self.typed, **changed})
        return _keys(self.worked, self.worked.moved(typed, wanted))


@cache
def _at(spot: tuple[int, int]) -> str:
    return f"{get_column_letter(spot[1])}{spot[0]}"
