"""Plans: each course seen from above with its pieces numbered, and the caps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise, product
from math import hypot
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, Size, text_rect, text_size
from basinbook.drawings.dimensions import PITCH, ROW, chain, chain_depth, free_label
from basinbook.drawings.lengths import length_text, length_with_unit
from basinbook.drawings.pieces import (
    SAME,
    Extent,
    Level,
    draw_marks,
    extent,
    fill,
    footprint,
    hatch,
    hole_mark,
    label,
    levels,
    of_part,
    outside,
    piece_name,
)
from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Opening, Piece
from basinbook.engine.layout.results.columns import ColumnPipe, column_pipe_of
from basinbook.engine.spec_openings import ACCESS

_HEAD: Final = 8.4
_FOOT: Final = 3.6
_SIDE: Final = 2.0
_LABELS: Final = 6.5
_HEIGHTS: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.14, 0.86)
_DIGIT_HEIGHT: Final = 2.0
_LINE: Final = 2.9
_BELOW: Final = 0.25
_INSIDE: Final[dict[str, Point]] = {
    "front": (0.0, 1.0),
    "right": (-1.0, 0.0),
    "back": (0.0, -1.0),
    "left": (1.0, 0.0),
    "second wall": (0.0, 1.0),
    "left return": (-1.0, 0.0),
    "right return": (1.0, 0.0),
}
_ALL_WAYS: Final[tuple[Point, ...]] = ((0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0))


@dataclass(frozen=True)
class Chain:
    """A dimension chain before its scale is known: its stops [m] and their texts."""

    stops: tuple[float, ...]
    texts: tuple[str, ...]


def _chain(stops: Sequence[float], system: str) -> Chain | None:
    """Return a chain through stops in any order; None where they are all one."""
    kept: list[float] = []
    for stop in sorted(stops):
        if not kept or stop - kept[-1] > SAME:
            kept.append(stop)
    if len(kept) < 2:
        return None
    return Chain(tuple(kept), tuple(length_text(b - a, system) for a, b in pairwise(kept)))


@dataclass(frozen=True)
class Map:
    """Where the model lies on paper: metres to mm."""

    x: float
    y: float
    scale: int

    def across(self, x: float) -> float:
        """Return the place on paper of a model x [m]."""
        return self.x + x * 1000.0 / self.scale

    def up(self, y: float) -> float:
        """Return the place on paper of a model y or z [m]."""
        return self.y + y * 1000.0 / self.scale

    def point(self, x: float, y: float) -> Point:
        """Return the point on paper of a model point [m]."""
        return self.across(x), self.up(y)

    def rect(self, x0: float, y0: float, x1: float, y1: float) -> Rect:
        """Return the rectangle on paper of a model rectangle [m]."""
        return Rect(self.across(x0), self.up(y0), self.across(x1), self.up(y1))


@dataclass(frozen=True)
class PlanView:
    """One plan: pieces, the dimensions round them, and what it is called."""

    title: str
    subtitle: str
    pieces: tuple[Piece, ...]
    system: str
    courses: tuple[int, ...] = ()
    openings: tuple[Opening, ...] = ()
    below: tuple[Extent, ...] = ()
    inside: Extent | None = None
    extra: dict[str, tuple[Chain, ...]] = field(default_factory=dict)
    pipe: ColumnPipe | None = None

    @cached_property
    def extent(self) -> Extent:
        """The plan extent of all that is drawn [m]."""
        own = extent(self.pieces)
        return Extent(
            min([own.x0, *(e.x0 for e in self.below)]),
            min([own.y0, *(e.y0 for e in self.below)]),
            max([own.x1, *(e.x1 for e in self.below)]),
            max([own.y1, *(e.y1 for e in self.below)]),
        )

    @cached_property
    def _ring(self) -> Extent:
        walls = of_part(self.pieces, *WALLS)
        return extent(walls) if walls else self.extent

    def _depths(self, scale: int) -> dict[str, list[float]]:
        """Return for each side the distances of its chains from the object [mm]."""
        depths: dict[str, list[float]] = {}
        for side in ("left", "right", "bottom", "top"):
            at, found = self._band(side), []
            for number, item in enumerate(self.extra.get(side, ())):
                stops = [stop * 1000.0 / scale for stop in item.stops]
                depth = chain_depth(stops, item.texts)
                # Texts that stand across keep clear of the texts of the line before.
                across = number > 0 and depth > ROW and side in ("left", "top")
                at += depth + (PITCH if across else 0.0)
                found.append(at)
            depths[side] = found
        return depths

    def _band(self, side: str) -> float:
        """Return the room [mm] for the lengths of cut pieces between object and dimensions."""
        behind = of_part(self.pieces, "second wall")
        return _LABELS if side == "top" and any(not p.whole for p in behind) else 0.0

    def _margins(self, scale: int) -> dict[str, float]:
        text = text_size("1")[1]
        margins = {
            side: max(found, default=self._band(side)) + _SIDE
            for side, found in self._depths(scale).items()
        }
        # The text of a dimension stands above or left of its line.
        for side in ("left", "top"):
            if self.extra.get(side):
                margins[side] += text
        return margins

    def size(self, scale: int) -> Size:
        """Return the width and height on paper [mm]."""
        if scale not in self._sizes:
            self._sizes[scale] = self._measured(scale)
        return self._sizes[scale]

    @cached_property
    def _sizes(self) -> dict[int, Size]:
        return {}

    def _measured(self, scale: int) -> Size:
        margins = self._margins(scale)
        box = self.extent
        width = (box.x1 - box.x0) * 1000.0 / scale + margins["left"] + margins["right"]
        height = (box.y1 - box.y0) * 1000.0 / scale + margins["bottom"] + margins["top"]
        heads = max(text_size(self.title, style.TITLE, True).width, text_size(self.subtitle).width)
        return Size(max(width, heads + 2.0), height + _HEAD + _FOOT)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the plan into a room of its size."""
        margins = self._margins(scale)
        box = self.extent
        wide = (box.x1 - box.x0) * 1000.0 / scale + margins["left"] + margins["right"]
        left = room.x0 + (room.width - wide) / 2.0 + margins["left"]
        low = room.y0 + _FOOT + margins["bottom"]
        place = Map(left - box.x0 * 1000.0 / scale, low - box.y0 * 1000.0 / scale, scale)
        middle = room.x0 + room.width / 2.0
        canvas.text(middle, room.y1, self.title, style.TITLE, up="top", bold=True)
        canvas.text(middle, room.y1 - 4.2, self.subtitle, up="top")
        canvas.text(
            place.across((box.x0 + box.x1) / 2.0), room.y0 + 0.2, "front", up="bottom",
            tone=style.QUIET,
        )  # fmt: skip
        self._draw_chains(canvas, place)
        self._draw_pieces(canvas, place)
        for shape in self.below:
            canvas.rectangle(
                place.rect(shape.x0, shape.y0, shape.x1, shape.y1),
                fill=None, weight=style.THIN, dashes=style.DASHED, edge_tone=style.QUIET,
            )  # fmt: skip
        self._draw_openings(canvas, place)
        if self.pipe is not None and any(piece.hole for piece in self.pieces):
            radius = self.pipe.size * 500.0 / place.scale
            hole_mark(canvas, *place.point(self.pipe.x, self.pipe.y), radius)
        below = Rect(room.x0, room.y0, room.x1, room.y1 - _HEAD)
        self._draw_numbers(canvas, place, below)
        self._name_openings(canvas, place, below)
        self._draw_inside(canvas, place)

    def _draw_chains(self, canvas: Canvas, place: Map) -> None:
        box = self.extent
        for side, depths in self._depths(place.scale).items():
            rows = list(zip(self.extra.get(side, ()), depths, strict=True))
            for item, depth in reversed(rows):  # the outer first: inner texts hide its lines
                level = side in ("bottom", "top")
                low, high = (box.y0, box.y1) if level else (box.x0, box.x1)
                to_paper = place.up if level else place.across
                out = side in ("top", "right")
                edge = to_paper(high) if out else to_paper(low)
                row = edge + depth if out else edge - depth
                stops = [place.across(stop) if level else place.up(stop) for stop in item.stops]
                chain(canvas, "h" if level else "v", row, edge, stops, item.texts)

    def _draw_pieces(self, canvas: Canvas, place: Map) -> None:
        for piece in self.pieces:
            points = [place.point(x, y) for x, y in footprint(piece, self._ring)]
            canvas.polygon(
                points, fill(piece), style.MEDIUM, hatch(piece),
                name=f"plan-{piece_name(piece)}",
            )  # fmt: skip
            rect = _paper(piece, place)
            draw_marks(canvas, piece, rect)
            canvas.blocked.append(rect)

    def _draw_openings(self, canvas: Canvas, place: Map) -> None:
        for opening in self.openings:
            rect = _on_paper(opening, place)
            canvas.rectangle(rect, fill=None, weight=style.MEDIUM, dashes=style.DOTTED)
            canvas.blocked.append(rect)
        # Those of the other walls are in the chains round the plan.
        back = [opening for opening in self.openings if opening.part == "back"]
        if back and self.inside is not None:
            self._measure_openings(canvas, place, back, self.inside)

    def _measure_openings(
        self, canvas: Canvas, place: Map, openings: Sequence[Opening], inner: Extent
    ) -> None:
        """Draw where the back wall's openings stand, from the inside corner, and their names."""
        rects = [_on_paper(opening, place) for opening in openings]
        item = _chain((inner.x0, *_edges(openings, 0)), self.system)
        if item is None:
            return
        stops = [place.across(stop) for stop in item.stops]
        edge, low = min(rect.y0 for rect in rects), place.up(inner.y0)
        depth = chain_depth(stops, item.texts)
        cut = any(not piece.whole for piece in of_part(self.pieces, "back"))
        bands = (_LABELS, 1.0) if cut else (1.0,)
        # On a small scale there may be no room inside for it.
        rows = [edge - depth - band for band in bands if edge - depth - band - _LABELS > low]
        if not rows:
            return
        chain(canvas, "h", rows[0], edge, stops, item.texts)
        for line, (opening, rect) in enumerate(zip(openings, rects, strict=True)):
            middle = (rect.x0 + rect.x1) / 2.0
            canvas.text(middle, rows[0] - 1.6 - line * PITCH, opening.title, up="top")

    def _name_openings(self, canvas: Canvas, place: Map, room: Rect) -> None:
        """Write the names of openings in the other walls, inside the basin where there is room."""
        for opening in self.openings:
            if opening.part == "back" or opening.number == ACCESS:
                continue
            rect = _on_paper(opening, place)
            first = _INSIDE.get(opening.part, (0, 1))
            size = text_size(opening.title)
            for way in (first, *_ALL_WAYS):
                spots = _around(rect, way, size.width, size.height)
                if free_label(canvas, opening.title, _edge_point(rect, way), spots, room):
                    break
            else:
                canvas.left_out += 1

    def _draw_numbers(self, canvas: Canvas, place: Map, room: Rect) -> None:
        for piece in self.pieces:
            rect = self._clear_of_hole(piece, place, _writing_room(piece, place, self._ring))
            number = label(piece)
            plain = piece.whole and piece.stock != LINTEL
            length = "" if plain else length_text(piece.length, self.system)
            if _write_inside(canvas, rect, [number, length] if length else [number], piece):
                continue
            inside = bool(length) and _write_inside(canvas, rect, [number], piece)
            full = f"{number}: {length}" if length else number
            whole = _writing_room(piece, place, self._ring, 1.0)
            self._label(canvas, length if inside else full, full, piece, whole, room)

    def _clear_of_hole(self, piece: Piece, place: Map, rect: Rect) -> Rect:
        """Return the greater part of a piece's room for text that a hole for the pipe leaves."""
        if self.pipe is None or not piece.hole:
            return rect
        y, radius = place.up(self.pipe.y), self.pipe.size * 500.0 / place.scale
        low = Rect(rect.x0, rect.y0, rect.x1, min(rect.y1, y - radius))
        high = Rect(rect.x0, max(rect.y0, y + radius), rect.x1, rect.y1)
        return low if low.height >= high.height else high

    def _label(
        self, canvas: Canvas, short: str, full: str, piece: Piece, rect: Rect, room: Rect
    ) -> None:
        """Write a label beside its piece: the short one close to it, else the full one farther."""
        first = _INSIDE.get(piece.part)
        ways = (first, (-first[0], -first[1])) if first else _ALL_WAYS
        tries = ((short, _beside, ways), (full, _around, ways), (full, _around, _ALL_WAYS))
        for text, places, sides in tries:
            for way in sides:
                spots = places(rect, way, *text_size(text))
                if free_label(canvas, text, _edge_point(rect, way), spots, room):
                    return
        canvas.left_out += 1

    def _draw_inside(self, canvas: Canvas, place: Map) -> None:
        inner = self.inside
        if inner is None:
            return
        length, width = inner.x1 - inner.x0, inner.y1 - inner.y0
        lines = (
            f"inside {length_text(length, self.system)} × {length_text(width, self.system)}",
            f"diagonals {length_with_unit(hypot(length, width), self.system)}",
        )
        room = place.rect(inner.x0, inner.y0, inner.x1, inner.y1)
        # The diagonals, which no chain shows, alone where there is no room for both.
        for texts in (lines, lines[1:]):
            for share, side in product(_HEIGHTS, (0.5, 0.7, 0.3)):
                x, y = room.x0 + room.width * side, room.y0 + room.height * share
                spots = [(x, y - 3.4 * row, text) for row, text in enumerate(texts)]
                rects = [text_rect(*spot) for spot in spots]
                if all(room.holds(rect) and canvas.is_free(rect, 1.0) for rect in rects):
                    for spot in spots:
                        canvas.text(*spot)
                    return


