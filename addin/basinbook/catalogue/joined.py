"""The cells of a range as one text, which functions take in the range's place.

Dozens of cells of a workbook read the same two ranges, and a spreadsheet hands over every cell of
a range anew at each call, which takes longer than most calls. One text costs no more than a number.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError

Rows = tuple[tuple[object, ...], ...]

_MARK: Final = "JOINCELLS "
# What a cell holds at most, in every program.
_MOST: Final = 32_767
_PLAIN: Final = {str, float, int, bool, type(None)}


def joined(rows: Sequence[Sequence[object]]) -> str:
    """Return the text for rows of cells; raises InputError where it is too long for a cell."""
    cells = [[_same(cell) for cell in row] for row in rows]
    try:
        text = _MARK + json.dumps(cells, ensure_ascii=False, separators=(",", ":"))
    except ValueError:  # thousands of digits
        raise InputError("cells", "a number that long", "give numbers as a cell can hold") from None
    if len(text) > _MOST:
        raise InputError(
            "cells",
            f"a range with {len(text):,} characters",
            f"give a range that comes to at most {_MOST:,}",
        )
    return text


def _same(cell: object) -> object:
    """Return a cell as every program hands it over: some have no whole numbers, or no blanks."""
    if cell is None:
        return ""
    if isinstance(cell, CellError):
        return {"error": cell.text}
    if type(cell) not in _PLAIN:
        raise InputError("cells", cell, "give one number or text in each cell")
    return int(cell) if isinstance(cell, float) and cell.is_integer() else cell


def parted(value: object) -> Rows | None:
    """Return the rows that a text was made of; None for what is no such text."""
    if type(value) is str and value.startswith(_MARK):
        return _parted(value)
    return None


@lru_cache(maxsize=256)
def _parted(text: str) -> Rows | None:
    """Read a text once: the cells are the same objects each time, and their hashes known."""
    try:
        rows = json.loads(text[len(_MARK) :], object_hook=_cell)
    except (ValueError, RecursionError):
        return None
    if not isinstance(rows, list) or not all(isinstance(row, list) for row in rows):
        return None
    found = tuple(map(tuple, rows))
    plain = {type(cell) for row in found for cell in row} <= {*_PLAIN, CellError}
    return found if plain else None


def _cell(members: dict[str, object]) -> object:
    text = members.get("error")
    return CellError(text) if isinstance(text, str) and len(members) == 1 else members
