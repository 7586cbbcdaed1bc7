"""Which other block or number of courses is better for the same basin, and what it would save."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache, partial
from operator import itemgetter
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aim_advice import AimValues, Rates, aim_values, counted_values
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job, job
from basinbook.engine.layout.parts.openings import basin_gaps
from basinbook.engine.layout.parts.second_wall import second_wall_gaps
from basinbook.engine.layout.solver import Counted, as_built, can_be_capped, count_cuts, solve
from basinbook.engine.layout.ticks import metres
from basinbook.engine.spec import BLOCKS, COST, CUTS, LENGTHS, BasinSpec
from basinbook.engine.spec_openings import openings_of, without_openings

# Of search: for all choices together, and for one at most. A cell asks live, so they are few.
_STEPS: Final = 6_000
_STEPS_A_CHOICE: Final = 2_500
_PARTS_OF_A_VALUE: Final = 1e-6


class BlockSize(NamedTuple):
    """Length, height and depth of a block laid flat [m]."""

    length: float
    height: float
    depth: float


class Block(NamedTuple):
    """A block that may be had: its name, size and price [currency]."""

    name: str
    size: BlockSize
    price: float


class Choice(NamedTuple):
    """A block and a number of courses that come to less in the aim than those of the job.

    block: None for that of the job. height: of the basin's block wall [m]. aimed, now: of its
    layout and of the job's, in the aim [count or currency]. saved, hours: what the job's has more
    [currency], [h].
    """

    block: Block | None
    courses: int
    height: float
    aimed: float
    now: float
    saved: float
    hours: float


class WallAdvice(NamedTuple):
    """The best other block, and one course fewer; None where it isn't better.

    sure: whether all choices were looked at within the budget of search. exact: whether what is
    saved is what the layouts for the job's aim, with its openings, really differ by.
    """

    block: Choice | None
    courses: Choice | None
    sure: bool
    exact: bool


def wall_advice(spec: BasinSpec, rates: Rates, listed: Sequence[Block]) -> WallAdvice:
    """Return what is better in the aim than the job's block and number of courses.

    listed: the blocks there are. Each is laid in as many courses as hold water and freeboard and
    come nearest to the wall's height, where that is less than a course away. Of the job's own
    block one course fewer is tried, where that holds the water. One more is never better: without
    its top course it is a layout of the wall as it is. All else stays as it is: inside size,
    openings, columns, hours.
    A choice is laid out with the fewest cuts and without openings, for the sake of time, but must
    have room for them. What it saves is told against the job laid out so. It has to be better than
    the job as it is laid out for its aim too: so it stays better when it is laid out for that aim.
    What takes more than the budget of search is left out, and where some courses stand already
    there is no choice.
    """
    now = aim_values(solve(spec), rates)
    limit = _in_aim(spec, now)
    exact = spec.aim == CUTS and not openings_of(spec)
    if not exact:
        now = counted_values(count_cuts(_plain(spec), hints=False), rates)
        limit = min(limit, _in_aim(spec, now))
    if spec.laid_courses or limit == 0.0:
        return WallAdvice(None, None, True, exact)
    # A block of the same size is better by its price alone.
    own = BlockSize(spec.block_length, spec.block_height, spec.block_depth)
    sizes = dict.fromkeys(block.size for block in listed)
    found = _laid_out(spec, tuple(size for size in sizes if size != own or spec.aim == COST))

    def choice(tried: _Tried, block: Block | None) -> Choice:
        priced = rates if block is None else rates._replace(block_price=block.price)
        values = counted_values(tried.counted, priced)
        saved, hours = now.cost - values.cost, now.hours - values.hours
        aimed = _in_aim(spec, values)
        return Choice(block, tried.courses, tried.height, aimed, limit, saved, hours)

    def best(choices: list[tuple[Choice, BasinSpec]]) -> Choice | None:
        better = [one for one in choices if one[0].aimed < limit - _PARTS_OF_A_VALUE]
        better.sort(key=lambda one: (one[0].aimed, -one[0].saved))
        return next((one for one, built in better if _capped(built)), None)

    fewer = [(choice(one, None), one.built) for one in found.tried if one.size is None]
    others = [
        (choice(one, block), one.built)
        for one in found.tried
        for block in listed
        if block.size == one.size
    ]
    return WallAdvice(best(others), best(fewer), found.sure, exact)


def _in_aim(spec: BasinSpec, values: AimValues) -> float:
    of_aim = {CUTS: values.cuts, BLOCKS: values.blocks, LENGTHS: values.lengths}
    return of_aim.get(spec.aim, values.cost)


class _Tried(NamedTuple):
    """A block size (None: the job's), courses, height of the wall [m] and what they come to.

    built: what was laid out.
    """

    size: BlockSize | None
    courses: int
    height: float
    counted: Counted
    built: BasinSpec


class _Found(NamedTuple):
    """The choices that were laid out, and whether these are all that there are."""

    tried: tuple[_Tried, ...]
    sure: bool


# Another price or rate asks for the same layouts.
@lru_cache(maxsize=64)
def _laid_out(spec: BasinSpec, sizes: tuple[BlockSize, ...]) -> _Found:
    """Return what the choices come to with the fewest cuts, those nearest in height first."""
    # Nothing is kept back for a bond that is hard to find: that is no advice.
    budget = Budget(_STEPS, reserve=0)
    found, sure = [], True
    for size, wall in _walls(job(spec), sizes):
        with budget.part(_STEPS_A_CHOICE):
            built, whole = budget.nothing_left_out(partial(_counted, budget, wall))
            # What was cut short might come out otherwise when it is really laid out.
            if budget.ended:
                built = None
        if built is None:
            sure = sure and whole
            continue
        plain, counted = built
        found.append(_Tried(size, plain.courses, metres(wall.top), counted, plain))
    return _Found(tuple(found), sure)


def _counted(budget: Budget, wall: Job) -> tuple[BasinSpec, Counted] | None:
    """Return what is laid out of a wall, and what it comes to; None where it can't be built."""
    try:
        _check_openings(wall)
        built = _plain(wall.spec)
        return built, count_cuts(built, budget, hints=False)
    except InputError:
        return None


def _plain(spec: BasinSpec) -> BasinSpec:
    """Return a spec to compare: the same as ``ranked_sizes`` makes of it."""
    return as_built(replace(without_openings(spec), aim=CUTS, laid_courses=0))


def _check_openings(wall: Job) -> None:
    """Raise InputError where there is no room for an opening, as when its course is gone."""
    basin_gaps(wall)
    if wall.spec.second_wall == "yes":
        second_wall_gaps(wall)


def _walls(wall: Job, sizes: Sequence[BlockSize]) -> list[tuple[BlockSize | None, Job]]:
    """Return the wall with one course fewer (size None), and walls of other blocks.

    Those that hold the water; of other blocks those about as high, the nearest in height first.
    """
    found: list[tuple[int, BlockSize | None, Job]] = []
    if (courses := len(wall.levels) - 1) > 0:
        with suppress(InputError):
            found.append((-1, None, job(replace(wall.spec, courses=courses))))
    for size in sizes:
        with suppress(InputError):
            other = _about_as_high(wall, size)
            off = abs(wall.top - other.top)
            if off < wall.height + wall.block.joint:
                found.append((off, size, other))
    return [(size, other) for _, size, other in sorted(found, key=itemgetter(0))]


def _about_as_high(wall: Job, size: BlockSize) -> Job:
    """Return the wall of other blocks that holds the water and comes nearest to a wall's height."""
    sizes = {f"block_{side}": getattr(size, side) for side in size._fields}
    least = job(replace(wall.spec, courses=0, **sizes))
    more = round((wall.top - least.top) / (least.height + least.block.joint))
    courses = len(least.levels) + max(0, more)
    return job(replace(least.spec, courses=courses))


@lru_cache(maxsize=64)
def _capped(built: BasinSpec) -> bool:
    return not built.cap_length or can_be_capped(built, Budget(_STEPS, reserve=0))
