"""Openings in courses that stand: as wide as what lies beside them leaves them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from basinbook.engine.layout.parts.laid_rows import Beside, Course, Stretch
from basinbook.engine.layout.parts.openings import Gap
from basinbook.engine.layout.standing.sizes import gap_moved

RowAt = Callable[[int], Beside]
"""Gives what is beside the pieces of a course, numbered from 0."""


def gaps_standing(
    gaps: Sequence[Gap],
    sizes: tuple[int, int],
    planned: tuple[Sequence[Course], RowAt],
    laid: tuple[Sequence[Course], RowAt],
) -> tuple[Gap, ...]:
    """Return the openings of a wall, those that stand as wide as they are, for what lies over them.

    sizes: the wall's length as planned and as measured [ticks]. planned, laid: its courses from
    the base up with what is beside their pieces, the latter those that stand.
    """
    found = []
    for gap in gaps:
        moved = gap_moved(gap, *sizes)
        if gap.last < len(laid[0]):
            moved = _as_it_stands(gap, moved, planned, laid)
        found.append(moved)
    return tuple(found)


def closed(gaps: Sequence[Gap]) -> bool:
    """Return whether an opening is none any more: the wall is shorter by more than its width."""
    return any(gap.high <= gap.low for gap in gaps)


def _as_it_stands(
    gap: Gap,
    moved: Gap,
    planned: tuple[Sequence[Course], RowAt],
    laid: tuple[Sequence[Course], RowAt],
) -> Gap:
    left, right = [], []
    for number in range(gap.first, gap.last + 1):
        before, now = (_items(courses[number], row(number)) for courses, row in (planned, laid))
        for (low, high), (start, end) in zip(before, now, strict=True):
            if high == gap.low:
                left.append(end)
            if low == gap.high:
                right.append(start)
    low, high = min(left, default=moved.low), max(right, default=moved.high)
    by = (low + high - moved.low - moved.high) // 2
    lintel = moved.lintel
    if lintel is not None and gap.last + 1 >= len(laid[0]):
        # It is still to lay, and bears alike on both sides.
        lintel = lintel[0] + by, lintel[1] + by
    return moved._replace(low=low, high=high, lintel=lintel)


def _items(course: Course, row: Beside) -> list[Stretch]:
    return [*((piece.at, piece.end) for piece in course), *row.fixed]
