"""What an option takes from the Job sheet, what it may have of its own, and what it says of it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.cell import Cell
from openpyxl.workbook import Workbook

from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import Value
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.options import CHANGED, OPTIONS
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place

JOB: Mapping[str, Any] = {
    "Block": "Plank block 18 x 4 x 8",
    "Inside_length": 64,
    "Inside_width": 46,
    "Water_depth": 20,
    "Courses": 6,
    "Columns": 2,
    "Column_courses": 8,
    "Second_wall": "yes",
    "Pipe_space": 6,
    "Access_gap": 7,
    "Access_gap_courses": 4,
    "Pipe_opening": 6,
    "Pipe_opening_course": 4,
}
SIX_INCHES = "Ledge block 16 x 6 x 8"


@pytest.fixture(scope="module")
def book(blanks: dict[str, Path]) -> Workbook:
    return openpyxl.load_workbook(blanks["us"])


class Seen:
    """The values of a filled workbook: its options by column, with the labels beside them."""

    def __init__(self, book: Workbook, values: dict[Key, Value]) -> None:
        self.book, self.values = book, values
        self.labels: dict[str, str] = {}
        for row in range(4, book["Options"].max_row + 1):
            label = values.get(("Options", f"A{row}"))
            if label:
                # What an option comes to stands below what is typed there.
                self.labels[str(label)] = str(row)

    def option(self, number: int, label: str) -> Value:
        return self.values.get(("Options", f"{'CDEF'[number - 1]}{self.labels[label]}"))

    def quantity(self, number: int, label: str) -> Value:
        """A result, the first row of that label under "What follows"."""
        sheet = self.book["Options"]
        rows = [row for row in range(4, sheet.max_row + 1) if sheet.cell(row, 1).value == label]
        first = int(self.labels["What follows"])
        row = next(row for row in rows if row > first)
        return self.values.get(("Options", f"{'CDEF'[number - 1]}{row}"))


# Nothing of the options is on these, which take the most time.
_UNREAD = ("Setting plan", "Pieces", "Cuts", "Sizes", "Water", "Losses and loads")


def seen(path: Path, book: Workbook, typed: Mapping[str, Any]) -> Seen:
    changed: dict[Key, Any] = {place(book, name): value for name, value in typed.items()}
    return Seen(book, evaluated(path, changed, _UNREAD))


def test_another_block_takes_the_courses_that_the_water_needs(
    blanks: dict[str, Path], book: Workbook
) -> None:
    """20 in of water and 2 of freeboard: 6 courses of 4 in, 4 of 6 in, 7 of 3 5/8 in."""
    found = seen(
        blanks["us"],
        book,
        {
            **JOB,
            "Option_2_Block": SIX_INCHES,
            "Option_3_Block": "Half-high block 16 x 3 5/8 x 8",
            "Option_4_Block": "Terrace block 14 x 4 x 7",
        },
    )
    assert [found.quantity(number, "Courses") for number in range(1, 5)] == [6, 4, 7, 6]
    heights = [found.quantity(number, "Wall height") for number in range(1, 5)]
    assert heights == pytest.approx([24, 24, 25.375, 24])
    for number in range(1, 5):
        assert "the water needs" not in str(found.option(number, "Remarks"))
    for number in (2, 3):
        assert "Courses follow from the water depth" in str(found.option(number, "Remarks"))
    assert not found.option(1, "Remarks")
    assert not found.option(4, "Remarks")  # 4 in too: as on the Job sheet
    # 8 courses of 4 in are 32 in: 5 of 6 in are 30 in, 6 would be 36; 9 of 3 5/8 in are 32 5/8.
    assert [found.option(n, "Column courses") for n in range(1, 5)] == [8, 5, 9, 8]
    # 16 in of gap take 3 courses of 6 in, and 5 of 3 5/8 in.
    assert [found.option(n, "Access gap courses") for n in range(1, 5)] == [4, 3, 5, 4]
    # From 12 to 16 in, its middle at 14 in, in the third course of 6 in, the fourth of 3 5/8 in.
    assert [found.option(n, "Pipe opening course") for n in range(1, 5)] == [4, 3, 4, 4]
    assert "Column courses 5, near the height on Job" in str(found.option(2, "Remarks"))
    assert "Pipe opening course 3, near" in str(found.option(2, "Remarks"))
    assert "Second wall courses" not in str(found.option(2, "Remarks"))
    assert [found.option(n, "Inputs") for n in range(1, 5)] == ["Inputs complete"] * 4


def test_what_an_option_has_of_its_own_goes_first(blanks: dict[str, Path], book: Workbook) -> None:
    own = {
        "Block": SIX_INCHES, "Courses": 6, "Column_courses": 7, "Access_gap_courses": 2,
        "Pipe_opening_course": 2, "Second_wall_courses": 5, "Column_cap": "Column cap 24 x 24",
        "Pipe_space": "6½", "Access_gap": "6,5 in", "Pipe_opening": 5,
    }  # fmt: skip
    typed = {f"Option_4_{name}": value for name, value in own.items()}
    found = seen(blanks["us"], book, {**JOB, "Column_cap": "Column cap 30 x 30", **typed})
    for name, value in own.items():
        if name not in ("Block", "Column_cap"):
            assert found.option(4, BY_NAME[name].label) == value, name
    assert found.option(4, "Column cap of the option") == "Column cap 24 x 24"
    assert found.option(4, "Column cap side") == 24
    assert found.option(3, "Column cap side") == 30
    assert found.quantity(4, "Wall height") == 36
    # 36 in of wall for 20 in of water and 2 of freeboard: 24 in would do.
    assert str(found.option(4, "Remarks")) == "Wall of 6 courses; the water needs 4."
    assert "near the height on Job" not in str(found.option(4, "Remarks"))
    assert "follow from" not in str(found.option(4, "Remarks"))


def test_a_wall_of_the_job_higher_than_its_water_needs_is_told(
    blanks: dict[str, Path], book: Workbook
) -> None:
    found = seen(blanks["us"], book, {**JOB, "Courses": 7, "Option_3_Courses": 6})
    assert found.option(1, "Remarks") == "Wall of 7 courses; the water needs 6."
    assert found.option(2, "Remarks") == "Wall of 7 courses; the water needs 6."
    assert found.option(3, "Remarks") == ""


def test_a_pipe_opening_above_the_wall_of_an_option_can_be_moved(
    blanks: dict[str, Path], book: Workbook
) -> None:
    """A shallower option of the same block: the job's opening is in no course of it."""
    typed = {**JOB, "Courses": "", "Option_4_Water_depth": 8}
    found = seen(blanks["us"], book, typed)
    assert str(found.option(4, "Inputs")).startswith("Pipe opening course: 4 can't be used")
    moved = {**typed, "Option_4_Pipe_opening_course": 2, "Option_4_Access_gap_courses": 2}
    found = seen(blanks["us"], book, moved)
    assert found.option(4, "Inputs") == "Inputs complete"
    assert found.quantity(4, "Courses") == 3


