"""Worksheet functions on water levels: what drains back, and how far the level rises."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.basin_arguments import (
    CUBOID,
    FLOW,
    INSIDE_LENGTH,
    INSIDE_WIDTH,
    WATER_BALANCE,
    WATER_DEPTH,
)
from basinbook.catalogue.model import (
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
from basinbook.engine.outfit import EFFECTS, FROM_BELOW, WAYS_IN
from basinbook.engine.water import levels
from basinbook.engine.water.levels import WaterLevel

_PIPE = quantity("pipe", kinds.LIQUID, "Water in the pipe", 0.0, 100.0)
_RIM = length("rim_height", "Height of the lowest place of the rim above the floor", 0.01, 3.0)
_DRAINED = quantity("drained_volume", kinds.LIQUID, "All that runs back into the basin", 0.0, 100.0)


@worksheet_function(
    category=WATER_BALANCE,
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
    return levels.pipe_contents(inside_diameter, pipe_length)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water in the air between a lip and the basin",
    arguments=(FLOW, length("drop", "Height of the fall", 0.0, 5.0)),
    result=kinds.LIQUID,
    source="Law of free fall",
    # 3600 L/h is 1 L/s; it falls 1.2258 m in 0.5 s: 0.5 L
    examples=(Example(("3600", "1225.8"), "0.5 L", units="metric"),),
    details="For a sheet that falls free; water running down a wall holds more.",
)
def volume_in_air(flow: float, drop: float) -> float:
    return levels.volume_in_air(flow, drop)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water that stands over a lip, notch or rim while the pump runs",
    arguments=(
        choice("effect", "What the water does, as on the Basin sheet", EFFECTS),
        length("size", "Width of lip or notch, or diameter of a bowl's rim", 0.01, 20.0),
        length("head", "Water over it", 0.0, 2.0),
        length(
            "behind",
            "How far the water stands back from a lip; blank is 300 mm (common practice, no "
            "source)",
            0.0,
            5.0,
            default=levels.BEHIND_LIP,
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
    return levels.over_outlet(effect, size, head, behind)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water in a bowl under its rim",
    arguments=(
        length("diameter", "Diameter of the rim, inside", 0.05, 5.0),
        length("depth", "Inside depth at the middle", 0.0, 2.0),
        ratio(
            "fullness",
            "Share of the cylinder about it; blank is 0.6 (no source): measure it with a bucket",
            0.2,
            1.0,
            default=levels.BOWL_FULLNESS,
        ),
    ),
    result=kinds.LIQUID,
    source="Geometry: 1/2 is a paraboloid, 2/3 half an ellipsoid, 1 a flat tub",
    # 0.6 · π/4 · 30² · 8 = 3,393 in³, of 231 to the gallon
    examples=(Example(("30", "8"), "14.7 gal"),),
)
def bowl_contents(diameter: float, depth: float, fullness: float) -> float:
    return levels.bowl_contents(diameter, depth, fullness)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water that comes back into the basin when the pump stops",
    arguments=(
        _PIPE,
        quantity("air", kinds.LIQUID, "Water in the air", 0.0, 100.0),
        quantity("over", kinds.LIQUID, "Water over lip or rim", 0.0, 100.0),
        quantity(
            "pool",
            kinds.LIQUID,
            "Water in bowl or box under lip or rim; blank is not known",
            0.0,
            100.0,
            default=None,
        ),
        choice(
            "fed",
            "How the pipe comes into bowl or box: from below (default) or over the rim, its end "
            "above the water",
            WAYS_IN,
            default=FROM_BELOW,
        ),
        choice(
            "check_valve",
            "yes where a check valve is relied on to hold; no (default): it may leak",
            ("no", "yes"),
            default="no",
        ),
    ),
    result=kinds.LIQUID,
    source="Balance of volumes; communicating vessels",
    examples=(
        Example(("0.5", "0.1", "0.5", "14.7"), "15.8 gal"),
        Example(("0.5", "0.1", "0.5", "14.7", "over the rim"), "1.1 gal"),
        Example(("0.5", "0.1", "0.5", "14.7", "from below", "yes"), "0.6 gal"),
    ),
    details=(
        "Without a check valve that holds, the pipe siphons empty through the pump, and with it "
        "what is fed from below. An end that hangs under the water counts as from below."
    ),
)
def comes_back(
    pipe: float, air: float, over: float, pool: float | None, fed: str, check_valve: str
) -> float:
    return levels.comes_back(pipe, air, over, pool, fed, check_valve)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water over the pump's top once pipe, air and lip or bowl have filled; below zero: out",
    arguments=(
        WATER_DEPTH,
        length("filled", "How far the level falls while they fill", 0.0, 3.0),
        length("pump_height", "Height of the pump", 0.001, 3.0),
    ),
    result=kinds.LENGTH,
    source="Definition",
    examples=(Example(("13", "0.5", "8"), "4.5 in"), Example(("8", "1", "8"), "-1 in")),
    details="The basin is filled to its depth before the pump starts.",
)
def pump_cover(water_depth: float, filled: float, pump_height: float) -> float:
    return levels.pump_cover(water_depth, filled, pump_height)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Rise of the level when water drains back",
    arguments=(
        _DRAINED,
        INSIDE_LENGTH,
        INSIDE_WIDTH,
    ),
    result=kinds.LENGTH,
    source=CUBOID,
    # 12 L on 1.2 m · 1 m is 10 mm
    examples=(Example(("12", "1200", "1000"), "10 mm", units="metric"),),
    details="Count the pipe, the sheet in the air and the water over the lip or in the bowl.",
)
def drain_back_rise(drained_volume: float, inside_length: float, inside_width: float) -> float:
    return levels.drain_back_rise(drained_volume, inside_length, inside_width)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Height left to the rim after the pump stops; negative where it spills",
    arguments=(
        _RIM,
        WATER_DEPTH,
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
    return levels.freeboard_left(rim_height, water_depth, rise)


@worksheet_function(
    category=WATER_BALANCE,
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
    return levels.highest_operating_depth(rim_height, rise, freeboard)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Depth, volume and height to the rim at each water level",
    arguments=(
        Group(
            "found",
            (INSIDE_LENGTH, INSIDE_WIDTH, _RIM, WATER_DEPTH, _DRAINED),
            levels.water_levels,
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
    source=CUBOID,
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
def water_levels(found: Sequence[WaterLevel]) -> list[tuple[object, ...]]:
    return [(level.name, level.depth, level.volume, level.to_rim) for level in found]
