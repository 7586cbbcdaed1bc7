"""The styles of merged cells as openpyxl gives them, each looked up once in a workbook.

openpyxl (3.1, ``MergedCellRange``) adds up the borders of each cell under a merged one and looks
for the sum among all borders of the workbook, which is a good part of the time that reading one of
ours takes. There are few different sums. Whatever is read or written is the same in either way:
unit/test_merged_borders.py.
"""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from typing import Any
from weakref import WeakKeyDictionary

from openpyxl.cell import MergedCell
from openpyxl.styles import Border
from openpyxl.styles.cell_style import StyleArray
from openpyxl.worksheet.merge import MergedCellRange

EDGES = ("top", "left", "right", "bottom")
# What openpyxl itself does.
OWN = {name: vars(MergedCellRange)[name] for name in ("_get_borders", "format")}
# Of each workbook: the border with an edge added, by both borders and the edges that are taken of
# the second. A border's number in its workbook never changes.
_SUMS: WeakKeyDictionary[Any, dict[tuple[int, int, tuple[str, ...]], int]] = WeakKeyDictionary()


def look_up_once() -> None:
    """Have openpyxl look up each sum of borders once in a workbook, in this process."""
    merged: Any = MergedCellRange
    merged._get_borders, merged.format = _get_borders, _format


def _add(cell: Any, number: int, edges: tuple[str, ...]) -> None:
    """Add edges of the border of that number to a cell's own."""
    book = cell.parent.parent
    sums = _SUMS.setdefault(book, {})
    key = cell._style.borderId, number, edges
    if key not in sums:
        other = book._borders[number]
        cell.border += Border(**{edge: getattr(other, edge) for edge in edges})
        sums[key] = cell._style.borderId
    cell._style.borderId = sums[key]


def _get_borders(merged: Any) -> None:
    cells = merged.ws._cells
    first = cells.get((merged.min_row, merged.min_col))
    if first is None:
        first = merged.ws.cell(row=merged.min_row, column=merged.min_col)
    merged.start_cell = first
    last = cells.get((merged.max_row, merged.max_col))
    if last is not None:
        _add(first, last._style.borderId, ("right", "bottom"))


def _format(merged: Any) -> None:
    first = merged.start_cell
    for edge in EDGES:
        side = getattr(first.border, edge)
        if side and side.style is None:
            continue
        number = first._style.borderId
        for cell in _cells(merged, getattr(merged, edge)):
            _add(cell, number, (edge,))
    # Of several equal ones, openpyxl takes the one that it finds.
    protection = merged.ws.parent._protections.add(copy(first.protection))
    for cell in _cells(merged, merged.cells):
        cell._style.protectionId = protection


def _cells(merged: Any, places: Iterable[tuple[int, int]]) -> Iterable[Any]:
    cells = merged.ws._cells
    for row, column in places:
        cell = cells.get((row, column))
        if cell is None:
            cell = cells[row, column] = MergedCell(merged.ws, row=row, column=column)
        if not cell._style:
            cell._style = StyleArray()
        yield cell
