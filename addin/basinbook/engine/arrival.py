"""What blocks and caps of other sizes than the layout's do to it, where all is laid as drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final, NamedTuple

from basinbook.engine.layout.model import (
    FLAT,
    ON_EDGE,
    TURNED,
    TURNED_ON_EDGE,
    WALLS,
    Box,
    Course,
    Layout,
    Piece,
)
from basinbook.engine.order_changes import OrderedLine
from basinbook.engine.spec import BasinSpec

INSIDE_LENGTH: Final = "Inside length"
INSIDE_WIDTH: Final = "Inside width"
WALL_HEIGHT: Final = "Wall height"
WITH_CAPS: Final = "Wall height with caps"
CAP_FRONT: Final = "Cap row, front"
CAP_SIDE: Final = "Cap row, left"
# Where a row is looked through, by so much before a face [m]: less than any piece.
_WITHIN: Final = 0.002
# Rounding [m]: less is no difference.
SAME: Final = 1e-6


class Sizes(NamedTuple):
    """Sizes of whole pieces as measured on arrival [m]; None where they are the layout's."""

    block_length: float | None = None
    block_height: float | None = None
    block_depth: float | None = None
    cap_length: float | None = None
    cap_depth: float | None = None
    cap_height: float | None = None


class Delivered(NamedTuple):
    """A line of a delivery: what of it was ordered, has come, is broken, won't come, is due."""

    item: str
    description: str
    unit: str
    ordered: float
    received: float
    broken: float
    missing: float
    due: float


class Effect(NamedTuple):
    """What becomes of a size of the layout [m].

    least, most: over the courses. course: where it differs most. pieces: whole pieces in that row;
    joints: between pieces there, over which the difference can be spread; 0 joints for none.
    """

    what: str
    planned: float
    least: float
    most: float
    course: int
    pieces: int
    joints: int

    @property
    def difference(self) -> float:
        """The difference that is the largest, with its sign [m]."""
        return max(self.least - self.planned, self.most - self.planned, key=abs)


class _Row(NamedTuple):
    """How much longer a row becomes [m], its whole pieces, and its joints."""

    longer: float
    pieces: int
    joints: int


def delivery(lines: Iterable[OrderedLine], order: str) -> list[Delivered]:
    """Return the lines of one order, those that took something off it included."""
    return [
        Delivered(
            one.item, one.description, one.unit, one.quantity, one.received, one.broken,
            one.missing, one.quantity - one.received - one.missing,
        )
        for one in lines
        if one.order == order
    ]  # fmt: skip


def effects(layout: Layout, measured: Sizes) -> list[Effect]:
    """Return what the measured sizes do to inside size, height and rows of caps.

    Every whole piece has the measured sizes, and a cut piece its drawn length; joints stay as
    drawn, and each course begins from its own corner. An inside size follows from the pieces and
    joints of the row along the inner face, from outer face to outer face, less the walls at its
    ends. Source: sums over the placed pieces.
    """
    more = _more(layout.spec, measured)
    found = [
        _inside(layout, more, INSIDE_LENGTH, layout.spec.inside_length, along=0),
        _inside(layout, more, INSIDE_WIDTH, layout.spec.inside_width, along=1),
    ]
    # Columns may stand higher.
    walls = [course for course in layout.courses if any(p.part in WALLS for p in course.pieces)]
    higher = sum(_higher(course, more) for course in walls)
    height = max(course.z + course.height for course in walls)
    courses, beds = len(walls), len(walls) - 1
    found.append(Effect(WALL_HEIGHT, height, height + higher, height + higher, 0, courses, beds))
    if not layout.caps:
        return found
    cap = layout.spec.cap_height
    higher += (measured.cap_height or cap) - cap
    top = max(piece.box.z + piece.box.dz for piece in layout.caps)
    found.append(Effect(WITH_CAPS, top, top + higher, top + higher, 0, courses + 1, beds + 1))
    longer = (measured.cap_length or layout.spec.cap_length) - layout.spec.cap_length
    for what, part in ((CAP_FRONT, "front"), (CAP_SIDE, "left")):
        row = [piece for piece in layout.caps if piece.part == part and piece.stock == "cap"]
        whole = sum(piece.whole for piece in row)
        long = sum(piece.length for piece in row)
        now = long + whole * longer
        found.append(Effect(what, long, now, now, 0, whole, max(0, len(row) - 1)))
    return found


