"""Worksheet functions on water running over a spillway lip, a bowl's rim or a notch."""

from __future__ import annotations

from basinbook.catalogue.model import (
    Example,
    Group,
    choice,
    count,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.water import weir
from basinbook.engine.water.weir import Lip, WeirFlow

CATEGORY = "Spillway"
_LIP_SOURCE = (
    "Francis (sharp; Kindsvater and Carter where the pool is given), Bos 1989 (thick), ISO 4374 "
    "(rounded); U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., ch. 7"
)
_KINDSVATER_CARTER = (
    "Kindsvater and Carter 1959; U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., "
    "sec. 7-6"
)
_V_SOURCE = (
    "Kindsvater-Shen; U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., sec. 7-7; "
    "ISO 1438"
)
_STATUS_DETAILS = (
    "One of: within the validated range; the same, if fully contracted (the pool behind must be "
    "deep and wide: give crest_height and approach_width, where the function has them); "
    "extrapolated below the validated head; extrapolated outside the validated proportions; rule "
    "of thumb. Under 1.2 in (30 mm) every sheet is a rule of thumb: surface tension, the lip's "
    "finish and its level matter as much as the head. Try it with a hose."
)

HEAD = length("head", "Water level over the lip, measured back from it", 0.0002, weir.HIGHEST_HEAD)
FLOW = quantity("flow", kinds.PUMP_FLOW, "Flow over the lip", 1e-7, 1.0)
EDGE = choice(
    "edge",
    "sharp (plate or clean arris), thick (flat slab) or rounded (slab with a rounded back edge)",
    weir.EDGES,
    default="sharp",
)
THICKNESS = length(
    "lip_thickness", "Thickness of a thick or rounded lip along the flow", 0.001, 2.0, default=0.0
)
ENDS = count(
    "contractions", "Ends where the water turns in around a corner: 0, 1 or 2", 0, 2, default=0
)
_WIDTH = length("lip_width", "Clear width of the lip", 0.01, 20.0)
POOL = (
    length(
        "crest_height",
        "Height of the lip over the floor of the pool behind it; blank where not known",
        0.005,
        5.0,
        default=None,
    ),
    length(
        "approach_width",
        "Width of the water in the pool behind the lip; blank where not known",
        0.01,
        20.0,
        default=None,
    ),
)


def _lip(
    lip_width: float,
    edge: str,
    lip_thickness: float,
    contractions: int,
    crest_height: float | None,
    approach_width: float | None,
) -> Lip:
    return Lip(lip_width, edge, lip_thickness, contractions, crest_height, approach_width)


def _notch(notch_width: float, crest_height: float | None, approach_width: float | None) -> Lip:
    return Lip(
        notch_width, contractions=2, crest_height=crest_height, approach_width=approach_width
    )


_LIP = Group("lip", (_WIDTH, EDGE, THICKNESS, ENDS, *POOL), _lip)
_NOTCH = Group("lip", (length("notch_width", "Clear width of the notch", 0.01, 5.0), *POOL), _notch)
_BOWL = (
    length("bowl_diameter", "Diameter of the rim that the water runs over", 0.05, 5.0),
    EDGE,
    THICKNESS,
)
_BOWL_AT = Group("found", (HEAD, *_BOWL), weir.rim_flow)
_BOX_AT = Group(
    "found",
    (
        HEAD,
        _WIDTH,
        length("box_width", "Width of the water behind the lip", 0.01, 20.0),
        length("crest_height", "Height of the lip over the floor behind it", 0.005, 5.0),
    ),
    weir.boxed_lip_flow,
)
_ANGLE = ratio("angle", "Angle of the notch in degrees", 20.0, 120.0)
_V_AT = Group("found", (HEAD, _ANGLE, *POOL), weir.v_notch_flow)


@worksheet_function(
    category=CATEGORY,
    summary="Flow over a straight lip at a head",
    arguments=(HEAD, _LIP),
    result=kinds.PUMP_FLOW,
    source=_LIP_SOURCE,
    examples=(
        # 3.33 · 1 ft · (1/12 ft)^1.5 = 0.08011 ft³/s = 2,157.3 gal/h.
        Example(("1", "12"), "2,157.3 gal/h"),
        # 25/40 lies between broad (1.4457) and sharp (1.8385): 1.4784 · 0.3 · 0.025^1.5 m³/s.
        Example(("25", "300", "thick", "40"), "6,310.8 L/h", units="metric"),
    ),
    details="Show SPILLSTATUS beside it: most sheets are thinner than the tests behind it. A sharp "
    "lip whose crest_height and approach_width are given is that of BOXSPILLFLOW, and its "
    "contractions follow from the widths, but for one contracted end.",
)
def spill_flow(head: float, lip: Lip) -> float:
    return weir.lip_flow(head, lip).flow


@worksheet_function(
    category=CATEGORY,
    summary="Head over a straight lip for a flow",
    arguments=(FLOW, _LIP),
    result=kinds.LENGTH,
    source=_LIP_SOURCE,
    examples=(Example(("2157.3", "12"), "1 in"),),
    details="The inverse of SPILLFLOW. Show SPILLSTATUS of this head beside it.",
)
def spill_head(flow: float, lip: Lip) -> float:
    return weir.lip_head(flow, lip).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow over a straight lip can be trusted at a head",
    arguments=(HEAD, _LIP),
    result=kinds.TEXT,
    source=_LIP_SOURCE,
    examples=(
        Example(("1/2", "24"), "rule of thumb"),
        Example(("2", "24"), "extrapolated below the validated head"),
        Example(("2.5", "24"), "within the validated range, if fully contracted"),
        Example(("2.5", "24", "", "", "", "8", "24"), "within the validated range"),
        Example(("70", "200"), "extrapolated outside the validated proportions", units="metric"),
    ),
    details=_STATUS_DETAILS,
)
def spill_status(head: float, lip: Lip) -> str:
    return weir.lip_flow(head, lip).status


