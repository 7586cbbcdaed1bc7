"""The courses that stand, and the sizes at which others bond with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import Job
from basinbook.engine.layout.parts.engaged import keys
from basinbook.engine.layout.parts.laid_rows import Beside, Course, InWall, joints, leaves
from basinbook.engine.layout.results.nearest import UNFIT_STEPS
from basinbook.engine.layout.standing.sizes import STEP, STEPS, Measured, job_at
from basinbook.engine.layout.unfit import near, place_refused

# For one size that may do: most that have a bond show it soon.
_STEPS_A_TRY: Final = LAYOUT_STEPS // 120


def columns_in(work: Job, wall: str, number: int) -> list[InWall]:
    """Return the columns that are part of a wall, with their blocks in one of its courses."""
    return [
        InWall((key.low, key.high), (key.rows[number], key.rows[number] + work.depth))
        for key in keys(work, wall)
    ]


def joint_edges(course: Course, row: Beside, line: Line, block: Rules) -> list[int]:
    """Return the left edges of the joints in a course that stands; line: it, as to be filled.

    Where all pieces of a run keep to one corner, as one alone does, a joint that is wider or
    narrower than planned is where it butts: then both edges of that count.
    """
    edges = joints(course, row, block.joint)
    spans = [line.spans[: line.second or None], *([line.spans[line.second :]] * bool(line.second))]
    for run, stands in zip(spans, leaves(course, row), strict=True):
        edges += [run[0].start - block.joint, stands[0].at - block.joint] * run[0].start_joint
        edges += [run[-1].end, stands[-1].end] * run[-1].end_joint
    return edges


def no_bond(
    budget: Budget,
    planned: Job,
    stands: Measured,
    name: str,
    size: int,
    of_wall: str,
    works: Callable[[Job], bool],
) -> InputError:
    """Return the error for a measured size at which nothing bonds with what stands.

    name: of its input. of_wall: what to say of which wall. works: whether it does at another size;
    at the planned one it does.
    """
    field = name.removeprefix("laid_")
    as_planned: int = getattr(planned, field)
    tries = _up_to(as_planned, size)

    def tried(other: int) -> bool:
        if other == as_planned:
            return True
        try:
            work = job_at(planned, stands._replace(**{field: other}))
        except InputError:
            return False
        with budget.part(min(_STEPS_A_TRY, UNFIT_STEPS // len(tries))):
            return not budget.ended and works(work)

    return place_refused(
        name,
        size,
        f"no bond{of_wall} with what stands was found at this size",
        filter(tried, tries),
        "take down a course, or give a smaller least joint offset or shortest piece",
    )


def _up_to(as_planned: int, size: int) -> list[int]:
    """Return the sizes to try, the nearest first, as far off as that which was planned."""
    off = abs(size - as_planned)
    tries = {as_planned, *near(size, max(STEPS, off // STEP), STEP)}
    return sorted(tries, key=lambda one: (abs(one - size), -one))
