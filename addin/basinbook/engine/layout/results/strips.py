"""The basin's walls as strips of unit length, each course as thick as it is laid."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Piece
from basinbook.engine.layout.results.heights import ring_caps
from basinbook.engine.water.loads import Band, StripCourse, WallStrip

_SAME: Final = 1e-6


class Narrow(NamedTuple):
    """A course thinner than the one on it: its number, and both thicknesses [m]."""

    course: int
    thickness: float
    above: float


# Four quantities of the take-off and all loads of a layout ask for its strips.
@lru_cache(maxsize=16)
def wall_strips(layout: Layout) -> tuple[WallStrip, ...]:
    """Return the front, right, back and left wall as strips, caps included.

    A course on edge is as thick as its block is high, doubled twice that and the joint between,
    which is empty; its inner face is flush. Head joints and openings are not counted: a strip
    stands where the wall is whole. Source: placed layout.
    """
    rows = _rows(layout.pieces)
    caps = _rows(ring_caps(layout))
    found = []
    for part in WALLS:
        over = _courses(layout, part, caps.get(part, set()))
        found.append(
            WallStrip(tuple(_courses(layout, part, rows[part])), over[0] if over else None)
        )
    return tuple(found)


class _Row(NamedTuple):
    """A row of pieces, or a leaf of one: its course, bed and height, and where it lies across."""

    course: int
    bed: float
    height: float
    near: float
    size: float


def _rows(pieces: Iterable[Piece]) -> dict[str, set[_Row]]:
    """Return the different rows of each wall: pieces of a row differ along it only."""
    found: dict[str, set[_Row]] = {}
    for piece in pieces:
        if piece.stock == LINTEL:
            # As thick and as high as the course that it lies in.
            continue
        box = piece.box
        across = (box.y, box.dy) if piece.part in ("front", "back") else (box.x, box.dx)
        found.setdefault(piece.part, set()).add(_Row(piece.course, box.z, box.dz, *across))
    return found


def _courses(layout: Layout, part: str, rows: Iterable[_Row]) -> list[StripCourse]:
    """Return the rows of a wall as courses from the base up, each with its leaves."""
    leaves: dict[tuple[float, int, float], set[Band]] = {}
    for row in rows:
        key = (round(row.bed, 9), row.course, round(row.height, 9))
        leaves.setdefault(key, set()).add(_band(layout, part, row))
    return [
        StripCourse(course, bed, height, tuple(sorted(bands)))
        for (bed, course, height), bands in sorted(leaves.items())
    ]


def _band(layout: Layout, part: str, row: _Row) -> Band:
    """Return where a row lies across its wall, outward from the wall's inner face."""
    spec, far = layout.spec, row.near + row.size
    if part in ("front", "left"):
        face = spec.block_depth
        return Band(round(face - far, 9), round(face - row.near, 9))
    face = spec.block_depth + (spec.inside_width if part == "back" else spec.inside_length)
    return Band(round(row.near - face, 9), round(far - face, 9))


@lru_cache(maxsize=16)
def least_overlap(layout: Layout) -> float:
    """Return the least distance of a joint in a wall from one in the course below [m].

    0 where there is no second course. A wall with an opening is passed over: its pieces are cut
    round that, and the wall across is as long and whole.
    """
    found = []
    broken = {opening.part for opening in layout.openings}
    for part in [wall for wall in WALLS if wall not in broken]:
        axis = 0 if part in ("front", "back") else 1
        joints: dict[int, list[float]] = {}
        for piece in layout.pieces:
            if piece.part == part:
                near = piece.box[axis]
                joints.setdefault(piece.course, []).extend((near, near + piece.box[axis + 3]))
        inner = {}
        for course, places in joints.items():
            low, high = min(places), max(places)
            inner[course] = [at for at in places if low + _SAME < at < high - _SAME]
        found += [
            abs(at - below)
            for course in inner
            for at in inner[course]
            for below in inner.get(course - 1, ())
            if abs(at - below) > _SAME
        ]
    return min(found, default=0.0)


class Overhang(NamedTuple):
    """How far caps reach past the outer and the inner face of the course under them [m]."""

    outer: float
    inner: float


def overhangs(layout: Layout) -> dict[str, Overhang]:
    """Return how far caps reach past the faces of each basin wall's top course; none without caps.

    Where the top course is on edge in some walls only, the caps reach farther past those.
    """
    return {
        part: Overhang(
            strip.cap.outer - strip.courses[-1].outer, strip.courses[-1].inner - strip.cap.inner
        )
        for part, strip in zip(WALLS, wall_strips(layout), strict=True)
        if strip.cap
    }


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


def thinner_course(layout: Layout) -> float:
    """Return the least thickness [m] of a course next above or below a thicker one; 0 for none."""
    return min(
        (
            min(low.thickness, high.thickness)
            for strip in wall_strips(layout)
            for low, high in pairwise(strip.courses)
            if abs(low.thickness - high.thickness) > _SAME
        ),
        default=0.0,
    )
