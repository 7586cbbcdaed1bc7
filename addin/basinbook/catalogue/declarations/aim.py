"""Worksheet functions on what a layout is least in, and what another size would save."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.model import (
    Argument,
    Example,
    Group,
    quantities,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.aim_advice import AimValues, Rates, nearest_better, values_of
from basinbook.engine.layout.wall_advice import Block, BlockSize, Choice
from basinbook.engine.layout.wall_advice import wall_advice as better_wall
from basinbook.engine.spec import BLOCKS, COST, CUTS, FIELDS, LENGTHS, BasinSpec
from basinbook.engine.spec_openings import openings_of
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
# The same after a number.
_COUNTED = {CUTS: "cut pieces", BLOCKS: "blocks", LENGTHS: "different lengths", COST: "in all"}


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
    rest = "; of what is still to lay" if spec.laid_courses else ""
    return (
        f"Least in {_AIMED[spec.aim]}, {'proved' if proved else 'not proved'}: "
        f"{_counts(values)}, cost {values.cost:,.2f}, {values.hours:,.1f} person-hours{rest}"
    )


def _counts(values: AimValues) -> str:
    counted = (
        (values.cuts, "cut piece"), (values.blocks, "block"), (values.lengths, "different length")
    )  # fmt: skip
    return ", ".join(f"{count:,} {what}{'' if count == 1 else 's'}" for count, what in counted)


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
    if spec.laid_courses:
        return "Courses are laid: the inside size stays"
    better = nearest_better(spec, rates)
    if better is None:
        return "No better inside size within half a block"
    size = " x ".join(
        tape_length(side, system) for side in (better.inside_length, better.inside_width)
    )
    values = better.values
    return (
        f"Nearest better: {size} inside: {_counts(values)}; {_saving(better.saved, better.hours)}"
    )


# What some programs take of a function's text at most, and what of it a name may be.
_MOST_TEXT: Final = 255
_MOST_NAME: Final = 30


def _sizes(name: str, what: str) -> Argument:
    given = FIELDS[f"block_{what}"]
    low, high = given.low, given.high
    assert low is not None
    assert high is not None
    return quantities(name, kinds.LENGTH, f"{given.help}; a cell for each", low, high)


def _listed(
    names: Sequence[str | None],
    lengths: Sequence[float | None],
    heights: Sequence[float | None],
    depths: Sequence[float | None],
    prices: Sequence[float | None],
) -> tuple[Block, ...]:
    """Return the blocks of a list; a row with a blank in it is none to choose."""
    columns = {"lengths": lengths, "heights": heights, "depths": depths, "prices": prices}
    for name, column in columns.items():
        if len(column) != len(names):
            raise InputError(
                name, f"a range of {len(column)} cells", f"give as many as names ({len(names)})"
            )
    found = []
    for name, long, high, deep, price in zip(names, *columns.values(), strict=True):
        if name and long and high and deep and price is not None:
            found.append(Block(name, BlockSize(long, high, deep), price))
    return tuple(found)


_LISTED = Group(
    "listed",
    (
        Argument("names", kinds.RANGE, "Names of the blocks there are", cells=kinds.TEXT),
        _sizes("lengths", "length"),
        _sizes("heights", "height"),
        _sizes("depths", "depth"),
        quantities("prices", kinds.RATIO, "Price of each; blank: not looked at", 0.0, 1e5),
    ),
    _listed,
)


@worksheet_function(
    category=_CATEGORY,
    summary="A better block of the list, or one course fewer, and what it saves, in words",
    arguments=(LAYOUT, _LISTED, _RATES),
    result=kinds.TEXT,
    source="Layout of each choice with the fewest cuts; see AIMADVICE",
    examples=(
        # By hand, AIMNOTE's basin: blocks of 10 x 4 x 4 in close its runs of 70 and 50 in, 24 in
        # each of 4 courses: 96 at 2.40 and 7.2 h at 58 are 648.00, where 667.68 and 5.46 h are now.
        Example(
            (
                EXAMPLE_LABELS,
                "[[66],[46],[18],[4],[8]]",
                '[["Plank block"],["Small block"],[""]]',
                "[[18],[10],[null]]",
                "[[4],[4],[null]]",
                "[[8],[4],[null]]",
                "[[5.85],[2.4],[null]]",
                *_EXAMPLE[1:],
            ),
            "Small block, 4 courses, 16 high: 0 cut pieces (now 12); 19.68 less "
            "but 1.7 person-hours more",
        ),
    ),
    details="Each block of the list is laid at the same inside size, in as many courses as hold "
    "the water and come nearest to the wall's height, where that is less than a course away. One "
    "course fewer is tried where it holds water and freeboard; all other inputs stay as they are. "
    "A choice is laid out with the fewest cuts and without openings, as far as a limit of search "
    "goes; with openings, or for another aim, what is saved is about as said. Rows with a blank "
    "are passed over.",
)
def wall_advice(spec: BasinSpec, listed: tuple[Block, ...], rates: Rates, system: str) -> str:
    if spec.laid_courses:
        return "Courses are laid: block and courses stay"
    advice = better_wall(spec, rates, listed)
    said = []
    for choice in (advice.block, advice.courses):
        if choice is not None:
            high = tape_length(choice.height, system)
            gain = _gain(choice, spec.aim, advice.exact)
            said.append(f"{_wall(choice)}, {high} high: {gain}")
    if not said:
        limit = "" if advice.sure else " was found in the limit of search"
        return f"No better block of the list or number of courses{limit}"
    if openings_of(spec):
        said.append("Openings not counted")
    return _short(". ".join(said), _MOST_TEXT)


def _wall(choice: Choice) -> str:
    if choice.block is None:
        return "One course fewer"
    courses = "1 course" if choice.courses == 1 else f"{choice.courses} courses"
    return f"{_short(choice.block.name, _MOST_NAME)}, {courses}"


def _gain(choice: Choice, aim: str, exact: bool) -> str:
    """Return what a choice comes to in the aim, and what it saves; a part of a sentence."""
    digits = ",.2f" if aim == COST else ",.0f"
    aimed, now = format(choice.aimed, digits), format(choice.now, digits)
    about = "" if exact else "about "
    saving = _saving(choice.saved, choice.hours)
    return f"{about}{aimed} {_COUNTED[aim]} (now {now}); {saving}"


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _saving(money: float, hours: float) -> str:
    """Return what is less or more, in money and hours."""
    cost, work = f"{abs(money):,.2f}", f"{abs(hours):,.1f} person-hours"
    of_cost, of_work = ("less" if one >= 0.0 else "more" for one in (money, hours))
    if of_cost == of_work:
        return f"{cost} and {work} {of_work}"
    return f"{cost} {of_cost} but {work} {of_work}"
