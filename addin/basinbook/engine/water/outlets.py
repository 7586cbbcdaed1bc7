"""Flow and head of outlets that are no weir: hole, pipe spout, scupper, riser of a bubbler.

Each flow carries the status that a weir's does: how far the tests behind its formula reach.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.water.volume import GRAVITY
from basinbook.engine.water.weir import Lip, lip_flow, lip_head
from basinbook.engine.water.weir_flow import (
    BELOW,
    CLOSE,
    IF_CONTRACTED,
    OUTSIDE,
    WITHIN,
    WeirFlow,
)

_INCH, _FOOT = 0.0254, 0.3048
_GALLON_A_MINUTE: Final = 3.785411784e-3 / 60.0
# Where the search for a head or depth ends [m]; no pump of a basin comes near it.
HIGHEST_HEAD: Final = 30.0

ORIFICE_SOURCE: Final = (
    "Torricelli; coefficient of Unwin after the tests of Mair, Encyclopaedia Britannica, 11th ed., "
    "1911, vol. 14, Hydraulics"
)
# The tests: Mair's, 1 to 3 in and 0.75 to 2 ft; Bovey's, 1/2 in and to 20 ft.
_HOLE: Final = (0.5 * _INCH, 3.0 * _INCH)
_HOLE_HEADS: Final = (0.75 * _FOOT, 20.0 * _FOOT)
# Free room from the edge of the hole to the nearest wall or floor, in diameters.
_ROOM: Final = 2.0

SPOUT_SOURCE: Final = (
    "California pipe method (Vanleer 1922, 1924), U.S. Bureau of Reclamation, Water Measurement "
    "Manual, 3rd ed., ch. 14"
)
_SPOUTS: Final = (3.0 * _INCH, 10.0 * _INCH)
# Depth at the end over the bore to which the method is used (from memory).
_HALF_FULL: Final = 0.56

RISER_SOURCE: Final = (
    "Lawrence and Braunworth 1906, Stock 1955, in Bos, Discharge Measurement Structures, 1989, and "
    "U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., sec. 14-13"
)
_RISERS: Final = (2.0 * _INCH, 12.0 * _INCH)
# Height over the bore up to which it wells over like a weir, and from which it is a jet.
_WELLS, _JETS = 0.37, 1.4
_WELL_POWER, _JET_POWER = 1.35, 0.53


def orifice_coefficient(head: float, diameter: float) -> float:
    """Return the coefficient of discharge [-] of a sharp round hole under a head [m].

    diameter: [m]. Equation: C = 0.6075 + 0.0098/√h - 0.0037 d, h in feet and d in inches (Unwin).
    Validity: d from 1/2 to 3 in, h from 0.75 to 20 ft; outside of it the value at its limit is
    taken. Source: as orifice_flow.
    """
    feet = min(max(head, _HOLE_HEADS[0] / 3.0), _HOLE_HEADS[1]) / _FOOT
    inches = min(max(diameter, _HOLE[0]), _HOLE[1]) / _INCH
    return 0.6075 + 0.0098 / math.sqrt(feet) - 0.0037 * inches


def orifice_flow(head: float, diameter: float, room: float | None = None) -> WeirFlow:
    """Return the flow [m³/s] of a sharp round hole in a thin plate or wall, running into the air.

    head: from the water down to the middle of the hole [m]; diameter: [m]; room: from the edge of
    the hole to the nearest wall or floor of the pool behind [m], None where not known.
    Equation: Q = C π/4 d² √(2 g h), C of orifice_coefficient. Validity: as there; h from d on
    (under it the pull over the hole is uneven: 1 % less at h = d); fully contracted: room of 2 d.
    A thick wall with a square edge gives up to a third more once the water clings to the bore.
    Raises InputError without head or hole, and where the hole is not covered.
    Source: Torricelli; Unwin and Mair, Encyclopaedia Britannica, 11th ed., vol. 14, Hydraulics;
    room: USBR, Water Measurement Manual, 3rd ed., ch. 9 (from memory).
    """
    _needs(diameter, "diameter")
    if not head > 0.5 * diameter:
        raise InputError("head", head, "the hole must be under water: half its diameter or more")
    flow = math.pi / 4.0 * diameter**2 * math.sqrt(2.0 * GRAVITY * head)
    flow *= orifice_coefficient(head, diameter)
    return WeirFlow(flow, head, _orifice_status(head, diameter, room), ORIFICE_SOURCE)


def _orifice_status(head: float, diameter: float, room: float | None) -> str:
    fits = _within(diameter, _HOLE) and diameter <= head * CLOSE and head <= _HOLE_HEADS[1] * CLOSE
    if not fits or (room is not None and room * CLOSE < _ROOM * diameter):
        return OUTSIDE
    if head * CLOSE < _HOLE_HEADS[0]:
        return BELOW
    return IF_CONTRACTED if room is None else WITHIN


def orifice_head(flow: float, diameter: float, room: float | None = None) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] through a hole: the inverse of orifice_flow."""
    _needs(diameter, "diameter")
    return _inverse(flow, lambda head: orifice_flow(head, diameter, room), 0.5 * diameter)