def _write_inside(canvas: Canvas, rect: Rect, lines: Sequence[str], piece: Piece) -> bool:
    """Write lines in a piece's middle, turned where it stands upright; False where too small."""
    long = max(text_size(line).width for line in lines) + 0.5
    tall = _DIGIT_HEIGHT if len(lines) == 1 else _LINE * len(lines)
    x, y = (rect.x0 + rect.x1) / 2.0, (rect.y0 + rect.y1) / 2.0
    ground = style.WHITE if hatch(piece) or piece.turned else None
    if long <= rect.width and tall <= rect.height:
        rotation = 0.0
    elif long <= rect.height and tall <= rect.width:
        rotation = 90.0
    else:
        return False
    spots = []
    for index, line in enumerate(lines):
        # Digits have nothing below their line, which lies above the lowest of their room.
        off = ((len(lines) - 1) / 2.0 - index) * _LINE - _BELOW
        spots.append((*((x - off, y) if rotation else (x, y + off)), line))
    # The corner of a mitred cap may hold its neighbour's number already.
    if piece.mitres and not all(
        canvas.is_clear(text_rect(*spot, rotation=rotation)) for spot in spots
    ):
        return False
    for spot in spots:
        canvas.text(*spot, rotation=rotation, ground=ground)
    return True


