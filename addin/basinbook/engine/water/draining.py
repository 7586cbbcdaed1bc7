"""How long a basin takes to run empty: by a siphon through a hose, and by its pump."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.water.pipe import PipeRun, total_head
from basinbook.engine.water.pump import PumpCurve, operating_point
from basinbook.engine.water.volume import GRAVITY

# A hose end that hangs in the water, 0.8, and the speed that is lost at its other end, 1: White,
# Fluid Mechanics, chapter 6 (from memory).
HOSE_ENDS: Final = 1.8
# So many steps, evenly in the root of the height: under half a hundredth off an integration.
_STEPS: Final = 60


def siphon_flow(head: float, hose: PipeRun) -> float:
    """Return the flow [m³/s] of a hose that runs full under a head [m], its end falling free.

    hose: its bore, length, roughness and loss coefficients, that of the lost speed among them.
    Equation: h = (f L/D + ΣK) v²/2g. Validity: no kink; the top of the hose not more than some 7 m
    over the water. Source: energy equation with Darcy-Weisbach.
    """
    if not head > 0.0:
        return 0.0
    bare = replace(hose, static_lift=0.0)
    # Without friction it would run at √(2 g h / ΣK); the speed is less than that without losses.
    low, high = 0.0, math.pi / 4.0 * hose.diameter**2 * math.sqrt(2.0 * GRAVITY * head)
    if hose.k_sum < 1.0:
        raise InputError("k_sum", hose.k_sum, "the speed lost at the end alone counts 1")
    for _ in range(50):
        middle = (low + high) / 2.0
        if total_head(middle, bare) < head:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def time_to_fall(area: float, high: float, low: float, flow_at: Callable[[float], float]) -> float:
    """Return the time [s] in which the level falls from a height to a lower one [m].

    area: of the water [m²]; flow_at: what runs out at a level [m³/s], above zero between them.
    Equation: t = ∫ A dz / Q(z), summed at the middle of steps that are finer at the low end, where
    a flow by gravity goes to nothing. Validity: vertical walls, no inflow. Source: continuity, with
    the flow of each moment as if it were steady.
    """
    if low > high:
        raise InputError("lowest", low, "allowed is at most the water depth")
    total = 0.0
    for step in range(_STEPS):
        part = (step + 0.5) / _STEPS
        level = low + (high - low) * part * part
        total += 2.0 * part * (high - low) / _STEPS / flow_at(level)
    return area * total


def siphon_time(area: float, high: float, low: float, end: float, hose: PipeRun) -> float:
    """Return the time [s] that a siphon takes to lower the level.

    area: [m²]; high, low: first and last level over the floor [m]; end: height of the hose's other
    end over the floor [m], below zero under it. Raises InputError where the level does not stay
    over the end: with friction it never falls quite so far.
    Equation and source: those of ``time_to_fall`` and ``siphon_flow``.
    """
    if low < end or high <= end or (low == end and hose.length > 0.0):
        raise InputError("end", end, "the other end must lie lower than the water")
    return time_to_fall(area, high, low, lambda level: siphon_flow(level - end, hose))


def pump_time(
    area: float, high: float, low: float, top: float, curve: PumpCurve, hose: PipeRun
) -> float:
    """Return the time [s] that a pump takes to lower the level, through a hose over the wall.

    area: [m²]; high, low: first and last level over the floor [m]; top: highest place of the hose
    over the floor [m], which it lifts to. Raises InputError where the pump can't lift so high at
    the last level. Equation and source: those of ``time_to_fall`` and ``operating_point``.
    """
    return area * _pump_time_per_area(high, low, top, curve, hose)


# A basin of another length runs empty at the same flows.
@lru_cache(maxsize=64)
def _pump_time_per_area(
    high: float, low: float, top: float, curve: PumpCurve, hose: PipeRun
) -> float:
    """Return the time that a pump takes for each square metre of water [s/m²]."""

    def flow_at(level: float) -> float:
        return operating_point(curve, replace(hose, static_lift=max(0.0, top - level))).flow

    return time_to_fall(1.0, high, low, flow_at)
