"""A workbook's values as its file has them, by defined name, and whether they are up to date.

A file that a library or a program without the functions has saved has formulas without a value,
or with the value of what was typed before.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from pathlib import Path

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import Cells
from basinbook.workbook.file.package import sheets_in_sight
from basinbook.workbook.recalculation.calculated import refuse_old
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.opened import Key, open_cells


class Stored:
    """Of a file that is read once, without what makes its sheets look as they do."""

    def __init__(self, path: Path) -> None:
        """Read the file; raises InputError for what is no workbook."""
        self.path = path
        self._opened = open_cells(path)
        self._named = NamedValues(self._opened.package, self._opened.stored())

    @property
    def names(self) -> tuple[str, ...]:
        """The defined names."""
        return self._named.names

    def cells(self, name: str) -> Cells:
        """Return the values of a name's cells; none where it is missing.

        Raises InputError where it points to a sheet that is missing.
        """
        for row in self._named.places(name)[:1]:
            sheet = row[0][0]
            if sheet.upper() not in self._opened.book.grids:
                raise InputError(
                    "file", name, f"the name points to a sheet {sheet} that is missing"
                )
        return self._named.cells(name)

    def place(self, name: str) -> str:
        """Return where a name's first cell is, such as Job!B12; blank where it is missing."""
        return self._named.place(name)

    def stale(self, names: Iterable[str]) -> tuple[Key, ...]:
        """Return the cells of these names that have no value, or not that of their formula."""
        return self._opened.stale(self._keys(names))

    def refuse_stale(self, names: Iterable[str], argument: str) -> None:
        """Raise InputError where a cell of these names has no value, or an old one.

        argument: what the message names.
        """
        refuse_old(self.path, self.stale(names), self._in_sight, argument)

    def refuse_without_value(self, names: Iterable[str], argument: str) -> None:
        """Raise InputError where a formula of these names was never calculated."""
        cells = set(self._keys(names))
        found = tuple(cell for cell in self._opened.without_value() if cell in cells)
        refuse_old(self.path, found, self._in_sight, argument, "no value yet")

    @cached_property
    def _in_sight(self) -> frozenset[str]:
        return sheets_in_sight(self._opened.package)

    def _keys(self, names: Iterable[str]) -> list[Key]:
        return [place for name in names for row in self._named.places(name) for place in row]
