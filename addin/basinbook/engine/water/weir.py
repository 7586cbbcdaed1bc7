"""Flow over a spillway lip, a bowl's rim or a notch, and the head for a wanted flow.

Every result carries a status, because the sheet of water on a spillway is mostly thinner than
the heads at which weir formulas were tested.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from basinbook.engine.errors import InputError

GRAVITY = 9.80665

WITHIN = "within the validated range"
BELOW = "extrapolated below the validated head"
OUTSIDE = "extrapolated outside the validated proportions"
THUMB = "rule of thumb"
STATUSES = (WITHIN, BELOW, OUTSIDE, THUMB)

EDGES = ("sharp", "thick", "rounded")

# 3.33 ft^0.5/s, the round figure of J. B. Francis, in m^0.5/s.
FRANCIS = 3.33 * math.sqrt(0.3048)
# 0.2 ft: the least head of the standard weirs (USBR, Water Measurement Manual, 3rd ed., ch. 7).
FRANCIS_LEAST_HEAD = 0.2 * 0.3048
# The least head of the tests behind Kindsvater and Carter's formula. Under it surface tension
# and the finish of the lip matter as much as the head.
THIN_SHEET = 0.03
# Higher than any sheet over a lip of a basin [m]; no formula here was tested near it.
HIGHEST_HEAD = 2.0
# Where the search for a head ends: well above what is given, so that the ends are found exactly.
_BRACKET = 100.0
# Critical flow over a crest without losses: (2/3)^1.5 √g.
_CRITICAL = (2.0 / 3.0) ** 1.5 * math.sqrt(GRAVITY)
_SQUARE_EDGED = 0.848
_BROAD_LEAST_HEAD = 0.06

_FRANCIS_SOURCE = (
    "Francis formula, in U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., ch. 7"
)
_SQUARE_SOURCE = (
    "Square-edged broad-crested weir, in M. G. Bos, Discharge Measurement Structures, 3rd ed., "
    "1989 (coefficient from memory)"
)
_SHORT_SOURCE = (
    "Between broad and sharp by the limits of Brater and King, Handbook of Hydraulics, 1976, "
    "as given in the EPA SWMM Reference Manual, vol. II, 2017, sec. 6.3"
)
_ROUNDED_SOURCE = "Round-nosed broad-crested weir, ISO 4374 (coefficient from memory)"
_KC_SOURCE = (
    "Kindsvater and Carter 1959, in U.S. Bureau of Reclamation, Water Measurement Manual, "
    "3rd ed., sec. 7-6"
)
_V_SOURCE = (
    "Kindsvater-Shen formula for V-notches, in U.S. Bureau of Reclamation, Water Measurement "
    "Manual, 3rd ed., ch. 7, and ISO 1438"
)


@dataclass(frozen=True)
class WeirFlow:
    """A flow [m³/s] at a head [m], how far it can be trusted (one of STATUSES), and its source."""

    flow: float
    head: float
    status: str
    source: str


@dataclass(frozen=True)
class Lip:
    """A straight lip.

    width: clear width that water can run over [m]; edge: "sharp" (a plate or a clean arris that
    the sheet springs off), "thick" (a flat slab with a square edge) or "rounded" (a flat slab
    with a rounded upstream edge); thickness: of a slab, along the flow [m]; contractions: ends
    at which water turns in around a corner (0, 1 or 2).
    """

    width: float
    edge: str = "sharp"
    thickness: float = 0.0
    contractions: int = 0

    def __post_init__(self) -> None:
        """Refuse a lip that nothing can run over."""
        if not self.width > 0.0:
            raise InputError("lip_width", self.width, "give a width above zero")
        if self.edge not in EDGES:
            raise InputError("edge", self.edge, f"allowed are {', '.join(EDGES)}")
        if self.edge != "sharp" and not self.thickness > 0.0:
            raise InputError(
                "lip_thickness", self.thickness, f"a {self.edge} lip needs its thickness"
            )
        if self.contractions not in (0, 1, 2):
            raise InputError("contractions", self.contractions, "allowed are 0, 1 and 2")


def wetted_width(head: float, lip: Lip) -> float:
    """Return the width [m] that the sheet of a head [m] keeps between its contracted ends.

    Equation: L' = L - 0.1 n H. Validity: H up to a third of L. Source: Francis, in USBR, Water
    Measurement Manual, 3rd ed., ch. 7. Raises InputError without a head, and where the
    contraction would be as long as the lip.
    """
    if not head > 0.0:
        raise InputError("head", head, "there is no flow without a head above zero over the lip")
    width = lip.width - 0.1 * lip.contractions * head
    if width <= 0.0:
        raise InputError(
            "head", head, "the end contraction is longer than the lip; give a wider lip"
        )
    return width


def lip_flow(head: float, lip: Lip) -> WeirFlow:
    """Return the flow over a straight lip at a head [m] measured over the lip, back from it.

    Equations, with the contracted width L' = L - 0.1 n H:
    sharp: Q = 1.84 L' H^1.5 (3.33 in feet and seconds; Francis). Validated for H from 0.2 ft
    (61 mm) to L/3.
    thick, H/t up to 0.5: Q = 0.848 (2/3)^1.5 √g L' H^1.5 (Bos). Validated for H from 60 mm, with
    H/t from 0.08 to 0.33. From H/t = 2 on the sheet springs clear and the lip counts as sharp;
    in between the coefficient is interpolated: a rule of thumb.
    rounded: Q = (1 - 0.006 t/L)(1 - 0.003 t/H)^1.5 (2/3)^1.5 √g L' H^1.5 (ISO 4374). Validated
    for H from 60 mm, with H/t from 0.05 to 0.57.
    Under 30 mm every lip, and a slab with contracted ends at any head, is a rule of thumb. The
    approach velocity is neglected and the sheet must have air under it. Raises InputError as
    wetted_width does, for a head over 6 L/n, where more head would give less flow, and for a slab
    too long for a rounded lip's formula.
    Sources: Francis in USBR, Water Measurement Manual, 3rd ed., ch. 7; Bos 1989; ISO 4374; Brater
    and King 1976 for the limits between broad and sharp. The result names the one that was used.
    """
    width = wetted_width(head, lip)
    if head > _highest_contracted(lip) * (1.0 + 1e-9):
        raise InputError(
            "head", head, "the end contractions take more than the head adds; give a wider lip"
        )
    found = _coefficient(head, lip)
    return WeirFlow(found.value * width * head**1.5, head, found.status, found.source)


def _highest_contracted(lip: Lip) -> float:
    """Return the head [m] from which the flow of a lip with contracted ends would fall again.

    dQ/dH = 0 of (L - 0.1 n H) H^1.5 is at H = 6 L / n.
    """
    return 6.0 * lip.width / lip.contractions if lip.contractions else math.inf


class _Coefficient(NamedTuple):
    """C [m^0.5/s] of Q = C L' H^1.5, how far it can be trusted, and its source."""

    value: float
    status: str
    source: str


