"""As built: the courses that are laid stand as they are, the others are set out on what they are.

What the walls measure inside takes the place of the size that was planned. Pieces that are laid
keep their lengths and their distance from the nearer corner: what a wall is longer or shorter lies
in one joint at its middle (``parts.laid_rows``). Blocks on edge between flat ones stand where they
were set out in laid courses; in the others they are where they are asked for on the measured size.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.on_standing import fewest_on
from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job, Row, job, refuse
from basinbook.engine.layout.model import Course as CourseLaid
from basinbook.engine.layout.model import Piece
from basinbook.engine.layout.parts.cap_overhang import cap_sizes
from basinbook.engine.layout.parts.columns.all_columns import check_columns
from basinbook.engine.layout.parts.columns.site import Site
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.engaged import keys
from basinbook.engine.layout.parts.laid_rows import (
    Beside,
    Course,
    InWall,
    Sizes,
    beside,
    joints,
    leaves,
    stood,
)
from basinbook.engine.layout.parts.mixed import stand_in_the_way
from basinbook.engine.layout.parts.openings import SECOND_WALL, BasinGaps, Gap, basin_gaps
from basinbook.engine.layout.parts.second_wall import (
    WALL,
    SecondWall,
    second_wall_gaps,
    second_wall_options,
)
from basinbook.engine.layout.parts.walls import Walls, wall_options
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.layout.unfit import between, near, place_refused
from basinbook.engine.spec import BasinSpec
from basinbook.engine.spec_look import place_field, places_of

_STEP: Final = ticks(0.0254 / 16)
_STEPS: Final = 24


class Measured(NamedTuple):
    """What stands: number of courses laid, and the inside size that was measured [ticks]."""

    courses: int
    length: int
    width: int


def measured(work: Job) -> Measured | None:
    """Return what stands, from the inputs of a job as planned; None for nothing.

    Raises InputError for more courses than there are.
    """
    spec = work.spec
    if not spec.laid_courses:
        return None
    if spec.laid_courses > len(work.levels):
        raise refuse(
            "laid_courses", spec.laid_courses, f"the basin has courses 1 to {len(work.levels)}"
        )
    sizes = []
    for name, planned in (("laid_length", work.length), ("laid_width", work.width)):
        size = ticks(getattr(spec, name)) or planned
        most = work.block.offset // 2
        if abs(size - planned) > most:
            raise place_refused(
                name,
                size,
                f"at most {text(most)} off the planned {text(planned)}, half the joint offset; if "
                "more is off, plan anew",
                between(size, planned - most, planned + most, _STEP),
            )
        apart = (row for rows in work.walls for row in rows if row.apart)
        if size != planned and any(row.level >= spec.laid_courses for row in apart):
            where = "leaves of courses still to lay have runs of their own"
            anew = "plan anew with what is measured"
            raise place_refused(name, size, f"as planned where {where}; or {anew}", [planned], anew)
        sizes.append(size)
    return Measured(spec.laid_courses, *sizes)


def job_measured(planned: Job, stands: Measured) -> Job:
    """Return the job at the inside size that is measured.

    What is typed for a place keeps to the nearer corner. Raises InputError where blocks on edge
    of courses still to lay have no place at that size, or columns that are part of walls meet
    others, with the nearest at which all is well.
    """
    try:
        return _job_measured(planned, stands)
    except InputError as error:
        long = stands._replace(width=planned.width)
        name = "laid_width" if _can_be(planned, long) else "laid_length"
        field = name.removeprefix("laid_")
        size = int(getattr(stands, field))
        sizes = near(size, _STEPS, _STEP)
        raise place_refused(
            name,
            size,
            f"courses still to lay can't be as asked for at this size: {error}",
            (one for one in sizes if _can_be(planned, stands._replace(**{field: one}))),
            f"change what is asked for, {error.argument}, for the courses still to lay",
        ) from None


def _can_be(planned: Job, stands: Measured) -> bool:
    try:
        _job_measured(planned, stands)
    except InputError:
        return False
    return True


def _job_measured(planned: Job, stands: Measured) -> Job:
    spec, sizes = planned.spec, {FRONT: stands.length, BACK: stands.length}
    placed: dict[str, Any] = {}
    for place in places_of(spec):
        wall = WALL_NAMES.index(place.wall)
        before, far, middle = inside(planned, wall), sizes.get(wall, stands.width), place.middle
        if 2 * ticks(middle) > before:
            middle = metres(ticks(middle) + far - before)
        placed[place_field(place.number, "middle")] = middle
    work = job(
        replace(
            spec,
            inside_length=metres(stands.length),
            inside_width=metres(stands.width),
            **placed,
        )
    )
    walls = []
    for wall, rows in enumerate(work.walls):
        at = Sizes(inside(planned, wall), inside(work, wall), 0)
        walls.append(
            tuple(
                row._replace(between=_kept(old, at, work.block.length))
                if row.level < stands.courses
                else row
                for row, old in zip(rows, planned.walls[wall], strict=True)
            )
        )
    work = replace(work, walls=tuple(walls), kept=_columns_kept(planned, work))
    if work.kept:
        _check_columns(planned, work)
    return work


def _check_columns(planned: Job, work: Job) -> None:
    """Refuse columns that would stand in each other, some moved with the walls they are part of."""
    gaps = gaps_moved(basin_gaps(planned)[BACK], planned.length, work.length)
    behind: tuple[Gap, ...] = ()
    if work.spec.second_wall == "yes":
        long = planned.outside_length, work.outside_length
        behind = gaps_moved(second_wall_gaps(planned), *long)
    check_columns(Site(work, cap_sizes(work), gaps, behind))


def _columns_kept(planned: Job, work: Job) -> tuple[tuple[int, int], ...]:
    """Return where columns that are part of walls begin, by the number of their inputs."""
    found = []
    for wall, name in enumerate((*WALL_NAMES, SECOND_WALL)):
        if name == SECOND_WALL:
            off, at = 0, Sizes(planned.outside_length, work.outside_length, 0)
        else:
            off, at = planned.depth, Sizes(inside(planned, wall), inside(work, wall), 0)
        for key in keys(planned, name):
            found.append((key.slot, off + key.low + at.by(key.low, key.high)))
    return tuple(found)


def _kept(row: Row, at: Sizes, length: int) -> tuple[int, ...]:
    """Return where the blocks on edge of a laid course begin."""
    return tuple(low + at.by(low, low + length) for low in row.between)


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
        before, far = inside(planned, wall), inside(work, wall)
        more_gaps.append(gaps_moved(gaps[wall], before, far))
        if far == before:
            found.append(chain)
            continue
        old = _Wall(planned, wall, chain, gaps[wall], courses)
        laid = _laid(old, work)
        above = _above(budget, old, work, laid)
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
    return beside(number, on_edge, gaps, row.apart, _columns(work, WALL_NAMES[wall], number))


def _columns(work: Job, wall: str, number: int) -> list[InWall]:
    """Return the columns that are part of a wall, with their blocks in one of its courses."""
    return [
        InWall((key.low, key.high), (key.rows[number], key.rows[number] + work.depth))
        for key in keys(work, wall)
    ]


def _above(budget: Budget, old: _Wall, work: Job, laid: tuple[Course, ...]) -> Chain | None:
    """Return the courses on those that are laid; None where none were found."""
    wall, count = old.wall, len(laid)
    if count == len(old.chain.courses):
        return Chain(0, (), frozenset(), 0, True, 0)
    before, far = inside(old.planned, wall), inside(work, wall)
    gaps = gaps_moved(old.gaps, before, far)
    to_lay = [
        row if row.level >= old.courses else row._replace(between=()) for row in work.walls[wall]
    ]
    if stand_in_the_way(to_lay, gaps, work.block):
        return None
    lines = wall_options(work, wall, gaps)[_way(old)]
    edges = _edges(laid[-1], _beside(work, wall, count - 1, gaps), lines[count - 1], work.block)
    return fewest_on(budget, edges, lines[count:], far, work.block)


def _edges(course: Course, row: Beside, line: Line, block: Rules) -> list[int]:
    """Return the left edges of the joints in a course that stands; line: it, as to be filled."""
    edges = joints(course, row, block.joint)
    for run in (line.spans[: line.second or None], line.spans[line.second :]):
        edges += [run[0].start - block.joint] * run[0].start_joint
        edges += [run[-1].end] * run[-1].end_joint
    return edges


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
        for number, lines in enumerate(options)
        if all(runs(course, line) for course, line in enumerate(lines))
    )


def _gap_moved(gap: Gap, before: int, far: int) -> Gap:
    if gap.low + gap.high <= before:
        return gap
    by = far - before
    lintel = gap.lintel and (gap.lintel[0] + by, gap.lintel[1] + by)
    return gap._replace(low=gap.low + by, high=gap.high + by, lintel=lintel)


def _refused(budget: Budget, old: _Wall, work: Job) -> InputError:
    """Return the error for a wall that can't be gone on with, with the nearest size that can."""
    along, size = old.wall in (FRONT, BACK), inside(work, old.wall)
    stands = Measured(old.courses, work.length, work.width)

    def works(other: Job) -> bool:
        return _above(budget, old, other, _laid(old, other)) is not None

    name = "laid_length" if along else "laid_width"
    return _no_bond(budget, old.planned, stands, name, size, "", works)


