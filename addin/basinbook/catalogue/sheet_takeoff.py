"""Worksheet functions on the quantities of a layout."""

from __future__ import annotations

from basinbook.catalogue.model import (
    Argument,
    Example,
    Measure,
    length,
    worksheet_function,
)
from basinbook.catalogue.spec_reader import Rows, read_spec
from basinbook.engine import kinds
from basinbook.engine.layout.solver import solve
from basinbook.engine.takeoff import ITEMS, base_area
from basinbook.engine.takeoff import item as takeoff_item

_CATEGORY = "Take-off"
LABELS = Argument(
    "labels", kinds.RANGE, "Range of input labels, such as Inside length; see the Job sheet"
)
VALUES = Argument("values", kinds.RANGE, "Range of the values beside the labels, the same size")
EXAMPLE_LABELS = (
    '[["Inside length"],["Inside width"],["Block length"],["Block height"],["Block depth"]]'
)


@worksheet_function(
    category=_CATEGORY,
    summary="One quantity of the layout: blocks to buy, cut pieces, sizes, areas, bed length...",
    details="Items: " + ", ".join(found.label for found in ITEMS.values()),
    arguments=(
        Argument("item", kinds.TEXT, "Label of the quantity, such as Blocks to buy"),
        LABELS,
        VALUES,
    ),
    result=kinds.ANY,
    source="Placed layout (see docs/setting_out.md); geometry",
    examples=(
        Example(("Outside length", EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]"), "80 in"),
        Example(
            ("Inside diagonal", EXAMPLE_LABELS, "[[900],[1200],[400],[150],[200]]"),
            "1,500 mm",
            units="metric",
        ),
    ),
)
def takeoff(item: str, labels: Rows, values: Rows, system: str) -> Measure:
    wanted = takeoff_item(item)
    return Measure(wanted.measure(solve(read_spec(labels, values, system))), wanted.kind)


@worksheet_function(
    category=_CATEGORY,
    summary="Area of the tamped base under all that stands on it, with a working margin",
    arguments=(
        length("margin", "Working margin all round", 0.0, 3.0),
        LABELS,
        VALUES,
    ),
    result=kinds.AREA,
    source="Geometry: the footprint grown by the margin, overlaps counted once",
    examples=(
        # (64 + 16 + 12) · (46 + 16 + 12) in² = 92 · 74 / 144 ft²
        Example(("6", EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]"), "47.28 ft²"),
    ),
)
def base_area_(margin: float, labels: Rows, values: Rows, system: str) -> float:
    return base_area(solve(read_spec(labels, values, system)), margin)