@worksheet_function(
    category=CATEGORY,
    summary="Published source of the formula that a straight lip uses at a head",
    arguments=(HEAD, _LIP),
    result=kinds.TEXT,
    source="Definition",
    examples=(
        Example(
            ("1", "12"),
            "Francis formula, in U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., "
            "ch. 7",
        ),
    ),
)
def spill_source(head: float, lip: Lip) -> str:
    return weir.lip_flow(head, lip).source


@worksheet_function(
    category=CATEGORY,
    summary="Width of the sheet between its contracted ends",
    arguments=(HEAD, _WIDTH, ENDS),
    result=kinds.LENGTH,
    source="Francis, in U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., ch. 7",
    examples=(Example(("1", "12", "2"), "11.8 in"),),
)
def spill_width(head: float, lip_width: float, contractions: int) -> float:
    return weir.wetted_width(head, Lip(lip_width, contractions=contractions))


@worksheet_function(
    category=CATEGORY,
    summary="Usual flow for a lip of a width: a starting point, not a calculation",
    arguments=(
        _WIDTH,
        choice("look", "light, full or heavy sheet", tuple(weir.RECOMMENDED_FLOW), default="full"),
    ),
    result=kinds.PUMP_FLOW,
    source="Common practice, no source: 50, 100 and 150 gal/h per inch of lip",
    examples=(
        Example(("24",), "2,400 gal/h"),
        Example(("600", "light"), "4,471 L/h", units="metric"),
    ),
)
def usual_spill_flow(lip_width: float, look: str) -> float:
    return weir.recommended_flow(lip_width, look)


@worksheet_function(
    category=CATEGORY,
    summary="Usual flow for a bowl that runs over all round its rim: a starting point",
    arguments=(
        _BOWL[0],
        choice("look", "light, full or heavy sheet", tuple(weir.RECOMMENDED_FLOW), default="full"),
    ),
    result=kinds.PUMP_FLOW,
    source="Common practice, no source: that of a lip as long as the rim",
    # π · 30 in · 100 gal/h per inch.
    examples=(
        Example(("30",), "9,424.8 gal/h"),
        Example(("600", "light"), "14,045.9 L/h", units="metric"),
    ),
)
def usual_bowl_flow(bowl_diameter: float, look: str) -> float:
    return weir.recommended_bowl_flow(bowl_diameter, look)


@worksheet_function(
    category=CATEGORY,
    summary="Flow over a sharp lip in a weir box whose size is known",
    arguments=(_BOX_AT,),
    result=kinds.PUMP_FLOW,
    source=_KINDSVATER_CARTER,
    # (0.0612 · 0.125/0.5 + 3.173)(1 + 0.01017)(0.125 + 0.003)^1.5 = 0.14749 ft³/s.
    examples=(Example(("1.5", "12", "24", "6"), "3,971.9 gal/h"),),
    details="Validated down to thinner sheets (1.2 in, 30 mm) than SPILLFLOW; the contraction "
    "follows from the lip's share of the box. Show BOXSPILLSTATUS beside it.",
)
def box_spill_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="How far BOXSPILLFLOW can be trusted at a head",
    arguments=(_BOX_AT,),
    result=kinds.TEXT,
    source=_KINDSVATER_CARTER,
    examples=(
        Example(("1.5", "12", "24", "6"), "within the validated range"),
        # 2 in to the side; ISO 1438 has 0.1 m.
        Example(("1.5", "20", "24", "6"), "extrapolated outside the validated proportions"),
        Example(("1", "12", "24", "6"), "rule of thumb"),
    ),
    details=_STATUS_DETAILS,
)
def box_spill_status(found: WeirFlow) -> str:
    return found.status


