"""Flow through a sharp V-notch, and the head for a wanted flow."""

from __future__ import annotations

import math

from basinbook.engine.errors import InputError
from basinbook.engine.water.volume import GRAVITY
from basinbook.engine.water.weir_flow import (
    BELOW,
    BRACKET,
    CLOSE,
    IF_CONTRACTED,
    LEAST_HEAD,
    OUTSIDE,
    THIN_SHEET,
    THUMB,
    WITHIN,
    WeirFlow,
    inverse,
)

SOURCE = (
    "Kindsvater-Shen formula for V-notches, in U.S. Bureau of Reclamation, Water Measurement "
    "Manual, 3rd ed., sec. 7-7, and ISO 1438"
)
# Angle [degrees], Ce, and kh [mm]: points of the curves of figures 7-6a and 7-6b of the Water
# Measurement Manual, which are those of ISO 1438 (points from memory: Ce ±0.001, kh ±0.1 mm).
# The last row goes on along the curve's end, outside of the tests.
CURVES = (
    (20.0, 0.592, 2.75),
    (30.0, 0.586, 2.15),
    (40.0, 0.582, 1.70),
    (50.0, 0.579, 1.35),
    (60.0, 0.577, 1.15),
    (70.0, 0.576, 1.00),
    (80.0, 0.576, 0.90),
    (90.0, 0.578, 0.85),
    (100.0, 0.581, 0.85),
    (120.0, 0.587, 0.85),
)
LEAST_ANGLE, MOST_ANGLE = CURVES[0][0], CURVES[-1][0]
_TESTED_ANGLES = (25.0, 100.0)
# Limits of a fully contracted notch: greatest head, H/p, H/B, and least p and B [m].
_MOST_HEAD = 1.25 * 0.3048
_MOST_TO_CREST, _MOST_TO_WIDTH = 0.4, 0.2
_LEAST_CREST, _LEAST_APPROACH = 1.5 * 0.3048, 3.0 * 0.3048


def v_notch_flow(
    head: float,
    angle: float,
    crest_height: float | None = None,
    approach_width: float | None = None,
) -> WeirFlow:
    """Return the flow through a sharp V-notch of an angle [degrees] at a head [m] over its point.

    crest_height: the notch's point over the floor behind it; approach_width: of the water behind
    it [m]; None where not known: then the status says so. They don't change the flow.
    Equation: Q = 8/15 Ce √(2g) tan(θ/2) (H + kh)^2.5, with Ce and kh by the angle on straight
    lines between points of the published curves (at 90°: 0.578 and 0.85 mm).
    Validated for 25° to 100°, H from 0.2 ft (61 mm) to 1.25 ft (0.38 m), fully contracted: H/p to
    0.4, H/B to 0.2, p from 1.5 ft (0.46 m), B from 3 ft (0.91 m).
    Source: USBR, Water Measurement Manual, 3rd ed., sec. 7-7 and fig. 7-6; ISO 1438 (points of the
    curves and H/p from memory). Raises InputError without a head, and outside 20° to
    120°.
    """
    if not head > 0.0:
        raise InputError("head", head, "there is no flow without a head above zero in the notch")
    if not LEAST_ANGLE <= angle <= MOST_ANGLE:
        raise InputError("angle", angle, "allowed is 20 to 120 degrees")
    ce, added = _curves(angle)
    half = math.tan(math.radians(angle) / 2.0)
    flow = 8.0 / 15.0 * ce * math.sqrt(2.0 * GRAVITY) * half * (head + added) ** 2.5
    return WeirFlow(flow, head, _status(head, angle, crest_height, approach_width), SOURCE)


def v_notch_head(
    flow: float,
    angle: float,
    crest_height: float | None = None,
    approach_width: float | None = None,
) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] through a V-notch of an angle [degrees].

    The inverse of v_notch_flow, with its equation, validity and source. Raises InputError without a
    flow, and for one that no head gives.
    """
    return inverse(
        flow, lambda head: v_notch_flow(head, angle, crest_height, approach_width), 0.0, BRACKET
    )


def _curves(angle: float) -> tuple[float, float]:
    """Return Ce and kh [m] at an angle [degrees], on straight lines between the points."""
    below = max(row for row in CURVES if row[0] <= angle)
    above = min(row for row in CURVES if row[0] >= angle)
    span = above[0] - below[0]
    part = (angle - below[0]) / span if span else 0.0
    _, ce, added = (a + part * (b - a) for a, b in zip(below, above, strict=True))
    return ce, added / 1000.0


def _status(
    head: float, angle: float, crest_height: float | None, approach_width: float | None
) -> str:
    if head < THIN_SHEET:
        return THUMB
    if head < LEAST_HEAD:
        return BELOW
    low, high = _TESTED_ANGLES
    fits = low <= angle <= high and head <= _MOST_HEAD * CLOSE
    if crest_height is not None:
        fits &= crest_height * CLOSE >= max(_LEAST_CREST, head / _MOST_TO_CREST)
    if approach_width is not None:
        fits &= approach_width * CLOSE >= max(_LEAST_APPROACH, head / _MOST_TO_WIDTH)
    if not fits:
        return OUTSIDE
    return IF_CONTRACTED if crest_height is None or approach_width is None else WITHIN
