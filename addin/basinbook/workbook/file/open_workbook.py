"""Open a user's workbook for reading, with one clear message for a file that isn't one."""

from __future__ import annotations

import math
import warnings
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from openpyxl.utils.cell import range_boundaries

from basinbook.engine.errors import InputError
from basinbook.workbook.file import limits
from basinbook.workbook.file.merged_cells import styled_as_first
from basinbook.workbook.file.package import ARGUMENT, package_of, workbook_bytes
from basinbook.workbook.file.readable import check_readable

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

# Smaller numbers are formats that every workbook has (ECMA-376 part 1, 18.8.30).
_OWN_FORMATS_FROM: Final = 164

Cells = tuple[tuple[object, ...], ...]


def open_workbook(path: Path) -> Workbook:
    """Return the workbook with its cells' cached values in place of their formulas.

    Raises InputError naming ``workbook`` for whatever `open_package` refuses, for what the library
    could not read within bounds, and for a file whose parts can't be read.
    """
    data = workbook_bytes(path)
    check_readable(package_of(path, data))
    import openpyxl
    from PIL import Image

    try:
        with warnings.catch_warnings():
            # It tells what it leaves out, such as a print area it can't read.
            warnings.simplefilter("ignore")
            with styled_as_first():
                book = openpyxl.load_workbook(BytesIO(data), data_only=True)
            _check_styles(book)
            _check_sizes(book)
            return book
    except Image.DecompressionBombError as error:
        raise InputError(
            ARGUMENT, str(path), f"one of its pictures is too large ({error}); make it smaller"
        ) from error
    except Exception as error:
        # openpyxl raises whatever the damaged part happens to break.
        raise InputError(ARGUMENT, str(path), "it is damaged; open and save it again") from error


def _check_styles(book: Any) -> None:
    """Raise IndexError for a style whose font or the like is missing; the library looks later."""
    for style in book._cell_styles:
        for kind, found in (
            (style.fontId, book._fonts),
            (style.fillId, book._fills),
            (style.borderId, book._borders),
            (style.alignmentId, book._alignments),
            (style.protectionId, book._protections),
            (style.numFmtId - _OWN_FORMATS_FROM, book._number_formats),
        ):
            if kind >= len(found):
                raise IndexError(kind)


def _check_sizes(book: Any) -> None:
    """Raise ValueError for a size that is no finite number; the library takes "nan" for one."""
    for font in book._fonts:
        _check_finite(font.sz, font.family)
    for sheet in book.worksheets:
        margins, usual = sheet.page_margins, sheet.sheet_format
        _check_finite(margins.left, margins.right, margins.top, margins.bottom)
        _check_finite(margins.header, margins.footer)
        _check_finite(usual.defaultRowHeight, usual.defaultColWidth)
        _check_finite(*(column.width for column in sheet.column_dimensions.values()))
        _check_finite(*(row.height for row in sheet.row_dimensions.values()))


def _check_finite(*sizes: float | None) -> None:
    for size in sizes:
        if size is not None and not math.isfinite(size):
            raise ValueError(f"a size of {size}")


def named_cells(book: Workbook, name: str) -> Cells:
    """Return the values of the cells that a defined name stands for; none where it is missing.

    Raises InputError where the name points to a sheet that is missing.
    """
    defined = book.defined_names.get(name)
    rows: list[tuple[object, ...]] = []
    for sheet, cells in named_places(name, defined):
        if sheet not in book.sheetnames:
            raise InputError("file", name, f"the name points to a sheet {sheet} that is missing")
        left, top, right, bottom = named_area(name, cells)
        rows += book[sheet].iter_rows(top, bottom, left, right, values_only=True)
    return tuple(rows)


def sheet_of(book: Workbook, name: str) -> str:
    """Return the sheet that a defined name is on, whatever it is called today; "" for none."""
    places = named_places(name, book.defined_names.get(name))
    return places[0][0] if places and places[0][0] in book.sheetnames else ""


def named_places(name: str, defined: Any) -> list[tuple[str, str]]:
    """Return the sheets and ranges that a defined name stands for; none where it is missing."""
    if defined is None:
        return []
    try:
        # The library leaves an apostrophe in a sheet's name doubled, as it is written.
        return [(sheet.replace("''", "'"), area) for sheet, area in defined.destinations]
    except Exception as error:
        # openpyxl raises whatever a text that is no reference happens to break.
        raise InputError("file", name, "the name stands for what is no range") from error


def named_area(name: str, area: str) -> tuple[int, int, int, int]:
    """Return left, top, right and bottom of the range that a defined name stands for.

    Raises InputError for what is no range, has no end, or more cells than are read.
    """
    try:
        left, top, right, bottom = range_boundaries(area.replace("$", ""))
    except (ValueError, TypeError) as error:
        raise InputError("file", name, f"the name stands for {area}, which is no range") from error
    if not (left and top and right and bottom):
        raise InputError("file", name, f"the name stands for {area}; give a range with an end")
    if (right - left + 1) * (bottom - top + 1) > limits.MAX_NAMED_CELLS:
        raise InputError(
            "file",
            name,
            f"the name stands for {area}; it may have {limits.MAX_NAMED_CELLS:,} cells",
        )
    return left, top, right, bottom
