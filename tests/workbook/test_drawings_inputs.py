from __future__ import annotations

from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.engine.spec import INCH
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.template.template import fill
from basinbook.workbook.template.template_files import new_workbook
from workbook.places import retyped

JOB = {
    "Inside length": "4' 2\"",
    "Inside width": 30,
    "Block length": 16,
    "Block height": 4,
    "Block depth": 6,
    "Water depth": 12,
}


def saved(path: Path, values: dict[str, object] | None = None, **named: object) -> Path:
    """Write a workbook with a Job sheet and one named cell for each of ``named``."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Job"
    given = JOB if values is None else values
    for row, (label, value) in enumerate(given.items(), 1):
        sheet.cell(row, 1, label)
        sheet.cell(row, 2, value)
    last = max(len(given), 1)
    book.defined_names["Job_labels"] = DefinedName("Job_labels", attr_text=f"Job!$A$1:$A${last}")
    book.defined_names["Job_values"] = DefinedName("Job_values", attr_text=f"Job!$B$1:$B${last}")
    for row, (name, value) in enumerate(named.items(), 1):
        sheet.cell(row, 5, value)
        book.defined_names[name] = DefinedName(name, attr_text=f"Job!$E${row}")
    book.save(path)
    return path


def test_inputs_come_from_the_named_cells(tmp_path: Path) -> None:
    file = saved(
        tmp_path / "job.xlsx",
        Units="US", Job_name="Courtyard basin", Job_date=datetime(2026, 4, 1), Job_revision=2.0,
        Base_thickness=5, Base_margin="1 ft", Liner_lap=None,
    )  # fmt: skip
    spec, title, outfit = drawing_inputs(file, "a4")
    assert spec.inside_length == pytest.approx(1.27)
    assert spec.block_height == pytest.approx(4 * INCH)
    assert (title.job, title.date, title.revision) == ("Courtyard basin", "2026-04-01", "2")
    assert (title.system, title.paper) == ("us", "a4")
    assert outfit.base_thickness == pytest.approx(5 * INCH)
    assert outfit.base_margin == pytest.approx(12 * INCH)
    assert outfit.liner_lap == 0.0
    assert outfit.liner == outfit.pump == outfit.pipe == ""


def test_the_paper_goes_with_the_units_where_none_is_asked(tmp_path: Path) -> None:
    """ANSI Y14.1 and ISO 216: letter where feet and inches are used, else A4."""
    for units, paper in (("us", "letter"), ("metric", "a4")):
        one = {"us": 1.0, "metric": 25.4}[units]
        sizes = {
            name: size * one if isinstance(size, (int, float)) else size
            for name, size in JOB.items()
        }
        file = saved(tmp_path / f"{units}.xlsx", sizes, Units=units)
        assert drawing_inputs(file).title.paper == paper
        assert drawing_inputs(file, "a3").title.paper == "a3"


def test_missing_job_texts_stay_blank(tmp_path: Path) -> None:
    _, title, _ = drawing_inputs(saved(tmp_path / "job.xlsx"))
    assert (title.job, title.date, title.revision, title.system) == ("", "", "", "us")


def test_what_is_no_estimate_workbook_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        drawing_inputs(tmp_path / "none.xlsx")
    text = tmp_path / "text.xlsx"
    text.write_text("no workbook")
    with pytest.raises(InputError, match="not a workbook"):
        drawing_inputs(text)
    Workbook().save(tmp_path / "other.xlsx")
    with pytest.raises(InputError, match="Job_labels"):
        drawing_inputs(tmp_path / "other.xlsx")
    blank = saved(tmp_path / "blank.xlsx", dict.fromkeys(JOB))
    with pytest.raises(InputError, match="Inside length: a blank can't be used"):
        drawing_inputs(blank)
    with pytest.raises(InputError, match="Liner lap"):
        drawing_inputs(saved(tmp_path / "bad.xlsx", Liner_lap="wide"))


@pytest.mark.parametrize("host", ["calc", "excel"])
def test_a_workbook_with_no_or_old_values_is_to_be_recalculated_first(
    host: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Filled in by a library, which leaves formulas no values; then by a program without ours."""
    path = new_workbook(tmp_path / "a job.xlsx", "us", host)
    book = openpyxl.load_workbook(path)
    fill(book, {"Inside_length": "54½", "Inside_width": 30})
    book.save(path)
    command = ["draw", str(path), "--out", str(tmp_path)]
    assert main(command) == 2
    said = capsys.readouterr().err
    assert "recalculate it first" in said
    assert f'basinbook recalc "{path}"' in said
    # A cell that the user sees; the layout's inputs are gathered out of sight.
    assert "(Water!" in said
    assert "Working" not in said
    assert main(["recalc", str(path)]) == 0
    assert main([*command]) == 0
    capsys.readouterr()
    block = "Ledge block 16 x 6 x 8"
    recalculate(retyped(path, tmp_path / "fresh.xlsx", {"Block": block}))
    old = retyped(path, tmp_path / "old.xlsx", {"Block": block})
    with pytest.raises(InputError, match="recalculate it first"):
        drawing_inputs(old)
    assert drawing_inputs(tmp_path / "fresh.xlsx").spec.block_height == pytest.approx(6 * INCH)


def test_old_values_that_no_drawing_shows_are_no_hindrance(tmp_path: Path) -> None:
    path = new_workbook(tmp_path / "job.xlsx")
    recalculate(retyped(path, path, {"Inside_length": 50, "Inside_width": 30}))
    drawing_inputs(retyped(path, path, {"Delivery": 111}))


def test_the_command_writes_beside_the_workbook_and_asks_before_replacing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = saved(tmp_path / "job.xlsx", Units="us", Job_name="Courtyard basin")
    assert main(["draw", str(file)]) == 0
    *names, note = capsys.readouterr().out.splitlines()
    assert str(tmp_path / "drawings.pdf") in names
    assert all(Path(name).is_file() for name in names)
    # A workbook without a version is an old one, and is told so.
    assert "has workbook version 1" in note
    assert main(["draw", str(file)]) == 2
    assert "--force" in capsys.readouterr().err
    out = tmp_path / "set"
    more = ["--dxf", "--picture", "--block-colour", "buff"]
    assert main(["draw", str(file), "--out", str(out), "--paper", "a4", *more]) == 0
    assert {"drawings.pdf", "drawings.dxf", "picture.png"} <= {path.name for path in out.iterdir()}
    assert main(["draw", str(file), "--out", str(out), "--force", "--picture", "--cap-colour", "x"])
    assert "light grey" in capsys.readouterr().err
