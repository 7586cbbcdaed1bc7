"""Names of sheets and groups that inputs stand in, and what many inputs have in common."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from basinbook.engine.inputs import Input
from basinbook.engine.spec import (
    AIM,
    BLOCK,
    BOND,
    CAPS,
    COLUMNS,
    ON_EDGE,
    OPENING,
    OPENINGS,
    SECOND_WALL,
    SIZE,
    STANDING,
    TURNED,
)
from basinbook.engine.spec_columns import WALL_COLUMN
from basinbook.engine.spec_look import LOOK, MIXED

FRONT: Final = "Basin"
"""The sheet of the few inputs that a price hangs on first."""
# Sheets of inputs by topic, each printed on one page.
JOB: Final = "Job"
WALLS: Final = "Walls"
LOOKS: Final = "Look and caps"
POSTS: Final = "Columns and second wall"
HOLES: Final = "Openings"
BASE: Final = "Base and parts"
PRICES: Final = "Labour and pricing"
# Sheets that ask for something beside what they work out.
WATER_SHEET: Final = "Water"
LOSSES_SHEET: Final = "Losses and loads"
SIZES_SHEET: Final = "Sizes"
RANGES_SHEET: Final = "Ranges"
QUOTE_SHEET: Final = "Quote"
ORDER_SHEET: Final = "Order"
ORDERED_SHEET: Final = "Ordered"
DELIVERY_SHEET: Final = "Delivery"
# Groups of inputs.
PARTICULARS: Final = "Job"
CHOSEN: Final = "Materials chosen"
WATER_PARTS: Final = "Water effect and parts"
METHOD: Final = "Base, adhesive, liner and filling"
EARTH: Final = "Earth: dig and haul-off"
LIFTING: Final = "Lifting: how block and cap are handled"
PRICING: Final = "Labour and pricing"
SPILLWAY: Final = "Spillway or bowl"
LEVELS: Final = "Water levels"
PLUMBING: Final = "Pump and pipe"
FITTINGS: Final = "Fittings"
BRANCHES: Final = "Outlets on this pump"
CLIMATE: Final = "Losses, leak test and treatment"
SERVICE: Final = "Draining, service and the season"
GROUND: Final = "Loads and service: what you know of block, glue and ground"
SIZES: Final = "Sizes"
RANGES: Final = "Range of the price"
QUOTE: Final = "Number, dates, people"
QUOTE_WORDS: Final = "Words at the start and at the end"
QUOTE_OFFERS: Final = "Options side by side"
QUOTE_ACCEPTED: Final = "Accepted"
ORDER: Final = "Order"
ORDERED: Final = "Next order"
DELIVERY: Final = "Which delivery"
SIZES_COME: Final = "Sizes on arrival: measure some of each before the first is laid"

# The groups of each of the sheets by topic, in the order of the sheets and down each of them.
TOPICS: Final[dict[str, tuple[str, ...]]] = {
    JOB: (PARTICULARS, CHOSEN, SIZE),
    WALLS: (BLOCK, BOND, ON_EDGE, TURNED, STANDING),
    LOOKS: (LOOK, MIXED, CAPS),
    POSTS: (COLUMNS, WALL_COLUMN, SECOND_WALL),
    HOLES: (OPENING, OPENINGS),
    BASE: (METHOD, EARTH, WATER_PARTS),
    PRICES: (PRICING, AIM, LIFTING),
}
TOPIC_OF: Final = {group: sheet for sheet, groups in TOPICS.items() for group in groups}

# People, hours, beads; and amounts of money.
MOST: Final = 100
MOST_MONEY: Final = 1_000_000
MOST_PRICE: Final = 100_000_000

# What inputs need to count, as ``Input.when`` has it.
MOVING: Final = ("Spill_kind",)
ANY_COLUMN: Final = "Columns or Wall_column_1 or Wall_column_2 or Wall_column_3"


def of_group(
    sheet: str, group: str, *given: Input, when: tuple[str, ...] = ()
) -> tuple[Input, ...]:
    """Return inputs of a group; ``when``: what those need to count that say nothing else."""
    return tuple(replace(one, sheet=sheet, group=group, when=one.when or when) for one in given)
