"""The Drawings sheet: one picture a page, which a recalculation draws anew."""

from __future__ import annotations

from io import BytesIO
from typing import Final

from openpyxl.drawing.image import Image
from openpyxl.worksheet.page import PageMargins
from PIL import Image as Raster

from basinbook.workbook.template.sheet_writer import Template

# The pages that ``drawings.page_pngs`` gives; a picture's name is its page's.
PICTURES: Final = ("Plan 1", "Plan 2", "Elevations", "Section", "Cuts", "Isometric")
_ROWS: Final = 40
# Paper in landscape [points], and pictures a little smaller, so that none runs over the page.
_PAPER: Final = {"us": (792.0, 612.0), "metric": (841.9, 595.3)}
_SHARE: Final = 0.985
_PIXELS_PER_POINT: Final = 96.0 / 72.0


def add_drawings(template: Template) -> None:
    """Add the sheet with a blank picture for each page."""
    width, height = (_SHARE * size for size in _PAPER[template.system])
    characters = (width * _PIXELS_PER_POINT - 5) / 7
    sheet = template.sheet("Drawings", [characters], landscape=True, scale=100, footer=False)
    worksheet = sheet.worksheet
    worksheet.page_margins = PageMargins(0.05, 0.05, 0.05, 0.05, 0.0, 0.0)
    for number, _ in enumerate(PICTURES):
        first = number * _ROWS + 1
        for row in range(first, first + _ROWS):
            sheet.height(row, height / _ROWS)
        picture = blank_picture()
        picture.width = round(width * _PIXELS_PER_POINT)
        picture.height = round(height * _PIXELS_PER_POINT)
        worksheet.add_image(picture, f"A{first}")
        if number:
            sheet.break_before(first)
    sheet.finish(f"A1:A{len(PICTURES) * _ROWS}")


def blank_picture() -> Image:
    """Return a blank picture, in whose place a recalculation puts a drawing."""
    data = BytesIO()
    Raster.new("L", (8, 6), 255).save(data, "PNG")
    data.seek(0)
    return Image(data)
