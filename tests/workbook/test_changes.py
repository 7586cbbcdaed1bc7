"""What changed between two states of a job."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.changes import COLUMNS, changes, csv_text, screen_text
from basinbook.workbook.recalculation.recalc import recalculate
from workbook.places import retyped


@pytest.fixture(scope="module")
def states(
    demos: dict[str, Path], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Path, Path]:
    after = tmp_path_factory.mktemp("states") / "b.xlsx"
    recalculate(retyped(demos["us"], after, {"Columns": 0, "Job_revision": "C"}))
    return demos["us"], after, demos["metric"]


def test_a_change_is_followed_from_input_to_price(states: tuple[Path, Path, Path]) -> None:
    found = changes(states[0], states[1])
    rows = {(part, what): (a, b, d) for part, what, a, b, d in found.itertuples(index=False)}
    assert rows["input", "Columns"] == (2, 0, -2)
    assert rows["input", "Job revision"] == ("B", "C", "")
    assert rows["quantity", "Column pieces"][1] == 0
    assert rows["order", "Column cap: Column cap 30 x 30 (each)"][:2] == (2, "")
    assert rows["price", "Price total"][2] < 0
    assert ("input", "Inside length") not in rows


@pytest.mark.parametrize(
    ("column", "called", "ordered"),
    [("Blocks_price", "Price each", True), ("Bases_factor", "Compaction factor", False)],
)
def test_what_is_unknown_is_told_in_words(
    states: tuple[Path, Path, Path], tmp_path: Path, column: str, called: str, ordered: bool
) -> None:
    """A blank in the first row of a table, which the job has chosen."""
    after = tmp_path / "unknown.xlsx"
    recalculate(retyped(states[0], after, {column: None}))
    found = changes(states[0], after)
    rows = {(part, what): (a, b, d) for part, what, a, b, d in found.itertuples(index=False)}
    for what in ("Total materials", "Price before tax", "Price total"):
        assert rows["price", what][1:] == ("unknown", "")
    assert rows["price", "Missing price"][1].startswith(f'{called} of "')
    order = [after for (part, _), (_, after, _) in rows.items() if part == "order"]
    assert order == ([] if ordered else ["unknown"] * len(order))
    assert bool(order) != ordered
    assert (("quantity", "Base loose") in rows) != ordered
    if not ordered:
        assert rows["quantity", "Base loose"][1] == "unknown"


def test_nothing_differs_from_itself(states: tuple[Path, Path, Path]) -> None:
    assert changes(states[0], states[0]).empty


def test_the_record_is_written_and_not_replaced(
    states: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "record.csv"
    command = ["changes", str(states[0]), str(states[1]), "--out", str(out)]
    assert main(command) == 0
    assert "Price total" in capsys.readouterr().out
    assert out.read_text(encoding="utf-8").startswith("part,what,before,after,difference\n")
    assert main(command) == 2
    assert "--force" in capsys.readouterr().err


def test_units_must_agree_and_files_be_estimates(
    states: tuple[Path, Path, Path], tmp_path: Path
) -> None:
    with pytest.raises(InputError, match="same units"):
        changes(states[0], states[2])
    with pytest.raises(InputError):
        changes(states[0], tmp_path / "none.xlsx")


def test_workbooks_that_were_not_calculated_are_not_compared(
    states: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Their quantities and prices are blank: nothing would differ."""
    raw = tmp_path / "raw.xlsx"
    openpyxl.load_workbook(states[0]).save(raw)
    for before, after, named in ((raw, states[0], "before"), (states[0], raw, "after")):
        assert main(["changes", str(before), str(after)]) == 2
        said = capsys.readouterr().err
        assert said.startswith(f"basinbook: {named}: ")
        assert "recalculate it first" in said
        assert "basinbook recalc" in said


def test_what_was_typed_since_the_calculation_is_told_of_before_and_refused_after(
    states: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = retyped(states[0], tmp_path / "old.xlsx", {"Labour_rate": 99})
    assert main(["changes", str(old), str(states[1])]) == 0
    said = capsys.readouterr().out
    assert "compared here are as stored" in said
    assert "Price total" in said
    assert main(["changes", str(states[1]), str(old)]) == 2
    assert "recalculate it first" in capsys.readouterr().err
    assert main(["changes", str(states[0]), str(states[1])]) == 0
    assert "as stored" not in capsys.readouterr().out


@pytest.mark.parametrize(
    "text",
    [
        "=1+1", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", '"=1', "\'=1", '" =1',
        "=cmd|' /C calc'!A0", "\uff1d1", "a;=1", "a\n=1", "a\t@x", '"a";"=1"', "\ttext",
    ],
)  # fmt: skip
def test_no_text_of_the_record_runs_as_a_formula(text: str) -> None:
    """Whatever a spreadsheet program parts the lines at (comma, semicolon, tab)."""
    frame = pd.DataFrame([["input", text, text, -4.5, ""]], columns=list(COLUMNS))
    record = csv_text(frame)
    for mark in ",;\t":
        for row in csv.reader(io.StringIO(record), delimiter=mark):
            for cell in row:
                plain = cell.lstrip(' "\t\r\n')
                assert not plain.startswith(("=", "+", "@", "\uff1d")), (mark, cell)
                assert not re.match(r"-(?!4\.5)", plain), (mark, cell)
                assert not cell.startswith(("\t", "\r")), (mark, cell)
    assert next(csv.reader(io.StringIO(record.splitlines()[-1])))[-2] == "-4.5"


def test_ordinary_texts_of_the_record_stay_as_they_are() -> None:
    texts = ["Column cap: Column cap 30 x 30 (each)", "4' 2\"", "Pond court - east", "a, -b"]
    frame = pd.DataFrame([["order", text, text, 1, 2] for text in texts], columns=list(COLUMNS))
    read = list(csv.reader(io.StringIO(csv_text(frame))))
    assert [row[1] for row in read[1:]] == texts


def test_the_screen_shows_no_control_codes() -> None:
    frame = pd.DataFrame([["input", "a\x1b[2Jb", "\x9b1m", 1, 2]], columns=list(COLUMNS))
    assert not set("\x1b\x9b") & set(screen_text(frame))
