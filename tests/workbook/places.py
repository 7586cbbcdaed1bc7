"""Where the defined names of a workbook point."""

from __future__ import annotations

from openpyxl.workbook import Workbook

SYSTEMS = ("us", "metric")


def place(book: Workbook, name: str) -> tuple[str, str]:
    """Return the sheet and the area of a defined name; a range of one cell is that cell."""
    ((sheet, reference),) = book.defined_names[name].destinations
    first, _, last = reference.replace("$", "").partition(":")
    return sheet, first if last in ("", first) else f"{first}:{last}"
