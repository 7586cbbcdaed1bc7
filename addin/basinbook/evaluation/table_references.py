"""References to a table's columns, such as ``Blocks[Price]``, as plain ranges.

The forms are those of the file format (ECMA-376 part 1, 18.17.2, structure references); there a
formula inside the table names it too: ``Blocks[[#This Row],[Price]]``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from openpyxl.utils.cell import get_column_letter

from basinbook.evaluation.book import NotComputed, Table

_TEXT: Final = re.compile(r'("[^"]*")')
_REFERENCE: Final = re.compile(
    r"(?<![\w.\]'!])(?P<table>[^\W\d][\w.]*)\[(?P<inner>(?:'.|[^\[\]']|\[(?:'.|[^\[\]'])*\])*)\]"
)
_PIECE: Final = re.compile(r"\[((?:'.|[^\[\]'])*)\]")


def without_table_references(formula: str, tables: Mapping[str, Table], row: int) -> str:
    """Return a formula that stands in ``row`` with its table references as ranges.

    Raises NotComputed where a table has no such column or part.
    """
    if "[" not in formula or not tables:
        return formula

    def plain(match: re.Match[str]) -> str:
        table = tables.get(match["table"].upper())
        return match[0] if table is None else _range(table, match["inner"], row)

    return "".join(
        piece if piece.startswith('"') else _REFERENCE.sub(plain, piece)
        for piece in _TEXT.split(formula)
    )


def _range(table: Table, inner: str, row: int) -> str:
    pieces = _PIECE.findall(inner) or ([inner] if inner else [])
    pieces = [re.sub("'(.)", r"\1", piece.strip()) for piece in pieces]
    parts = [piece.lower() for piece in pieces if piece.startswith("#")]
    columns = [_column(table, piece) for piece in pieces if not piece.startswith("#")]
    if len(columns) > 2:
        raise NotComputed("the formula can't be read here")
    left, right = (
        (min(columns), max(columns))
        if columns
        else (table.left, table.left + len(table.columns) - 1)
    )
    spans = [_rows(table, part, row) for part in parts or ["#data"]]
    top, bottom = min(span[0] for span in spans), max(span[1] for span in spans)
    sheet = table.sheet.replace("'", "''")
    return f"'{sheet}'!${get_column_letter(left)}${top}:${get_column_letter(right)}${bottom}"


def _column(table: Table, name: str) -> int:
    for index, column in enumerate(table.columns):
        if column.lower() == name.lower():
            return table.left + index
    raise NotComputed(f"the table has no column {name}")


def _rows(table: Table, part: str, row: int) -> tuple[int, int]:
    first, last = table.top + table.headers, table.bottom - table.totals
    if part == "#this row" and first <= row <= last:
        return row, row
    found = {
        "#all": (table.top, table.bottom),
        "#data": (first, last),
        "#headers": (table.top, table.top) if table.headers else None,
        "#totals": (table.bottom, table.bottom) if table.totals else None,
    }.get(part)
    if found is None:
        raise NotComputed(f"the table has no part {part}")
    return found
