"""What is to be built: the dimensions and choices that a layout follows from.

All lengths in metres. ``FIELDS`` gives each field its input: label (as the sheets show it), kind
of quantity, allowed range and help, so that sheets, help and messages speak of it in one way.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, Final

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.spec_columns import WALL_COLUMN, ColumnSpec
from basinbook.engine.spec_fields import INPUT
from basinbook.engine.spec_fields import choice_field as _choice
from basinbook.engine.spec_fields import count_field as _count
from basinbook.engine.spec_fields import length_field as _length
from basinbook.engine.spec_fields import spec_field as _field
from basinbook.engine.spec_look import LOOK, MIXED, LookSpec

INCH: Final = 0.0254
YES_NO: Final = ("no", "yes")
EDGE_WALLS: Final = ("all", "front", "back", "sides", "front and back")
TOGETHER, APART = "together", "leaf by leaf"
LEAVES: Final = (TOGETHER, APART)
RETURNS: Final = ("both", "left", "right", "none")
CAP_CORNERS: Final = ("butted", "mitred")
CAP_JOINTS: Final = ("as they fall", "apart where it costs no cut", "always apart")
CAP_SHORT_EDGES: Final = ("in the middle", "on the short edge")
CAP_GAPS: Final = ("as they fall", "one cap bridges", "open over the access gap")
SERVICE_CAPS: Final = ("none", "over the pipe opening", "over the access gap", "in the back wall")
NO_TURNED, SAVING, BY_RULE = "none", "where they save cuts", "every n-th course"
TURNED_BLOCKS: Final = (NO_TURNED, SAVING, BY_RULE)
OPENING_WALLS: Final = ("back", "front", "left", "right", "second wall")
CUTS, BLOCKS, LENGTHS, COST = AIMS = ("cuts", "blocks", "lengths", "cost")
"""What a layout may be least in: cut pieces, blocks to buy, different lengths of cuts, money."""


# Groups of the inputs: the size first, as it is measured.
SIZE: Final = "Size"
BLOCK: Final = "Block (from the Materials sheet)"
BOND: Final = "Bond and cuts"
ON_EDGE: Final = "Blocks on edge"
CAPS: Final = "Caps (sizes from the Materials sheet)"
COLUMNS: Final = "Columns"
SECOND_WALL: Final = "Second wall"
OPENING: Final = "Pipe opening in the back wall"
OPENINGS: Final = "Further openings: second pipe, spillway, cable"
TURNED: Final = "Turned blocks (laid across the wall)"
_MOST_MONEY: Final = 100_000.0
AIM: Final = "Aim of the layout"
STANDING: Final = "As built: what stands already"
GROUPS: Final = (
    SIZE,
    BLOCK,
    BOND,
    ON_EDGE,
    LOOK,
    MIXED,
    CAPS,
    COLUMNS,
    SECOND_WALL,
    OPENING,
    OPENINGS,
    WALL_COLUMN,
    TURNED,
    AIM,
    STANDING,
)


def _there(number: int) -> tuple[str, ...]:
    """Return what there must be for the other inputs of an opening to have an effect."""
    return (f"Opening_{number}_width",)


def _of(opening: str) -> tuple[str, ...]:
    """Return the same by what the opening is called on the sheet."""
    return ("Pipe_opening",) if opening == "Pipe opening" else _there(int(opening.split()[1]))


def _opening_rows(group: str, opening: str) -> Any:
    help = "Courses of its wall that it is high; blank for 1"
    return _count(group, f"{opening} courses high", help, 1, 40, default=1, when=_of(opening))


def _lintel(group: str, opening: str) -> Any:
    help = "From the Materials sheet; blank for a whole block over the opening"
    label = f"{opening} lintel"
    return _field(group, label, kinds.TEXT, help, "", rows_of="Lintels", when=_of(opening))


def _lintel_length(group: str, opening: str) -> Any:
    help = "Actual length of the lintel over it; 0 or blank for a whole block over the opening"
    return _length(group, f"{opening} lintel length", help, 0.0, 3.0, default=0.0)


def _lintel_height(group: str, opening: str) -> Any:
    help = "Actual height: that of the course it lies in; 0 or blank for as high"
    return _length(group, f"{opening} lintel height", help, 0.0, 0.8, default=0.0)


def _opening_wall(number: int) -> Any:
    help = "Wall that it is left in; blank for back"
    return _choice(OPENINGS, f"Opening {number} wall", help, OPENING_WALLS, when=_there(number))


def _opening_width(number: int) -> Any:
    help = "Width of the gap; 0 or blank for none"
    return _length(OPENINGS, f"Opening {number} width", help, 0.0, 2.0, default=0.0)


def _opening_course(number: int) -> Any:
    help = "Its lowest course; blank for the first"
    return _count(OPENINGS, f"Opening {number} course", help, 1, 40, default=1, when=_there(number))


def _opening_offset(number: int) -> Any:
    help = (
        "Its middle from the inside left (side wall: front) corner, or second wall's left end; "
        "blank: the centre, or nearly"
    )
    return _length(
        OPENINGS, f"Opening {number} position", help, 0.0, 20.0, default=None, when=_there(number)
    )


def _opening_use(number: int) -> Any:
    help = "What goes through, such as spillway, second pipe or cable"
    return _field(OPENINGS, f"Opening {number} for", kinds.TEXT, help, "", when=_there(number))


def _money(label: str, help: str) -> Any:
    return _field(AIM, label, kinds.MONEY, help, 0.0, low=0.0, high=_MOST_MONEY)


@dataclass(frozen=True)
class BasinSpec(LookSpec, ColumnSpec):
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
        when=("Courses_on_edge or Pattern_of_courses",),
    )
    edge_doubled: str = _choice(
        ON_EDGE,
        "Edge blocks doubled",
        "Two on-edge blocks, one behind the other, to make up the thickness; blank for no",
        YES_NO,
        when=("Courses_on_edge or Pattern_of_courses",),
    )
    edge_leaves: str = _choice(
        ON_EDGE,
        "Leaves at corners",
        "Doubled blocks on edge turn a corner both together, or leaf by leaf with a run of their "
        "own each; blank for together",
        LEAVES,
        when=("Courses_on_edge or Pattern_of_courses", "Edge_blocks_doubled"),
    )
    liner_gap: float = _length(
        ON_EDGE,
        "Gap behind the liner",
        "Greatest gap that the inner leaf of doubled blocks on edge may leave between blocks in "
        "place of a cut; 0 or blank for none",
        0.0,
        0.03,
        default=0.0,
        when=("Courses_on_edge or Pattern_of_courses", "Edge_blocks_doubled"),
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
        CAPS,
        "Cap corners",
        "How caps meet at a corner; blank for butted",
        CAP_CORNERS,
        when=("Cap",),
    )
    cap_overhang: float | None = _length(
        CAPS,
        "Cap overhang",
        "Overhang on the outer face; blank for equal on both faces",
        0.0,
        0.3,
        default=None,
        when=("Cap",),
    )
    cap_overhang_least: float | None = _length(
        CAPS,
        "Least cap overhang",
        "On the outer face: the overhang with the fewest cut caps is found from here on; 0 is in "
        "line with the wall",
        0.0,
        0.3,
        default=None,
        when=("Cap",),
    )
    cap_overhang_greatest: float | None = _length(
        CAPS,
        "Greatest cap overhang",
        "And up to here; both blank: as Cap overhang says",
        0.0,
        0.3,
        default=None,
        when=("Cap",),
    )
    cap_joints: str = _choice(
        CAPS,
        "Cap joints over joints",
        "Whether joints of caps keep 1/4 in (6 mm) off joints of the course below; blank: as they "
        "fall",
        CAP_JOINTS,
        when=("Cap",),
    )
    cap_short_edge: str = _choice(
        CAPS,
        "Shortest piece of a mitred cap",
        "Where it is measured; blank for in the middle",
        CAP_SHORT_EDGES,
        when=("Cap",),
    )
    cap_gaps: str = _choice(
        CAPS,
        "Caps over gaps",
        "Over an access gap of full height and a pipe opening in the top course; blank: as they "
        "fall",
        CAP_GAPS,
        when=("Cap",),
    )
    cap_bearing: float = _length(
        CAPS,
        "Cap bearing",
        "Of a cap that bridges a gap, at each side; 0 or blank for the least joint offset",
        0.0,
        0.5,
        default=0.0,
        when=("Cap",),
    )
    service_cap: str = _choice(
        CAPS,
        "Service cap",
        "A cap that is not glued, to be lifted off for service; blank for none",
        SERVICE_CAPS,
        when=("Cap",),
    )
    service_cap_offset: float | None = _length(
        CAPS,
        "Service cap position",
        "Of one in the back wall, from the inside left corner; blank for the middle",
        0.0,
        15.0,
        default=None,
        when=("Cap", "Service_cap"),
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
        "Courses of block in each column; 0 or blank for two more than the basin's walls",
        0,
        60,
        default=0,
        when=("Columns",),
    )
    column_core: str = _choice(
        COLUMNS,
        "Column core",
        "A hollow middle for pipe or cable: four blocks a course round a core; blank for yes",
        ("yes", "no"),
        when=("Columns",),
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
        when=("Second_wall",),
    )
    second_wall_courses: int = _count(
        SECOND_WALL,
        "Second wall courses",
        "Courses of the second wall; 0 or blank for as many as the basin",
        0,
        40,
        default=0,
        when=("Second_wall",),
    )
    second_wall_returns: str = _choice(
        SECOND_WALL,
        "Second wall returns",
        "Ends of the pipe space that are closed with block; blank for both",
        RETURNS,
        when=("Second_wall",),
    )
    access_width: float = _length(
        SECOND_WALL,
        "Access gap",
        "Width of the gap in the second wall; 0 or blank for none",
        0.0,
        2.0,
        default=0.0,
        when=("Second_wall",),
    )
    access_offset: float | None = _length(
        SECOND_WALL,
        "Access gap position",
        "Middle of the gap from the second wall's left end; blank: the centre, or nearly",
        0.0,
        20.0,
        default=None,
        when=("Second_wall", "Access_gap"),
    )
    access_courses: int = _count(
        SECOND_WALL,
        "Access gap courses",
        "Height of the gap; 0 or blank for the full height",
        0,
        40,
        default=0,
        when=("Second_wall", "Access_gap"),
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
        when=("Pipe_opening",),
    )
    opening_offset: float | None = _length(
        OPENING,
        "Pipe opening position",
        "Middle of the gap from the inside left corner; blank: the centre, or nearly",
        0.0,
        15.0,
        default=None,
        when=("Pipe_opening",),
    )
    opening_rows: int = _opening_rows(OPENING, "Pipe opening")
    opening_lintel: str = _lintel(OPENING, "Pipe opening")
    opening_lintel_length: float = _lintel_length(OPENING, "Pipe opening")
    opening_lintel_height: float = _lintel_height(OPENING, "Pipe opening")
    opening_2_use: str = _opening_use(2)
    opening_2_wall: str = _opening_wall(2)
    opening_2_width: float = _opening_width(2)
    opening_2_course: int = _opening_course(2)
    opening_2_rows: int = _opening_rows(OPENINGS, "Opening 2")
    opening_2_offset: float | None = _opening_offset(2)
    opening_2_lintel: str = _lintel(OPENINGS, "Opening 2")
    opening_2_lintel_length: float = _lintel_length(OPENINGS, "Opening 2")
    opening_2_lintel_height: float = _lintel_height(OPENINGS, "Opening 2")
    opening_3_use: str = _opening_use(3)
    opening_3_wall: str = _opening_wall(3)
    opening_3_width: float = _opening_width(3)
    opening_3_course: int = _opening_course(3)
    opening_3_rows: int = _opening_rows(OPENINGS, "Opening 3")
    opening_3_offset: float | None = _opening_offset(3)
    opening_3_lintel: str = _lintel(OPENINGS, "Opening 3")
    opening_3_lintel_length: float = _lintel_length(OPENINGS, "Opening 3")
    opening_3_lintel_height: float = _lintel_height(OPENINGS, "Opening 3")
    opening_4_use: str = _opening_use(4)
    opening_4_wall: str = _opening_wall(4)
    opening_4_width: float = _opening_width(4)
    opening_4_course: int = _opening_course(4)
    opening_4_rows: int = _opening_rows(OPENINGS, "Opening 4")
    opening_4_offset: float | None = _opening_offset(4)
    opening_4_lintel: str = _lintel(OPENINGS, "Opening 4")
    opening_4_lintel_length: float = _lintel_length(OPENINGS, "Opening 4")
    opening_4_lintel_height: float = _lintel_height(OPENINGS, "Opening 4")
    turned_walls: str = _choice(
        TURNED,
        "Turned blocks in basin walls",
        "Whole blocks laid across the back wall, which reach into the pipe space; blank for none",
        TURNED_BLOCKS,
        when=("Second_wall",),
    )
    turned_second: str = _choice(
        TURNED,
        "Turned blocks in second wall",
        "Whole blocks laid across the second wall, which reach into the pipe space; blank for none",
        TURNED_BLOCKS,
        when=("Second_wall",),
    )
    turned_every: int = _count(
        TURNED,
        "Turned blocks in every",
        "n, where they lie in every n-th course: 3 for courses 3, 6 and so on; blank for 2",
        1,
        40,
        default=2,
        start=2,
        when=("Second_wall", "Turned_blocks_in_basin_walls or Turned_blocks_in_second_wall"),
    )
    aim: str = _choice(
        AIM,
        "Aim",
        "Least in the layout of block: cuts, blocks, lengths (different ones) or cost; blank for "
        "cuts",
        AIMS,
    )
    block_price: float = _money(
        "Price of a block", "Of a block laid or cut up; wanted for the aim cost"
    )
    cut_cost: float = _money("Cost of a cut", "Labour for a saw cut; wanted for the aim cost")
    laying_cost: float = _money(
        "Cost of laying a piece", "Labour to lay and glue a piece; wanted for the aim cost"
    )
    blade_wear: float = _money(
        "Blade wear", "For a cut: price of a blade over the cuts it makes; blank for none"
    )
    laid_courses: int = _count(
        STANDING,
        "Courses laid",
        "Courses that stand as set out here; the others follow from what is measured; 0 for none",
        0,
        40,
        default=0,
    )
    laid_length: float = _length(
        STANDING,
        "Measured inside length",
        "Of the courses laid; blank for as planned",
        0.2,
        15.0,
        default=0.0,
        when=("Courses_laid",),
    )
    laid_width: float = _length(
        STANDING,
        "Measured inside width",
        "Of the courses laid; blank for as planned",
        0.2,
        15.0,
        default=0.0,
        when=("Courses_laid",),
    )
    broken: str = _field(
        STANDING,
        "Pieces that broke",
        kinds.TEXT,
        "Course and number of each on the drawings, such as 2.14, 3.5: cut again; blank for none",
        "",
    )


def _fields() -> dict[str, Input]:
    return {item.name: item.metadata[INPUT] for item in fields(BasinSpec)}


FIELDS: Final[dict[str, Input]] = _fields()
