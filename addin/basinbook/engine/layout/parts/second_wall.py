"""The second wall behind the back wall, and the returns that close the pipe space."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.corner_choice import Group, fewest_cuts
from basinbook.engine.layout.bond.whole_wall import Chain, Wall, side_by_side
from basinbook.engine.layout.budget import Budget, remembered
from basinbook.engine.layout.checked_inputs import BACK, Job, refuse
from basinbook.engine.layout.model import FLAT, LINTEL, TURNED
from basinbook.engine.layout.parts.engaged import Key, keys, with_columns
from basinbook.engine.layout.parts.openings import (
    SECOND_WALL,
    Gap,
    WallOf,
    basin_gaps,
    check_bridge,
    gap_in,
    gap_start,
    with_gaps,
)
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.turned import (
    Open,
    Tail,
    open_second,
    reach,
    second_wall_courses,
    ties_walls,
    with_turned,
)
from basinbook.engine.layout.ticks import ticks
from basinbook.engine.spec import SAVING
from basinbook.engine.spec_openings import OpeningSpec, openings_of

WALL, LEFT_RETURN, RIGHT_RETURN = "second wall", "left return", "right return"


class SecondWall(NamedTuple):
    """The filled second wall and returns, by part.

    stacked: returns of one whole block in every course, which do not interlock with the wall.
    """

    chains: dict[str, Chain]
    stacked: tuple[str, ...] = ()


def space(job: Job) -> int:
    """Return the pipe space between back wall and second wall [ticks]."""
    return ticks(job.spec.pipe_space)


def courses(job: Job) -> int:
    """Return the number of courses: as given, or as many as reach the basin's height."""
    return second_wall_courses(job)


def alternates(job: Job) -> bool:
    """Return whether the corners can alternate: the short return piece must be long enough."""
    return space(job) - 2 * job.block.joint >= job.block.shortest


def has_returns(job: Job) -> tuple[bool, bool]:
    """Return whether there is a left and a right return."""
    returns = job.spec.second_wall_returns
    return returns in ("both", "left"), returns in ("both", "right")


