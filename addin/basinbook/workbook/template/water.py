"""The Water sheet: spillway, pump and pipe, levels."""

from __future__ import annotations

from basinbook.workbook.template.branches import put_branches
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.current import put_current
from basinbook.workbook.template.levels import put_levels
from basinbook.workbook.template.lines import SCALE, WIDTHS
from basinbook.workbook.template.plumbing import put_pump
from basinbook.workbook.template.sheet_writer import Template
from basinbook.workbook.template.spillway import put_spillway


def add_water(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Water", WIDTHS, scale=SCALE)
    sheet.title(
        "Water: spillway, pump, pipe, levels",
        "For water that moves: give outlet, pipe and fittings, and see whether the pump suits. "
        "Nothing to do for still water but the levels.",
    )
    rows = sheet.rows(4)
    put_spillway(rows)
    put_pump(rows)
    put_branches(rows)
    put_current(rows)
    put_levels(rows)
    row = put_cautions(sheet, rows.row + 2, "water")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="A4", titles="1:2")
