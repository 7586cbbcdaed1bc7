"""Typing into a job's inputs from the command line: what is kept, cleared and refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.file.package import open_package, to_xml, workbook_part, write_package
from basinbook.workbook.fill import fill, from_site
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.recalc import read_values


def value(path: Path, name: str) -> object:
    (((sheet, at),),) = NamedValues(open_package(path), {}).places(name)
    return read_values(path)[sheet].get(at)


@pytest.fixture(scope="module")
def filled(blanks: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("fill") / "job.xlsx"
    given = {
        "inside_length": "5' 4\"",
        "Inside width": "46",
        "Breakage": "10%",
        "Job_date": "2026-05-01",
        "Block": "plank block 18 x 4 x 8",
        "Second_wall": "YES",
        "Job_name": "=Garden",
        "Site_inside_length": "64",
        "Site_inside_width": "3' 11\"",
        "Site_hose_drop": "30",
    }
    done = fill(blanks["us"], given, out=path)
    assert [one.name for one in done.typed][:2] == ["Inside_length", "Inside_width"]
    assert done.typed[0].before is None
    return path


def test_what_is_typed_is_kept_as_it_is_typed(filled: Path) -> None:
    assert value(filled, "Inside_length") == "5' 4\""
    assert value(filled, "Inside_width") == 46
    assert value(filled, "Breakage") == 0.1
    # 46,143 days after the first day of the year 1900 as spreadsheets count them.
    assert value(filled, "Job_date") == 46143
    assert value(filled, "Block") == "Plank block 18 x 4 x 8"
    assert value(filled, "Second_wall") == "yes"
    assert value(filled, "Job_name") == "=Garden"


def test_what_was_measured_on_the_site_goes_into_the_job(
    filled: Path, blanks: dict[str, Path]
) -> None:
    """Where the job is blank or reads otherwise; the same length in other words is written anew."""
    assert from_site(filled) == {
        "Inside_length": "64",
        "Inside_width": "3' 11\"",
        "Hose_drop": "30",
    }
    with pytest.raises(InputError, match="write on the Site sheet"):
        from_site(blanks["us"])


def test_the_sheet_follows(filled: Path, blanks: dict[str, Path]) -> None:
    assert value(filled, "Qty_Inside_length") == pytest.approx(64)
    assert value(blanks["us"], "Inside_length") is None


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("Inside_lenght", "64", "near it are Inside_length"),
        ("Inside_length", "300 m", "allowed is 7.88 in to 590 in"),
        ("Inside_length", "wide", "Inside_length: 'wide'"),
        ("Courses", "2.5", "whole number"),
        ("Second_wall", "maybe", "allowed are no, yes"),
        ("Block", "Brick of gold", "choose a row of the Materials sheet, such as"),
        ("Job_date", "1.5.2026", "such as 2026-05-01"),
        ("Breakage", "nan", "Breakage"),
        ("Tax_rate", "8.25", "allowed is 0 to 2; 8.25% is 0.0825"),
        ("Block_length", "18", "has a formula"),
    ],
)
def test_nothing_is_written_where_one_value_is_no_use(
    filled: Path, tmp_path: Path, name: str, text: str, says: str
) -> None:
    path = Path(shutil.copy(filled, tmp_path))
    before = path.read_bytes()
    with pytest.raises(InputError, match=says):
        fill(path, {"Inside_width": "50", name: text})
    assert path.read_bytes() == before


def test_the_command_says_what_it_typed(
    filled: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(shutil.copy(filled, tmp_path))
    assert main(["fill", str(path), "Inside_width=50 in"]) == 0
    assert "Inside_width (Basin!B8): 46 -> 50 in" in capsys.readouterr().out
    assert main(["fill", str(path), "Water_depth="]) == 0
    assert "Water_depth (Basin!B9): 14 -> blank" in capsys.readouterr().out
    assert value(path, "Water_depth") is None
    assert main(["fill", str(path), "Prices_as_of=2026-05-01"]) == 0
    said = capsys.readouterr().out
    assert "blank -> 2026-05-01" in said
    assert "not in this job" not in said
    # What the sheet greys is typed all the same, and that it does not count is said.
    assert main(["fill", str(path), "Measured_inside_length=5' 5\""]) == 0
    assert "blank -> 5' 5\"; not in this job: see Courses laid\n" in capsys.readouterr().out
    assert main(["fill", str(path), "Courses_laid=1", "Measured_inside_length=5' 4 1/4\""]) == 0
    assert "not in this job" not in capsys.readouterr().out
    typed = ["Option_2_Inside_width=52", "option_3_courses_on_edge=None"]
    assert main(["fill", str(path), *typed]) == 0
    assert value(path, "Option_2_Inside_width") == 52
    assert value(path, "Option_3_Courses_on_edge") == "none"
    # The job as it is has nothing of its own, nor has an option what no option may change.
    for name in ("Option_1_Inside_width", "Option_2_Labour_rate", "Option_5_Courses"):
        assert main(["fill", str(path), f"{name}=52"]) == 2
        assert "no input's cell has this name" in capsys.readouterr().err
    assert main(["fill", str(path), "Inside_width"]) == 2
    assert main(["fill", str(path)]) == 2
    assert main(["fill", "--list"]) == 0
    assert "Inside_length" in capsys.readouterr().out


def test_a_day_counts_from_where_the_workbook_counts(
    blanks: dict[str, Path], tmp_path: Path
) -> None:
    """1 January 1904 is day 0 in workbooks of old Macs (ECMA-376 part 1, 18.17.4.1)."""
    package = open_package(blanks["us"])
    part = workbook_part(package)
    root = package.xml(part)
    for properties in root.iterfind("{*}workbookPr"):
        properties.set("date1904", "1")
    path = tmp_path / "mac.xlsx"
    write_package(package, {part: to_xml(root)}, path)
    done = fill(path, {"Job_date": "1904-01-03"})
    assert value(path, "Job_date") == 2
    assert done.typed[0].now == "1904-01-03"
