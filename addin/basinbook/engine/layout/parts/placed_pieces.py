"""Pieces in their place, in ticks, before they are numbered and turned into metres."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, WALL_NAMES, Job, Row
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.openings import Gap


class Placed(NamedTuple):
    """A piece as a box [ticks] with what is known of it."""

    part: str
    stock: str
    on_edge: bool
    x: int
    y: int
    z: int
    dx: int
    dy: int
    dz: int
    length: int
    whole: bool
    corner: bool = False
    mitres: int = 0
    loose: bool = False


def wall_pieces(job: Job, wall: int, chain: Chain, gap: Gap | None) -> list[Placed]:
    """Return the pieces of a filled wall; the inside face is flush whatever the thickness.

    Pieces above the gap stay loose, so that the pipe can be reached until all is fitted.
    """
    found = []
    for number, (row, course) in enumerate(zip(job.walls[wall], chain.courses, strict=True)):
        for at, length, whole in course:
            over = gap is not None and number > gap.last and at < gap.high and at + length > gap.low
            for leaf in range(row.leaves):
                piece = _wall_piece(job, wall, row, leaf, at, length, whole)
                found.append(piece._replace(loose=over))
    return found


def _wall_piece(
    job: Job, wall: int, row: Row, leaf: int, at: int, length: int, whole: bool
) -> Placed:
    one = job.height if row.on_edge else job.depth
    out = leaf * (one + job.block.joint)
    along = job.depth + at
    corner = at < 0 or at + length > inside(job, wall)
    if wall in (FRONT, BACK):
        y = job.depth - out - one if wall == FRONT else job.depth + job.width + out
        box = (along, y, row.bed, length, one, row.height)
    else:
        x = job.depth - out - one if wall == LEFT else job.depth + job.length + out
        box = (x, along, row.bed, one, length, row.height)
    return Placed(WALL_NAMES[wall], "block", row.on_edge, *box, length, whole, corner)
