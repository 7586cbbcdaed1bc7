"""Inputs of the columns on and at walls, of the pipe in the first, and of column caps in pieces.

``BasinSpec`` has these fields among its own. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from basinbook.engine.spec_fields import choice_field, count_field, length_field

WALL_COLUMN: Final = "Columns on and at walls"
WALL_COLUMNS: Final = (
    "none", "on both walls", "on second wall", "on back wall", "by front wall", "by right wall",
    "by back wall", "by left wall", "by second wall", "by left end", "by right end",
    "in front wall", "in right wall", "in back wall", "in left wall", "in second wall",
)  # fmt: skip
"""Where a column on or at a wall stands; the ends are those of the second wall."""
ON_WALL: Final = WALL_COLUMNS[1:4]
IN_WALL: Final = WALL_COLUMNS[11:]
"""Those that are part of a wall: their courses interlock with it."""
FIRST_BLOCKS: Final = ("fewest cuts", "left block", "right block")
LAID: Final = ("flat", "on edge", "on end")
THROUGH, FRONT = "through the cap", "out at the front"
COLUMN_PIPES: Final = ("none", THROUGH, FRONT)
COLUMN_CAPS: Final = ("one piece", "wall caps", "blocks")


def _place(number: int) -> Any:
    help = (
        "On, by or in a wall, or by the second wall's end; blank for none. On both walls its core "
        "is over the pipe space"
    )
    return choice_field(WALL_COLUMN, f"Wall column {number}", help, WALL_COLUMNS)


def _at(number: int) -> Any:
    help = (
        "Its middle from the inside left corner, by a side wall the front one; blank: by the pipe "
        "opening, else the wall's middle"
    )
    return length_field(
        WALL_COLUMN,
        f"Wall column {number} position",
        help,
        0.0,
        15.0,
        None,
        when=(f"Wall_column_{number}",),
    )


def _rows(number: int) -> Any:
    help = "Courses of block in it; needed where it stands"
    return count_field(
        WALL_COLUMN,
        f"Wall column {number} courses",
        help,
        0,
        60,
        0,
        when=(f"Wall_column_{number}",),
    )


@dataclass(frozen=True, kw_only=True)
class ColumnSpec:
    """The part of a basin's inputs on columns on and at walls; none by default."""

    wall_column_1: str = _place(1)
    wall_column_1_at: float | None = _at(1)
    wall_column_1_courses: int = _rows(1)
    wall_column_2: str = _place(2)
    wall_column_2_at: float | None = _at(2)
    wall_column_2_courses: int = _rows(2)
    wall_column_3: str = _place(3)
    wall_column_3_at: float | None = _at(3)
    wall_column_3_courses: int = _rows(3)
    wall_column_laid: str = choice_field(
        WALL_COLUMN,
        "Wall columns laid",
        "How the blocks of wall columns lie; on end makes the narrowest; blank for flat",
        LAID,
        when=("Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
    wall_column_core: str = choice_field(
        WALL_COLUMN,
        "Wall column core",
        "Four blocks a course round a core, which the pipe needs, or two without; blank for yes",
        ("yes", "no"),
        when=("Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
    wall_column_reach: float | None = length_field(
        WALL_COLUMN,
        "Wall column overhang",
        "Farthest it may reach past the walls that carry it; blank: half the block's height, or a "
        "third of its thickness if less",
        0.0,
        0.3,
        None,
        when=("Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
    wall_column_first: str = choice_field(
        WALL_COLUMN,
        "Columns in walls begin with",
        "Which block of course 1 reaches into the wall, left as its positions count; blank for "
        "the one that is best in the aim",
        FIRST_BLOCKS,
        when=("Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
    column_pipe: str = choice_field(
        WALL_COLUMN,
        "Pipe in wall column 1",
        "How the pipe in its core leaves it: up through the cap to a bowl, or out at the front to "
        "a spillway; blank for none",
        COLUMN_PIPES,
        when=("Wall_column_1",),
    )
    column_pipe_course: int = count_field(
        WALL_COLUMN,
        "Pipe leaves in column course",
        "Course of the column where the pipe turns out, or whose front block is left loose; 0 or "
        "blank for the top one",
        0,
        60,
        0,
        when=("Wall_column_1", "Pipe_in_wall_column_1"),
    )
    column_pipe_size: float = length_field(
        WALL_COLUMN,
        "Pipe outside diameter",
        "What caps are cut round and the column's core must hold; blank for 1.315 in (33.4 mm)",
        0.005,
        0.3,
        1.315 * 0.0254,
        ("1.315", 33.4),
        when=("Wall_column_1", "Pipe_in_wall_column_1"),
    )
    column_gap: float = length_field(
        WALL_COLUMN,
        "Pipe gap in the column",
        "Width left open in its front for the pipe; 0 or blank for that of the core",
        0.0,
        0.6,
        0.0,
        when=("Wall_column_1", "Pipe_in_wall_column_1"),
    )
    column_cap_of: str = choice_field(
        WALL_COLUMN,
        "Caps of columns",
        "One piece, or a square of several wall caps or blocks, of all columns; blank for one "
        "piece",
        COLUMN_CAPS,
        when=("Columns or Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
    column_cap_overhang: float | None = length_field(
        WALL_COLUMN,
        "Overhang of column caps",
        "Of several pieces, alike on four sides; blank for the one with the fewest cuts",
        0.0,
        0.3,
        None,
        when=("Columns or Wall_column_1 or Wall_column_2 or Wall_column_3",),
    )
