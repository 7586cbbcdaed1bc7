"""Where the defined names of a workbook point, and typing there."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from pathlib import Path

from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook import Workbook

from basinbook.workbook.file.cells import SheetCells
from basinbook.workbook.file.package import (
    open_package,
    sheet_parts,
    to_xml,
    workbook_part,
    write_package,
)
from basinbook.workbook.recalculation.named_values import NamedValues

SYSTEMS = ("us", "metric")


def place(book: Workbook, name: str) -> tuple[str, str]:
    """Return the sheet and the area of a defined name; a range of one cell is that cell."""
    ((sheet, reference),) = book.defined_names[name].destinations
    first, _, last = reference.replace("$", "").partition(":")
    return sheet, first if last in ("", first) else f"{first}:{last}"


def retyped(path: Path, out: Path, values: Mapping[str, object]) -> Path:
    """Type values over others in the file's own bytes, as a program without the functions does.

    Of a name for a range, into its first cell.
    """
    package = open_package(path)
    names = NamedValues(package, {})
    parts = sheet_parts(package)
    sheets: dict[str, SheetCells] = {}
    for name, value in values.items():
        sheet, at = names.places(name)[0][0]
        cells = sheets.setdefault(sheet, SheetCells(package.xml(parts[sheet]), []))
        if isinstance(value, dt.date):
            value = to_excel(value)
        assert value is None or isinstance(value, (bool, int, float, str))
        cells.store(coordinate_to_tuple(at), value)
    fresh = {parts[sheet]: to_xml(cells.root) for sheet, cells in sheets.items()}
    write_package(package, fresh, out)
    return out


def renamed(path: Path, out: Path, names: Mapping[str, str]) -> Path:
    """Give sheets other names, in formulas and defined names too, as a spreadsheet program does."""
    package = open_package(path)
    parts = {*sheet_parts(package).values(), workbook_part(package)}
    quoted = {name: f"'{now.replace(chr(39), 2 * chr(39))}'!" for name, now in names.items()}
    reference = re.compile(rf"(?<![\w.'])(?:'({'|'.join(names)})'|({'|'.join(names)}))!")
    fresh = {}
    for part in sorted(parts):
        root = package.xml(part)
        for cell in root.iter("{*}f", "{*}definedName", "{*}formula", "{*}formula1", "{*}formula2"):
            cell.text = reference.sub(lambda found: quoted[found[1] or found[2]], cell.text or "")
        for sheet in root.iterfind("{*}sheets/{*}sheet"):
            sheet.set("name", names.get(sheet.get("name", ""), sheet.get("name", "")))
        fresh[part] = to_xml(root)
    write_package(package, fresh, out)
    return out
