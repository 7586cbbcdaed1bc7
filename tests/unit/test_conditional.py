"""Conditional formats by formula on paper. Their meaning is that of ECMA-376 part 1, 18.3.1.10.

A rule's formula is written for the first cell of its range; the rule of the lowest priority number
counts first, and ``stopIfTrue`` keeps the ones after it off.
"""

from __future__ import annotations

import datetime as dt
import io

import openpyxl
import pypdfium2
import pytest
from openpyxl.formatting.rule import CellIsRule, FormulaRule
from openpyxl.styles import Border, Font, PatternFill, Side
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from basinbook.workbook.paper.conditional import Look, Looks
from basinbook.workbook.paper.render import pdf_bytes

RED = PatternFill("solid", start_color="FF0000", end_color="FF0000")
GREEN = PatternFill("solid", start_color="00FF00", end_color="00FF00")


@pytest.fixture
def sheet() -> Worksheet:
    book = openpyxl.Workbook()
    found = book.worksheets[0]
    found.title = "Yard"
    for row, value in enumerate(("stops", "", "note", "stops"), 1):
        found.cell(row, 1, value)
        found.cell(row, 2, row)
    other = book.create_sheet("Other")
    other["A1"] = dt.date(2026, 3, 1)
    book.defined_names["Limit"] = DefinedName("Limit", attr_text="SUM(Yard!$B$1:$B$2)")
    return found


def looks(sheet: Worksheet) -> dict[tuple[int, int], Look]:
    """What the rules give, after the workbook was written and read again."""
    file = io.BytesIO()
    assert sheet.parent is not None
    sheet.parent.save(file)
    book = openpyxl.load_workbook(file, data_only=True)
    return Looks(book).of(book["Yard"], range(1, 9), range(1, 9))


def rule(sheet: Worksheet, cells: str, formula: str, **look: object) -> None:
    sheet.conditional_formatting.add(cells, FormulaRule(formula=[formula], **look))


def test_a_formula_is_moved_with_its_cell(sheet: Worksheet) -> None:
    rule(sheet, "A1:B4", '$A1="stops"', fill=RED)
    assert {*looks(sheet)} == {(1, 1), (1, 2), (4, 1), (4, 2)}
    assert looks(sheet)[1, 1] == Look(fill="FF0000")


def test_a_rule_reads_its_own_cell_names_and_other_sheets(sheet: Worksheet) -> None:
    rule(sheet, "B1:B4", "B1>=Limit", font=Font(bold=True, color="112233"))
    # 1 March 2026 is day 46,082 of the 1900 date system: 46,023 for 1 January, and 59 more.
    rule(sheet, "A3", "Other!$A$1=46082", font=Font(italic=True))
    found = looks(sheet)
    assert found == {
        (3, 2): Look(colour="112233", bold=True),
        (4, 2): Look(colour="112233", bold=True),
        (3, 1): Look(italic=True),
    }


def test_the_first_rule_counts_and_may_end_the_others(sheet: Worksheet) -> None:
    rule(sheet, "B1:B2", "TRUE", fill=RED)
    rule(sheet, "B1:B2", "1", fill=GREEN, font=Font(bold=True))
    rule(sheet, "B3", "TRUE", font=Font(italic=True), stopIfTrue=True)
    rule(sheet, "B3", "TRUE", fill=GREEN)
    found = looks(sheet)
    assert found[1, 2] == found[2, 2] == Look(fill="FF0000", bold=True)
    assert found[3, 2] == Look(italic=True)


def test_what_is_no_truth_is_not_drawn(sheet: Worksheet) -> None:
    for formula in ("1/0", "0", '"yes"', "NOSUCH(1)", "B1+", "Missing", "FALSE", "[1]X!A1"):
        rule(sheet, "A1:A4", formula, fill=RED)
    sheet.conditional_formatting.add("B1:B4", CellIsRule("greaterThan", ["0"], fill=RED))
    assert looks(sheet) == {}


def test_the_work_is_bounded(sheet: Worksheet) -> None:
    for _ in range(40):
        rule(sheet, "A1:XFD1048576", "+".join(["A1"] * 2500) + ">=0", fill=RED)
    assert len(looks(sheet)) < 60


def test_ground_font_and_box_are_on_the_page(sheet: Worksheet) -> None:
    thick = Side("thick", color="0000FF")
    box = Border(left=thick, right=thick, top=thick, bottom=thick)
    rule(sheet, "A1", "TRUE", fill=GREEN, font=Font(color="FF0000", bold=True), border=box)
    assert sheet.parent is not None
    page = pypdfium2.PdfDocument(pdf_bytes(sheet.parent, "Yard"))[0]
    seen = page.render(scale=4).to_pil().convert("RGB").getcolors(100_000)
    colours = {colour: count for count, colour in seen}
    assert colours[0, 255, 0] > 5_000
    assert colours[255, 0, 0] > 50
    assert colours[0, 0, 255] > 1_000