def worst_inside(found: Iterable[Effect]) -> Effect:
    """Return the effect on the inside size that differs most."""
    inside = (one for one in found if one.what in (INSIDE_LENGTH, INSIDE_WIDTH))
    return max(inside, key=lambda one: abs(one.difference))


_More = Callable[[Piece], Box]


def _more(spec: BasinSpec, measured: Sizes) -> _More:
    """Return what tells by how much a piece's box grows along x, y and z."""
    long, high, deep = (
        (now or was) - was
        for now, was in (
            (measured.block_length, spec.block_length),
            (measured.block_height, spec.block_height),
            (measured.block_depth, spec.block_depth),
        )
    )
    # Along the wall, across it and up, of a whole block.
    ways = {
        FLAT: (long, deep, high),
        ON_EDGE: (long, high, deep),
        TURNED: (deep, long, high),
        TURNED_ON_EDGE: (high, long, deep),
    }

    def grows(piece: Piece) -> Box:
        if piece.stock != "block" or piece.orientation not in ways:
            return Box(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        along, across, up = ways[piece.orientation]
        if not piece.whole and not piece.turned:
            along = 0.0  # It is cut to its drawn length.
        # What a turned block reaches past its wall is none of the row.
        if piece.turned:
            across = ways[FLAT if piece.orientation == TURNED else ON_EDGE][1]
        if piece.part in ("front", "back"):
            return Box(0.0, 0.0, 0.0, along, across, up)
        return Box(0.0, 0.0, 0.0, across, along, up)

    return grows


def _inside(layout: Layout, more: _More, what: str, planned: float, along: int) -> Effect:
    """Return the effect on an inside size: along x (0), in front and back, or along y (1)."""
    rows = [
        (course.number, row)
        for course in layout.courses
        for row in _inner_rows(course.pieces, more, along)
    ]
    course, worst = max(rows, key=lambda one: abs(one[1].longer), default=(0, _Row(0.0, 0, 0)))
    longer = [row.longer for _, row in rows] or [0.0]
    return Effect(
        what, planned, planned + min(longer), planned + max(longer), course, worst.pieces,
        worst.joints,
    )  # fmt: skip


def _inner_rows(pieces: Iterable[Piece], more: _More, along: int) -> list[_Row]:
    """Return by how much the clear distance grows along the two walls of a course."""
    in_walls = [piece for piece in pieces if piece.part in WALLS]
    across = 1 - along
    sides, ends = (("front", "back"), ("left", "right"))[:: 1 if along == 0 else -1]
    faces = {part: _inner_face(in_walls, part, across) for part in sides if _has(in_walls, part)}
    if len(faces) < 2 or not all(_has(in_walls, part) for part in ends):
        return []
    middle = sum(faces.values()) / 2
    found = []
    thicker = sum(
        _row([p for p in in_walls if p.part == part], more, along, middle).longer for part in ends
    )
    for face in faces.values():
        within = face - _WITHIN if face < middle else face + _WITHIN
        row = _row(in_walls, more, along, within)
        found.append(row._replace(longer=row.longer - thicker))
    return found


def _has(pieces: Iterable[Piece], part: str) -> bool:
    return any(piece.part == part for piece in pieces)


def _inner_face(pieces: Iterable[Piece], part: str, across: int) -> float:
    boxes = [piece.in_wall for piece in pieces if piece.part == part]
    if part in ("front", "left"):
        return max(box[across] + box[across + 3] for box in boxes)
    return min(box[across] for box in boxes)


def _row(pieces: Iterable[Piece], more: _More, along: int, at: float) -> _Row:
    """Return what a line through a course meets: pieces with ``at`` within them across the line."""
    across = 1 - along
    met = [
        piece
        for piece in pieces
        if (box := piece.in_wall)[across] < at < box[across] + box[across + 3]
    ]
    longer = sum(more(piece)[along + 3] for piece in met)
    return _Row(longer, sum(piece.whole for piece in met), max(0, len(met) - 1))


def _higher(course: Course, more: _More) -> float:
    """Return how much higher a course becomes: as its highest piece does."""
    grown = [more(piece)[5] for piece in course.pieces if piece.part in WALLS]
    return max(grown, key=abs, default=0.0)
