"""Worksheet functions on draining down and access."""

from __future__ import annotations

from basinbook.catalogue.basin_arguments import (
    CUBOID,
    INSIDE_LENGTH,
    INSIDE_WIDTH,
    WATER_BALANCE,
    WATER_DEPTH,
)
from basinbook.catalogue.declarations.pipe import CURVE
from basinbook.catalogue.model import (
    Example,
    Group,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import draining, service
from basinbook.engine.water.pipe import PipeRun
from basinbook.engine.water.pump import PumpCurve
from basinbook.engine.water.service import DrainDown
from basinbook.units import shown

_DRAINING = Group(
    "drained",
    (
        INSIDE_LENGTH,
        INSIDE_WIDTH,
        WATER_DEPTH,
        length("drain_level", "Height of the drain above the floor; blank is 0", 0.0, 3.0,
               default=0.0),
    ),
    service.drain_down,
)  # fmt: skip


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water that runs out down to the drain, with the pipe's contents",
    arguments=(
        _DRAINING,
        quantity("pipe_volume", kinds.LIQUID, "Contents of the pipe", 0.0, 10.0, default=0.0),
    ),
    result=kinds.LIQUID,
    source=CUBOID,
    # 1.2 m² · (350 − 50) mm + 2 L = 362 L
    examples=(Example(("1200", "1000", "350", "50", "2"), "362 L", units="metric"),),
)
def drain_down(drained: DrainDown, pipe_volume: float) -> float:
    return drained.by_gravity + pipe_volume


@worksheet_function(
    category=WATER_BALANCE,
    summary="Water left below the drain, to pump or bail before frost",
    arguments=(_DRAINING,),
    result=kinds.LIQUID,
    source=CUBOID,
    examples=(Example(("1200", "1000", "350", "50"), "60 L", units="metric"),),
)
def left_to_pump(drained: DrainDown) -> float:
    return drained.left


_LOWEST = length("lowest", "Level that it is lowered to", 0.0, 3.0)
_HOSE = Group(
    "hose",
    (
        length("hose_bore", "Inside diameter of the hose", 0.003, 0.2),
        quantity("hose_length", kinds.RUN, "Length of the hose", 0.1, 200.0),
        ratio(
            "k_sum",
            "Loss coefficients of its ends; blank is 1.8: hung in, and the speed lost at its end",
            1.0,
            50.0,
            default=draining.HOSE_ENDS,
        ),
    ),
    lambda hose_bore, hose_length, k_sum: PipeRun(0.0, hose_bore, hose_length, k_sum=k_sum),
)
_FALLING_HEAD = "Falling head, by steps: continuity and the energy equation with Darcy-Weisbach"


@worksheet_function(
    category=WATER_BALANCE,
    summary="Time to drain a basin by a siphon through a hose",
    arguments=(
        INSIDE_LENGTH,
        INSIDE_WIDTH,
        WATER_DEPTH,
        _LOWEST,
        length("below", "Other end of the hose under the floor; below zero: over it", -3.0, 30.0),
        _HOSE,
    ),
    result=kinds.HOURS,
    source=_FALLING_HEAD,
    examples=(Example(("64", "46", "17", "1", "24", "5/8", "25"), "1.04 h"),),
    details="The hose runs full, without a kink, its end in the air. Friction of a smooth hose.",
)
def drain_time_siphon(
    inside_length: float,
    inside_width: float,
    water_depth: float,
    lowest: float,
    below: float,
    hose: PipeRun,
) -> float:
    return draining.siphon_time(inside_length * inside_width, water_depth, lowest, -below, hose)


@worksheet_function(
    category=WATER_BALANCE,
    summary="Time to drain a basin by its pump through a hose over the wall",
    arguments=(
        INSIDE_LENGTH,
        INSIDE_WIDTH,
        WATER_DEPTH,
        _LOWEST,
        length("top", "Top of the wall, over the floor, that the hose goes over", 0.0, 10.0),
        CURVE,
        _HOSE,
    ),
    result=kinds.HOURS,
    source=_FALLING_HEAD,
    examples=(
        Example(
            ("64", "46", "17", "8", "22", "[[0],[400],[800],[1200]]", "[[10],[9],[7],[3]]", "1",
             "25"),
            "0.12 h",
        ),
    ),
    details="The pump lifts to the top of the wall, as long as the hose is not run full by it.",
)  # fmt: skip
def drain_time_pump(
    inside_length: float,
    inside_width: float,
    water_depth: float,
    lowest: float,
    top: float,
    curve: PumpCurve,
    hose: PipeRun,
) -> float:
    area = inside_length * inside_width
    return draining.pump_time(area, water_depth, lowest, top, curve, hose)


@worksheet_function(
    category=WATER_BALANCE,
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
