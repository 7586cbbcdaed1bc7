"""Module advice: inside sizes near a wanted one at which the walls close with few or no cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor, hypot
from operator import itemgetter
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.solver import Counted, as_built, count_cuts
from basinbook.engine.liner import fit_gap, fit_message
from basinbook.engine.spec import BLOCKS, CUTS, FIELDS, LENGTHS, BasinSpec
from basinbook.engine.spec_openings import without_openings
from basinbook.engine.water.volume import water_volume

# Sizes closer than this are one size on site [m]; the layout's own tick.
_SAME = 1e-3 / 320.0
_MOST_CANDIDATES = 10_000
# Of search: for all sizes together, and for one at most.
_STEPS: Final = LAYOUT_STEPS
_STEPS_A_SIZE: Final = LAYOUT_STEPS // 10


@dataclass(frozen=True)
class Liner:
    """A preformed liner's nominal inside size and the tolerance of its fit [m]."""

    length: float
    width: float
    tolerance: float


@dataclass(frozen=True)
class ModuleSize:
    """An inside size and what it asks for.

    inside_length, inside_width [m]; cuts: cut pieces of block, those of caps and
    at openings not counted [count]; blocks: whole blocks to buy, with cut stock and breakage
    [count]; water [m³]; cost of the blocks [currency]; proved: whether cuts and blocks are proved
    the fewest; liner_fit: "fits" or what is wrong, None
    where no liner was given.
    """

    inside_length: float
    inside_width: float
    cuts: int
    blocks: int
    water: float
    cost: float
    proved: bool
    liner_fit: str | None = None


def module_lengths(wanted: float, span: float, spec: BasinSpec) -> tuple[float, ...]:
    """Return the inside sizes [m] within ``wanted`` ± ``span`` [m] at which some run closes.

    Equations: with module m = block length + joint j, wall thickness t and a whole number n, a
    run closes in whole blocks and one half where
    n · m / 2 = I − j (between two corners), = I + t (one corner block at one end) or
    = I + 2 · t + j (corner blocks at both ends). ``wanted`` itself is always among them.
    t is the block depth, and with courses on edge also the block height (doubled: twice, and a
    joint). Validity: least joint offsets and openings may ask for cuts at these sizes too.
    Source: geometry of runs with alternating corners.
    """
    half = (spec.block_length + spec.joint) / 2.0
    offsets = [-spec.joint]
    for thickness in _thicknesses(spec):
        offsets += [thickness, 2.0 * thickness + spec.joint]
    found = [wanted]
    for more in offsets:
        first = ceil((wanted - span + more - _SAME) / half)
        last = floor((wanted + span + more + _SAME) / half)
        found += [n * half - more for n in range(first, last + 1)]
    return _distinct(found)


def _thicknesses(spec: BasinSpec) -> tuple[float, ...]:
    if not spec.edge_courses.strip():
        return (spec.block_depth,)
    doubled = spec.edge_doubled == "yes"
    return (spec.block_depth, spec.block_height * (1 + doubled) + spec.joint * doubled)


def stepped_lengths(wanted: float, span: float, step: float) -> tuple[float, ...]:
    """Return the sizes [m] at every ``step`` [m] within ``wanted`` ± ``span`` [m]."""
    steps = floor((span + _SAME) / step)
    return _distinct([wanted + k * step for k in range(-steps, steps + 1)])


@lru_cache(maxsize=64)
def module_sizes(
    spec: BasinSpec,
    span: float | None = None,
    count: int = 10,
    block_price: float = 0.0,
    step: float = 0.0,
    liner: Liner | None = None,
) -> tuple[ModuleSize, ...]:
    """Return the best inside sizes near the wanted one of ``spec``, fewest cuts first.

    spec: the wanted basin; all but its inside length and width stays as it is. span: how far
    each may differ [m], up and down; None for one block length. count: sizes to return at most.
    block_price: price of a block [currency]. step: 0 to look only where runs close (see
    ``module_lengths``), or else the step [m] of sizes to look at. liner: a preformed liner to
    check each size against.
    Method: every pair of lengths is laid out, without openings, and its cuts and blocks
    are counted exactly; ranked
    by cuts, then by distance √(ΔL² + ΔW²) from the wanted size, then by blocks. Sizes that can't
    be laid out are left out. Water: V = L · W · depth. Cost: blocks · price.
    Raises InputError for a negative span, step or price, a count below 1, too many sizes to look
    at, and where none can be laid out.
    """
    reach = spec.block_length + spec.joint if span is None else span
    for name, value in (("span", reach), ("step", step), ("block_price", block_price)):
        if value < 0.0:
            raise InputError(name, value, "give 0 or more")
    if count < 1:
        raise InputError("count", count, "give 1 or more")
    if step and (2.0 * reach / step + 1.0) ** 2 > _MOST_CANDIDATES:
        raise InputError("step", step, "give a larger step or a smaller span")
    axes: list[tuple[float, ...]] = []
    for name in ("inside_length", "inside_width"):
        wanted = getattr(spec, name)
        near = stepped_lengths(wanted, reach, step) if step else module_lengths(wanted, reach, spec)
        low, high = FIELDS[name].low or 0.0, FIELDS[name].high or float("inf")
        axes.append(tuple(size for size in near if low <= size <= high))
    if len(axes[0]) * len(axes[1]) > _MOST_CANDIDATES:
        raise InputError("span", reach, "give a smaller span")
    return rank(spec, [(a, b) for a in axes[0] for b in axes[1]], count, block_price, liner)


