"""What a sheet greys as not in the job does not count: other values there change nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl.utils.cell import coordinate_to_tuple

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.workbook.template.formulas import COMPLETE
from basinbook.workbook.template.input_cells import IDLE
from basinbook.workbook.template.inputs import INPUTS
from workbook.edited import Edited
from workbook.places import SYSTEMS

UNREAD = ("Options", "Ranges", "Sizes", "Pieces")
# A job without all that can be left out.
BARE: dict[str, Any] = {
    "Cap": None, "Columns": 0, "Second_wall": "no", "Pipe_opening": None, "Access_gap": None,
    "Spill_kind": "still water", "Light": None, "Courses_on_edge": None,
}  # fmt: skip
# Of these another value is refused, with the input that it lacks, and a pump chosen for still water
# is told of by its name: nobody is misled.
TOLD = {
    "Pump",
    "Blocks_on_edge_a_wall", "Service_cap", "Pipe_in_wall_column_1", "Pipe_in_wall_column_2",
    "Turned_blocks_in_basin_walls", "Turned_blocks_in_second_wall",
}  # fmt: skip


def _another(edited: Edited, given: Input) -> object:
    """A value that the input may have and has not."""
    now = edited.start.get(edited.cell(given.name))
    if given.choices:
        return next((choice for choice in given.choices if choice not in (now, "")), None)
    if given.rows_of:
        sheet, area = edited.cell(f"{given.rows_of}_name")
        names = [row[0].value for row in edited.book[sheet][area] if row[0].value]
        return next((name for name in names if name != now), None)
    if given.kind is kinds.TEXT:
        return None
    if given.kind is kinds.LENGTH:
        low, high = given.low or 0.0, given.high or 1.0
        return f"{1000.0 * min(max(low, 0.021), high):g} mm"
    return now + 1 if isinstance(now, int | float) else 1


def _idle(edited: Edited) -> list[Input]:
    """The inputs whose row says that they are not in the job."""
    found = []
    for given in INPUTS:
        sheet, at = edited.cell(given.name)
        row = coordinate_to_tuple(at.partition(":")[0])[0]
        said = (str(edited.start.get((sheet, f"{letter}{row}"), "")) for letter in "DE")
        if given.when and any(text.startswith(IDLE) for text in said):
            found.append(given)
    return found


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_is_not_in_the_job_changes_nothing(demos: dict[str, Path], system: str) -> None:
    edited = Edited(demos[system], UNREAD)
    edited.type(edited.cells(BARE))
    idle = [given for given in _idle(edited) if given.name not in TOLD]
    assert len(idle) > 90
    typed = {given.name: _another(edited, given) for given in idle}
    typed = {name: value for name, value in typed.items() if value is not None}
    assert len(typed) > 75
    changed = edited.cells(typed)
    own = {(sheet, coordinate_to_tuple(at)[0]) for sheet, at in changed}
    now = edited.after(changed)
    assert now.get(edited.cell("Job_message"), COMPLETE) == COMPLETE
    # The estimate's lines name and price what is chosen, though there is nothing of it.
    sheets = {"Working", "Estimate", *(sheet for sheet, _ in own)}
    totals = [edited.cell(name) for name in ("Price_total", "Total_materials", "Total_labour")]
    moved = {
        cell: (edited.start.get(cell), value)
        for cell, value in now.items()
        if value != edited.start.get(cell) and (cell[0] not in sheets or cell in totals)
    }
    assert moved == {}


def test_a_piece_that_broke_counts_before_a_course_stands(demos: dict[str, Path]) -> None:
    edited = Edited(demos["us"], UNREAD)
    before = edited.start[edited.cell("Qty_Blocks_needed")]
    after = edited.after(edited.cells({"Pieces_that_broke": "2.3"}))
    assert after[edited.cell("Qty_Blocks_needed")] == before + 1
    assert "Pieces_that_broke" not in {given.name for given in _idle(edited)}


def test_no_lifting_advice_for_what_the_job_has_none_of(demos: dict[str, Path]) -> None:
    edited = Edited(demos["us"], UNREAD)
    (row,) = (
        at[1:] for (sheet, at), value in edited.start.items()
        if sheet == "Take-off" and value == "One column cap"
    )  # fmt: skip
    assert "lb" in str(edited.start["Take-off", f"B{row}"])
    now = edited.whole(edited.cells({"Columns": 0}))
    assert now["Take-off", f"B{row}"] == "none"
    found = [str(value) for (sheet, _), value in now.items() if sheet == "Findings"]
    assert any("block" in text for text in found)
    assert not any("column cap" in text for text in found)


def test_a_share_kept_that_is_none_makes_the_haul_unknown(demos: dict[str, Path]) -> None:
    edited = Edited(demos["us"], UNREAD)
    haul, kept = edited.cell("Qty_Haul_off"), edited.cell("Dig_kept")
    loose = edited.start[edited.cell("Qty_Dig_loose")]
    assert edited.after({kept: 0.25})[haul] == pytest.approx(0.75 * loose)
    assert edited.after({kept: None}).get(haul, edited.start[haul]) == pytest.approx(loose)
    for wrong in ("some", -1, 1.5):
        assert edited.after({kept: wrong})[haul] == "unknown"
