"""Orders that can't be sent: one clear message, exit code 2, and nothing written."""

from __future__ import annotations

import math
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

import order_book
from basinbook.cli import main

Change = Callable[[Workbook], None]


def put(**cells: object) -> Change:
    def change(book: Workbook) -> None:
        for reference, value in cells.items():
            book["Order"][reference].value = value
            if isinstance(value, str):
                # Text stays text, also when it begins like a formula.
                book["Order"][reference].data_type = "e" if value.startswith("#") else "s"

    return change


def without_name(name: str) -> Change:
    def change(book: Workbook) -> None:
        del book.defined_names[name]

    return change


def name_at(name: str, target: str) -> Change:
    def change(book: Workbook) -> None:
        book.defined_names[name] = DefinedName(name, attr_text=target)

    return change


def without_order_sheet(book: Workbook) -> None:
    book["Order"].title = "Orders"


def order_sheet_by_another_name(book: Workbook) -> None:
    without_order_sheet(book)
    for defined in book.defined_names.values():
        defined.attr_text = defined.attr_text.replace("Order!", "Orders!")


def without_print_area(book: Workbook) -> None:
    book["Order"].print_area = None


def endless_print_area(book: Workbook) -> None:
    book["Order"].print_area = "A1:F1048576"


def hidden_sheet(book: Workbook) -> None:
    book["Order"].sheet_state = "hidden"
    book.active = book["Estimate"]


def two_print_areas(book: Workbook) -> None:
    book["Order"].print_area = "A1:F5,A11:F17"


def priced(book: Workbook) -> None:
    book["Order"]["G11"] = "Unit price"
    book["Order"].print_area = "A1:G19"


def money_format(book: Workbook) -> None:
    book["Order"]["F9"] = 512
    book["Order"]["F9"].number_format = '"$"#,##0.00'


def footer_price(book: Workbook) -> None:
    book["Order"].oddFooter.left.text = "Total $9,876"


def hidden_row(book: Workbook) -> None:
    book["Order"].row_dimensions[12].hidden = True


def hidden_column(book: Workbook) -> None:
    book["Order"].column_dimensions["D"].hidden = True


WRONG_BOOKS: list[tuple[str, Change, str]] = [
    ("no Order sheet", without_order_sheet, "sheet 'Order'"),
    ("another name", order_sheet_by_another_name, "give its sheet 'Orders' this name again"),
    ("no name for the number", without_name("Order_number"), "Order_number"),
    ("no name for the lines", without_name("Order_lines"), "Order_lines"),
    ("no name for the job", without_name("Job_revision"), "Job_revision"),
    ("name that lost its cell", name_at("Order_supplier", "Order!#REF!"), "Order_supplier"),
    ("name on a sheet that is gone", name_at("Order_number", "Gone!$A$1"), "Order_number"),
    ("lines too narrow", name_at("Order_lines", "Order!$A$12:$E$17"), "Order_lines"),
    ("lines outside the print area", name_at("Order_lines", "Order!$A$12:$F$99"), "Order_lines"),
    ("no print area", without_print_area, "print area"),
    ("two print areas", two_print_areas, "print area"),
    ("endless print area", endless_print_area, "print area"),
    ("hidden sheet", hidden_sheet, "'Order' is hidden"),
    ("no number", put(C3=None), "Order_number"),
    ("blank job", put(F6="   "), "Job_name"),
    ("no supplier", put(C6=None), "Order_supplier"),
    ("no address anywhere", put(C7=None), "--to"),
    ("no address on the sheet but text", put(C7="ask Joe"), "Order_supplier_email"),
    ("line break in the sheet's address", put(C7="a@b.example\nBcc: c@d.example"), "email"),
    ("sender's address wrong", put(F4="mason at hillside"), "Order_sender_email"),
    ("negative quantity", put(D12=-1), "Order!D12 Quantity"),
    ("quantity as text", put(D12="12 pieces"), "Order!D12 Quantity"),
    ("quantity as a truth value", put(D12=True), "Order!D12 Quantity"),
    ("error as quantity", put(D12="#N/A"), "Order!D12 #N/A"),
    ("error in a note", put(F14="#REF!"), "Order!F14 #REF!"),
    ("line with no item", put(B12=None), "Order!B12 Item"),
    ("line with no unit", put(E12=None), "Order!E12 Unit"),
    ("nothing to order", put(D12=0, D14=0, D15=None, D17=""), "Order_lines"),
    ("line in a hidden row", hidden_row, "Order!D12 Quantity"),
    ("quantities in a hidden column", hidden_column, "Order column Quantity"),
    ("price column in the print area", priced, "Order!G11 Unit price"),
    ("markup label", put(B9="Markup:"), "Order!B9 Markup:"),
    ("total label", put(B9="Total"), "Order!B9 Total"),
    ("money in a note", put(F12="we pay $ 4.35 each"), "Order!F12"),
    ("money format", money_format, "Order!F9"),
    ("money in the footer", footer_price, "footer"),
]

