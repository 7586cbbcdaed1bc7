"""What the drawings ask of a layout's pieces: outlines, looks, levels, groups of equal courses."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect
from basinbook.drawings.sheet import Symbol
from basinbook.engine.layout.model import (
    LINTEL,
    ON_EDGE,
    ON_END,
    TURNED_ON_EDGE,
    WALLS,
    Layout,
    Piece,
)

SAME: Final = 1e-6
"""Lengths nearer than this are one [m]."""

SERVICE: Final = "S"
"""Stands beside the number of a cap that lies loose for service."""

_STROKE: Final = 0.26
"""How far a diagonal is drawn from each corner, of its length."""

# Where the outer face of a wall's cap lies, and where its length runs.
_OUTER_LOW: Final = ("front", "left")
_IN_COURSES: Final = ("block", LINTEL)


@dataclass(frozen=True)
class Extent:
    """Least and greatest coordinates of something [m]."""

    x0: float
    y0: float
    x1: float
    y1: float


def extent(pieces: Iterable[Piece]) -> Extent:
    """Return the plan extent of pieces (one at least)."""
    boxes = [piece.box for piece in pieces]
    return Extent(
        min(b.x for b in boxes),
        min(b.y for b in boxes),
        max(b.x + b.dx for b in boxes),
        max(b.y + b.dy for b in boxes),
    )


def outside(pieces: Sequence[Piece]) -> Extent:
    """Return the outer faces of the basin's walls [m], a wall at least being among the pieces.

    A side wall may run on behind the back wall as a return, so each face is that of its wall.
    """
    along = [piece._replace(box=piece.in_wall) for piece in pieces]
    whole = extent(of_part(along, *WALLS))
    front, right, back, left = (of_part(along, wall) for wall in WALLS)
    return Extent(
        extent(left).x0 if left else whole.x0,
        extent(front).y0 if front else whole.y0,
        extent(right).x1 if right else whole.x1,
        extent(back).y1 if back else whole.y1,
    )


def of_part(pieces: Iterable[Piece], *parts: str) -> tuple[Piece, ...]:
    """Return the pieces of some parts."""
    return tuple(piece for piece in pieces if piece.part in parts)


def footprint(piece: Piece, among: Extent) -> list[Point]:
    """Return a piece's outline in plan [m], with the ends of a mitred cap cut at 45 degrees.

    among: the extent of all pieces of its kind, which tells the end at a corner.
    """
    box = piece.box
    x0, y0, x1, y1 = box.x, box.y, box.x + box.dx, box.y + box.dy
    if not piece.mitres or piece.part not in WALLS:
        return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    along_x = piece.part in ("front", "back")
    low, high = (x0 - among.x0, among.x1 - x1) if along_x else (y0 - among.y0, among.y1 - y1)
    both = piece.mitres == 2
    cut = box.dy if along_x else box.dx
    start = cut if both or low <= high else 0.0
    end = cut if both or low > high else 0.0
    # Going round from the outer face's start; the inner face is shorter at a mitred end.
    if along_x:
        outer, inner = (y0, y1) if piece.part in _OUTER_LOW else (y1, y0)
        return [(x0, outer), (x1, outer), (x1 - end, inner), (x0 + start, inner)]
    outer, inner = (x0, x1) if piece.part in _OUTER_LOW else (x1, x0)
    return [(outer, y0), (outer, y1), (inner, y1 - end), (inner, y0 + start)]


def piece_name(piece: Piece) -> str:
    """Return a piece's identifier in an SVG: "block-3-7", "lintel-4-2", "cap-4", "column-cap-1"."""
    if piece.stock in _IN_COURSES:
        return f"{piece.stock}-{piece.course}-{piece.number}"
    if piece.part.startswith("column"):
        return f"column-cap-{piece.number}"
    return f"{piece.stock.replace(' ', '-')}-{piece.number}"


