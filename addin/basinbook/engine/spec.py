"""What is to be built: the dimensions and choices that a layout follows from.

All lengths in metres. ``FIELDS`` gives each field its label (as the sheets show it), kind of
quantity, allowed range and help, so that sheets, help and messages speak of it in one way.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any, Final

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind

INCH: Final = 0.0254
YES_NO: Final = ("no", "yes")
EDGE_WALLS: Final = ("all", "front", "back", "sides", "front and back")
RETURNS: Final = ("both", "left", "right", "none")
CAP_CORNERS: Final = ("butted", "mitred")


@dataclass(frozen=True)
class Field:
    """One input of a layout, as sheets and messages name it; ranges in SI, inclusive."""

    name: str
    label: str
    kind: Kind
    help: str
    low: float | None
    high: float | None
    choices: tuple[str, ...]
    required: bool
    default: object


def _field(
    label: str,
    kind: Kind,
    help: str,
    low: float | None = None,
    high: float | None = None,
    choices: tuple[str, ...] = (),
    **given: Any,
) -> Any:
    return field(
        metadata={
            "label": label, "kind": kind, "help": help, "low": low, "high": high,
            "choices": choices,
        },
        **given,
    )  # fmt: skip


def _length(label: str, help: str, low: float, high: float, **given: Any) -> Any:
    return _field(label, kinds.LENGTH, help, low, high, **given)


def _count(label: str, help: str, low: int, high: int, **given: Any) -> Any:
    return _field(label, kinds.COUNT, help, low, high, **given)


def _choice(label: str, help: str, choices: tuple[str, ...]) -> Any:
    return _field(label, kinds.CHOICE, help, choices=choices, default=choices[0])


@dataclass(frozen=True)
class BasinSpec:
    """A rectangular raised basin and what stands with it; lengths in metres."""

    inside_length: float = _length(
        "Inside length", "Clear distance between the side walls, along the front", 0.2, 15.0
    )
    inside_width: float = _length(
        "Inside width", "Clear distance between the front and back walls", 0.2, 15.0
    )
    block_length: float = _length("Block length", "Actual length of a block", 0.05, 1.5)
    block_height: float = _length("Block height", "Actual height of a block laid flat", 0.02, 0.6)
    block_depth: float = _length(
        "Block depth", "Actual depth of a block laid flat: the wall's thickness", 0.05, 0.8
    )
    water_depth: float = _length("Water depth", "Depth of the water", 0.02, 2.0, default=0.3048)
    freeboard: float = _length(
        "Freeboard",
        "Least height from the water to the top of the block wall",
        0.0,
        1.0,
        default=2 * INCH,
    )
    courses: int = _count(
        "Courses",
        "Courses of block laid flat; 0 or blank for as many as water and freeboard need",
        0,
        40,
        default=0,
    )
    joint: float = _length(
        "Joint", "Joint between blocks; 0 for glued dry block", 0.0, 0.03, default=0.0
    )
    joint_offset: float = _length(
        "Least joint offset",
        "Least distance from a joint to the joints of the course below; blank for a quarter block",
        0.0,
        0.6,
        default=0.0,
    )
    shortest_piece: float = _length(
        "Shortest piece",
        "Shortest cut piece to lay; blank for a quarter block",
        0.0,
        0.6,
        default=0.0,
    )
    kerf: float = _length(
        "Saw kerf", "Width that a saw cut takes away", 0.0, 0.02, default=INCH / 8
    )
    breakage: float = _field(
        "Breakage",
        kinds.RATIO,
        "Allowance for broken blocks and caps, as a part of the count",
        0.0,
        0.5,
        default=0.05,
    )
    edge_courses: str = _field(
        "Courses on edge",
        kinds.TEXT,
        "Numbers of the courses laid on edge, such as 2 or 2, 4; blank for none",
        default="",
    )
    edge_walls: str = _choice("Walls on edge", "Which walls the courses on edge run in", EDGE_WALLS)
    edge_doubled: str = _choice(
        "Edge blocks doubled",
        "Two on-edge blocks, one behind the other, to make up the thickness",
        YES_NO,
    )
    cap_length: float = _length(
        "Cap length", "Length of a wall cap; 0 or blank for no caps", 0.0, 1.5, default=0.0
    )
    cap_depth: float = _length(
        "Cap depth", "Front-to-back size of a wall cap", 0.0, 1.0, default=0.0
    )
    cap_height: float = _length("Cap height", "Thickness of a wall cap", 0.0, 0.4, default=0.0)
    cap_corner: str = _choice("Cap corners", "How caps meet at a corner", CAP_CORNERS)
    cap_overhang: float | None = _length(
        "Cap overhang",
        "Overhang on the outer face; blank for equal on both faces",
        0.0,
        0.3,
        default=None,
    )
    columns: int = _count(
        "Columns",
        "1 behind the back wall; 2 beside the side walls at the back; 3 both; 4 at all corners",
        0,
        4,
        default=0,
    )
    column_courses: int = _count(
        "Column courses", "Courses of block in each column", 0, 60, default=0
    )
    column_core: str = _choice(
        "Column core",
        "A hollow middle for pipe or cable: four blocks a course round a core",
        ("yes", "no"),
    )
    column_cap_side: float = _length(
        "Column cap side", "Side of a square column cap; 0 for none", 0.0, 1.5, default=0.0
    )
    column_cap_height: float = _length(
        "Column cap height", "Thickness of a column cap", 0.0, 0.4, default=0.0
    )
    second_wall: str = _choice(
        "Second wall", "A second wall behind the back wall that hides pipe and cord", YES_NO
    )
    pipe_space: float = _length(
        "Pipe space", "Gap between back wall and second wall", 0.02, 1.0, default=4 * INCH
    )
    second_wall_courses: int = _count(
        "Second wall courses",
        "Courses of the second wall; 0 or blank for as many as the basin",
        0,
        40,
        default=0,
    )
    second_wall_returns: str = _choice(
        "Second wall returns", "Ends of the pipe space that are closed with block", RETURNS
    )
    access_width: float = _length(
        "Access gap", "Width of the gap in the second wall; 0 for none", 0.0, 2.0, default=0.0
    )
    access_offset: float | None = _length(
        "Access gap position",
        "Middle of the gap from the second wall's left end; blank: the centre, or nearly",
        0.0,
        20.0,
        default=None,
    )
    access_courses: int = _count(
        "Access gap courses", "Height of the gap; 0 for the full height", 0, 40, default=0
    )
    opening_width: float = _length(
        "Pipe opening", "Width of the gap in the back wall; 0 for none", 0.0, 1.0, default=0.0
    )
    opening_course: int = _count(
        "Pipe opening course", "Course that the pipe passes through", 1, 40, default=1
    )
    opening_offset: float | None = _length(
        "Pipe opening position",
        "Middle of the gap from the inside left corner; blank: the centre, or nearly",
        0.0,
        15.0,
        default=None,
    )


def _fields() -> dict[str, Field]:
    from dataclasses import MISSING

    return {
        item.name: Field(
            name=item.name,
            required=item.default is MISSING,
            default=None if item.default is MISSING else item.default,
            **item.metadata,
        )
        for item in fields(BasinSpec)
    }


FIELDS: Final[dict[str, Field]] = _fields()
