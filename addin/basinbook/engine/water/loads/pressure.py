"""Pressure, thrust and moment of still water on an upright wall, and the weight of a wall."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.water.volume import GRAVITY, WATER_DENSITY


class PressureAt(NamedTuple):
    """The pressure of the water [Pa] at a depth [m]."""

    depth: float
    pressure: float


def water_pressure(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the pressure of still water [Pa] over that of the air, at a depth [m].

    density: [kg/m³]. Equation: p = ρ · g · h. Source: hydrostatics.
    """
    return density * GRAVITY * depth


def pressure_table(
    depth: float, steps: int, density: float = WATER_DENSITY
) -> tuple[PressureAt, ...]:
    """Return depths [m] from 0 to ``depth`` in equal steps, each with its pressure [Pa].

    The result has steps + 1 rows. Equation and source: those of ``water_pressure``. Raises
    InputError for fewer than one step.
    """
    if steps < 1:
        raise InputError("steps", steps, "allowed is 1 or more")
    depths = (depth * step / steps for step in range(steps + 1))
    return tuple(PressureAt(each, water_pressure(each, density)) for each in depths)


def wall_thrust(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the thrust of water of a depth [m] per unit length of wall [N/m].

    It acts at a third of the depth above the floor. Equation: P = ρ · g · h² / 2.
    Source: hydrostatics.
    """
    return water_pressure(depth, density) * depth / 2.0


def wall_force(depth: float, length: float, density: float = WATER_DENSITY) -> float:
    """Return the thrust on a whole wall of an inside length [m], as a force [N].

    depth: of the water [m]; density: [kg/m³]. Equation: F = P · L. Source: hydrostatics.
    """
    return wall_thrust(depth, density) * length


def water_moment(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the moment of the thrust about the floor, per unit length [N·m/m].

    Equation: M = P · h / 3 = ρ · g · h³ / 6. Source: hydrostatics.
    """
    return wall_thrust(depth, density) * depth / 3.0


def wall_weight(
    thickness: float,
    height: float,
    density: float,
    cap_depth: float = 0.0,
    cap_height: float = 0.0,
) -> float:
    """Return the weight of a wall per unit length [N/m].

    thickness, height: of the block wall [m]; density: of block and cap [kg/m³], cores counted
    as empty; cap_depth, cap_height: of the cap's section [m]. Equation: G = ρ · g · A. Source:
    definition of weight.
    """
    return density * GRAVITY * (thickness * height + cap_depth * cap_height)
