"""What a layout comes to in each aim, and what the nearest better inside size would save."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.size_advice import Ranked, module_lengths, ranked_sizes
from basinbook.engine.layout.solver import Counted, solve
from basinbook.engine.spec import COST, BasinSpec

_PARTS_OF_A_VALUE = 1e-6


class Rates(NamedTuple):
    """Prices: a block and the blade's wear for a cut [currency], labour [currency per hour].

    cut_hours, laying_hours: for a saw cut, and to lay a piece.
    """

    block_price: float
    labour_rate: float
    cut_hours: float
    laying_hours: float
    blade_wear: float


class AimValues(NamedTuple):
    """A layout's cut pieces, blocks laid or cut up, lengths of cuts [count], and cost [currency].

    hours: of labour for cutting and laying its blocks.
    """

    cuts: int
    blocks: int
    lengths: int
    cost: float
    hours: float


def _values(cuts: int, blocks: int, lengths: int, whole: int, rates: Rates) -> AimValues:
    hours = rates.cut_hours * cuts + rates.laying_hours * (whole + cuts)
    cost = rates.block_price * blocks + rates.blade_wear * cuts + rates.labour_rate * hours
    return AimValues(cuts, blocks, lengths, cost, hours)


def aim_values(layout: Layout, rates: Rates) -> AimValues:
    """Return what a layout comes to in each aim.

    Equations: hours = cuts · hours of a cut + pieces · hours of laying; cost = blocks · price +
    cuts · wear of the blade + hours · rate. Each cut piece counts as one cut; one that keeps its
    block's own end spares it. Blocks are those laid or cut up, without breakage.
    """
    plan = layout.blocks
    return _values(plan.cut_pieces, plan.needed, plan.different_lengths, plan.whole, rates)


def counted_values(counted: Counted, rates: Rates) -> AimValues:
    """Return the same of a layout that is only counted."""
    return _values(counted.cuts, counted.blocks, counted.lengths, counted.whole, rates)


class Better(NamedTuple):
    """An inside size [m] whose blocks come to less in the aim for what they build.

    values: of its layout. saved: what that of the wanted size has more [currency], [h].
    """

    inside_length: float
    inside_width: float
    values: AimValues
    saved: float
    hours: float


def nearest_better(spec: BasinSpec, rates: Rates) -> Better | None:
    """Return the nearest inside size that is better in the aim; None where there is none.

    Within half a block of the wanted size each way, where runs close. Sizes are compared by what
    ``size_advice`` ranks them by: of blocks and cost what is beyond the length built, so that a
    basin isn't better for being smaller. Each is laid out with the fewest cuts.
    """
    # Another rate ranks the sizes anew only where the cost is what they are ranked by.
    prices = rates if spec.aim == COST else Rates(0.0, 0.0, 0.0, 0.0, 0.0)
    found = _nearest_better(
        replace(
            spec,
            block_price=prices.block_price,
            cut_cost=prices.labour_rate * prices.cut_hours,
            laying_cost=prices.labour_rate * prices.laying_hours,
            blade_wear=prices.blade_wear,
        )
    )
    if found is None:
        return None
    _, best = found
    before, after = (counted_values(one.counted, rates) for one in found)
    return Better(
        best.length, best.width, after, before.cost - after.cost, before.hours - after.hours
    )


@lru_cache(maxsize=64)
def _nearest_better(spec: BasinSpec) -> tuple[Ranked, Ranked] | None:
    """Return the wanted size and the nearest that is better in the aim of a spec with prices."""
    reach = (spec.block_length + spec.joint) / 2.0
    sizes = [
        (long, wide)
        for long in module_lengths(spec.inside_length, reach, spec)
        for wide in module_lengths(spec.inside_width, reach, spec)
    ]
    ranked = ranked_sizes(spec, sizes)
    wanted = next((one for one in ranked if one.off == 0), None)
    if wanted is None:
        return None
    less = [one for one in ranked if one.least < wanted.least - _PARTS_OF_A_VALUE]
    return (wanted, min(less, key=lambda one: (one.off, one.least))) if less else None


def values_of(spec: BasinSpec, rates: Rates) -> tuple[AimValues, bool]:
    """Return what the layout of a spec comes to, and whether its aim is proved to be met best."""
    layout = solve(spec)
    return aim_values(layout, rates), layout.least