def fill(piece: Piece) -> float:
    """Return the grey tone of a piece in plan: corner blocks are shaded."""
    return style.CORNER if piece.corner and piece.whole else style.WHITE


def label(piece: Piece) -> str:
    """Return what is written in a piece: its number, and a letter where it is a service cap."""
    return f"{piece.number} {SERVICE}" if piece.service else str(piece.number)


def hatch(piece: Piece) -> str | None:
    """Return the hatch of a piece: cut or loose."""
    if not piece.whole:
        return style.CUT
    return style.LOOSE if piece.loose else None


@dataclass(frozen=True)
class Level:
    """Pieces that one plan shows: a course, or one of the layers of a course; equal ones share it.

    numbers: the courses it stands for; layer: "" or which layer of the course; laid: whether
    they stand already.
    """

    numbers: tuple[int, ...]
    layer: str
    z: tuple[float, ...]
    pieces: tuple[Piece, ...]
    laid: bool

    @property
    def name(self) -> str:
        """Its title: "Course 2", "Courses 1, 3, 5"."""
        word = "Course" if len(self.numbers) == 1 else "Courses"
        laid = " (laid)" if self.laid else ""
        return f"{word} {_listed(self.numbers)}{laid}{', ' + self.layer if self.layer else ''}"


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers)


def levels(layout: Layout) -> list[Level]:
    """Return what the plans show, from the base up; courses that are alike share one.

    One that stands already shares none with one that is still to lay.
    """
    found: dict[tuple[object, ...], Level] = {}
    for course in layout.courses:
        split = layers(course.pieces)
        gaps = tuple(
            (opening.name, *(round(size, 6) for size in (*opening.box[:2], *opening.box[3:5])))
            for opening in layout.openings
            if opening.course_from <= course.number <= opening.course_to
        )
        for index, pieces in enumerate(split):
            name = layer_name(index, len(split))
            bed = pieces[0].box.z
            laid = course.number <= layout.spec.laid_courses
            key = (name, laid, gaps, *(_key(piece, course.z) for piece in pieces))
            known = found.get(key)
            if known:
                found[key] = Level(
                    (*known.numbers, course.number), name, (*known.z, bed), known.pieces, laid
                )
            else:
                found[key] = Level((course.number,), name, (bed,), pieces, laid)
    return list(found.values())


def layer_name(index: int, count: int) -> str:
    """Return what a layer of a course is called: "" where the course has one alone."""
    return "" if count == 1 else f"layer {index + 1} of {count}"


def _key(piece: Piece, z: float) -> tuple[object, ...]:
    box = piece.box
    sizes = (round(value, 6) for value in (box.x, box.y, box.z - z, box.dx, box.dy, box.dz))
    return (
        piece.number, piece.part, piece.stock, piece.orientation, piece.whole, piece.corner,
        piece.loose, *sizes,
    )  # fmt: skip


def layers(pieces: tuple[Piece, ...]) -> list[tuple[Piece, ...]]:
    """Split a course into pieces of one bed height each, the lowest first."""
    beds: dict[float, list[Piece]] = {}
    for piece in pieces:
        beds.setdefault(round(piece.box.z, 6), []).append(piece)
    return [tuple(beds[z]) for z in sorted(beds)]


def _swatch(
    fill: float,
    hatch: str | None = None,
    mark: Callable[[Canvas, Rect], None] | None = None,
) -> Callable[[Canvas, Rect], None]:
    def draw(canvas: Canvas, rect: Rect) -> None:
        canvas.rectangle(rect, fill=fill, hatch=hatch)
        if mark:
            mark(canvas, rect)

    return draw


def on_edge_mark(canvas: Canvas, rect: Rect) -> None:
    """Draw the mark of a block on edge: a second line inside its outline."""
    by = min(0.55, rect.width / 5.0, rect.height / 5.0)
    inner = Rect(rect.x0 + by, rect.y0 + by, rect.x1 - by, rect.y1 - by)
    canvas.rectangle(inner, fill=None, weight=style.HAIR)


