"""Pieces in their place, in ticks, before they are numbered and turned into metres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.checked_inputs import (
    BACK,
    FRONT,
    LEFT,
    WALL_NAMES,
    Job,
    Row,
    edge_leaves,
)
from basinbook.engine.layout.model import FLAT, LINTEL, ON_EDGE, TURNED
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.openings import Gap

_Box = tuple[int, int, int, int, int, int]


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
    hole: int = 0
    service: bool = False


def over_gap(gaps: Sequence[Gap], row: int, at: int, length: int) -> bool:
    """Return whether a piece in a course of a wall lies above a gap."""
    return any(row > gap.last and at < gap.high and at + length > gap.low for gap in gaps)


def wall_pieces(job: Job, wall: int, chain: Chain, gaps: Sequence[Gap]) -> list[Placed]:
    """Return the pieces of a filled wall; the inside face is flush whatever the thickness.

    Pieces above gaps stay loose, so that what goes through can be reached until all is fitted.
    """
    found, far = [], inside(job, wall)
    name, lengthwise = WALL_NAMES[wall], wall in (FRONT, BACK)

    def box(row: Row, way: str, at: int, length: int, out: int, thick: int) -> _Box:
        along, high = job.depth + at, job.levels[row.level].height if way == ON_EDGE else row.height
        if lengthwise:
            return along, out, row.bed, length, thick, high
        return out, along, row.bed, thick, length, high

    for number, (row, course) in enumerate(zip(job.walls[wall], chain.courses, strict=True)):
        leaves, way = _leaves(job, wall, row.on_edge, row.leaves), ON_EDGE if row.on_edge else FLAT
        before, leaf = None, 0
        for at, length, whole, turned, short in course:
            stands = length - short
            over = over_gap(gaps, number, at, stands)
            corner = at < 0 or at + stands > far
            # The run of an outer leaf begins anew.
            leaf += row.apart and before is not None and at <= before
            before = at
            laid = leaves[leaf : leaf + 1] if row.apart else leaves
            if turned:
                # Its head is flush inside; it reaches past the outer face.
                laid = [(leaves[0][0], job.block.length)]
            lies = TURNED if turned else way
            for out, one in laid:
                stood = box(row, lies, at, stands, out, one)
                piece = Placed(name, "block", lies, *stood, length, whole, corner, loose=over)
                found.append(piece)
        for at in () if row.upper else row.between:
            over = over_gap(gaps, number, at, job.block.length)
            for out, one in _leaves(job, wall, True, edge_leaves(job.spec)):
                stood = box(row, ON_EDGE, at, job.block.length, out, one)
                found.append(
                    Placed(name, "block", ON_EDGE, *stood, job.block.length, True, loose=over)
                )
        for gap in gaps:
            if gap.lintel is None or gap.last + 1 != number:
                continue
            low, high = gap.lintel
            out = min(out for out, _ in leaves)
            stood = box(row, FLAT, low, high - low, out, row.thickness)
            found.append(Placed(name, LINTEL, FLAT, *stood, high - low, True, loose=True))
    return found


def _leaves(job: Job, wall: int, on_edge: bool, leaves: int) -> list[tuple[int, int]]:
    """Return where the leaves of a course begin across the wall, and their thickness [ticks]."""
    one = job.height if on_edge else job.depth
    outs = [leaf * (one + job.block.joint) for leaf in range(leaves)]
    if wall in (FRONT, LEFT):
        return [(job.depth - out - one, one) for out in outs]
    far = job.depth + (job.width if wall == BACK else job.length)
    return [(far + out, one) for out in outs]
