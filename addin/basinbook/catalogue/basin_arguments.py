"""Arguments that several declarations on the water in a basin share."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue.model import length, quantity
from basinbook.engine import kinds

WATER_BALANCE: Final = "Water balance"
CUBOID: Final = "Geometry of a cuboid"
INSIDE_LENGTH = length("inside_length", "Clear inside length between the walls", 0.05, 30.0)
INSIDE_WIDTH = length("inside_width", "Clear inside width between the walls", 0.05, 30.0)
WATER_DEPTH = length("water_depth", "Depth of the water above the floor", 0.0, 3.0)
AREA = quantity("area", kinds.AREA, "Area of the water surface", 1e-4, 1000.0)
FLOW = quantity("flow", kinds.PUMP_FLOW, "Flow of the pump", 1e-7, 0.1)
