"""The walls of a basin: their first courses stand, the others are set out on them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.on_standing import fewest_on
from basinbook.engine.layout.bond.alternating import Line
from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.laid_rows import Beside, Course, Sizes, beside, leaves, stood
from basinbook.engine.layout.parts.mixed import stand_in_the_way
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.walls import Walls, wall_options
from basinbook.engine.layout.standing.openings import closed, gaps_standing
from basinbook.engine.layout.standing.rows import columns_in, joint_edges, no_bond
from basinbook.engine.layout.standing.sizes import Measured, gaps_moved


class Standing(NamedTuple):
    """The walls with what stands in them, their openings, and whether fewer cuts are impossible."""

    walls: Walls
    gaps: BasinGaps
    proved: bool


def on_standing(
    budget: Budget, planned: Job, work: Job, gaps: BasinGaps, walls: Walls, courses: int
) -> Standing:
    """Return the walls whose first courses stand as planned, the others with the fewest cuts.

    planned, gaps, walls: as the layout was before. work: the job with the measured inside size.
    Raises InputError where the measured size can't be gone on with, with the nearest that can.
    """
    found, more_gaps, proved = [], [], True
    for wall, chain in enumerate(walls):
        if inside(work, wall) == inside(planned, wall):
            more_gaps.append(gaps[wall])
            found.append(chain)
            continue
        old = _Wall(planned, wall, chain, gaps[wall], courses)
        laid = _laid(old, work)
        there = _gaps(old, work, laid)
        more_gaps.append(there)
        above = _above(budget, old, work, laid, there)
        if above is None:
            raise _refused(budget, old, work)
        proved = proved and above.proved
        found.append(above._replace(courses=laid + above.courses))
    front, right, back, left = more_gaps
    return Standing(Walls(*found), (front, right, back, left), proved)


class _Wall(NamedTuple):
    """A wall as it was planned, its filled courses and openings, and how many courses stand."""

    planned: Job
    wall: int
    chain: Chain
    gaps: tuple[Gap, ...]
    courses: int

    @property
    def rows(self) -> int:
        """How many of its courses stand: a mixed one has several."""
        return sum(row.level < self.courses for row in self.planned.walls[self.wall])


def _laid(old: _Wall, work: Job) -> tuple[Course, ...]:
    """Return the courses that stand, where they do."""
    planned, wall = old.planned, old.wall
    sizes = Sizes(inside(planned, wall), inside(work, wall), work.block.shortest)
    return tuple(
        stood(course, _beside(planned, wall, number, old.gaps), sizes)
        for number, course in enumerate(old.chain.courses[: old.rows])
    )


def _beside(work: Job, wall: int, number: int, gaps: Sequence[Gap]) -> Beside:
    row = work.walls[wall][number]
    on_edge = [(low, low + work.block.length) for low in row.between]
    return beside(number, on_edge, gaps, row.apart, columns_in(work, WALL_NAMES[wall], number))


def _gaps(old: _Wall, work: Job, laid: tuple[Course, ...]) -> tuple[Gap, ...]:
    """Return the wall's openings, those that stand as they do."""
    planned, wall = old.planned, old.wall
    sizes = inside(planned, wall), inside(work, wall)
    moved = gaps_moved(old.gaps, *sizes)
    return gaps_standing(
        old.gaps,
        sizes,
        (old.chain.courses, lambda number: _beside(planned, wall, number, old.gaps)),
        (laid, lambda number: _beside(work, wall, number, moved)),
    )


def _above(
    budget: Budget, old: _Wall, work: Job, laid: tuple[Course, ...], gaps: tuple[Gap, ...]
) -> Chain | None:
    """Return the courses on those that are laid; None for none, or with an opening shut."""
    wall, count = old.wall, len(laid)
    if closed(gaps):
        return None
    if count == len(old.chain.courses):
        return Chain(0, (), frozenset(), 0, True, 0)
    to_lay = [
        row if row.level >= old.courses else row._replace(between=()) for row in work.walls[wall]
    ]
    if stand_in_the_way(to_lay, gaps, work.block):
        return None
    lines = wall_options(work, wall, gaps)[_way(old)].lines
    row = _beside(work, wall, count - 1, gaps)
    edges = joint_edges(laid[-1], row, lines[count - 1], work.block)
    return fewest_on(budget, edges, lines[count:], inside(work, wall), work.block)


def _way(old: _Wall) -> int:
    """Return the number of the way in which a wall as planned owns its corners."""

    def runs(number: int, line: Line) -> bool:
        row = _beside(old.planned, old.wall, number, old.gaps)
        ends = [(run[0].at, run[-1].end) for run in leaves(old.chain.courses[number], row)]
        both = [line.spans[: line.second or None], *([line.spans[line.second :]] * row.apart)]
        return ends == [(run[0].start, run[-1].end) for run in both]

    options = wall_options(old.planned, old.wall, old.gaps)
    return next(
        number
        for number, option in enumerate(options)
        if all(runs(course, line) for course, line in enumerate(option.lines))
    )


def _refused(budget: Budget, old: _Wall, work: Job) -> InputError:
    """Return the error for a wall that can't be gone on with, with the nearest size that can."""
    along, size = old.wall in (FRONT, BACK), inside(work, old.wall)
    stands = Measured(old.courses, work.length, work.width)

    def works(other: Job) -> bool:
        laid = _laid(old, other)
        return _above(budget, old, other, laid, _gaps(old, other, laid)) is not None

    name = "laid_length" if along else "laid_width"
    return no_bond(budget, old.planned, stands, name, size, "", works)
