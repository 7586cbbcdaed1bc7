"""Flow over a spillway lip or a bowl's rim, and the head for a wanted flow.

Every result carries a status, because the sheet of water on a spillway is mostly thinner than
the heads at which weir formulas were tested.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.water.v_notch import v_notch_flow, v_notch_head
from basinbook.engine.water.volume import GRAVITY
from basinbook.engine.water.weir_box import MOST_HEAD_TO_CREST, boxed_lip_flow
from basinbook.engine.water.weir_flow import (
    BELOW,
    BRACKET,
    CLOSE,
    HIGHEST_HEAD,
    IF_CONTRACTED,
    LEAST_HEAD,
    OUTSIDE,
    STATUSES,
    THIN_SHEET,
    THUMB,
    WITHIN,
    WeirFlow,
    inverse,
)

__all__ = [
    "BELOW",
    "EDGES",
    "GRAVITY",
    "HIGHEST_HEAD",
    "IF_CONTRACTED",
    "OUTSIDE",
    "RECOMMENDED_FLOW",
    "STATUSES",
    "THIN_SHEET",
    "THUMB",
    "WITHIN",
    "Lip",
    "WeirFlow",
    "boundary_layer",
    "boxed_lip_flow",
    "lip_flow",
    "lip_head",
    "recommended_bowl_flow",
    "recommended_flow",
    "rim_flow",
    "rim_head",
    "v_notch_flow",
    "v_notch_head",
    "wetted_width",
]

EDGES = ("sharp", "thick", "rounded")

# 3.33 ft^0.5/s, the round figure of J. B. Francis, in m^0.5/s.
FRANCIS = 3.33 * math.sqrt(0.3048)
# Critical flow over a crest without losses: (2/3)^1.5 √g.
CRITICAL = (2.0 / 3.0) ** 1.5 * math.sqrt(GRAVITY)
SQUARE_EDGED = 0.848
# H/t from which the sheet over a square-edged slab begins to leave it, and springs clear.
BROAD_UP_TO, SHARP_FROM = 0.5, 2.0
_BROAD_LEAST_HEAD = 0.06
# The range of H/t in which a square-edged slab was tested.
_SQUARE_LEAST, _SQUARE_MOST = 0.08, 0.33
# Displacement of the boundary layer along a slab, as a share of its length t, and across its ends.
_ALONG, _ACROSS = 0.003, 0.006
# How deep and wide the pool must be for its velocity to be left out: H/p with flush ends, H/p with
# contracted ones, and the room beside a contracted end, in heads.
_FLUSH_TO_CREST, _CONTRACTED_TO_CREST, _SIDE_IN_HEADS = 1.0 / 3.0, 0.5, 2.0

FRANCIS_SOURCE = (
    "Francis formula, in U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., ch. 7"
)
_SQUARE_SOURCE = (
    "Square-edged broad-crested weir, in M. G. Bos, Discharge Measurement Structures, 3rd ed., "
    "1989 (coefficient from memory)"
)
_LOSING_SOURCE = (
    f"{_SQUARE_SOURCE}, less the boundary layer of ISO 4374 beyond the length that was tested"
)
SHORT_SOURCE = (
    "Between broad and sharp by the limits of Brater and King, Handbook of Hydraulics, 1976, "
    "as given in the EPA SWMM Reference Manual, vol. II, 2017, sec. 6.3"
)
_ROUNDED_SOURCE = "Round-nosed broad-crested weir, ISO 4374 (coefficient from memory)"


@dataclass(frozen=True)
class Lip:
    """A straight lip.

    width: clear width that water can run over [m]; edge: "sharp" (a plate or a clean arris that
    the sheet springs off), "thick" (a flat slab with a square edge) or "rounded" (a flat slab
    with a rounded upstream edge); thickness: of a slab, along the flow [m]; contractions: ends
    at which water turns in around a corner (0, 1 or 2); crest_height: lip over the floor of the
    pool behind it, approach_width: of the water in it [m], None where not known.
    """

    width: float
    edge: str = "sharp"
    thickness: float = 0.0
    contractions: int = 0
    crest_height: float | None = None
    approach_width: float | None = None

    def __post_init__(self) -> None:
        """Refuse a lip that nothing can run over."""
        if not self.width > 0.0:
            raise InputError("lip_width", self.width, "give a width above zero")
        check_choice("edge", self.edge, EDGES)
        if self.edge != "sharp" and not self.thickness > 0.0:
            raise InputError(
                "lip_thickness", self.thickness, f"a {self.edge} lip needs its thickness"
            )
        if self.contractions not in (0, 1, 2):
            raise InputError("contractions", self.contractions, "allowed are 0, 1 and 2")
        if self.crest_height is not None and not self.crest_height > 0.0:
            raise InputError("crest_height", self.crest_height, "give a height above zero")
        if self.approach_width is not None and self.approach_width < self.width:
            raise InputError(
                "approach_width", self.approach_width, "give at least the width of the lip"
            )

    @property
    def box(self) -> tuple[float, float] | None:
        """Width and lip height of the box behind a sharp lip, where its size tells the flow."""
        if self.crest_height is None or self.approach_width is None:
            return None
        if self.edge != "sharp" or self.contractions == 1:
            return None
        return self.approach_width, self.crest_height


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
    sharp, with crest height and approach width known: boxed_lip_flow; contractions then follow
    from the widths (one contracted end is not of its tests: Francis).
    sharp: Q = 1.84 L' H^1.5 (3.33 in feet and seconds; Francis). Validated for H from 0.2 ft
    (61 mm) to L/3.
    thick, H/t up to 0.5: Q = 0.848 (2/3)^1.5 √g L' H^1.5 (Bos). Validated for H from 60 mm, with
    H/t from 0.08 to 0.33. On a longer slab or with less head it loses the boundary layer as a
    rounded one does, (1 - 0.003 t/H)^1.5 over its value at H/t = 0.08, and is never more than a
    rounded one's. From H/t = 2 on the sheet springs clear and the lip counts as sharp; in between
    the coefficient is interpolated: a rule of thumb.
    rounded: Q = (1 - 0.006 t/L)(1 - 0.003 t/H)^1.5 (2/3)^1.5 √g L' H^1.5 (ISO 4374). Validated
    for H from 60 mm, with H/t from 0.05 to 0.57; over that never less than a thick one's.
    Under 30 mm every lip, and a slab with contracted ends at any head, is a rule of thumb. The
    approach velocity is neglected, which holds for H/p up to 1/3 (1/2 with contracted ends) and,
    beside a contracted end, room of 2 H; the sheet must have air under it. Raises InputError as
    wetted_width does, for a head over 6 L/n, where more head would give less flow, for a slab too
    long for the boundary layer's formula, and as boxed_lip_flow does.
    Sources: Francis in USBR, Water Measurement Manual, 3rd ed., ch. 7; Bos 1989; ISO 4374; Brater
    and King 1976 for the limits between broad and sharp; limits of the pool: Water Measurement
    Manual, ch. 7, and Bos 1989, table 5.1 (from memory). The result names the one that was used.
    """
    if lip.box:
        return boxed_lip_flow(head, lip.width, *lip.box)
    width = wetted_width(head, lip)
    if head > _highest_contracted(lip) * CLOSE:
        raise InputError(
            "head", head, "the end contractions take more than the head adds; give a wider lip"
        )
    found = _coefficient(head, lip)
    status = _pool_status(head, lip) if found.status == WITHIN else found.status
    return WeirFlow(found.value * width * head**1.5, head, status, found.source)


