"""Rectangles of cells: reaching over two, what two share, and moving within one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from basinbook.evaluation.formula_tree import MAX_COLUMN, MAX_ROW, Area


def is_one_cell(area: Area) -> bool:
    """Return whether the area is a single cell."""
    return area.top == area.bottom and area.left == area.right


def is_open(area: Area) -> bool:
    """Return whether the area is of whole columns or rows."""
    return area.bottom == MAX_ROW or area.right == MAX_COLUMN


def cell_count(area: Area) -> int:
    """Return how many cells the area has."""
    return (area.bottom - area.top + 1) * (area.right - area.left + 1)


def holds(area: Area, sheet: str, row: int, column: int) -> bool:
    """Return whether a cell lies in the area."""
    return (
        sheet == area.sheet and area.top <= row <= area.bottom and area.left <= column <= area.right
    )


def around(areas: Sequence[Area]) -> Area:
    """Return the smallest area that holds all of them (operator ``:``)."""
    return Area(
        areas[0].sheet,
        min(area.top for area in areas),
        min(area.left for area in areas),
        max(area.bottom for area in areas),
        max(area.right for area in areas),
    )


def shared(first: Area, second: Area) -> Area | None:
    """Return what two areas of one sheet have in common (operator blank)."""
    area = Area(
        first.sheet,
        max(first.top, second.top),
        max(first.left, second.left),
        min(first.bottom, second.bottom),
        min(first.right, second.right),
    )
    return area if area.top <= area.bottom and area.left <= area.right else None


def facing(area: Area, row: int, column: int) -> Area | None:
    """Return the cell of a one-column or one-row area in the row or column of a formula."""
    if is_one_cell(area):
        return area
    if area.left == area.right and area.top <= row <= area.bottom:
        return replace(area, top=row, bottom=row)
    if area.top == area.bottom and area.left <= column <= area.right:
        return replace(area, left=column, right=column)
    return None


def picked(area: Area, row: int, column: int) -> Area | None:
    """Return a cell of the area, counted from 1; 0 takes the whole column or row (INDEX)."""
    if row > area.bottom - area.top + 1 or column > area.right - area.left + 1:
        return None
    if row:
        area = replace(area, top=area.top + row - 1, bottom=area.top + row - 1)
    if column:
        area = replace(area, left=area.left + column - 1, right=area.left + column - 1)
    return area


def moved(area: Area, down: int, right: int, height: int, width: int) -> Area | None:
    """Return the area moved and of another size (OFFSET); None where it leaves the sheet."""
    top, left = area.top + down, area.left + right
    # A negative size reaches back from the first cell.
    rows = sorted((top, top + height - (1 if height > 0 else -1)))
    columns = sorted((left, left + width - (1 if width > 0 else -1)))
    if not height or not width or rows[0] < 1 or columns[0] < 1:
        return None
    if rows[1] > MAX_ROW or columns[1] > MAX_COLUMN:
        return None
    return Area(area.sheet, rows[0], columns[0], rows[1], columns[1])
