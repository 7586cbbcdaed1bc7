"""Worksheet functions on loads besides the water: soil outside, wind, a push on a column."""

from __future__ import annotations

from basinbook.catalogue.model import (
    Example,
    choice,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import loads
from basinbook.engine.water.volume import GRAVITY

_CATEGORY = "Loads"
_EARTH = "Rankine and Jaky; Das, Principles of Foundation Engineering, lateral earth pressure"


@worksheet_function(
    category=_CATEGORY,
    summary="Thrust of soil outside on an empty basin's wall, per length",
    arguments=(
        length("soil_height", "Height of the soil over the base", 0.0, 3.0),
        quantity("soil_density", kinds.DENSITY, "Density of the soil, moist", 1000.0, 2500.0),
        ratio("friction_angle", "Angle of friction of the soil, degrees", 15.0, 45.0),
        quantity(
            "surcharge", kinds.PRESSURE, "Load on the soil beside the wall; blank for none",
            0.0, 1e5, default=0.0,
        ),
        choice(
            "state", "at rest for walls that can't give way, active for a free one; blank: at rest",
            ("at rest", "active"), "at rest",
        ),
    ),
    result=kinds.FORCE_PER_LENGTH,
    source=_EARTH,
    # 1/2 · 120 · 1² · (1 − sin 30°); with 100 lb/ft² on it 50 more; active a third
    examples=(
        Example(("12", "120", "30"), "30 lb/ft"),
        Example(("12", "120", "30", "100"), "80 lb/ft"),
        Example(("12", "120", "30", "", "active"), "20 lb/ft"),
    ),
    details="Dry soil without cohesion, level. Water in the soil, frost and clay push more: these "
    "need an engineer.",
)  # fmt: skip
def earth_thrust(
    soil_height: float, soil_density: float, friction_angle: float, surcharge: float, state: str
) -> float:
    coefficient = (
        loads.active_coefficient(friction_angle)
        if state == "active"
        else loads.rest_coefficient(friction_angle)
    )
    return loads.earth_thrust(coefficient, soil_density * GRAVITY, soil_height, surcharge)


@worksheet_function(
    category=_CATEGORY,
    summary="Pressure of a gust of wind on what stands free, up to 15 ft",
    arguments=(
        quantity(
            "wind_speed", kinds.WIND, "Gust of 3 seconds, 33 ft (10 m) over open ground", 0.0, 90.0
        ),
        choice("ground", "Ground around; blank: open", ("open", "town"), "open"),
    ),
    result=kinds.PRESSURE,
    source="ASCE 7-10, equation 29.3-1, tables 29.3-1 and 26.6-1",
    # 0.613 · 0.85 · 0.9 · 40² Pa
    examples=(Example(("40",), "0.75 kPa", units="metric"),),
    details="Level ground; times the form's coefficient and the area it is the load.",
)
def wind_pressure(wind_speed: float, ground: str) -> float:
    return loads.wind_pressure(wind_speed, 0.57 if ground == "town" else 0.85)


@worksheet_function(
    category=_CATEGORY,
    summary="How many times a push of 200 lb at its top a free column stands, without glue",
    arguments=(
        quantity("column_mass", kinds.MASS, "Weight of the column", 1.0, 1e5),
        length("column_side", "The less of its sides at the foot", 0.05, 3.0),
        length("column_height", "Height of the column", 0.05, 6.0),
    ),
    result=kinds.RATIO,
    source="Statics; push of the International Building Code, section 1607 (from memory)",
    # 1,200 lb · 12 in / (200 lb · 36 in)
    examples=(Example(("1200", "24", "36"), "2"),),
    details="Rounded down to hundredths.",
)
def push_ratio(column_mass: float, column_side: float, column_height: float) -> float:
    return loads.rounded_down(loads.push_ratio(column_mass * GRAVITY, column_side, column_height))