def _paper(piece: Piece, place: Map) -> Rect:
    box = piece.box
    return place.rect(box.x, box.y, box.x + box.dx, box.y + box.dy)


def _writing_room(piece: Piece, place: Map, ring: Extent, clear: float = 0.7) -> Rect:
    """Return the room for text within a piece.

    clear: how much of a mitred end is left out, 1 for all that its slanting cut runs through.
    """
    if not piece.mitres:
        return _paper(piece, place)
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


def _edge_point(rect: Rect, way: Point) -> Point:
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


def _around(rect: Rect, way: Point, width: float, height: float) -> Iterator[Point]:
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


def plan_views(layout: Layout, system: str) -> list[PlanView]:
    """Return the plans of all courses (equal ones share one), then those of the caps."""
    shown = levels(layout)
    # Columns are set out once, each in the first plan that shows it.
    views, seen = list[PlanView](), set[str]()
    for level in shown:
        fresh = {piece.part for piece in _columns(level.pieces)} - seen
        views.append(_course_view(layout, level, system, bool(fresh)))
        seen |= fresh
    if layout.caps:
        views.append(_cap_view(layout, system))
    if layout.column_caps:
        views.append(_column_cap_view(layout, system))
    return views


def _edges(openings: Iterable[Opening], axis: int) -> list[float]:
    """Return where openings begin and end, along x (0) or y (1) [m]."""
    boxes = [opening.box for opening in openings]
    return [edge for box in boxes for edge in (box[axis], box[axis] + box[axis + 3])]


