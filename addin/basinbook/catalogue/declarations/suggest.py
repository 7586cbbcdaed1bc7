"""Worksheet functions that suggest heights and lengths of the water's way from the geometry."""

from __future__ import annotations

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.model import Example, choice, length, worksheet_function
from basinbook.engine import kinds, suggest
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import EFFECTS
from basinbook.engine.spec import BasinSpec

_CATEGORY = "Pipe and pump"
_SOURCE = "Geometry; where the outlet stands is common practice, no source"
_DETAILS = (
    "Of lip and notch the outlet is over the back wall, as high as the highest of back wall, "
    "second wall and a column behind them, caps included; a bowl stands on a column that is as "
    "high. Circulation and bubbler give their water at its level. What a spillway or bowl itself "
    "stands higher is not counted: add it."
)
_EFFECT = choice("effect", "What the water does, as on the Basin sheet", EFFECTS)
_EXAMPLE = (EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]")


@worksheet_function(
    category=_CATEGORY,
    summary="Height that the water falls from outlet to operating level, by the geometry",
    arguments=(_EFFECT, LAYOUT),
    result=kinds.LENGTH,
    source=_SOURCE,
    # 4 courses of 4 in, no caps: 16 in; the water is 12 in deep.
    examples=(Example(("straight lip", *_EXAMPLE), "4 in"),),
    details=_DETAILS,
)
def suggest_fall(effect: str, spec: BasinSpec) -> float:
    return suggest.fall(solve(spec), effect)


@worksheet_function(
    category=_CATEGORY,
    summary="Static lift from operating level to the water over the outlet, by the geometry",
    arguments=(
        _EFFECT,
        LAYOUT,
        length("head", "Water over lip, notch or rim; blank is 0", 0.0, 2.0, default=0.0),
    ),
    result=kinds.HEAD,
    source=_SOURCE,
    # 16 in of wall, 12 in of water, 2 in over the lip: 6 in.
    examples=(Example(("straight lip", *_EXAMPLE, "2"), "0.5 ft"),),
    details=_DETAILS,
)
def suggest_lift(effect: str, head: float, spec: BasinSpec) -> float:
    return suggest.lift(solve(spec), effect, head)


@worksheet_function(
    category=_CATEGORY,
    summary="Length of pipe from pump to outlet with an allowance of 10 %, by the geometry",
    arguments=(_EFFECT, LAYOUT),
    result=kinds.RUN,
    source="Geometry; route and allowance are common practice, no source",
    # Up 16 in at the wall, 8 in over it and 8 in back to the lip: 32 in, and 10 % are 2.933 ft.
    # Circulation: 12 in up and 64 in along, and 10 %: 6.967 ft.
    examples=(
        Example(("straight lip", *_EXAMPLE), "2.93 ft"),
        Example(("circulation", *_EXAMPLE), "6.97 ft"),
    ),
    details="The pump stands on the floor at the back wall; the pipe runs along the walls: through "
    "the pipe opening or over the wall, up in the middle of the pipe space, and to the outlet. "
    + _DETAILS,
)
def suggest_pipe(effect: str, spec: BasinSpec) -> float:
    return suggest.pipe_length(solve(spec), effect)
