"""Which wall runs through at each corner, and the lines to fill that follow from it."""

from __future__ import annotations

from basinbook.engine.layout.bond.alternating import Span
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, RIGHT, Job

# Wall -> the walls it meets at its start and end, along x for front and back, y for the sides.
MEETS = {FRONT: (LEFT, RIGHT), BACK: (LEFT, RIGHT), LEFT: (FRONT, BACK), RIGHT: (FRONT, BACK)}


def inside(job: Job, wall: int) -> int:
    """Return the inside length of a wall [ticks]."""
    return job.length if wall in (FRONT, BACK) else job.width


def wall_spans(job: Job, wall: int, owns: tuple[bool, bool]) -> tuple[Span, ...]:
    """Return one span per course of a wall, from the base up.

    owns: whether the wall runs through to the outer face at its start and end in the first
    course. Ownership changes from course to course. Where a block on edge meets several flat
    courses, one wall has the corner in all of these, and the butt joints above the first are
    not counted in the bond.
    Positions are from the inside face of the crossing wall at the start.
    """
    starts = _ends(job, wall, MEETS[wall][0], owns[0])
    ends = _ends(job, wall, MEETS[wall][1], owns[1])
    joint, far = job.block.joint, inside(job, wall)
    return tuple(
        Span(
            start=-start if mine_start else joint,
            end=far + end if mine_end else far - joint,
            start_joint=not mine_start and counts_start,
            end_joint=not mine_end and counts_end,
            first=start if mine_start else 0,
            last=end if mine_end else 0,
        )
        for (mine_start, start, counts_start), (mine_end, end, counts_end) in zip(
            starts, ends, strict=True
        )
    )


def _ends(job: Job, wall: int, other: int, owns: bool) -> list[tuple[bool, int, bool]]:
    """Return for each course: owns the corner, thickness there, butt joint counts."""
    found = []
    for number in range(len(job.levels)):
        mine = [row for row in job.walls[wall] if row.level == number]
        theirs = [row for row in job.walls[other] if row.level == number]
        for index in range(len(mine)):
            across = theirs[min(index, len(theirs) - 1)].thickness
            found.append((owns, across, index == 0 or len(mine) == len(theirs)))
            if len(mine) == len(theirs):
                owns = not owns
        if len(mine) != len(theirs):
            owns = not owns
    return found
