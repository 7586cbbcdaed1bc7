"""Worksheet functions on outlets that are no weir: hole, pipe spout, scupper, bubbler."""

from __future__ import annotations

from basinbook.catalogue.model import Example, Group, length, quantity, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.water import outlets
from basinbook.engine.water.weir import WeirFlow

CATEGORY = "Outlets"
_TRY = "Show the status beside it, and try it with a hose before anything is glued."
_STATUS_DETAILS = (
    "One of: within the validated range; the same, if fully contracted (the room around it is not "
    "known); extrapolated below the validated head; extrapolated outside the validated "
    "proportions; rule of thumb."
)

_FLOW = quantity("flow", kinds.PUMP_FLOW, "Flow of the outlet", 1e-7, 1.0)
_HEAD = length(
    "head", "From the water down to the middle of the hole", 0.0005, outlets.HIGHEST_HEAD
)
_HOLE = length("diameter", "Diameter of the hole", 0.001, 0.5)
_ROOM = length(
    "room",
    "From the hole's edge to the nearest wall or floor behind it; blank where not known",
    0.0,
    20.0,
    default=None,
)
_BORE = length("inside_diameter", "Inside diameter of the pipe, not its nominal size", 0.003, 1.0)
_DEPTH = length("end_depth", "Depth of the water at the very end of the pipe", 0.0001, 1.0)
_HEIGHT = length(
    "height", "Height of water or jet over the pipe's end", 0.0005, outlets.HIGHEST_HEAD
)
_SCUPPER = (
    length("scupper_width", "Clear width of the opening", 0.01, 5.0),
    length("wall_thickness", "Length of the opening along the flow", 0.001, 2.0),
    length(
        "opening_height",
        "Clear height of the opening; blank where it is open at the top",
        0.005,
        5.0,
        default=None,
    ),
)
_OVER_FLOOR = length("head", "Water behind over the opening's floor", 0.0002, 2.0)


def _scupper_flow(
    head: float, scupper_width: float, wall_thickness: float, opening_height: float | None
) -> WeirFlow:
    return outlets.scupper_flow(head, scupper_width, wall_thickness, opening_height)


def _scupper_head(
    flow: float, scupper_width: float, wall_thickness: float, opening_height: float | None
) -> WeirFlow:
    return outlets.scupper_head(flow, scupper_width, wall_thickness, opening_height)


_HOLE_AT = Group("found", (_HEAD, _HOLE, _ROOM), outlets.orifice_flow)
_SPOUT_AT = Group("found", (_DEPTH, _BORE), outlets.spout_flow)
_RISER_AT = Group("found", (_HEIGHT, _BORE), outlets.riser_flow)
_SCUPPER_AT = Group("found", (_OVER_FLOOR, *_SCUPPER), _scupper_flow)
_SCUPPER_SOURCE = (
    "Bos, Discharge Measurement Structures, 1989, a square-edged slab with contracted ends: rule "
    "of thumb"
)


@worksheet_function(
    category=CATEGORY,
    summary="Flow of a sharp round hole that runs into the air, under a head",
    arguments=(_HOLE_AT,),
    result=kinds.PUMP_FLOW,
    source=outlets.ORIFICE_SOURCE,
    examples=(
        Example(("12", "1"), "723 gal/h"),
        Example(("300", "25"), "2,630.8 L/h", units="metric"),
    ),
    details=f"{_TRY} A thick wall with a square edge may give up to a third more.",
)
def orifice_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Head over the middle of a sharp round hole for a flow",
    arguments=(_FLOW, _HOLE),
    result=kinds.LENGTH,
    source=outlets.ORIFICE_SOURCE,
    examples=(Example(("735", "1"), "12.41 in"),),
    details="The inverse of ORIFICEFLOW. Show ORIFICESTATUS of this head beside it.",
)
def orifice_head(flow: float, diameter: float) -> float:
    return outlets.orifice_head(flow, diameter).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow of a hole can be trusted at a head",
    arguments=(_HOLE_AT,),
    result=kinds.TEXT,
    source=outlets.ORIFICE_SOURCE,
    examples=(
        Example(("12", "1"), "within the validated range, if fully contracted"),
        Example(("12", "1", "2"), "within the validated range"),
        Example(("6", "1"), "extrapolated below the validated head"),
        Example(("12", "1/4"), "extrapolated outside the validated proportions"),
    ),
    details=_STATUS_DETAILS,
)
def orifice_status(found: WeirFlow) -> str:
    return found.status