def rank(
    spec: BasinSpec,
    sizes: Iterable[tuple[float, float]],
    count: int,
    block_price: float = 0.0,
    liner: Liner | None = None,
) -> tuple[ModuleSize, ...]:
    """Return the best of given inside sizes (length, width) [m]; see ``module_sizes``.

    The sizes next to the wanted one are looked at first, as far as the budget of search goes.
    """
    return tuple(
        ModuleSize(
            one.length,
            one.width,
            one.counted.cuts,
            one.blocks,
            water_volume(one.length, one.width, spec.water_depth),
            one.blocks * block_price,
            one.counted.proved,
            _liner_fit(one.length, one.width, liner),
        )
        for one in ranked_sizes(spec, sizes)[:count]
    )


class Ranked(NamedTuple):
    """A size by what it is ranked by: aim, distance from the wanted one, blocks to buy."""

    least: float
    off: int
    blocks: int
    length: float
    width: float
    counted: Counted


def ranked_sizes(spec: BasinSpec, sizes: Iterable[tuple[float, float]]) -> list[Ranked]:
    """Return given inside sizes [m], the best in the spec's aim first; see ``rank``.

    Each is laid out with the fewest cuts: a layout for another aim takes too long for dozens.
    """
    found: list[Ranked] = []
    refused: tuple[BasinSpec, InputError] | None = None
    # An opening costs a few cuts at any size, and seconds where dozens of sizes are compared.
    plain = as_built(replace(without_openings(spec), aim=CUTS, laid_courses=0))
    # So that sizes are the same ones whatever size is wanted.
    sized = _sized(replace(plain, inside_length=1.0, inside_width=1.0))
    budget = Budget(_STEPS)

    def off_by(size: tuple[float, float]) -> int:
        off = hypot(size[0] - spec.inside_length, size[1] - spec.inside_width)
        return round(off / _SAME)

    near = [(off_by(size), *size) for size in sizes]
    for off, length, width in sorted(near, key=itemgetter(0)):
        if budget.ended:
            break
        changed = sized(length, width)
        try:
            with budget.part(_STEPS_A_SIZE):
                counted = count_cuts(changed, budget, hints=False)
        except InputError as error:
            refused = refused or (changed, error)
            continue
        blocks = ceil(counted.blocks * (1.0 + spec.breakage) - 1e-9)
        found.append(Ranked(_least(spec, counted), off, blocks, length, width, counted))
    if refused and not found:
        with budget.part(_STEPS_A_SIZE):
            count_cuts(refused[0], budget)
        raise refused[1]
    return sorted(found)


def _least(spec: BasinSpec, counted: Counted) -> float:
    """Return what a size is ranked by: of blocks and cost what its walls' length doesn't ask for.

    Blocks: those cut up, less the length of the pieces cut from them, in blocks. Cost: that of
    these blocks, of the cuts, and of laying more pieces than whole blocks would be.
    """
    if spec.aim == CUTS:
        return counted.cuts
    if spec.aim == LENGTHS:
        return counted.lengths
    built = counted.cut_length / spec.block_length
    more = counted.blocks - counted.whole - built
    if spec.aim == BLOCKS:
        return more
    cut = spec.cut_cost + spec.blade_wear
    return spec.block_price * more + cut * counted.cuts + spec.laying_cost * (counted.cuts - built)


# Each size as many times as ``count_cuts`` remembers it: most are asked for again with the next
# wanted size.
@lru_cache(maxsize=8)
def _sized(plain: BasinSpec) -> Callable[[float, float], BasinSpec]:
    @lru_cache(maxsize=2048)
    def sized(length: float, width: float) -> BasinSpec:
        return replace(plain, inside_length=length, inside_width=width)

    return sized


def _liner_fit(length: float, width: float, liner: Liner | None) -> str | None:
    if liner is None:
        return None
    gaps = fit_gap(length, liner.length), fit_gap(width, liner.width)
    return fit_message(*gaps, liner.tolerance)


def _distinct(sizes: Iterable[float]) -> tuple[float, ...]:
    """Sizes in rising order, each once; of sizes that are one on site, the first is kept."""
    kept: dict[int, float] = {}
    for size in sizes:
        tick = round(size / _SAME)
        if not kept.keys() & {tick - 1, tick, tick + 1}:
            kept[tick] = size
    return tuple(sorted(kept.values()))
