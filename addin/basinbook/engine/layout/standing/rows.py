"""The courses that stand, and the sizes at which others bond with them."""

from __future__ import annotations

from collections.abc import Callable

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job
from basinbook.engine.layout.parts.engaged import keys
from basinbook.engine.layout.parts.laid_rows import Beside, Course, InWall, joints
from basinbook.engine.layout.standing.sizes import STEP, STEPS, Measured, job_at
from basinbook.engine.layout.unfit import near, place_refused


def columns_in(work: Job, wall: str, number: int) -> list[InWall]:
    """Return the columns that are part of a wall, with their blocks in one of its courses."""
    return [
        InWall((key.low, key.high), (key.rows[number], key.rows[number] + work.depth))
        for key in keys(work, wall)
    ]


def joint_edges(course: Course, row: Beside, line: Line, block: Rules) -> list[int]:
    """Return the left edges of the joints in a course that stands; line: it, as to be filled."""
    edges = joints(course, row, block.joint)
    for run in (line.spans[: line.second or None], line.spans[line.second :]):
        edges += [run[0].start - block.joint] * run[0].start_joint
        edges += [run[-1].end] * run[-1].end_joint
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

    name: of its input. of_wall: what to say of which wall. works: whether it does at another size.
    """

    def tried(other: int) -> bool:
        if budget.ended:
            return False
        try:
            work = job_at(planned, stands._replace(**{name.removeprefix("laid_"): other}))
        except InputError:
            return False
        return works(work)

    return place_refused(
        name,
        size,
        f"no bond{of_wall} with what stands was found at this size",
        filter(tried, near(size, STEPS, STEP)),
        "take down a course, or give a smaller least joint offset or shortest piece",
    )
