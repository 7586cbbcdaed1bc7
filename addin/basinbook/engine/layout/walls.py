"""The four walls of the basin: which runs through at each corner, for the fewest cuts."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.bond import Line
from basinbook.engine.layout.chain import Chain, fill, least
from basinbook.engine.layout.corners import inside, wall_spans
from basinbook.engine.layout.openings import Gap, with_gap
from basinbook.engine.layout.rules import BACK, FRONT, Job


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


def wall_options(job: Job, wall: int, gap: Gap | None) -> dict[tuple[bool, bool], tuple[Line, ...]]:
    """Return the courses of a wall for each way to own its corners in the first course."""
    return {
        (start, end): with_gap(wall_lines(job, wall, (start, end)), gap)
        for start in (False, True)
        for end in (False, True)
    }


def solve_walls(job: Job, gap: Gap | None) -> Walls | None:
    """Return the walls with the fewest cuts over all 16 ways to begin at the corners.

    Ties go to fewest different lengths, then to symmetry of the front, then of all walls.
    gap: the pipe opening in the back wall. None where no way has a filling.
    """
    options = [wall_options(job, wall, gap if wall == BACK else None) for wall in range(4)]
    counts = [
        {owns: least(lines, inside(job, wall), job.block) for owns, lines in options[wall].items()}
        for wall in range(4)
    ]
    fewest: int | None = None
    ways: list[tuple[tuple[bool, bool], ...]] = []
    # Corners: front left, front right, back left, back right; True: front or back runs through.
    for fl, fr, bl, br in product((True, False), repeat=4):
        # In the order front, right, back, left.
        way = ((fl, fr), (not fr, not br), (bl, br), (not fl, not bl))
        cuts = [counts[wall][owns] for wall, owns in enumerate(way)]
        total = sum(count for count in cuts if count is not None)
        if None in cuts or (fewest is not None and total > fewest):
            continue
        if total != fewest:
            ways.clear()
        fewest = total
        ways.append(way)
    best: tuple[tuple[int, int, int], Walls] | None = None
    for chosen in ways:
        chains = _filled(job, options, chosen)
        sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
        odd = [chain.asymmetry for chain in chains]
        rank = (sizes, odd[FRONT], sum(odd))
        if best is None or rank < best[0]:
            best = (rank, Walls(sum(chain.cuts for chain in chains), chains))
    return None if best is None else best[1]


def _filled(
    job: Job,
    options: list[dict[tuple[bool, bool], tuple[Line, ...]]],
    way: tuple[tuple[bool, bool], ...],
) -> tuple[Chain, ...]:
    found = []
    for wall, owns in enumerate(way):
        chain = fill(options[wall][owns], inside(job, wall), job.block)
        assert chain is not None
        found.append(chain)
    return tuple(found)
