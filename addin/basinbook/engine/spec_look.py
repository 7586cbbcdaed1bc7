"""Inputs for the look of a wall: rhythm of courses, bond, first pieces, mixed courses.

``BasinSpec`` has these fields among its own. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.spec_fields import choice_field, count_field, length_field, spec_field

LOOK: Final = "Look of the courses"
MIXED: Final = "Mixed courses: blocks on edge between flat ones"
LEAST, THIRD, HALF = "least offset", "third", "half"
BONDS: Final = (LEAST, THIRD, HALF)
PLACE_WALLS: Final = ("front", "right", "back", "left")
MOST_PLACES: Final = 4


def place_field(number: int, key: str) -> str:
    """Return the name of a field of a typed place."""
    return f"place_{number}_{key}"


def _start(which: str) -> Any:
    help = (
        f"First piece at the left of front and back wall in {which} courses as laid; 0 or blank "
        "for any"
    )
    return length_field(LOOK, f"Start of {which} courses", help, 0.0, 1.5, default=0.0)


def _place_wall(number: int) -> Any:
    help = "Wall that the block on edge stands in; blank for front"
    return choice_field(
        MIXED, f"Place {number} wall", help, PLACE_WALLS, when=(f"Place_{number}_middle",)
    )


def _place_courses(number: int) -> Any:
    help = "Numbers of mixed courses, such as 2 or 2, 4; blank for all of them"
    return spec_field(
        MIXED, f"Place {number} courses", kinds.TEXT, help, "", when=(f"Place_{number}_middle",)
    )


def _place_middle(number: int) -> Any:
    help = (
        "Middle of the block from the inside left (of a side wall: front) corner; blank for no "
        "such place"
    )
    return length_field(MIXED, f"Place {number} middle", help, 0.0, 15.0, default=None)


@dataclass(frozen=True, kw_only=True)
class LookSpec:
    """The part of a basin's inputs that shapes its look; all left alone by default."""

    course_pattern: str = spec_field(
        LOOK,
        "Pattern of courses",
        kinds.TEXT,
        "From the base up, repeated, such as flat, mixed, flat; blank for flat but where numbered",
        "",
    )
    bond: str = choice_field(
        LOOK,
        "Bond of courses",
        "Joints of neighbouring courses at least the least offset, or a third or half of block and "
        "joint apart; blank for least offset",
        BONDS,
    )
    start_odd: float = _start("odd")
    start_even: float = _start("even")
    mixed_courses: str = spec_field(
        MIXED,
        "Mixed courses",
        kinds.TEXT,
        "Numbers of the courses that have blocks on edge between flat ones, such as 2 or 2, 4; "
        "blank for none, or as the pattern says",
        "",
    )
    mixed_number: int = count_field(
        MIXED,
        "Blocks on edge a wall",
        "Blocks on edge evenly spaced in each wall of mixed courses; 0 or blank for typed places "
        "only",
        0,
        20,
        default=0,
        when=("Mixed_courses or Pattern_of_courses",),
    )
    mixed_walls: str = choice_field(
        MIXED,
        "Walls evenly spaced",
        "Walls that have them evenly spaced; blank for all",
        ("all", "front", "back", "sides", "front and back"),
        when=("Mixed_courses or Pattern_of_courses",),
    )
    mixed_mirrored: str = choice_field(
        MIXED,
        "Places mirrored",
        "Typed places again as mirrored about the wall's middle; blank for no",
        ("no", "yes"),
        when=("Mixed_courses or Pattern_of_courses",),
    )
    place_1_wall: str = _place_wall(1)
    place_1_courses: str = _place_courses(1)
    place_1_middle: float | None = _place_middle(1)
    place_2_wall: str = _place_wall(2)
    place_2_courses: str = _place_courses(2)
    place_2_middle: float | None = _place_middle(2)
    place_3_wall: str = _place_wall(3)
    place_3_courses: str = _place_courses(3)
    place_3_middle: float | None = _place_middle(3)
    place_4_wall: str = _place_wall(4)
    place_4_courses: str = _place_courses(4)
    place_4_middle: float | None = _place_middle(4)


class PlaceSpec(NamedTuple):
    """A typed place of a block on edge: its wall, courses as text, and middle [m]."""

    number: int
    wall: str
    courses: str
    middle: float


def places_of(spec: LookSpec) -> tuple[PlaceSpec, ...]:
    """Return the typed places, by number."""
    found = []
    for number in range(1, MOST_PLACES + 1):
        wall, courses, middle = (
            getattr(spec, place_field(number, key)) for key in ("wall", "courses", "middle")
        )
        if middle is not None:
            found.append(PlaceSpec(number, wall, courses, middle))
    return tuple(found)