def _highest_contracted(lip: Lip) -> float:
    """Return the head [m] from which the flow of a lip with contracted ends would fall again.

    dQ/dH = 0 of (L - 0.1 n H) H^1.5 is at H = 6 L / n.
    """
    return 6.0 * lip.width / lip.contractions if lip.contractions else math.inf


def _pool_status(head: float, lip: Lip) -> str:
    """Return the status of a lip whose head and shape are those of the tests, by its pool."""
    ends, crest, approach = lip.contractions, lip.crest_height, lip.approach_width
    if crest is not None:
        most = (_CONTRACTED_TO_CREST if ends else _FLUSH_TO_CREST) * crest
        if head > most * CLOSE:
            return OUTSIDE
    if approach is not None:
        room = approach - lip.width
        # With room beside it a lip is contracted, whatever was typed.
        fits = room / ends * CLOSE >= _SIDE_IN_HEADS * head if ends else room <= 1e-6
        if not fits:
            return OUTSIDE
    return IF_CONTRACTED if crest is None or (ends and approach is None) else WITHIN


class _Coefficient(NamedTuple):
    """C [m^0.5/s] of Q = C L' H^1.5, how far it can be trusted, and its source."""

    value: float
    status: str
    source: str


def _coefficient(head: float, lip: Lip) -> _Coefficient:
    if lip.edge == "sharp" or (lip.edge == "thick" and head >= SHARP_FROM * lip.thickness):
        if head < THIN_SHEET:
            return _Coefficient(FRANCIS, THUMB, FRANCIS_SOURCE)
        if head * CLOSE < LEAST_HEAD:
            return _Coefficient(FRANCIS, BELOW, FRANCIS_SOURCE)
        status = WITHIN if head <= lip.width / 3.0 * CLOSE else OUTSIDE
        return _Coefficient(FRANCIS, status, FRANCIS_SOURCE)
    thick = _thick(head, lip)
    ratio = head / lip.thickness
    guessed = head < THIN_SHEET or lip.contractions > 0
    if lip.edge == "thick":
        status = _broad_status(head, ratio, _SQUARE_LEAST, _SQUARE_MOST)
        short = ratio > BROAD_UP_TO
        return thick._replace(status=THUMB if guessed or short else status)
    status = _broad_status(head, ratio, 0.05, 0.57)
    rounded = _Coefficient(boundary_layer(head, lip) * CRITICAL, "", _ROUNDED_SOURCE)
    # A rounding can't hold water back: where the sheet springs off the slab it gives no less.
    return max(rounded, thick, key=lambda each: each.value)._replace(
        status=THUMB if guessed else status
    )


