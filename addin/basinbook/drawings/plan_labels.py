"""Numbers and lengths of a plan's pieces: inside a piece where there is room, else beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from basinbook.drawings import style
from basinbook.drawings.canvas import MM_PER_POINT, Canvas, Point, Rect, Size, text_rect, text_size
from basinbook.drawings.dimensions import free_label
from basinbook.drawings.lengths import length_text
from basinbook.drawings.pieces import Extent, footprint, hatch, label
from basinbook.drawings.place import Map, on_paper
from basinbook.engine.layout.model import LINTEL, Piece
from basinbook.engine.layout.results.columns import ColumnPipe

INSIDE: Final[dict[str, Point]] = {
    "front": (0.0, 1.0),
    "right": (-1.0, 0.0),
    "back": (0.0, -1.0),
    "left": (1.0, 0.0),
    "second wall": (0.0, 1.0),
    "left return": (-1.0, 0.0),
    "right return": (1.0, 0.0),
}
ALL_WAYS: Final[tuple[Point, ...]] = ((0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0))
"""Ways from the middle of a piece: to the inside by its part, and all."""
_DIGIT: Final = 0.81
_LINE: Final = 1.17
_BELOW: Final = 0.1
"""Height of a digit, of a line, and what digits leave free below them, of the size of a text."""
_AIR: Final = 0.5


class Numbered(NamedTuple):
    """Pieces whose numbers are written, in a size [pt], and what is known of them."""

    pieces: tuple[Piece, ...]
    ring: Extent
    system: str
    size: float
    pipe: ColumnPipe | None
    laid: bool


class _Line(NamedTuple):
    """A line of text and its size [pt]."""

    text: str
    size: float

    @property
    def width(self) -> float:
        """Its width [mm]."""
        return text_size(self.text, self.size).width

    @property
    def height(self) -> float:
        """The distance from the line before [mm]."""
        return _LINE * self.size * MM_PER_POINT


def inside_at(scale: int, numbered: Numbered) -> int:
    """Return how many pieces hold all that is written of them at 1:scale, mitres left aside."""
    found = 0
    for piece in numbered.pieces:
        long, tall = _needed(_lines_of(piece, numbered))
        across, up = piece.box.dx * 1000.0 / scale, piece.box.dy * 1000.0 / scale
        found += (long <= across and tall <= up) or (long <= up and tall <= across)
    return found


def write_numbers(canvas: Canvas, place: Map, room: Rect, numbered: Numbered) -> None:
    """Write the number of each piece, and the length of a cut one; labels stay within ``room``."""
    for piece in numbered.pieces:
        clear = 0.7 if numbered.size == style.SMALL else 0.85
        rect = _writing_room(piece, place, numbered.ring, clear)
        if numbered.pipe is not None and piece.hole:
            rect = _clear_of_hole(rect, numbered.pipe, place)
        number, *more = lines = _lines_of(piece, numbered)
        length = more[0].text if more else ""
        if _write_inside(canvas, rect, lines, piece, numbered.laid):
            continue
        inside = bool(length) and _write_inside(canvas, rect, [number], piece, numbered.laid)
        full = _Line(f"{number.text}: {length}" if length else number.text, numbered.size)
        whole = _writing_room(piece, place, numbered.ring, 1.0)
        short = _Line(length, style.SMALL) if inside else full
        _write_beside(canvas, short, full, piece, whole, room)


def _lines_of(piece: Piece, numbered: Numbered) -> list[_Line]:
    """Return what is written of a piece: its number, and its length where it is not a whole one."""
    number = _Line(label(piece), numbered.size)
    if piece.whole and piece.stock != LINTEL:
        return [number]
    return [number, _Line(length_text(piece.length, numbered.system), style.SMALL)]


def _needed(lines: Sequence[_Line]) -> Size:
    """Return the room that lines need, one above the other [mm]."""
    one = _DIGIT * lines[0].size * MM_PER_POINT
    tall = one if len(lines) == 1 else sum(line.height for line in lines)
    return Size(max(line.width for line in lines) + _AIR, tall)


def _clear_of_hole(rect: Rect, pipe: ColumnPipe, place: Map) -> Rect:
    """Return the greater part of a piece's room for text that a hole for the pipe leaves."""
    y, radius = place.up(pipe.y), pipe.size * 500.0 / place.scale
    low = Rect(rect.x0, rect.y0, rect.x1, min(rect.y1, y - radius))
    high = Rect(rect.x0, max(rect.y0, y + radius), rect.x1, rect.y1)
    return low if low.height >= high.height else high


