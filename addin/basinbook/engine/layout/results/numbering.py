"""Pieces by courses, numbered in the order in which they are laid."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from basinbook.engine.layout.checked_inputs import Job
from basinbook.engine.layout.model import Box, Course, Piece
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.ticks import metres


def in_laying_order(placed: Iterable[Placed], outside_length: int) -> list[Placed]:
    """Return pieces from the front's centre to both sides, round to the back's centre.

    So the back wall is measured in last, when the other three stand true. Then come returns,
    second wall from both ends to its centre, and columns. outside_length: of the basin [ticks].
    """

    def key(piece: Placed) -> tuple[int, str, int, int, int, int]:
        part, y, z = piece.part, piece.y, piece.z
        off = 2 * piece.x + piece.dx - outside_length
        if part == "front":
            return 0, "", z, abs(off), off, -y
        if part in ("left", "right"):
            return 1, "", z, y, off, abs(off)
        if part in ("left return", "right return"):
            return 3, "", z, y, off, 0
        if part in ("back", "second wall"):
            return 2 if part == "back" else 4, "", z, -abs(off), off, y
        return 5, part, z, y, piece.x, 0

    return sorted(placed, key=key)


def courses_of(work: Job, placed: Sequence[Placed]) -> tuple[Course, ...]:
    """Return the pieces by numbered course; the count goes on above the basin at flat height."""
    beds = [level.bed for level in work.levels]
    heights = [level.height for level in work.levels]
    pitch = work.height + work.block.joint
    highest = max(piece.z for piece in placed)
    while beds[-1] + heights[-1] + work.block.joint <= highest:
        beds.append(beds[-1] + heights[-1] + work.block.joint)
        heights.append(pitch - work.block.joint)
    rows: list[list[Placed]] = [[] for _ in beds]
    for piece in placed:
        rows[bisect_right(beds, piece.z) - 1].append(piece)
    return tuple(
        Course(number, metres(bed), metres(height), pieces_of(work, row, number))
        for number, (bed, height, row) in enumerate(zip(beds, heights, rows, strict=True), start=1)
    )


def pieces_of(work: Job, placed: Iterable[Placed], course: int) -> tuple[Piece, ...]:
    """Return the pieces of a course with their numbers, in metres."""
    found = []
    ordered = in_laying_order(placed, work.outside_length)
    for number, item in enumerate(ordered, start=1):
        part, stock, way, x, y, z, dx, dy, dz, length, *_ = item
        box = Box(metres(x), metres(y), metres(z), metres(dx), metres(dy), metres(dz))
        marks = item.whole, item.corner, item.mitres, item.loose, metres(item.hole), item.service
        found.append(Piece(number, course, part, stock, way, box, metres(length), *marks))
    return tuple(found)
