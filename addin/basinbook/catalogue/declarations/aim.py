"""Worksheet functions on what a layout is least in, and what another size would save."""

from __future__ import annotations

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.model import Example, Group, ratio, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.layout.aim_advice import Rates, nearest_better, values_of
from basinbook.engine.spec import BLOCKS, COST, CUTS, LENGTHS, BasinSpec
from basinbook.units import tape_length

_CATEGORY = "Setting-out"
_RATES = Group(
    "rates",
    (
        ratio("block_price", "Price of a block, in your currency", 0.0, 1e5, default=0.0),
        ratio("labour_rate", "Price of a person-hour", 0.0, 1e5, default=0.0),
        ratio("cut_hours", "Person-hours for a saw cut", 0.0, 100.0, default=0.0),
        ratio("laying_hours", "Person-hours to lay a piece", 0.0, 100.0, default=0.0),
        ratio("blade_wear", "Wear of the blade for a cut", 0.0, 1e5, default=0.0),
    ),
    Rates,
)
_EXAMPLE = ("[[66],[46],[18],[4],[8]]", "5.85", "58", "0.08", "0.075")
_AIMED = {
    CUTS: "cut pieces",
    BLOCKS: "blocks",
    LENGTHS: "different lengths of cuts",
    COST: "cost of block, cutting and laying",
}


@worksheet_function(
    category=_CATEGORY,
    summary="What the layout is least in, and what it comes to in each aim, in words",
    arguments=(LAYOUT, _RATES),
    result=kinds.TEXT,
    source="Placed layout; bounds by prices of pieces (see docs/setting_out.md)",
    examples=(
        # 48 whole blocks and 12 cuts of 12 and 14 in, one from a block of 18 in. By hand: 60 blocks
        # at 5.85 are 351; 12 cuts of 0.08 h and 60 pieces of 0.075 h are 5.46 h, at 58 316.68.
        Example(
            (EXAMPLE_LABELS, *_EXAMPLE),
            "Least in cut pieces, proved: 12 cut pieces, 60 blocks, 2 different lengths, cost "
            "667.68, 5.5 person-hours",
        ),
    ),
    details="Blocks are those laid or cut up, without breakage; the cost is that of these, of "
    "labour to cut and lay them, and of the blade. Each cut piece counts as one cut. Caps are not "
    "in it.",
)
def aim_note(spec: BasinSpec, rates: Rates) -> str:
    values, proved = values_of(spec, rates)
    return (
        f"Least in {_AIMED[spec.aim]}, {'proved' if proved else 'not proved'}: "
        f"{values.cuts:,} cut pieces, {values.blocks:,} blocks, "
        f"{values.lengths:,} different lengths, cost {values.cost:,.2f}, "
        f"{values.hours:,.1f} person-hours"
    )


@worksheet_function(
    category=_CATEGORY,
    summary="The nearest inside size that is better in the aim, and what it saves, in words",
    arguments=(LAYOUT, _RATES),
    result=kinds.TEXT,
    source="Exact layout of each size near the wanted one; see MODULESIZES",
    examples=(
        # By hand: 64 x 46 in is 80 x 62 in outside, whose runs are 72 and 54 in: no cuts, and 4
        # courses of 2 (4 + 3) blocks: 327.60 and 4.2 h, 571.20 in all.
        Example(
            (EXAMPLE_LABELS, *_EXAMPLE),
            "Nearest better: 64 x 46 inside: 0 cut pieces, 56 blocks, 0 different lengths; "
            "96.48 and 1.3 person-hours less",
        ),
    ),
    details="Within half a block each way, where runs close, laid out with the fewest cuts and "
    "without openings. With the aim blocks or cost, sizes are compared by what is beyond the "
    "length of wall that they have, so that none is better for being smaller; what is saved is "
    "in all.",
)
def aim_advice(spec: BasinSpec, rates: Rates, system: str) -> str:
    better = nearest_better(spec, rates)
    if better is None:
        return "No better inside size within half a block"
    size = " x ".join(
        tape_length(side, system) for side in (better.inside_length, better.inside_width)
    )
    values = better.values
    return (
        f"Nearest better: {size} inside: {values.cuts:,} cut pieces, {values.blocks:,} blocks, "
        f"{values.lengths:,} different lengths; {_less(better.saved, '.2f')} and "
        f"{_less(better.hours, '.1f')} person-hours{_word(better.saved, better.hours)}"
    )


def _less(saved: float, decimals: str) -> str:
    return f"{abs(saved):,{decimals}}"


def _word(money: float, hours: float) -> str:
    """Return whether both are less, or more; where they differ, which is which."""
    if (money >= 0.0) == (hours >= 0.0):
        return " less" if money >= 0.0 else " more"
    return (
        " (the cost less, the hours more)" if money >= 0.0 else " (the cost more, the hours less)"
    )
