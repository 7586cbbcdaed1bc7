"""Rain on a basin, and the overflow pipe that is to carry it."""

from __future__ import annotations

import math
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.water.volume import GRAVITY

# Of a pipe end cut square in a wall: FHWA, Hydraulic Design of Highway Culverts (HDS-5), table of
# entrance losses; and of a square-edged hole (USBR, Water Measurement Manual, chapter 9).
ENTRANCE_LOSS: Final = 0.5
ORIFICE: Final = 0.6


def rain_flow(rain: float, duration: float, area: float) -> float:
    """Return the flow [m³/s] of a rain [m] that falls evenly for a time [s] on an area [m²].

    Equation: Q = i · A. Raises InputError without a time. Source: definition.
    """
    if not duration > 0.0:
        raise InputError("duration", duration, "give a time above zero")
    return rain * area / duration


def overflow_flow(diameter: float, head: float) -> float:
    """Return the flow [m³/s] into a level overflow pipe through a wall, falling free outside.

    diameter: inside [m]; head: of the basin's water over the bottom of the pipe [m].
    Equations: part full, critical depth y at its mouth: Q = A √(g A/T) at H = y + (1 + Ke) A/(2T);
    full, as a hole: Q = C A √(2g (H - D/2)); the lesser of both. Ke = 0.5, C = 0.6.
    Validity: a mouth free of leaves, a grate or a bend (each takes flow), and a pipe that falls
    away outside. Source: critical flow, Henderson, Open Channel Flow (1966), chapter 2; Ke: FHWA,
    HDS-5; C: USBR, Water Measurement Manual, chapter 9 (all from memory).
    """
    if not diameter > 0.0:
        raise InputError("diameter", diameter, "give a diameter above zero")
    if head <= 0.0:
        return 0.0
    # The angle of the wetted arc: the head rises with it, without end as the pipe fills.
    low, high = 0.0, 2.0 * math.pi
    for _ in range(60):
        middle = (low + high) / 2.0
        if _critical(diameter, middle)[1] < head:
            low = middle
        else:
            high = middle
    flow = _critical(diameter, low)[0]
    above = head - diameter / 2.0
    if above > 0.0:
        full = ORIFICE * math.pi / 4.0 * diameter**2 * math.sqrt(2.0 * GRAVITY * above)
        # Under the top of the mouth a hole runs part full: there only the other formula counts.
        if head >= diameter:
            flow = min(flow, full)
    return flow


def overflow_head(diameter: float, flow: float, most: float = 3.0) -> float:
    """Return the head [m] over the bottom of an overflow pipe at a flow [m³/s].

    diameter: inside [m]; most: head to look up to [m]. Raises InputError where the pipe does not
    carry the flow at that head. Equation, validity and source: those of ``overflow_flow``.
    """
    if overflow_flow(diameter, most) < flow:
        raise InputError("flow", flow, "the pipe does not carry it: give a wider one")
    low, high = 0.0, most
    for _ in range(60):
        middle = (low + high) / 2.0
        if overflow_flow(diameter, middle) < flow:
            low = middle
        else:
            high = middle
    return high


def _critical(diameter: float, angle: float) -> tuple[float, float]:
    """Return flow [m³/s] and head [m] with critical depth of a wetted arc's angle."""
    if angle <= 0.0:
        return 0.0, 0.0
    depth = diameter / 2.0 * (1.0 - math.cos(angle / 2.0))
    area = diameter**2 / 8.0 * (angle - math.sin(angle))
    width = diameter * math.sin(angle / 2.0)
    if width <= 1e-12 * diameter:
        return math.inf, math.inf
    mean = area / width
    return area * math.sqrt(GRAVITY * mean), depth + (1.0 + ENTRANCE_LOSS) * mean / 2.0
