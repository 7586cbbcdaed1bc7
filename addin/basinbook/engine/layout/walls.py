"""The four walls of the basin: which runs through at each corner, for the fewest cuts."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.chain import Chain, Line, fill
from basinbook.engine.layout.corners import inside, wall_spans
from basinbook.engine.layout.rules import BACK, FRONT, LEFT, RIGHT, Job


class Walls(NamedTuple):
    """The filled walls: front, right, back and left."""

    cuts: int
    chains: tuple[Chain, ...]


def wall_lines(job: Job, wall: int, owns: tuple[bool, bool]) -> tuple[Line, ...]:
    """Return the courses of a wall as lines to fill."""
    return tuple(
        Line((span,), row.leaves)
        for span, row in zip(wall_spans(job, wall, owns), job.walls[wall], strict=True)
    )


def solve_walls(job: Job) -> Walls | None:
    """Return the walls with the fewest cuts over all 16 ways to begin at the corners.

    Ties go to fewest different lengths, then to symmetry of the front, then of all walls.
    None where no way has a filling.
    """
    options: dict[tuple[int, bool, bool], Chain | None] = {}
    for wall, start, end in product(range(4), (False, True), (False, True)):
        lines = wall_lines(job, wall, (start, end))
        options[wall, start, end] = fill(lines, inside(job, wall) - job.block.joint, job.block)
    best: tuple[tuple[int, int, int, int], Walls] | None = None
    # Corners: front left, front right, back left, back right; True: front or back runs through.
    for fl, fr, bl, br in product((True, False), repeat=4):
        chains = {
            FRONT: options[FRONT, fl, fr],
            RIGHT: options[RIGHT, not fr, not br],
            BACK: options[BACK, bl, br],
            LEFT: options[LEFT, not fl, not bl],
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
