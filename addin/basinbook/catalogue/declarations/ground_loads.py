"""Worksheet functions on the pressure of wall and basin on the ground."""

from __future__ import annotations

from basinbook.catalogue.declarations.loads import CATEGORY, force, pressure
from basinbook.catalogue.model import (
    Array,
    Column,
    Example,
    Group,
    choice,
    length,
    quantity,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import loads
from basinbook.engine.water.loads import BearingPressure

_BASE = Group(
    "found",
    (
        force("vertical", "All weight on the strip of base, per length", 0.01),
        quantity("moment", kinds.MOMENT_PER_LENGTH, "About the middle of the base", -1e6, 1e6),
        length("base_width", "Width of the base across the wall", 0.02, 10.0),
    ),
    loads.bearing_pressure,
)
_BASE_SOURCE = "Das, Principles of Foundation Engineering: strip under an eccentric load"


@worksheet_function(
    category=CATEGORY,
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
    category=CATEGORY,
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
    category=CATEGORY,
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
    category=CATEGORY,
    summary="Allowable bearing pressure of the soil over the pressure on it",
    arguments=(
        pressure("allowable", "Allowable bearing pressure of your soil"),
        pressure("pressure", "Pressure on the soil, as from BEARINGPRESSURE"),
    ),
    result=kinds.RATIO,
    source="Definition",
    examples=(Example(("1500", "300"), "5"),),
    details="Rounded down to hundredths.",
)
def bearing_ratio(allowable: float, pressure: float) -> float:
    return loads.rounded_down(loads.bearing_ratio(allowable, pressure))


@worksheet_function(
    category=CATEGORY,
    summary="Presumptive bearing pressure of a class of soil, where local code has it",
    arguments=(choice("soil", "Class of the soil under the base", tuple(loads.SOILS)),),
    result=kinds.PRESSURE,
    source="International Building Code (2012), table 1806.2",
    examples=(Example(("sand",), "2,000 lb/ft²"), Example(("clay",), "71.82 kPa", units="metric")),
    details="Not for mud, organic soil, peat or unprepared fill: these need an engineer.",
)
def soil_bearing(soil: str) -> float:
    return loads.SOILS[soil].bearing