def _no_bond(
    budget: Budget,
    planned: Job,
    stands: Measured,
    name: str,
    size: int,
    of_wall: str,
    works: Callable[[Job], bool],
) -> InputError:
    """Return the error for a measured size at which nothing bonds with what stands.

    name: of its input. of_wall: what to say of which wall. works: whether it does at another size.
    """

    def tried(other: int) -> bool:
        if budget.ended:
            return False
        try:
            work = _job_measured(planned, stands._replace(**{name.removeprefix("laid_"): other}))
        except InputError:
            return False
        return works(work)

    return place_refused(
        name,
        size,
        f"no bond{of_wall} with what stands was found at this size",
        filter(tried, near(size, _STEPS, _STEP)),
        "take down a course, or give a smaller least joint offset or shortest piece",
    )


class SecondStanding(NamedTuple):
    """The second wall with what stands in it, and whether fewer cuts are impossible."""

    second: SecondWall
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
    if work.outside_length == planned.outside_length or not (column or _plain(second)):
        return SecondStanding(_second_moved(second, planned, work, gaps, bed), True)
    # Where all of the basin is laid, a higher second wall has courses still to lay.
    first = min(bed, planned.cap_bed)
    chain = second.chains[WALL]
    ends = [(course[0].at, course[-1].end) for course in chain.courses]
    way = next(
        number
        for number, lines in enumerate(second_wall_options(planned, gaps))
        if ends == [(line.spans[0].start, line.spans[-1].end) for line in lines]
    )

    def gone_on(other: Job) -> Chain | None:
        there = _second_moved(second, planned, other, gaps, first).chains[WALL].courses
        count = sum(other.row_bed(number) < first for number in range(len(there)))
        if count == len(there):
            return chain._replace(courses=there)
        at = gaps_moved(gaps, planned.outside_length, other.outside_length)
        lines = second_wall_options(other, at)[way]
        row = beside(count - 1, (), at, columns=_columns(other, SECOND_WALL, count - 1))
        edges = _edges(there[count - 1], row, lines[count - 1], other.block)
        found = fewest_on(budget, edges, lines[count:], other.outside_length, other.block)
        return found and found._replace(courses=there[:count] + found.courses)

    found = gone_on(work)
    if found is None:
        if not column:
            return SecondStanding(_second_moved(second, planned, work, gaps, bed), True)
        stands = Measured(work.spec.laid_courses, work.length, work.width)
        raise _no_bond(
            budget, planned, stands, "laid_length", work.length, " of the second wall",
            lambda other: gone_on(other) is not None,
        )  # fmt: skip
    chains = second.chains | {WALL: found}
    return SecondStanding(SecondWall(chains, second.stacked), found.proved)


