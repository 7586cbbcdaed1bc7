"""Findings: each by a job that has it and a neighbour that does not, on all ways to them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from basinbook.cli import main
from basinbook.engine.findings.listing import FINDINGS, TOPICS
from basinbook.engine.findings.model import LOOK, STOPS
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.recalculation.findings import LIST, check, found_lines
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.template.finding_facts import FACTS
from workbook.edited import Edited
from workbook.finding_jobs import PAIRS
from workbook.places import SYSTEMS, retyped


def _stored(path: Path) -> list[str]:
    """The findings that a calculated workbook has."""
    return [str(row[0]) for row in named_cells(open_workbook(path), LIST) if row[2]]


def test_every_finding_has_a_job_and_every_fact_a_place() -> None:
    assert set(PAIRS) == set(FINDINGS)
    for topic in TOPICS.values():
        assert set(FACTS[topic.name]) == set(topic.facts)


@pytest.fixture(scope="module")
def demo(demos: dict[str, Path]) -> Edited:
    return Edited(demos["us"])


@pytest.mark.parametrize("name", PAIRS)
def test_a_finding_is_there_where_it_holds_and_not_beside_it(name: str, demo: Edited) -> None:
    for typed, there in zip(PAIRS[name], (True, False), strict=True):
        values = demo.whole(demo.cells(typed), LIST)
        lines = {line.name: line for line in found_lines(demo.named(values), demo.path)}
        assert (name in lines) is there, (typed, list(lines))
        if there:
            line = lines[name]
            assert line.grade == FINDINGS[name].grade
            assert "" not in (line.found, line.value, line.change, line.place)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("liner size", {"Measured_inside_length": 64.5}),
        ("short edge of a mitre", PAIRS["short edge of a mitre"].has),
        ("sheet thrown out", PAIRS["sheet thrown out"].has),
    ],
)
def test_no_other_inside_size_is_advised_where_walls_stand(
    name: str, typed: dict[str, Any], demo: Edited
) -> None:
    told = {}
    for laid in (0, 1):
        inside = {"Inside_length": 64.5} if not laid and name == "liner size" else {}
        cells = demo.cells({**typed, **inside, "Courses_laid": laid})
        lines = found_lines(demo.named(demo.whole(cells, LIST)), demo.path)
        told[laid] = next(line.change for line in lines if line.name == name)
    sizes = ("inside", "wider basin")
    assert any(word in told[0] for word in sizes), told
    assert not any(word in told[1] for word in sizes), told


def test_only_glue_still_to_come_is_advised_where_walls_stand(demo: Edited) -> None:
    for laid, change in ((0, "a thicker block gives more"), (1, "corner still to lay")):
        cells = demo.cells({**PAIRS["look closer at the loads"].has, "Courses_laid": laid})
        lines = found_lines(demo.named(demo.whole(cells, LIST)), demo.path)
        (told,) = [line for line in lines if line.name == "look closer at the loads"]
        assert told.change.endswith(change)


@pytest.mark.parametrize("name", ["liner size", "heavy pieces", "old prices"])
def test_the_command_lists_what_an_edit_in_memory_finds(
    name: str, demo: Edited, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The way of the test above to work an edit anew, against the command on a file."""
    job = retyped(demo.path, tmp_path / "job.xlsx", PAIRS[name].has)
    code = main(["check", str(job), "--json"])
    told = json.loads(capsys.readouterr().out)
    values = demo.whole(demo.cells(PAIRS[name].has), LIST)
    lines = found_lines(demo.named(values), demo.path)
    assert name in [line["name"] for line in told]
    for key in ("name", "grade", "found", "value", "change", "place"):
        assert [line[key] for line in told] == [getattr(line, key) for line in lines], key
    assert code == (2 if any(line.grade == STOPS for line in lines) else 0)


@pytest.mark.parametrize("system", SYSTEMS)
def test_pump_and_pipe_of_the_demo_are_of_the_right_size(
    demos: dict[str, Path], system: str
) -> None:
    found = _stored(demos[system])
    assert found  # a calculated workbook
    assert not {"fast in the pipe", "too fast in the pipe", "pump too weak"} & set(found)


@pytest.mark.parametrize("name", ["liner size", "old prices"])
def test_recalc_stores_what_check_lists(name: str, demos: dict[str, Path], tmp_path: Path) -> None:
    job = retyped(demos["us"], tmp_path / "job.xlsx", PAIRS[name].has)
    recalculate(job)
    assert set(_stored(job)) == {line.name for line in check(job)}
    assert name in _stored(job)


