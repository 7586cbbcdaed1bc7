"""What an order's sheet hides is not sent: it is refused by the cell's name, or left behind.

What is sent is what is seen, in the workbook, its PDF and the mail alike.
"""

from __future__ import annotations

import datetime as dt
import email
import email.policy
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pypdf
import pytest
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule, ColorScaleRule, FormulaRule, IconSetRule, Rule
from openpyxl.styles import Alignment, Font, GradientFill, PatternFill, Protection
from openpyxl.styles.colors import Color
from openpyxl.worksheet.worksheet import Worksheet

import order_book
from basinbook.engine.errors import InputError
from basinbook.evaluation.number_format import format_value
from basinbook.workbook.order.money import shows_money
from basinbook.workbook.order.readable import contrast
from basinbook.workbook.order.write_order import OrderFiles, write_order

Change = Callable[[Worksheet], None]


def written(folder: Path, change: Change) -> OrderFiles:
    def in_book(book: Workbook) -> None:
        change(book["Order"])

    return write_order(order_book.make(folder / "job.xlsx", in_book))


def body(files: OrderFiles) -> str:
    message = email.message_from_bytes(files.email.read_bytes(), policy=email.policy.default)
    part = message.get_body(("plain",))  # type: ignore[attr-defined]
    return str(part.get_content())


def printed(files: OrderFiles) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(files.pdf).pages).split())


def everything(files: OrderFiles) -> str:
    with zipfile.ZipFile(files.workbook) as package:
        inside = " ".join(package.read(name).decode() for name in package.namelist())
    return f"{inside} {body(files)} {printed(files)}"


def font(cell: str, **look: object) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet[cell].font = Font(**look)  # type: ignore[arg-type]

    return change


def filled(cell: str, letters: Color | str, fill: object, locked: bool = True) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet[cell].font = Font(color=letters)
        sheet[cell].fill = fill
        sheet[cell].protection = Protection(locked=locked)

    return change


def solid(colour: Color | str) -> PatternFill:
    return PatternFill("solid", fgColor=colour)


def formatted(cell: str, code: str, value: object = None) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet[cell].number_format = code
        if value is not None:
            sheet[cell] = value

    return change


def always(**look: object) -> Rule:
    return FormulaRule(["TRUE"], **look)  # type: ignore[no-any-return]


def condition(cell: str, rule: object) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet.conditional_formatting.add(cell, rule)  # type: ignore[arg-type]

    return change


def low_row(sheet: Worksheet) -> None:
    sheet.row_dimensions[12].height = 1.5


def narrow_column(sheet: Worksheet) -> None:
    sheet.column_dimensions["F"].width = 0.3


def rich(cell: str, **look: object) -> Change:
    def change(sheet: Worksheet) -> None:
        unseen = TextBlock(InlineFont(**look), "for you alone")  # type: ignore[arg-type]
        sheet[cell] = CellRichText("plain ", unseen)

    return change


def merged(area: str) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet.merge_cells(area)

    return change


def merged_from_a_hidden_column(sheet: Worksheet) -> None:
    sheet["G9"] = "seen through the merge"
    sheet.merge_cells("G9:H9")
    sheet.column_dimensions["G"].hidden = True
    sheet.print_area = "A1:H19"


def footer(text: str, **look: object) -> Change:
    def change(sheet: Worksheet) -> None:
        sheet.oddFooter.left.text = text
        for name, value in look.items():
            setattr(sheet.oddFooter.left, name, value)

    return change


