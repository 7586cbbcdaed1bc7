"""Worksheet functions on the loads of water and wall, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

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
from basinbook.engine import kinds
from basinbook.engine.layout.results.strips import wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.water import loads
from basinbook.engine.water.loads import (
    JointLoad,
)
from basinbook.engine.water.volume import WATER_DENSITY

CATEGORY = "Loads"
_STATICS = "Hydrostatics and statics of a wall strip that stands alone"
_STRIP = (
    "Per length of wall, as if the wall stood alone: corners and columns are not counted, nor is "
    "water under the wall. A ratio is no proof of stability: see LOADVERDICT."
)
ROUNDED = "Ratios are rounded down to hundredths. "
DEPTH = length("water_depth", "Depth of the water against the wall", 0.0, 3.0)
_WATER_DENSITY = quantity(
    "density", kinds.DENSITY, "Density of the water; blank is 62.4 lb/ft³ (1000 kg/m³)",
    900.0, 1100.0, default=WATER_DENSITY,
)  # fmt: skip
BLOCK_DENSITY = quantity(
    "block_density", kinds.DENSITY, "Density of block and cap, cores counted as empty",
    500.0, 3500.0,
)  # fmt: skip
_THICKNESS = length("thickness", "Thickness of the wall", 0.02, 1.0)
_CAP_DEPTH = length("cap_depth", "Front-to-back size of the cap", 0.0, 1.0, default=0.0)
_CAP_HEIGHT = length("cap_height", "Thickness of the cap", 0.0, 0.4, default=0.0)
FRICTION = ratio("friction", "Coefficient of friction under the wall", 0.05, 1.0)
GLUED = ratio("glued_share", "Part of the joint that glue covers; blank is 100%", 0.01, default=1.0)
_ALLOWABLE = quantity(
    "allowable", kinds.PRESSURE, "Allowable shear stress of the glue; blank for none",
    0.0, 1e8, default=0.0,
)  # fmt: skip


def force(name: str, help: str, low: float = 0.0) -> Argument:
    return quantity(name, kinds.FORCE_PER_LENGTH, help, low, 1e6)


_THRUST = force("thrust", "Thrust of the water per length, as from WALLTHRUST")
_WEIGHT = force("weight", "Weight of the wall per length, as from WALLWEIGHT")
_MOMENT = quantity(
    "moment", kinds.MOMENT_PER_LENGTH, "Moment per length, as from WATERMOMENT", 0.0, 1e6
)
EXAMPLE_LAYOUT = (
    EXAMPLE_LABELS[:-1] + ',["Water depth"]]',
    "[[64],[46],[18],[4],[8],[12]]",
)


_SHEAR = Group("shear", (_THRUST, _THICKNESS, GLUED), loads.bond_shear)


def pressure(name: str, help: str, low: float = 0.0, high: float = 1e8) -> Argument:
    return quantity(name, kinds.PRESSURE, help, low, high)


@worksheet_function(
    category=CATEGORY,
    summary="Pressure of still water at a depth",
    arguments=(DEPTH, _WATER_DENSITY),
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
    category=CATEGORY,
    summary="Pressure by depth, for a chart",
    arguments=(DEPTH, count("steps", "Equal steps; blank is 10", 1, 200, default=10)),
    result=Array((Column("depth", kinds.LENGTH), Column("pressure", kinds.PRESSURE))),
    source="Hydrostatics",
    examples=(Example(("300", "2"), "0\t0\n150\t1.471\n300\t2.942", units="metric"),),
)
def pressure_table(water_depth: float, steps: int) -> Sequence[Sequence[float]]:
    return loads.pressure_table(water_depth, steps)


@worksheet_function(
    category=CATEGORY,
    summary="Thrust of the water on a wall, per length",
    arguments=(DEPTH, _WATER_DENSITY),
    result=kinds.FORCE_PER_LENGTH,
    source=_STATICS,
    # 62.43 lb/ft³ · (1 ft)² / 2
    examples=(Example(("12",), "31.21 lb/ft"), Example(("300",), "0.4413 kN/m", units="metric")),
    details="It acts at a third of the depth above the floor. " + _STRIP,
)
def wall_thrust(water_depth: float, density: float) -> float:
    return loads.wall_thrust(water_depth, density)


@worksheet_function(
    category=CATEGORY,
    summary="Thrust of the water on a whole wall",
    arguments=(DEPTH, length("wall_length", "Inside length of the wall", 0.05, 30.0)),
    result=kinds.FORCE,
    source="Hydrostatics",
    examples=(Example(("12", "48"), "124.9 lbf"),),
)
def wall_force(water_depth: float, wall_length: float) -> float:
    return loads.wall_force(water_depth, wall_length)


@worksheet_function(
    category=CATEGORY,
    summary="Moment of the water's thrust about the floor, per length",
    arguments=(DEPTH, _WATER_DENSITY),
    result=kinds.MOMENT_PER_LENGTH,
    source=_STATICS,
    # 31.21 lb/ft · 1 ft / 3
    examples=(Example(("12",), "10.4 lb·ft/ft"),),
    details=_STRIP,
)
def water_moment(water_depth: float, density: float) -> float:
    return loads.water_moment(water_depth, density)


@worksheet_function(
    category=CATEGORY,
    summary="Weight of a wall with its cap, per length",
    arguments=(
        _THICKNESS,
        length("wall_height", "Height of the block wall without cap", 0.02, 5.0),
        BLOCK_DENSITY,
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
    category=CATEGORY,
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
    category=CATEGORY,
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
    category=CATEGORY,
    summary="Friction under the wall over the thrust of the water",
    arguments=(_WEIGHT, FRICTION, _THRUST),
    result=kinds.RATIO,
    source=_STATICS,
    # 0.35 · 120 / 30
    examples=(Example(("120", "0.35", "30"), "1.4"),),
    details=ROUNDED + _STRIP,
)
def sliding_ratio(weight: float, friction: float, thrust: float) -> float:
    return loads.rounded_down(loads.sliding_ratio(weight, friction, thrust))


@worksheet_function(
    category=CATEGORY,
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
    details=ROUNDED + _STRIP,
)
def overturning_ratio(weight: float, lever: float, moment: float) -> float:
    return loads.rounded_down(loads.overturning_ratio(weight, lever, moment))


@worksheet_function(
    category=CATEGORY,
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
    category=CATEGORY,
    summary="Allowable shear stress of the glue over that in the joint",
    arguments=(
        pressure("allowable", "Allowable shear stress from the glue's maker; text may say 10 psi"),
        _SHEAR,
    ),
    result=kinds.RATIO,
    source=_STATICS,
    # 10 psi = 1,440 lb/ft² over 90 lb/ft²
    examples=(Example(("10 psi", "30", "8", "50%"), "16"),),
    details=ROUNDED + _STRIP,
)
def bond_shear_ratio(allowable: float, shear: float) -> float:
    return loads.rounded_down(loads.bond_ratio(allowable, shear))


_JOINTS = Group(
    "joints",
    (
        _THICKNESS,
        length("course_height", "Height of a course", 0.02, 0.6),
        count("courses", "Number of courses", 1, 40),
        DEPTH,
        BLOCK_DENSITY,
        FRICTION,
        _ALLOWABLE,
        GLUED,
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
    category=CATEGORY,
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
    "above the joint. " + ROUNDED + _STRIP,
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
    BLOCK_DENSITY,
    FRICTION,
    _ALLOWABLE,
    GLUED,
)  # fmt: skip
_TRUE_COURSES = (
    "Each course of the layout is as thick and high as it is laid, on edge or flat, and caps lie "
    "where they lie; the least favourable of the four walls. A joint is as wide as both courses "
    "touch; the wall tips about the outer edge of that, so the lever of the weight above is the "
    "distance of its centre from there. Where that centre is outside, the ratio is 0. "
)


@worksheet_function(
    category=CATEGORY,
    summary="What each bed joint of a layout's walls carries, from the base up",
    arguments=(LAYOUT, *_WALL_MATERIAL, ROWS),
    result=Array(_JOINT_COLUMNS),
    source=_STATICS,
    examples=(
        # 12 in of water against 4 courses of 8 · 4 in at 144 lb/ft³, 32 lb/ft each. Lowest joint:
        # 0.5 · 128 / 31.21 = 2.05 and 128 · 4 / (31.21 · 4) = 4.1; the next has 8 in of water:
        # 62.428 · (8 / 12)² / 2 = 13.873 lb/ft, and 0.5 · 96 / 13.873 = 3.45999.
        Example(
            (*EXAMPLE_LAYOUT, "144", "0.5", "", "", "4"),
            "1\t0\t31.214\t2.05\t4.1\t\t\tyes\n"
            "2\t4\t13.873\t3.45\t10.37\t20.809\t\tyes\n"
            "3\t8\t3.468\t9.22\t55.35\t5.202\t\tyes\n"
            "4\t12\t0\t\t\t0\t\tyes",
        ),
    ),
    details=_TRUE_COURSES + "Blank where no water stands above the joint. " + ROUNDED + _STRIP,
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
    category=CATEGORY,
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
        Example((*EXAMPLE_LAYOUT, "144", "0.5"), "128\t4\t2.05\t1\t4.1\t1\t\t"),
    ),
    details=_TRUE_COURSES + "Weight and lever are those over the lowest joint. "
    + ROUNDED + _STRIP,
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
    category=CATEGORY,
    summary="Greatest pressure under the outer edge of a layout's walls",
    arguments=(LAYOUT, BLOCK_DENSITY),
    result=kinds.PRESSURE,
    source="Das, Principles of Foundation Engineering: strip under an eccentric load",
    examples=(
        # 128 lb/ft on 8 in; 62.428 / 6 lb·ft/ft of water: e = 0.97544 in, within 8 / 6:
        # 128 · 12 / 8 · (1 + 6 · 0.97544 / 8).
        Example((*EXAMPLE_LAYOUT, "144"), "332.46 lb/ft²"),
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
