"""Two accepted formulas for one sheet of water, and how far they are apart.

Under the heads of the tests nobody knows which formula holds; their difference is the least that
the flow is uncertain by.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.outfit import BOWL, FALLS, NOTCH
from basinbook.engine.water.weir import (
    BROAD_UP_TO,
    CRITICAL,
    FRANCIS,
    SHARP_FROM,
    SQUARE_EDGED,
    Lip,
    boundary_layer,
    lip_flow,
    wetted_width,
)
from basinbook.engine.water.weir_box import boxed_lip_flow, deep_pool_flow


class Formula(NamedTuple):
    """A formula's name, and the flow [m³/s] that it gives."""

    name: str
    flow: float


def outlet_lip(
    effect: str,
    size: float,
    edge: str = "sharp",
    thickness: float = 0.0,
    contractions: int = 0,
    crest_height: float | None = None,
    approach_width: float | None = None,
) -> Lip:
    """Return the lip that the water of an effect runs over.

    effect: one of FALLS in ``engine.outfit``; size: width of lip or notch, diameter of a rim [m];
    the rest as of a Lip. A notch is a sharp lip contracted at both ends, a rim a lip as long as
    it is round, L = π D. Raises InputError for another effect, and as a Lip does.
    """
    check_choice("effect", effect, FALLS)
    if not size > 0.0:
        raise InputError("size", size, "give a size above zero")
    if effect == BOWL:
        return Lip(math.pi * size, edge, thickness)
    if effect == NOTCH:
        edge, thickness, contractions = "sharp", 0.0, 2
    return Lip(size, edge, thickness, contractions, crest_height, approach_width)


def flows_by_formula(head: float, lip: Lip) -> tuple[Formula, Formula]:
    """Return the flows of two accepted formulas over a lip at a head [m].

    sharp, or a square slab with H/t from 2: Francis with his constant coefficient, and Kindsvater
    and Carter with 0.9 mm added to the head (over a deep pool where its size is not known; the
    contraction then as Francis has it).
    slab, H/t up to 0.5: without the loss along it, and with the boundary layer of ISO 4374.
    slab in between, and a rounded one that the sheet springs off: as a broad crest, and as a
    sharp one.
    Validity: each of them from 30 or 60 mm up (lip_flow); under that none is known to hold.
    Sources: those of lip_flow and boxed_lip_flow. Raises InputError as they do.
    """
    width = wetted_width(head, lip)
    power = width * head**1.5
    ratio = head / lip.thickness if lip.thickness else math.inf
    if lip.edge == "sharp" or (lip.edge == "thick" and ratio >= SHARP_FROM):
        corrected = (
            boxed_lip_flow(head, lip.width, *lip.box).flow
            if lip.box
            else deep_pool_flow(head, width)
        )
        return (
            Formula("Francis, constant coefficient", FRANCIS * power),
            Formula("Kindsvater-Carter, head + 0.9 mm", corrected),
        )
    broad = CRITICAL * (1.0 if lip.edge == "rounded" else SQUARE_EDGED)
    losing = Formula("Slab with its boundary layer", broad * boundary_layer(head, lip) * power)
    if ratio <= BROAD_UP_TO:
        return Formula("Slab without loss along it", broad * power), losing
    return losing, Formula("As a sharp lip: Francis", FRANCIS * power)


def spread(head: float, lip: Lip) -> float:
    """Return how far the two formulas are apart, as a share of the flow that is used [-].

    Equation: |Q1 - Q2| / Q, with Q of lip_flow. Validity and sources: those of flows_by_formula.
    Not the whole uncertainty: level and finish of the lip come on top.
    """
    first, second = flows_by_formula(head, lip)
    return abs(first.flow - second.flow) / lip_flow(head, lip).flow
