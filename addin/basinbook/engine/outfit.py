"""The outfit of a job: what it has besides block and caps, and what it does not have.

Sheets, drawings, steps, checks and findings all read this one record, so that none of them speaks
of a part that the job does not have. All lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

from basinbook.engine import kinds
from basinbook.engine.errors import check_choice
from basinbook.engine.inputs import Input

STILL: Final = "still water"
CIRCULATION: Final = "circulation"
LIP: Final = "straight lip"
NOTCH: Final = "notch"
BOWL: Final = "bowl rim"
BUBBLER: Final = "bubbler"
EFFECTS: Final = (STILL, CIRCULATION, LIP, NOTCH, BOWL, BUBBLER)
"""What the water does; only the first runs no pump."""
FALLS: Final = (LIP, NOTCH, BOWL)
"""Effects in which water falls through the air."""
FROM_BELOW: Final = "from below"
OVER_THE_RIM: Final = "over the rim"
WAYS_IN: Final = (FROM_BELOW, OVER_THE_RIM)
"""How the pipe brings water into bowl or box: only from below does it run back with the pipe."""
GOES_UP_TO: Final = {LIP: "spillway lip", NOTCH: "notch", BOWL: "bowl", BUBBLER: "bubbler"}
"""What the pipe goes up to; where the water only circulates, it goes back into the basin."""
SHEET: Final = "sheet"
PREFORMED: Final = "preformed"
LINER_TYPES: Final = (SHEET, PREFORMED)


def check_effect(effect: str) -> None:
    """Refuse a word that is no effect, which would count as one in which nothing falls."""
    check_choice("effect", effect, EFFECTS)


@dataclass(frozen=True)
class Outfit:
    """The parts of a job. A name that is blank: the job has no such part.

    ``effect`` is one of ``EFFECTS``. Names are those that the sheets give the parts; counts go
    with them. ``liner_type`` is one of ``LINER_TYPES``, or blank without a liner.
    """

    effect: str = STILL
    outlet: str = ""
    outlets: int = 0
    pump: str = ""
    pipe: str = ""
    pipe_bore: float = 0.0
    fittings: int = 0
    bulkhead: str = ""
    bulkheads: int = 0
    check_valve: str = ""
    check_valves: int = 0
    cord_passage: str = ""
    cord_passages: int = 0
    light: str = ""
    lights: int = 0
    automatic_fill: str = ""
    automatic_fills: int = 0
    liner: str = ""
    liner_type: str = ""
    liner_lap: float = 0.0
    underlay: str = ""
    base_material: str = ""
    base_thickness: float = 0.0
    base_margin: float = 0.0
    adhesive: str = ""
    pump_width: float = 0.0
    pump_height: float = 0.0

    @property
    def runs(self) -> bool:
        """Whether a pump runs."""
        return self.effect != STILL and bool(self.pump)


def _text(label: str) -> Input:
    return Input(label, kinds.TEXT, default="")


def _count(label: str) -> Input:
    return Input(label, kinds.COUNT, low=0, high=1000, default=0)


def _length(label: str, high: float) -> Input:
    return Input(label, kinds.LENGTH, low=0.0, high=high, default=0.0)


FIELDS: Final[dict[str, Input]] = {
    "effect": Input("Water effect", kinds.CHOICE, choices=EFFECTS, default=STILL),
    "outlet": _text("Spillway, bowl or bubbler"),
    "outlets": _count("Number of spillways, bowls or bubblers"),
    "pump": _text("Pump"),
    "pipe": _text("Pipe"),
    "pipe_bore": _length("Inside diameter of the pipe", 0.5),
    "fittings": _count("Fittings bought"),
    "bulkhead": _text("Bulkhead fitting"),
    "bulkheads": _count("Number of bulkhead fittings"),
    "check_valve": _text("Check valve"),
    "check_valves": _count("Number of check valves"),
    "cord_passage": _text("Cord passage"),
    "cord_passages": _count("Number of cord passages"),
    "light": _text("Light"),
    "lights": _count("Number of lights"),
    "automatic_fill": _text("Automatic fill"),
    "automatic_fills": _count("Number of automatic fills"),
    "liner": _text("Liner"),
    "liner_type": Input("Liner type", kinds.CHOICE, choices=LINER_TYPES, default=""),
    "liner_lap": _length("Liner lap", 3.0),
    "underlay": _text("Underlay"),
    "base_material": _text("Base material"),
    "base_thickness": _length("Base thickness", 3.0),
    "base_margin": _length("Base margin", 3.0),
    "adhesive": _text("Adhesive"),
    "pump_width": _length("Pump width", 3.0),
    "pump_height": _length("Pump height", 3.0),
}
"""The label of each field on the sheets, with its kind and limits."""

assert list(FIELDS) == [item.name for item in fields(Outfit)]
