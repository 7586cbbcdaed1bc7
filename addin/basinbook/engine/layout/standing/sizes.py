"""What stands, and the job on the inside size that it measures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job, Row, job, refuse
from basinbook.engine.layout.parts.cap_overhang import cap_sizes
from basinbook.engine.layout.parts.columns.all_columns import check_columns
from basinbook.engine.layout.parts.columns.site import Site
from basinbook.engine.layout.parts.corners import inside
from basinbook.engine.layout.parts.engaged import keys
from basinbook.engine.layout.parts.laid_rows import Sizes
from basinbook.engine.layout.parts.openings import SECOND_WALL, Gap, basin_gaps
from basinbook.engine.layout.parts.second_wall import second_wall_gaps
from basinbook.engine.layout.ticks import as_typed, at_most, metres, text, ticks
from basinbook.engine.layout.unfit import between, near, place_refused
from basinbook.engine.spec_look import place_field, places_of

STEP: Final = ticks(0.0254 / 16)
STEPS: Final = 24


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
        # As it is told: a hair more would be set out anew for nothing.
        size = planned if size in as_typed(planned) else size
        most = work.block.offset // 2
        if abs(size - planned) > most:
            raise place_refused(
                name,
                size,
                f"{at_most(most)} off the planned {text(planned)}, half the joint offset; if "
                "more is off, plan anew",
                between(size, planned - most, planned + most, STEP),
            )
        sizes.append(size)
    return Measured(spec.laid_courses, *sizes)


def job_measured(planned: Job, stands: Measured) -> Job:
    """Return the job at the inside size that is measured.

    What is typed for a place keeps to the nearer corner. Raises InputError where blocks on edge
    of courses still to lay have no place at that size, or columns that are part of walls meet
    others, with the nearest at which all is well.
    """
    try:
        return job_at(planned, stands)
    except InputError as error:
        long = stands._replace(width=planned.width)
        name = "laid_width" if _can_be(planned, long) else "laid_length"
        field = name.removeprefix("laid_")
        size = int(getattr(stands, field))
        sizes = near(size, STEPS, STEP)
        raise place_refused(
            name,
            size,
            f"courses still to lay can't be as asked for at this size: {error}",
            (one for one in sizes if _can_be(planned, stands._replace(**{field: one}))),
            f"change what is asked for, {error.argument}, for the courses still to lay",
        ) from None


def _can_be(planned: Job, stands: Measured) -> bool:
    try:
        job_at(planned, stands)
    except InputError:
        return False
    return True


def job_at(planned: Job, stands: Measured) -> Job:
    """Return what ``job_measured`` does; raises what is wrong with the job at that size."""
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


def gap_moved(gap: Gap, before: int, far: int) -> Gap:
    """Return an opening that keeps to the nearer end of a wall; before, far: its lengths."""
    if gap.low + gap.high <= before:
        return gap
    by = far - before
    lintel = gap.lintel and (gap.lintel[0] + by, gap.lintel[1] + by)
    return gap._replace(low=gap.low + by, high=gap.high + by, lintel=lintel)


def gaps_moved(gaps: tuple[Gap, ...], before: int, far: int) -> tuple[Gap, ...]:
    """Return openings that keep to the nearer end of a wall; before, far: its lengths."""
    return tuple(gap_moved(gap, before, far) for gap in gaps)
