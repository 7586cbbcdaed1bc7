"""A sharp lip in a box whose size is known, by Kindsvater and Carter."""

from __future__ import annotations

import math
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.water.weir_flow import CLOSE, OUTSIDE, THIN_SHEET, THUMB, WITHIN, WeirFlow

SOURCE = (
    "Kindsvater and Carter 1959, in U.S. Bureau of Reclamation, Water Measurement Manual, "
    "3rd ed., sec. 7-6"
)


class _Share(NamedTuple):
    """Kindsvater and Carter's figures for one share of the lip in the box's width.

    share: L/B; c1, c2: of Ce = C1 H/p + C2 [ft^0.5/s]; kb: added to the lip's width [m].
    """

    share: float
    c1: float
    c2: float
    kb: float


# L/B, C1 and C2: USBR, Water Measurement Manual, sec. 7-6, as reprinted in the EPA SWMM Reference
# Manual, vol. II, table 6-2. kb read off figure 7-4 (from memory, ±0.3 mm).
_SHARES = (
    _Share(0.2, -0.0087, 3.152, 0.0024),
    _Share(0.4, 0.0317, 3.164, 0.0027),
    _Share(0.5, 0.0612, 3.173, 0.0031),
    _Share(0.6, 0.0995, 3.178, 0.0036),
    _Share(0.7, 0.1602, 3.182, 0.0041),
    _Share(0.8, 0.2376, 3.189, 0.0042),
    _Share(0.9, 0.3447, 3.205, 0.0037),
    _Share(1.0, 0.4000, 3.220, -0.0009),
)
# Added to the head: 0.003 ft (USBR, Water Measurement Manual, sec. 7-6).
ADDED_HEAD = 0.003 * 0.3048
MOST_HEAD_TO_CREST = 5.0
# Limits of ISO 1438:2017, 9.6.4, for this formula (figures from memory): H/p, L, p, and the room
# (B - L)/2 beside a contracted lip.
_MOST_TESTED = 2.5
_LEAST_WIDTH = 0.15
_LEAST_CREST = 0.10
_LEAST_SIDE = 0.10
# Both ends of a lip count as flush with the walls up to so much room in all [m].
_FLUSH = 1e-6


def boxed_lip_flow(
    head: float, lip_width: float, box_width: float, crest_height: float
) -> WeirFlow:
    """Return the flow over a sharp lip in a weir box whose size is known, by Kindsvater-Carter.

    head, lip_width, box_width (of the water behind the lip), crest_height (lip above the box floor)
    [m]. Equation: Q = Ce (L + kb)(H + kh)^1.5 with Ce = C1 H/p + C2, by L/B; kh = 0.9 mm.
    Validated for H from 30 mm, L from 0.15 m, p from 0.10 m, H/p up to 2.5, and (B - L)/2 of 0 or
    from 0.10 m (ISO 1438, from memory); for L/B from 0.2 (under that the values at 0.2 are
    taken). Raises InputError without a head or crest, for H/p over 5, where a lip acts as a mere
    sill and the straight line of Ce in H/p leads nowhere, and for a lip wider than its box.
    Source: USBR, Water Measurement Manual, 3rd ed., sec. 7-6; the limit of 5: H. Hulsing,
    Measurement of Peak Discharge at Dams, USGS TWRI 3-A5, 1967, p. 4.
    """
    if not head > 0.0:
        raise InputError("head", head, "there is no flow without a head above zero over the lip")
    if not 0.0 < lip_width <= box_width:
        raise InputError("lip_width", lip_width, "give a width up to that of the box")
    if not crest_height > 0.0:
        raise InputError("crest_height", crest_height, "give a height above zero")
    if head > MOST_HEAD_TO_CREST * crest_height * CLOSE:
        raise InputError("head", head, "allowed is up to five times the height of the crest")
    found = _figures(lip_width / box_width)
    coefficient = (found.c1 * head / crest_height + found.c2) * math.sqrt(0.3048)
    flow = coefficient * (lip_width + found.kb) * (head + ADDED_HEAD) ** 1.5
    return WeirFlow(flow, head, _status(head, lip_width, box_width, crest_height), SOURCE)


def deep_pool_flow(head: float, lip_width: float) -> float:
    """Return the flow [m³/s] of the same formula over a deep pool, with ends flush with its walls.

    head, lip_width: [m]. Equation: that of boxed_lip_flow with L/B = 1 and H/p = 0, its small kb
    left out, so that a narrow lip has a flow too. Validity and source: as there.
    """
    coefficient = _SHARES[-1].c2 * math.sqrt(0.3048)
    return coefficient * lip_width * float((head + ADDED_HEAD) ** 1.5)


def _status(head: float, lip_width: float, box_width: float, crest_height: float) -> str:
    if head < THIN_SHEET:
        return THUMB
    room = box_width - lip_width
    tested = (
        lip_width * CLOSE >= _LEAST_WIDTH
        and crest_height * CLOSE >= _LEAST_CREST
        and head <= _MOST_TESTED * crest_height * CLOSE
        and lip_width * CLOSE >= 0.2 * box_width
        and (room <= _FLUSH or room / 2.0 * CLOSE >= _LEAST_SIDE)
    )
    return WITHIN if tested else OUTSIDE


def _figures(share: float) -> _Share:
    """Return the figures for a share L/B, on straight lines between those of the table."""
    lower = _SHARES[0]
    for upper in _SHARES:
        if share <= upper.share:
            break
        lower = upper
    span = upper.share - lower.share
    part = (share - lower.share) / span if span else 0.0
    return _Share(*(a + part * (b - a) for a, b in zip(lower, upper, strict=True)))