def _coefficient(head: float, lip: Lip) -> _Coefficient:
    ratio = head / lip.thickness if lip.thickness else math.inf
    if lip.edge == "sharp" or (lip.edge == "thick" and ratio >= 2.0):
        if head < THIN_SHEET:
            return _Coefficient(FRANCIS, THUMB, _FRANCIS_SOURCE)
        if head < FRANCIS_LEAST_HEAD:
            return _Coefficient(FRANCIS, BELOW, _FRANCIS_SOURCE)
        status = WITHIN if head <= lip.width / 3.0 else OUTSIDE
        return _Coefficient(FRANCIS, status, _FRANCIS_SOURCE)
    guessed = head < THIN_SHEET or lip.contractions > 0
    if lip.edge == "thick":
        broad = _SQUARE_EDGED * _CRITICAL
        if ratio > 0.5:
            share = (ratio - 0.5) / 1.5
            return _Coefficient(broad + share * (FRANCIS - broad), THUMB, _SHORT_SOURCE)
        status = _broad_status(head, ratio, 0.08, 0.33)
        return _Coefficient(broad, THUMB if guessed else status, _SQUARE_SOURCE)
    along = 1.0 - 0.003 / ratio
    across = 1.0 - 0.006 * lip.thickness / lip.width
    if along <= 0.0 or across <= 0.0:
        raise InputError(
            "lip_thickness", lip.thickness, "the slab is too long for its width and this head"
        )
    status = _broad_status(head, ratio, 0.05, 0.57)
    rounded = across * along**1.5 * _CRITICAL
    return _Coefficient(rounded, THUMB if guessed else status, _ROUNDED_SOURCE)


def _broad_status(head: float, ratio: float, least: float, most: float) -> str:
    if head < _BROAD_LEAST_HEAD:
        return BELOW
    return WITHIN if least <= ratio <= most else OUTSIDE


