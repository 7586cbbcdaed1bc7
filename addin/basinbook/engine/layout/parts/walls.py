"""The four walls of the basin: which runs through at each corner, for the fewest cuts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Line
from basinbook.engine.layout.bond.corner_choice import Wall, fewest_cuts
from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import FRONT, Job
from basinbook.engine.layout.parts.corners import CORNER_WAYS, OWNS, inside, wall_lines
from basinbook.engine.layout.parts.openings import BasinGaps, Gap, with_gaps


class Walls(NamedTuple):
    """The four filled walls."""

    front: Chain
    right: Chain
    back: Chain
    left: Chain


def wall_options(job: Job, wall: int, gaps: Sequence[Gap]) -> list[tuple[Line, ...]]:
    """Return the courses of a wall for each way to own its corners (``OWNS``)."""
    return [with_gaps(wall_lines(job, wall, owns), gaps, job.block) for owns in OWNS]


def solve_walls(budget: Budget, job: Job, gaps: BasinGaps) -> Walls | None:
    """Return the walls with the fewest cuts over all 16 ways to begin at the corners.

    Ties go to fewest different lengths, then to symmetry of the front, then of all walls.
    gaps: the openings in each. None where no way has a filling, or none was found before the
    budget's end.
    """
    walls = [
        Wall(lines, inside(job, wall))
        for wall in range(4)
        for lines in wall_options(job, wall, gaps[wall])
    ]
    best = fewest_cuts(budget, walls, CORNER_WAYS, job.block)
    return Walls(*min(best, key=_tidiness)) if best else None


def _tidiness(chains: tuple[Chain, ...]) -> tuple[int, int, int]:
    sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
    odd = [chain.asymmetry for chain in chains]
    return sizes, odd[FRONT], sum(odd)