_BOWL_SOURCE = f"{_LIP_SOURCE}; taken along the rim: rule of thumb"


@worksheet_function(
    category=CATEGORY,
    summary="Flow over the whole rim of a round bowl at a head",
    arguments=(_BOWL_AT,),
    result=kinds.PUMP_FLOW,
    source=_BOWL_SOURCE,
    # 3.33 · 2π ft · (1/96 ft)^1.5 = 0.022245 ft³/s = 599.04 gal/h.
    examples=(Example(("1/8", "24"), "599 gal/h"),),
    details="A rim is never quite level: the high side runs dry first. Always a rule of thumb.",
)
def bowl_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Head over the whole rim of a round bowl for a flow",
    arguments=(Group("found", (FLOW, *_BOWL), weir.rim_head),),
    result=kinds.LENGTH,
    source=_BOWL_SOURCE,
    examples=(Example(("599", "24"), "0.125 in"),),
    details="The inverse of BOWLFLOW. Set the rim level to well within this head.",
)
def bowl_head(found: WeirFlow) -> float:
    return found.head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow over a bowl's whole rim can be trusted at a head",
    arguments=(_BOWL_AT,),
    result=kinds.TEXT,
    source=_BOWL_SOURCE,
    examples=(Example(("1/8", "24"), "rule of thumb"),),
    details=_STATUS_DETAILS,
)
def bowl_status(found: WeirFlow) -> str:
    return found.status


@worksheet_function(
    category=CATEGORY,
    summary="Flow through a rectangular notch in a rim or wall at a head",
    arguments=(HEAD, _NOTCH),
    result=kinds.PUMP_FLOW,
    source=_LIP_SOURCE,
    # 3.33 · (0.5 - 0.2/12) ft · (1/12 ft)^1.5 = 0.038720 ft³/s = 1,042.7 gal/h.
    examples=(Example(("1", "6"), "1,042.7 gal/h"),),
    details="A sharp lip contracted at both ends. Show NOTCHSTATUS beside it.",
)
def notch_flow(head: float, lip: Lip) -> float:
    return weir.lip_flow(head, lip).flow


@worksheet_function(
    category=CATEGORY,
    summary="Head in a rectangular notch for a flow",
    arguments=(FLOW, _NOTCH),
    result=kinds.LENGTH,
    source=_LIP_SOURCE,
    examples=(Example(("1042.7", "6"), "1 in"),),
)
def notch_head(flow: float, lip: Lip) -> float:
    return weir.lip_head(flow, lip).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow through a rectangular notch can be trusted at a head",
    arguments=(HEAD, _NOTCH),
    result=kinds.TEXT,
    source=_LIP_SOURCE,
    examples=(Example(("1", "6"), "rule of thumb"),),
    details=_STATUS_DETAILS,
)
def notch_status(head: float, lip: Lip) -> str:
    return weir.lip_flow(head, lip).status


@worksheet_function(
    category=CATEGORY,
    summary="Flow through a V-notch at a head over its point",
    arguments=(_V_AT,),
    result=kinds.PUMP_FLOW,
    source=_V_SOURCE,
    # 8/15 · 0.578 · 8.0217 · (0.25 + 0.00279)^2.5 = 0.07945 ft³/s.
    examples=(Example(("3", "90"), "2,139.6 gal/h"),),
    details="Show VNOTCHSTATUS beside it.",
)
def v_notch_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Head over the point of a V-notch for a flow",
    arguments=(FLOW, _ANGLE),
    result=kinds.LENGTH,
    source=_V_SOURCE,
    examples=(Example(("2139.6", "90"), "3 in"),),
)
def v_notch_head(flow: float, angle: float) -> float:
    return weir.v_notch_head(flow, angle).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow through a V-notch can be trusted at a head",
    arguments=(_V_AT,),
    result=kinds.TEXT,
    source=_V_SOURCE,
    examples=(
        Example(("3", "90"), "within the validated range, if fully contracted"),
        Example(("3", "90", "18", "36"), "within the validated range"),
        Example(("3", "90", "6", "36"), "extrapolated outside the validated proportions"),
    ),
    details=_STATUS_DETAILS,
)
def v_notch_status(found: WeirFlow) -> str:
    return found.status