def return_courses(job: Job) -> int:
    """Return how many courses the returns have: no higher than the basin, under its caps."""
    pitch = job.height + job.block.joint
    return min(courses(job), (job.top + job.block.joint) // pitch)


FIRST, SECOND, EVERY = "first", "second", "every"
"""The courses in which a return runs through to the second wall's outer face: odd, even, all."""


def _through(way: str, course: int) -> bool:
    return way == EVERY or (way == FIRST) == (course % 2 == 0)


class _Shape(NamedTuple):
    """What the second wall and its returns depend on; lengths in ticks.

    far: length of the wall. rows, closed: courses of the wall and of the returns. turns: whether
    the corners alternate. returns: whether there is a left and a right one. open_to: where turned
    blocks may lie. whole: whether a return that runs through is one whole block, and may be so in
    every course. keys: what columns take that are part of the wall.
    """

    far: int
    depth: int
    block: Rules
    space: int
    rows: int
    closed: int
    turns: bool
    returns: tuple[bool, bool]
    gaps: tuple[Gap, ...]
    open_to: Open | None = None
    whole: bool = False
    keys: tuple[Key, ...] = ()

    @property
    def ways(self) -> list[tuple[str, ...]]:
        """The ways to begin at each corner: of each return the courses where it runs through."""
        alternate = (FIRST, SECOND) if self.turns else (EVERY,)
        ways = (*alternate, EVERY) if self.turns and self.whole else alternate
        return [ways if here else (EVERY,) for here in self.returns]


def _wall_lines(shape: _Shape, ways: Sequence[str]) -> tuple[Line, ...]:
    """Return the second wall's courses; ways: where each return runs through."""
    far, depth, joint = shape.far, shape.depth, shape.block.joint
    lines = []
    for course in range(shape.rows):
        butts, owns = [], []
        for here, way in zip(shape.returns, ways, strict=True):
            meets = here and course < shape.closed
            butts.append(meets and _through(way, course))
            owns.append(meets and not butts[-1])
        lines.append(
            Line(
                (
                    Span(
                        depth + joint if butts[0] else 0,
                        far - depth - joint if butts[1] else far,
                        butts[0] and ways[0] != EVERY,
                        butts[1] and ways[1] != EVERY,
                        depth if owns[0] else 0,
                        depth if owns[1] else 0,
                    ),
                )
            )
        )
    return tuple(lines)


def _return_lines(shape: _Shape, way: str) -> tuple[Line, ...]:
    """Return the courses of a return, from the back wall's outer face to the second wall."""
    depth, joint, lines = shape.depth, shape.block.joint, []
    for course in range(shape.closed):
        through = _through(way, course)
        end = shape.space + depth if through else shape.space - joint
        lines.append(Line((Span(joint, end, False, not through, 0, depth if through else 0),)))
    return tuple(lines)


def access_gap(job: Job) -> Gap | None:
    """Return the access gap in the second wall, from its left end; None for none."""
    spec = job.spec
    width = ticks(spec.access_width)
    if not width or spec.second_wall == "no":
        return None
    count = courses(job)
    if spec.access_courses > count:
        raise refuse(
            "access_courses", spec.access_courses, f"at most the second wall's {count} courses"
        )
    last = (spec.access_courses or count) - 1
    check_bridge(job, "access_width", width, last + 1 < count)
    left, right = _margins(job)
    low = gap_start(job, "access_width", "access_offset", width, job.outside_length, left, right)
    return Gap(low, low + width, 0, last, top=last + 1 == count)


def _margins(job: Job) -> tuple[int, int]:
    """Return the room to leave at both ends of the second wall: a return, and a piece."""
    piece, across = job.block.shortest, job.depth + job.block.joint
    left, right = has_returns(job)
    return piece + left * across, piece + right * across


def second_wall_gap(job: Job, given: OpeningSpec) -> Gap:
    """Return an opening in the second wall, from its left end."""
    count = courses(job)
    rows = {row + 1: row for row in range(count)}
    left, right = _margins(job)
    wall = WallOf(job.outside_length, left, right, (job.height,) * count, rows)
    return gap_in(job, given, wall)


def second_wall_gaps(job: Job) -> tuple[Gap, ...]:
    """Return the access gap and the openings in the second wall, each checked by itself."""
    access = access_gap(job)
    more = [second_wall_gap(job, one) for one in openings_of(job.spec) if one.wall == SECOND_WALL]
    return (*([access] if access else []), *more)


def solve_second_wall(
    budget: Budget, job: Job, gaps: tuple[Gap, ...], tails: Iterable[Tail] = ()
) -> SecondWall | None:
    """Return the second wall with the fewest cuts over the ways to begin at its corners.

    gaps: access gap and openings in the second wall. tails: of turned blocks of the back wall,
    which those of the second wall keep clear of. None where no way has a filling, or none was
    found before the budget's end.
    """
    return _solved(budget, _shape(job, gaps, tails))


def second_group(job: Job, gaps: tuple[Gap, ...], tails: Iterable[Tail] = ()) -> Group:
    """Return the second wall and its returns as they are to be filled, with the ways to begin.

    tails: of turned blocks of the back wall.
    """
    return _group(_shape(job, gaps, tails))


def second_of(job: Job, gaps: tuple[Gap, ...], chains: tuple[Chain, ...]) -> SecondWall:
    """Return the second wall from the filled walls of its group."""
    shape = _shape(job, gaps)
    return _wall_of(shape, chains, _stacked(shape, chains))


def second_wall_options(job: Job, gaps: tuple[Gap, ...]) -> list[tuple[Line, ...]]:
    """Return the second wall's courses for each way to begin at its corners, no block turned."""
    shape = _plain_shape(job, gaps)
    return [_gapped(shape, _wall_lines(shape, begin)) for begin in product(*shape.ways)]


def _shape(job: Job, gaps: tuple[Gap, ...], tails: Iterable[Tail] = ()) -> _Shape:
    shape = _plain_shape(job, gaps)
    open_to = open_second(job, basin_gaps(job)[BACK], tails, shape.rows, shape.closed)
    block = job.block._replace(turned=job.depth) if open_to else job.block
    return shape._replace(block=block, open_to=open_to)


def _plain_shape(job: Job, gaps: tuple[Gap, ...]) -> _Shape:
    """Return what the wall depends on without turned blocks in it."""
    whole = job.spec.turned_second == SAVING and ties_walls(job)
    return _Shape(
        job.outside_length, job.depth, job.block, space(job), courses(job), return_courses(job),
        alternates(job), has_returns(job), gaps, None, whole, keys(job, SECOND_WALL),
    )  # fmt: skip


def _group(shape: _Shape) -> Group:
    walls: list[Wall] = []
    ways = []
    for begin in product(*shape.ways):
        way = [Wall(lines, shape.far) for lines in _apart(shape, _wall_lines(shape, begin))]
        for here, one in zip(shape.returns, begin, strict=True):
            if here and shape.closed:
                way.append(Wall(_return_lines(shape, one), shape.space))
        ways.append(tuple(range(len(walls), len(walls) + len(way))))
        walls += way
    return Group(tuple(walls), tuple(ways))


# Basins of one length that are compared share their second wall.
@remembered(64)
def _solved(budget: Budget, shape: _Shape) -> SecondWall | None:
    best = fewest_cuts(budget, *_group(shape), shape.block).ways
    if not best:
        return None
    tidiest = min(best, key=lambda chains: (len(_stacked(shape, chains)), *_tidiness(chains)))
    return _wall_of(shape, tidiest, _stacked(shape, tidiest))


def _parts(shape: _Shape, chains: tuple[Chain, ...]) -> tuple[list[str], int]:
    """Return the parts that are returns, and how many of the filled walls come before these."""
    parts = [
        part for part, here in zip((LEFT_RETURN, RIGHT_RETURN), shape.returns, strict=True) if here
    ]
    return parts, len(chains) - (len(parts) if shape.closed else 0)


def _stacked(shape: _Shape, chains: tuple[Chain, ...]) -> tuple[str, ...]:
    """Return the returns that could interlock with the second wall, and do not."""
    parts, sides = _parts(shape, chains)
    return tuple(
        part
        for part, chain in zip(parts, chains[sides:], strict=False)
        if shape.turns
        and shape.closed > 1
        and all(course[-1].at + course[-1].length > shape.space for course in chain.courses)
    )


def _wall_of(shape: _Shape, chains: tuple[Chain, ...], stacked: tuple[str, ...]) -> SecondWall:
    parts, sides = _parts(shape, chains)
    found = {WALL: side_by_side(chains[:sides])}
    return SecondWall(found | dict(zip(parts, chains[sides:], strict=False)), stacked)


def _apart(shape: _Shape, lines: tuple[Line, ...]) -> list[tuple[Line, ...]]:
    """Return the wall's courses with their gaps; one of full height leaves two walls.

    Where joints at both sides of the gap could come closer than the joint offset, the two stay
    together.
    """
    block = shape.block
    gapped = with_turned(_gapped(shape, lines), shape.open_to, shape.depth)
    full = next((gap for gap in shape.gaps if gap.last - gap.first == len(lines) - 1), None)
    if full is None or full.high - full.low + 2 * block.shortest < block.offset:
        return [gapped]
    return [
        tuple(_stretch(line, low, high) for line in gapped)
        for low, high in ((0, full.low), (full.high, shape.far))
    ]


def _gapped(shape: _Shape, lines: tuple[Line, ...]) -> tuple[Line, ...]:
    """Return the wall's courses with room for gaps and columns."""
    gapped = with_gaps(lines, shape.gaps, shape.block)
    return with_columns(gapped, shape.keys, shape.block, shape.depth)


def _stretch(line: Line, low: int, high: int) -> Line:
    """Return what of a course lies between two places."""
    return line._replace(
        spans=tuple(span for span in line.spans if low <= span.start and span.end <= high),
        bridges=tuple(gap for gap in line.bridges if low <= gap[0] and gap[1] <= high),
    )


def _tidiness(chains: tuple[Chain, ...]) -> tuple[int, int]:
    sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
    return sizes, chains[0].asymmetry


def second_wall_pieces(job: Job, wall: SecondWall, gaps: Sequence[Gap]) -> list[Placed]:
    """Return the pieces of the second wall and its returns, and the lintels over its gaps."""
    found = []
    near, long, deep, high = job.outside_width, job.outside_length, job.depth, job.height
    between, returns = space(job), has_returns(job)
    for part, chain in wall.chains.items():
        for course, pieces in enumerate(chain.courses):
            z = job.row_bed(course)
            for at, length, whole, turned, short in pieces:
                stands = length - short
                if part == WALL:
                    past = reach(job) if turned else 0
                    box = (at, near + between - past, z, stands, deep + past, high)
                    corner = (returns[0] and at == 0) or (returns[1] and at + stands == long)
                else:
                    x = 0 if part == LEFT_RETURN else long - deep
                    box = (x, near + at, z, deep, length, high)
                    corner = at + length > between
                way = TURNED if turned else FLAT
                found.append(Placed(part, "block", way, *box, length, whole, corner))
    for gap in gaps:
        if gap.lintel is not None:
            low, length = gap.lintel[0], gap.lintel[1] - gap.lintel[0]
            box = (low, near + between, job.row_bed(gap.last + 1), length, deep, high)
            found.append(Placed(WALL, LINTEL, FLAT, *box, length, True))
    return found