# The same words in another code, which mail programs read (RFC 2047): a line of their own in the
# header, or a blank line, which ends it.
CODED_HEADER = "=?utf-8?q?Yard=0D=0ABcc:_evil@e.example?="
CODED_BODY = "=?utf-8?b?WWFyZA0KDQpoaQ==?="
NAMED_FIELDS = {
    "C3": "Order_number (Order!C3)",
    "C6": "Order_supplier (Order!C6)",
    "F3": "Order_sender (Order!F3)",
    "F6": "Job_name (Order!F6)",
    "F7": "Job_revision (Order!F7)",
}
UNPLAIN_LINES = [
    CODED_HEADER,
    f"Yard {CODED_BODY} x",
    "Yard\nBcc: evil@e.example",
    "Yard\r\n\r\nhi",
    "Yard\tcourt",
    "Yard\u2028court",
    "Yard\u2029court",
    "Yard\u0085court",
    "Yard \u202e811\u202c",
    "Yard\u200bcourt",
    "Yard\u2066court",
    "x" * 3000,
]

WRONG_ADDRESSES = [
    "=?utf-8?q?a=0D=0ABcc:_x?=@yard.example",
    "yard: a@b.example, c@d.example;",
    "@relay.example:a@b.example",
    '"a b"@yard.example',
    "a@[10.0.0.1]",
    "a(comment)@b.example",
    f"{'a.' * 200}b@yard.example",
    f"a@b.example{'.' * 200}",
    "x" * 3000,
    "a\u2028@b.example",
    "",
    "orders",
    "orders@",
    "@yard.example",
    "orders@yard",
    "a@b.example,c@d.example",
    "a@b.example; c@d.example",
    "two words@yard.example",
    "orders@yard .example",
    "a@b.example\nBcc: c@d.example",
    "a@b.example\r\nSubject: x",
    "a@b.example\x00",
    "Orders <orders@yard.example>",
    "a@b@c.example",
    "a..b@yard.example",
    "örders@yard.example",
    "orders@yärd.example",
    f"{'x' * 70}@yard.example",
    f"a@{'y.' * 140}example",
    "=HYPERLINK(A1)",
]


def refused(
    capsys: pytest.CaptureFixture[str], folder: Path, arguments: list[str], *named: str
) -> None:
    """Run the command and check its message, its exit code and that the folder is as it was."""
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    everything = sorted(folder.rglob("*"))
    assert main(["order", *arguments]) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert len(streams.err.splitlines()) == 1
    for part in named:
        assert part in streams.err
    assert sorted(folder.rglob("*")) == everything
    assert {path: path.read_bytes() for path in before} == before


@pytest.mark.parametrize(("change", "named"), [case[1:] for case in WRONG_BOOKS],
                         ids=[case[0] for case in WRONG_BOOKS])  # fmt: skip