def _thick(head: float, lip: Lip) -> _Coefficient:
    """Return the coefficient of a slab with a square edge, without a status."""
    ratio = head / lip.thickness
    broad, rounded = SQUARE_EDGED * CRITICAL, boundary_layer(head, lip) * CRITICAL
    if ratio >= SHARP_FROM:
        return _Coefficient(FRANCIS, "", FRANCIS_SOURCE)
    if ratio > BROAD_UP_TO:
        share = (ratio - BROAD_UP_TO) / (SHARP_FROM - BROAD_UP_TO)
        return _Coefficient(broad + share * (FRANCIS - broad), "", SHORT_SOURCE)
    source = _SQUARE_SOURCE
    if ratio < _SQUARE_LEAST:
        tested = 1.0 - _ALONG / _SQUARE_LEAST
        broad *= ((1.0 - _ALONG / ratio) / tested) ** 1.5
        source = _LOSING_SOURCE
    return _Coefficient(min(broad, rounded), "", source)


def boundary_layer(head: float, lip: Lip) -> float:
    """Return what a slab's boundary layers leave of the critical flow at a head [m], as a share.

    Equation: (1 - 0.006 t/L)(1 - 0.003 t/H)^1.5. Validity: H/t from 0.05 to 0.57, H from 60 mm.
    Source: ISO 4374 (from memory). Raises InputError for a slab too long for it.
    """
    along = 1.0 - _ALONG * lip.thickness / head
    across = 1.0 - _ACROSS * lip.thickness / lip.width
    if along <= 0.0 or across <= 0.0:
        raise InputError(
            "lip_thickness", lip.thickness, "the slab is too long for its width and this head"
        )
    return float(across * along**1.5)


def _broad_status(head: float, ratio: float, least: float, most: float) -> str:
    if head < _BROAD_LEAST_HEAD:
        return BELOW
    return WITHIN if least <= ratio * CLOSE and ratio <= most * CLOSE else OUTSIDE


def lip_head(flow: float, lip: Lip) -> WeirFlow:
    """Return the head [m] for a flow [m³/s] over a straight lip: the inverse of lip_flow.

    Raises InputError without a flow, and for a flow that no head up to 2 m gives. Validity and
    sources: those of lip_flow.
    """
    most = min(BRACKET, _highest_contracted(lip))
    if lip.box:
        most = MOST_HEAD_TO_CREST * lip.box[1]
    least = 0.0
    if lip.edge != "sharp":
        least = _ALONG * lip.thickness * CLOSE
    return inverse(flow, lambda head: lip_flow(head, lip), least, most)


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
    check_choice("look", look, RECOMMENDED_FLOW)
    return RECOMMENDED_FLOW[look] * lip_width


def recommended_bowl_flow(bowl_diameter: float, look: str) -> float:
    """Return a usual flow [m³/s] for a bowl of a diameter [m] that runs over all round its rim.

    Equation: that of a lip as long as the rim, L = π D. Source: common practice, no source. Raises
    InputError as recommended_flow does.
    """
    return recommended_flow(math.pi * bowl_diameter, look)
