"""Worksheet functions on evaporation."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.basin_arguments import WATER_BALANCE
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    choice,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import evaporation
from basinbook.engine.water.evaporation import Estimate


def _temperature(name: str, help: str) -> Argument:
    return quantity(name, kinds.TEMPERATURE, help, evaporation.COLDEST, evaporation.WARMEST)


_WATER_TEMPERATURE = _temperature("water_temperature", "Temperature of the water")
_AIR_TEMPERATURE = _temperature("air_temperature", "Temperature of the air, mean of the day")
_HUMIDITY = ratio("humidity", "Relative humidity of the air, such as 60%")
_WIND = quantity(
    "wind", kinds.WIND, "Mean wind; text may say 5 mph", 0.0, evaporation.STRONGEST_WIND
)
_WIND_HEIGHT = quantity(
    "wind_height", kinds.RUN, "Height at which the wind is measured; blank is 2 m",
    evaporation.LOWEST_WIND_HEIGHT, 50.0, default=2.0,
)  # fmt: skip


_WEATHER = (_WATER_TEMPERATURE, _AIR_TEMPERATURE, _HUMIDITY, _WIND, _WIND_HEIGHT)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Vapour pressure of air at a temperature and relative humidity",
    arguments=(
        _temperature("temperature", "Temperature of air or water"),
        ratio("humidity", "Relative humidity; blank is 100%: saturated", default=1.0),
    ),
    result=kinds.PRESSURE,
    source="Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equations 10 and 11",
    # FAO 56, example 3: e°(15 °C) = 1.705 kPa
    examples=(Example(("15",), "1.705 kPa", units="metric"),),
    details="From 0 to 50 °C, over liquid water.",
)
def vapour_pressure(temperature: float, humidity: float) -> float:
    return evaporation.vapour_pressure(temperature, humidity)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Evaporation from open water, as a drop of the level per day",
    arguments=(
        Group(
            "rate",
            (
                *_WEATHER,
                choice(
                    "method",
                    "meyer (default, outdoors) or pool (wind taken as air velocity at the water)",
                    evaporation.METHODS,
                    default="meyer",
                ),
            ),
            evaporation.by_method,
        ),
    ),
    result=kinds.WATER_RATE,
    source=(
        "Meyer (1915), Trans. ASCE 79, small shallow water (as in Subramanya, Engineering "
        "Hydrology); pool equation: ASHRAE Handbook, HVAC Applications"
    ),
    examples=(
        # 0.50 · 9.53 mmHg · (1 + 8.93 km/h / 16), es(25 °C) = 23.76 mmHg, 60 %: 7.4 mm
        Example(("25", "25", "60%", "2"), "7.4 mm/day", units="metric"),
        Example(("25", "25", "60%", "0.1", "", "pool"), "4.34 mm/day", units="metric"),
    ),
    details=(
        "Means of a day or longer, 0 to 50 °C, wind to 15 m/s. In strong wind the methods differ "
        "by a factor of two: see EVAPORATIONMETHODS. The pool equation is given for air "
        "of 0.05 to 0.15 m/s."
    ),
)
def evaporation_rate(rate: float) -> float:
    return rate


@worksheet_function(
    category=WATER_BALANCE,
    summary="Evaporation by each method, with the status of the figure",
    arguments=(Group("estimates", _WEATHER, evaporation.estimates),),
    result=Array(
        (
            Column("method", kinds.TEXT),
            Column("evaporation", kinds.WATER_RATE),
            Column("status", kinds.TEXT),
        )
    ),
    source=(
        "Meyer (1915), Trans. ASCE 79; ASHRAE Handbook, HVAC Applications; Smith, Löf and Jones "
        "(1998), ASHRAE Transactions 104(1A)"
    ),
    examples=(
        Example(
            ("25", "25", "60%", "0.1"),
            "Meyer, small shallow water\t4.885\tfor means over days; single days scatter\n"
            "Pool equation, quiet water (74 %)\t3.212\twithin the method's range\n"
            "Pool equation\t4.341\twithin the method's range",
            units="metric",
        ),
    ),
)
def evaporation_methods(estimates: Sequence[Estimate]) -> list[tuple[object, ...]]:
    return [(each.method, each.rate, each.status) for each in estimates]
