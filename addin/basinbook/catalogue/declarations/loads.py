"""Worksheet functions on the loads of water and wall, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    choice,
    count,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import cautions, kinds
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.heights import basin_top, top
from basinbook.engine.layout.results.strips import least_overlap, wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.water import loads
from basinbook.engine.water.balance import GRAVITY
from basinbook.engine.water.loads import (
    BearingPressure,
    BoxWalls,
    JointLoad,
    Judged,
    Reason,
    Verdict,
)
from basinbook.engine.water.volume import WATER_DENSITY
from basinbook.units import shown

_CATEGORY = "Loads"
_CAUTIONS = "Cautions"
_STATICS = "Hydrostatics and statics of a wall strip that stands alone"
_STRIP = (
    "Per length of wall, as if the wall stood alone: corners and columns are not counted, nor is "
    "water under the wall. A ratio is no proof of stability: see LOADVERDICT."
)
_ROUNDED = "Ratios are rounded down to hundredths. "
_DEPTH = length("water_depth", "Depth of the water against the wall", 0.0, 3.0)
_WATER_DENSITY = quantity(
    "density", kinds.DENSITY, "Density of the water; blank is 62.4 lb/ft³ (1000 kg/m³)",
    900.0, 1100.0, default=WATER_DENSITY,
)  # fmt: skip
_BLOCK_DENSITY = quantity(
    "block_density", kinds.DENSITY, "Density of block and cap, cores counted as empty",
    500.0, 3500.0,
)  # fmt: skip
_THICKNESS = length("thickness", "Thickness of the wall", 0.02, 1.0)
_CAP_DEPTH = length("cap_depth", "Front-to-back size of the cap", 0.0, 1.0, default=0.0)
_CAP_HEIGHT = length("cap_height", "Thickness of the cap", 0.0, 0.4, default=0.0)
_FRICTION = ratio("friction", "Coefficient of friction under the wall", 0.05, 1.0)
_GLUED = ratio(
    "glued_share", "Part of the joint that glue covers; blank is 100%", 0.01, default=1.0
)


def _force(name: str, help: str, low: float = 0.0) -> Argument:
    return quantity(name, kinds.FORCE_PER_LENGTH, help, low, 1e6)


_THRUST = _force("thrust", "Thrust of the water per length, as from WALLTHRUST")
_WEIGHT = _force("weight", "Weight of the wall per length, as from WALLWEIGHT")
_MOMENT = quantity(
    "moment", kinds.MOMENT_PER_LENGTH, "Moment per length, as from WATERMOMENT", 0.0, 1e6
)
_EXAMPLE_LAYOUT = (
    EXAMPLE_LABELS[:-1] + ',["Water depth"]]',
    "[[64],[46],[18],[4],[8],[12]]",
)


_SHEAR = Group("shear", (_THRUST, _THICKNESS, _GLUED), loads.bond_shear)


def _pressure(name: str, help: str, low: float = 0.0, high: float = 1e8) -> Argument:
    return quantity(name, kinds.PRESSURE, help, low, high)


@worksheet_function(
    category=_CATEGORY,
    summary="Pressure of still water at a depth",
    arguments=(_DEPTH, _WATER_DENSITY),
    result=kinds.PRESSURE,
    source="Hydrostatics",
    # 1000 · 9.80665 · 0.3 Pa
    examples=(
        Example(("300",), "2.942 kPa", units="metric"),
        Example(("12",), "62.43 lb/ft²"),
    ),
)
def water_pressure(water_depth: float, density: float) -> float:
    return loads.water_pressure(water_depth, density)


@worksheet_function(
    category=_CATEGORY,
    summary="Pressure by depth, for a chart",
    arguments=(_DEPTH, count("steps", "Equal steps; blank is 10", 1, 200, default=10)),
    result=Array((Column("depth", kinds.LENGTH), Column("pressure", kinds.PRESSURE))),
    source="Hydrostatics",
    examples=(Example(("300", "2"), "0\t0\n150\t1.471\n300\t2.942", units="metric"),),
)
def pressure_table(water_depth: float, steps: int) -> Sequence[Sequence[float]]:
    return loads.pressure_table(water_depth, steps)


@worksheet_function(
    category=_CATEGORY,
    summary="Thrust of the water on a wall, per length",
    arguments=(_DEPTH, _WATER_DENSITY),
    result=kinds.FORCE_PER_LENGTH,
    source=_STATICS,
    # 62.43 lb/ft³ · (1 ft)² / 2
    examples=(Example(("12",), "31.21 lb/ft"), Example(("300",), "0.4413 kN/m", units="metric")),
    details="It acts at a third of the depth above the floor. " + _STRIP,
)
def wall_thrust(water_depth: float, density: float) -> float:
    return loads.wall_thrust(water_depth, density)


@worksheet_function(
    category=_CATEGORY,
    summary="Thrust of the water on a whole wall",
    arguments=(_DEPTH, length("wall_length", "Inside length of the wall", 0.05, 30.0)),
    result=kinds.FORCE,
    source="Hydrostatics",
    examples=(Example(("12", "48"), "124.9 lbf"),),
)
def wall_force(water_depth: float, wall_length: float) -> float:
    return loads.wall_force(water_depth, wall_length)


@worksheet_function(
    category=_CATEGORY,
    summary="Moment of the water's thrust about the floor, per length",
    arguments=(_DEPTH, _WATER_DENSITY),
    result=kinds.MOMENT_PER_LENGTH,
    source=_STATICS,
    # 31.21 lb/ft · 1 ft / 3
    examples=(Example(("12",), "10.4 lb·ft/ft"),),
    details=_STRIP,
)
def water_moment(water_depth: float, density: float) -> float:
    return loads.water_moment(water_depth, density)


@worksheet_function(
    category=_CATEGORY,
    summary="Weight of a wall with its cap, per length",
    arguments=(
        _THICKNESS,
        length("wall_height", "Height of the block wall without cap", 0.02, 5.0),
        _BLOCK_DENSITY,
        _CAP_DEPTH,
        _CAP_HEIGHT,
    ),
    result=kinds.FORCE_PER_LENGTH,
    source="Definition of weight",
    # 135 lb/ft³ · (8 in · 16 in + 10 in · 2 in) / 144 in² per ft²
    examples=(Example(("8", "16", "135", "10", "2"), "138.75 lb/ft"),),
)
def wall_weight(
    thickness: float,
    wall_height: float,
    block_density: float,
    cap_depth: float,
    cap_height: float,
) -> float:
    return loads.wall_weight(thickness, wall_height, block_density, cap_depth, cap_height)


@worksheet_function(
    category=_CATEGORY,
    summary="Density of a block from its weight and size",
    arguments=(
        quantity("mass", kinds.MASS, "Weight of a block", 0.05, 5000.0),
        length("block_length", "Length of the block", 0.02, 3.0),
        length("block_height", "Height of the block", 0.02, 3.0),
        length("block_depth", "Depth of the block", 0.02, 3.0),
    ),
    result=kinds.DENSITY,
    source="Definition",
    # 46 lb in 18 · 4 · 8 / 1728 = 1/3 ft³
    examples=(Example(("46", "18", "4", "8"), "138 lb/ft³"),),
    details="Of the outside size: cores count as empty block.",
)
def block_density(
    mass: float, block_length: float, block_height: float, block_depth: float
) -> float:
    return loads.block_density(mass, block_length, block_height, block_depth)


@worksheet_function(
    category=_CATEGORY,
    summary="Coefficient of friction of a block wall on what it stands on",
    arguments=(choice("base", "What the lowest course lies on", tuple(loads.FRICTIONS)),),
    result=kinds.RATIO,
    source="NAVFAC Design Manual 7.02 (1986), chapter 3, table 1",
    examples=(Example(("screenings or medium sand",), "0.45"),),
    details="The lower end of the table's range for mass concrete; masonry has the same. On a "
    "slab: hard stone on hard stone. Not for mud, organic soil or a wet clay.",
)
def base_friction(base: str) -> float:
    return loads.FRICTIONS[base]


@worksheet_function(
    category=_CATEGORY,
    summary="Friction under the wall over the thrust of the water",
    arguments=(_WEIGHT, _FRICTION, _THRUST),
    result=kinds.RATIO,
    source=_STATICS,
    # 0.35 · 120 / 30
    examples=(Example(("120", "0.35", "30"), "1.4"),),
    details=_ROUNDED + _STRIP,
)
def sliding_ratio(weight: float, friction: float, thrust: float) -> float:
    return loads.rounded_down(loads.sliding_ratio(weight, friction, thrust))


@worksheet_function(
    category=_CATEGORY,
    summary="Moment of the wall's weight about the outer toe over that of the water",
    arguments=(
        _WEIGHT,
        length("lever", "Weight's distance from the outer toe: half the thickness", 0.005, 2.0),
        _MOMENT,
    ),
    result=kinds.RATIO,
    source=_STATICS,
    # 120 lb/ft · 4 in / 10 lb·ft/ft = 40 / 10
    examples=(Example(("120", "4", "10"), "4"),),
    details=_ROUNDED + _STRIP,
)
def overturning_ratio(weight: float, lever: float, moment: float) -> float:
    return loads.rounded_down(loads.overturning_ratio(weight, lever, moment))


@worksheet_function(
    category=_CATEGORY,
    summary="Mean shear stress in the glue of a bed joint",
    arguments=(_SHEAR,),
    result=kinds.PRESSURE,
    source=_STATICS,
    # 30 lb/ft over 8 in · 50 %
    examples=(Example(("30", "8", "50%"), "90 lb/ft²"),),
    details="The thrust is that of the water above the joint; friction is not counted.",
)
def bond_shear(shear: float) -> float:
    return shear


@worksheet_function(
    category=_CATEGORY,
    summary="Allowable shear stress of the glue over that in the joint",
    arguments=(
        _pressure("allowable", "Allowable shear stress from the glue's maker; text may say 10 psi"),
        _SHEAR,
    ),
    result=kinds.RATIO,
    source=_STATICS,
    # 10 psi = 1,440 lb/ft² over 90 lb/ft²
    examples=(Example(("10 psi", "30", "8", "50%"), "16"),),
    details=_ROUNDED + _STRIP,
)
def bond_shear_ratio(allowable: float, shear: float) -> float:
    return loads.rounded_down(loads.bond_ratio(allowable, shear))


_JOINTS = Group(
    "joints",
    (
        _THICKNESS,
        length("course_height", "Height of a course", 0.02, 0.6),
        count("courses", "Number of courses", 1, 40),
        _DEPTH,
        _BLOCK_DENSITY,
        _FRICTION,
        quantity(
            "allowable", kinds.PRESSURE, "Allowable shear stress of the glue; blank for none",
            0.0, 1e8, default=0.0,
        ),
        _GLUED,
        _CAP_DEPTH,
        _CAP_HEIGHT,
    ),
    loads.joint_loads,
)  # fmt: skip
_JOINT_COLUMNS = (
    Column("course", kinds.COUNT),
    Column("joint height", kinds.LENGTH),
    Column("thrust above", kinds.FORCE_PER_LENGTH),
    Column("sliding ratio", kinds.RATIO),
    Column("overturning ratio", kinds.RATIO),
    Column("shear in glue", kinds.PRESSURE),
    Column("bond ratio", kinds.RATIO),
    Column("pressed all over", kinds.TEXT),
)


@worksheet_function(
    category=_CATEGORY,
    summary="What each bed joint of an even wall carries, from the base up",
    arguments=(_JOINTS, ROWS),
    result=Array(_JOINT_COLUMNS),
    source=_STATICS,
    examples=(
        # Joint 1 lies on the base unglued. Joint 2: 150 mm of water, 110.3 N/m; 200 · 150 mm at
        # 2000 kg/m³ weigh 588.4 N/m:
        # 0.5 · 588.4 / 110.3 = 2.667; 588.4 · 0.1 / (110.3 · 0.05) = 10.67
        Example(
            ("200", "150", "2", "300", "2000", "0.5", "50 kPa"),
            "1\t0\t0.441\t1.33\t2.66\t\t\tno\n2\t150\t0.11\t2.66\t10.66\t0.552\t90.64\tyes",
            units="metric",
        ),
    ),
    details="All courses alike; see BEDJOINTLOADS for a layout's own. Blank where no water stands "
    "above the joint. " + _ROUNDED + _STRIP,
)
def course_loads(joints: Sequence[JointLoad], rows: int | None) -> list[Sequence[object]]:
    return _joint_table(joints, rows)


def _joint_table(joints: Sequence[JointLoad], rows: int | None) -> list[Sequence[object]]:
    table = [
        (
            joint.course,
            joint.height,
            joint.thrust,
            _rounded(joint.sliding),
            _rounded(joint.overturning),
            joint.shear,
            _rounded(joint.bond),
            "yes" if joint.pressed else "no",
        )
        for joint in joints
    ]
    return fitted(table, rows, len(_JOINT_COLUMNS))


def _rounded(ratio: float | None) -> float | None:
    return None if ratio is None else loads.rounded_down(ratio)


_WALL_MATERIAL = (
    _BLOCK_DENSITY,
    _FRICTION,
    quantity(
        "allowable", kinds.PRESSURE, "Allowable shear stress of the glue; blank for none",
        0.0, 1e8, default=0.0,
    ),
    _GLUED,
)  # fmt: skip
_TRUE_COURSES = (
    "Each course of the layout is as thick and high as it is laid, on edge or flat, and caps lie "
    "where they lie; the least favourable of the four walls. A joint is as wide as both courses "
    "touch; the wall tips about the outer edge of that, so the lever of the weight above is the "
    "distance of its centre from there. Where that centre is outside, the ratio is 0. "
)


@worksheet_function(
    category=_CATEGORY,
    summary="What each bed joint of a layout's walls carries, from the base up",
    arguments=(LAYOUT, *_WALL_MATERIAL, ROWS),
    result=Array(_JOINT_COLUMNS),
    source=_STATICS,
    examples=(
        # 12 in of water against 4 courses of 8 · 4 in at 144 lb/ft³, 32 lb/ft each. Lowest joint:
        # 0.5 · 128 / 31.21 = 2.05 and 128 · 4 / (31.21 · 4) = 4.1; the next has 8 in of water:
        # 62.428 · (8 / 12)² / 2 = 13.873 lb/ft, and 0.5 · 96 / 13.873 = 3.45999.
        Example(
            (*_EXAMPLE_LAYOUT, "144", "0.5", "", "", "4"),
            "1\t0\t31.214\t2.05\t4.1\t\t\tyes\n"
            "2\t4\t13.873\t3.45\t10.37\t20.809\t\tyes\n"
            "3\t8\t3.468\t9.22\t55.35\t5.202\t\tyes\n"
            "4\t12\t0\t\t\t0\t\tyes",
        ),
    ),
    details=_TRUE_COURSES + "Blank where no water stands above the joint. " + _ROUNDED + _STRIP,
)
def bed_joint_loads(
    spec: BasinSpec,
    block_density: float,
    friction: float,
    allowable: float,
    glued_share: float,
    rows: int | None,
) -> list[Sequence[object]]:
    joints = _joints_of(spec, block_density, friction, allowable, glued_share)
    return _joint_table(joints, rows)


@worksheet_function(
    category=_CATEGORY,
    summary="Weight, lever and least ratios of a layout's walls, over all their bed joints",
    arguments=(LAYOUT, *_WALL_MATERIAL),
    result=Array(
        (
            Column("wall weight", kinds.FORCE_PER_LENGTH),
            Column("lever", kinds.LENGTH),
            Column("sliding ratio", kinds.RATIO),
            Column("sliding under course", kinds.COUNT),
            Column("overturning ratio", kinds.RATIO),
            Column("overturning under course", kinds.COUNT),
            Column("bond ratio", kinds.RATIO),
            Column("bond under course", kinds.COUNT),
        )
    ),
    source=_STATICS,
    examples=(
        # As in BEDJOINTLOADS: the lowest joint has the least ratios.
        Example((*_EXAMPLE_LAYOUT, "144", "0.5"), "128\t4\t2.05\t1\t4.1\t1\t\t"),
    ),
    details=_TRUE_COURSES + "Weight and lever are those over the lowest joint. "
    + _ROUNDED + _STRIP,
)  # fmt: skip
def wall_loads(
    spec: BasinSpec, block_density: float, friction: float, allowable: float, glued_share: float
) -> list[tuple[object, ...]]:
    found = loads.wall_load(_joints_of(spec, block_density, friction, allowable, glued_share))
    bond = (loads.rounded_down(found.bond.ratio), found.bond.course) if found.bond else (None, None)
    return [
        (
            found.weight,
            found.lever,
            loads.rounded_down(found.sliding.ratio),
            found.sliding.course,
            loads.rounded_down(found.overturning.ratio),
            found.overturning.course,
            *bond,
        )
    ]


def _joints_of(
    spec: BasinSpec, block_density: float, friction: float, allowable: float, glued_share: float
) -> tuple[JointLoad, ...]:
    return loads.least_favourable(
        [
            loads.strip_loads(
                strip, spec.water_depth, block_density, friction, allowable, glued_share
            )
            for strip in wall_strips(solve(spec))
        ]
    )


@worksheet_function(
    category=_CATEGORY,
    summary="Greatest pressure under the outer edge of a layout's walls",
    arguments=(LAYOUT, _BLOCK_DENSITY),
    result=kinds.PRESSURE,
    source="Das, Principles of Foundation Engineering: strip under an eccentric load",
    examples=(
        # 128 lb/ft on 8 in; 62.428 / 6 lb·ft/ft of water: e = 0.97544 in, within 8 / 6:
        # 128 · 12 / 8 · (1 + 6 · 0.97544 / 8).
        Example((*_EXAMPLE_LAYOUT, "144"), "332.46 lb/ft²"),
    ),
    details="As a free strip on its lowest course: the water tips it outward, which adds to the "
    "pressure of its weight. Where it tips over, there is none.",
)
def toe_pressure(spec: BasinSpec, block_density: float) -> float:
    moment = loads.water_moment(spec.water_depth)
    return max(
        loads.toe_pressure(joint.weight, joint.lever, moment, strip.courses[0].thickness).greatest
        for strip in wall_strips(solve(spec))
        for joint in loads.strip_loads(strip, spec.water_depth, block_density, 1.0)[:1]
    )


_BASE = Group(
    "found",
    (
        _force("vertical", "All weight on the strip of base, per length", 0.01),
        quantity("moment", kinds.MOMENT_PER_LENGTH, "About the middle of the base", -1e6, 1e6),
        length("base_width", "Width of the base across the wall", 0.02, 10.0),
    ),
    loads.bearing_pressure,
)
_BASE_SOURCE = "Das, Principles of Foundation Engineering: strip under an eccentric load"


@worksheet_function(
    category=_CATEGORY,
    summary="Greatest pressure under a strip of base",
    arguments=(_BASE,),
    result=kinds.PRESSURE,
    source=_BASE_SOURCE,
    # 10 kN/m on 1 m, e = 0.1 m: 10 · (1 + 0.6); e = 0.2 m: 2 · 10 / (3 · 0.3)
    examples=(
        Example(("10", "1", "1000"), "16 kPa", units="metric"),
        Example(("10", "2", "1000"), "22.222 kPa", units="metric"),
    ),
    details="A base can't pull on the ground: outside the middle third part of it lifts.",
)
def bearing_pressure(found: BearingPressure) -> float:
    return found.greatest


@worksheet_function(
    category=_CATEGORY,
    summary="Pressure under a strip of base in full",
    arguments=(_BASE,),
    result=Array(
        (
            Column("greatest", kinds.PRESSURE),
            Column("least", kinds.PRESSURE),
            Column("off centre", kinds.LENGTH),
            Column("pressed width", kinds.LENGTH),
            Column("middle third", kinds.TEXT),
        )
    ),
    source=_BASE_SOURCE,
    examples=(Example(("10", "1", "1000"), "16\t4\t100\t1,000\tyes", units="metric"),),
)
def bearing_table(found: BearingPressure) -> list[tuple[object, ...]]:
    return [
        (
            found.greatest,
            found.least,
            found.eccentricity,
            found.contact,
            "yes" if found.middle_third else "no",
        )
    ]


@worksheet_function(
    category=_CATEGORY,
    summary="Mean pressure of a weight at a depth below it, such as basin or column on its base",
    arguments=(
        quantity("mass", kinds.MASS, "Weight of water, walls, caps and base above", 0.0, 1e6),
        length("footprint_length", "Length of what stands there", 0.05, 30.0),
        length("footprint_width", "Width of what stands there", 0.05, 30.0),
        length("base_thickness", "Depth below it; blank is 0", 0.0, 3.0, default=0.0),
    ),
    result=kinds.PRESSURE,
    source="2:1 method, Das, Principles of Foundation Engineering",
    # 1,000 lb on (2 + 0.5) · (1.5 + 0.5) ft²
    examples=(Example(("1000", "24", "18", "6"), "200 lb/ft²"),),
    details="The load spreads 1 sideways to 2 down through the base.",
)
def spread_pressure(
    mass: float, footprint_length: float, footprint_width: float, base_thickness: float
) -> float:
    return loads.spread_pressure(mass, footprint_length, footprint_width, base_thickness)


@worksheet_function(
    category=_CATEGORY,
    summary="Allowable bearing pressure of the soil over the pressure on it",
    arguments=(
        _pressure("allowable", "Allowable bearing pressure of your soil"),
        _pressure("pressure", "Pressure on the soil, as from BEARINGPRESSURE"),
    ),
    result=kinds.RATIO,
    source="Definition",
    examples=(Example(("1500", "300"), "5"),),
    details="Rounded down to hundredths.",
)
def bearing_ratio(allowable: float, pressure: float) -> float:
    return loads.rounded_down(loads.bearing_ratio(allowable, pressure))


@worksheet_function(
    category=_CATEGORY,
    summary="Presumptive bearing pressure of a class of soil, where local code has it",
    arguments=(choice("soil", "Class of the soil under the base", tuple(loads.SOILS)),),
    result=kinds.PRESSURE,
    source="International Building Code (2012), table 1806.2",
    examples=(Example(("sand",), "2,000 lb/ft²"), Example(("clay",), "71.82 kPa", units="metric")),
    details="Not for mud, organic soil, peat or unprepared fill: these need an engineer.",
)
def soil_bearing(soil: str) -> float:
    return loads.SOILS[soil].bearing


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
    category=_CATEGORY,
    summary="How many times the water's load a layout's walls carry as a closed box",
    arguments=(LAYOUT, _BLOCK_DENSITY, _FRICTION, _OWN_GLUE, _GLUED, _SOIL),
    result=Array(
        (
            Column("ratio", kinds.RATIO),
            Column("limited by", kinds.TEXT),
            Column("at course", kinds.COUNT),
        )
    ),
    source=_BOX_SOURCE,
    # Without glue it is the free strip of BEDJOINTLOADS.
    examples=(Example((*_EXAMPLE_LAYOUT, "144", "0.5"), "2.05\tsliding\t1"),),
    details=_BOX + _ROUNDED,
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
    category=_CATEGORY,
    summary="Stresses that glue and block of each course must carry, without help of the ground",
    arguments=(LAYOUT, _BLOCK_DENSITY, _GLUED, ROWS),
    result=Array(_DEMAND_COLUMNS),
    source=_BOX_SOURCE,
    examples=(
        # Course 1: 62.428 · 10 / 12 lb/ft² on a frame of 6 × 4.5 ft: corner 52.02 · 29.25 / 12 =
        # 126.8 lb; bending 2 · 6 · 126.8 / (8 / 12)² and pull 52.02 · 3 / (8 / 12).
        Example(
            (*_EXAMPLE_LAYOUT, "144"),
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
    category=_CATEGORY,
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
            (*_EXAMPLE_LAYOUT, "144", "0.5", "10 psi", "0.2", "sand"),
            "Within what is commonly built, by the figures typed; that proves nothing. Soft, "
            "sloping or filled ground, water under the wall, or what leans on it needs an "
            "engineer. Check local code.",
        ),
        Example(
            (*_EXAMPLE_LAYOUT, "144", "0.5", "", "0.2", "sand"),
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
        judged = replace(judged, push=_column_push(layout, block_density))
    return _verdict_text(loads.verdict(judged), system)


@worksheet_function(
    category=_CATEGORY,
    summary="Verdict in three grades on figures that are typed, of workbooks before LOADVERDICT",
    arguments=(
        length("wall_height", "Height from the bottom of the base to the top", 0.0, 10.0),
        _DEPTH,
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


def _column_push(layout: Layout, block_density: float) -> float:
    """Return how many times a push at its top the first column stands as it is, without glue."""
    boxes = [piece.box for piece in layout.pieces if piece.part == "column 1"]
    weight = block_density * GRAVITY * sum(box.dx * box.dy * box.dz for box in boxes)
    sides = [
        max(box[axis] + box[axis + 3] for box in boxes) - min(box[axis] for box in boxes)
        for axis in (0, 1)
    ]
    return loads.push_ratio(weight, min(sides), max(box.z + box.dz for box in boxes))


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


@worksheet_function(
    category=_CAUTIONS,
    summary="Caution where a block or cap is too heavy for one person; else an empty text",
    arguments=(quantity("mass", kinds.MASS, "Weight of one block or cap", 0.0, 5000.0),),
    result=kinds.TEXT,
    source="DHHS (NIOSH) Publication 94-110, load constant of the revised lifting equation",
    examples=(
        Example(("40",), ""),
        Example(("75",), "75 lb: " + cautions.CAUTIONS["lifting"].shown),
    ),
)
def lift_note(mass: float, system: str) -> str:
    found = cautions.lift_caution(mass)
    return f"{shown(mass, kinds.MASS, system)}: {found.shown}" if found else ""


@worksheet_function(
    category=_CAUTIONS,
    summary="Text of one caution with its source",
    arguments=(choice("key", "Which caution", tuple(cautions.CAUTIONS)),),
    result=kinds.TEXT,
    source="As named in each text",
    examples=(Example(("solvent cement",), cautions.CAUTIONS["solvent cement"].shown),),
    name="CAUTION",
)
def caution_text(key: str) -> str:
    return cautions.caution(key).shown


@worksheet_function(
    category=_CAUTIONS,
    summary="Cautions that belong to a sheet",
    arguments=(choice("place", "Which sheet", cautions.PLACES),),
    result=Array(
        (Column("caution", kinds.TEXT), Column("text", kinds.TEXT), Column("source", kinds.TEXT))
    ),
    source="As named in each row",
    examples=(
        Example(
            ("estimate",),
            "\n".join(
                f"{each.key}\t{each.text} {cautions.LOCAL}\t{each.source}"
                for each in cautions.cautions_at("estimate")
            ),
        ),
    ),
    name="CAUTIONS",
)
def cautions_for(place: str) -> list[tuple[object, ...]]:
    return [
        (each.key, f"{each.text} {cautions.LOCAL}", each.source)
        for each in cautions.cautions_at(place)
    ]
