"""The order's three files, read back by openpyxl, pypdf and the standard library's mail parser."""

from __future__ import annotations

import datetime as dt
import email
import email.policy
import re
import shutil
import subprocess
import zipfile
from email.message import EmailMessage
from pathlib import Path

import openpyxl
import pypdf
import pytest
from openpyxl import Workbook
from openpyxl.styles import PatternFill, Protection
from openpyxl.workbook.defined_name import DefinedName

import order_book
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.order.email_draft import checked_address
from basinbook.workbook.order.write_order import OrderFiles, file_stem, write_order
from fuzz_limits import limited


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return order_book.add_formulas(order_book.make(tmp_path / "job.xlsx"))


@pytest.fixture
def written(source: Path) -> OrderFiles:
    return write_order(source)


def parts(path: Path) -> dict[str, str]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name).decode() for name in package.namelist()}


def mail(path: Path) -> EmailMessage:
    message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert isinstance(message, EmailMessage)
    return message


def lines(path: Path) -> list[tuple[object, ...]]:
    sheet = openpyxl.load_workbook(path)["Order"]
    first = order_book.FIRST_LINE
    return list(sheet.iter_rows(first, first + len(order_book.SENT) - 1, 1, 6, values_only=True))


def text(path: Path) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(path).pages).split())


def test_files_lie_beside_the_workbook_which_stays_as_it_was(tmp_path: Path) -> None:
    source = order_book.add_formulas(order_book.make(tmp_path / "job.xlsx"))
    before = source.read_bytes()
    files = write_order(source)
    assert files.workbook == tmp_path / "Order BB-104 Pond court.xlsx"
    assert files.pdf == tmp_path / "Order BB-104 Pond court.pdf"
    assert files.email == tmp_path / "Order BB-104 Pond court.eml"
    assert files.lines == len(order_book.SENT)
    assert files.notes == ()
    assert source.read_bytes() == before
    assert len(list(tmp_path.iterdir())) == 4


def test_lines_with_no_quantity_are_dropped_and_the_others_numbered_anew(
    written: OrderFiles,
) -> None:
    expected = [
        (number, *(part or None for part in item)) for number, item in enumerate(order_book.SENT, 1)
    ]
    assert lines(written.workbook) == expected


def test_workbook_holds_values_only(source: Path, written: OrderFiles) -> None:
    assert "<f>" in "".join(parts(source).values())
    inside = parts(written.workbook)
    everything = "".join(inside.values())
    assert not re.search(r"<f[ >/]", everything)
    assert [name for name in inside if "worksheets/" in name] == ["xl/worksheets/sheet1.xml"]
    assert not [name for name in inside if re.search("comment|vmlDrawing|externalLink", name)]
    for left_behind in (
        "hyperlink",
        "4.35",
        "12,345",
        "discount",
        "Mason<",
        "intranet",
        "Estimate",
    ):
        assert left_behind not in everything.replace("A. Mason</t>", "")
    assert 'hidden="1"' not in inside["xl/worksheets/sheet1.xml"]
    names = re.findall(r'<definedName name="([^"]+)"', inside["xl/workbook.xml"])
    assert set(names) == {"_xlnm.Print_Area", "_xlnm.Print_Titles"}


def test_workbook_names_no_author_and_no_path(source: Path, written: OrderFiles) -> None:
    assert "B. Mason" in parts(source)["docProps/core.xml"]
    core = parts(written.workbook)["docProps/core.xml"]
    assert "Mason" not in core
    assert not re.search(r"<dc:creator>[^<]|<cp:lastModifiedBy>[^<]|openpyxl", core)
    everything = "".join(parts(written.workbook).values())
    assert str(source.parent) not in everything
    assert "absPath" not in everything


def test_formats_and_page_set_up_come_along(written: OrderFiles) -> None:
    sheet = openpyxl.load_workbook(written.workbook)["Order"]
    assert sheet["A1"].font.b
    assert sheet["A1"].fill.fgColor.rgb == "FF1F4E5F"
    assert sheet["C4"].value == dt.datetime(2026, 3, 5)
    assert sheet["C4"].number_format == "d mmm yyyy"
    assert sheet["D12"].border.left.style == "thin"
    assert sheet["C12"].alignment.wrap_text
    assert sheet.column_dimensions["C"].width == pytest.approx(34)
    assert {str(merged) for merged in sheet.merged_cells.ranges} == {"A1:F1", "A17:F17"}
    assert sheet.print_area == "'Order'!$A$1:$F$17"
    assert sheet.print_title_rows == "$11:$11"
    assert sheet.page_setup.paperSize == 1
    assert sheet.oddFooter.right.text == "Page &P of &N"
    assert "&F" not in (sheet.oddFooter.left.text or "")


