"""How far a falling sheet of water is thrown, and what wind adds to it."""

from __future__ import annotations

import math
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.outfit import BOWL
from basinbook.engine.water.volume import GRAVITY
from basinbook.engine.water.weir import BROAD_UP_TO, SHARP_FROM, Lip, lip_head
from basinbook.engine.water.weir import wetted_width as width_at

WATER_DENSITY = 1000.0
AIR_DENSITY = 1.2
# Drag of a square flat plate square to the wind: 1.17 in C. Matthews, Aeronautical Engineer's Data
# Book, 2002, fig. 5.13(b), rounded up. A long plate in an endless stream has 1.98 there.
DRAG = 1.2
# The greatest share of the approach's velocity head in the head that the nappe was measured with.
_MOST_APPROACH = 0.2


class _Sheet(NamedTuple):
    """Head over the lip [m], flow for each metre of it [m²/s], and velocity head behind it [m]."""

    head: float
    per_width: float
    approach: float


def throw(flow: float, fall: float, lip: Lip) -> float:
    """Return how far from the lip [m] the outer edge of a sheet lands after a fall [m].

    flow: over the lip [m³/s]; fall: from the lip down to the water [m].
    Equations, y down from the lip: sharp lip, upper nappe y/H = -A (x/H)² - B x/H - C - D with
    A = -0.425 + 0.25 v, B = 0.411 - 1.603 v - √(1.568 v² - 0.892 v + 0.127), C = 0.150 - 0.45 v,
    D = 0.57 - 0.02 (10 m)² e^(10 m), m = v - 0.208, v the velocity head of the approach over H,
    taken into account where the box is known. Slab, up to H/t = 0.5: upper nappe
    x/yc = -0.406 + √(3.195 + 4.368 y/yc), yc = (q²/g)^(1/3). In between, and off a rounded slab,
    the larger of the two.
    Validity: air under the sheet; tested with heads from some 60 mm. Thinner ones are held back
    by surface tension and may cling to lip and wall: for these it is an upper bound.
    Sources: Blaisdell 1954 in V. T. Chow, Open-Channel Hydraulics, 1959, sec. 14-1 (from memory);
    Donnelly and Blaisdell 1965 in Federal Highway Administration, HEC-14, 3rd ed., ch. 11 (from
    memory). Raises InputError without a fall, and as lip_head does.
    """
    if not fall > 0.0:
        raise InputError("fall", fall, "give a height above zero")
    found = _sheet(flow, lip)
    ratio = found.head / lip.thickness if lip.edge != "sharp" else math.inf
    springing = _off_sharp_lip(found, fall)
    if lip.edge == "sharp" or (lip.edge == "thick" and ratio >= SHARP_FROM):
        return springing
    off_slab = _off_slab(found, fall)
    return off_slab if ratio <= BROAD_UP_TO else max(springing, off_slab)


def _sheet(flow: float, lip: Lip) -> _Sheet:
    head = lip_head(flow, lip).head
    approach = 0.0
    if lip.box:
        width, crest = lip.box
        approach = (flow / (width * (crest + head))) ** 2 / (2.0 * GRAVITY)
    return _Sheet(head, flow / width_at(head, lip), approach)


def _off_sharp_lip(sheet: _Sheet, fall: float) -> float:
    total = sheet.head + sheet.approach
    v = min(sheet.approach / total, _MOST_APPROACH)
    a = -0.425 + 0.25 * v
    b = 0.411 - 1.603 * v - math.sqrt(1.568 * v**2 - 0.892 * v + 0.127)
    m = v - 0.208
    top = 0.150 - 0.45 * v + 0.57 - 0.02 * (10.0 * m) ** 2 * math.exp(10.0 * m)
    return total * (b + math.sqrt(b**2 - 4.0 * a * (top + fall / total))) / (-2.0 * a)


def _off_slab(sheet: _Sheet, fall: float) -> float:
    critical = (sheet.per_width**2 / GRAVITY) ** (1.0 / 3.0)
    return float(critical * (-0.406 + math.sqrt(3.195 + 4.368 * fall / critical)))


def fall_time(fall: float) -> float:
    """Return how long [s] water falls through a height [m] from rest.

    Equation: t = √(2 z / g). Validity: no drag of the air. Source: free fall.
    """
    return math.sqrt(2.0 * fall / GRAVITY)


def wind_drift(flow: float, fall: float, wind: float, lip: Lip) -> float:
    """Return how far [m] a wind [m/s] at most pushes a falling sheet further.

    flow: over the lip [m³/s]; fall: [m]. Equation: each height dz of the sheet has the mass
    ρ q dz / (g t) and the wind's force ½ ρa Cd U² dz; twice integrated over the fall, the drift is
    ½ ρa Cd U² z t / (3 ρ q), t = √(2 z / g), and no more than U t, the wind's own way.
    A bound with no source: the whole wind square on the sheet from behind, none of it kept off by
    wall and lip, and the sheet whole; a sheet torn into fine drops is carried up to U t. Source
    of Cd = 1.2: Matthews 2002. Raises InputError without a fall, for a wind below
    zero, and as lip_head does.
    """
    if not fall > 0.0:
        raise InputError("fall", fall, "give a height above zero")
    if not wind >= 0.0:
        raise InputError("wind", wind, "give a wind of zero or more")
    found, time = _sheet(flow, lip), fall_time(fall)
    pressure = 0.5 * AIR_DENSITY * DRAG * wind**2
    pushed = pressure * fall * time / (3.0 * WATER_DENSITY * found.per_width)
    return min(pushed, wind * time)


def catch_width(
    effect: str, size: float, thrown: float, drift: float, stands_out: float = 0.0
) -> float:
    """Return the least inside width [m] of a basin that a thrown and drifting sheet stays within.

    effect: as in ``engine.outfit``; size: diameter of a bowl's rim [m]; thrown,
    drift: [m]; stands_out: how far the lip stands out from the wall's inner face [m].
    Equation: s + x + d from the wall of a lip or notch; D + 2 (x + d) about a bowl that stands in
    the middle. Validity: the sheet itself; drops that splash up from the water go further.
    Source: geometry.
    """
    if effect == BOWL:
        return size + 2.0 * (thrown + drift)
    return stands_out + thrown + drift
