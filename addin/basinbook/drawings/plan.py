"""Plans: each course seen from above with its pieces numbered, and the caps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise, product
from math import hypot
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Rect, Size, text_rect, text_size
from basinbook.drawings.dimensions import PITCH, ROW, chain, chain_depth, free_label
from basinbook.drawings.lengths import length_text, length_with_unit
from basinbook.drawings.pieces import (
    SAME,
    Extent,
    draw_marks,
    extent,
    fill,
    footprint,
    hatch,
    hole_mark,
    of_part,
    piece_name,
)
from basinbook.drawings.place import Map, on_paper
from basinbook.drawings.plan_labels import (
    ALL_WAYS,
    INSIDE,
    Numbered,
    around,
    edge_point,
    inside_at,
    write_numbers,
)
from basinbook.engine.layout.model import WALLS, Opening, Piece
from basinbook.engine.layout.results.columns import ColumnPipe
from basinbook.engine.spec_openings import ACCESS

_HEAD: Final = 8.4
_FOOT: Final = 3.6
_SIDE: Final = 2.0
_LABELS: Final = 6.5
_HEIGHTS: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.14, 0.86)


@dataclass(frozen=True)
class Chain:
    """A dimension chain before its scale is known: its stops [m] and their texts."""

    stops: tuple[float, ...]
    texts: tuple[str, ...]


def chain_through(stops: Sequence[float], system: str) -> Chain | None:
    """Return a chain through stops in any order; None where they are all one."""
    kept: list[float] = []
    for stop in sorted(stops):
        if not kept or stop - kept[-1] > SAME:
            kept.append(stop)
    if len(kept) < 2:
        return None
    return Chain(tuple(kept), tuple(length_text(b - a, system) for a, b in pairwise(kept)))


@dataclass(frozen=True)
class PlanView:
    """One plan: pieces, the dimensions round them, and what it is called.

    laid: whether these pieces stand already; number_size: of the pieces' numbers [pt].
    """

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
    laid: bool = False
    number_size: float = style.SMALL

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
    def _written(self) -> Numbered:
        return Numbered(
            self.pieces, self._ring, self.system, self.number_size, self.pipe, self.laid
        )

    def inside_at(self, scale: int) -> int:
        """Return how many pieces hold their numbers and lengths at 1:scale."""
        return inside_at(scale, self._written)

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
        write_numbers(canvas, place, below, self._written)
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
                points, fill(piece), style.MEDIUM, style.LAID if self.laid else hatch(piece),
                name=f"plan-{piece_name(piece)}",
            )  # fmt: skip
            rect = on_paper(piece, place)
            draw_marks(canvas, piece, rect)
            canvas.blocked.append(rect)

    def _draw_openings(self, canvas: Canvas, place: Map) -> None:
        for opening in self.openings:
            rect = on_paper(opening, place)
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
        rects = [on_paper(opening, place) for opening in openings]
        item = chain_through((inner.x0, *edges_of(openings, 0)), self.system)
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
            rect = on_paper(opening, place)
            first = INSIDE.get(opening.part, (0, 1))
            size = text_size(opening.title)
            for way in (first, *ALL_WAYS):
                spots = around(rect, way, size.width, size.height)
                if free_label(canvas, opening.title, edge_point(rect, way), spots, room):
                    break
            else:
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


def edges_of(openings: Iterable[Opening], axis: int) -> list[float]:
    """Return where openings begin and end, along x (0) or y (1) [m]."""
    boxes = [opening.box for opening in openings]
    return [edge for box in boxes for edge in (box[axis], box[axis] + box[axis + 3])]
