"""The four walls of the basin: which runs through at each corner, for the fewest cuts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import repeat
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.bond.corner_choice import (
    Chosen,
    Group,
    fewest_cuts,
    none_has_fewer,
)
from basinbook.engine.layout.bond.whole_wall import Chain, Wall
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job
from basinbook.engine.layout.parts.corners import (
    CORNER_WAYS,
    OWNS,
    WallShape,
    leaf_by_leaf,
    leaf_ways,
    wall_lines,
    wall_shape,
)
from basinbook.engine.layout.parts.engaged import Key, keys, with_columns
from basinbook.engine.layout.parts.mixed import stand_in_the_way
from basinbook.engine.layout.parts.openings import BasinGaps, Gap, with_gaps
from basinbook.engine.layout.parts.turned import Open, Tail, open_back, with_turned


class Walls(NamedTuple):
    """The four filled walls."""

    front: Chain
    right: Chain
    back: Chain
    left: Chain


def wall_options(
    job: Job, wall: int, gaps: Sequence[Gap], open_to: Open | None = None
) -> tuple[Wall, ...]:
    """Return a wall for each way to own its corners (``OWNS``, or ``leaf_ways``).

    open_to: where turned blocks may lie.
    """
    columns = keys(job, WALL_NAMES[wall])
    shape, by_leaf = wall_shape(job, wall), leaf_by_leaf(job)
    return _options(shape, by_leaf, tuple(gaps), columns, open_to, job.depth)


# Walls that face each other, and walls of the basins laid out before, are often alike.
@lru_cache(maxsize=128)
def _options(
    shape: WallShape,
    by_leaf: bool,
    gaps: tuple[Gap, ...],
    columns: tuple[Key, ...],
    open_to: Open | None,
    depth: int,
) -> tuple[Wall, ...]:
    outer: Sequence[tuple[bool, bool] | None] = OWNS if by_leaf else (None,)
    block = shape.block
    return tuple(
        Wall(
            with_turned(
                with_columns(
                    with_gaps(wall_lines(shape, owns, other), gaps, block), columns, block, depth
                ),
                open_to,
                depth,
            ),
            shape.far,
        )
        for owns in OWNS
        for other in outer
    )


def basin_group(job: Job, gaps: BasinGaps, open_to: Open | None = None) -> Group:
    """Return the four walls as they are to be filled, with all ways to begin at the corners.

    open_to: where turned blocks may lie in the back wall.
    """
    walls = [
        option
        for wall in range(4)
        for option in wall_options(job, wall, gaps[wall], open_to if wall == BACK else None)
    ]
    ways = leaf_ways() if leaf_by_leaf(job) else CORNER_WAYS
    return Group(tuple(walls), tuple(tuple(way) for way in ways))


def solve_walls(
    budget: Budget, job: Job, gaps: BasinGaps, tails: Iterable[Tail] = ()
) -> Walls | None:
    """Return the walls with the fewest cuts over all 16 ways to begin at the corners.

    Ties go to fewest different lengths, then to symmetry of the front, then of all walls.
    gaps: the openings in each. tails: of turned blocks of the second wall, which those of the back
    wall keep clear of. None where no way has a filling, a block on edge between flat ones stands
    in the way of an opening, or none was found before the budget's end.
    """
    return solved_walls(budget, job, gaps, tails).walls


class Solved(NamedTuple):
    """Filled walls, None for none, and what they were chosen from."""

    walls: Walls | None
    chosen: Chosen | None


def solved_walls(budget: Budget, job: Job, gaps: BasinGaps, tails: Iterable[Tail] = ()) -> Solved:
    """Return what ``solve_walls`` does, with what it came to know."""
    if any(map(stand_in_the_way, job.walls, gaps, repeat(job.block))):
        return Solved(None, None)
    group, block = _to_fill(job, gaps, tails)
    best = fewest_cuts(budget, *group, block)
    return Solved(Walls(*min(best.ways, key=_tidiness)) if best.ways else None, best)


def proved_least(budget: Budget, job: Job, gaps: BasinGaps, before: Chosen, cuts: int) -> bool:
    """Return whether it is proved that no walls have fewer cuts, beside no second wall at all.

    before: the walls beside one.
    """
    group, block = _to_fill(job, gaps, ())
    return none_has_fewer(budget, group, block, before, cuts)


def _to_fill(job: Job, gaps: BasinGaps, tails: Iterable[Tail]) -> tuple[Group, Rules]:
    open_to = open_back(job, gaps[BACK], tails)
    block = job.block._replace(turned=job.depth) if open_to else job.block
    return basin_group(job, gaps, open_to), block


def _tidiness(chains: tuple[Chain, ...]) -> tuple[int, int, int]:
    sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
    odd = [chain.asymmetry for chain in chains]
    return sizes, odd[FRONT], sum(odd)
