"""The sheet of losses, loads and service."""

from __future__ import annotations

from basinbook.workbook.template.lines import SCALE, WIDTHS
from basinbook.workbook.template.losses import put_losses
from basinbook.workbook.template.service import put_service
from basinbook.workbook.template.sheet_writer import Template
from basinbook.workbook.template.wall_loads import put_loads


def add_losses_and_loads(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Losses and loads", WIDTHS, scale=SCALE)
    sheet.title(
        "Losses, loads and service",
        "Give what you know of climate, ground, glue and hose, and see what the basin loses, bears "
        "and takes in upkeep.",
    )
    rows = sheet.rows(4)
    put_losses(rows)
    put_loads(rows)
    put_service(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A4", titles="1:2")
