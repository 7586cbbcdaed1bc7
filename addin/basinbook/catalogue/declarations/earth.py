"""Worksheet functions on earth: digging, swell, spoil, and how a base tamps down."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    choice,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import earth, kinds
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.takeoff import base_area

_CATEGORY = "Earth"
_FACTORS = "FM 5-434, Earthmoving Operations (2000), soil conversion factors; from memory"
_SOIL = choice("soil", "What is dug", tuple(earth.SOILS))
_DEPTH = length("depth", "Depth of the dig", 0.0, 6.0)


@worksheet_function(
    category=_CATEGORY,
    summary="Bank volume of a dig from its areas at floor, half depth and ground",
    arguments=(
        quantity("floor", kinds.AREA, "Area of the floor", 0.0, 5000.0),
        quantity("middle", kinds.AREA, "Area at half the depth", 0.0, 5000.0),
        quantity("ground", kinds.AREA, "Area at the ground", 0.0, 5000.0),
        _DEPTH,
    ),
    result=kinds.BULK,
    source="Prismoidal formula of solid geometry",
    # 1 ft deep, 9 by 9 ft all the way down: 81 ft³ = 3 yd³
    examples=(Example(("81", "81", "81", "12"), "3 yd³"),),
)
def prismoid(floor: float, middle: float, ground: float, depth: float) -> float:
    return earth.prismoid(floor, middle, ground, depth)


@worksheet_function(
    category=_CATEGORY,
    summary="Bank volume of the dig for a layout's base",
    arguments=(
        length("margin", "Margin of the floor all round what stands on it", 0.0, 2.0),
        _DEPTH,
        ratio("slope", "Run of the sides to a rise of 1; 0 is upright", 0.0, 3.0),
        LAYOUT,
    ),
    result=kinds.BULK,
    source="Prismoidal formula, with areas of the layout's footprint",
    examples=(
        Example(
            (
                "6",
                "12",
                "0",
                '[["Inside length"],["Inside width"],["Block length"],["Block height"],'
                '["Block depth"],["Courses"],["Water depth"]]',
                "[[64],[46],[18],[4],[8],[2],[2]]",
            ),
            "1.751 yd³",
        ),
    ),
    details="Sides of a dig can fall in at any depth; slope them or shore them as the ground and "
    "local code ask (29 CFR 1926.652). Under or beside a footing ask an engineer.",
)
def dig_volume(margin: float, depth: float, slope: float, spec: BasinSpec) -> float:
    layout = solve(spec)
    return earth.dig_volume(lambda more: base_area(layout, margin + more), depth, slope)


@worksheet_function(
    category=_CATEGORY,
    summary="Loose volume of what was so much in the bank",
    arguments=(quantity("bank", kinds.BULK, "Bank volume", 0.0, 10000.0), _SOIL),
    result=kinds.BULK,
    source=_FACTORS,
    examples=(Example(("4", "common earth"), "5 yd³"),),
)
def swell_volume(bank: float, soil: str) -> float:
    return earth.swollen(bank, soil)


@worksheet_function(
    category=_CATEGORY,
    summary="Diameter and height of a heap of loose earth",
    arguments=(
        quantity("loose", kinds.BULK, "Loose volume", 0.0, 10000.0),
        ratio("repose", "Angle of repose in degrees; blank is 35", 5.0, 60.0, default=35.0),
    ),
    result=Array((Column("diameter", kinds.RUN), Column("height", kinds.RUN))),
    source="Geometry of a cone; Nunnally, Construction Methods and Management, spoil piles",
    examples=(Example(("85.7", "32"), "10.157\t3.173", units="metric"),),
)
def spoil_heap(loose: float, repose: float) -> Sequence[Sequence[float]]:
    return [earth.heap(loose, repose)]


@worksheet_function(
    category=_CATEGORY,
    summary="Compaction factors by base material: low, typical, high, and where they come from",
    arguments=(),
    result=Array(
        (
            Column("material", kinds.TEXT),
            Column("low", kinds.RATIO),
            Column("typical", kinds.RATIO),
            Column("high", kinds.RATIO),
            Column("source", kinds.TEXT),
        )
    ),
    source="As each row says",
    examples=(
        Example(
            (),
            "sand\t1.1\t1.17\t1.25\ttypical: FM 5-434, from memory; range: common practice\n"
            "gravel\t1.1\t1.17\t1.25\ttypical: FM 5-434, from memory; range: common practice\n"
            "stone dust\t1.15\t1.25\t1.35\tcommon practice, no source\n"
            "screenings\t1.15\t1.25\t1.35\tcommon practice, no source\n"
            "crushed stone, graded\t1.2\t1.3\t1.4\tcommon practice, no source\n"
            "crushed stone, one size\t1.05\t1.1\t1.15\tcommon practice, no source",
        ),
    ),
)
def compaction_factors() -> Sequence[Sequence[object]]:
    return [
        (name, each.low, each.typical, each.high, each.source)
        for name, each in earth.TAMPING.items()
    ]


@worksheet_function(
    category=_CATEGORY,
    summary="Usual compaction factors of a base material, and whether one lies outside",
    arguments=(
        Argument("material", kinds.TEXT, "Name of the base material"),
        ratio("factor", "Loose volume over compacted volume", 1.0, 2.0),
    ),
    result=kinds.TEXT,
    source="As COMPACTIONFACTORS says of each material",
    examples=(
        Example(("Stone dust, bulk", "1.25"), "1.15 to 1.35"),
        Example(("Sand, bagged", "1.5"), "1.1 to 1.25; 1.5 lies outside"),
        Example(("Slag", "1.2"), "no usual range known: ask the supplier"),
    ),
)
def compaction_note(material: str, factor: float) -> str:
    return earth.factor_note(material, factor)