def lip_head(flow: float, lip: Lip) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] over a straight lip: the inverse of lip_flow.

    Raises InputError without a flow, and for a flow that no head up to 2 m gives. Validity and
    sources: those of lip_flow.
    """
    most = min(_BRACKET, _highest_contracted(lip))
    least = 0.0
    if lip.edge == "rounded":
        least = 0.003 * lip.thickness * (1.0 + 1e-9)
    return _inverse(flow, lambda head: lip_flow(head, lip), least, most)


def _inverse(
    flow: float, flow_at: Callable[[float], WeirFlow], least: float, most: float
) -> WeirFlow:
    from fluids.numerics import brenth

    if not flow > 0.0:
        raise InputError("flow", flow, "give a flow above zero")
    low = min(max(least, 1e-7), most)
    if flow_at(low).flow > flow:
        raise InputError("flow", flow, "the flow is too small to reach over the lip")
    if flow_at(min(most, HIGHEST_HEAD)).flow * (1.0 + 1e-9) < flow:
        raise InputError("flow", flow, "no head gives this flow here; give a wider lip")
    if flow_at(most).flow <= flow:
        return flow_at(most)

    def excess(head: float) -> float:
        return flow_at(head).flow / flow - 1.0

    head = float(brenth(excess, low, most, xtol=1e-13))  # type: ignore[no-untyped-call]
    found = flow_at(head)
    return WeirFlow(flow, head, found.status, found.source)


class _Box(NamedTuple):
    """Kindsvater and Carter's figures for one share of the lip in the box's width.

    share: L/B; c1, c2: of Ce = C1 H/p + C2 [ft^0.5/s]; kb: added to the lip's width [m].
    """

    share: float
    c1: float
    c2: float
    kb: float


# L/B, C1 and C2: USBR, Water Measurement Manual, sec. 7-6, as reprinted in the EPA SWMM Reference
# Manual, vol. II, table 6-2. kb read off figure 7-4 (from memory, ±0.3 mm).
_KINDSVATER_CARTER = (
    _Box(0.2, -0.0087, 3.152, 0.0024),
    _Box(0.4, 0.0317, 3.164, 0.0027),
    _Box(0.5, 0.0612, 3.173, 0.0031),
    _Box(0.6, 0.0995, 3.178, 0.0036),
    _Box(0.7, 0.1602, 3.182, 0.0041),
    _Box(0.8, 0.2376, 3.189, 0.0042),
    _Box(0.9, 0.3447, 3.205, 0.0037),
    _Box(1.0, 0.4000, 3.220, -0.0009),
)
_KH = 0.003 * 0.3048
_MOST_HEAD_TO_CREST = 5.0


def boxed_lip_flow(
    head: float, lip_width: float, box_width: float, crest_height: float
) -> WeirFlow:
    """Return the flow over a sharp lip in a weir box whose size is known, by Kindsvater-Carter.

    head, lip_width, box_width (of the water behind the lip), crest_height (lip above the box floor)
    [m]. Equation: Q = Ce (L + kb)(H + kh)^1.5 with Ce = C1 H/p + C2, by L/B; kh = 0.9 mm.
    Validated for H from 30 mm, L from 0.15 m, p from 0.10 m and H/p up to 2, L/B from 0.2 (under
    that the values at 0.2 are taken). Raises InputError without a head or crest, for H/p over 5,
    where a lip acts as a mere sill and the straight line of Ce in H/p leads nowhere, and for a lip
    wider than its box. Source: USBR, Water Measurement Manual, 3rd ed., sec. 7-6; the limit of 5
    is that of Rehbock's formula, also straight in H/p (Henderson, Open Channel Flow, 1966, from
    memory).
    """
    if not head > 0.0:
        raise InputError("head", head, "there is no flow without a head above zero over the lip")
    if not 0.0 < lip_width <= box_width:
        raise InputError("lip_width", lip_width, "give a width up to that of the box")
    if not crest_height > 0.0:
        raise InputError("crest_height", crest_height, "give a height above zero")
    if head > _MOST_HEAD_TO_CREST * crest_height * (1.0 + 1e-9):
        raise InputError("head", head, "allowed is up to five times the height of the crest")
    box = _box(lip_width / box_width)
    coefficient = (box.c1 * head / crest_height + box.c2) * math.sqrt(0.3048)
    flow = coefficient * (lip_width + box.kb) * (head + _KH) ** 1.5
    if head < THIN_SHEET:
        status = THUMB
    elif (
        lip_width < 0.15
        or crest_height < 0.10
        or head > 2.0 * crest_height
        or lip_width / box_width < 0.2
    ):
        status = OUTSIDE
    else:
        status = WITHIN
    return WeirFlow(flow, head, status, _KC_SOURCE)


def _box(share: float) -> _Box:
    """Return the figures for a share L/B, on straight lines between those of the table."""
    lower = _KINDSVATER_CARTER[0]
    for upper in _KINDSVATER_CARTER:
        if share <= upper.share:
            break
        lower = upper
    span = upper.share - lower.share
    part = (share - lower.share) / span if span else 0.0
    return _Box(*(a + part * (b - a) for a, b in zip(lower, upper, strict=True)))


def v_notch_flow(head: float, angle: float) -> WeirFlow:
    """Return the flow through a sharp V-notch of an angle [degrees] at a head [m] over its point.

    Equation: Q = 8/15 Ce √(2g) tan(θ/2) (H + kh)^2.5, with Ce = 0.607165052 - 8.74466963e-4 θ +
    6.10393334e-6 θ² and kh = 0.0144902648 - 3.3955535e-4 θ + 3.29819003e-6 θ² -
    1.06215442e-8 θ³ [ft], curves fitted to the printed charts. Validated for H from 0.2 ft
    (61 mm) to 2 ft and 25° to 100°, fully contracted. Source: USBR, Water Measurement Manual,
    3rd ed., ch. 7; ISO 1438 (fitted curves from memory). Raises InputError without a head, and
    outside 20° to 120°.
    """
    if not head > 0.0:
        raise InputError("head", head, "there is no flow without a head above zero in the notch")
    if not 20.0 <= angle <= 120.0:
        raise InputError("angle", angle, "allowed is 20 to 120 degrees")
    ce = 0.607165052 - 8.74466963e-4 * angle + 6.10393334e-6 * angle**2
    kh = 0.3048 * (
        0.0144902648 - 3.3955535e-4 * angle + 3.29819003e-6 * angle**2 - 1.06215442e-8 * angle**3
    )
    half = math.tan(math.radians(angle) / 2.0)
    flow = 8.0 / 15.0 * ce * math.sqrt(2.0 * GRAVITY) * half * (head + kh) ** 2.5
    if head < THIN_SHEET:
        status = THUMB
    elif head < FRANCIS_LEAST_HEAD:
        status = BELOW
    else:
        status = WITHIN if 25.0 <= angle <= 100.0 and head <= 2.0 * 0.3048 else OUTSIDE
    return WeirFlow(flow, head, status, _V_SOURCE)


def v_notch_head(flow: float, angle: float) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] through a V-notch of an angle [degrees].

    The inverse of v_notch_flow, with its equation, validity and source. Raises InputError without a
    flow, and for one that no head gives.
    """
    return _inverse(flow, lambda head: v_notch_flow(head, angle), 0.0, _BRACKET)


