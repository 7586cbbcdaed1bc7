"""Making an up-to-date workbook from an older one, which stays as it is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from openpyxl.worksheet.formula import ArrayFormula

from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Formula, Grid, Value
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.units import check_system
from basinbook.workbook.file.cells import escaped
from basinbook.workbook.file.open_workbook import named_area, open_workbook
from basinbook.workbook.file.package import open_package
from basinbook.workbook.recalculation.recalc import read_book
from basinbook.workbook.recalculation.stored import Stored
from basinbook.workbook.template.sheet_writer import Template
from basinbook.workbook.template.template import built_template
from basinbook.workbook.template.template_files import write_filled
from basinbook.workbook.template.version import VERSION
from basinbook.workbook.update.carry import Carried, carry, rows_wanted
from basinbook.workbook.update.known import known, marks
from basinbook.workbook.update.older import newer, version_in
from basinbook.workbook.update.side import Place, Side
from basinbook.workbook.update.titles import called_otherwise, with_titles

_EXCEL: Final = re.compile(r"\bBASIN_\w+\(", re.IGNORECASE)
# Days between the first days of the two calendars that a workbook may count from.
_DAYS_1904: Final = 1462
_PARTS: Final = {
    "xl/vbaproject": "macros",
    "xl/externallinks/": "links to other workbooks",
    "xl/embeddings/": "embedded objects",
    "xl/pivottables/": "pivot tables",
}
_PRICES: Final = re.compile(r"Price_total|Option_\d+_price")


@dataclass(frozen=True)
class Update:
    """What an update did: the file, versions, what was carried, and prices before and after."""

    out: Path
    before: int
    carried: Carried
    prices: tuple[tuple[str, Value, Value], ...]


def update(path: Path, *, out: Path | None = None, force: bool = False) -> Update:
    """Write a workbook of today's template with what was typed in an older one.

    Without ``out`` a new file beside it. A file that exists is replaced only with ``force``, and
    ``path`` itself never. Formulas are spelt for the same program. Raises InputError.
    """
    target = out if out is not None else path.with_name(f"{path.stem}_current.xlsx")
    if target.suffix.lower() != ".xlsx":
        raise InputError("out", str(target), "give a name that ends in .xlsx")
    check_target(target, replace=force)
    refuse_inputs(target, (path,))
    old, host = _old_side(path)
    version = old.version = version_in(old)
    if version > VERSION:
        raise InputError("workbook", str(path), newer(version))
    system = check_system(old.value(old.single()["Units"]))
    template = built_template(system)
    new = _new_side(template)
    titles = called_otherwise(old, new)
    old = with_titles(old, titles)
    old.sections = template.sections
    there = known(version) | (frozenset(marks(new)) if version == VERSION else frozenset())
    if wanted := rows_wanted(old, new, there):
        template = built_template(system, wanted)
        new = _new_side(template)
    found = carry(old, new, there)
    found.left += _parts_left(path, old)
    found.notes += [f"sheet {title}: it is called {now} again" for title, now in titles.items()]
    for move in found.moves:
        _type(new, move.to, move.value)
    write_filled(template.workbook, target, host, force=force)
    return Update(target, version, found, _prices(old, target))


def _old_side(path: Path) -> tuple[Side, str]:
    """Return the old workbook, and the program that its formulas are spelt for."""
    book = open_workbook(path)
    stored = read_book(path)
    grids = {grid.name: grid for grid in stored.grids.values() if grid.name in book.sheetnames}
    side = Side(book, grids, {}, _DAYS_1904 if stored.date_1904 else 0)
    if "Job_labels" not in side.areas or "Units" not in side.single():
        raise InputError("workbook", str(path), "give an estimate workbook")
    texts = (formula.text for grid in grids.values() for formula in grid.formulas.values())
    return side, "excel" if any(_EXCEL.search(text) for text in texts) else "calc"


def _new_side(template: Template) -> Side:
    book = template.workbook
    grids = {}
    for sheet in book.worksheets:
        grid = grids[sheet.title] = Grid(sheet.title)
        for row, cells in enumerate(sheet.iter_rows(), 1):
            for column, cell in enumerate(cells, 1):
                spot, value = (row, column), cell.value
                if isinstance(value, ArrayFormula):
                    grid.formulas[spot] = _array(value)
                elif cell.data_type == "f":
                    grid.formulas[spot] = Formula(str(value)[1:])
                elif isinstance(value, (int, float, str)):
                    grid.values[spot] = value
    return Side(book, grids, template.sections)


def _array(formula: ArrayFormula) -> Formula:
    left, top, right, bottom = named_area("array", formula.ref)
    return Formula(str(formula.text)[1:], bottom - top + 1, right - left + 1, is_array=True)


def _type(new: Side, place: Place, value: Value) -> None:
    """Type a value as it is: a text that looks like a formula or a number stays a text."""
    cell = new.book[place.sheet].cell(*place.spot)
    if not isinstance(value, str):
        assert not isinstance(value, CellError)
        cell.value = value
        return
    cell.value = escaped(value)
    cell.data_type = "s"


def _parts_left(path: Path, old: Side) -> list[str]:
    """Return what a workbook holds beside sheets, of which nothing is carried over."""
    parts = open_package(path).parts
    found = [f"chart sheet {sheet.title}" for sheet in old.book.chartsheets]
    for start, what in _PARTS.items():
        if any(part.lower().startswith(start) for part in parts):
            found.append(what)
    return found


def _prices(old: Side, out: Path) -> tuple[tuple[str, Value, Value], ...]:
    """Return the prices of job and options as they were stored, and as they are now."""
    stored = Stored(out)
    found = []
    for name, place in old.single().items():
        if _PRICES.fullmatch(name) and (cells := stored.cells(name)):
            was, now = old.value(place), cells[0][0]
            found.append((name, was, now if isinstance(now, (int, float, str)) else ""))
    return tuple(found)
