"""The basin's walls as strips of unit length, each course as thick as it is laid."""

from __future__ import annotations

from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.model import WALLS, Box, Layout, Piece
from basinbook.engine.layout.results.heights import ring_caps
from basinbook.engine.water.loads import Band, StripCourse, WallStrip

_SAME: Final = 1e-6


class Narrow(NamedTuple):
    """A course thinner than the one on it: its number, and both thicknesses [m]."""

    course: int
    thickness: float
    above: float


def wall_strips(layout: Layout) -> tuple[WallStrip, ...]:
    """Return the front, right, back and left wall as strips, caps included.

    A course on edge is as thick as its block is high, doubled twice that and the joint between,
    which is empty; its inner face is flush. Head joints and openings are not counted: a strip
    stands where the wall is whole. Source: placed layout.
    """
    caps = ring_caps(layout)
    return tuple(
        WallStrip(_courses(layout, part), _cap([c for c in caps if c.part == part], layout))
        for part in WALLS
    )


def _courses(layout: Layout, part: str) -> tuple[StripCourse, ...]:
    rows: dict[tuple[int, float, float], set[Band]] = {}
    for piece in layout.pieces:
        if piece.part == part:
            box = piece.box
            row = (piece.course, round(box.z, 9), round(box.dz, 9))
            rows.setdefault(row, set()).add(_band(piece, layout))
    return tuple(
        StripCourse(course, bed, height, tuple(sorted(bands)))
        for (course, bed, height), bands in sorted(rows.items(), key=lambda item: item[0][1])
    )


def _cap(caps: list[Piece], layout: Layout) -> StripCourse | None:
    if not caps:
        return None
    box = caps[0].box
    return StripCourse(caps[0].course, box.z, box.dz, (_band(caps[0], layout),))


def _band(piece: Piece, layout: Layout) -> Band:
    """Return where a piece lies across its wall, outward from the wall's inner face."""
    spec, box = layout.spec, piece.box
    near, far = _across(box, piece.part)
    if piece.part in ("front", "left"):
        face = spec.block_depth
        return Band(round(face - far, 9), round(face - near, 9))
    face = spec.block_depth + (spec.inside_width if piece.part == "back" else spec.inside_length)
    return Band(round(near - face, 9), round(far - face, 9))


def _across(box: Box, part: str) -> tuple[float, float]:
    if part in ("front", "back"):
        return box.y, box.y + box.dy
    return box.x, box.x + box.dx


def thinnest(layout: Layout) -> float:
    """Return the least thickness of the walls' courses [m]: outer to inner face."""
    return min(course.thickness for strip in wall_strips(layout) for course in strip.courses)


def narrow_courses(layout: Layout) -> tuple[Narrow, ...]:
    """Return the courses that lie under a thicker one, from the base up, each once."""
    found = {}
    for strip in wall_strips(layout):
        for low, high in pairwise(strip.courses):
            if low.thickness < high.thickness - _SAME and low.course not in found:
                found[low.course] = Narrow(low.course, low.thickness, high.thickness)
    return tuple(found[course] for course in sorted(found))
