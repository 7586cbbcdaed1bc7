"""Worksheet functions on the water balance, draining down and access."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    choice,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.outfit import EFFECTS
from basinbook.engine.water import balance, evaporation, service
from basinbook.engine.water.balance import LeakTest, WaterLevel
from basinbook.engine.water.evaporation import Estimate
from basinbook.engine.water.service import DrainDown
from basinbook.units import shown

_CATEGORY = "Water balance"
_CUBOID = "Geometry of a cuboid"
_INSIDE_LENGTH = length("inside_length", "Clear inside length between the walls", 0.05, 30.0)
_INSIDE_WIDTH = length("inside_width", "Clear inside width between the walls", 0.05, 30.0)
_WATER_DEPTH = length("water_depth", "Depth of the water above the floor", 0.0, 3.0)
_RIM = length("rim_height", "Height of the lowest place of the rim above the floor", 0.01, 3.0)
_DRAINED = quantity("drained_volume", kinds.LIQUID, "All that runs back into the basin", 0.0, 100.0)
_AREA = quantity("area", kinds.AREA, "Area of the water surface", 1e-4, 1000.0)
_FLOW = quantity("flow", kinds.PUMP_FLOW, "Flow of the pump", 1e-7, 0.1)


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
    category=_CATEGORY,
    summary="Water in a full pipe",
    arguments=(
        length("inside_diameter", "Real inside diameter of the pipe", 0.003, 0.3),
        quantity("pipe_length", kinds.RUN, "Length of the pipe", 0.0, 100.0),
    ),
    result=kinds.LIQUID,
    source="Geometry of a cylinder",
    # π/4 · 0.025² · 4 m³ = 1.963 L
    examples=(Example(("25", "4"), "2 L", units="metric"),),
)
def pipe_contents(inside_diameter: float, pipe_length: float) -> float:
    return balance.pipe_contents(inside_diameter, pipe_length)


@worksheet_function(
    category=_CATEGORY,
    summary="Water in the air between a lip and the basin",
    arguments=(_FLOW, length("drop", "Height of the fall", 0.0, 5.0)),
    result=kinds.LIQUID,
    source="Law of free fall",
    # 3600 L/h is 1 L/s; it falls 1.2258 m in 0.5 s: 0.5 L
    examples=(Example(("3600", "1225.8"), "0.5 L", units="metric"),),
    details="For a sheet that falls free; water running down a wall holds more.",
)
def volume_in_air(flow: float, drop: float) -> float:
    return balance.volume_in_air(flow, drop)


@worksheet_function(
    category=_CATEGORY,
    summary="Water that stands over a lip, notch or rim while the pump runs",
    arguments=(
        choice("effect", "What the water does, as on the Job sheet", EFFECTS),
        length("size", "Width of lip or notch, or diameter of a bowl's rim", 0.01, 20.0),
        length("head", "Water over it", 0.0, 2.0),
        length(
            "behind",
            "How far the water stands back from a lip; blank is 300 mm (common practice, no "
            "source)",
            0.0,
            5.0,
            default=balance.BEHIND_LIP,
        ),
    ),
    result=kinds.LIQUID,
    source="Geometry",
    # 500 · 300 · 20 mm = 3 L; π/4 · 600² · 10 mm = 2.83 L
    examples=(
        Example(("straight lip", "500", "20"), "3 L", units="metric"),
        Example(("bowl rim", "600", "10"), "2.8 L", units="metric"),
    ),
    details="Circulation, bubbler and still water have none.",
)
def water_over_outlet(effect: str, size: float, head: float, behind: float) -> float:
    return balance.over_outlet(effect, size, head, behind)


@worksheet_function(
    category=_CATEGORY,
    summary="Water over the pump's top once pipe, air and lip or bowl have filled; below zero: out",
    arguments=(
        _WATER_DEPTH,
        length("filled", "How far the level falls while they fill", 0.0, 3.0),
        length("pump_height", "Height of the pump", 0.001, 3.0),
    ),
    result=kinds.LENGTH,
    source="Definition",
    examples=(Example(("13", "0.5", "8"), "4.5 in"), Example(("8", "1", "8"), "-1 in")),
    details="The basin is filled to its depth before the pump starts.",
)
def pump_cover(water_depth: float, filled: float, pump_height: float) -> float:
    return balance.pump_cover(water_depth, filled, pump_height)


@worksheet_function(
    category=_CATEGORY,
    summary="Rise of the level when water drains back",
    arguments=(
        _DRAINED,
        _INSIDE_LENGTH,
        _INSIDE_WIDTH,
    ),
    result=kinds.LENGTH,
    source=_CUBOID,
    # 12 L on 1.2 m · 1 m is 10 mm
    examples=(Example(("12", "1200", "1000"), "10 mm", units="metric"),),
    details="Count the pipe, the sheet in the air and the water over the lip or in the bowl.",
)
def drain_back_rise(drained_volume: float, inside_length: float, inside_width: float) -> float:
    return balance.drain_back_rise(drained_volume, inside_length, inside_width)


@worksheet_function(
    category=_CATEGORY,
    summary="Height left to the rim after the pump stops; negative where it spills",
    arguments=(
        _RIM,
        _WATER_DEPTH,
        length("rise", "Rise when the pump stops", 0.0, 3.0, default=0.0),
    ),
    result=kinds.LENGTH,
    source="Definition of freeboard",
    examples=(
        Example(("16", "13", "0.5"), "2.5 in"),
        Example(("16", "15", "1.5"), "-0.5 in"),
    ),
)
def freeboard_left(rim_height: float, water_depth: float, rise: float) -> float:
    return balance.freeboard_left(rim_height, water_depth, rise)


@worksheet_function(
    category=_CATEGORY,
    summary="Greatest operating depth that keeps a freeboard when the pump stops",
    arguments=(
        _RIM,
        length("rise", "Rise when the pump stops", 0.0, 3.0),
        length("freeboard", "Height to keep free below the rim", 0.0, 1.0),
    ),
    result=kinds.LENGTH,
    source="Definition of freeboard",
    examples=(Example(("16", "0.5", "2"), "13.5 in"),),
)
def highest_level(rim_height: float, rise: float, freeboard: float) -> float:
    return balance.highest_operating_depth(rim_height, rise, freeboard)


@worksheet_function(
    category=_CATEGORY,
    summary="Depth, volume and height to the rim at each water level",
    arguments=(
        Group(
            "levels",
            (_INSIDE_LENGTH, _INSIDE_WIDTH, _RIM, _WATER_DEPTH, _DRAINED),
            balance.water_levels,
        ),
    ),
    result=Array(
        (
            Column("level", kinds.TEXT),
            Column("depth", kinds.LENGTH),
            Column("volume", kinds.LIQUID),
            Column("to rim", kinds.LENGTH),
        )
    ),
    source=_CUBOID,
    examples=(
        # 1.2 m² of water: 12 L raise it by 10 mm.
        Example(
            ("1200", "1000", "400", "350", "12"),
            "operating\t350\t420\t50\npump stopped\t360\t432\t40\nrim\t400\t480\t0",
            units="metric",
        ),
    ),
    details="A negative height to the rim says by how much the water would stand over it: spills.",
)
def water_levels(levels: Sequence[WaterLevel]) -> list[tuple[object, ...]]:
    return [(level.name, level.depth, level.volume, level.to_rim) for level in levels]


@worksheet_function(
    category=_CATEGORY,
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
    category=_CATEGORY,
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
    category=_CATEGORY,
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


@worksheet_function(
    category=_CATEGORY,
    summary="Water splashed out in a day",
    arguments=(
        _FLOW,
        ratio(
            "share",
            "Part of the flow that splashes out; blank is 0.01%: a first guess without a source",
            0.0,
            0.1,
            default=balance.SPLASH_SHARE,
        ),
        quantity(
            "running", kinds.HOURS, "Time that the pump runs a day; blank is 24 h",
            0.0, balance.DAY, default=balance.DAY,
        ),
    ),
    result=kinds.LIQUID,
    source="Definition; the share has no published value: measure it with SPLASHSHARE",
    # 3,600 L/h · 10 h · 0.01 % = 3.6 L
    examples=(Example(("3600", "0.01%", "10"), "3.6 L", units="metric"),),
)  # fmt: skip
def splash_loss(flow: float, share: float, running: float) -> float:
    return balance.splash_loss(flow, share, running)


@worksheet_function(
    category=_CATEGORY,
    summary="Share of the flow that splashes out, from the drops with the pump on and off",
    arguments=(
        length("drop_running", "Drop of the level with the pump running", 0.0, 1.0),
        length("drop_still", "Drop over the same time with the pump stopped", 0.0, 1.0),
        _AREA,
        _FLOW,
        quantity("duration", kinds.HOURS, "Time of each test", 3600.0, 72 * 3600.0),
    ),
    result=kinds.RATIO,
    source="Balance of volumes",
    # (10 − 4) mm · 1.2 m² = 7.2 L of 3,600 L/h · 2 h = 7,200 L
    examples=(Example(("10", "4", "1.2", "3600", "2"), "0.001", units="metric"),),
)
def splash_share(
    drop_running: float, drop_still: float, area: float, flow: float, duration: float
) -> float:
    return balance.splash_share(drop_running, drop_still, area, flow, duration)


@worksheet_function(
    category=_CATEGORY,
    summary="Water to top up in a week without rain",
    arguments=(
        quantity("evaporation", kinds.WATER_RATE, "Evaporation per day", 0.0, 1e-6),
        _AREA,
        quantity("splash", kinds.LIQUID, "Water splashed out a day", 0.0, 100.0, default=0.0),
    ),
    result=kinds.LIQUID,
    source="Balance of volumes",
    # (5 mm · 1.2 m² + 4 L) · 7 = 70 L
    examples=(Example(("5", "1.2", "4"), "70 L", units="metric"),),
)
def topup_week(evaporation: float, area: float, splash: float) -> float:
    return balance.top_up(evaporation, area, splash)


_DROP = length("drop", "Drop of the basin's level: pump off, no rain, no filling", 0.0, 1.0)
_LEAK_ARGUMENTS = (
    length("reference_drop", "Drop of the reference over the same time", 0.0, 0.3),
    quantity("duration", kinds.HOURS, "Time of the test, 12 to 72 h", 12 * 3600.0, 72 * 3600.0),
    choice(
        "reference",
        "bucket standing in the basin (default), Class A pan, or computed evaporation",
        tuple(balance.PAN_COEFFICIENTS),
        default="bucket",
    ),
    ratio(
        "uncertainty",
        "Of the reference, as a part; blank is 10% bucket, 20% pan, 30% computed (no source)",
        default=None,
    ),
    length(
        "reading_error",
        "Error of one reading; blank is 1 mm (no source)",
        0.0,
        0.02,
        default=balance.READING_ERROR,
    ),
)
_LEAK_SOURCE = (
    "Combined uncertainty: JCGM 100:2008, 5.1; pan coefficient 0.70: Kohler, Nordenson and Fox "
    "(1955), US Weather Bureau Research Paper 38; the bucket as reference: common practice"
)


@worksheet_function(
    category=_CATEGORY,
    summary="Drop of the level above which evaporation no longer explains it",
    arguments=(Group("test", _LEAK_ARGUMENTS, partial(balance.leak_test, drop=0.0, area=1.0)),),
    result=kinds.LENGTH,
    source=_LEAK_SOURCE,
    # 6 + √((0.10 · 6)² + 4 · 1²) = 6 + 2.088 mm
    examples=(Example(("6", "24"), "8.1 mm", units="metric"),),
)
def leak_threshold(test: LeakTest) -> float:
    return test.threshold


@worksheet_function(
    category=_CATEGORY,
    summary="What a drop of the level says: evaporation or a leak",
    arguments=(Group("test", (_DROP, _AREA, *_LEAK_ARGUMENTS), balance.leak_test),),
    result=kinds.TEXT,
    source=_LEAK_SOURCE,
    examples=(
        # (20 − 6) mm · 1.2 m² in 24 h = 16.8 L a day
        Example(
            ("20", "1.2", "6", "24"),
            "Drop 20 mm; evaporation explains 6 mm ± 2.1 mm. More than evaporation explains: "
            "about 16.8 L a day (± 2.5 L) to look for as a leak.",
            units="metric",
        ),
        Example(
            ("7", "1.2", "6", "24"),
            "Drop 7 mm; evaporation explains 6 mm ± 2.1 mm. Within the uncertainty: no leak "
            "shown. A longer test sees smaller leaks.",
            units="metric",
        ),
        Example(
            ("2", "1.2", "6", "24"),
            "Drop 2 mm; evaporation explains 6 mm ± 2.1 mm. Less than the reference lost: check "
            "the readings, rain and filling.",
            units="metric",
        ),
    ),
)
def leak_check(test: LeakTest, system: str) -> str:
    def told(metres: float) -> str:
        return shown(metres, kinds.LENGTH, system)

    def daily(rate: float) -> str:
        return shown(abs(rate) * balance.DAY, kinds.LIQUID, system)

    verdicts = {
        "more": (
            f"More than evaporation explains: about {daily(test.leak)} a day "
            f"(± {daily(test.leak_uncertainty)}) to look for as a leak."
        ),
        "within": ("Within the uncertainty: no leak shown. A longer test sees smaller leaks."),
        "less": "Less than the reference lost: check the readings, rain and filling.",
    }
    return (
        f"Drop {told(test.drop)}; evaporation explains {told(test.expected)} "
        f"± {told(test.uncertainty)}. {verdicts[test.verdict]}"
    )


@worksheet_function(
    category=_CATEGORY,
    summary="Dose of a water treatment, in the unit of its label's amount",
    arguments=(
        quantity("volume", kinds.LIQUID, "Volume of water to treat", 0.0, 1000.0),
        ratio("label_amount", "Amount on the label, in any unit", 0.0, 1e6),
        quantity("label_volume", kinds.LIQUID, "Volume that this amount is for", 1e-4, 1000.0),
    ),
    result=kinds.RATIO,
    source="The product's label, which binds",
    examples=(Example(("80 gal", "5", "100 gal"), "4"),),
)
def treatment_dose(volume: float, label_amount: float, label_volume: float) -> float:
    return balance.treatment_dose(volume, label_amount, label_volume)


_DRAINING = Group(
    "drained",
    (
        _INSIDE_LENGTH,
        _INSIDE_WIDTH,
        _WATER_DEPTH,
        length("drain_level", "Height of the drain above the floor; blank is 0", 0.0, 3.0,
               default=0.0),
    ),
    service.drain_down,
)  # fmt: skip


@worksheet_function(
    category=_CATEGORY,
    summary="Water that runs out down to the drain, with the pipe's contents",
    arguments=(
        _DRAINING,
        quantity("pipe_volume", kinds.LIQUID, "Contents of the pipe", 0.0, 10.0, default=0.0),
    ),
    result=kinds.LIQUID,
    source=_CUBOID,
    # 1.2 m² · (350 − 50) mm + 2 L = 362 L
    examples=(Example(("1200", "1000", "350", "50", "2"), "362 L", units="metric"),),
)
def drain_down(drained: DrainDown, pipe_volume: float) -> float:
    return drained.by_gravity + pipe_volume


@worksheet_function(
    category=_CATEGORY,
    summary="Water left below the drain, to pump or bail before frost",
    arguments=(_DRAINING,),
    result=kinds.LIQUID,
    source=_CUBOID,
    examples=(Example(("1200", "1000", "350", "50"), "60 L", units="metric"),),
)
def left_to_pump(drained: DrainDown) -> float:
    return drained.left


@worksheet_function(
    category=_CATEGORY,
    summary="Whether a pump or fitting comes out by the access gap",
    arguments=(
        length("gap_width", "Width of the gap", 0.0, 3.0),
        length("gap_height", "Height of the gap", 0.0, 3.0),
        length("item_width", "Width of the pump or fitting", 0.001, 3.0),
        length("item_height", "Height of the pump or fitting", 0.001, 3.0),
        length(
            "clearance",
            "Spare size wanted for hand and hose; blank is 1 in (common practice, no source)",
            0.0,
            0.3,
            default=0.0254,
        ),
    ),
    result=kinds.TEXT,
    source="Geometry",
    examples=(
        Example(("12", "8", "7", "6"), "Fits: 5 in to spare in width, 2 in in height"),
        Example(("7", "12", "10", "5"), "Fits on its side: 2 in to spare in width, 2 in in height"),
        Example(
            ("7", "6", "7", "5"),
            "Too tight: 0 in to spare in width, 1 in in height; 1 in is wanted",
        ),
        Example(("6", "6", "7", "5"), "Does not fit: 1 in too wide"),
    ),
)
def access_check(
    gap_width: float,
    gap_height: float,
    item_width: float,
    item_height: float,
    clearance: float,
    system: str,
) -> str:
    fit = service.access_fit(gap_width, gap_height, item_width, item_height, clearance)

    def told(metres: float) -> str:
        return shown(abs(metres), kinds.LENGTH, system)

    turned = " on its side" if fit.turned else ""
    over = [
        f"{told(spare)} too {word}"
        for spare, word in ((fit.spare_width, "wide"), (fit.spare_height, "high"))
        if spare < -1e-9
    ]
    if over:
        return f"Does not fit{turned}: {' and '.join(over)}"
    spare = f"{told(fit.spare_width)} to spare in width, {told(fit.spare_height)} in height"
    if fit.fits:
        return f"Fits{turned}: {spare}"
    return f"Too tight{turned}: {spare}; {told(clearance)} is wanted"
