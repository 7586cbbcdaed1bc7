"""One table of bad inputs: each gives a clear message, exit code 2, and nothing half-written."""

from __future__ import annotations

import math
import os
import re
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from basinbook import catalogue
from basinbook.catalogue.model import CellError
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.evaluation.evaluator import Book, Formula, Grid, evaluate_book

Written = Callable[[Path], None]

# The function, its arguments as typed, and the argument that the message must name.
TYPED = [
    ("WATERVOLUME", ["wide", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48", "24"], "water_depth"),
    ("WATERVOLUME", ["48", "-24", "16"], "inside_width"),
    ("WATERVOLUME", ["0", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48", "24", "1e300"], "water_depth"),
    ("WATERVOLUME", ["48", "24", "1e999"], "water_depth"),
    ("WATERVOLUME", ["nan", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["inf", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48 gal", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48 lb", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["4 1/0", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["4' 2' 1'", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48 in; rm", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["__import__('os')", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["٤٨ parsec", "24", "16"], "inside_length"),
    ("WATERVOLUME", ["48", "24", "16", "imperial"], "units"),
    ("WATERVOLUME", ["48", "24", "16", "us", "us"], "WATERVOLUME"),
    ("NOSUCHFUNCTION", ["1"], "function"),
    ("FILLTIME", ["100", "0"], "hose_flow"),
    ("FILLTIME", ["-1", "10"], "volume"),
    ("WATERWEIGHT", ["80", "5"], "density"),
    ("PACKS", ["10", "0"], "pack_size"),
    ("PACKS", ["ten", "4"], "quantity"),
    ("CARTRIDGES", ["100", "1.5", "0.25", "10"], "beads"),
    ("CARTRIDGES", ["100", "1", "0.25", "10", "150%"], "waste"),
    ("LOOSEVOLUME", ["1", "0.5"], "compaction_factor"),
    ("CONVERTLENGTH", ["10", "gallons"], "to"),
    ("SQUARESHIFT", ["48", "24", "10", "200"], "first_diagonal"),
    ("CAUTION", ["nonsense"], "key"),
]

LABELS = (("Inside length",), ("Inside width",), ("Block length",), ("Block height",),
          ("Block depth",))  # fmt: skip
VALUES = ((60,), (30,), (12,), (4,), (8,))
# What cells and ranges hand over; the number of the wanted rows is what TAKEOFF is asked for.
FROM_CELLS = [
    ("WATERVOLUME", [True, 24, 16], "inside_length"),
    ("WATERVOLUME", [math.nan, 24, 16], "inside_length"),
    ("WATERVOLUME", [math.inf, 24, 16], "inside_length"),
    ("WATERVOLUME", [10**400, 24, 16], "inside_length"),
    ("WATERVOLUME", [None, 24, 16], "inside_length"),
    ("WATERVOLUME", [CellError("#DIV/0!"), 24, 16], "inside_length"),
    ("WATERVOLUME", [((48, 60),), 24, 16], "inside_length"),
    ("WATERVOLUME", [(("a", 1), (2, None)), 24, 16], "inside_length"),
    ("WATERVOLUME", [48, 24, "=1+1"], "water_depth"),
    ("WATERVOLUME", ["4" * 5000, 24, 16], "inside_length"),
    ("TAKEOFF", ["Courses", (*LABELS, ("Blok depth",)), (*VALUES, (8,))], "Blok depth"),
    ("TAKEOFF", ["Courses", (*LABELS, ("Block depth",)), (*VALUES, (8,))], "Block depth"),
    ("TAKEOFF", ["Courses", LABELS[1:], VALUES[1:]], "Inside length"),
    ("TAKEOFF", ["Courses", LABELS, VALUES[1:]], "values"),
    ("TAKEOFF", ["Courses", VALUES, LABELS], "60"),
    ("TAKEOFF", ["Courses", LABELS, ((60,), (30,), (-12,), (4,), (8,))], "Block length"),
    ("TAKEOFF", ["Courses", LABELS, ((60,), (30,), (CellError("#N/A"),), (4,), (8,))],
     "Block length"),
    ("TAKEOFF", ["marbles", LABELS, VALUES], "item"),
    ("PUMPHEADAT", [5, ((0,), (10,)), ((8,),)], "heads"),
]  # fmt: skip


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def refused(arguments: list[str], folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """The message of a command that must refuse its input and leave the folder as it was."""
    before = contents(folder)
    assert main(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert len(shown.err) < 1000
    assert "Traceback" not in shown.err
    assert contents(folder) == before
    return shown.err


@pytest.mark.parametrize(("name", "arguments", "argument"), TYPED)
def test_typed_arguments(
    name: str,
    arguments: list[str],
    argument: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    message = refused(["call", name, *arguments], tmp_path, capsys)
    assert message.startswith(f"basinbook: {argument}: ")
    # What is wrong, then what to do.
    assert re.search(r"can't be used; .{8,}", message)


@pytest.mark.parametrize(("name", "arguments", "argument"), FROM_CELLS)
def test_arguments_from_cells(name: str, arguments: list[object], argument: str) -> None:
    with pytest.raises(InputError) as caught:
        catalogue.call(name, *arguments)
    assert caught.value.argument == argument
    assert len(str(caught.value)) < 1500


def test_cells_show_an_error_and_the_message_is_kept() -> None:
    formulas = {
        (1, 2): Formula("BASIN.WATERVOLUME(A1,24,16)"),
        (2, 2): Formula("BASIN.WATERVOLUME(48,24,16,16,16,16)"),
    }
    outcome = evaluate_book(Book({"JOB": Grid("Job", {(1, 1): "wide"}, formulas)}))
    assert set(outcome.values.values()) == {CellError("#VALUE!")}
    assert outcome.refused["JOB", 1, 2].startswith("inside_length: 'wide'")
    assert "at most 4" in outcome.refused["JOB", 2, 2]


def workbook(path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "=1+1"  # type: ignore[index]
    book.save(path)


def change(part: str, old: bytes, new: bytes) -> Written:
    """A workbook with something replaced in one part."""

    def write(path: Path) -> None:
        workbook(path)
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        assert old in parts[part]
        parts[part] = parts[part].replace(old, new)
        with zipfile.ZipFile(path, "w") as archive:
            for name, data in parts.items():
                archive.writestr(name, data)

    return write


def add(name: str, data: bytes = b"x") -> Written:
    """A workbook with one more part."""

    def write(path: Path) -> None:
        workbook(path)
        with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(name, data)

    return write


def plain_zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("holiday.txt", "sunny")


def truncated(path: Path) -> None:
    workbook(path)
    path.write_bytes(path.read_bytes()[:-200])


def bomb(path: Path) -> None:
    workbook(path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/big.bin", bytes(60_000_000))


def many_parts(path: Path) -> None:
    workbook(path)
    with zipfile.ZipFile(path, "a") as archive:
        for number in range(5_001):
            archive.writestr(f"xl/media/{number}.bin", b"")


def encrypted_entry(path: Path) -> None:
    workbook(path)
    data = bytearray(path.read_bytes())
    # The general purpose flags, in every entry of the central directory.
    at = data.find(b"PK\x01\x02")
    while at >= 0:
        data[at + 8] |= 1
        at = data.find(b"PK\x01\x02", at + 4)
    path.write_bytes(data)


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)
MAIN_TYPE = b"spreadsheetml.sheet.main+xml"
FILES: list[tuple[str, Callable[[Path], object] | None, str]] = [
    ("missing", None, "no such file"),
    ("folder", Path.mkdir, "it is a folder"),
    ("empty", lambda path: path.write_bytes(b"") and None, "no workbook"),
    ("text", lambda path: path.write_text("length,width\n48,24\n") and None, "no workbook"),
    ("noise", lambda path: path.write_bytes(bytes(range(256)) * 9) and None, "no workbook"),
    ("plain zip", plain_zip, "no workbook"),
    ("truncated", truncated, "damaged"),
    ("old format", lambda path: path.write_bytes(OLE) and None, "old .xls"),
    ("password", lambda path: path.write_bytes(
        OLE + "EncryptedPackage".encode("utf-16-le")) and None, "password"),
    ("encrypted parts", encrypted_entry, "password"),
    ("zip bomb", bomb, "unpacks to 60 MB"),
    ("too many parts", many_parts, "5000"),
    ("path out of the zip", add("../../evil.xml"), "part name"),
    ("absolute path", add("/etc/evil.xml"), "part name"),
    ("two parts of one name", add("XL/workbook.xml"), "one name"),
    ("text document", change("[Content_Types].xml", MAIN_TYPE,
                             b"wordprocessingml.document.main+xml"), "no workbook"),
    ("main part gone", change("_rels/.rels", b"xl/workbook.xml", b"xl/gone.xml"), "no workbook"),
    ("sheet part gone", change("xl/_rels/workbook.xml.rels", b"sheet1.xml", b"sheet9.xml"),
     "sheet9.xml is missing"),
    ("damaged sheet", change("xl/worksheets/sheet1.xml", b"</sheetData>", b"</sheetDat"),
     "sheet1.xml is damaged"),
    ("nonsense in a sheet", change("xl/worksheets/sheet1.xml", b'<c r="A1"', b'<c r="1A?"'),
     "no sheet has"),
    ("entities", change("xl/worksheets/sheet1.xml", b"<worksheet ",
                        b'<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet '), "document type"),
]  # fmt: skip


@pytest.mark.parametrize(("write", "why"), [f[1:] for f in FILES], ids=[f[0] for f in FILES])
def test_files(
    write: Written | None, why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    if write is not None:
        write(path)
    message = refused(["recalc", str(path)], tmp_path, capsys)
    assert message.startswith("basinbook: workbook: ")
    assert why in message


def fails(*_: object, **__: object) -> None:
    raise PermissionError(13, "Permission denied")


@pytest.mark.parametrize(
    ("owner", "name", "argument"),
    [(os, "open", "workbook"), (tempfile, "mkdtemp", "out"), (Path, "replace", "out")],
    ids=["locked", "read-only folder", "locked while it is replaced"],
)
def test_what_the_system_refuses(
    owner: object,
    name: str,
    argument: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    # Root may read and write everything, so the refusal is played.
    path = tmp_path / "job.xlsx"
    workbook(path)
    before = contents(tmp_path)
    with monkeypatch.context() as patched:
        patched.setattr(owner, name, fails)
        assert main(["recalc", str(path)]) == 2
    message = capsys.readouterr().err
    assert message.startswith(f"basinbook: {argument}: ")
    assert "close it in the other program" in message
    assert contents(tmp_path) == before


def test_a_write_protected_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    workbook(path)
    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    assert "write-protected" in refused(["recalc", str(path)], tmp_path, capsys)


@pytest.mark.parametrize("lock", [".~lock.job.xlsx#", "~$job.xlsx"])
def test_a_file_open_in_a_spreadsheet(
    lock: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    workbook(path)
    (tmp_path / lock).write_text("someone")
    assert "open in another program" in refused(["recalc", str(path)], tmp_path, capsys)


@pytest.mark.parametrize(
    ("out", "why"),
    [
        ("taken.xlsx", "--force"),
        ("none/out.xlsx", "no such folder"),
        ("folder", "it is a folder"),
        ("x" * 300 + ".xlsx", "File name too long"),
    ],
)
def test_where_to_write(
    out: str, why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    workbook(path)
    workbook(tmp_path / "taken.xlsx")
    (tmp_path / "folder").mkdir()
    arguments = ["recalc", str(path), "--out", str(tmp_path / out)]
    assert why in refused(arguments, tmp_path, capsys)
    if out == "folder":
        assert why in refused([*arguments, "--force"], tmp_path, capsys)


def test_there_are_at_least_forty() -> None:
    assert len(TYPED) + len(FROM_CELLS) + len(FILES) >= 40