def spout_flow(end_depth: float, inside_diameter: float) -> WeirFlow:
    """Return the flow [m³/s] of a level pipe that ends free in the air and runs partly full.

    end_depth: of the water at the very end of the pipe [m]; inside_diameter: [m].
    Equation: Q = 8.69 (1 - a/d)^1.88 d^2.48 in feet and seconds, a the air over the water.
    Validity: d from 3 to 10 in, depth to 0.56 d (from memory), a level pipe of 6 d and more. The
    WeirFlow's head is the depth. Raises InputError without depth or bore, and for a depth over the
    bore. Source: California pipe method, USBR, Water Measurement Manual, 3rd ed., ch. 14.
    """
    _needs(inside_diameter, "inside_diameter")
    if not 0.0 < end_depth <= inside_diameter * CLOSE:
        raise InputError("end_depth", end_depth, "allowed is above zero to the inside diameter")
    filled = min(end_depth / inside_diameter, 1.0)
    flow = 8.69 * filled**1.88 * (inside_diameter / _FOOT) ** 2.48 * _FOOT**3
    tested = _within(inside_diameter, _SPOUTS) and filled <= _HALF_FULL * CLOSE
    return WeirFlow(flow, end_depth, WITHIN if tested else OUTSIDE, SPOUT_SOURCE)


def spout_depth(flow: float, inside_diameter: float) -> WeirFlow:
    """Return the depth [m] at the end of a level spout for a flow [m³/s], full at the most.

    The inverse of spout_flow; a flow over that of the full bore fills it, and the formula no longer
    holds it. Raises InputError without flow or bore.
    """
    _needs(inside_diameter, "inside_diameter")
    _needs(flow, "flow")
    full = spout_flow(inside_diameter, inside_diameter)
    share = min(flow / full.flow, 1.0)
    found = spout_flow(inside_diameter * share ** (1.0 / 1.88), inside_diameter)
    return WeirFlow(flow, found.head, found.status, found.source)


def spout_throw(flow: float, inside_diameter: float, drop: float) -> float:
    """Return how far [m] from its end a level spout throws its water over a drop [m].

    flow: [m³/s]; inside_diameter: [m]; drop: from the middle of the water at the end [m].
    Equation: x = v √(2 y / g), v = Q over the wetted area at the end (spout_depth). Validity: that
    of spout_flow, a full pipe well; no air in the jet, no wind. Raises InputError as spout_depth.
    Source: law of free fall, as the trajectory method of the Water Measurement Manual, ch. 14.
    """
    depth = spout_depth(flow, inside_diameter).head
    radius = inside_diameter / 2.0
    angle = math.acos(max(-1.0, 1.0 - depth / radius))
    wet = radius**2 * (angle - math.sin(angle) * math.cos(angle))
    return flow / wet * math.sqrt(2.0 * drop / GRAVITY)


