"""The values behind the defined names of a workbook, fresh from a recalculation or as stored."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Final, Protocol

from openpyxl.utils.cell import get_column_letter
from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH, from_excel

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Value
from basinbook.workbook.file.open_workbook import Cells, named_area, named_cells, named_places
from basinbook.workbook.file.package import Package, counts_from_1904, workbook_part

if TYPE_CHECKING:
    from openpyxl import Workbook

_DATES: Final = ("Job_date", "Accepted_on")


class Named(Protocol):
    """What gives the values and places of defined names."""

    def cells(self, name: str) -> Cells:
        """Return the values of a name's cells; none where it is missing."""

    def place(self, name: str) -> str:
        """Return where a name's first cell is, such as Job!B12; blank where it is missing."""


class NamedValues:
    """Of a package, with the values of a recalculation."""

    def __init__(self, package: Package, values: Mapping[tuple[str, str], Value]) -> None:
        self._package = package
        self._values = values

    @cached_property
    def _names(self) -> dict[str, str]:
        root = self._package.xml(workbook_part(self._package))
        return {
            item.get("name", ""): item.text or ""
            for item in root.iterfind("{*}definedNames/{*}definedName")
        }

    @property
    def names(self) -> tuple[str, ...]:
        """The defined names, in the workbook's order."""
        return tuple(self._names)

    @cached_property
    def epoch(self) -> datetime:
        """The day that the workbook counts its days from."""
        return MAC_EPOCH if counts_from_1904(self._package) else WINDOWS_EPOCH

    def _area(self, name: str) -> tuple[str, str]:
        sheet, _, area = self._names.get(name, "").rpartition("!")
        return ("", "") if "#REF" in area else (sheet.strip("'").replace("''", "'"), area)

    def cells(self, name: str) -> Cells:
        """Return the values of a name's cells; none where it is missing."""
        return tuple(
            tuple(self._plain(name, self._values.get(place)) for place in row)
            for row in self.places(name)
        )

    def places(self, name: str) -> tuple[tuple[tuple[str, str], ...], ...]:
        """Return sheet and cell of each of a name's cells; none where it is missing."""
        sheet, area = self._area(name)
        if not sheet:
            return ()
        left, top, right, bottom = named_area(name, area)
        return tuple(
            tuple((sheet, f"{get_column_letter(column)}{row}") for column in range(left, right + 1))
            for row in range(top, bottom + 1)
        )

    def place(self, name: str) -> str:
        """Return where a name's first cell is, such as Job!B12; blank where it is missing."""
        return _place(*self._area(name))

    def _plain(self, name: str, value: Value) -> object:
        if isinstance(value, CellError):
            return value.text
        if name in _DATES and isinstance(value, (int, float)) and value > 0:
            return from_excel(value, self.epoch)
        return value


class NamedBook:
    """Of a workbook that is read, with its stored values."""

    def __init__(self, book: Workbook) -> None:
        self._book = book

    def cells(self, name: str) -> Cells:
        """Return the values of a name's cells; none where it is missing."""
        return named_cells(self._book, name)

    def place(self, name: str) -> str:
        """Return where a name's first cell is, such as Job!B12; blank where it is missing."""
        places = named_places(name, self._book.defined_names.get(name))
        return _place(*places[0]) if places else ""


def _place(sheet: str, area: str) -> str:
    return f"{sheet}!{area.partition(':')[0].replace('$', '')}" if sheet else ""
