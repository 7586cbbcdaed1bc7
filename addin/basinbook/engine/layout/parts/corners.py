"""Which wall runs through at each corner, and the lines to fill that follow from it."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby, product
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, RIGHT, Job, Row
from basinbook.engine.layout.parts.mixed import with_blocks
from basinbook.engine.spec import APART

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


def leaf_ways() -> tuple[tuple[int, ...], ...]:
    """Return the ways to begin at the corners with both leaves, each by itself.

    Of each wall its number where all have all of ``OWNS`` twice, those of the inner leaf first.
    """
    each = len(OWNS)
    return tuple(
        tuple(
            wall * each * each + (inner[wall] % each) * each + outer[wall] % each
            for wall in range(len(inner))
        )
        for inner in CORNER_WAYS
        for outer in CORNER_WAYS
    )


CORNER_WAYS: Final = _corner_ways()
"""The 16 ways to begin at the corners: of each wall its number where all have all of ``OWNS``."""


def inside(job: Job, wall: int) -> int:
    """Return the inside length of a wall [ticks]."""
    return job.length if wall in (FRONT, BACK) else job.width


def leaf_by_leaf(job: Job) -> bool:
    """Return whether outer leaves have corners of their own."""
    return job.spec.edge_leaves == APART and any(row.apart for rows in job.walls for row in rows)


class WallShape(NamedTuple):
    """What the courses of a wall depend on, whatever is left out of them; lengths in ticks.

    rows: its courses. before, after: those of the walls that it meets at its start and end.
    begins: first piece of odd and of even courses; 0 for any. height: of a flat course. slack: as
    ``Job`` has it.
    """

    rows: tuple[Row, ...]
    before: tuple[Row, ...]
    after: tuple[Row, ...]
    far: int
    begins: tuple[int, int]
    block: Rules
    height: int
    slack: int


def wall_shape(job: Job, wall: int) -> WallShape:
    """Return what the courses of a wall depend on."""
    before, after = MEETS[wall]
    begins = job.begins if wall in (FRONT, BACK) else (0, 0)
    rows, far = job.walls, inside(job, wall)
    return WallShape(
        rows[wall], rows[before], rows[after], far, begins, job.block, job.height, job.slack
    )


def wall_lines(
    shape: WallShape, owns: tuple[bool, bool], outer: tuple[bool, bool] | None = None
) -> tuple[Line, ...]:
    """Return the courses of a wall as lines to fill, from the base up.

    owns: whether the wall runs through to the outer face at its start and end in the first
    course; outer: the same of the outer leaf, where leaves turn corners one by one, counted as if
    all courses had one. Ownership changes from course to course. Where a block on edge meets
    several flat courses, one wall has the corner in all of these, and the butt joints above the
    first are not counted in the bond.
    Positions are from the inside face of the crossing wall at the start.
    """
    lines = _lines(shape, owns)
    if any(row.apart for row in shape.rows):
        other = _lines(shape, outer or owns)
        lines = tuple(
            _by_leaves(row, mine, its, shape, outer is not None) if row.apart else mine
            for row, mine, its in zip(shape.rows, lines, other, strict=True)
        )
    return with_blocks(lines, shape.rows, shape.block)


def _lines(shape: WallShape, owns: tuple[bool, bool]) -> tuple[Line, ...]:
    rows, before, after, far, begins, block, _, _ = shape
    joint = block.joint
    found = []
    ends = zip(rows, _ends(rows, before, owns[0]), _ends(rows, after, owns[1]), strict=True)
    # Courses that take turns are the same.
    made: dict[tuple[int, _End, _End, int], Line] = {}
    for number, (row, start, end) in enumerate(ends):
        key = row.leaves, start, end, begins[number % 2]
        if key not in made:
            span = Span(
                start=-start.across if start.owned else joint,
                end=far + end.across if end.owned else far - joint,
                start_joint=not start.owned and start.counts,
                end_joint=not end.owned and end.counts,
                first=start.across if start.owned else 0,
                last=end.across if end.owned else 0,
                begin=begins[number % 2],
            )
            made[key] = Line((span,), row.leaves)
        found.append(made[key])
    return tuple(found)


def _by_leaves(row: Row, inner: Line, outer: Line, shape: WallShape, turn: bool) -> Line:
    """Return a doubled course with a span for each leaf: the inner, then the outer.

    turn: whether each leaf ends at the leaf of the wall across that it meets, where that is
    doubled too; else both end as the whole wall does.
    """
    (near,), (other,) = inner.spans, outer.spans
    one, joint, far = shape.height, shape.block.joint, shape.far
    for end, rows in enumerate((shape.before, shape.after)):
        if not turn or not any(each.apart and each.level == row.level for each in rows):
            # The wall across is of one piece there, so that both leaves end at it alike.
            other = (
                other._replace(start=near.start, start_joint=near.start_joint, first=near.first)
                if end == 0
                else other._replace(end=near.end, end_joint=near.end_joint, last=near.last)
            )
            continue
        # Outward from the wall's inside face: of the inner leaf, and of the outer.
        for leaf in (0, 1):
            span = (near, other)[leaf]
            owned = (span.first, span.last)[end] > 0
            reach = (one + joint) * leaf + (one if owned else -joint)
            first = one if owned else 0
            span = (
                span._replace(start=-reach, first=first)
                if end == 0
                else span._replace(end=far + reach, last=first)
            )
            near, other = (span, other) if leaf == 0 else (near, span)
    near = near._replace(slack=shape.slack)
    return Line((near, other), second=1)


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