def rim_flow(
    head: float, bowl_diameter: float, edge: str = "sharp", lip_thickness: float = 0.0
) -> WeirFlow:
    """Return the flow [m³/s] over the whole rim of a round bowl of a diameter [m] at a head [m].

    Equation: that of a straight lip as long as the rim, L = π D, without contractions. The tests
    behind it had straight lips, and a rim is never quite level: always a rule of thumb. Raises
    InputError without a diameter, and as lip_flow does. Source: that of lip_flow.
    """
    if not bowl_diameter > 0.0:
        raise InputError("bowl_diameter", bowl_diameter, "give a diameter above zero")
    found = lip_flow(head, Lip(math.pi * bowl_diameter, edge, lip_thickness))
    return WeirFlow(found.flow, head, THUMB, found.source)


def rim_head(
    flow: float, bowl_diameter: float, edge: str = "sharp", lip_thickness: float = 0.0
) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] over the whole rim of a bowl of a diameter [m].

    The inverse of rim_flow, with its equation, status and source. Raises InputError without a
    diameter, and as lip_head does.
    """
    if not bowl_diameter > 0.0:
        raise InputError("bowl_diameter", bowl_diameter, "give a diameter above zero")
    found = lip_head(flow, Lip(math.pi * bowl_diameter, edge, lip_thickness))
    return WeirFlow(flow, found.head, THUMB, found.source)


# US gallons per hour per inch of lip, in m³/s per m. Common practice, no source.
_PER_WIDTH = 3.785411784e-3 / 3600.0 / 0.0254
RECOMMENDED_FLOW = {"light": 50.0 * _PER_WIDTH, "full": 100.0 * _PER_WIDTH,
                    "heavy": 150.0 * _PER_WIDTH}  # fmt: skip


def recommended_flow(lip_width: float, look: str) -> float:
    """Return a usual flow [m³/s] for a lip of a width [m] and a "light", "full" or "heavy" sheet.

    50, 100 and 150 US gallons per hour per inch of lip (7.5, 14.9 and 22.4 L/h per mm): common
    practice, no source. Wind, the height of fall and the finish of the lip all ask for more. Raises
    InputError for another look.
    """
    if look not in RECOMMENDED_FLOW:
        raise InputError("look", look, f"allowed are {', '.join(RECOMMENDED_FLOW)}")
    return RECOMMENDED_FLOW[look] * lip_width
