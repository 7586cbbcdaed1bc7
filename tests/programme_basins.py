"""Basins in whole units, as the integer programmes take them, and as the solver does."""

from __future__ import annotations

from random import Random
from typing import Any, NamedTuple

from basinbook.engine.spec import BasinSpec
from basinbook.engine.spec_openings import opening_field
from layout_programme import Blocks, Hole

UNIT = 0.02
"""One unit of the programmes [m]."""


class OnEdge(NamedTuple):
    """Courses of a basin: thickness and leaves of each, and the inputs of those on edge."""

    depths: list[int]
    leaves: list[int]
    height: int
    numbers: str
    doubled: str

    @property
    def fields(self) -> dict[str, Any]:
        return {"edge_courses": self.numbers, "edge_doubled": self.doubled}


def on_edge(source: Random, blocks: Blocks, courses: int) -> OnEdge:
    """Draw which courses stand on edge, often none; doubled ones fill the thickness about."""
    depths, leaves = [blocks.depth] * courses, [1] * courses
    height, edge, doubled = 1, "", "no"
    if source.random() < 0.4:
        chosen = sorted(source.sample(range(courses), source.randint(1, courses)))
        doubled = "yes" if blocks.depth >= 2 + blocks.joint and source.random() < 0.5 else "no"
        leaf = 2 if doubled == "yes" else 1
        height = (blocks.depth - (leaf - 1) * blocks.joint) // leaf
        for number in chosen:
            depths[number], leaves[number] = leaf * height + (leaf - 1) * blocks.joint, leaf
        edge = ", ".join(str(number + 1) for number in chosen)
    return OnEdge(depths, leaves, height, edge, doubled)


Gap = tuple[int, int, int]
"""Course (from 0), low and high end."""


def pipe_gap(source: Random, blocks: Blocks, length: int, courses: int) -> Gap | None:
    """Draw an opening in the back wall, often none."""
    wide = source.randint(1, max(1, blocks.length - 2 * blocks.offset))
    margin = blocks.joint + blocks.shortest
    if source.random() < 0.4 and length - wide >= 2 * margin:
        low = source.randint(margin, length - margin - wide)
        return source.randrange(courses), low, low + wide
    return None


def gap_fields(gap: Gap | None) -> dict[str, Any]:
    """Return the inputs of a pipe opening."""
    if gap is None:
        return {}
    course, low, high = gap
    return {
        "opening_width": (high - low) * UNIT,
        "opening_course": course + 1,
        "opening_offset": (low + high) / 2 * UNIT,
    }


def hole_in(source: Random, blocks: Blocks, inside: int, courses: int) -> Hole | None:
    """An opening that leaves room for a piece at both ends of its wall; None for none."""
    first = source.randrange(courses)
    last = min(courses - 1, first + (source.random() < 0.3))
    lintel = last + 1 < courses and source.random() < 0.5
    most = blocks.length if lintel else blocks.length - 2 * blocks.offset
    width = source.randint(1, max(1, most))
    over = blocks.offset + source.randint(0, 2) if lintel else 0
    margin = blocks.joint + blocks.shortest + (over + blocks.joint if lintel else 0)
    if inside < width + 2 * margin or (not lintel and width > most):
        return None
    low = source.randint(margin, inside - margin - width)
    high = low + width
    return Hole(first, last, low, high, (low - over, high + over) if lintel else None)


def hole_fields(number: int, wall: str, hole: Hole, course: int, unit: float) -> dict[str, Any]:
    """Return the inputs of an opening; course: the one that it begins in, from 1."""
    given = {
        "width": (hole.high - hole.low) * unit,
        "course": course,
        "rows": hole.last - hole.first + 1,
        "offset": (hole.low + hole.high) / 2 * unit,
    }
    if hole.lintel:
        given["lintel_length"] = (hole.lintel[1] - hole.lintel[0]) * unit
    found = {opening_field(number, key): value for key, value in given.items()}
    return found | ({opening_field(number, "wall"): wall} if number > 1 else {})


def spec_of(
    blocks: Blocks,
    inside: tuple[int, int],
    courses: int,
    *,
    unit: float = UNIT,
    height: int = 1,
    **fields: Any,
) -> BasinSpec:
    """Return the solver's inputs of a basin in units; other fields as they are given."""
    return BasinSpec(
        inside_length=inside[0] * unit,
        inside_width=inside[1] * unit,
        block_length=blocks.length * unit,
        block_height=height * unit,
        block_depth=blocks.depth * unit,
        courses=courses,
        water_depth=unit,
        freeboard=0.0,
        joint=blocks.joint * unit,
        joint_offset=blocks.offset * unit,
        shortest_piece=blocks.shortest * unit,
        **fields,
    )
