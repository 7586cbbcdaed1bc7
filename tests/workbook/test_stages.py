"""The Stages sheet: targets of the Checks sheet, and what filled-in values make of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from basinbook.engine.inspections import NOT_HERE
from basinbook.workbook.recalculation.opened import Key
from workbook.edited import Edited

UNREAD = ("Basin", "Estimate", "Options", "Ranges", "Findings", "Water", "Losses and loads")


class _Sheet:
    """A sheet by the labels in its first column."""

    def __init__(self, edited: Edited, title: str) -> None:
        self.edited, self.title = edited, title
        self.values = dict(edited.start)

    def row(self, label: str) -> int:
        (found,) = (
            int(at[1:])
            for (sheet, at), value in self.edited.start.items()
            if sheet == self.title and at[0] == "A" and at[1:].isdigit() and value == label
        )
        return found

    def key(self, column: str, label: str) -> Key:
        return self.title, f"{column}{self.row(label)}"

    def type(self, typed: dict[Key, Any]) -> None:
        self.values = {**self.edited.start, **typed, **self.edited.after(typed)}

    def __call__(self, column: str, label: str) -> Any:
        return self.values.get(self.key(column, label))


@pytest.fixture(scope="module")
def stages(demos: dict[str, Path]) -> _Sheet:
    return _Sheet(Edited(demos["us"], UNREAD), "Stages")


def test_targets_are_the_jobs(stages: _Sheet) -> None:
    named = stages.edited.named(stages.edited.start).cells
    courses = int(named("Qty_Courses")[0][0])
    assert stages("B", "Inside: length") == "5' 4\""
    assert stages("B", f"Course {courses}: top") == "1' 8\""
    assert stages("B", f"Course {courses + 1}: top") == NOT_HERE
    assert stages("B", "Further openings") == NOT_HERE
    assert stages("H", "Inside: length") == ""


def test_filled_in_values_pass_or_say_what_to_move(stages: _Sheet) -> None:
    typed = {
        "Inside: length": ("5' 4\"", "65"),
        "Inside: width": ("46", "46 1/64"),
        "Inside: diagonal": ("79 5/8", "78.8"),
        "Base: thickness": ("4", "3 1/4 in"),
        "Base: out of level": ("1/2", None),
        "Course 1: top": (4, 4.125),
        "Fall of the level": ("2", None),
        "Liner": ("pass", None),
        "Water: depth": ("a foot and a half", None),
    }
    cells = {
        stages.key(column, label): value
        for label, pair in typed.items()
        for column, value in zip("FG", pair, strict=True)
        if value is not None
    }
    # What is judged on the Checks sheet counts here too.
    checks = _Sheet(stages.edited, "Checks")
    stages.type({**cells, checks.key("F", "Underlay"): "fail"})
    assert stages("H", "Inside: length") == 'fail: second place 1" over'
    assert stages("H", "Inside: width") == "pass"
    assert (
        stages("B", "Inside: square")
        == 'move the back right corner 1" to the left; the others stay'
    )
    assert stages("B", "Lines: square") == "measure sides and diagonals"
    assert stages("H", "Base: thickness") == (
        'fail: second place 3/4" under: fill and tamp in thin lifts'
    )
    assert stages("H", "Base: out of level").startswith('fail: 1/2" over: scrape')
    assert stages("H", "Course 1: top") == "pass"
    assert stages("H", "Fall of the level").endswith("over; look for the leak")
    assert stages("H", "Liner") == "pass"
    assert stages("H", "Underlay") == "fail (Checks sheet)"
    assert stages("H", "Water: depth") == "read again"
    # A tolerance that is typed on the Checks sheet is the one here.
    stages.type({**cells, checks.key("D", "Inside length, front"): "1 1/2"})
    assert stages("H", "Inside: length") == "pass"
    assert stages("B", "Inside: square") == "pass"


def test_openings_and_pipe_space_are_measured_where_the_job_has_them(stages: _Sheet) -> None:
    sizes = {"Pipe space: clear": '4"', "Pipe opening: width": '6"', "Access gap: width": "1' 6\""}
    checks = _Sheet(stages.edited, "Checks")
    pairs = {"Pipe space: clear": (3, 4), "Pipe opening: width": (6, "6 1/8")}
    cells = {
        stages.key(column, label): value
        for label, pair in pairs.items()
        for column, value in zip("FG", pair, strict=True)
    }
    stages.type({**cells, checks.key("E", "Access gap, width"): 17})
    checks.values = stages.values
    assert {label: stages("B", label) for label in sizes} == sizes
    assert stages("H", "Pipe space: clear") == (
        'fail: first place 1" under: move the second wall out before the glue sets'
    )
    assert stages("H", "Pipe opening: width") == "pass"
    assert checks("F", "Access gap, width") == "fail"
    stages.type(stages.edited.cells({"Second_wall": "no", "Pipe_opening": None}))
    checks.values = stages.values
    assert {stages("B", label) for label in sizes} == {NOT_HERE}
    assert {checks("B", f"Pipe {what}") for what in ("space, clear", "opening, width")} == {""}


def test_lap_of_a_sheet_liner_is_measured(stages: _Sheet) -> None:
    checks = _Sheet(stages.edited, "Checks")
    sheet = stages.edited.cells({"Liner": "Sheet liner 45 mil", "Liner_lap": 2})
    first, second = stages.key("F", "Liner: lap"), stages.key("G", "Liner: lap")
    stages.type({**sheet, first: 1, second: 2})
    assert (stages("B", "Liner: lap"), stages("C", "Liner: lap")) == ('2"', '1/4"')
    assert stages("H", "Liner: lap") == (
        'fail: first place 1" under: pull the sheet up, or cut another'
    )
    measured = {checks.key("E", "Liner lap, over the wall"): "2 1/2"}
    stages.type({**sheet, **measured, first: 2, second: "2 1/8"})
    checks.values = stages.values
    assert stages("H", "Liner: lap") == "pass"
    assert checks("F", "Liner lap, over the wall") == "fail"
    # The demo's own liner is preformed.
    stages.type({first: 2, second: 2})
    assert (stages("B", "Liner: lap"), stages("H", "Liner: lap")) == (NOT_HERE, "")
