"""Worksheet functions on draining down and access."""

from __future__ import annotations

from basinbook.catalogue.basin_arguments import (
    CUBOID,
    INSIDE_LENGTH,
    INSIDE_WIDTH,
    WATER_BALANCE,
    WATER_DEPTH,
)
from basinbook.catalogue.model import (
    Example,
    Group,
    length,
    quantity,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import service
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
