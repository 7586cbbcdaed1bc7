"""What stood in the templates of earlier versions, to tell what a user has typed beside it.

Of each text, starter and formula there is a mark, a short digest. Formulas are told apart by their
shape: the cells and whole numbers that they name move when rows are inserted, and programs write
blanks, quotes and prefixes as they like.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from basinbook.workbook.update.side import Side

_CELLS: Final = re.compile(r"\$?\b[A-Z]{1,3}\$?\d+\b")
_WHOLE: Final = re.compile(r"(?<![\w.])\d+(?![\w.])")
_WRITTEN: Final = re.compile(r"[\s$']|\b_xl[a-z]+\.|\[\d+\]!(?=BASIN)", re.IGNORECASE)
_LENGTH: Final = 8


def mark(kind: str, text: str) -> str:
    """Return the mark of something of a kind ("text", "start" or "formula")."""
    return hashlib.sha256(f"{kind}:{text}".encode("utf-8", "replace")).hexdigest()[:_LENGTH]


@lru_cache(maxsize=16_384)
def shape(formula: str) -> str:
    """Return what a formula is, apart from the cells and numbers it names and how it is spelt."""
    plain = _WHOLE.sub("0", _CELLS.sub("#", formula))
    plain = _WRITTEN.sub("", plain).upper().replace("BASIN_", "BASIN.")
    return plain.replace("TRUE()", "TRUE").replace("FALSE()", "FALSE")


def marks(side: Side) -> Iterator[str]:
    """Yield the marks of all that stands in a workbook."""
    for sheet, grid in side.grids.items():
        for formula in grid.formulas.values():
            yield mark("formula", shape(formula.text))
        for place, value in side.constants(sheet):
            typed = side.typed(sheet, place)
            yield constant_mark(value, typed=typed)


def constant_mark(value: object, *, typed: bool) -> str:
    """Return the mark of a text or number; ``typed``: of a cell that is typed in."""
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return mark("start" if typed else "text", f"{value:.12g}" if number else f"{value}")


@cache
def known(version: int) -> frozenset[str]:
    """Return the marks of what stood in the templates up to a version."""
    found: set[str] = set()
    for number in range(1, version + 1):
        path = Path(__file__).with_name(f"known_{number}.txt")
        if path.is_file():
            found |= set(path.read_text(encoding="ascii").split())
    return frozenset(found)
