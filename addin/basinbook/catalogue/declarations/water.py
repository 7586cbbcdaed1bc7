"""Worksheet functions on the water in the basin."""

from __future__ import annotations

from basinbook.catalogue.model import Example, length, quantity, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.water import volume as water

_CATEGORY = "Water"


@worksheet_function(
    category=_CATEGORY,
    summary="Volume of water in a rectangular basin",
    arguments=(
        length("inside_length", "Clear inside length between the walls", 0.05, 30.0),
        length("inside_width", "Clear inside width between the walls", 0.05, 30.0),
        length("water_depth", "Depth of the water", 0.0, 3.0),
    ),
    result=kinds.LIQUID,
    source="Geometry of a cuboid",
    examples=(
        # 48 · 24 · 16 in³ = 18,432 in³; one US gallon is 231 in³ (NIST Handbook 44, appendix C).
        Example(("48", "24", "16"), "79.8 gal"),
        Example(("1.2 m", "600", "400"), "288 L", units="metric"),
    ),
)
def water_volume(inside_length: float, inside_width: float, water_depth: float) -> float:
    return water.water_volume(inside_length, inside_width, water_depth)


@worksheet_function(
    category=_CATEGORY,
    summary="Weight of a volume of water",
    arguments=(
        quantity("volume", kinds.LIQUID, "Volume of water", 0.0, 1000.0),
        quantity(
            "density", kinds.DENSITY, "Density of water; blank is 62.4 lb/ft³ (1000 kg/m³)",
            900.0, 1100.0, default=water.WATER_DENSITY,
        ),
    ),
    result=kinds.MASS,
    source="Definition of density",
    examples=(Example(("100 L",), "100 kg", units="metric"),),
)  # fmt: skip
def water_weight(volume: float, density: float) -> float:
    return water.water_weight(volume, density)


@worksheet_function(
    category=_CATEGORY,
    summary="Time to fill a volume from a hose",
    arguments=(
        quantity("volume", kinds.LIQUID, "Volume to fill", 0.0, 1000.0),
        quantity("hose_flow", kinds.HOSE_FLOW, "Flow measured at the hose", 1e-6, 0.1),
    ),
    result=kinds.HOURS,
    source="Definition of volume flow",
    examples=(Example(("300 L", "10"), "0.5 h", units="metric"),),
)
def fill_time(volume: float, hose_flow: float) -> float:
    return water.fill_time(volume, hose_flow)