def riser_flow(height: float, inside_diameter: float) -> WeirFlow:
    """Return the flow [m³/s] of an upright pipe whose water stands over its end.

    height: of the water or jet over the pipe's end [m]; inside_diameter: [m].
    Equation, in gal/min and inches: 6.17 d^1.25 h^1.35 up to h = 0.37 d, where it wells over like a
    weir; 5.01 d^1.99 h^0.53 from 1.4 d on, a jet; between them our own smooth curve through both
    (cubic in the logarithms). Validity: d from 2 to 12 in; ±15 % and ±10 %. Raises InputError
    without height or bore. Source: Bos 1989; USBR, Water Measurement Manual, 3rd ed., sec. 14-13.
    """
    _needs(inside_diameter, "inside_diameter")
    _needs(height, "height")
    d, h = inside_diameter / _INCH, height / _INCH
    low, high = _WELLS * d, _JETS * d
    if h <= low:
        flow = _welling(h, d)
    elif h >= high:
        flow = _jet(h, d)
    else:
        span = math.log(high / low)
        ends = (math.log(_welling(low, d)), math.log(_jet(high, d)))
        slopes = (_WELL_POWER * span, _JET_POWER * span)
        flow = math.exp(_smooth(math.log(h / low) / span, ends, slopes))
    status = WITHIN if _within(inside_diameter, _RISERS) else OUTSIDE
    return WeirFlow(flow * _GALLON_A_MINUTE, height, status, RISER_SOURCE)


def _welling(h: float, d: float) -> float:
    return float(6.17 * d**1.25 * h**_WELL_POWER)


def _jet(h: float, d: float) -> float:
    return float(5.01 * d**1.99 * h**_JET_POWER)


def _smooth(at: float, ends: tuple[float, float], slopes: tuple[float, float]) -> float:
    """Return the cubic with these values and slopes at 0 and 1."""
    square, cube = at * at, at**3
    return (
        (1.0 - 3.0 * square + 2.0 * cube) * ends[0]
        + (at - 2.0 * square + cube) * slopes[0]
        + (3.0 * square - 2.0 * cube) * ends[1]
        + (cube - square) * slopes[1]
    )


def riser_height(flow: float, inside_diameter: float) -> WeirFlow:
    """Return the height [m] of the water over a riser for a flow [m³/s]: inverse of riser_flow."""
    _needs(inside_diameter, "inside_diameter")
    return _inverse(flow, lambda height: riser_flow(height, inside_diameter), 0.0)


def scupper_flow(
    head: float, width: float, wall_thickness: float, opening_height: float | None = None
) -> WeirFlow:
    """Return the flow [m³/s] through a scupper: a rectangular opening through a wall.

    head: of the water behind over the opening's floor [m]; width, wall_thickness (along the flow):
    [m]; opening_height: None where it is open at the top [m].
    Equation: that of a square-edged slab with both ends contracted, lip_flow. Validity: its
    contracted ends make it a rule of thumb at any head. Raises InputError where the water reaches
    the top of the opening, which then runs full and is no weir, and as lip_flow does. Source: that
    of lip_flow.
    """
    if opening_height is not None and head > opening_height * CLOSE:
        raise InputError("head", head, "the water is over the opening's top; give a larger one")
    return lip_flow(head, _scupper(width, wall_thickness))


def scupper_head(
    flow: float, width: float, wall_thickness: float, opening_height: float | None = None
) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] through a scupper: the inverse of scupper_flow."""
    found = lip_head(flow, _scupper(width, wall_thickness))
    if opening_height is not None and found.head > opening_height * CLOSE:
        raise InputError("flow", flow, "the opening is too low for this flow; give a larger one")
    return found


def _scupper(width: float, wall_thickness: float) -> Lip:
    return Lip(width, "thick", wall_thickness, 2)


def _needs(value: float, argument: str) -> None:
    if not value > 0.0:
        raise InputError(argument, value, "give a value above zero")


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value * CLOSE and value <= limits[1] * CLOSE


def _inverse(flow: float, flow_at: Callable[[float], WeirFlow], least: float) -> WeirFlow:
    """Return the head [m] over a least one at which an outlet gives a flow [m³/s]."""
    from fluids.numerics import brenth

    _needs(flow, "flow")
    low = max(least * CLOSE, 1e-9)
    if flow_at(low).flow >= flow:
        raise InputError("flow", flow, "the flow is too small for this opening")
    if flow_at(HIGHEST_HEAD).flow < flow:
        raise InputError("flow", flow, "no head up to 100 ft (30 m) gives this flow; give a wider "
                         "opening")  # fmt: skip

    def excess(head: float) -> float:
        return flow_at(head).flow / flow - 1.0

    head = float(brenth(excess, low, HIGHEST_HEAD, xtol=1e-13))  # type: ignore[no-untyped-call]
    found = flow_at(head)
    return WeirFlow(flow, head, found.status, found.source)