def _plain(second: SecondWall) -> bool:
    """Return whether no block of the second wall is turned."""
    return not any(piece.turned for course in second.chains[WALL].courses for piece in course)


def _second_moved(
    second: SecondWall, planned: Job, work: Job, gaps: tuple[Gap, ...], standing: int
) -> SecondWall:
    """Return the second wall with its pieces kept to the nearer end.

    gaps: of it, as planned. standing: bed of the first course still to lay [ticks].
    """
    chain, block = second.chains[WALL], work.block
    laid = Sizes(planned.outside_length, work.outside_length, block.shortest)
    to_lay = laid._replace(kept=block.joint, to_lay=True)
    courses = tuple(
        stood(
            course,
            beside(number, (), gaps, columns=_columns(planned, SECOND_WALL, number)),
            laid if work.row_bed(number) < standing else to_lay,
        )
        for number, course in enumerate(chain.courses)
    )
    return SecondWall(second.chains | {WALL: chain._replace(courses=courses)}, second.stacked)


def gaps_moved(gaps: tuple[Gap, ...], before: int, far: int) -> tuple[Gap, ...]:
    """Return openings that keep to the nearer end of a wall; before, far: its lengths."""
    return tuple(_gap_moved(gap, before, far) for gap in gaps)


def broken_pieces(spec: BasinSpec, courses: Sequence[CourseLaid]) -> tuple[Piece, ...]:
    """Return the pieces that broke, from their courses and numbers such as 2.14, 3.5 or 2/14.

    Raises InputError for what is no such list, for a piece that there is not, and for what may be
    another piece whose last nought a spreadsheet left out.
    """
    found = []
    parts = [part for part in re.split(r"[,;\s]+", spec.broken.strip()) if part]
    for part in parts:
        given = re.fullmatch(r"(\d{1,3})[./](\d{1,4})", part)
        if given is None:
            raise refuse(
                "broken",
                spec.broken,
                "give course and number as the drawings do, such as 2.14 or 2.14, 3.5, or blank; "
                "a spreadsheet may have made a date of 2/14: type it into a cell for text",
            )
        course, number = int(given[1]), int(given[2])
        if not 1 <= course <= len(courses):
            raise refuse("broken", part, f"there are courses 1 to {len(courses)}")
        pieces = courses[course - 1].pieces
        if not 1 <= number <= len(pieces):
            raise refuse("broken", part, f"course {course} has pieces 1 to {len(pieces)}")
        if parts == [f"{course}.{number}"] and 10 * number <= len(pieces):
            raise refuse(
                "broken",
                part,
                f"that may be piece {number} or {10 * number}; give {course}/{number} or "
                f"{course}/{10 * number}",
            )
        found.append(pieces[number - 1])
    return tuple(found)
