"""What changed between two states of a job."""

from __future__ import annotations

from pathlib import Path

import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.changes import changes
from basinbook.workbook.template.demo_job import DEMO_METRIC, DEMO_US
from basinbook.workbook.template.template_files import make_workbook


@pytest.fixture(scope="module")
def states(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Path]:
    folder = tmp_path_factory.mktemp("states")
    before, after, metric = folder / "a.xlsx", folder / "b.xlsx", folder / "m.xlsx"
    make_workbook(before, "us", DEMO_US)
    make_workbook(after, "us", {**DEMO_US, "Columns": 0, "Job_revision": "C"})
    make_workbook(metric, "metric", DEMO_METRIC)
    return before, after, metric


def test_a_change_is_followed_from_input_to_price(states: tuple[Path, Path, Path]) -> None:
    found = changes(states[0], states[1])
    rows = {(part, what): (a, b, d) for part, what, a, b, d in found.itertuples(index=False)}
    assert rows["input", "Columns"] == (2, 0, -2)
    assert rows["input", "Job revision"] == ("B", "C", "")
    assert rows["quantity", "Column pieces"][1] == 0
    assert rows["order", "Column cap: Column cap 30 x 30 (each)"][:2] == (2, "")
    assert rows["price", "Price total"][2] < 0
    assert ("input", "Inside length") not in rows


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
