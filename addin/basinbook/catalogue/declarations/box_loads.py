"""Worksheet functions on the walls as a closed box, and the verdict on a basin's loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from basinbook.catalogue.declarations.loads import (
    BLOCK_DENSITY,
    CATEGORY,
    DEPTH,
    EXAMPLE_LAYOUT,
    FRICTION,
    GLUED,
    ROUNDED,
)
from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
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
from basinbook.engine import cautions, kinds
from basinbook.engine.layout.results.column_loads import least_push, slenderest
from basinbook.engine.layout.results.heights import basin_top, top
from basinbook.engine.layout.results.strips import least_overlap, wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.water import loads
from basinbook.engine.water.loads import BoxWalls, Judged, Reason, Verdict
from basinbook.engine.water.volume import GRAVITY
from basinbook.units import shown


def _optional_ratio(name: str, help: str) -> Argument:
    return ratio(name, help, 0.0, 1e9, default=None)


_OWN_DENSITY = quantity(
    "block_density", kinds.DENSITY, "Density of block and cap; blank: not known", 500.0, 3500.0,
    default=None,
)  # fmt: skip
_OWN_FRICTION = ratio(
    "friction", "Friction under the wall; blank: not known", 0.05, 1.0, default=None
)
_OWN_GLUE = quantity(
    "allowable", kinds.PRESSURE, "Allowable shear stress of the glue; blank: not known",
    0.0, 1e8, default=0.0,
)  # fmt: skip
_BOX_SOURCE = (
    "Hillerborg, Strip Method Design Handbook (1996); Timoshenko, Strength of Materials (frame); "
    "EN 1996-1-1:2005, 3.6.2; ACI 318-14, 14.5.2; all from memory"
)
_BOX = (
    "Friction on the base takes what it can; the rest goes sideways through glue, interlocked "
    "corners and block. Openings, columns and second wall are not counted. See docs. "
)


def _box_walls(
    spec: BasinSpec,
    block_density: float,
    friction: float,
    allowable: float,
    glued_share: float,
    soil: str = "",
) -> BoxWalls:
    layout = solve(spec)
    return BoxWalls(
        wall_strips(layout),
        spec.inside_length,
        spec.inside_width,
        spec.water_depth,
        block_density,
        friction,
        allowable,
        glued_share,
        least_overlap(layout) or spec.block_length / 4.0,
        loads.SOILS[soil].bearing if soil else None,
    )


_SOIL = choice(
    "soil", "Class of the soil under the base; blank: not known", tuple(loads.SOILS), default=""
)


@worksheet_function(
    category=CATEGORY,
    summary="How many times the water's load a layout's walls carry as a closed box",
    arguments=(LAYOUT, BLOCK_DENSITY, FRICTION, _OWN_GLUE, GLUED, _SOIL),
    result=Array(
        (
            Column("ratio", kinds.RATIO),
            Column("limited by", kinds.TEXT),
            Column("at course", kinds.COUNT),
        )
    ),
    source=_BOX_SOURCE,
    # Without glue it is the free strip of BEDJOINTLOADS.
    examples=(Example((*EXAMPLE_LAYOUT, "144", "0.5"), "2.05\tsliding\t1"),),
    details=_BOX + ROUNDED,
)
def box_load(
    spec: BasinSpec,
    block_density: float,
    friction: float,
    allowable: float,
    glued_share: float,
    soil: str,
) -> list[tuple[object, ...]]:
    walls = _box_walls(spec, block_density, friction, allowable, glued_share, soil)
    found = loads.box_load(walls)
    return [(loads.rounded_down(found.ratio), found.limit, found.course)]


_DEMAND_COLUMNS = (
    Column("course", kinds.COUNT),
    Column("height", kinds.LENGTH),
    Column("glue, upright", kinds.PRESSURE),
    Column("glue, sideways", kinds.PRESSURE),
    Column("glue at corners", kinds.PRESSURE),
    Column("block bends", kinds.PRESSURE),
)


@worksheet_function(
    category=CATEGORY,
    summary="Stresses that glue and block of each course must carry, without help of the ground",
    arguments=(LAYOUT, BLOCK_DENSITY, GLUED, ROWS),
    result=Array(_DEMAND_COLUMNS),
    source=_BOX_SOURCE,
    examples=(
        # Course 1: 62.428 · 10 / 12 lb/ft² on a frame of 6 × 4.5 ft: corner 52.02 · 29.25 / 12 =
        # 126.8 lb; bending 2 · 6 · 126.8 / (8 / 12)² and pull 52.02 · 3 / (8 / 12).
        Example(
            (*EXAMPLE_LAYOUT, "144"),
            "1\t0\t\t806.994\t128.134\t3,657.888\n"
            "2\t4\t20.809\t484.196\t76.88\t2,194.733\n"
            "3\t8\t5.202\t161.399\t25.627\t731.578",
        ),
    ),
    details="Each stress as if all of the water's load went that one way.",
)
def load_demands(
    spec: BasinSpec, block_density: float, glued_share: float, rows: int | None
) -> list[Sequence[object]]:
    found = loads.demands(_box_walls(spec, block_density, 1.0, 0.0, glued_share))
    table = [
        (each.course, each.height, each.upright, each.turning, each.corner, each.bending)
        for each in found
    ]
    return fitted(table, rows, len(_DEMAND_COLUMNS))


@worksheet_function(
    category=CATEGORY,
    summary="Verdict on a basin's loads in three grades, with what it rests on",
    arguments=(
        LAYOUT,
        _OWN_DENSITY,
        _OWN_FRICTION,
        _OWN_GLUE,
        ratio("glued_share", "Part of the joint that is glued; blank: not known", 0.01,
              default=None),
        _SOIL,
        length("base_thickness", "Thickness of the base; blank is 0", 0.0, 3.0, default=0.0),
        quantity("column_weight", kinds.MASS, "Weight on top of a column; blank for none",
                 0.0, 1e5, default=0.0),
    ),
    result=kinds.TEXT,
    source=(
        "International Building Code (2009), 105.2 and 1807.2.3; International Residential Code "
        "(2009), R404.4; and those of BOXLOAD. Sizes commonly built: common practice, no source"
    ),
    examples=(
        Example(
            (*EXAMPLE_LAYOUT, "144", "0.5", "10 psi", "0.2", "sand"),
            "Within what is commonly built, by the figures typed; that proves nothing. Soft, "
            "sloping or filled ground, water under the wall, or what leans on it needs an "
            "engineer. Check local code.",
        ),
        Example(
            (*EXAMPLE_LAYOUT, "144", "0.5", "", "0.2", "sand"),
            "Needs an engineer: Allowable shear of the glue is blank, type its maker's figure. "
            "Check local code.",
        ),
    ),
    details="The gravest grade and all its reasons: needs an engineer; not judged, where a figure "
    "is missing; look closer; within what is commonly built.",
)  # fmt: skip
def load_verdict(
    spec: BasinSpec,
    block_density: float | None,
    friction: float | None,
    allowable: float,
    glued_share: float | None,
    soil: str,
    base_thickness: float,
    column_weight: float,
    system: str,
) -> str:
    layout = solve(spec)
    strips = wall_strips(layout)
    tops = {
        "wall with caps": basin_top(layout),
        "second wall": top(p for p in layout.pieces if p.part == "second wall"),
        "columns": top(p for p in layout.pieces if p.part.startswith("column")),
    }
    known = {
        "Weight and size of the block, or Density of block": block_density is not None,
        "Wall stands on, or Friction under the wall": friction is not None,
        "Share of the bed that is glued": glued_share is not None,
        "Soil under the base": bool(soil),
    }
    judged = Judged(
        heights=[(name, height + base_thickness) for name, height in tops.items() if height],
        water_depth=spec.water_depth,
        longest=max(spec.inside_length, spec.inside_width),
        thickness=min(course.thickness for strip in strips for course in strip.courses),
        glue=allowable > 0.0,
        loaded_column=tops["columns"] if column_weight else 0.0,
        slender=slenderest(layout),
        unknown=tuple(name for name, given in known.items() if not given),
    )
    if block_density is not None and friction is not None and glued_share is not None:
        walls = _box_walls(spec, block_density, friction, allowable, glued_share, soil)
        judged = replace(
            judged,
            box=loads.box_load(walls),
            bending=max((each.bending for each in loads.demands(walls)), default=None),
        )
    if block_density is not None and tops["columns"]:
        judged = replace(judged, push=least_push(layout, block_density * GRAVITY))
    return _verdict_text(loads.verdict(judged), system)


@worksheet_function(
    category=CATEGORY,
    summary="Verdict in three grades on figures that are typed, of workbooks before LOADVERDICT",
    arguments=(
        length("wall_height", "Height from the bottom of the base to the top", 0.0, 10.0),
        DEPTH,
        _optional_ratio("sliding", "Sliding ratio of the free strip; blank if not worked out"),
        _optional_ratio("overturning", "Overturning ratio of it; blank if not worked out"),
        _optional_ratio("bond", "Bond shear ratio; blank if not worked out"),
        _optional_ratio("bearing", "Bearing ratio; blank if not worked out"),
    ),
    result=kinds.TEXT,
    source=(
        "International Building Code (2009), 105.2 and 1807.2.3; International Residential Code "
        "(2009), R404.4"
    ),
    examples=(
        Example(
            ("50", "20", "1.4", "4"),
            "Needs an engineer: wall from the bottom of the base 50 in, over 48 in "
            "(IBC 2009, 105.2). Check local code.",
        ),
        Example(
            ("24", "12", "1.4", "4"),
            "Look closer: sliding ratio 1.4, under 1.5 (IBC 2009, 1807.2.3). Check local code.",
        ),
    ),
    details="It knows of no corners, columns, second wall or glue: LOADVERDICT does.",
)
def load_note(
    wall_height: float,
    water_depth: float,
    sliding: float | None,
    overturning: float | None,
    bond: float | None,
    bearing: float | None,
    system: str,
) -> str:
    code, typed = "IBC 2009, 1807.2.3", "allowable typed"
    usual = loads.LEAST_STABILITY_RATIO
    judged = Judged(
        heights=[("wall", wall_height)],
        water_depth=water_depth,
        longest=0.0,
        thickness=loads.COMMON_THICKNESS,
        glue=True,
        ratios=(
            ("sliding ratio", sliding, code, usual),
            ("overturning ratio", overturning, code, usual),
            ("bond shear ratio", bond, typed, 1.0),
            ("bearing ratio", bearing, typed, 1.0),
        ),
    )
    return _verdict_text(loads.verdict(judged), system)


def _verdict_text(found: Verdict, system: str) -> str:
    if found.grade == loads.COMMON:
        return (
            "Within what is commonly built, by the figures typed; that proves nothing. Soft, "
            "sloping or filled ground, water under the wall, or what leans on it needs an "
            f"engineer. {cautions.LOCAL}"
        )
    missing = f"{', '.join(found.unknown)} not known" if found.unknown else ""
    reasons = [_reason(each, system) for each in found.reasons]
    said = "; ".join([*reasons, missing] if missing else reasons)
    return f"{found.grade.capitalize()}: {said}. {cautions.LOCAL}"


def _reason(reason: Reason, system: str) -> str:
    if reason.kind is kinds.TEXT:
        return reason.subject
    if reason.kind is kinds.RATIO:
        number, limit = f"{reason.number:g}", f"{reason.limit:g}"
    else:
        number = shown(reason.number, reason.kind, system)
        limit = shown(reason.limit, reason.kind, system)
    return f"{reason.subject} {number}, {reason.side} {limit} ({reason.source})"