def crossed_mark(canvas: Canvas, rect: Rect) -> None:
    """Draw the mark of a block on end or laid across its wall: its diagonals near the corners.

    Between them its number stands, with no line through it.
    """
    across, up = rect.width * _STROKE, rect.height * _STROKE
    for x, dx in ((rect.x0, across), (rect.x1, -across)):
        for y, dy in ((rect.y0, up), (rect.y1, -up)):
            canvas.line([(x, y), (x + dx, y + dy)], style.THIN)


def lintel_mark(canvas: Canvas, rect: Rect) -> None:
    """Draw the mark of a lintel: a line from corner to corner."""
    canvas.line([(rect.x0, rect.y0), (rect.x1, rect.y1)], style.HAIR)


def _hole_swatch(canvas: Canvas, rect: Rect) -> None:
    canvas.rectangle(rect)
    hole_mark(canvas, (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0, rect.height / 3.0)


def hole_mark(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """Draw the mark of a hole for the pipe: a circle in twelve strokes, with a cross."""
    ring = [
        (x + radius * cos(pi * step / 12.0), y + radius * sin(pi * step / 12.0))
        for step in range(24)
    ]
    canvas.polygon(ring, style.WHITE, style.MEDIUM)
    canvas.line([(x - radius, y), (x + radius, y)], style.HAIR)
    canvas.line([(x, y - radius), (x, y + radius)], style.HAIR)


def draw_marks(canvas: Canvas, piece: Piece, rect: Rect) -> None:
    """Draw what tells how a piece is laid, on what is seen of it."""
    if piece.orientation in (ON_EDGE, TURNED_ON_EDGE):
        on_edge_mark(canvas, rect)
    if piece.orientation == ON_END or piece.turned:
        crossed_mark(canvas, rect)
    if piece.stock == LINTEL:
        lintel_mark(canvas, rect)


def symbols(pieces: Iterable[Piece], laid: int = 0) -> list[Symbol]:
    """Return the legend's entries for the looks that these pieces have.

    laid: how many courses stand already; their pieces are hatched as such alone.
    """
    all_pieces = tuple(pieces)
    standing = [p for p in all_pieces if p.stock in _IN_COURSES and p.course <= laid]
    to_lay = [p for p in all_pieces if not (p.stock in _IN_COURSES and p.course <= laid)]
    entries = [Symbol("whole", _swatch(style.WHITE))]
    if any(p.corner and p.whole for p in all_pieces):
        entries.append(Symbol("corner block", _swatch(style.CORNER)))
    if standing:
        entries.append(Symbol("laid", _swatch(style.WHITE, style.LAID)))
    if any(not p.whole for p in to_lay):
        entries.append(Symbol("cut, with its length", _swatch(style.WHITE, style.CUT)))
    if any(p.turned for p in all_pieces):
        entries.append(Symbol("turned, laid across", _swatch(style.WHITE, mark=crossed_mark)))
    if any(p.orientation in (ON_EDGE, TURNED_ON_EDGE) for p in all_pieces):
        entries.append(Symbol("on edge", _swatch(style.WHITE, mark=on_edge_mark)))
    if any(p.orientation == ON_END for p in all_pieces):
        entries.append(Symbol("on end", _swatch(style.WHITE, mark=crossed_mark)))
    if any(p.stock == LINTEL for p in all_pieces):
        entries.append(Symbol("lintel, with its length", _swatch(style.WHITE, mark=lintel_mark)))
    if any(p.hole for p in all_pieces):
        entries.append(Symbol("cut round the pipe", _hole_swatch))
    if any(p.loose and not p.service for p in to_lay):
        entries.append(Symbol("left loose till all is fitted", _swatch(style.WHITE, style.LOOSE)))
    if any(p.service for p in all_pieces):
        entries.append(Symbol(f"{SERVICE}: loose, for service", _swatch(style.WHITE, style.LOOSE)))
    return entries