def _on_paper(opening: Opening, place: Map) -> Rect:
    box = opening.box
    return place.rect(box.x, box.y, box.x + box.dx, box.y + box.dy)


def _columns(pieces: Sequence[Piece]) -> list[Piece]:
    return [piece for piece in pieces if piece.part.startswith("column")]


def _course_view(layout: Layout, level: Level, system: str, set_columns: bool) -> PlanView:
    openings = tuple(
        opening
        for opening in layout.openings
        if opening.course_from <= level.numbers[0] <= opening.course_to
        and of_part(level.pieces, opening.part)
    )
    cuts = sum(not piece.whole for piece in level.pieces)
    each = " each" if len(level.numbers) > 1 else ""
    heights = ", ".join(length_text(z, system) for z in level.z[:4])
    more = ", …" if len(level.z) > 4 else ""
    unit = " mm" if system == "metric" else ""
    # What stands beside or above the basin is shown with the basin's outline.
    apart = not of_part(level.pieces, *WALLS)
    standing = _standing(layout, level)
    dashed = "; basin dashed" if apart else "; blocks on edge dashed" if standing else ""
    return PlanView(
        title=level.name,
        subtitle=f"{len(level.pieces)} pieces{each}, {cuts} cut; bed at {heights}{more}{unit}"
        + dashed,
        pieces=level.pieces,
        system=system,
        courses=level.numbers,
        openings=openings,
        below=(outside(layout.pieces),) if apart else standing,
        inside=_inside(level.pieces),
        extra=_course_chains(
            level.pieces, openings, system, set_columns, outside(layout.pieces) if apart else None
        ),
    )


