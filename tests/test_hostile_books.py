"""Workbooks made to hang, swell or mislead: refused in a line, or read, and always soon."""

from __future__ import annotations

import re
import zipfile
from contextlib import suppress
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName

import hostile_books
import order_book
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.convert import convert
from basinbook.workbook.file import limits
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.file.package import open_package
from basinbook.workbook.paper.render import pdf_bytes
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.template_files import NAMES, template_folder
from fuzz_limits import limited
from hostile_books import CHANGES, SHEET

# They read the file in each of the two ways: as parts, and with a library.
COMMANDS = ("recalc", "order")


@pytest.mark.parametrize("name", CHANGES)
def test_refused_or_read(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = hostile_books.changed(name, tmp_path / "job.xlsx")
    why = CHANGES[name][2]
    refused = 0
    for command in COMMANDS:
        before = path.read_bytes()
        with limited(seconds=60, mebibytes=1024):
            code = main([command, str(path)])
        errors = capsys.readouterr().err
        assert code in (0, 2), errors
        if code == 2:
            refused += 1
            assert len(errors.splitlines()) == 1
            assert why, errors
            assert why in errors
            assert path.read_bytes() == before
    assert bool(refused) == bool(why)


@pytest.mark.parametrize("side", [12_000, 30_000])
def test_pictures_that_unpack_to_gigabytes(side: int, tmp_path: Path) -> None:
    path = hostile_books.huge_picture(tmp_path / "job.xlsx", side)
    assert path.stat().st_size < 1_000_000
    with limited(seconds=60, mebibytes=512), pytest.raises(InputError, match="picture"):
        pdf_bytes(open_workbook(path), "Order")


def test_pictures_of_kinds_that_start_programs(tmp_path: Path) -> None:
    """Pillow would hand an encapsulated PostScript file to another program."""
    path = hostile_books.huge_picture(tmp_path / "job.xlsx", 8)
    parts = hostile_books.parts_of(path)
    (name,) = [name for name in parts if name.startswith("xl/media/")]
    parts[name] = (
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 8 8\n%%EndComments\n"
        b"%%EndProlog\nshowpage\n%%EOF\n"
    )
    hostile_books.write(path, parts)
    with pytest.raises(InputError, match="picture"):
        pdf_bytes(open_workbook(path), "Order")


def test_a_style_whose_font_is_missing(tmp_path: Path) -> None:
    parts = hostile_books.order(tmp_path / "job.xlsx")
    for name in (b"fontId", b"fillId", b"borderId", b"numFmtId"):
        changed = dict(parts)
        start, middle, rest = parts["xl/styles.xml"].partition(b"<cellXfs")
        rest, count = re.subn(name + rb'="\d+"', name + b'="999"', rest, count=3)
        assert count
        changed["xl/styles.xml"] = start + middle + rest
        path = hostile_books.write(tmp_path / "changed.xlsx", changed)
        with pytest.raises(InputError, match="damaged"):
            open_workbook(path)


def test_sizes_that_are_no_finite_number(tmp_path: Path) -> None:
    parts = hostile_books.order(tmp_path / "job.xlsx")
    sheet, styles = "xl/worksheets/sheet1.xml", "xl/styles.xml"
    sizes = {
        sheet: ("pageMargins left", "pageMargins footer", "sheetFormatPr defaultRowHeight",
                "col width"),
        styles: ("sz val", "family val"),
    }  # fmt: skip
    for part, places in sizes.items():
        for place in places:
            element, name = place.split()
            for value in (b"nan", b"1e999"):
                pattern = rf'(<{element} [^>]*\b{name}=")[^"]*'.encode()
                data, count = re.subn(pattern, rb"\g<1>" + value, parts[part], count=1)
                assert count, place
                path = hostile_books.write(tmp_path / "changed.xlsx", {**parts, part: data})
                with pytest.raises(InputError, match="damaged"):
                    open_workbook(path)


def test_a_picture_whose_data_are_damaged(tmp_path: Path) -> None:
    path = hostile_books.huge_picture(tmp_path / "job.xlsx", 800)
    parts = hostile_books.parts_of(path)
    (name,) = [name for name in parts if name.startswith("xl/media/")]
    parts[name] = parts[name][:70] + b"\xff" * 20 + parts[name][90:]
    hostile_books.write(path, parts)
    with pytest.raises(InputError, match="picture"):
        pdf_bytes(open_workbook(path), "Order")


@pytest.mark.parametrize("area", ["$A$1:$XFD$1048576", "$A:$XFD", "x", "$B$4:"])
def test_names_of_the_job_that_stand_for_a_whole_sheet(area: str, tmp_path: Path) -> None:
    parts = hostile_books.parts_of(template_folder() / NAMES["us"])
    main = parts["xl/workbook.xml"]
    for name in (b"Job_values", b"Units"):
        pattern = rb'(<definedName name="' + name + rb'"[^>]*>)[^<]*'
        main, count = re.subn(pattern, rb"\1Job!" + area.encode(), main)
        assert count == 1
    parts["xl/workbook.xml"] = main
    path = hostile_books.write(tmp_path / "job.xlsx", parts)
    with limited(seconds=120), suppress(InputError):
        recalculate(path, out=tmp_path / "out.xlsx", refreshers=(redraw,))
    with limited(seconds=120), pytest.raises(InputError):
        drawing_inputs(path)


def test_a_sheet_without_print_area_and_a_cell_far_away(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"], sheet["XFD1048576"] = 1, 2
    path = tmp_path / "job.xlsx"
    book.save(path)
    with limited(seconds=60, mebibytes=512), pytest.raises(InputError, match="print area"):
        pdf_bytes(open_workbook(path), "Sheet")


def test_pages_are_limited(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 20_001):
        sheet.cell(row, 1, row)
    path = tmp_path / "job.xlsx"
    book.save(path)
    with limited(seconds=60), pytest.raises(InputError, match=str(limits.MAX_PAGES)):
        pdf_bytes(open_workbook(path), "Sheet")


@pytest.mark.parametrize("area", ["Order!$A$1:$XFD$1048576", "Order!$A:$C", "Order!$1:$9", "$A$1"])
def test_names_that_stand_for_a_whole_sheet(area: str, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(order_book.make(tmp_path / "job.xlsx"))
    book.defined_names["Whole"] = DefinedName("Whole", attr_text=area)
    with limited(seconds=20), pytest.raises(InputError, match="Whole"):
        named_cells(book, "Whole")


def test_packing_that_no_workbook_has(tmp_path: Path) -> None:
    path = tmp_path / "job.xlsx"
    parts = hostile_books.order(path)
    for kind in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        hostile_books.write(path, parts, kind)
        with pytest.raises(InputError, match="packed"):
            open_package(path)


def test_limits_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = order_book.make(tmp_path / "job.xlsx")
    for name, least, message in (
        ("MAX_CELLS", 3, "3 cells"),
        ("MAX_MARKUP", 50, "50 elements"),
        ("MAX_XML_BYTES", 1000, "0.001 MB"),
        ("MAX_PARTS", 2, "at most 2"),
        ("MAX_FILE_BYTES", 100, "0.0001 MB"),
    ):
        with monkeypatch.context() as patched:
            patched.setattr(limits, name, least)
            with pytest.raises(InputError, match=message):
                open_package(path)


@pytest.mark.parametrize("text", ["'" * 50_001, "[" * 50_000, '"' * 50_001, "'[a" * 100_000])
def test_formulas_that_never_close(text: str, tmp_path: Path) -> None:
    path = tmp_path / "job.xlsx"
    parts = hostile_books.order(path)
    formula = text.replace('"', "&quot;").encode()
    parts[SHEET] = parts[SHEET].replace(
        b"</sheetData>",
        b'<row r="99"><c r="A99"><f>1+' + formula + b"BASIN.PACKS(1,2)</f></c></row></sheetData>",
        1,
    )
    hostile_books.write(path, parts)
    with limited(seconds=60):
        convert(path, "excel", out=tmp_path / "out.xlsx")
