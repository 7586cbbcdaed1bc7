"""Worksheet functions on levels through a day, a storm's rain and the overflow that carries it."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.basin_arguments import (
    INSIDE_LENGTH,
    INSIDE_WIDTH,
    WATER_BALANCE,
    WATER_DEPTH,
)
from basinbook.catalogue.fitting_rows import fitted
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
from basinbook.engine.water import overflow
from basinbook.engine.water.balance import DAY
from basinbook.engine.water.day_levels import NAMES, Basin, Moved, Overflow, Storm
from basinbook.engine.water.day_levels import day_levels as levels_of_the_day

_RIM = length("rim_height", "Height of the lowest place of the rim above the floor", 0.01, 3.0)
_HOUR = 3600.0
_CRITICAL = (
    "Critical flow at the pipe's mouth, Henderson, Open Channel Flow (1966), chapter 2; entrance "
    "loss 0.5, FHWA HDS-5; as a hole once it is drowned, 0.6, USBR Water Measurement Manual"
)


def _moved(name: str, help: str) -> Argument:
    return quantity(name, kinds.LIQUID, help, 0.0, 100.0, default=None)


_BASIN = Group(
    "basin",
    (
        INSIDE_LENGTH,
        INSIDE_WIDTH,
        _RIM,
        WATER_DEPTH,
        length("intake", "Pump's intake over the floor; blank: none", 0.0, 3.0, default=None),
    ),
    lambda inside_length, inside_width, rim_height, water_depth, intake: Basin(
        inside_length, inside_width, rim_height, water_depth, intake
    ),
)
_STORM = Group(
    "storm",
    (
        length("rain", "Rain of the storm; blank: not known", 0.0, 2.0, default=None),
        quantity("duration", kinds.HOURS, "How long it falls; blank is 1 h", 60.0, 72 * _HOUR,
                 default=_HOUR),
        quantity("catchment", kinds.AREA, "Area that it runs in from", 1e-4, 1000.0, default=None),
    ),
    Storm,
)  # fmt: skip
_ROWS = len(NAMES)


def _overflow(overflow_height: float | None, overflow_diameter: float | None) -> Overflow | None:
    if overflow_height is None or overflow_diameter is None:
        return None
    return Overflow(overflow_height, overflow_diameter)


_OVERFLOW = Group(
    "overflow_pipe",
    (
        length("overflow_height", "Bottom of the overflow pipe over the floor; blank: none",
               0.0, 3.0, default=None),
        length("overflow_diameter", "Its inside diameter", 0.005, 0.5, default=None),
    ),
    _overflow,
)  # fmt: skip


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water levels through a day: filled, start, running, stopped, storm, next fill",
    arguments=(
        _BASIN,
        choice("runs", "yes where a pump runs", ("yes", "no"), default="yes"),
        _moved("first", "Drawn at the first start: pipe, bowl or box, over the lip and in the air"),
        _moved("each", "Drawn at a later start, and back if no check valve holds"),
        _moved("back", "What comes back when the pump stops"),
        _STORM,
        quantity("evaporation", kinds.WATER_RATE, "Evaporation per day", 0.0, 1e-6, default=None),
        quantity("splash", kinds.LIQUID, "Water splashed out a day", 0.0, 100.0, default=0.0),
        ratio("days", "Days between fills; blank is 7", 0.0, 366.0, default=7.0),
        _OVERFLOW,
    ),
    result=Array(
        (
            Column("level", kinds.TEXT),
            Column("depth", kinds.LENGTH),
            Column("volume", kinds.LIQUID),
            Column("to the rim", kinds.LENGTH),
            Column("over the intake", kinds.LENGTH),
        )
    ),
    source="Balance of volumes; overflow: see OVERFLOWFLOW",
    examples=(
        # 1.2 m² of water: 12 L are 10 mm; 30 mm of rain on twice that area are 60 mm; 7 days of
        # 5 mm and of 1.2 L splashed out, 1 mm, are 42 mm.
        Example(
            ("1200", "1000", "400", "300", "100", "yes", "24", "12", "6", "30", "1", "2.4", "5",
             "1.2"),
            "1 filled, pump off\t300\t360\t100\t200\n"
            "2 first start, all filling\t280\t336\t120\t180\n"
            "3 later start, not topped up\t290\t348\t110\t190\n"
            "4 running, topped up\t300\t360\t100\t200\n"
            "5 pump stopped\t305\t366\t95\t205\n"
            "6 stopped, no valve holds\t310\t372\t90\t210\n"
            "7 stopped, after the storm\t370\t444\t30\t270\n"
            "8 running, before next fill\t248\t297.6\t152\t148",
            units="metric",
        ),
    ),
    details="Blank where something is not known. Below zero to the rim it spills; below zero over "
    "the intake the pump runs dry. Filled at rest, a start lowers the level; filled while all "
    "runs, what comes back raises it: both are shown.",
)  # fmt: skip
def day_levels(
    basin: Basin,
    runs: str,
    first: float | None,
    each: float | None,
    back: float | None,
    storm: Storm,
    evaporation: float | None,
    splash: float,
    days: float,
    overflow_pipe: Overflow | None,
) -> list[Sequence[object]]:
    loss = None if evaporation is None else evaporation + splash / basin.area / DAY
    moved = Moved(first, each, back) if runs == "yes" else None
    found = levels_of_the_day(basin, moved, storm, loss, days, overflow_pipe)
    table: list[Sequence[object]] = []
    for level in found:
        depth = level.depth
        if depth is None:
            table.append((level.name, None, None, None, None))
            continue
        over = None if basin.intake is None else depth - basin.intake
        table.append((level.name, depth, max(depth, 0.0) * basin.area, basin.rim - depth, over))
    return fitted(table, _ROWS, 5)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Flow of a storm's rain on an area",
    arguments=(
        length("rain", "Rain of the storm", 0.0, 2.0),
        quantity("duration", kinds.HOURS, "How long it falls", 60.0, 72 * _HOUR),
        quantity("area", kinds.AREA, "Area that it runs in from", 1e-4, 1e6),
    ),
    result=kinds.HOSE_FLOW,
    source="Definition",
    # 1 in on 2,180 ft² in an hour: 1,359 gal/h
    examples=(Example(("1", "1", "2180"), "22.65 gal/min"),),
    details="Even rain; the heaviest minutes of a storm are harder.",
)
def rain_flow(rain: float, duration: float, area: float) -> float:
    return overflow.rain_flow(rain, duration, area)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Flow into a level overflow pipe through the wall, falling free outside",
    arguments=(
        length("diameter", "Inside diameter of the pipe", 0.005, 0.5),
        length("head", "Water over the bottom of the pipe", -3.0, 3.0),
    ),
    result=kinds.HOSE_FLOW,
    source=_CRITICAL,
    examples=(Example(("2", "1.5"), "6.42 gal/min"), Example(("2", "-1"), "0 gal/min")),
    details="A mouth free of leaves; a grate, a bend or a rising pipe takes flow from it.",
)
def overflow_flow(diameter: float, head: float) -> float:
    return overflow.overflow_flow(diameter, head)