GREEN_TO_BLACK = GradientFill(stop=("FF00FF00", "FF000000"))
GREYS = ColorScaleRule("min", None, "000000", "max", None, "FFFFFF")
ICONS = IconSetRule("3Arrows", "num", [0, 1, 2], showValue=False)
REFUSED: list[tuple[str, Change, str]] = [
    ("white text", font("F12", color="FFFFFFFF"), "F12"),
    ("nearly white text", font("F12", color="FFF4F4F4"), "F12"),
    ("white by theme", font("F12", color=Color(theme=0)), "F12"),
    ("white by tint", font("F12", color=Color(theme=1, tint=0.98)), "F12"),
    ("white by number", font("F12", color=Color(indexed=9)), "F12"),
    ("window colour by number", font("F12", color=Color(indexed=65)), "F12"),
    ("black on black", filled("F12", "FF000000", solid("FF101010")), "F12"),
    ("fill's own colour", filled("F12", "FF1F4E5F", solid("FF1F4E5F")), "F12"),
    ("white on an open cell's fill", filled("C5", "FFFFFFFF", solid("FF1F4E5F"), False), "C5"),
    ("grey on a pattern", filled("F12", "FF808080", PatternFill("gray125", "FF808080")), "F12"),
    ("in a gradient", filled("F12", "FF00FF00", GREEN_TO_BLACK), "F12"),
    ("white by format", formatted("D12", "[White]0"), "D12"),
    ("tiny letters", font("F12", sz=1), "F12"),
    ("struck out", font("C12", strike=True), "C12"),
    ("pale run", rich("F12", color="FFFFFFFF"), "F12"),
    ("tiny run", rich("F12", sz=1), "F12"),
    ("struck run", rich("F12", strike=True), "F12"),
    ("low row", low_row, "12"),
    ("narrow column", narrow_column, "Order!F"),
    ("condition to white", condition("F12", always(font=Font(color="FFFFFF"))), "F12"),
    ("condition to black", condition("F12", always(fill=solid("FF000000"))), "F12"),
    ("condition's strike", condition("F12", always(font=Font(strike=True))), "F12"),
    ("scale of colours", condition("D12", GREYS), "D12"),
    ("icons in place of a value", condition("D12", ICONS), "D12"),
    ("blank quantity", formatted("D12", ";;;"), "D12 Quantity"),
    ("one text for any quantity", formatted("D12", '"100"'), "D12 Quantity"),
    ("digits before a quantity", formatted("D12", '"1"0'), "D12 Quantity"),
    ("words behind a quantity", formatted("D12", '0" pallets"'), "D12 Quantity"),
    ("thousands", formatted("D12", "0,"), "D12 Quantity"),
    ("percent", formatted("D12", "0%"), "D12 Quantity"),
    ("condition in a format", formatted("D12", '[>100]"12";0'), "D12 Quantity"),
    ("shown as a date", formatted("D12", "yyyy-mm-dd"), "D12 Quantity"),
    ("rounded to nothing", formatted("D12", "0", 0.4), "D12 Quantity"),
    ("nothing shown as something", formatted("D13", '0;;"6"'), "D13 Quantity"),
    ("no order number seen", formatted("C3", ";;;"), "Order_number"),
    ("no item seen", formatted("B12", ";;;"), "B12 Item"),
    ("quantity of two lines", merged("D12:D13"), "D12:D13"),
    ("note of two lines", merged("F12:F13"), "F12:F13"),
    ("merge with a hidden corner", merged_from_a_hidden_column, "G9:H9"),
    ("white footer", footer("see you", color="FFFFFF"), "footer"),
    ("tiny footer", footer("see you", size=1), "footer"),
    ("footer that turns white", footer("see &K00FFFFFFyou"), "footer"),
    ("money of a format", formatted("F9", '"USD "0.00', 4.35), "F9"),
    ("money on a field", formatted("F5", "General", "14 Quarry Lane, ₹ 500 at the gate"), "F5"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "named"), [case[1:] for case in REFUSED],
                         ids=[case[0] for case in REFUSED])  # fmt: skip
def test_what_is_hidden_is_refused_by_name(tmp_path: Path, change: Change, named: str) -> None:
    with pytest.raises(InputError) as refused:
        written(tmp_path, change)
    assert named in str(refused.value)
    assert [path.name for path in tmp_path.iterdir()] == ["job.xlsx"]