@worksheet_function(
    category=CATEGORY,
    summary="Flow of a level pipe spout that ends free and runs partly full, by its depth there",
    arguments=(_SPOUT_AT,),
    result=kinds.PUMP_FLOW,
    source=outlets.SPOUT_SOURCE,
    examples=(Example(("1.5", "3"), "2,042.7 gal/h"),),
    details=f"{_TRY} The pipe must lie level for six diameters and be open to the air.",
)
def spout_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Depth of the water at the end of a level pipe spout for a flow",
    arguments=(_FLOW, _BORE),
    result=kinds.LENGTH,
    source=outlets.SPOUT_SOURCE,
    examples=(Example(("2000", "3"), "1.483 in"), Example(("20000", "3"), "3 in")),
    details="The inverse of SPOUTFLOW; the inside diameter where the flow fills the pipe.",
)
def spout_depth(flow: float, inside_diameter: float) -> float:
    return outlets.spout_depth(flow, inside_diameter).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow of a pipe spout can be trusted at a depth",
    arguments=(_SPOUT_AT,),
    result=kinds.TEXT,
    source=outlets.SPOUT_SOURCE,
    examples=(
        Example(("1.5", "3"), "within the validated range"),
        Example(("1", "2"), "extrapolated outside the validated proportions"),
    ),
    details=_STATUS_DETAILS,
)
def spout_status(found: WeirFlow) -> str:
    return found.status


@worksheet_function(
    category=CATEGORY,
    summary="How far a level pipe spout throws its water over a drop",
    arguments=(_FLOW, _BORE, length("drop", "From the middle of the water down", 0.005, 5.0)),
    result=kinds.LENGTH,
    source="Law of free fall; depth at the end as SPOUTDEPTH",
    # 63 gal/min fill 3.1416 in²: 77.2 in/s for √(2 · 13/386.09) s.
    examples=(Example(("3780", "2", "13"), "20.035 in"),),
    details="A basin must be wider than that, and wind and drops go further.",
)
def spout_throw(flow: float, inside_diameter: float, drop: float) -> float:
    return outlets.spout_throw(flow, inside_diameter, drop)


@worksheet_function(
    category=CATEGORY,
    summary="Flow of a bubbler's riser by the height that the water stands over it",
    arguments=(_RISER_AT,),
    result=kinds.PUMP_FLOW,
    source=outlets.RISER_SOURCE,
    # 5.01 · 2^1.99 · 6^0.53 = 51.42 gal/min.
    examples=(Example(("6", "2"), "3,086.4 gal/h"), Example(("1/2", "2"), "345.4 gal/h")),
    details=f"{_TRY} To ±15 % where it wells over, ±10 % where it jets.",
)
def bubbler_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Height of the water over a bubbler's riser for a flow",
    arguments=(_FLOW, _BORE),
    result=kinds.LENGTH,
    source=outlets.RISER_SOURCE,
    examples=(Example(("3085", "2"), "5.995 in"),),
    details="The inverse of BUBBLERFLOW. Show BUBBLERSTATUS of this height beside it.",
)
def bubbler_height(flow: float, inside_diameter: float) -> float:
    return outlets.riser_height(flow, inside_diameter).head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow of a bubbler's riser can be trusted at a height",
    arguments=(_RISER_AT,),
    result=kinds.TEXT,
    source=outlets.RISER_SOURCE,
    examples=(
        Example(("6", "2"), "within the validated range"),
        Example(("6", "1"), "extrapolated outside the validated proportions"),
    ),
    details=_STATUS_DETAILS,
)
def bubbler_status(found: WeirFlow) -> str:
    return found.status


@worksheet_function(
    category=CATEGORY,
    summary="Flow through a scupper, a rectangular opening through a wall, at a head",
    arguments=(_SCUPPER_AT,),
    result=kinds.PUMP_FLOW,
    source=_SCUPPER_SOURCE,
    examples=(Example(("1", "6", "4"), "819.8 gal/h"),),
    details=f"{_TRY} The water must stay under the opening's top.",
)
def scupper_flow(found: WeirFlow) -> float:
    return found.flow


@worksheet_function(
    category=CATEGORY,
    summary="Head over the floor of a scupper for a flow",
    arguments=(Group("found", (_FLOW, *_SCUPPER), _scupper_head),),
    result=kinds.LENGTH,
    source=_SCUPPER_SOURCE,
    examples=(Example(("800", "6", "4", "2"), "0.983 in"),),
    details="The inverse of SCUPPERFLOW.",
)
def scupper_head(found: WeirFlow) -> float:
    return found.head


@worksheet_function(
    category=CATEGORY,
    summary="How far the flow through a scupper can be trusted at a head",
    arguments=(_SCUPPER_AT,),
    result=kinds.TEXT,
    source=_SCUPPER_SOURCE,
    examples=(Example(("1", "6", "4"), "rule of thumb"),),
    details=_STATUS_DETAILS,
)
def scupper_status(found: WeirFlow) -> str:
    return found.status