def test_wrong_workbook(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: Change, named: str
) -> None:
    source = order_book.make(tmp_path / "job.xlsx", change)
    refused(capsys, tmp_path, [str(source)], named)


@pytest.mark.parametrize("cell", NAMED_FIELDS)
def test_text_that_may_not_stand_in_a_header(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], cell: str
) -> None:
    source = tmp_path / "job.xlsx"
    for text in UNPLAIN_LINES:
        order_book.make(source, put(**{cell: text}))
        refused(capsys, tmp_path, [str(source)], NAMED_FIELDS[cell])


def test_unseen_characters_in_the_lines_and_long_texts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = tmp_path / "job.xlsx"
    for text in ("Wall \u202e811\u202c", "a\u2028b", "a\u200bb", "a\u0085b", "x" * 2001):
        order_book.make(source, put(C12=text))
        refused(capsys, tmp_path, [str(source)], "Order!C12")


@pytest.mark.parametrize("address", WRONG_ADDRESSES)
def test_wrong_address(tmp_path: Path, capsys: pytest.CaptureFixture[str], address: str) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    refused(capsys, tmp_path, [str(source), f"--to={address}"], "--to", "orders@yard.example")


@pytest.mark.parametrize("value", ["inf", "nan"])
def test_quantity_that_is_no_number(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], value: str
) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    with zipfile.ZipFile(source) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"]
    assert b"<v>118</v>" in sheet
    parts["xl/worksheets/sheet1.xml"] = sheet.replace(b"<v>118</v>", f"<v>{value}</v>".encode())
    with zipfile.ZipFile(source, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    assert not math.isfinite(float(value))
    refused(capsys, tmp_path, [str(source)])


def test_files_that_are_no_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = tmp_path / "text.xlsx"
    text.write_text("not a workbook")
    cut = order_book.make(tmp_path / "cut.xlsx")
    cut.write_bytes(cut.read_bytes()[:3000])
    empty = tmp_path / "empty.xlsx"
    empty.touch()
    other = tmp_path / "other.xlsx"
    with zipfile.ZipFile(other, "w") as package:
        package.writestr("letter.txt", "hello")
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/worksheets/sheet1.xml", b"0" * 400_000_000)
    folder = tmp_path / "folder.xlsx"
    folder.mkdir()
    for path in (text, cut, empty, other, bomb, folder, tmp_path / "missing.xlsx"):
        refused(capsys, tmp_path, [str(path)], path.name)


def test_damaged_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    with zipfile.ZipFile(source) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    parts["xl/styles.xml"] = b"<styleSheet><cellXfs>"
    with zipfile.ZipFile(source, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    refused(capsys, tmp_path, [str(source)], "damaged")


def test_locked_workbook(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    opened = os.open

    def locked(path: str, *arguments: int, **options: int) -> int:
        if Path(path).name == "job.xlsx":
            raise PermissionError(13, "Permission denied")
        return opened(path, *arguments, **options)

    monkeypatch.setattr(os, "open", locked)
    assert main(["order", str(source)]) == 2
    assert "close it in the other program" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [source]


@pytest.mark.parametrize("ending", ["xlsx", "pdf", "eml"])
def test_existing_files(tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    (tmp_path / f"Order BB-104 Pond court.{ending}").write_text("mine")
    refused(capsys, tmp_path, [str(source)], "out", "--force")


def test_folder_in_the_way(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    (tmp_path / "Order BB-104 Pond court.pdf").mkdir()
    refused(capsys, tmp_path, [str(source), "--force"], "out", "folder")


def test_out_is_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = order_book.make(tmp_path / "job.xlsx")
    (tmp_path / "taken").write_text("mine")
    refused(capsys, tmp_path, [str(source), "--out", str(tmp_path / "taken")], "out")


def test_order_never_replaces_the_workbook_it_comes_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = order_book.make(tmp_path / "Order BB-104 Pond court.xlsx")
    refused(capsys, tmp_path, [str(source), "--force"], "the workbook itself")
