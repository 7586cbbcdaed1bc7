"""Heights of rows in lists whose texts may take more lines than one.

A spreadsheet program that opens a file takes the heights that it finds: a text that wraps would lie
over its neighbours there and on paper. So who writes the texts writes the heights too (ECMA-376
part 1, 18.3.1.73: ht). They are left without customHeight: a program may fit them anew.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Final

from openpyxl.utils.cell import coordinate_to_tuple

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Value
from basinbook.workbook.file.cells import SheetCells
from basinbook.workbook.file.package import Package
from basinbook.workbook.recalculation.named_values import NamedValues

Key = tuple[str, str]
"""A sheet's name and a cell of it."""
FITTED: Final = ("Plan_note", "Plan_lines", "Piece_lines", "Cut_lines")
"""Names of the ranges whose rows fit their texts."""
_ONE_LINE: Final = 15.0
_LINE: Final = 13.0
_MOST_LINES: Final = 30


def fit_rows(
    package: Package, sheets: Mapping[str, SheetCells], values: Mapping[Key, Value]
) -> None:
    """Give the rows of the named lists heights that their texts fit in.

    sheets: by title in capitals. A workbook without such names stays as it is, and so does one
    in which they stand for no range, as when their sheet was deleted.
    """
    names = NamedValues(package, values)
    for name in FITTED:
        with suppress(InputError):
            for row in names.places(name):
                _fit_row(sheets.get(row[0][0].upper()), row, values)


def _fit_row(sheet: SheetCells | None, row: Sequence[Key], values: Mapping[Key, Value]) -> None:
    if sheet is None:
        return
    places = [coordinate_to_tuple(at) for _, at in row]
    lines = max(map(_lines, map(values.get, row), map(sheet.width, places)))
    sheet.fit_row(places[0][0], _ONE_LINE if lines < 2 else 2 + _LINE * lines)


def _lines(value: Value, width: float) -> int:
    """Return how many lines a text takes in a width [characters]."""
    if not isinstance(value, str) or len(value) <= width:
        return 1
    return min(len(textwrap.wrap(value, max(1, int(width)))), _MOST_LINES)
