"""Rectangles of cells: reaching over two, what two share, and moving within one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

MAX_ROW: Final = 1_048_576
MAX_COLUMN: Final = 16_384


class Area(NamedTuple):
    """A rectangle of cells, rows and columns from 1, inclusive; ``sheet`` None is the own one."""

    sheet: str | None
    top: int
    left: int
    bottom: int
    right: int

    @property
    def height(self) -> int:
        """How many rows it has."""
        return self.bottom - self.top + 1

    @property
    def width(self) -> int:
        """How many columns it has."""
        return self.right - self.left + 1

    @property
    def size(self) -> int:
        """How many cells it has."""
        return (self.bottom - self.top + 1) * (self.right - self.left + 1)

    @property
    def is_open(self) -> bool:
        """Whether it is of whole columns or rows."""
        return self.bottom == MAX_ROW or self.right == MAX_COLUMN


class Reference(NamedTuple):
    """What a formula refers to: one area, or several of a union."""

    areas: tuple[Area, ...]

    @property
    def only(self) -> Area | None:
        """The area, where there is one alone."""
        return self.areas[0] if len(self.areas) == 1 else None


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
    if area.size == 1:
        return area
    if area.left == area.right and area.top <= row <= area.bottom:
        return area._replace(top=row, bottom=row)
    if area.top == area.bottom and area.left <= column <= area.right:
        return area._replace(left=column, right=column)
    return None


def picked(area: Area, row: int, column: int) -> Area | None:
    """Return a cell of the area, counted from 1; 0 takes the whole column or row (INDEX)."""
    if row > area.height or column > area.width:
        return None
    if row:
        area = area._replace(top=area.top + row - 1, bottom=area.top + row - 1)
    if column:
        area = area._replace(left=area.left + column - 1, right=area.left + column - 1)
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
