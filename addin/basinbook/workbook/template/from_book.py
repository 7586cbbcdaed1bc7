"""A new job that starts with the rates that a price book has learned from finished ones."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.utils.cell import rows_from_range

from basinbook.evaluation.book import Value
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_file
from basinbook.workbook.convert import convert
from basinbook.workbook.file.open_workbook import named_places, open_workbook
from basinbook.workbook.prices.learned import ADHESIVE, BASE, BROKEN, KeptRate, kept_rates
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.recalculation.redraw import redrawing
from basinbook.workbook.template.input_cells import limits
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.template_files import new_workbook


class Started(NamedTuple):
    """A rate that was taken: what of which material, where it stands, before and now.

    Of one that has no place ``place`` says why, and nothing was typed.
    """

    rate: KeptRate
    place: str
    before: object
    taken: bool


def new_from_book(
    path: Path, system: str, host: str, book: Path, *, force: bool = False
) -> list[Started]:
    """Copy the blank template with the rates of a price book typed in, and calculate it.

    Raises InputError as ``new_workbook`` does, and for a book without rates or in other units.
    """
    check_target(path, replace=force, argument="file")
    refuse_inputs(path, (book,), "file")
    rates = kept_rates(book, system)
    with temporary_folder() as scratch:
        draft = new_workbook(scratch / f"draft{path.suffix}", system)
        blank = open_workbook(draft)
        started = [_placed(blank, rate) for rate in rates]
        typed: dict[Key, Value] = {}
        for one in started:
            if one.taken:
                sheet, _, cell = one.place.partition("!")
                typed[sheet, cell] = one.rate.value
        recalculate(draft, typed=typed, early=(redrawing,))
        made = draft if host == "calc" else convert(draft, host, out=scratch / "spelt.xlsx").out
        write_file(path, made.read_bytes(), replace=force, argument="file")
    return started


def _placed(blank: Workbook, rate: KeptRate) -> Started:
    single = {BROKEN: "Breakage", ADHESIVE: "Adhesive_waste"}.get(rate.what)
    if single:
        low, high = limits(BY_NAME[single])
        if not (low or 0.0) <= rate.value <= (1.0 if high is None else high):
            return Started(rate, f"{BY_NAME[single].label} may be {low:g} to {high:g}", None, False)
        (cell,) = _cells(blank, single)
        return _started(blank, rate, cell)
    table, key = ("Bases", "factor") if rate.what == BASE else ("Labour", "hours")
    name = rate.of if rate.what == BASE else rate.what
    rows = zip(_cells(blank, f"{table}_name"), _cells(blank, f"{table}_{key}"), strict=True)
    for (sheet, at), cell in rows:
        if blank[sheet][at].value == name:
            return _started(blank, rate, cell)
    return Started(rate, f"the Materials sheet has no row {name}", None, False)


def _started(blank: Workbook, rate: KeptRate, cell: Key) -> Started:
    sheet, at = cell
    return Started(rate, f"{sheet}!{at}", blank[sheet][at].value, True)


def _cells(book: Workbook, name: str) -> list[Key]:
    return [
        (sheet, cell)
        for sheet, area in named_places(name, book.defined_names.get(name))
        for row in rows_from_range(area.replace("$", ""))
        for cell in row
    ]