@pytest.mark.parametrize("name", [f.name for f in FINDINGS.values() if f.grade == STOPS][::4])
def test_what_stops_is_not_sent_and_nothing_is_written(
    name: str, demos: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = retyped(demos["us"], tmp_path / "job.xlsx", PAIRS[name].has)
    before = job.read_bytes()
    out = tmp_path / "out"
    assert main(["order", str(job), "--out", str(out)]) == 2
    assert name in capsys.readouterr().err
    assert not out.exists()
    assert job.read_bytes() == before


def test_no_reason_lets_through_what_stops(
    demos: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = retyped(demos["us"], tmp_path / "job.xlsx", PAIRS["liner size"].has)
    out = tmp_path / "out"
    assert main(["order", str(job), "--out", str(out), "--accept", "liner size=all the same"]) == 2
    assert "mend it" in capsys.readouterr().err
    assert not out.exists()


def test_what_is_to_be_looked_at_is_sent_with_a_reason_that_is_kept(
    demos: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = {"Column_courses": 12, "Accepted_finding": None, "Accepted_reason": None}
    job = retyped(demos["us"], tmp_path / "job.xlsx", typed)
    looks = [line.name for line in check(job) if line.grade == LOOK]
    assert "needs an engineer" in looks
    out = tmp_path / "out"
    assert main(["order", str(job), "--out", str(out)]) == 2
    assert not out.exists()
    accept = [word for name in looks for word in ("--accept", f"{name}=agreed on site: {name}")]
    assert main(["order", str(job), "--out", str(out), *accept]) == 0, capsys.readouterr().err
    assert len(list(out.iterdir())) == 3
    kept = {line.name: line.reason for line in check(job) if line.grade == LOOK}
    assert kept == {name: f"agreed on site: {name}" for name in looks}
    # It is kept where people read it, and lets the next order through.
    book = open_workbook(job)
    assert looks[0] in [row[0] for row in named_cells(book, "Accepted_finding")]
    assert main(["order", str(job), "--out", str(out)]) == 2
    assert "all that the job needs was ordered" in capsys.readouterr().err
    assert main(["order", str(job), "--out", str(out), "--again"]) == 0
    assert (out / "Order D-014-1-2 Fernbank courtyard basin.pdf").is_file()


def test_a_reason_for_no_finding_is_refused(
    demos: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = retyped(demos["us"], tmp_path / "job.xlsx", {})
    assert main(["order", str(job), "--accept", "waves=why not"]) == 2
    assert "give the name of a finding" in capsys.readouterr().err
    for reason in ("two\nlines", "x" * 201):
        assert main(["order", str(job), "--accept", f"heavy pieces={reason}"]) == 2
        assert "give one line" in capsys.readouterr().err


def test_the_front_sheet_says_what_stops_and_where(demos: dict[str, Path], tmp_path: Path) -> None:
    job = retyped(demos["us"], tmp_path / "job.xlsx", {"Inside_length": 66})
    recalculate(job)
    book = open_workbook(job)
    words = {str(cell.value) for row in book["Basin"].iter_rows() for cell in row}
    assert any(text.startswith("STOPS: The inside length") for text in words)
    assert any(text.startswith("1 to mend before anything is sent") for text in words)
    assert str(book["Order"]["A2"].value)
    text = {str(cell.value) for row in book["Order"].iter_rows() for cell in row}
    assert "NOT TO BE SENT: see the Findings sheet" in text


def test_links_lead_to_cells_that_are_there(demos: dict[str, Path]) -> None:
    book = openpyxl.load_workbook(demos["us"])
    for finding in FINDINGS.values():
        assert finding.cell in book.defined_names


def test_where_the_findings_are_not_worked_out_nothing_is_called_clear(
    demos: dict[str, Path], tmp_path: Path
) -> None:
    """A workbook saved without its functions must not read as one that has no finding."""
    book = openpyxl.load_workbook(demos["us"])
    sheet, _, area = book.defined_names["Findings_all"].attr_text.rpartition("!")
    first = area.partition(":")[0].replace("$", "")
    typed: dict[Key, Any] = {}
    book[sheet.strip("'")][first].value = ""
    book.save(tmp_path / "job.xlsx")
    recalculate(tmp_path / "job.xlsx", typed=typed)
    done = open_workbook(tmp_path / "job.xlsx")
    assert named_cells(done, "Findings_stop") == (("unknown",),)
    assert "can't be worked out" in str(named_cells(done, "Findings_summary")[0][0])
    assert main(["check", str(tmp_path / "job.xlsx")]) == 2
    assert main(["order", str(tmp_path / "job.xlsx")]) == 2


def test_an_older_workbook_is_told_what_it_lacks(capsys: pytest.CaptureFixture[str]) -> None:
    old = Path(__file__).parents[1] / "data" / "version_1_first_us.xlsx"
    assert main(["check", str(old)]) == 2
    said = capsys.readouterr().err
    assert "--current" in said
    assert "no list of findings" in said


def test_the_docs_list_every_finding(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--list"]) == 0
    docs = Path(__file__).parents[2] / "docs" / "findings.md"
    assert docs.read_text(encoding="utf-8").endswith(capsys.readouterr().out)
