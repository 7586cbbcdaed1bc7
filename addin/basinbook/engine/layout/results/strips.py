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
    which is empty; its inner face is flush. So is a mixed course, which is nowhere thinner than at
    its blocks on edge. Head joints and openings are not counted: a strip
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
    """Return the different rows of each wall: pieces of a row differ along it only.

    Where a turned block reaches into the pipe space it is no part of the wall.
    """
    found: dict[str, set[_Row]] = {}
    for piece in pieces:
        if piece.stock == LINTEL:
            # As thick and as high as the course that it lies in.
            continue
        box = piece.in_wall
        across = (box.y, box.dy) if piece.part in ("front", "back") else (box.x, box.dx)
        found.setdefault(piece.part, set()).add(_Row(piece.course, box.z, box.dz, *across))
    return found


def _courses(layout: Layout, part: str, rows: Iterable[_Row]) -> list[StripCourse]:
    """Return the rows of a wall as courses from the base up, each with its leaves.

    Of a mixed course those of its blocks on edge, which are as high as the flat courses beside.
    """
    rows = list(rows)
    leaves: dict[tuple[float, int, float], set[Band]] = {}
    thinnest: dict[int, tuple[float, float]] = {}
    for row in rows:
        by_edge = -round(row.height, 9), round(row.size, 9)
        thinnest[row.course] = min(by_edge, thinnest.get(row.course, by_edge))
    for row in rows:
        if (-round(row.height, 9), round(row.size, 9)) > thinnest[row.course]:
            continue
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
    round that, and the wall across is as long and whole. Where neither is, it is the least joint
    offset, which all joints keep.
    """
    found = []
    broken = {opening.part for opening in layout.openings}
    if len(layout.courses) > 1 and ({"front", "back"} <= broken or {"left", "right"} <= broken):
        found.append(layout.spec.joint_offset or layout.spec.block_length / 4.0)
    for part in [wall for wall in WALLS if wall not in broken]:
        axis = 0 if part in ("front", "back") else 1
        beds: dict[float, set[float]] = {}
        tops: dict[float, set[float]] = {}
        for piece in layout.pieces:
            if piece.part == part:
                box, near = piece.box, piece.box[axis]
                for rows, at in ((beds, box.z), (tops, box.z + box.dz + layout.spec.joint)):
                    rows.setdefault(round(at, 6), set()).update((near, near + box[axis + 3]))
        found += [
            abs(at - below)
            for bed, places in beds.items()
            for at in _inner(places)
            for below in _inner(tops.get(bed, set()))
            if abs(at - below) > _SAME
        ]
    return min(found, default=0.0)


def _inner(places: set[float]) -> list[float]:
    """Return ends of pieces but those at the ends of the wall."""
    low, high = min(places, default=0.0), max(places, default=0.0)
    return [at for at in places if low + _SAME < at < high - _SAME]


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
