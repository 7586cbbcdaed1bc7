"""The add-in in a real, headless LibreOffice Calc."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula

from basinbook import __version__
from basinbook.catalogue import InputError, call, functions
from basinbook.catalogue.model import Array, Function
from basinbook.cli import main
from basinbook.engine import kinds
from basinbook.hosts.calc import extension
from basinbook.hosts.function_help import argument_help
from calc.calc_office import ODS, XLSX, Office, private_profile, remove

SHEET = "Sheet"


@pytest.fixture
def sheet(calc: Office) -> Iterator[Office]:
    """The office with an empty document."""
    calc.open()
    calc.rename(SHEET)
    yield calc
    calc.close()


def _workbook(path: Path, cells: dict[str, Any]) -> Path:
    book = openpyxl.Workbook()
    page = book.active
    page.title = SHEET
    for address, value in cells.items():
        page[address] = value
    book.save(path)
    return path


def _close(found: Any, expected: Any) -> bool:
    if isinstance(expected, bool) or expected is None or isinstance(expected, str):
        return bool(found == (float(expected) if isinstance(expected, bool) else expected or ""))
    return isinstance(found, float) and found == pytest.approx(expected, rel=1e-12, abs=1e-300)


# --- what the user sees in the function wizard -------------------------------------------------


def test_function_wizard_shows_every_function_with_names_and_help(calc: Office) -> None:
    shown = {found["name"]: found for found in calc.functions()}
    assert shown.keys() == {f"BASIN.{name}" for name in functions()}
    for name, function in functions().items():
        found = shown[f"BASIN.{name}"]
        assert found["description"] == function.summary
        arguments = [[argument[0], argument[1]] for argument in found["arguments"]]
        assert arguments == [
            [argument.name, argument_help(argument)] for argument in function.all_arguments
        ]


# --- every function through a cell -------------------------------------------------------------


def _typed(text: str) -> Any:
    """A literal of an example as a user types it into a cell; None for a blank cell."""
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        return text


def _examples() -> list[Any]:
    return [
        pytest.param(function, number, id=f"{name}-{number}")
        for name, function in functions().items()
        for number in range(len(function.examples))
    ]


def _arguments(function: Function, number: int) -> list[Any]:
    example = function.examples[number]
    declared = [argument.kind for argument in function.arguments]
    declared += [kinds.ANY] * (len(example.arguments) - len(declared))
    arguments: list[Any] = []
    for text, kind in zip(example.arguments, declared, strict=False):
        if kind == kinds.RANGE:
            # A range stands in an example as JSON rows, the way ``basinbook call`` takes it.
            arguments.append(tuple(tuple(row) for row in json.loads(text)))
        else:
            arguments.append(text if kind == kinds.TEXT else _typed(text))
    if function.has_units:
        arguments += [None] * (len(function.arguments) - len(arguments))
        arguments.append(example.units)
    return arguments


@pytest.mark.parametrize(("function", "number"), _examples())
def test_examples_give_the_same_through_a_cell(
    sheet: Office, function: Function, number: int
) -> None:
    arguments = _arguments(function, number)
    references = []
    for row, argument in enumerate(arguments, start=1):
        cells = [[argument]] if not isinstance(argument, tuple) else [list(r) for r in argument]
        for line, values in enumerate(cells):
            for column, value in enumerate(values):
                address = f"{get_column_letter(column + 1 + 26 * row)}{line + 1}"
                if value is not None:
                    sheet.set([[SHEET, address, value]])
        first = f"{get_column_letter(1 + 26 * row)}1"
        last = f"{get_column_letter(len(cells[0]) + 26 * row)}{len(cells)}"
        references.append(
            f"{first}:{last}" if isinstance(argument, tuple) or argument is None else first
        )
    expected = call(function.name, *arguments).value
    formula = f"=BASIN.{function.name}({';'.join(references)})"
    if isinstance(function.result, Array):
        assert isinstance(expected, list)
        assert expected
        width = get_column_letter(len(expected[0]))
        sheet.array_formula(SHEET, f"A1:{width}{len(expected)}", formula)
        for row, values in enumerate(expected, start=1):
            addresses = [f"{get_column_letter(c + 1)}{row}" for c in range(len(values))]
            for found, value in zip(sheet.get(SHEET, addresses), values, strict=True):
                assert found["error"] == 0
                assert _close(found["value"], value), (found, value)
    else:
        sheet.formula(SHEET, "A1", formula)
        [found] = sheet.get(SHEET, ["A1"])
        assert found["error"] == 0
        assert _close(found["value"], expected), (found, expected)


def test_every_function_has_an_example_to_go_through_a_cell() -> None:
    assert [name for name, function in functions().items() if not function.examples] == []


# --- blanks, texts, errors ---------------------------------------------------------------------


def test_texts_with_units_are_read(sheet: Office) -> None:
    sheet.set([[SHEET, "A1", "4' 2 1/2\""], [SHEET, "A2", "600 mm"], [SHEET, "A3", "16"]])
    sheet.formula(SHEET, "B1", "=BASIN.WATERVOLUME(A1;A2;A3)")
    [found] = sheet.get(SHEET, ["B1"])
    # 50.5 in by 600/25.4 in by 16 in, 231 in³ to the gallon (NIST Handbook 44, appendix C).
    assert found["value"] == pytest.approx(50.5 * 600 / 25.4 * 16 / 231)


def test_a_blank_in_a_one_cell_range_takes_the_default(sheet: Office) -> None:
    sheet.formula(SHEET, "B1", "=BASIN.WATERWEIGHT(100;A9:A9)")
    sheet.formula(SHEET, "B2", "=BASIN.WATERWEIGHT(100)")
    sheet.formula(SHEET, "B3", "=BASIN.WATERWEIGHT(100;)")
    sheet.formula(SHEET, "B4", '=BASIN.WATERWEIGHT(100;"")')
    values = [found["value"] for found in sheet.get(SHEET, ["B1", "B2", "B3", "B4"])]
    expected = call("WATERWEIGHT", 100).value
    assert values == [pytest.approx(expected)] * 4


def test_a_reference_to_one_blank_cell_is_a_nought_as_calc_has_it(sheet: Office) -> None:
    sheet.formula(SHEET, "B1", "=BASIN.WATERWEIGHT(100;A9)")
    sheet.formula(SHEET, "B2", '=BASIN.WHY("WATERWEIGHT";100;A9)')
    result, reason = sheet.get(SHEET, ["B1", "B2"])
    assert result["text"] == "#VALUE!"
    assert "density: 0" in reason["text"]


def test_bad_input_is_an_error_with_a_readable_reason(sheet: Office) -> None:
    sheet.set([[SHEET, "A1", 48], [SHEET, "A2", -1], [SHEET, "A3", 16]])
    sheet.formula(SHEET, "B1", "=BASIN.WATERVOLUME(A1;A2;A3)")
    sheet.formula(SHEET, "B2", '=BASIN.WHY("WATERVOLUME";A1;A2;A3)')
    result, reason = sheet.get(SHEET, ["B1", "B2"])
    assert result["text"] == "#VALUE!"
    with pytest.raises(InputError) as caught:
        call("WATERVOLUME", 48.0, -1.0, 16.0)
    assert reason["text"] == str(caught.value)
    sheet.set([[SHEET, "A2", 24]])
    result, reason = sheet.get(SHEET, ["B1", "B2"])
    assert result["value"] == pytest.approx(48 * 24 * 16 / 231)
    assert reason["text"] == ""


def test_error_cells_stay_errors_and_can_be_caught(sheet: Office) -> None:
    sheet.formula(SHEET, "A1", "=1/0")
    sheet.formula(SHEET, "B1", "=BASIN.WATERVOLUME(A1;24;16)")
    sheet.formula(SHEET, "B2", '=IFERROR(BASIN.WHY("WATERVOLUME";A1;24;16);"reads an error")')
    sheet.formula(SHEET, "B3", '=IFERROR(BASIN.WHY("WATERVOLUME";A1:A2;24;16);"reads an error")')
    first, second, third = sheet.get(SHEET, ["B1", "B2", "B3"])
    assert first["text"] == "#DIV/0!"
    assert second["text"] == third["text"] == "reads an error"


@pytest.mark.parametrize(
    "formula",
    [
        "=BASIN.WATERVOLUME()",
        "=BASIN.WATERVOLUME(1;2;3;4;5;6;7;8;9)",
        "=BASIN.WATERVOLUME(A1:C9;24;16)",
        '=BASIN.WATERVOLUME("' + "x" * 2000 + '";24;16)',
        '=BASIN.WATERVOLUME("日本語 ✓";24;16)',
        "=BASIN.WATERVOLUME(1E+307;1E+307;1E+307)",
        "=BASIN.WATERVOLUME({1;2;3};24;16)",
    ],
)
def test_nonsense_is_an_error_and_no_crash(sheet: Office, formula: str) -> None:
    sheet.formula(SHEET, "B1", formula)
    sheet.formula(SHEET, "B2", "=BASIN.WATERVOLUME(48;24;16)")
    nonsense, sense = sheet.get(SHEET, ["B1", "B2"])
    assert nonsense["error"] != 0
    assert sense["value"] == pytest.approx(48 * 24 * 16 / 231)


# --- workbooks ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("suffix", "filter_name"), [("xlsx", XLSX), ("ods", ODS)])
def test_workbook_loads_follows_edits_and_survives_saving(
    calc: Office, tmp_path: Path, suffix: str, filter_name: str
) -> None:
    cells = {
        "A1": 48,
        "A2": 24,
        "A3": 16,
        "B1": "=BASIN.WATERVOLUME(A1,A2,A3)",
        "B2": "=BASIN.WATERWEIGHT(B1,A9:A9)",
        "B3": "=ROUND(B2,1)",
        "B4": '=BASIN.WHY("WATERVOLUME",A1,A2,A3)',
        "C1": ArrayFormula("C1:E2", "=BASIN.PRESSURETABLE(A3,1)"),
    }
    addresses = ["B1", "B2", "B3", "B4", "C1", "D1", "C2", "D2"]
    calc.open(str(_workbook(tmp_path / "job.xlsx", cells)))
    before = [found["value"] for found in calc.get(SHEET, addresses)]
    volume = 48 * 24 * 16 / 231
    assert before[0] == pytest.approx(volume)
    assert before[1] == pytest.approx(call("WATERWEIGHT", volume).value)
    calc.set([[SHEET, "A1", 96]])
    edited = [found["value"] for found in calc.get(SHEET, addresses)]
    assert edited[0] == pytest.approx(2 * volume)
    assert edited[1] == pytest.approx(2 * before[1])
    saved = tmp_path / f"saved.{suffix}"
    calc.save(str(saved), filter_name)
    calc.close()
    calc.open(str(saved))
    # LibreOffice saves numbers with 15 digits.
    kept = [
        pytest.approx(value, rel=1e-14) if isinstance(value, float) else value for value in edited
    ]
    assert [found["value"] for found in calc.get(SHEET, addresses)] == kept
    calc.recalculate()
    again = calc.get(SHEET, addresses)
    assert [found["value"] for found in again] == edited
    assert again[0]["formula"] == "=BASIN.WATERVOLUME(A1;A2;A3)"
    assert again[1]["formula"] == "=BASIN.WATERWEIGHT(B1;A9:A9)"
    calc.set([[SHEET, "A1", 48]])
    assert [found["value"] for found in calc.get(SHEET, addresses)] == before
    calc.close()


def test_without_the_add_in_last_values_stay_and_a_line_says_what_to_install(
    calc: Office, bare_profile: Path, tmp_path: Path
) -> None:
    line = '=IF(TODAY()>0,IFERROR("Calculated with "&BASIN.ADDINVERSION(),"Install the functions"))'
    cells = {
        "A1": 48,
        "B1": "=BASIN.WATERVOLUME(A1,24,16)",
        "B2": '=IFERROR(BASIN.WHY("WATERVOLUME",A1,24,16),"")',
        "B3": "=BASIN.READLENGTH(A1)",
        "B4": line,
    }
    source = _workbook(tmp_path / "job.xlsx", cells)
    addresses = ["B1", "B2", "B3", "B4"]
    calc.open(str(source))
    with_it = [found["text"] for found in calc.get(SHEET, addresses)]
    calc.save(str(tmp_path / "calculated.xlsx"), XLSX)
    calc.close()
    assert with_it[3] == f"Calculated with {__version__}"
    # The same values in a file that names openpyxl's application, as our own recalculation does.
    own = tmp_path / "own.xlsx"
    with (
        zipfile.ZipFile(source) as written,
        zipfile.ZipFile(tmp_path / "calculated.xlsx") as values,
        zipfile.ZipFile(own, "w") as target,
    ):
        for name in values.namelist():
            part = "docProps/app.xml"
            target.writestr(name, (written if name == part else values).read(name))
    with Office(bare_profile) as bare:
        for path in (tmp_path / "calculated.xlsx", own):
            bare.open(str(path))
            without = [found["text"] for found in bare.get(SHEET, addresses)]
            assert without == [*with_it[:3], "Install the functions"]
            bare.close()


# --- staying alive -----------------------------------------------------------------------------


def test_a_hundred_edits_leave_no_drift_and_no_leak(calc: Office, tmp_path: Path) -> None:
    cells: dict[str, Any] = {"A1": 48, "A2": 24, "A3": 16}
    for row in range(1, 101):
        cells[f"B{row}"] = f"=BASIN.WATERVOLUME($A$1+{row},$A$2,$A$3)"
        cells[f"C{row}"] = f"=BASIN.WATERWEIGHT(B{row})"
    calc.open(str(_workbook(tmp_path / "job.xlsx", cells)))
    addresses = [f"{column}{row}" for column in "BC" for row in (1, 50, 100)]
    first = [found["value"] for found in calc.get(SHEET, addresses)]
    # Settle first: caches fill and the office loads what it needs for edits.
    calc.time_edits([[SHEET, "A1", 40 + n / 100] for n in range(50)], [[SHEET, "C100"]])
    before = calc.memory()
    calc.time_edits([[SHEET, "A1", 50 + n / 100] for n in range(100)], [[SHEET, "C100"]])
    after = calc.memory()
    calc.set([[SHEET, "A1", 48]])
    assert [found["value"] for found in calc.get(SHEET, addresses)] == first
    growth = {name: after[name] - before[name] for name in before}
    print(f"memory before {before} KiB, growth over 100 edits {growth} KiB")
    # 20,000 calls, each remembered with at most a few hundred bytes until the memory is full;
    # a leak of one call's data (about 1 KiB) would be above the limit.
    assert growth["office"] < 8 * 1024
    assert growth["engine"] < 2 * 1024
    calc.close()


def test_a_killed_engine_is_started_again(sheet: Office) -> None:
    sheet.set([[SHEET, "A1", 48]])
    sheet.formula(SHEET, "B1", "=BASIN.WATERVOLUME(A1;24;16)")
    assert sheet.get(SHEET, ["B1"])[0]["error"] == 0
    engines = sheet.engines()
    assert len(engines) == 1
    os.kill(engines[0], signal.SIGKILL)
    sheet.set([[SHEET, "A1", 97.125]])
    assert sheet.get(SHEET, ["B1"])[0]["value"] == pytest.approx(97.125 * 24 * 16 / 231)
    assert len(sheet.engines()) == 1
    assert sheet.engines() != engines


def test_a_hung_engine_does_not_hang_the_office(sheet: Office) -> None:
    sheet.formula(SHEET, "B1", "=BASIN.WATERVOLUME(A1;24;16)")
    sheet.set([[SHEET, "A1", 31.5]])
    [engine] = sheet.engines()
    os.kill(engine, signal.SIGSTOP)
    start = time.monotonic()
    sheet.set([[SHEET, "A1", 32.5]])
    [found] = sheet.get(SHEET, ["B1"])
    assert time.monotonic() - start < 15
    assert found["text"] == "#VALUE!"
    sheet.set([[SHEET, "A1", 33.5]])
    assert sheet.get(SHEET, ["B1"])[0]["value"] == pytest.approx(33.5 * 24 * 16 / 231)


def test_without_an_engine_cells_show_an_error_and_the_reason(own_profile: Path) -> None:
    with Office(own_profile, BASINBOOK_PYTHON="/nowhere/python") as office:
        office.open()
        office.rename(SHEET)
        start = time.monotonic()
        for row in range(1, 201):
            office.formula(SHEET, f"A{row}", f"=BASIN.WATERVOLUME({row + 10};24;16)")
        office.formula(SHEET, "B1", '=BASIN.WHY("WATERVOLUME";10;24;16)')
        found = office.get(SHEET, ["A1", "A200", "B1"])
        assert time.monotonic() - start < 10
        assert [cell["text"] for cell in found[:2]] == ["#VALUE!", "#VALUE!"]
        assert "/nowhere/python" in found[2]["text"]
        assert "basinbook addin install calc" in found[2]["text"]


def test_engine_ends_with_the_office(own_profile: Path) -> None:
    with Office(own_profile) as office:
        office.open()
        office.rename(SHEET)
        office.formula(SHEET, "A1", "=BASIN.ADDINVERSION()")
        assert office.get(SHEET, ["A1"])[0]["text"] == __version__
        [engine] = office.engines()
    deadline = time.monotonic() + 10
    while Path(f"/proc/{engine}").exists() and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not Path(f"/proc/{engine}").exists()


# --- installing --------------------------------------------------------------------------------


def test_install_twice_and_uninstall(capsys: pytest.CaptureFixture[str], profile: Path) -> None:
    assert profile.exists()
    folder = private_profile()
    options = ["calc", "--profile", str(folder)]
    try:
        assert main(["addin", "install", *options]) == 0
        assert main(["addin", "install", *options]) == 0
        assert main(["addin", "uninstall", *options]) == 0
        assert "out of LibreOffice" in capsys.readouterr().out
        assert main(["addin", "uninstall", *options]) == 0
        assert "nothing to take out" in capsys.readouterr().out
        with Office(folder) as office:
            assert office.functions() == []
    finally:
        remove(folder)


def test_an_ordinary_user_installs_for_herself(profile: Path) -> None:
    unshare = shutil.which("unshare")
    if unshare is None or subprocess.run([unshare, "-U", "true"], check=False).returncode != 0:
        pytest.skip("no user namespaces here")
    assert profile.exists()
    folder = private_profile()
    try:
        # In a user namespace of its own the process is no longer root to LibreOffice.
        command = [sys.executable, "-m", "basinbook.cli", "addin", "install", "calc"]
        subprocess.run(
            [unshare, "-U", *command, "--profile", str(folder)], check=True, capture_output=True
        )
        places = {found.relative_to(folder).parts[0] for found in folder.rglob("*.oxt")}
        assert places == {"user"}
        with Office(folder) as office:
            assert len(office.functions()) == len(functions())
    finally:
        remove(folder)


def test_build_writes_the_same_file_twice_and_never_over_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "basin.oxt"
    assert main(["addin", "build", "calc", "--out", str(target)]) == 0
    first = target.read_bytes()
    assert main(["addin", "build", "calc", "--out", str(target)]) == 2
    assert "--force" in capsys.readouterr().err
    assert main(["addin", "build", "calc", "--out", str(target), "--force"]) == 0
    assert target.read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == ["basin.oxt"]


def test_a_missing_office_is_said_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BASINBOOK_OFFICE", str(tmp_path))
    assert main(["addin", "install", "calc"]) == 2
    assert "install LibreOffice" in capsys.readouterr().err


def test_the_office_reads_only_what_the_extension_brings(tmp_path: Path) -> None:
    target = extension.build(tmp_path / "basin.oxt")
    with zipfile.ZipFile(target) as archive:
        names = set(archive.namelist())
        client = archive.read("pythonpath/basinbook_client.py")
    assert "META-INF/manifest.xml" in names
    # The client works alone, in a Python that has no basinbook and no other package.
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", client.decode()], capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
