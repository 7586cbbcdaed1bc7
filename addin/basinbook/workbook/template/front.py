"""The front sheet: the few cells that a price hangs on first, and what comes out of them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, NamedTuple

from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.drawings import blank_picture
from basinbook.workbook.template.findings import put_panel
from basinbook.workbook.template.formulas import (
    MISSING,
    STOPPED,
    STOPS_SOMETHING,
    awake,
    call,
    shown,
)
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import BY_NAME, ON_FRONT
from basinbook.workbook.template.inputs.groups import FRONT
from basinbook.workbook.template.job import wall_advice
from basinbook.workbook.template.sheet_writer import COUNT, MONEY, Rows, Sheet, Template

ADDIN_MISSING: Final = (
    "The Basinbook functions are not installed on this computer: you see the values last "
    "calculated. Run basinbook addin install calc (or excel); see the install page in docs."
)
# Columns of cells and notes, and of the picture beside them.
_WIDTHS: Final = (24, 25, 6, 15, 52, 1, 50)
_FORM: Final = 5
_PICTURE: Final = (345, 258)
_CUTS: Final = ("Qty_Saw_cuts", "Qty_Cap_saw_cuts")


class _Result(NamedTuple):
    """A line of what comes out: label, formula text, format, unit's formula text, note."""

    label: str
    formula: str
    number_format: str
    unit: str
    note: str


def add_front(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet(FRONT, _WIDTHS, landscape=True, pages=1)
    sheet.title("Raised basin", message=False)
    for row, height in ((2, 13), (3, 15)):
        sheet.merge(f"A{row}:{sheet.last}{row}")
        sheet.height(row, height)
    sheet.put(
        "A2",
        awake(f'IFERROR("Calculated with functions "&{call("ADDINVERSION")},"{ADDIN_MISSING}")'),
        style.NOTE,
        name="Addin_line",
    )
    sheet.put("A3", f'=IFERROR(IF(Ready,{STOPPED},"")&Job_message,"{MISSING}")', style.STRONG)
    sheet.flag("A3", f"OR(NOT(Ready),{STOPS_SOMETHING})")
    sheet.merge(f"A4:{sheet.last}4")
    sheet.put(
        "A4",
        "Fill in the ten cells from the top: that makes a price, an order, drawings and checks. "
        "All else has a start that serves and lies on the sheets behind, in the order of work. "
        "Lengths may be typed as 50, 50 in, 4' 2½\" or 1.27 m; grey cells are calculated.",
        style.NOTE,
    )
    sheet.height(4, 24)
    rows = replace(sheet, letters=sheet.letters[:_FORM]).rows(6)
    first = rows.row + 1
    put_inputs(rows, "The job in ten cells", [BY_NAME[name] for name in ON_FRONT], gap=0)
    _results(rows)
    # Over the whole width: what is written is up to a cell's limit, and the picture ends above.
    _wide(sheet, rows.next(), "Nearest better size", shown("Aim_advice"), 15)
    _wide(sheet, rows.next(), "Better block or courses", wall_advice(), 26, "Wall_advice")
    # A little less than a row: all of it fits on one page at 7 points.
    sheet.height(rows.row + 1, 8)
    _picture(sheet, first)
    below = sheet.rows(rows.row + 2)
    put_panel(below)
    row = put_cautions(sheet, below.row + 2, "job")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="A5")


def _results(rows: Rows) -> None:
    sheet = rows.sheet
    rows.section("What comes out")
    cuts = "+".join(_CUTS)
    known = f'IF(COUNT({",".join(_CUTS)})<{len(_CUTS)},"",{cuts})'
    for line in (
        _Result("Price to the client", "Price_total", MONEY, "=Currency", "Built up on Estimate"),
        _Result("Blocks to buy", "Qty_Blocks_to_buy", COUNT, "each", "Breakage counted in"),
        _Result("Caps to buy", "Qty_Caps_to_buy", COUNT, "each", "Likewise"),
        _Result("Saw cuts", known, COUNT, "cuts", "Of blocks and caps"),
        _Result("Labour", "Person_hours", "0.0", "h", "Person-hours"),
        _Result("On site", "Crew_days", "0.0", "days", "Of the whole crew"),
    ):
        row = rows.next()
        sheet.put(f"A{row}", line.label, style.LABEL)
        value = known if line.formula == known else f'IF({line.formula}="","",{line.formula})'
        role = style.RESULT_STRONG if line.number_format == MONEY else style.RESULT
        sheet.put(f"B{row}", f"={value}", role, number_format=line.number_format)
        sheet.put(f"C{row}", line.unit, style.UNIT)
        sheet.merge(f"D{row}:E{row}")
        sheet.put(f"D{row}", line.note, style.NOTE)


def _wide(sheet: Sheet, row: int, label: str, formula: str, height: int, name: str = "") -> None:
    sheet.put(f"A{row}", label, style.LABEL)
    sheet.merge(f"B{row}:{sheet.last}{row}")
    sheet.put(f"B{row}", formula, style.RESULT_TEXT, name=name)
    sheet.height(row, height)


def _picture(sheet: Sheet, row: int) -> None:
    picture = blank_picture()
    picture.width, picture.height = _PICTURE
    sheet.worksheet.add_image(picture, f"{sheet.last}{row}")
