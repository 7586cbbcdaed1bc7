"""Worksheet functions on splash, top-up, the leak test and treatment."""

from __future__ import annotations

from functools import partial

from basinbook.catalogue.basin_arguments import AREA, FLOW, WATER_BALANCE
from basinbook.catalogue.model import (
    Example,
    Group,
    choice,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import balance, leak
from basinbook.engine.water.leak import LeakTest
from basinbook.units import shown


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water splashed out in a day",
    arguments=(
        FLOW,
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
    category=WATER_BALANCE,
    summary="Share of the flow that splashes out, from the drops with the pump on and off",
    arguments=(
        length("drop_running", "Drop of the level with the pump running", 0.0, 1.0),
        length("drop_still", "Drop over the same time with the pump stopped", 0.0, 1.0),
        AREA,
        FLOW,
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
    category=WATER_BALANCE,
    summary="Water to top up in a week without rain",
    arguments=(
        quantity("evaporation", kinds.WATER_RATE, "Evaporation per day", 0.0, 1e-6),
        AREA,
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
        tuple(leak.PAN_COEFFICIENTS),
        default="bucket",
    ),
    ratio(
        "uncertainty",
        "Standard, of the reference, as a part; blank is 10% bucket, 20% pan, 30% computed (no "
        "source)",
        default=None,
    ),
    length(
        "reading_error",
        "Standard error of one reading; blank is 1 mm (no source)",
        0.0,
        0.02,
        default=leak.READING_ERROR,
    ),
    ratio(
        "coverage",
        "Coverage factor k; blank is 2: a tight basin fails in some 2.5% of tests",
        1.0,
        3.0,
        default=leak.COVERAGE,
    ),
)
_LEAK_SOURCE = (
    "Combined uncertainty: JCGM 100:2008, 5.1.2, coverage factor: 6.2 and G.6.6; pan coefficient "
    "0.70: Kohler, Nordenson and Fox (1955), US Weather Bureau Research Paper 38; the bucket as "
    "reference: common practice"
)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Drop of the level above which evaporation no longer explains it",
    arguments=(Group("test", _LEAK_ARGUMENTS, partial(leak.leak_test, drop=0.0, area=1.0)),),
    result=kinds.LENGTH,
    source=_LEAK_SOURCE,
    # 6 + 2 · √((0.10 · 6)² + 4 · 1²) = 6 + 2 · 2.088 mm
    examples=(Example(("6", "24"), "10.2 mm", units="metric"),),
    details="Pump off all the time, and all run back before the first reading; no rain.",
)
def leak_threshold(test: LeakTest) -> float:
    return test.threshold


@worksheet_function(
    category=WATER_BALANCE,
    summary="What a drop of the level says: evaporation or a leak",
    arguments=(Group("test", (_DROP, AREA, *_LEAK_ARGUMENTS), leak.leak_test),),
    result=kinds.TEXT,
    source=_LEAK_SOURCE,
    details="Pump off all the time, and all run back before the first reading; no rain.",
    examples=(
        # (20 − 6) mm · 1.2 m² in 24 h = 16.8 L a day
        Example(
            ("20", "1.2", "6", "24"),
            "Drop 20 mm; evaporation explains 6 mm ± 4.2 mm (k = 2). More than evaporation "
            "explains: about 16.8 L a day (± 5 L) to look for as a leak.",
            units="metric",
        ),
        Example(
            ("7", "1.2", "6", "24"),
            "Drop 7 mm; evaporation explains 6 mm ± 4.2 mm (k = 2). Within the uncertainty: no "
            "leak shown. A longer test sees smaller leaks.",
            units="metric",
        ),
        Example(
            ("1", "1.2", "6", "24"),
            "Drop 1 mm; evaporation explains 6 mm ± 4.2 mm (k = 2). Less than the reference lost: "
            "check the readings, rain and filling.",
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
        f"± {told(test.uncertainty)} (k = {test.coverage:g}). {verdicts[test.verdict]}"
    )


@worksheet_function(
    category=WATER_BALANCE,
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
