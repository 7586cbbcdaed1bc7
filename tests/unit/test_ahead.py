"""What the engine works out ahead of a sheet: what will be asked, and nothing that changes it."""

from __future__ import annotations

from typing import Any

import pytest

from basinbook.catalogue import call
from basinbook.catalogue.joined import joined
from basinbook.engine.layout import solver
from basinbook.hosts.ahead import Ahead

LABELS = ["Inside length", "Inside width", "Block length", "Block height", "Block depth", ""]
OPTION_LABELS = [*LABELS[::-1], "Columns"]


def _ranges(labels: list[str], *values: object) -> list[Any]:
    return [[[label] for label in labels], [[value] for value in values]]


def _job(length: float, width: object = 37) -> list[Any]:
    return _ranges(LABELS, length, width, 12, 4, 8, None)


def _option(length: float, block: float) -> list[Any]:
    return _ranges(OPTION_LABELS, None, 8, 4, block, 37, length, 0)


@pytest.fixture
def ahead() -> Ahead:
    """A sheet has asked for a job, an option of another block, one of its own length, and sizes."""
    found = Ahead()
    for arguments in (_job(61), _option(61, 18), _option(70, 12)):
        found.look("TAKEOFFTABLE", [*arguments, "us"])
    found.look("SETTINGRUNS", [*_job(61), 72, "us"])
    found.look("MODULESIZES", [*_job(61), 12, 10, "us"])
    assert not found.due
    return found


def test_what_has_the_old_length_is_due_at_the_new_one(ahead: Ahead) -> None:
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.0625), "us"])
    due = [(one.name, dict(zip(one.labels, one.values, strict=True))) for one in ahead.due]
    assert [name for name, _ in due] == ["TAKEOFFTABLE", "TAKEOFFTABLE", "MODULESIZES"]
    assert {given["Inside length"] for _, given in due} == {61.0625}
    assert [given["Block length"] for _, given in due] == [12, 18, 12]
    # What is asked for in the meantime need not be worked out ahead.
    ahead.look("TAKEOFFTABLE", [*_option(61.0625, 18), "us"])
    assert len(ahead.due) == 2
    # A new edit ends what is left of the last one; a guess that nobody asked for is not made again.
    ahead.look("TAKEOFFTABLE", [*_job(61.0625), "us"])
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(62), "us"])
    assert [one.name for one in ahead.due] == ["TAKEOFFTABLE", "TAKEOFFTABLE"]
    assert all(62 in one.values for one in ahead.due)


def test_ranges_in_one_cell_are_ranges() -> None:
    found = Ahead()
    for arguments in (_job(61), _option(61, 18), _option(70, 12)):
        found.look("TAKEOFFTABLE", [*map(joined, arguments), "us"])
    found.look("SETTINGRUNS", [*map(joined, _job(61)), 72, "us"])
    found.look("WHY", ["TAKEOFF", "Courses", *map(joined, _job(61.0625)), "us"])
    assert [one.name for one in found.due] == ["TAKEOFFTABLE", "TAKEOFFTABLE"]
    found.look("TAKEOFFTABLE", [*map(joined, _option(61.0625, 18)), "us"])
    assert len(found.due) == 1


def test_what_was_worked_out_ahead_is_there_when_asked_for(ahead: Ahead) -> None:
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.3125), "us"])
    while ahead.due:
        ahead.work()
    solved = solver._solve.cache_info().misses
    asked = call("TAKEOFFTABLE", *_option(61.3125, 18), "us").value
    assert solver._solve.cache_info().misses == solved
    assert asked == call("TAKEOFFTABLE", *_job_of_the_option(), "us").value


def _job_of_the_option() -> list[Any]:
    return _ranges(LABELS, 61.3125, 37, 18, 4, 8, None)


def test_another_job_or_a_wrong_one_makes_nothing_due_or_nothing_worse(ahead: Ahead) -> None:
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61, "wide"), "us"])
    assert ahead.due
    while ahead.due:
        ahead.work()
    # So much changes when another workbook is opened.
    ahead.look("WHY", ["TAKEOFF", "Courses", *_ranges(LABELS, 50, 30, 16, 6, 9, None), "us"])
    assert not ahead.due


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        [[["a"]], [["b"], ["c"]]],
        [[[["deep"]]], [[{"error": "#N/A"}]]],
        [["Inside length"], [61], [[1]], {"no": "key"}],
    ],
)
def test_ranges_of_another_kind_are_passed_over(ahead: Ahead, arguments: list[Any]) -> None:
    ahead.look("MODULESIZES", arguments)
    assert not ahead.due
