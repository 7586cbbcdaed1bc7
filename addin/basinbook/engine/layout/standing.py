"""As built: the courses that are laid stand as they are, the others are set out on what they are.

What the walls measure inside takes the place of the size that was planned. Pieces that are laid
keep their lengths and their distance from the nearer corner: what a wall is longer or shorter lies
in one joint at its middle.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.on_standing import fewest_on
from basinbook.engine.layout.bond.whole_wall import Chain, Filled
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, Job, refuse
from basinbook.engine.layout.model import Course as CourseLaid
from basinbook.engine.layout.model import Piece
from basinbook.engine.layout.parts.corners import OWNS, inside, leaf_by_leaf
from basinbook.engine.layout.parts.engaged import engaged_slots
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.second_wall import WALL, SecondWall
from basinbook.engine.layout.parts.walls import Walls, wall_options
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.layout.unfit import between, near, place_refused
from basinbook.engine.spec import BasinSpec

_STEP: Final = ticks(0.0254 / 16)
_STEPS: Final = 24


Course = tuple[Filled, ...]


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
    mixed = any(row.between for rows in work.walls for row in rows)
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
        where = "a column is part of a wall" if engaged_slots(spec) else ""
        if mixed or leaf_by_leaf(work):
            where = where or "blocks on edge stand between flat ones or turn leaf by leaf"
        if size != planned and where:
            anew = "plan anew with what is measured"
            raise place_refused(name, size, f"as planned where {where}; or {anew}", [planned], anew)
        sizes.append(size)
    return Measured(spec.laid_courses, *sizes)


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
        moved = tuple(_gap_moved(gap, before, far) for gap in gaps[wall])
        rows = sum(row.level < courses for row in work.walls[wall])
        laid = tuple(_moved(course, before, far) for course in chain.courses[:rows])
        more_gaps.append(moved)
        if far == before:
            found.append(chain)
            continue
        above = _above(budget, work, wall, moved, laid, len(chain.courses) - rows)
        if above is None:
            raise _refused(budget, work, wall, before, chain, gaps[wall], rows)
        proved = proved and above.proved
        found.append(above._replace(courses=laid + above.courses, proved=True))
    front, right, back, left = more_gaps
    return Standing(Walls(*found), (front, right, back, left), proved)


def _above(
    budget: Budget, work: Job, wall: int, gaps: tuple[Gap, ...], laid: tuple[Course, ...], more: int
) -> Chain | None:
    """Return the courses on those that are laid; None where none were found."""
    far = inside(work, wall)
    if not more:
        return Chain(0, (), frozenset(), 0, True, 0)
    first = laid[0]
    owns = first[0].at < 0, first[-1].at + first[-1].length > far
    lines = wall_options(work, wall, gaps)[OWNS.index(owns)]
    joints = _joints(laid[-1], far, work.block.joint)
    return fewest_on(budget, joints, lines[len(laid) :], far, work.block)


def _joints(course: Course, far: int, joint: int) -> list[int]:
    """Return the left edges of a laid course's joints, butted ends among them.

    Beside a joint that is wider than planned both edges count.
    """
    found = [0] if course[0].at >= 0 else []
    for one, other in pairwise(course):
        end = one.at + one.length
        if other.at - end <= 2 * joint + _STEP * _STEPS:
            found += sorted({end, other.at - joint})
    end = course[-1].at + course[-1].length
    return [*found, end] if end < far else found


def _moved(course: Course, before: int, far: int) -> Course:
    return tuple(
        piece._replace(at=piece.at + far - before)
        if 2 * piece.at + piece.length > before
        else piece
        for piece in course
    )


def _gap_moved(gap: Gap, before: int, far: int) -> Gap:
    if gap.low + gap.high <= before:
        return gap
    by = far - before
    lintel = gap.lintel and (gap.lintel[0] + by, gap.lintel[1] + by)
    return gap._replace(low=gap.low + by, high=gap.high + by, lintel=lintel)


def _refused(
    budget: Budget,
    work: Job,
    wall: int,
    before: int,
    chain: Chain,
    gaps: tuple[Gap, ...],
    rows: int,
) -> InputError:
    """Return the error for a wall that can't be gone on with, with the nearest size that can."""
    along, size = wall in (FRONT, BACK), inside(work, wall)

    def works(tried: int) -> bool:
        if budget.ended:
            return False
        other = replace(work, length=tried) if along else replace(work, width=tried)
        moved = tuple(_gap_moved(gap, before, tried) for gap in gaps)
        laid = tuple(_moved(course, before, tried) for course in chain.courses[:rows])
        more = len(chain.courses) - rows
        return _above(budget, other, wall, moved, laid, more) is not None

    return place_refused(
        "laid_length" if along else "laid_width",
        size,
        "no bond with what stands was found at this size",
        filter(works, near(size, _STEPS, _STEP)),
        "take down a course, or give a smaller least joint offset or shortest piece",
    )


def second_moved(second: SecondWall, before: int, far: int) -> SecondWall:
    """Return the second wall with its pieces kept to the nearer end; before, far: its lengths."""
    chain = second.chains[WALL]
    courses = tuple(_moved(course, before, far) for course in chain.courses)
    return SecondWall(second.chains | {WALL: chain._replace(courses=courses)})


def gaps_moved(gaps: tuple[Gap, ...], before: int, far: int) -> tuple[Gap, ...]:
    """Return openings that keep to the nearer end of a wall; before, far: its lengths."""
    return tuple(_gap_moved(gap, before, far) for gap in gaps)


def broken_pieces(spec: BasinSpec, courses: Sequence[CourseLaid]) -> tuple[Piece, ...]:
    """Return the pieces that broke, from their courses and numbers such as 2/14, 3/5.

    Raises InputError for what is no such list, and for a piece that there is not.
    """
    found = []
    for part in re.split(r"[,;\s]+", spec.broken.strip()):
        if not part:
            continue
        given = re.fullmatch(r"(\d{1,3})/(\d{1,4})", part)
        if given is None:
            raise refuse(
                "broken", spec.broken, "give course and number, such as 2/14 or 2/14, 3/5, or blank"
            )
        course, number = int(given[1]), int(given[2])
        if not 1 <= course <= len(courses):
            raise refuse("broken", part, f"there are courses 1 to {len(courses)}")
        pieces = courses[course - 1].pieces
        if not 1 <= number <= len(pieces):
            raise refuse("broken", part, f"course {course} has pieces 1 to {len(pieces)}")
        found.append(pieces[number - 1])
    return tuple(found)