def test_courses_on_edge_can_be_others_or_none(blanks: dict[str, Path], book: Workbook) -> None:
    typed = {
        **{name: value for name, value in JOB.items() if name not in ("Second_wall", "Columns")},
        "Pipe_opening": "",
        "Courses": "",
        "Courses_on_edge": 2,
        "Option_2_Courses_on_edge": "none",
        "Option_3_Courses_on_edge": "1",
    }
    found = seen(blanks["us"], book, typed)
    edges = [found.option(number, "Courses on edge") for number in range(1, 5)]
    assert edges == [2, "", "1", 2]
    # 22 in: on edge a plank stands 8 in high.
    assert [found.quantity(number, "Courses") for number in range(1, 5)] == [5, 6, 5, 5]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_job_as_it_is_can_be_seen_and_not_edited(blanks: dict[str, Path], system: str) -> None:
    path = blanks[system]
    book = openpyxl.load_workbook(path)
    sheet = book["Options"]
    head = next(row for row in range(1, 9) if sheet.cell(row, 1).value == "Option")
    assert sheet.cell(head, 3).protection.locked
    assert sheet.cell(head, 4).protection.locked is False
    values = evaluated(path, {place(book, "Inside_length"): "1 m", place(book, "Courses"): 7})
    for name in CHANGED:
        _, at = place(book, OPTIONS[0].cell(name))
        cell = sheet[at]
        assert isinstance(cell, Cell)
        assert cell.protection.locked, name
        assert cell.column_letter == "C"
        job = values.get(place(book, name))
        assert values["Options", at] == ("" if job is None else job), name
        for option in OPTIONS[1:]:
            assert sheet[place(book, option.cell(name))[1]].protection.locked is False
    assert values[place(book, "Option_1_Inside_length")] == "1 m"
    assert values[place(book, "Option_1_Courses")] == 7
