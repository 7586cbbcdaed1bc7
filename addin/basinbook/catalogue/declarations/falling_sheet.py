"""Worksheet functions on a thin sheet: two formulas for its flow, and how far it is thrown."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.declarations.spillway import (
    CATEGORY,
    EDGE,
    ENDS,
    FLOW,
    HEAD,
    POOL,
    THICKNESS,
)
from basinbook.catalogue.model import (
    Array,
    Column,
    Example,
    Group,
    choice,
    length,
    quantity,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.outfit import FALLS
from basinbook.engine.water import thin_sheet, throw
from basinbook.engine.water.weir import Lip

_EFFECT = choice("effect", "What the water runs over, as on the Basin sheet", FALLS)
_SIZE = length("size", "Clear width of lip or notch, or diameter of a bowl's rim", 0.01, 20.0)
_FALL = length("fall", "Height of fall, from lip or rim to the water", 0.005, 5.0)


def _lip(
    effect: str,
    size: float,
    edge: str,
    lip_thickness: float,
    contractions: int,
    crest_height: float | None,
    approach_width: float | None,
) -> Lip:
    return thin_sheet.outlet_lip(
        effect, size, edge, lip_thickness, contractions, crest_height, approach_width
    )


_OUTLET = Group("lip", (_EFFECT, _SIZE, EDGE, THICKNESS, ENDS, *POOL), _lip)
_FORMULAS = (
    "Francis; Kindsvater and Carter 1959; U.S. Bureau of Reclamation, Water Measurement Manual, "
    "3rd ed., ch. 7; slabs: Bos 1989, ISO 4374"
)
_NAPPE = (
    "Blaisdell 1954 in Chow, Open-Channel Hydraulics, 1959, sec. 14-1; slab: Donnelly and "
    "Blaisdell 1965 in Federal Highway Administration, HEC-14, 3rd ed., ch. 11 (from memory)"
)


@worksheet_function(
    category=CATEGORY,
    summary="Flow of a sheet at a head by two accepted formulas",
    arguments=(HEAD, _OUTLET),
    result=Array((Column("formula", kinds.TEXT), Column("flow", kinds.PUMP_FLOW))),
    source=_FORMULAS,
    examples=(
        # 3.33 · 2 · (1/48)^1.5 = 0.020026 and 3.22 · 2 · (1/48 + 0.003)^1.5 = 0.023695 ft³/s.
        Example(
            ("1/4", "straight lip", "24"),
            "Francis, constant coefficient\t539.32\nKindsvater-Carter, head + 0.9 mm\t638.113",
        ),
    ),
    details="On a thin sheet nobody knows which of them holds: SHEETSPREAD is how far they are "
    "apart. On a slab: without and with the loss along it, or as a slab and as a sharp lip.",
)
def sheet_formulas(head: float, lip: Lip) -> Sequence[Sequence[object]]:
    return thin_sheet.flows_by_formula(head, lip)


@worksheet_function(
    category=CATEGORY,
    summary="How far two accepted formulas for a sheet's flow are apart, as a share of the flow",
    arguments=(HEAD, _OUTLET),
    result=kinds.RATIO,
    source=_FORMULAS,
    # 0.023695/0.020026 - 1.
    examples=(Example(("1/4", "straight lip", "24"), "0.183"),),
    details="The least that the flow is uncertain by; level and finish of the lip come on top.",
)
def sheet_spread(head: float, lip: Lip) -> float:
    return thin_sheet.spread(head, lip)


@worksheet_function(
    category=CATEGORY,
    summary="How far from lip or rim the outer edge of a falling sheet lands",
    arguments=(FLOW, _FALL, _OUTLET),
    result=kinds.LENGTH,
    source=_NAPPE,
    # 539.3 gal/h over 24 in is 1/4 in of head; 14 in are 56 heads:
    # (0.0546 + √(0.00298 + 1.7 · 56.7092))/0.85 · 1/4 in.
    examples=(Example(("539.3", "14", "straight lip", "24"), "2.904 in"),),
    details="An upper bound for thin sheets: surface tension holds them back, and with little "
    "water they cling to lip and wall.",
)
def sheet_throw(flow: float, fall: float, lip: Lip) -> float:
    return throw.throw(flow, fall, lip)


@worksheet_function(
    category=CATEGORY,
    summary="How far a wind at most pushes a falling sheet further",
    arguments=(
        FLOW,
        _FALL,
        quantity("wind", kinds.WIND, "Wind at the fall, gusts included", 0.0, 50.0),
        _OUTLET,
    ),
    result=kinds.LENGTH,
    source="Equation of motion, no source for the bound; drag 1.2 of a flat plate: Matthews 2002",
    # q = 0.005 m²/s; 0.72 · 25 Pa · 1.2258 m · 0.5 s/(3 · 1000 · 0.005) = 0.735 m.
    examples=(
        Example(("18000", "1225.8", "5", "straight lip", "1000"), "735.5 mm", units="metric"),
    ),
    details="A bound: the whole wind square on the sheet from behind, nothing kept off by the "
    "wall, and no further than the wind itself goes while the water falls.",
)
def sheet_drift(flow: float, fall: float, wind: float, lip: Lip) -> float:
    return throw.wind_drift(flow, fall, wind, lip)


@worksheet_function(
    category=CATEGORY,
    summary="Least inside width of a basin that a thrown and drifting sheet stays within",
    arguments=(
        _EFFECT,
        length("size", "Diameter of a bowl's rim; of no other effect", 0.0, 20.0),
        length("thrown", "How far the sheet is thrown: SHEETTHROW", 0.0, 20.0),
        length("drift", "What wind adds: SHEETDRIFT", 0.0, 300.0),
        length(
            "stands_out",
            "How far a lip stands out from the wall's inner face; blank: flush",
            0.0,
            2.0,
            default=0.0,
        ),
    ),
    result=kinds.LENGTH,
    source="Geometry",
    examples=(
        Example(("straight lip", "24", "3", "5", "1"), "9 in"),
        Example(("bowl rim", "24", "3", "5"), "40 in"),
    ),
    details="From the wall under the lip; of a bowl, about its middle. Drops that splash up from "
    "the water go further.",
)
def catch_width(effect: str, size: float, thrown: float, drift: float, stands_out: float) -> float:
    return throw.catch_width(effect, size, thrown, drift, stands_out)
