"""Printed sheets are read back with pypdf (text, sizes, counts) and pypdfium2 (places)."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pypdfium2
import pytest
from openpyxl import Workbook
from openpyxl.drawing.image import Image as SheetImage
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.colors import Color
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet
from PIL import Image
from reportlab.lib import pagesizes

from basinbook.engine.errors import InputError
from basinbook.evaluation.number_format import format_value
from basinbook.workbook.paper.cell_colour import rgb
from basinbook.workbook.paper.printed_sheet import grids
from basinbook.workbook.paper.render import margin_text, pdf_bytes, pdf_to_png, sheet_to_pdf
from fuzz_limits import limited

Fill = Callable[[Worksheet], None]


def printed(fill: Fill, page_size: str | None = None) -> pypdf.PdfReader:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    fill(sheet)
    buffer = io.BytesIO()
    book.save(buffer)
    import openpyxl

    loaded = openpyxl.load_workbook(buffer, data_only=True)
    return pypdf.PdfReader(io.BytesIO(pdf_bytes(loaded, sheet.title, page_size=page_size)))


def words(reader: pypdf.PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def size_mm(reader: pypdf.PdfReader) -> tuple[float, float]:
    box = reader.pages[0].mediabox
    return float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72


@pytest.mark.parametrize(
    ("value", "code", "expected"),
    [
        (1234.5, "General", "1234.5"),
        (10 / 3, "General", "3.333333333"),
        (-5, "#,##0;[Red]-#,##0", "-5"),
        (0, "0;-0;;@", ""),
        (3.1875, '# ??/16"in"', "3 3/16in"),
        (0.999, "# ?/8", "1"),
        (7, "# ?/?", "7"),
        (1, '[=1]0 "bag";0 "bags"', "1 bag"),
        (4, '[=1]0 "bag";0 "bags"', "4 bags"),
        (-1234.5, "_($* #,##0.00_);_($* (#,##0.00)_)", " $(1,234.50) "),
        (1234567.891, "[$€-407] #,##0.00", "€ 1,234,567.89"),
        (12, '0.0" ft²"', "12.0 ft²"),
        (1.005, "0.00", "1.01"),
        (-0.001, "0.0", "0.0"),
        (5551234567, "(000) 000-0000", "(555) 123-4567"),
        (dt.timedelta(hours=30), "[h]:mm:ss", "30:00:00"),
        (dt.time(14, 7), "h:mm AM/PM", "2:07 PM"),
        (dt.datetime(2026, 3, 5, 14, 7, 9), "yyyy-mm-dd hh:mm:ss", "2026-03-05 14:07:09"),
        ("note", "0.00", "note"),
        ("note", '0;-0;0;"see "@', "see note"),
        (True, "0", "TRUE"),
        (None, "0", ""),
    ],
)
def test_value_is_shown_as_its_format_says(value: object, code: str, expected: str) -> None:
    assert format_value(value, code).text == expected


def test_format_colour() -> None:
    assert format_value(-5, "0;[Red]-0").colour == "FF0000"
    assert format_value(5, "0;[Red]-0").colour is None


@pytest.mark.parametrize("name", ["letter", "a4"])
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
def test_page_size(name: str, orientation: str) -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = "text"
        sheet.page_setup.orientation = orientation

    # Sizes as reportlab has them: Letter 8.5 in × 11 in, A4 210 mm × 297 mm (ISO 216).
    width, height = getattr(pagesizes, name.upper())
    expected = sorted((width, height), reverse=orientation == "landscape")
    box = printed(fill, name).pages[0].mediabox
    assert [float(box.width), float(box.height)] == pytest.approx(expected, abs=0.2)


def test_paper_of_the_sheet_and_letter_without_one() -> None:
    def a4(sheet: Worksheet) -> None:
        sheet["A1"] = "x"
        sheet.page_setup.paperSize = 9

    def unset(sheet: Worksheet) -> None:
        sheet["A1"] = "x"

    assert size_mm(printed(a4)) == pytest.approx((210, 297), abs=0.1)
    assert size_mm(printed(unset)) == pytest.approx((215.9, 279.4), abs=0.1)


def test_only_the_print_area_is_printed() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"], sheet["B2"], sheet["C3"] = "outside", "inside", "beyond"
        sheet.print_area = "B2:B2"

    assert words(printed(fill)) == "inside"


def test_blank_rows_at_the_end_of_a_print_area_make_no_page() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"], sheet["A60"] = "head", "last"
        sheet.print_area = "A1:C400"

    def boxed(sheet: Worksheet) -> None:
        fill(sheet)
        sheet["A400"].border = Border(bottom=Side(style="thin"))

    assert len(printed(fill).pages) == 2
    assert len(printed(boxed).pages) > 5


def test_a_heading_is_not_left_alone_at_the_foot_of_a_page() -> None:
    def pages_with(heading: int) -> list[list[str]]:
        def fill(sheet: Worksheet) -> None:
            for row in range(1, 60):
                sheet.cell(row, 1, f"row{row}").font = Font(bold=row == heading)

        return [page.extract_text().split() for page in printed(fill).pages]

    last = len(pages_with(59)[0])
    assert pages_with(last)[0][-1] == f"row{last - 1}"
    assert pages_with(last)[1][0] == f"row{last}"


def test_hidden_rows_and_columns_are_left_out() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet.append(["shown", "covert"])
        sheet.append(["covert", "covert"])
        sheet.column_dimensions["B"].hidden = True
        sheet.row_dimensions[2].hidden = True

    assert words(printed(fill)) == "shown"


def test_signs_of_the_trade_and_formats_print() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = "12 ft² · 1 m³ · 20 °C · 6 × 10 · Ø 1/4"
        for row, (value, code) in enumerate(
            [
                (1234.5, "#,##0.00"),
                (0.125, "0.0%"),
                (50, '0.0 "in"'),
                (99.5, '"$"#,##0.00'),
                (dt.date(2026, 3, 5), "d mmm yyyy"),
            ],
            2,
        ):
            sheet.cell(row, 1, value).number_format = code
        sheet.column_dimensions["A"].width = 40

    text = words(printed(fill))
    for part in ("12 ft² · 1 m³ · 20 °C · 6 × 10 · Ø 1/4", "1,234.50", "12.5%", "50.0 in"):
        assert part in text
    assert "$99.50" in text
    assert "5 Mar 2026" in text


def test_long_table_repeats_its_title_rows_and_counts_its_pages() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = "TITLE"
        sheet["A2"] = "HEADING"
        for row in range(3, 153):
            sheet.cell(row, 1, f"row{row}")
        sheet.print_title_rows = "2:2"
        sheet.oddFooter.center.text = "Page &P of &N"
        sheet.oddHeader.left.text = '&"Calibri,Bold"&12&A'

    reader = printed(fill)
    pages = [page.extract_text() for page in reader.pages]
    # 152 rows of 15 pt, and the title row again on each page, on 9.0 in of paper: 43.2 rows a page.
    assert len(pages) == 4
    for number, page in enumerate(pages, 1):
        assert "HEADING" in page
        assert f"Page {number} of {len(pages)}" in page
        assert "Sheet" in page
    assert [page.count("TITLE") for page in pages] == [1, 0, 0, 0]
    everything = " ".join(pages).split()
    assert [word for word in everything if word.startswith("row")] == [
        f"row{row}" for row in range(3, 153)
    ]


def test_fit_to_one_page_wide_makes_a_wide_table_smaller() -> None:
    def wide(sheet: Worksheet) -> None:
        sheet.append([f"column{i}" for i in range(20)])

    def fitted(sheet: Worksheet) -> None:
        wide(sheet)
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.page_setup.fitToHeight = 0

    assert len(printed(wide).pages) > 1
    reader = printed(fitted)
    assert len(reader.pages) == 1
    assert words(reader).count("column") == 20


def test_manual_page_break() -> None:
    def fill(sheet: Worksheet) -> None:
        for row in range(1, 7):
            sheet.cell(row, 1, f"row{row}")
        sheet.row_breaks.append(Break(id=2))

    reader = printed(fill)
    assert [page.extract_text().split() for page in reader.pages] == [
        ["row1", "row2"],
        ["row3", "row4", "row5", "row6"],
    ]


def test_page_never_ends_inside_a_merged_range() -> None:
    def fill(sheet: Worksheet) -> None:
        for row in range(1, 60):
            sheet.cell(row, 1, f"row{row}")
        sheet.merge_cells("B42:B46")
        sheet["B42"] = "together"

    reader = printed(fill)
    first, second = (page.extract_text() for page in reader.pages)
    assert "row41" in first
    assert "row42" not in first
    assert "together" in second


def test_no_text_is_cut_off_or_replaced_by_hashes() -> None:
    long = "Construction adhesive follows its maker's instructions. " * 6

    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = 123456789012.25
        sheet["A1"].number_format = "#,##0.00"
        sheet["A2"] = 1234567.891
        sheet["B3"] = long
        sheet["C3"] = "neighbour"
        sheet.merge_cells("A5:C5")
        sheet["A5"] = long
        sheet["A5"].alignment = Alignment(wrap_text=True)
        sheet["A7"] = "Unbreakablewordthatislongerthanitscolumn" * 2
        sheet["A7"].alignment = Alignment(wrap_text=True)
        sheet["B7"] = "neighbour"
        sheet["A9"] = dt.datetime(2026, 3, 5, 14, 7)
        sheet["A9"].number_format = "d mmmm yyyy hh:mm"
        sheet.row_dimensions[3].height = 15
        sheet.row_dimensions[5].height = 15

    text = words(printed(fill))
    assert "##" not in text
    assert text.count("maker's instructions.") == 12
    assert "123,456,789,012.25" in text
    assert "1234568" in text or "1234567.8" in text
    assert "Unbreakablewordthatislongerthanitscolumn" * 2 in text.replace(" ", "")
    assert "5 March 2026 14:07" in text


def test_a_word_of_a_whole_cell_in_a_narrow_column_ends() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = "W" * 32_767
        sheet["A1"].alignment = Alignment(wrap_text=True)
        sheet.column_dimensions["A"].width = 1
        sheet.row_dimensions[1].height = 300

    with limited(20.0):
        assert "W" in words(printed(fill))


def test_every_letter_lies_inside_the_margins_and_rows_do_not_overlap() -> None:
    def fill(sheet: Worksheet) -> None:
        for row in range(1, 16):
            sheet.cell(row, 1, f"item {row}")
            cell = sheet.cell(row, 2, f"begin{row} " + "words that wrap " * (row % 5) + f"end{row}")
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.column_dimensions["B"].width = 30

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    fill(sheet)
    page = pypdfium2.PdfDocument(pdf_bytes(book, sheet.title))[0]
    text_page = page.get_textpage()
    text = text_page.get_text_range()
    boxes = [text_page.get_charbox(i) for i in range(text_page.count_chars())]
    for left, bottom, right, top in boxes:
        assert left >= 0.75 * 72 - 1 or (left, right) == (0, 0)
        assert right <= 612 - 0.7 * 72
        assert bottom >= 0.95 * 72 or (bottom, top) == (0, 0)
    for row in range(1, 15):
        end, begin = text.find(f"end{row}\r"), text.find(f"begin{row + 1} ")
        assert min(end, begin) >= 0
        assert boxes[end][1] > boxes[begin][3]


def test_text_runs_over_empty_neighbours_on_one_line() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = "A note that runs over its empty neighbours"

    assert printed(fill).pages[0].extract_text().strip().count("\n") == 0


def test_merged_cell_shows_its_text_once_centred() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.merge_cells("A1:D1")
    sheet["A1"] = "middle"
    sheet["A1"].alignment = Alignment(horizontal="center")
    page = pypdfium2.PdfDocument(pdf_bytes(book, sheet.title))[0].get_textpage()
    first, last = page.get_charbox(0), page.get_charbox(5)
    # Four default columns of 64 pixels at 96 per inch, from a margin of 0.75 in.
    assert (first[0] + last[2]) / 2 == pytest.approx(0.75 * 72 + 2 * 64 * 0.75, abs=1.5)


def test_column_width_follows_the_standard() -> None:
    # Source: ECMA-376 part 1, section 18.3.1.13 (from memory): 8 characters in an 11 pt font whose
    # digits are 7 pixels wide make the width 8.7109375, which is 8 * 7 + 5 pixels.
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = "x"
    sheet.column_dimensions["A"].width = 8.7109375
    assert grids(sheet)[0].widths == [pytest.approx((8 * 7 + 5) / 96 * 72)]


def test_fills_and_borders_are_drawn(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"].fill = PatternFill("solid", fgColor="FF336699")
    sheet["B1"].border = Border(bottom=Side(style="thick", color="FFFF0000"))
    sheet["B1"] = "x"
    sheet["B1"].font = Font(color="FF00AA00", b=True, u="single")
    (picture,) = pdf_to_png(pdf_bytes(book, sheet.title), tmp_path, 72)
    with Image.open(picture) as image:
        assert image.size == (612, 792)
        seen = {colour for _, colour in image.convert("RGB").getcolors(100000) or []}
        assert image.convert("RGB").getpixel((60, 78)) == (0x33, 0x66, 0x99)
    assert (255, 0, 0) in seen


def test_a_picture_made_for_wider_paper_is_drawn_whole(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    picture = Image.new("RGB", (900, 300), (255, 0, 0))
    picture.paste((0, 0, 255), (850, 0, 900, 300))
    file = io.BytesIO()
    picture.save(file, "PNG")
    sheet.add_image(SheetImage(file), "A1")
    sheet.print_area = "A1:A20"
    path = tmp_path / "book.xlsx"
    book.save(path)
    (page,) = pdf_to_png(sheet_to_pdf(path, sheet.title, tmp_path / "out.pdf"), tmp_path, 72)
    with Image.open(page) as image:
        plain = np.asarray(image.convert("RGB")).astype(int)
    red, blue = (
        (abs(plain - colour).sum(axis=2) < 30).sum() for colour in ((255, 0, 0), (0, 0, 255))
    )
    assert blue / red == pytest.approx(50 / 850, rel=0.1)


def test_picture_is_drawn_at_its_cell_on_one_page(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    red = io.BytesIO()
    Image.new("RGB", (96, 96), (255, 0, 0)).save(red, "PNG")
    # Row 42 ends 18 pt above the lower margin; 96 pixels are 72 pt.
    sheet.add_image(SheetImage(red), "B42")
    sheet.print_area = "A1:C60"
    path = tmp_path / "book.xlsx"
    book.save(path)
    printed_again = sheet_to_pdf(path, sheet.title, tmp_path / "out.pdf")
    first, second = pdf_to_png(printed_again, tmp_path, 72)
    with Image.open(first) as image:
        assert (255, 0, 0) not in {c for _, c in image.convert("RGB").getcolors(100000) or []}
    with Image.open(second) as image:
        plain = image.convert("RGB")
        inside = [
            (x, y)
            for x in range(plain.width)
            for y in range(plain.height)
            if plain.getpixel((x, y)) == (255, 0, 0)
        ]
    left, top = min(x for x, _ in inside), min(y for _, y in inside)
    assert (left, top) == pytest.approx((0.75 * 72 + 48, 72), abs=1.5)
    assert len(inside) == pytest.approx(72 * 72, rel=0.05)


def test_theme_and_tint_colours() -> None:
    # Source: ECMA-376 part 1, section 18.8.19: a tint of -0.5 halves the lightness, one of +0.5
    # moves it half of the way to white.
    assert rgb(Color(theme=0)) == "FFFFFF"
    assert rgb(Color(theme=0, tint=-0.5)) == "808080"
    assert rgb(Color(theme=1, tint=0.5)) == "808080"
    assert rgb(Color(rgb="FF336699")) == "336699"
    assert rgb(Color(indexed=2)) == "FF0000"
    assert rgb(None) is None


def test_margin_codes() -> None:
    assert margin_text("Page &P of &N", "Order", 2, 5) == "Page 2 of 5"
    assert margin_text("&[Page]/&[Pages] &[Tab]", "Order", 2, 5) == "2/5 Order"
    assert margin_text('&"Arial,Bold"&12&A && more &F&Z', "Order", 1, 1) == "Order & more "


def test_names_no_author(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = "x"
    book.properties.creator = "A. Mason"
    path = tmp_path / "book.xlsx"
    book.save(path)
    reader = pypdf.PdfReader(sheet_to_pdf(path, sheet.title, tmp_path / "out.pdf"))
    assert reader.metadata is not None
    assert not reader.metadata.author
    assert "Mason" not in str(dict(reader.metadata))


def test_pictures_of_every_page(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 60):
        sheet.cell(row, 1, row)
    made = pdf_to_png(pdf_bytes(book, sheet.title), tmp_path, 50, stem="sheet")
    assert [path.name for path in made] == ["sheet-1.png", "sheet-2.png"]
    with pytest.raises(InputError, match="force"):
        pdf_to_png(pdf_bytes(book, sheet.title), tmp_path, 50, stem="sheet")


def test_bad_requests(tmp_path: Path) -> None:
    book = Workbook()
    with pytest.raises(InputError, match="sheet"):
        pdf_bytes(book, "Nowhere")
    with pytest.raises(InputError, match="paper"):
        pdf_bytes(book, "Sheet", page_size="foolscap")
    sheet = book.active
    assert sheet is not None
    sheet.page_margins.left = sheet.page_margins.right = 4.2
    with pytest.raises(InputError, match="margins"):
        pdf_bytes(book, "Sheet")
    existing = tmp_path / "here.pdf"
    existing.write_text("mine")
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    with pytest.raises(InputError, match="force"):
        sheet_to_pdf(book, "Sheet", existing)
    assert existing.read_text() == "mine"


def test_text_is_drawn_at_the_size_that_the_sheet_asks_for() -> None:
    """Sizes are read back by pypdf, from the text's matrix: height of an em [pt]."""

    def fill(sheet: Worksheet) -> None:
        for row, size in enumerate((7, 10, 16), 1):
            sheet.cell(row, 1, f"{size} points").font = Font(size=size)

    found: dict[str, float] = {}

    def heard(text: str, _now: Any, matrix: Any, _font: Any, size: float) -> None:
        if text.strip():
            found[text.strip()] = size * abs(matrix[3])

    printed(fill).pages[0].extract_text(visitor_text=heard)
    assert found == {f"{size} points": pytest.approx(size) for size in (7, 10, 16)}