def _write_beside(
    canvas: Canvas, short: _Line, full: _Line, piece: Piece, rect: Rect, room: Rect
) -> None:
    """Write a label beside its piece: the short one close to it, else the full one farther."""
    first = INSIDE.get(piece.part)
    ways = (first, (-first[0], -first[1])) if first else ALL_WAYS
    tries = ((short, _beside, ways), (full, around, ways), (full, around, ALL_WAYS))
    for line, places, sides in tries:
        for way in sides:
            spots = places(rect, way, *text_size(line.text, line.size))
            if free_label(canvas, line.text, edge_point(rect, way), spots, room, size=line.size):
                return
    canvas.left_out += 1


def _write_inside(
    canvas: Canvas, rect: Rect, lines: Sequence[_Line], piece: Piece, laid: bool
) -> bool:
    """Write lines in a piece's middle, turned where it stands upright; False where too small."""
    long, tall = _needed(lines)
    x, y = (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0
    ground = style.WHITE if laid or hatch(piece) or piece.turned else None
    if long <= rect.width and tall <= rect.height:
        rotation = 0.0
    elif long <= rect.height and tall <= rect.width:
        rotation = 90.0
    else:
        return False
    spots, off = [], sum(line.height for line in lines) / 2.0
    for line in lines:
        # Digits have nothing below their line, which lies above the lowest of their room.
        middle = off - line.height / 2.0 - _BELOW * line.size * MM_PER_POINT
        spots.append((*((x - middle, y) if rotation else (x, y + middle)), *line))
        off -= line.height
    # The corner of a mitred cap may hold its neighbour's number already.
    if piece.mitres and not all(
        canvas.is_clear(text_rect(*spot, rotation=rotation)) for spot in spots
    ):
        return False
    for spot in spots:
        canvas.text(*spot, rotation=rotation, ground=ground)
    return True


def _writing_room(piece: Piece, place: Map, ring: Extent, clear: float) -> Rect:
    """Return the room for text within a piece.

    clear: how much of a mitred end is left out, 1 for all that its slanting cut runs through.
    """
    if not piece.mitres:
        return on_paper(piece, place)
    points = [place.point(x, y) for x, y in footprint(piece, ring)]
    xs, ys = sorted(x for x, _ in points), sorted(y for _, y in points)
    if piece.part in ("front", "back"):
        low, high = _eased(xs, clear)
        return Rect(low, ys[0], high, ys[-1])
    low, high = _eased(ys, clear)
    return Rect(xs[0], low, xs[-1], high)


def _eased(ends: Sequence[float], clear: float) -> tuple[float, float]:
    """Return where the room begins and ends, from the ends of the outer and inner face."""
    rest = 1.0 - clear
    return ends[1] * clear + ends[0] * rest, ends[2] * clear + ends[3] * rest


def edge_point(rect: Rect, way: Point) -> Point:
    """Return a point just within the side of a piece that faces ``way``."""
    x, y = (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0
    return (
        x + way[0] * (rect.width / 2.0 - 0.5),
        y + way[1] * (rect.height / 2.0 - 0.5),
    )


def _beside(rect: Rect, way: Point, width: float, height: float) -> Iterator[Point]:
    """Yield middles for a label that stands close to its piece, on the side ``way``."""
    x, y = (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0
    for share in (0.0, 0.25, -0.25):
        if way[0]:
            yield x + way[0] * (rect.width / 2.0 + width / 2.0 + 0.8), y + share * rect.height
        else:
            yield x + share * rect.width, y + way[1] * (rect.height / 2.0 + height / 2.0 + 0.5)


def around(rect: Rect, way: Point, width: float, height: float) -> Iterator[Point]:
    """Yield middles for a label farther from its piece, the nearest first."""
    x, y = (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0
    for row in range(9):
        for step in (0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8):
            if way[0]:
                out = rect.width / 2.0 + width / 2.0 + 0.8 + row * 4.0
                yield x + way[0] * out, y + step * 1.2
            else:
                out = rect.height / 2.0 + height / 2.0 + 0.5 + row * 3.0
                yield x + step * 1.8, y + way[1] * out
