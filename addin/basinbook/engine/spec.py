"""What is to be built: the dimensions and choices that a layout follows from.

All lengths in metres. ``FIELDS`` gives each field its input: label (as the sheets show it), kind
of quantity, allowed range and help, so that sheets, help and messages speak of it in one way.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, field, fields
from typing import Any, Final

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import Kind

INCH: Final = 0.0254
YES_NO: Final = ("no", "yes")
EDGE_WALLS: Final = ("all", "front", "back", "sides", "front and back")
RETURNS: Final = ("both", "left", "right", "none")
CAP_CORNERS: Final = ("butted", "mitred")


# Groups of the inputs, in the order of the Job sheet: the size first, as it is measured.
SIZE: Final = "Size"
BLOCK: Final = "Block (from the Materials sheet)"
BOND: Final = "Bond and cuts"
ON_EDGE: Final = "Blocks on edge"
CAPS: Final = "Caps (sizes from the Materials sheet)"
COLUMNS: Final = "Columns"
SECOND_WALL: Final = "Second wall"
OPENING: Final = "Pipe opening in the back wall"
GROUPS: Final = (SIZE, BLOCK, BOND, ON_EDGE, CAPS, COLUMNS, SECOND_WALL, OPENING)

_INPUT: Final = "input"


def _field(group: str, label: str, kind: Kind, help: str, default: object, **given: Any) -> Any:
    """Return a field of the dataclass that carries its input."""
    required = default is MISSING
    declared = Input(
        label,
        kind,
        help=help,
        sheet="Job",
        group=group,
        required=required,
        default=None if required else default,
        **given,
    )
    metadata = {_INPUT: declared}
    return field(metadata=metadata) if required else field(metadata=metadata, default=default)


def _length(
    group: str,
    label: str,
    help: str,
    low: float,
    high: float,
    default: object = MISSING,
    start: tuple[object, object] = (None, None),
) -> Any:
    us, metric = start
    return _field(
        group, label, kinds.LENGTH, help, default, low=low, high=high, us=us, metric=metric
    )


def _count(
    group: str, label: str, help: str, low: int, high: int, default: int, start: int | None = None
) -> Any:
    return _field(
        group, label, kinds.COUNT, help, default, low=low, high=high, us=start, metric=start
    )


def _choice(group: str, label: str, help: str, choices: tuple[str, ...]) -> Any:
    first = choices[0]
    return _field(group, label, kinds.CHOICE, help, first, choices=choices, us=first, metric=first)


@dataclass(frozen=True)
class BasinSpec:
    """A rectangular raised basin and what stands with it; lengths in metres."""

    inside_length: float = _length(
        SIZE, "Inside length", "Clear distance between the side walls, along the front", 0.2, 15.0
    )
    inside_width: float = _length(
        SIZE, "Inside width", "Clear distance between the front and back walls", 0.2, 15.0
    )
    block_length: float = _length(BLOCK, "Block length", "Actual length of a block", 0.05, 1.5)
    block_height: float = _length(
        BLOCK, "Block height", "Actual height of a block laid flat", 0.02, 0.6
    )
    block_depth: float = _length(
        BLOCK, "Block depth", "Actual depth of a block laid flat: the wall's thickness", 0.05, 0.8
    )
    water_depth: float = _length(
        SIZE, "Water depth", "Depth of the water", 0.02, 2.0, default=0.3048, start=(14, 350)
    )
    freeboard: float = _length(
        SIZE,
        "Freeboard",
        "Least height from the water to the top of the block wall; blank for 2 in (51 mm)",
        0.0,
        1.0,
        default=2 * INCH,
        start=(2, 50),
    )
    courses: int = _count(
        SIZE,
        "Courses",
        "Courses of block laid flat; 0 or blank for as many as water and freeboard need",
        0,
        40,
        default=0,
    )
    joint: float = _length(
        BOND,
        "Joint",
        "Joint between pieces, upright and bed, under caps too; 0 or blank for glued dry block",
        0.0,
        0.03,
        default=0.0,
    )
    joint_offset: float = _length(
        BOND,
        "Least joint offset",
        "Least distance from a joint to the joints of the course below; blank for a quarter block",
        0.0,
        0.6,
        default=0.0,
    )
    shortest_piece: float = _length(
        BOND,
        "Shortest piece",
        "Shortest cut piece to lay; blank for a quarter block",
        0.0,
        0.6,
        default=0.0,
    )
    kerf: float = _length(
        BOND,
        "Saw kerf",
        "Width that a saw cut takes away; blank for 1/8 in (3 mm)",
        0.0,
        0.02,
        default=INCH / 8,
        start=("1/8", 3),
    )
    breakage: float = _field(
        BOND,
        "Breakage",
        kinds.RATIO,
        "Allowance for broken blocks and caps, as a part of the count; blank for 5%",
        0.05,
        low=0.0,
        high=0.5,
        us=0.05,
        metric=0.05,
        percent=True,
    )
    edge_courses: str = _field(
        ON_EDGE,
        "Courses on edge",
        kinds.TEXT,
        "Numbers of the courses laid on edge, such as 2 or 2, 4; blank for none",
        "",
    )
    edge_walls: str = _choice(
        ON_EDGE,
        "Walls on edge",
        "Which walls the courses on edge run in; blank for all",
        EDGE_WALLS,
    )
    edge_doubled: str = _choice(
        ON_EDGE,
        "Edge blocks doubled",
        "Two on-edge blocks, one behind the other, to make up the thickness; blank for no",
        YES_NO,
    )
    cap_length: float = _length(
        CAPS, "Cap length", "Length of a wall cap; 0 or blank for no caps", 0.0, 1.5, default=0.0
    )
    cap_depth: float = _length(
        CAPS, "Cap depth", "Front-to-back size of a wall cap", 0.0, 1.0, default=0.0
    )
    cap_height: float = _length(
        CAPS, "Cap height", "Thickness of a wall cap", 0.0, 0.4, default=0.0
    )
    cap_corner: str = _choice(
        CAPS, "Cap corners", "How caps meet at a corner; blank for butted", CAP_CORNERS
    )
    cap_overhang: float | None = _length(
        CAPS,
        "Cap overhang",
        "Overhang on the outer face; blank for equal on both faces",
        0.0,
        0.3,
        default=None,
    )
    columns: int = _count(
        COLUMNS,
        "Columns",
        "1 behind the back wall; 2 beside the side walls at the back; 3 both; 4 at all corners; "
        "0 or blank for none",
        0,
        4,
        default=0,
    )
    column_courses: int = _count(
        COLUMNS,
        "Column courses",
        "Courses of block in each column; needed where there are columns",
        0,
        60,
        default=0,
    )
    column_core: str = _choice(
        COLUMNS,
        "Column core",
        "A hollow middle for pipe or cable: four blocks a course round a core; blank for yes",
        ("yes", "no"),
    )
    column_cap_side: float = _length(
        COLUMNS, "Column cap side", "Side of a square column cap; 0 for none", 0.0, 1.5, default=0.0
    )
    column_cap_height: float = _length(
        COLUMNS, "Column cap height", "Thickness of a column cap", 0.0, 0.4, default=0.0
    )
    second_wall: str = _choice(
        SECOND_WALL,
        "Second wall",
        "A second wall behind the back wall that hides pipe and cord; blank for no",
        YES_NO,
    )
    pipe_space: float = _length(
        SECOND_WALL,
        "Pipe space",
        "Gap between back wall and second wall; blank for 4 in (102 mm)",
        0.02,
        1.0,
        default=4 * INCH,
        start=(4, 100),
    )
    second_wall_courses: int = _count(
        SECOND_WALL,
        "Second wall courses",
        "Courses of the second wall; 0 or blank for as many as the basin",
        0,
        40,
        default=0,
    )
    second_wall_returns: str = _choice(
        SECOND_WALL,
        "Second wall returns",
        "Ends of the pipe space that are closed with block; blank for both",
        RETURNS,
    )
    access_width: float = _length(
        SECOND_WALL,
        "Access gap",
        "Width of the gap in the second wall; 0 or blank for none",
        0.0,
        2.0,
        default=0.0,
    )
    access_offset: float | None = _length(
        SECOND_WALL,
        "Access gap position",
        "Middle of the gap from the second wall's left end; blank: the centre, or nearly",
        0.0,
        20.0,
        default=None,
    )
    access_courses: int = _count(
        SECOND_WALL,
        "Access gap courses",
        "Height of the gap; 0 or blank for the full height",
        0,
        40,
        default=0,
    )
    opening_width: float = _length(
        OPENING,
        "Pipe opening",
        "Width of the gap in the back wall; 0 or blank for none",
        0.0,
        1.0,
        default=0.0,
    )
    opening_course: int = _count(
        OPENING,
        "Pipe opening course",
        "Course that the pipe passes through; blank for the lowest",
        1,
        40,
        default=1,
        start=1,
    )
    opening_offset: float | None = _length(
        OPENING,
        "Pipe opening position",
        "Middle of the gap from the inside left corner; blank: the centre, or nearly",
        0.0,
        15.0,
        default=None,
    )


def _fields() -> dict[str, Input]:
    return {item.name: item.metadata[_INPUT] for item in fields(BasinSpec)}


FIELDS: Final[dict[str, Input]] = _fields()
