"""Pieces in their place, in ticks, before they are numbered and turned into metres."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, WALL_NAMES, Job, Row
from basinbook.engine.layout.model import FLAT, ON_EDGE
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.openings import Gap


class Placed(NamedTuple):
    """A piece as a box [ticks] with what is known of it."""

    part: str
    stock: str
    orientation: str
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
    found, far = [], inside(job, wall)
    name, lengthwise = WALL_NAMES[wall], wall in (FRONT, BACK)
    for number, (row, course) in enumerate(zip(job.walls[wall], chain.courses, strict=True)):
        leaves, way = _leaves(job, wall, row), ON_EDGE if row.on_edge else FLAT
        for at, length, whole, _ in course:
            over = gap is not None and number > gap.last and at < gap.high and at + length > gap.low
            corner, along = at < 0 or at + length > far, job.depth + at
            for across, one in leaves:
                box = (
                    (along, across, row.bed, length, one, row.height)
                    if lengthwise
                    else (across, along, row.bed, one, length, row.height)
                )
                found.append(Placed(name, "block", way, *box, length, whole, corner, loose=over))
    return found


def _leaves(job: Job, wall: int, row: Row) -> list[tuple[int, int]]:
    """Return where the leaves of a course begin across the wall, and their thickness [ticks]."""
    one = job.height if row.on_edge else job.depth
    outs = [leaf * (one + job.block.joint) for leaf in range(row.leaves)]
    if wall in (FRONT, LEFT):
        return [(job.depth - out - one, one) for out in outs]
    far = job.depth + (job.width if wall == BACK else job.length)
    return [(far + out, one) for out in outs]
