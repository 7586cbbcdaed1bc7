"""The four walls of the basin: which runs through at each corner, for the fewest cuts."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.bond import Line
from basinbook.engine.layout.chain import Chain, fill
from basinbook.engine.layout.corners import inside, wall_spans
from basinbook.engine.layout.openings import Gap, with_gap
from basinbook.engine.layout.rules import BACK, FRONT, LEFT, RIGHT, Job


class Walls(NamedTuple):
    """The filled walls, in the order front, right, back, left, and their cut pieces."""

    cuts: int
    chains: tuple[Chain, ...]


def wall_lines(job: Job, wall: int, owns: tuple[bool, bool]) -> tuple[Line, ...]:
    """Return the courses of a wall as lines to fill."""
    return tuple(
        Line((span,), row.leaves)
        for span, row in zip(wall_spans(job, wall, owns), job.walls[wall], strict=True)
    )


def wall_options(job: Job, wall: int, gap: Gap | None) -> dict[tuple[bool, bool], Chain | None]:
    """Return the filled wall for each way to own its corners in the first course."""
    mirror = inside(job, wall) - job.block.joint
    return {
        (start, end): fill(with_gap(wall_lines(job, wall, (start, end)), gap), mirror, job.block)
        for start in (False, True)
        for end in (False, True)
    }


def solve_walls(job: Job, gap: Gap | None) -> Walls | None:
    """Return the walls with the fewest cuts over all 16 ways to begin at the corners.

    Ties go to fewest different lengths, then to symmetry of the front, then of all walls.
    gap: the pipe opening in the back wall. None where no way has a filling.
    """
    options = [wall_options(job, wall, gap if wall == BACK else None) for wall in range(4)]
    best: tuple[tuple[int, int, int, int], Walls] | None = None
    # Corners: front left, front right, back left, back right; True: front or back runs through.
    for fl, fr, bl, br in product((True, False), repeat=4):
        chains = {
            FRONT: options[FRONT][fl, fr],
            RIGHT: options[RIGHT][not fr, not br],
            BACK: options[BACK][bl, br],
            LEFT: options[LEFT][not fl, not bl],
        }
        found = tuple(chain for chain in chains.values() if chain is not None)
        if len(found) < 4:
            continue
        cuts = sum(chain.cuts for chain in found)
        if best is not None and cuts > best[0][0]:
            continue
        sizes = len(frozenset().union(*(chain.sizes for chain in found)))
        odd = [chain.asymmetry for chain in found]
        rank = (cuts, sizes, odd[FRONT], sum(odd))
        if best is None or rank < best[0]:
            best = (rank, Walls(cuts, found))
    return None if best is None else best[1]
