"""The front sheet: ten cells make a price, an order, drawings and checks, and nothing else does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from basinbook.workbook.file.package import open_package, picture_parts
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.inputs import BY_NAME, FRONT, ON_FRONT
from workbook.edited import Edited
from workbook.places import SYSTEMS, place

# All that is typed: nothing where the start serves.
TYPED: dict[str, dict[str, Any]] = {
    "us": {
        "Inside_length": "5'", "Inside_width": "4'", "Water_depth": 15, "Columns": 2,
        "Second_wall": "yes", "Spill_kind": "straight lip", "Pump": "Pump 2400",
    },
    "metric": {
        "Inside_length": "1.5 m", "Inside_width": 1200, "Water_depth": 380, "Columns": 2,
        "Second_wall": "yes", "Spill_kind": "straight lip", "Pump": "Pump 9000",
    },
}  # fmt: skip


def test_at_most_ten_cells_are_typed_on_the_front_sheet(blanks: dict[str, Path]) -> None:
    assert len(ON_FRONT) <= 10
    for path in blanks.values():
        book = openpyxl.load_workbook(path)
        sheet = book.worksheets[0]
        assert sheet.title == FRONT
        typed = {
            cell.coordinate
            for row in sheet.iter_rows()
            for cell in row
            if not cell.protection.locked
        }
        assert typed == {place(book, name)[1] for name in ON_FRONT}
        # They follow each other in one column, so that the enter key goes through them.
        rows = [sheet[place(book, name)[1]].row for name in ON_FRONT]
        assert rows == list(range(rows[0], rows[0] + len(rows)))


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_front_sheet_alone_makes_a_job(blanks: dict[str, Path], system: str) -> None:
    edited = Edited(blanks[system])
    edited.unread = frozenset(("Options", "Ranges", "Sizes", "Pieces", "Losses and loads"))
    assert set(TYPED[system]) <= set(ON_FRONT)
    typed = edited.cells(TYPED[system])
    values = {**edited.start, **typed, **edited.after(typed)}
    named = edited.named(values)

    def value(name: str) -> Any:
        return named.cells(name)[0][0]

    assert value("Ready") is True, value("Job_message")
    assert value("Price_total") > 1000
    # The order, the setting plan and the checks have their lines, and nothing stops them.
    assert value("Findings_stop") == 0
    assert value("Order_problem") == "Inputs complete"
    for sheet, cell in (("Order", 4), ("Setting plan", 20), ("Cuts", 4), ("Checks", 20)):
        filled = [
            at for (of, at), found in values.items() if of == sheet and found not in (None, "")
        ]
        assert len(filled) > cell, sheet
    # Columns stand two courses over the basin, for which no cell is filled in.
    assert value("Qty_Column_pieces") == 2 * 4 * (value("Qty_Courses") + 2)
    # What comes out stands on the front sheet, and the others show what is typed there.
    shown = {found for (of, _), found in values.items() if of == FRONT}
    for name in ("Price_total", "Qty_Blocks_to_buy", "Person_hours", "Aim_advice"):
        assert value(name) in shown, name
    job = {found for (of, _), found in values.items() if of == "Job"}
    for name, typed in TYPED[system].items():
        assert typed in job or BY_NAME[name].group == "Pump and pipe"
    if system != "us":
        return
    # The pictures are drawn from it, that of the front sheet too.
    drawn = redraw(edited.package, values)
    front = picture_parts(open_package(blanks[system]))[FRONT]
    assert len(set(drawn.values())) == len(drawn) == 7
    assert len(drawn[front]) > 5000