def _standing(layout: Layout, level: Level) -> tuple[Extent, ...]:
    """Return the blocks on edge that reach up between the flat ones of a layer from one below."""
    bed, parts = level.pieces[0].box.z, {piece.part for piece in level.pieces}
    return tuple(
        extent([piece])
        for piece in layout.courses[level.numbers[0] - 1].pieces
        if piece.part in parts and piece.box.z + SAME < bed < piece.box.z + piece.box.dz - SAME
    )


def _inside(pieces: Sequence[Piece]) -> Extent | None:
    """Return the clear inside of the walls in these pieces [m]; None where a wall is missing."""
    left, right = of_part(pieces, "left"), of_part(pieces, "right")
    front, back = of_part(pieces, "front"), of_part(pieces, "back")
    if not (left and right and front and back):
        return None
    return Extent(extent(left).x1, extent(front).y1, extent(right).x0, extent(back).y0)


def _course_chains(
    pieces: tuple[Piece, ...],
    openings: Sequence[Opening],
    system: str,
    set_columns: bool,
    basin: Extent | None = None,
) -> dict[str, tuple[Chain, ...]]:
    """Return the chains of dimensions; basin: its outline where the pieces stand apart from it."""
    whole = extent(pieces)
    walls = of_part(pieces, *WALLS)
    outer = outside(pieces) if walls else whole
    inner = _inside(pieces)
    second = of_part(pieces, "second wall")
    columns = _columns(pieces)
    rows: dict[str, list[Chain | None]] = {"bottom": [], "left": [], "top": [], "right": []}
    xs = [outer.x0, outer.x1] + ([inner.x0, inner.x1] if inner else [])
    ys = [outer.y0, outer.y1] + ([inner.y0, inner.y1] if inner else [])
    xs += _edges((o for o in openings if o.part == "front"), 0)
    ys += _edges((o for o in openings if o.part == "left"), 1)
    right = _edges((o for o in openings if o.part == "right"), 1)
    if second:
        ys += [extent(second).y0, extent(second).y1]
    if walls:
        rows["bottom"].append(_chain(xs, system))
        rows["left"].append(_chain(ys, system))
        if inner:
            rows["bottom"].append(_chain((outer.x0, outer.x1), system))
            rows["left"].append(_chain((outer.y0, outer.y1), system))
    if (set_columns and _size(whole) != _size(outer)) or not walls:
        rows["bottom"].append(_chain((whole.x0, whole.x1), system))
        rows["left"].append(_chain((whole.y0, whole.y1), system))
    gaps = [o for o in openings if o.part == "second wall"]
    if gaps and second:
        rows["top"].append(_chain((extent(second).x0, extent(second).x1, *_edges(gaps, 0)), system))
    if right and inner:
        rows["right"].append(_chain((inner.y0, inner.y1, *right), system))
    if columns and set_columns:
        parts = {piece.part for piece in columns}
        each = [extent(of_part(columns, part)) for part in sorted(parts)]
        from_ = outer if walls else basin
        base_x = (from_.x0, from_.x1) if from_ else ()
        base_y = (from_.y0, from_.y1) if from_ else ()
        rows["top"].append(_chain((*base_x, *(v for e in each for v in (e.x0, e.x1))), system))
        rows["right"].append(_chain((*base_y, *(v for e in each for v in (e.y0, e.y1))), system))
    return {side: _distinct(found) for side, found in rows.items()}


