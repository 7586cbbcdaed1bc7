"""Loads of the water on the walls and of the basin on the ground.

Results are ratios of what resists to what drives; they are no design and no proof of stability.
"""

from __future__ import annotations

from basinbook.engine.water.loads.ground import (
    FOOT,
    FRICTIONS,
    SOILS,
    BearingPressure,
    Soil,
    bearing_pressure,
    block_density,
    spread_pressure,
    toe_pressure,
)
from basinbook.engine.water.loads.pressure import (
    PressureAt,
    pressure_table,
    wall_force,
    wall_thrust,
    wall_weight,
    water_moment,
    water_pressure,
)
from basinbook.engine.water.loads.ratios import (
    bearing_ratio,
    bond_ratio,
    bond_shear,
    overturning_ratio,
    rounded_down,
    sliding_ratio,
)
from basinbook.engine.water.loads.strip import (
    Band,
    JointLoad,
    Least,
    StripCourse,
    WallLoad,
    WallStrip,
    even_strip,
    joint_loads,
    least_favourable,
    strip_loads,
    wall_load,
)
from basinbook.engine.water.loads.verdict import (
    DESIGN_DEPTH,
    LEAST_STABILITY_RATIO,
    PERMIT_HEIGHT,
    Trigger,
    engineer_triggers,
)

__all__ = [
    "DESIGN_DEPTH",
    "FOOT",
    "FRICTIONS",
    "LEAST_STABILITY_RATIO",
    "PERMIT_HEIGHT",
    "SOILS",
    "Band",
    "BearingPressure",
    "JointLoad",
    "Least",
    "PressureAt",
    "Soil",
    "StripCourse",
    "Trigger",
    "WallLoad",
    "WallStrip",
    "bearing_pressure",
    "bearing_ratio",
    "block_density",
    "bond_ratio",
    "bond_shear",
    "engineer_triggers",
    "even_strip",
    "joint_loads",
    "least_favourable",
    "overturning_ratio",
    "pressure_table",
    "rounded_down",
    "sliding_ratio",
    "spread_pressure",
    "strip_loads",
    "toe_pressure",
    "wall_force",
    "wall_load",
    "wall_thrust",
    "wall_weight",
    "water_moment",
    "water_pressure",
]
