"""A workbook, old or new, as places that are typed in, by what finds them again in the other.

A place has a name, lies in a column of a table that has one, or stands in the row of a label. Rows
with no label of their own, such as free lines, are counted below the heading of their section.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from openpyxl.cell import MergedCell
from openpyxl.styles.numbers import is_date_format
from openpyxl.workbook import Workbook

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Grid, Value
from basinbook.workbook.file.open_workbook import named_area, named_places

Spot = tuple[int, int]
"""Row and column."""
_FORMULA_LABEL: Final = "="


class Place(NamedTuple):
    """A cell of a sheet."""

    sheet: str
    row: int
    column: int

    @property
    def spot(self) -> Spot:
        """Its row and column."""
        return self.row, self.column


class Area(NamedTuple):
    """What a defined name stands for."""

    sheet: str
    left: int
    top: int
    right: int
    bottom: int


class RowKey(NamedTuple):
    """By what a row is found again: its label, or its section's heading; counted where several."""

    sheet: str
    text: str
    number: int
    labelled: bool


@dataclass
class Side:
    """One of the two workbooks: ``book`` for locks and names, ``grids`` for values as stored.

    ``sections``: the headings of each sheet. ``days``: what its dates count from, as days after
    the start of the usual calendar. ``version``: of its sheets and cells.
    """

    book: Workbook
    grids: Mapping[str, Grid]
    sections: Mapping[str, Iterable[str]]
    days: int = 0
    version: int = 1
    areas: dict[str, Area] = field(init=False)
    _unlocked: dict[str, set[Spot]] = field(init=False)

    def __post_init__(self) -> None:
        """Find what the names stand for; one that is no area of a sheet is left out."""
        self.areas = {}
        for name, defined in self.book.defined_names.items():
            try:
                places = named_places(name, defined)
                if len(places) == 1 and places[0][0] in self.grids:
                    sheet, reference = places[0]
                    self.areas[name] = Area(sheet, *named_area(name, reference))
            except InputError:
                continue
        self._unlocked = {
            sheet.title: _unlocked(self.book, sheet) for sheet in self.book.worksheets
        }

    def value(self, place: Place) -> Value:
        """Return what is stored in a cell."""
        return self.grids[place.sheet].values.get(place.spot)

    def typed(self, sheet: str, spot: Spot) -> bool:
        """Whether a cell is one to type in."""
        return spot in self._unlocked[sheet]

    def typed_spots(self, sheet: str) -> list[Spot]:
        """Return the cells of a sheet that are typed in."""
        return sorted(self._unlocked[sheet])

    def is_date(self, place: Place) -> bool:
        """Whether a cell shows a number as a date."""
        return is_date_format(self.book[place.sheet].cell(*place.spot).number_format)

    def constants(self, sheet: str) -> Iterator[tuple[Spot, Value]]:
        """Yield the cells that hold no result of a formula, and are not blank."""
        grid = self.grids[sheet]
        results = {
            (row + down, column + right)
            for (row, column), formula in grid.formulas.items()
            for down in range(formula.rows)
            for right in range(formula.columns)
        }
        for spot, value in grid.values.items():
            if spot not in results and value not in (None, ""):
                yield spot, value

    def single(self) -> dict[str, Place]:
        """Return the cells that have a name of their own."""
        return {
            name: Place(area.sheet, area.top, area.left)
            for name, area in self.areas.items()
            if (area.left, area.top) == (area.right, area.bottom)
        }

    def tables(self) -> list[dict[str, Area]]:
        """Return the columns, by name, of each table in which something is typed."""
        singles = set(self.single().values())
        groups: dict[tuple[str, int, int], dict[str, Area]] = {}
        for name, area in sorted(self.areas.items(), key=lambda item: (item[1].left, item[0])):
            cells = [Place(area.sheet, row, area.left) for row in range(area.top, area.bottom + 1)]
            if area.left != area.right or area.top == area.bottom or singles & set(cells):
                continue
            groups.setdefault((area.sheet, area.top, area.bottom), {})[name] = area
        return [
            columns
            for columns in groups.values()
            if any(self.typed(a.sheet, (a.top, a.left)) for a in columns.values())
        ]

    def rows(self) -> dict[RowKey, dict[int, Place]]:
        """Return the typed cells that no name finds, by row and column."""
        named = set(self.single().values())
        for columns in self.tables():
            for area in columns.values():
                named |= {Place(area.sheet, r, area.left) for r in range(area.top, area.bottom + 1)}
        found: dict[RowKey, dict[int, Place]] = {}
        for sheet in self.grids:
            by_row: dict[int, dict[int, Place]] = {}
            for row, column in self.typed_spots(sheet):
                if Place(sheet, row, column) not in named:
                    by_row.setdefault(row, {})[column] = Place(sheet, row, column)
            counted: dict[tuple[str, bool], int] = {}
            for row, cells in by_row.items():
                label = self._label(sheet, row)
                text = label or self.section(sheet, row)
                number = counted[text, bool(label)] = counted.get((text, bool(label)), 0) + 1
                found[RowKey(sheet, text, number, bool(label))] = cells
        return found

    def _label(self, sheet: str, row: int) -> str:
        """Return the text before a row, where it is the template's."""
        spot = (row, 1)
        if self.typed(sheet, spot):
            return ""
        if spot in self.grids[sheet].formulas:
            return _FORMULA_LABEL
        value = self.grids[sheet].values.get(spot)
        return value if isinstance(value, str) else ""

    def section(self, sheet: str, row: int) -> str:
        """Return the heading of the section that a row stands in."""
        headings = set(self.sections.get(sheet, ()))
        values = self.grids[sheet].values
        for above in range(row - 1, 0, -1):
            text = values.get((above, 1))
            if isinstance(text, str) and text in headings and not self.typed(sheet, (above, 1)):
                return text
        return ""


def _unlocked(book: Any, sheet: Any) -> set[Spot]:
    """Return the cells that may be typed in.

    Of those that the sheet has: going by rows would make one for each gap, all locked. And by the
    number of their style, since the library makes a wrapper whenever a style is asked for.
    """
    locked = [protection.locked for protection in book._protections]
    return {
        spot
        for spot, cell in sheet._cells.items()
        if not isinstance(cell, MergedCell)
        and not locked[cell._style.protectionId if cell._style else 0]
    }
