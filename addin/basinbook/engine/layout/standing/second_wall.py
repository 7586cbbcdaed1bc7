"""The second wall: its first courses stand, the others are set out on them."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.on_standing import fewest_on
from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job
from basinbook.engine.layout.parts.engaged import keys
from basinbook.engine.layout.parts.laid_rows import Course, Sizes, beside, stood
from basinbook.engine.layout.parts.openings import SECOND_WALL, Gap
from basinbook.engine.layout.parts.second_wall import WALL, SecondWall, second_wall_options
from basinbook.engine.layout.standing.openings import RowAt, closed, gaps_standing
from basinbook.engine.layout.standing.rows import columns_in, joint_edges, no_bond
from basinbook.engine.layout.standing.sizes import Measured, gaps_moved


class SecondStanding(NamedTuple):
    """The second wall with what stands in it, and whether fewer cuts are impossible."""

    second: SecondWall
    gaps: tuple[Gap, ...]
    proved: bool


def second_on_standing(
    budget: Budget, second: SecondWall, planned: Job, work: Job, gaps: tuple[Gap, ...], bed: int
) -> SecondStanding:
    """Return the second wall as it goes on, in bond with what stands.

    With turned blocks in it, or where nothing else was found, its pieces keep to the nearer end in
    all courses; but beside a column that is part of it that can't be. gaps: of it, as planned.
    bed: of the first course still to lay [ticks].
    """
    column = bool(keys(planned, SECOND_WALL))
    if work.outside_length == planned.outside_length:
        return SecondStanding(second, gaps, True)
    stands = Measured(work.spec.laid_courses, work.length, work.width)

    def refused(works: Callable[[Job], bool]) -> InputError:
        of_wall = " of the second wall"
        return no_bond(budget, planned, stands, "laid_length", work.length, of_wall, works)

    def as_planned() -> SecondStanding:
        kept = _as_planned(second, planned, work, gaps, bed)
        if _bears(kept, work, bed):
            return kept
        raise refused(lambda job: _bears(_as_planned(second, planned, job, gaps, bed), job, bed))

    if not (column or _plain(second)):
        return as_planned()
    chain = second.chains[WALL]
    ends = [(course[0].at, course[-1].end) for course in chain.courses]
    way = next(
        number
        for number, lines in enumerate(second_wall_options(planned, gaps))
        if ends == [(line.spans[0].start, line.spans[-1].end) for line in lines]
    )

    def gone_on(other: Job) -> Chain | None:
        there = _second_moved(second, planned, other, gaps, bed).chains[WALL].courses
        count = _laid(other, chain, bed)
        at = _gaps(chain.courses, there[:count], planned, other, gaps)
        if closed(at):
            return None
        if count == len(there):
            return chain._replace(courses=there)
        lines = second_wall_options(other, at)[way]
        row = beside(count - 1, (), at, columns=columns_in(other, SECOND_WALL, count - 1))
        edges = joint_edges(there[count - 1], row, lines[count - 1], other.block)
        found = fewest_on(budget, edges, lines[count:], other.outside_length, other.block)
        return found and found._replace(courses=there[:count] + found.courses)

    found = gone_on(work)
    if found is None:
        if not column:
            return as_planned()
        raise refused(lambda other: gone_on(other) is not None)
    chains = second.chains | {WALL: found}
    at = _gaps(chain.courses, found.courses[: _laid(work, found, bed)], planned, work, gaps)
    return SecondStanding(SecondWall(chains, second.stacked), at, found.proved)


def _bears(standing: SecondStanding, work: Job, bed: int) -> bool:
    """Return whether a block to lay bears on both sides of each opening that stands."""
    chain, offset = standing.second.chains[WALL], work.block.offset
    laid = _laid(work, chain, bed)
    return not closed(standing.gaps) and all(
        any(
            piece.at <= gap.low - offset and gap.high + offset <= piece.end
            for piece in chain.courses[gap.last + 1]
        )
        for gap in standing.gaps
        if gap.lintel is None and laid <= gap.last + 1 < len(chain.courses)
    )


def _laid(work: Job, chain: Chain, bed: int) -> int:
    """Return how many courses lie under a bed [ticks]."""
    return sum(work.row_bed(number) < bed for number in range(len(chain.courses)))


def _gaps(
    courses: tuple[Course, ...],
    laid: tuple[Course, ...],
    planned: Job,
    work: Job,
    gaps: tuple[Gap, ...],
) -> tuple[Gap, ...]:
    """Return the openings, those that stand as they do; courses, gaps: as planned."""
    sizes = planned.outside_length, work.outside_length
    moved = gaps_moved(gaps, *sizes)

    def row(job: Job, at: tuple[Gap, ...]) -> RowAt:
        return lambda number: beside(number, (), at, columns=columns_in(job, SECOND_WALL, number))

    return gaps_standing(gaps, sizes, (courses, row(planned, gaps)), (laid, row(work, moved)))


def _plain(second: SecondWall) -> bool:
    """Return whether no block of the second wall is turned."""
    return not any(piece.turned for course in second.chains[WALL].courses for piece in course)


def _as_planned(
    second: SecondWall, planned: Job, work: Job, gaps: tuple[Gap, ...], bed: int
) -> SecondStanding:
    """Return the second wall with all its pieces kept to the nearer end.

    Other pieces may do with fewer cuts in the courses still to lay, where there are any.
    """
    moved = _second_moved(second, planned, work, gaps, bed)
    chain = moved.chains[WALL]
    to_lay = [course for number, course in enumerate(chain.courses) if work.row_bed(number) >= bed]
    least = all(piece.whole for course in to_lay for piece in course)
    chain = chain._replace(proved=chain.proved and least)
    stands = chain.courses[: _laid(work, chain, bed)]
    at = _gaps(second.chains[WALL].courses, stands, planned, work, gaps)
    return SecondStanding(moved._replace(chains=moved.chains | {WALL: chain}), at, least)


def _second_moved(
    second: SecondWall, planned: Job, work: Job, gaps: tuple[Gap, ...], bed: int
) -> SecondWall:
    """Return the second wall with its pieces kept to the nearer end.

    gaps: of it, as planned. bed: of the first course still to lay [ticks].
    """
    chain, block = second.chains[WALL], work.block
    laid = Sizes(planned.outside_length, work.outside_length, block.shortest)
    to_lay = laid._replace(kept=block.joint, to_lay=True)
    courses = tuple(
        stood(
            course,
            beside(number, (), gaps, columns=columns_in(planned, SECOND_WALL, number)),
            laid if work.row_bed(number) < bed else to_lay,
        )
        for number, course in enumerate(chain.courses)
    )
    return SecondWall(second.chains | {WALL: chain._replace(courses=courses)}, second.stacked)