def test_fill_of_input_cells_is_not_sent(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        for reference, locked in (("C3", False), ("C6", True)):
            book["Order"][reference].fill = PatternFill("solid", fgColor="FFFFEEAA")
            book["Order"][reference].protection = Protection(locked=locked)

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    assert sheet["C3"].fill.fill_type is None
    assert sheet["C6"].fill.fgColor.rgb == "FFFFEEAA"


def test_hidden_rows_columns_and_what_stands_beside_the_lines_stay_behind(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        sheet = book["Order"]
        sheet["A8"] = "our supplier rating: poor"
        sheet.row_dimensions[8].hidden = True
        sheet["G12"] = "ask the yard next door first"
        sheet["H3"] = "margin note in a hidden column"
        sheet["I3"] = "seen"
        sheet.column_dimensions["H"].hidden = True
        sheet.print_area = "A1:I19"

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    everything = "".join(parts(files.workbook).values())
    for left_behind in ("rating", "next door", "hidden column"):
        assert left_behind not in everything
    assert "seen" in everything
    assert "next door" not in text(files.pdf)


def test_hidden_notes_are_not_sent(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        book["Order"].column_dimensions["F"].hidden = True

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    assert "frost-free" not in "".join(parts(files.workbook).values())
    assert "frost-free" not in text(files.pdf)
    body = mail(files.email).get_body(("plain",))
    assert body is not None
    assert "frost-free" not in body.get_content()


def test_pdf_shows_every_line_that_is_sent_and_no_other(written: OrderFiles) -> None:
    shown = text(written.pdf)
    for item, description, _, unit, note in order_book.SENT:
        for part in (item, description, unit, note):
            assert part in shown
    for part in ("118.0", "1.5", "5 Mar 2026", "Upper Valley Block & Gravel", "Page 1 of 1"):
        assert part in shown
    assert "Corner block" not in shown
    assert "Second liner" not in shown


def test_draft_is_a_standard_message(written: OrderFiles) -> None:
    message = mail(written.email)
    assert message["X-Unsent"] == "1"
    assert message["To"] == "orders@uppervalley.example"
    assert message["From"].addresses[0].addr_spec == "mason@hillside.example"
    assert message["From"].addresses[0].display_name == "A. Mason"
    assert message["Subject"] == "Order BB-104: Pond court"
    assert message["MIME-Version"] == "1.0"
    assert not message.defects
    raw = written.email.read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n")
    raw.decode("ascii")
    # RFC 5322, section 2.1.1: no line is longer than 998 characters.
    assert max(len(line) for line in raw.split(b"\r\n")) <= 998


def test_draft_lists_and_carries_the_files(written: OrderFiles) -> None:
    message = mail(written.email)
    body = message.get_body(("plain",))
    assert body is not None
    content = body.get_content()
    for number, (item, description, _, unit, _) in enumerate(order_book.SENT, 1):
        assert re.search(
            rf"^{number}\. [\d.]+ {unit}: {item}, {re.escape(description)}", content, re.M
        )
    attached = {part.get_filename(): part for part in message.iter_attachments()}
    assert set(attached) == {written.workbook.name, written.pdf.name}
    for path in (written.workbook, written.pdf):
        assert path.name in content
        assert attached[path.name].get_content() == path.read_bytes()
    assert attached[written.pdf.name].get_content_type() == "application/pdf"


def test_draft_without_a_sender_has_no_from_line(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        book["Order"]["F3"] = book["Order"]["F4"] = None

    message = mail(write_order(order_book.make(tmp_path / "job.xlsx", change)).email)
    assert message["From"] is None


def test_to_stands_in_for_the_address_on_the_sheet(source: Path, tmp_path: Path) -> None:
    files = write_order(source, "desk@other.example", tmp_path / "new" / "folder")
    assert files.workbook.parent == tmp_path / "new" / "folder"
    assert mail(files.email)["To"] == "desk@other.example"
    assert openpyxl.load_workbook(files.workbook)["Order"]["C7"].value == "desk@other.example"
    assert "desk@other.example" in text(files.pdf)
    assert "uppervalley" not in "".join(parts(files.workbook).values())


@pytest.mark.parametrize(
    "name",
    ['=HYPERLINK("https://bad.example","x")', "+1+1", "-2+3", "@SUM(A1)", "=cmd|' /C calc'!A0"],
)
def test_text_that_looks_like_a_formula_is_written_as_text(tmp_path: Path, name: str) -> None:
    def change(book: Workbook) -> None:
        for reference in ("C6", "C12"):
            book["Order"][reference].value = name
            book["Order"][reference].data_type = "s"

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    assert not re.search(r"<f[ >/]", "".join(parts(files.workbook).values()))
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    for reference in ("C6", "C12"):
        assert sheet[reference].value == name
        assert sheet[reference].data_type == "s"
        assert sheet[reference].quotePrefix
    body = mail(files.email).get_body(("plain",))
    assert body is not None
    assert name in body.get_content()


def test_what_looks_like_a_header_stays_text(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        sheet = book["Order"]
        sheet["C3"] = "7 Bcc: everyone@bad.example"
        sheet["F6"] = "Yard/../../etc X-Evil: 1"
        sheet["F3"] = 'A. "Trowel" Mason, <b@bad.example>; X-Evil: 2'
        sheet["F5"] = "14 Quarry Lane\nBcc: everyone@bad.example"

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    assert files.workbook.parent == tmp_path
    assert not set("\r\n/\\:") & set(files.workbook.name)
    message = mail(files.email)
    assert message.keys() == ["X-Unsent", "To", "From", "Subject", "MIME-Version", "Content-Type"]
    assert message["Subject"] == "Order 7 Bcc: everyone@bad.example: Yard/../../etc X-Evil: 1"
    (sender,) = message["From"].addresses
    assert sender.addr_spec == "mason@hillside.example"
    assert sender.display_name == 'A. "Trowel" Mason, <b@bad.example>; X-Evil: 2'


def test_long_words_do_not_hang_the_page(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        for reference in ("B12", "C12", "E12", "F12", "C14", "F14"):
            book["Order"][reference] = "x" * 2000

    with limited(30.0):
        files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    assert text(files.pdf).replace(" ", "").count("x") >= 6 * 2000


def test_names_with_accents_survive(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        book["Order"]["F6"] = "Señor Å – cour d'été"
        book["Order"]["F3"] = "Å. Mûrier"

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    message = mail(files.email)
    assert message["Subject"] == "Order BB-104: Señor Å – cour d'été"
    assert message["From"].addresses[0].display_name == "Å. Mûrier"
    assert files.pdf.name in {part.get_filename() for part in message.iter_attachments()}
    assert "Señor Å" in text(files.pdf)


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        ("Order 7 Yard", "Order 7 Yard"),
        ("a/b\\c:d*e?", "a-b-c-d-e"),
        ("../../etc/passwd", "etc-passwd"),
        ("con", "_con"),
        ("LPT1.txt", "_LPT1.txt"),
        ("...", "_"),
        ("x" * 300, "x" * 90),
        ("tab\tand\nline", "tab-and-line"),
    ],
)
def test_file_stem(raw: str, expected: str) -> None:
    assert file_stem(raw) == expected


@pytest.mark.parametrize(
    "address", ["a@b.example", "first.last+yard@sub.domain.example", "x_1@b-c.example"]
)
def test_plain_addresses_pass(address: str) -> None:
    assert checked_address("--to", f" {address} ") == address


def test_existing_files_are_replaced_with_force_only(source: Path, tmp_path: Path) -> None:
    mine = tmp_path / "Order BB-104 Pond court.pdf"
    mine.write_text("mine")
    with pytest.raises(InputError, match="force"):
        write_order(source)
    assert mine.read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 2
    write_order(source, force=True)
    assert mine.read_bytes().startswith(b"%PDF")


def test_all_three_files_or_none(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "Order BB-104 Pond court.xlsx"
    old.write_text("old")
    before = sorted(tmp_path.iterdir())
    replace = Path.replace

    def fails_on_the_mail(self: Path, target: Path) -> Path:
        if Path(target).suffix == ".eml":
            raise PermissionError("locked")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", fails_on_the_mail)
    with pytest.raises(InputError, match="locked"):
        write_order(source, force=True)
    assert sorted(tmp_path.iterdir()) == before
    assert old.read_text() == "old"
    # A new folder comes by one rename.
    monkeypatch.setattr(Path, "rename", lambda *_: fails_on_the_mail(source, Path("x.eml")))
    with pytest.raises(InputError, match="locked"):
        write_order(source, out_dir=tmp_path / "new" / "deep")
    assert not (tmp_path / "new").exists()


def test_stale_workbook_is_recalculated_in_a_copy(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        # openpyxl stores formulas with no values, as a workbook that was never calculated.
        book["Estimate"]["A5"] = 59
        book["Order"]["D12"] = "=2*Estimate!A5+10"

    source = order_book.make(tmp_path / "job.xlsx", change)
    before = source.read_bytes()
    files = write_order(source)
    assert source.read_bytes() == before
    assert lines(files.workbook)[0][3] == 2 * 59 + 10
    assert len(files.notes) == 1
    assert "job.xlsx is as it was" in files.notes[0]
    assert len(list(tmp_path.iterdir())) == 4


def test_old_values_behind_new_inputs_are_not_sent(tmp_path: Path) -> None:
    source = order_book.add_formulas(order_book.make(tmp_path / "job.xlsx"))
    inside = parts(source)
    sheet = inside["xl/worksheets/sheet1.xml"]
    assert "<f>118+0</f><v>118</v>" in sheet
    inside["xl/worksheets/sheet1.xml"] = sheet.replace("<f>118+0</f>", "<f>118+7</f>")
    with zipfile.ZipFile(source, "w") as package:
        for name, content in inside.items():
            package.writestr(name, content)
    files = write_order(source)
    assert lines(files.workbook)[0][3] == 125
    assert files.notes


def test_formula_that_cannot_be_recalculated_is_refused_by_cell(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        book["Order"]["D12"] = "=NOSUCHFUNCTION(7)"

    source = order_book.make(tmp_path / "job.xlsx", change)
    with pytest.raises(InputError, match="Order!D12"):
        write_order(source)
    assert list(tmp_path.iterdir()) == [source]


def test_names_may_stand_on_other_sheets(tmp_path: Path) -> None:
    def change(book: Workbook) -> None:
        book["Estimate"]["A9"] = "Terrace pool"
        book.defined_names["Job_name"] = DefinedName("Job_name", attr_text="Estimate!$A$9")

    files = write_order(order_book.make(tmp_path / "job.xlsx", change))
    assert files.workbook.stem == "Order BB-104 Terrace pool"


def test_sentence_with_the_word_cost_is_no_price(written: OrderFiles) -> None:
    assert "with no extra cost for a second drop" in text(written.pdf)


def test_command_prints_the_files_and_the_next_step(
    source: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert main(["order", str(source), "--to", "desk@other.example", "--out", str(out)]) == 0
    printed = capsys.readouterr().out
    for path in out.iterdir():
        assert str(path) in printed
    assert len(list(out.iterdir())) == 3
    assert "4 lines to desk@other.example" in printed
    assert "Next: open the .eml" in printed


@pytest.mark.calc
def test_libreoffice_prints_the_same_text(written: OrderFiles, tmp_path: Path) -> None:
    soffice = shutil.which("soffice")
    if soffice is None:
        pytest.skip("LibreOffice is not installed")
    subprocess.run(
        [
            soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
            "--convert-to", "pdf", "--outdir", tmp_path / "theirs", written.workbook,
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    theirs = tmp_path / "theirs" / written.pdf.name
    ours, other = pypdf.PdfReader(written.pdf), pypdf.PdfReader(theirs)
    assert len(ours.pages) == len(other.pages)
    assert ours.pages[0].mediabox.width == pytest.approx(
        float(other.pages[0].mediabox.width), abs=1
    )
    # Letters, not words: read back from the other file, some neighbouring cells run together.
    assert sorted(text(written.pdf).replace(" ", "")) == sorted(text(theirs).replace(" ", ""))
