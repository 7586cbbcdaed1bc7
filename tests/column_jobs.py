"""Basins with columns that are part of a wall by a seeded generator, and what is read off them.

Lengths in metres.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from shapely import Polygon, box

from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.spec import AIMS, INCH, BasinSpec
from basinbook.engine.spec_columns import FIRST_BLOCKS, IN_WALL

TINY = 1e-7
GRAIN = 1e-3 / 320
"""Inputs are rounded to this [m]."""


def with_column(source: random.Random) -> BasinSpec:
    """Return a basin with a column that is part of a wall; many can't be built."""
    long, high, deep = source.choice([(16, 4, 8), (12, 4, 8), (18, 6, 12), (15.625, 7.625, 7.625)])
    joint = 0.375 if long == 15.625 else source.choice([0.0, 0.0, 0.375])
    place = source.choice(IN_WALL)
    capped = source.random() < 0.7
    courses = source.randint(1, 4)
    change: dict[str, Any] = {}
    if source.random() < 0.3:
        change = {
            "opening_2_wall": source.choice(("front", "left", "right")),
            "opening_2_width": 4 * INCH,
            "opening_2_course": source.randint(1, courses),
            "opening_2_offset": source.randint(10, 90) / 2 * INCH,
        }
    if place == "in second wall" or (place != "in back wall" and source.random() < 0.3):
        change |= {
            "second_wall": "yes",
            "pipe_space": source.choice([4, 6, long - deep]) * INCH,
            "second_wall_returns": source.choice(["both", "left", "none"]),
            "second_wall_courses": source.choice([0, 0, courses + 1]),
        }
    side = long + deep + joint
    at: float | None = source.randint(20, 120) / 2 * INCH
    if change.get("second_wall_returns") == "none" and source.random() < 0.5:
        at = (side / 2 - deep) * INCH
    if source.random() < 0.2:
        at = None
    if source.random() < 0.3:
        change |= {
            "wall_column_2": source.choice(IN_WALL),
            "wall_column_2_courses": courses + source.randint(1, 3),
        }
    return BasinSpec(
        inside_length=source.randint(100, 220) / 2 * INCH,
        inside_width=source.randint(80, 160) / 2 * INCH,
        block_length=long * INCH, block_height=high * INCH, block_depth=deep * INCH,
        courses=courses, water_depth=0.05, joint=joint * INCH, joint_offset=long / 6 * INCH,
        cap_length=source.choice([16, 18, 24]) * INCH if capped else 0.0,
        cap_depth=(deep + 2) * INCH, cap_height=2 * INCH,
        cap_joints=source.choice(["as they fall", "apart where it costs no cut"]),
        cap_overhang_least=source.choice([None, 0.0]),
        wall_column_1=place, wall_column_1_at=at,
        wall_column_1_courses=courses + source.randint(0, 3),
        wall_column_first=source.choice(FIRST_BLOCKS),
        column_cap_of=source.choice(["one piece", "blocks"]),
        aim=source.choice(AIMS) if source.random() < 0.2 else AIMS[0],
        **change,
    )  # fmt: skip


def plan(piece: Piece, grown: float = 0.0) -> Polygon:
    b = piece.box
    return box(b.x - grown, b.y - grown, b.x + b.dx + grown, b.y + b.dy + grown)


def at_heights(pieces: list[Piece], thicker: float = TINY) -> Iterator[tuple[float, list[Piece]]]:
    """Heights at which something else is cut through than below, and what."""
    heights = sorted({round(z, 9) for p in pieces for z in (p.box.z, p.box.z + p.box.dz)})
    for low, high in pairwise(heights):
        middle = (low + high) / 2
        cut = [p for p in pieces if p.box.z < middle < p.box.z + p.box.dz]
        if high - low > thicker and cut:
            yield middle, cut


def engaged(layout: Layout) -> list[tuple[str, str, list[Piece]]]:
    """Part, wall and blocks of the columns that are part of a wall."""
    found, number = [], layout.spec.columns
    for slot in (1, 2, 3):
        place = getattr(layout.spec, f"wall_column_{slot}")
        number += place != "none"
        if place in IN_WALL:
            part = f"column {number}"
            wall = place.removeprefix("in ")
            wall = wall if wall == "second wall" else wall.removesuffix(" wall")
            # A cap of blocks is no course of it.
            high = getattr(layout.spec, f"wall_column_{slot}_courses")
            top = high * (layout.spec.block_height + layout.spec.joint) - TINY
            mine = [p for p in layout.pieces if p.part == part and p.box.z < top]
            found.append((part, wall, mine))
    return found


def strip(layout: Layout, wall: str) -> Polygon:
    """The wall's strip between its corners; the second wall's over its whole length."""
    s = layout.spec
    t, long, wide = s.block_depth, s.inside_length, s.inside_width
    far = wide + 2 * t + s.pipe_space
    return {
        "front": box(t, 0, t + long, t),
        "back": box(t, t + wide, t + long, wide + 2 * t),
        "left": box(0, t, t, t + wide),
        "right": box(t + long, t, 2 * t + long, t + wide),
        "second wall": box(0, far, long + 2 * t, far + t),
    }[wall]


def along(wall: str, piece: Piece) -> tuple[float, float]:
    b = piece.box
    return (b.y, b.y + b.dy) if wall in ("left", "right") else (b.x, b.x + b.dx)
