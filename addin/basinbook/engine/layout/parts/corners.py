"""Which wall runs through at each corner, and the lines to fill that follow from it."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby, product
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Span
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, RIGHT, Job, Row

# Wall -> the walls it meets at its start and end, along x for front and back, y for the sides.
MEETS = {FRONT: (LEFT, RIGHT), BACK: (LEFT, RIGHT), LEFT: (FRONT, BACK), RIGHT: (FRONT, BACK)}

OWNS: Final = ((False, False), (False, True), (True, False), (True, True))
"""Whether a wall runs through at its start and at its end, in the first course."""


def _corner_ways() -> tuple[tuple[int, ...], ...]:
    ways = []
    # Corners: front left, front right, back left, back right; True: front or back runs through.
    for fl, fr, bl, br in product((True, False), repeat=4):
        way = {FRONT: (fl, fr), RIGHT: (not fr, not br), BACK: (bl, br), LEFT: (not fl, not bl)}
        ways.append(tuple(wall * len(OWNS) + OWNS.index(way[wall]) for wall in range(4)))
    return tuple(ways)


CORNER_WAYS: Final = _corner_ways()
"""The 16 ways to begin at the corners: of each wall its number where all have all of ``OWNS``."""


def inside(job: Job, wall: int) -> int:
    """Return the inside length of a wall [ticks]."""
    return job.length if wall in (FRONT, BACK) else job.width


def wall_lines(job: Job, wall: int, owns: tuple[bool, bool]) -> tuple[Line, ...]:
    """Return the courses of a wall as lines to fill, from the base up.

    owns: whether the wall runs through to the outer face at its start and end in the first
    course. Ownership changes from course to course. Where a block on edge meets several flat
    courses, one wall has the corner in all of these, and the butt joints above the first are
    not counted in the bond.
    Positions are from the inside face of the crossing wall at the start.
    """
    rows = job.walls
    before, after = MEETS[wall]
    return _lines(rows[wall], rows[before], rows[after], owns, inside(job, wall), job.block.joint)


# Walls that face each other, and walls of the basins laid out before, are often alike.
@lru_cache(maxsize=256)
def _lines(
    rows: tuple[Row, ...],
    before: tuple[Row, ...],
    after: tuple[Row, ...],
    owns: tuple[bool, bool],
    far: int,
    joint: int,
) -> tuple[Line, ...]:
    found = []
    ends = zip(rows, _ends(rows, before, owns[0]), _ends(rows, after, owns[1]), strict=True)
    for row, start, end in ends:
        span = Span(
            start=-start.across if start.owned else joint,
            end=far + end.across if end.owned else far - joint,
            start_joint=not start.owned and start.counts,
            end_joint=not end.owned and end.counts,
            first=start.across if start.owned else 0,
            last=end.across if end.owned else 0,
        )
        found.append(Line((span,), row.leaves))
    return tuple(found)


class _End(NamedTuple):
    """The end of a course at a corner: whether it runs through, the other wall's thickness there
    [ticks], and whether a butt joint counts in the bond.
    """

    owned: bool
    across: int
    counts: bool


@lru_cache(maxsize=64)
def _ends(rows: tuple[Row, ...], other: tuple[Row, ...], owns: bool) -> tuple[_End, ...]:
    """Return the ends of a wall's courses at the corner with another wall, from the base up."""
    found = []
    for mine, theirs in zip(_by_level(rows), _by_level(other), strict=True):
        alike = len(mine) == len(theirs)
        for index in range(len(mine)):
            across = theirs[min(index, len(theirs) - 1)].thickness
            found.append(_End(owns, across, index == 0 or alike))
            if alike:
                owns = not owns
        if not alike:
            owns = not owns
    return tuple(found)


def _by_level(rows: tuple[Row, ...]) -> list[list[Row]]:
    """Return the courses of a wall by the level that they stand in; there is one in each."""
    return [list(level) for _, level in groupby(rows, key=lambda row: row.level)]
