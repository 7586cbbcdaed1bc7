"""The standard functions of spreadsheets by name, each declared once in a module beside this one.

Meanings follow OpenFormula (OASIS OpenDocument 1.2 part 2), and for newer functions the help of
the spreadsheets that have them; tests/unit/test_embedded.py compares with LibreOffice.
"""

from __future__ import annotations

from typing import Final

from basinbook.evaluation.functions import (
    conditions,
    dates,
    finance,
    information,
    logic,
    lookup,
    numbers,
    references,
    samples,
    shapes,
    texts,
)
from basinbook.evaluation.standard import TABLE, Standard

__all__ = [
    "STANDARD", "conditions", "dates", "finance", "information", "logic", "lookup", "numbers",
    "references", "samples", "shapes", "texts",
]  # fmt: skip

STANDARD: Final[dict[str, Standard]] = TABLE
