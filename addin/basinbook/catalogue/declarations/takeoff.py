"""Worksheet functions on the quantities of a layout."""

from __future__ import annotations

from functools import lru_cache

from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    Measure,
    length,
    worksheet_function,
)
from basinbook.catalogue.spec_reader import read_spec
from basinbook.engine import kinds
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.takeoff import ITEMS, base_area
from basinbook.engine.takeoff import item as takeoff_item
from basinbook.units import from_si, unit_of

_CATEGORY = "Take-off"
LABELS = Argument("labels", kinds.RANGE, "Range of input labels, such as Inside length: Job_labels")
VALUES = Argument("values", kinds.RANGE, "Range of the values beside the labels, the same size")
LAYOUT = Group("spec", (LABELS, VALUES), read_spec)
EXAMPLE_LABELS = (
    '[["Inside length"],["Inside width"],["Block length"],["Block height"],["Block depth"]]'
)

# By hand: 4 courses reach 12 + 2 in; pinwheel corners make every run 72 or 54 in, whole blocks
# of 18; 4 courses of 2 (4 + 3) blocks are 56, with 5 % breakage 59.
_EXAMPLE_TABLE = (
    "Courses\t4\t\n"
    "Wall height\t16\tin\n"
    "Wall height with caps\t16\tin\n"
    "Inside length\t64\tin\n"
    "Inside width\t46\tin\n"
    "Inside diagonal\t78.816\tin\n"
    "Outside length\t80\tin\n"
    "Outside width\t62\tin\n"
    "Outside diagonal\t101.213\tin\n"
    "Overall length\t80\tin\n"
    "Overall width\t62\tin\n"
    "Footprint area\t34.444\tft²\n"
    "Wall run\t21\tft\n"
    "Whole blocks\t56\t\n"
    "Cut pieces\t0\t\n"
    "Saw cuts\t0\t\n"
    "Different cut lengths\t0\t\n"
    "Blocks cut up\t0\t\n"
    "Blocks needed\t56\t\n"
    "Blocks to buy\t59\t\n"
    "Pieces laid\t56\t\n"
    "Column pieces\t0\t\n"
    "Second wall pieces\t0\t\n"
    "Column side\t0\tin\n"
    "Column height\t0\tin\n"
    "Caps needed\t0\t\n"
    "Caps to buy\t0\t\n"
    "Cap cut pieces\t0\t\n"
    "Cap saw cuts\t0\t\n"
    "Cap overhang\t0\tin\n"
    "Column caps\t0\t\n"
    "Bed length\t63\tft\n"
    "On-edge length\t0\tft\n"
    "Wall thickness\t8\tin\n"
    "Thinnest course under a thicker one\t0\tin\n"
    "Courses needed for the water\t4\t\n"
    "Shortest cap edge\t0\tin\n"
    "Shortest cap piece allowed\t0\tin\n"
    "Cap joints\t0\t\n"
    "Cap joints over joints\t0\t\n"
    "Access gap height\t0\tin\n"
    "Layouts not proved\t0\t\n"
    "Mitred caps under the shortest piece\t0\t\n"
    "Second wall height\t0\tin\n"
    "Thinnest course beside a thicker one\t0\tin\n"
    "Cuts for the look\t0\t\n"
    "Lintel over pipe opening\t0\t\n"
    "Lintel over opening 2\t0\t\n"
    "Lintel over opening 3\t0\t\n"
    "Lintel over opening 4\t0\t\n"
    "Service cap length\t0\tin\n"
    "Pieces cut round the pipe\t0\t\n"
    "Columns on walls\t0\t\n"
    "Turned blocks\t0\t\n"
    "Ties of the second wall\t0\t\n"
    "Blocks still needed\t56\t"
)


@worksheet_function(
    category=_CATEGORY,
    summary="One quantity of the layout: blocks to buy, cut pieces, sizes, areas, bed length...",
    details="Items: " + ", ".join(found.label for found in ITEMS.values()),
    arguments=(
        Argument("item", kinds.TEXT, "Label of the quantity, such as Blocks to buy"),
        LAYOUT,
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
def takeoff(item: str, spec: BasinSpec) -> Measure | str:
    wanted = takeoff_item(item)
    found = wanted.measure(solve(spec))
    return "" if found is None else Measure(found, wanted.kind)


@worksheet_function(
    category=_CATEGORY,
    summary="All quantities of the layout in one table",
    details="The same as TAKEOFF gives one by one; one call where many are shown.",
    arguments=(LAYOUT,),
    result=Array(
        (
            Column("Item", kinds.TEXT),
            Column("Quantity", kinds.ANY),
            Column("Unit", kinds.TEXT),
        )
    ),
    source="Placed layout (see docs/setting_out.md); geometry",
    examples=(Example((EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]"), _EXAMPLE_TABLE),),
)
def takeoff_table(spec: BasinSpec, system: str) -> tuple[tuple[str, float | str, str], ...]:
    return _quantities(spec, system)


# An option is mostly another question on the same layout as the job's.
@lru_cache(maxsize=64)
def _quantities(spec: BasinSpec, system: str) -> tuple[tuple[str, float | str, str], ...]:
    layout = solve(spec)
    return tuple(
        (
            found.label,
            "" if value is None else from_si(value, found.kind, system),
            unit_of(found.kind, system).label,
        )
        for found, value in ((item, item.measure(layout)) for item in ITEMS.values())
    )


@worksheet_function(
    category=_CATEGORY,
    summary="Area of the tamped base under all that stands on it, with a working margin",
    arguments=(
        length("margin", "Working margin all round", 0.0, 3.0),
        LAYOUT,
    ),
    result=kinds.AREA,
    source="Geometry: the footprint grown by the margin, overlaps counted once",
    examples=(
        # (64 + 16 + 12) · (46 + 16 + 12) in² = 92 · 74 / 144 ft²
        Example(("6", EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]"), "47.28 ft²"),
    ),
)
def base_area_(margin: float, spec: BasinSpec) -> float:
    return base_area(solve(spec), margin)