def rewritten(path: Path, part: str, pattern: str, new: str) -> Path:
    """Change a part of a package by a pattern that has to match."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    changed, count = re.subn(pattern, new, parts[part].decode(), flags=re.DOTALL)
    assert count == 1
    parts[part] = changed.encode()
    with zipfile.ZipFile(path, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return path


def test_white_of_the_workbooks_own_theme(tmp_path: Path) -> None:
    """The first accent is blue by default, and white in this workbook."""
    source = order_book.make(
        tmp_path / "job.xlsx", lambda book: font("F12", color=Color(theme=4))(book["Order"])
    )
    white = r'\1<a:srgbClr val="FFFFFF"/>\2'
    rewritten(source, "xl/theme/theme1.xml", r"(<a:accent1>).*?(</a:accent1>)", white)
    with pytest.raises(InputError, match="F12"):
        write_order(source)


def test_condition_in_an_extension_of_the_sheet(tmp_path: Path) -> None:
    """Newer programs keep conditional formats that look at other sheets outside the usual place."""
    source = order_book.make(tmp_path / "job.xlsx")
    main, more = "http://schemas.microsoft.com/office/excel/2006/main", "spreadsheetml/2009/9/main"
    extension = (
        '<extLst><ext uri="{78C0D931-6437-407d-A8EE-F0AAD7539E65}"'
        f' xmlns:x14="http://schemas.microsoft.com/office/{more}"><x14:conditionalFormattings>'
        f'<x14:conditionalFormatting xmlns:xm="{main}"><x14:cfRule type="expression">'
        '<x14:dxf><font><color rgb="FFFFFFFF"/></font></x14:dxf></x14:cfRule>'
        "<xm:sqref>F12:F14</xm:sqref></x14:conditionalFormatting>"
        "</x14:conditionalFormattings></ext></extLst></worksheet>"
    )
    rewritten(source, "xl/worksheets/sheet1.xml", "</worksheet>", extension)
    with pytest.raises(InputError, match="F12"):
        write_order(source)


def test_a_value_that_the_sheet_shows_rounded_is_sent_rounded(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["D12"] = 117.6271
        sheet["D12"].number_format = "#,##0.0"
        sheet["D14"] = 1234.5678
        sheet["D14"].number_format = '#,##0.00_);"our cost 4.35"'
        sheet["D15"] = 2.5
        sheet["D15"].number_format = "# ?/?"

    files = written(tmp_path, change)
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    first = order_book.FIRST_LINE
    assert [sheet.cell(row, 4).value for row in range(first, first + 3)] == [
        117.6,
        1234.57,
        "2 1/2",
    ]
    for unseen in ("117.62", "1234.5678", "our cost"):
        assert unseen not in everything(files)
    for part in ("1. 117.6 block", "2. 1,234.57 cu yd", "3. 2 1/2 cartridge"):
        assert part in body(files)
    for part in ("117.6", "1,234.57", "2 1/2"):
        assert part in printed(files)


def test_leading_zeros_and_days_beyond_the_calendar(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["C3"] = 42
        sheet["C3"].number_format = "00000"
        sheet["B12"] = 2958466  # The day after 9999-12-31.
        sheet["B12"].number_format = "\\;d"

    files = written(tmp_path, change)
    assert files.workbook.name.startswith("Order 00042 ")
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    assert sheet["C3"].value == "00042"
    assert "118.0 block: 2958466," in body(files)


def test_a_date_is_sent_as_far_as_it_is_shown(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["C4"] = dt.datetime(2026, 3, 5, 7, 41, 12)
        sheet["C5"] = dt.date(2026, 3, 19)
        sheet["C5"].number_format = "mmm yyyy"

    files = written(tmp_path, change)
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    assert sheet["C4"].value == dt.datetime(2026, 3, 5)
    assert sheet["C5"].value == "Mar 2026"
    assert "Order date: 5 Mar 2026" in body(files)


def test_what_a_format_hides_is_not_sent(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["F12"] = "between ourselves"
        sheet["F12"].number_format = ";;;"
        sheet["B9"] = 98765
        sheet["B9"].number_format = ";;;"
        sheet["F14"] = "anything"
        sheet["F14"].number_format = '0;0;0;"as "@" is"'

    files = written(tmp_path, change)
    assert "ourselves" not in everything(files)
    assert "98765" not in everything(files)
    sheet = openpyxl.load_workbook(files.workbook)["Order"]
    assert sheet.cell(order_book.FIRST_LINE + 1, 6).value == "as anything is"
    assert "as anything is" in body(files)


def test_rows_without_height_and_comments_stay_behind(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["B9"] = "no height"
        sheet["F12"].comment = Comment("between ourselves", "A. Mason")
        sheet["G12"] = "no width"
        sheet.column_dimensions["G"].width = 0
        sheet.print_area = "A1:G19"

    source = order_book.make(tmp_path / "job.xlsx", lambda book: change(book["Order"]))
    flat = '<row r="9" ht="0" customHeight="1"'
    files = write_order(rewritten(source, "xl/worksheets/sheet1.xml", '<row r="9"', flat))
    for unseen in ("no height", "no width", "ourselves"):
        assert unseen not in everything(files)


def test_rows_hidden_by_default_stay_behind(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        for row in range(1, 20):
            sheet.row_dimensions[row].height = 15
        sheet["B30"] = "hidden by default"
        sheet.sheet_format.zeroHeight = True
        sheet.print_area = "A1:F30"

    assert "hidden by default" not in everything(written(tmp_path, change))


def test_text_longer_than_its_cell_is_sent_whole(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["B12"] = "Wall block with a name much longer than its narrow column"
        sheet["B12"].alignment = Alignment(wrap_text=False)

    files = written(tmp_path, change)
    for text in (body(files), printed(files)):
        assert "name much longer than its narrow column" in text


def test_ordinary_looks_are_no_alarm(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["F12"].font = Font(color="FF767676", sz=8, i=True)
        sheet["B12"].font = Font(color=Color(theme=4))
        sheet["D12"].number_format = "#,##0.##"
        rule = CellIsRule("greaterThan", ["100"], font=Font(color="FFC00000", b=True))
        sheet.conditional_formatting.add("D12:D17", rule)
        sheet.conditional_formatting.add(
            "A12:F17", FormulaRule(["$D12=0"], fill=PatternFill(bgColor="FFEEEEEE"))
        )
        sheet["A9"] = "Item numbers in the catalogue of 2026 – 12.50 m from the gate, 24 each way"
        sheet["A9"].alignment = Alignment(wrap_text=False)

    assert "1. 118 block" in body(written(tmp_path, change))


def test_contrast_is_that_of_wcag() -> None:
    # WCAG 2.1 defines the ratio; black on white is 21:1. #767676 on white, the usual example of
    # text that just passes 4.5:1, has 4.54 (from memory).
    assert contrast("000000", "FFFFFF") == pytest.approx(21.0)
    assert contrast("767676", "FFFFFF") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize(
    "text",
    [
        "USD 4.35", "4.35 USD", "usd 4.35", "US$4.35", "4.35 each", "4.35 ea.", "12.50/block",
        "9.90 per bag", "@ 4.35", "each 4.35", "₹500", "₹ 500", "500 ₹", "Rs. 500", "R$ 12",
        "4,35 €", "€4.35", "£4", "¥400", "₩4000", "฿40", "₽ 300", "CHF 12", "12 CHF", "45 cents",
        "12 dollars", "12 euros", "kr 50", "50 kr", "50 zł", "we pay $ 4.35", "４.３５ each",
        "＄4.35", "$.50", "Unit price", "Our cost:", "Mark-up", "Total",
    ],
)  # fmt: skip
def test_money_is_known(text: str) -> None:
    assert shows_money(text)


@pytest.mark.parametrize(
    "text",
    [
        "Wall block 6 × 10 × 14 in", "Column cap 30 x 30 (each)", "118", "1.5 cu yd", "each",
        "0.75 yd³ loose", "12 ft² of underlay at 20 °C", "3 each of courses 2 and 4",
        "orders@24hr.example", "a1@b2.example", "Please unload by machine, with no extra cost",
        "CAD drawing", "12.5 kg per bag", "2 per pallet", "50 kg", "3 franchises", "1 pound bag",
        "Adhesive 10.1 oz", "2026-03-05", "1 frost-free", "2 random caps", "5 liradish",
    ],
)  # fmt: skip
def test_sizes_and_sentences_are_no_money(text: str) -> None:
    assert not shows_money(text)


@pytest.mark.parametrize(
    ("value", "code"),
    [(1e300, "0.00"), (5.0, "0/<$,"), (5.0, "0/"), (5.0, "[>.]0;0"), (2958466, "\\;d")],
)
def test_odd_formats_and_numbers_are_shown_somehow(value: float, code: str) -> None:
    assert format_value(value, code).text