def _size(box: Extent) -> tuple[float, ...]:
    return tuple(round(value, 6) for value in (box.x0, box.y0, box.x1, box.y1))


def _distinct(chains: Sequence[Chain | None]) -> tuple[Chain, ...]:
    """Return the chains without those that say nothing new, the most finely divided first."""
    kept: list[Chain] = []
    for item in chains:
        if item is not None and item not in kept:
            kept.append(item)
    return tuple(sorted(kept, key=lambda item: -len(item.stops)))


def _cap_view(layout: Layout, system: str) -> PlanView:
    caps = layout.caps
    cuts = sum(not piece.whole for piece in caps)
    mitred = sum(piece.mitres > 0 for piece in caps)
    walls, ring = outside(layout.pieces), outside(caps)
    inner = _inside(of_part(caps, *WALLS))
    chains = _course_chains(caps, (), system, False)
    across = _chain((ring.x0, ring.x1, walls.x0, walls.x1), system)
    along = _chain((ring.y0, ring.y1, walls.y0, walls.y1), system)
    chains |= {"top": _distinct((across,)), "right": _distinct((along,))}
    note = f", {mitred} mitred" if mitred else ""
    return PlanView(
        title="Caps",
        subtitle=f"{len(caps)} pieces, {cuts} cut{note}; wall below dashed",
        pieces=caps,
        system=system,
        below=(walls,),
        inside=inner,
        extra=chains,
        pipe=column_pipe_of(layout),
    )


def _column_cap_view(layout: Layout, system: str) -> PlanView:
    caps = layout.column_caps
    columns = _columns(layout.pieces)
    parts = sorted({piece.part for piece in columns})
    below = tuple(extent(of_part(columns, part)) for part in parts)
    whole = extent(caps)
    xs = [value for piece in caps for value in (piece.box.x, piece.box.x + piece.box.dx)]
    ys = [value for piece in caps for value in (piece.box.y, piece.box.y + piece.box.dy)]
    return PlanView(
        title="Column caps",
        subtitle=f"{len(caps)} pieces; column below dashed",
        pieces=caps,
        system=system,
        below=below,
        pipe=column_pipe_of(layout),
        extra={
            "bottom": _distinct((_chain(xs, system), _chain((whole.x0, whole.x1), system))),
            "left": _distinct((_chain(ys, system), _chain((whole.y0, whole.y1), system))),
        },
    )
