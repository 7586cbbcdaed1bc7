"""Writing text into a cell so that no spreadsheet program takes it for a formula."""

from __future__ import annotations

from typing import Any, Final

_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")


def put_text(cell: Any, text: str) -> None:
    """Write a text into a cell of openpyxl; it is text also when it begins like a formula."""
    cell.value = text
    cell.data_type = "s"
    cell.quotePrefix = text.startswith(_FORMULA_STARTS)
