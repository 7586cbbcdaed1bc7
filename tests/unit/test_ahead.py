"""What the engine works out ahead of a sheet: what will be asked, and nothing that changes it."""

from __future__ import annotations

import io
import json
import os
import threading
import time
from typing import Any

import pytest

from basinbook.catalogue import call
from basinbook.catalogue.joined import joined
from basinbook.engine.layout import solver
from basinbook.hosts import serve
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


def test_options_with_the_labels_of_the_job_are_no_edits_of_it() -> None:
    found = Ahead()

    def option(length: float) -> list[Any]:
        return _ranges(LABELS, length, 37, 18, 6, 9, "yes")

    found.look("SETTINGRUNS", [*_job(61), 72, "us"])
    for arguments in (_job(61), option(61), option(70)):
        found.look("TAKEOFFTABLE", [*arguments, "us"])
    for arguments in (_job(61), option(61), option(70)):
        found.look("WHY", ["TAKEOFF", "Courses", *arguments, "us"])
    assert not found.due
    assert not found.is_curious
    found.look("WHY", ["TAKEOFF", "Courses", *_job(62), "us"])
    due = [one.values[:3] for one in found.due]
    assert due == [(62, 37, 12), (62, 37, 18)]
    for arguments in (option(62), option(70)):
        found.look("WHY", ["TAKEOFF", "Courses", *arguments, "us"])
        found.look("TAKEOFFTABLE", [*arguments, "us"])
    assert [one.values[:3] for one in found.due] == due[:1]
    # An option's own edit is none of the job.
    found.look("WHY", ["TAKEOFF", "Courses", *option(72), "us"])
    assert [one.values[:3] for one in found.due] == due[:1]
    assert found.is_curious


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
    solved = _layouts()
    asked = call("TAKEOFFTABLE", *_option(61.3125, 18), "us").value
    assert _layouts() == solved
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


def _guessed(ahead: Ahead) -> list[tuple[str, object, object]]:
    """What is worked out for the next edit, while nobody asks: function, length and width."""
    ahead.due.clear()
    assert ahead.is_curious
    ahead.guess()
    named = (dict(zip(one.labels, one.values, strict=True)) for one in ahead.likely)
    names = [one.name for one in ahead.likely]
    return [
        (name, given["Inside length"], given["Inside width"])
        for name, given in zip(names, named, strict=True)
    ]


def test_one_more_step_and_the_sizes_listed_are_worked_out_while_nobody_asks(
    ahead: Ahead,
) -> None:
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.5), "us"])
    list_sizes = [*_job(61.5), *[None] * 7, "us"]
    ahead.look("MODULESIZES", list_sizes)
    sizes = call("MODULESIZES", *list_sizes).value
    assert isinstance(sizes, list)
    first: list[Any] = sizes[0]
    found = _guessed(ahead)
    # The job at one step more is done already; now its option, and the sizes that are listed.
    steps = [name for name, length, _ in found if length == 62]
    assert steps[0] == "TAKEOFFTABLE"
    assert steps[-1] == "MODULESIZES"
    assert ("TAKEOFFTABLE", pytest.approx(first[0]), 37) in found
    assert ("TAKEOFFTABLE", 61.5, pytest.approx(first[1])) in found
    while ahead.is_curious:
        ahead.guess()
    assert not ahead.likely
    solved = _layouts()
    call("TAKEOFFTABLE", *_job(62), "us")
    call("TAKEOFFTABLE", *_option(62, 18), "us")
    call("TAKEOFFTABLE", *_job(round(first[0], 6)), "us")
    assert _layouts() == solved


def _layouts() -> int:
    return solver._solve.cache_info().misses


@pytest.mark.skipif(os.name == "nt", reason="there is no telling whether a pipe has something")
def test_the_service_works_out_the_next_step_while_it_waits() -> None:
    before = _layouts()
    reading, writing = os.pipe()
    out = io.BytesIO()
    with os.fdopen(reading, "rb") as stream, os.fdopen(writing, "wb") as requests:
        service = threading.Thread(target=serve.serve, args=(stream, out))
        service.start()
        questions = [
            ("TAKEOFFTABLE", [*_job(58.1875), "us"]),
            ("SETTINGRUNS", [*_job(58.1875), 72, "us"]),
            ("WHY", ["TAKEOFF", "Courses", *_job(58.6875), "us"]),
        ]
        for name, arguments in questions:
            line = json.dumps({"id": 1, "name": name, "args": arguments})
            requests.write(f"{line}\n".encode())
            requests.flush()
        until = time.monotonic() + 60
        while _layouts() < before + 3 and time.monotonic() < until:
            time.sleep(0.05)
        requests.close()
        service.join(60)
    assert len(out.getvalue().splitlines()) == len(questions)
    assert _layouts() == before + 3
    call("TAKEOFFTABLE", *_job(59.1875), "us")
    assert _layouts() == before + 3


def test_nothing_is_guessed_after_words_two_changes_or_another_edit(ahead: Ahead) -> None:
    assert not ahead.is_curious
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.5), "us"])
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.5, "wide"), "us"])
    assert not ahead.is_curious
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(62, 37), "us"])
    assert not ahead.is_curious
    for arguments in (_job(62), _option(62, 18)):
        ahead.look("TAKEOFFTABLE", [*arguments, "us"])
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(63, 37), "us"])
    assert _guessed(ahead)
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(64, "wide"), "us"])
    assert not ahead.is_curious
    assert not ahead.likely


def test_where_a_guess_takes_long_there_are_no_more_at_this_job(
    ahead: Ahead, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("basinbook.hosts.ahead._QUICK", 0.0)
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(61.5), "us"])
    ahead.guess()
    assert not ahead.is_curious
    ahead.look("WHY", ["TAKEOFF", "Courses", *_job(62), "us"])
    assert not ahead.is_curious
    # Another workbook is another job.
    other = _ranges(LABELS, 50, 30, 16, 6, 9, None)
    ahead.look("SETTINGRUNS", [*other, 72, "us"])
    ahead.look("TAKEOFFTABLE", [*other, "us"])
    ahead.look("WHY", ["TAKEOFF", "Courses", *_ranges(LABELS, 51, 30, 16, 6, 9, None), "us"])
    assert ahead.is_curious


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
