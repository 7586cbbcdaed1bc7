"""Elevations: the feature seen from the front, the right and the back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Rect, Size, text_size
from basinbook.drawings.dimensions import PITCH, ROW, chain, chain_depth
from basinbook.drawings.lengths import length_text, length_with_unit
from basinbook.drawings.pieces import (
    SAME,
    draw_marks,
    hatch,
    outside,
    piece_name,
)
from basinbook.drawings.place import Map
from basinbook.engine.layout.model import LINTEL, Box, Layout, Piece
from basinbook.engine.layout.results.heights import basin_top, cap_bed, top, wall_top
from basinbook.engine.spec_openings import ACCESS

_HEAD: Final = 5.0
_NUMBERS: Final = 12.0


class _Face(NamedTuple):
    """What is seen of a piece: how near it is, and its face, whose box uses x and z only [m].

    piece: None for an opening, whose inside is left blank.
    """

    near: float
    piece: Piece | None
    box: Box


class _Span(NamedTuple):
    """From where to where all that is seen stretches, and its top [m]."""

    low: float
    high: float
    top: float


class _HeightChain(NamedTuple):
    """The stops [m] and texts of a chain of heights."""

    stops: list[float]
    texts: list[str]


@dataclass(frozen=True)
class ElevationView:
    """The feature seen from one side: "front", "right" or "back"."""

    layout: Layout
    side: str
    system: str
    base_thickness: float
    base_margin: float

    @property
    def title(self) -> str:
        """What the view is called."""
        return {"front": "Front", "right": "Right side", "back": "Back"}[self.side]

    @cached_property
    def _faces(self) -> list[_Face]:
        """All that is seen, the farthest first."""
        look: dict[str, Callable[[Box], tuple[float, float, float]]] = {
            "front": lambda b: (-b.y, b.x, b.dx),
            "right": lambda b: (b.x + b.dx, b.y, b.dy),
            "back": lambda b: (b.y + b.dy, -b.x - b.dx, b.dx),
        }
        faces = []
        pieces = (*self.layout.pieces, *self.layout.caps, *self.layout.column_caps)
        # An access gap is seen through, of full height or not.
        openings = [one.box for one in self.layout.openings if one.number != ACCESS]
        seen = [*((piece, piece.box) for piece in pieces), *((None, box) for box in openings)]
        for piece, own in seen:
            near, start, long = look[self.side](own)
            faces.append(_Face(near, piece, Box(start, 0.0, own.z, long, 0.0, own.dz)))
        return sorted(faces, key=lambda face: (face.near, face.box.z, face.box.x))

    @cached_property
    def _span(self) -> _Span:
        boxes = [face.box for face in self._faces]
        return _Span(
            min(b.x for b in boxes),
            max(b.x + b.dx for b in boxes),
            max(b.z + b.dz for b in boxes),
        )

    def _wall_span(self) -> tuple[float, float]:
        outer = outside(self.layout.pieces)
        return {
            "front": (outer.x0, outer.x1),
            "right": (outer.y0, outer.y1),
            "back": (-outer.x1, -outer.x0),
        }[self.side]

    def _heights(self, scale: int) -> list[_HeightChain]:
        """Return the height chains; low courses are counted together."""
        return [_counted(stops, self.system, scale) for stops in height_stops(self.layout)]

    def _depths(self, scale: int) -> list[float]:
        at, depths = 0.0, []
        for stops, texts in self._heights(scale):
            at += chain_depth([s * 1000.0 / scale for s in stops], texts)
            depths.append(at)
        return depths

    def _left(self, scale: int) -> float:
        return max(_NUMBERS, self.base_margin * 1000.0 / scale + 1.0)

    def _right(self, scale: int) -> float:
        return max(self._depths(scale)[-1] + 2.0, self.base_margin * 1000.0 / scale + 1.0)

    def _below(self, scale: int) -> float:
        return self.base_thickness * 1000.0 / scale + ROW + 3.0

    def size(self, scale: int) -> Size:
        """Return the width and height on paper [mm]."""
        span = self._span
        width = (span.high - span.low) * 1000.0 / scale + self._left(scale) + self._right(scale)
        height = span.top * 1000.0 / scale + self._below(scale) + _HEAD + 1.0
        return Size(max(width, text_size(self.title, style.TITLE, True).width + 2.0), height)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the elevation into a room of its size."""
        low, high, _ = self._span
        place = Map(
            room.x0 + self._left(scale) - low * 1000.0 / scale,
            room.y0 + self._below(scale),
            scale,
        )
        canvas.text(
            place.across((low + high) / 2.0), room.y1, self.title, style.TITLE, up="top", bold=True
        )
        self._draw_base(canvas, place)
        for _, piece, box in self._faces:
            rect = place.rect(box.x, box.z, box.x + box.dx, box.z + box.dz)
            if piece is None:
                canvas.rectangle(rect, fill=style.WHITE, weight=style.MEDIUM, dashes=style.DOTTED)
                continue
            cap = piece.stock not in ("block", LINTEL)
            canvas.rectangle(
                rect,
                fill=style.CORNER if cap else style.WHITE,
                weight=style.MEDIUM if cap else style.THIN,
                hatch=None if cap else self._hatch(piece),
                name=f"{self.side}-{piece_name(piece)}",
            )  # fmt: skip
            draw_marks(canvas, piece, rect)
        self._draw_levels(canvas, place)
        self._draw_courses(canvas, place)
        edge = place.across(high)
        rows = list(zip(self._heights(scale), self._depths(scale), strict=True))
        for (stops, texts), depth in reversed(rows):  # the outer first: inner texts hide its lines
            chain(canvas, "v", edge + depth, edge, [place.up(s) for s in stops], texts)
        left, right = self._wall_span()
        row = place.up(-self.base_thickness) - ROW
        chain(
            canvas, "h", row, place.up(-self.base_thickness),
            [place.across(left), place.across(right)], [length_text(right - left, self.system)],
        )  # fmt: skip

    def _hatch(self, piece: Piece) -> str | None:
        return style.LAID if piece.course <= self.layout.spec.laid_courses else hatch(piece)

    def _draw_base(self, canvas: Canvas, place: Map) -> None:
        low, high, _ = self._span
        left, right = low - self.base_margin, high + self.base_margin
        canvas.rectangle(
            place.rect(left, -self.base_thickness, right, 0.0),
            fill=None, weight=style.THIN, dashes=style.DASHED,
        )  # fmt: skip
        if self.base_thickness * 1000.0 / place.scale > 2.6:
            canvas.text(
                place.across((low + high) / 2.0), place.up(-self.base_thickness / 2.0),
                f"tamped base {length_with_unit(self.base_thickness, self.system)}",
            )  # fmt: skip

    def _draw_levels(self, canvas: Canvas, place: Map) -> None:
        left, right = self._wall_span()
        depth = self.layout.spec.water_depth
        y = place.up(depth)
        canvas.line([(place.across(left) - 2.0, y), (place.across(right) + 2.0, y)], style.HEAVY,
                    style.DASHED)  # fmt: skip
        text = f"water level {length_with_unit(depth, self.system)}"
        canvas.text((place.across(left) + place.across(right)) / 2.0, y, text, ground=style.WHITE)

    def _draw_courses(self, canvas: Canvas, place: Map) -> None:
        low, _, _ = self._span
        x = place.across(low) - 2.6
        last = place.up(0.0) - 99.0
        for course in self.layout.courses:
            y = place.up(course.z + course.height / 2.0)
            if y - last >= 2.6:
                laid = " laid" if course.number <= self.layout.spec.laid_courses else ""
                canvas.text(x, y, f"{course.number}{laid}", across="right", bold=True)
                last = y
        if self.layout.caps:
            box = self.layout.caps[0].box
            y = place.up(box.z + box.dz / 2.0)
            taller = any(c.z > box.z - SAME for c in self.layout.courses)
            if y - last >= 2.6 and not taller:
                canvas.text(x, y, "cap", across="right", bold=True)


def height_stops(layout: Layout) -> list[list[float]]:
    """Return the stops of the height chains: courses and caps, overall, then columns [m]."""
    wall = wall_top(layout)
    fine = {0.0, wall}
    for course in layout.courses:
        if course.z + course.height <= wall + SAME:
            fine |= {course.z, course.z + course.height}
    fine |= {cap_bed(layout), basin_top(layout)}
    chains = [_merged(sorted(fine)), _merged([0.0, basin_top(layout)])]
    columns = [p for p in layout.pieces if p.part.startswith("column")]
    if columns:
        chains.append(_merged([0.0, top(columns), max(top(columns), top(layout.column_caps))]))
    return [stops for index, stops in enumerate(chains) if stops not in chains[:index]]


def _merged(stops: Sequence[float]) -> list[float]:
    """Return rising stops without those nearer than a hair to the one before [m]."""
    kept: list[float] = []
    for stop in stops:
        if not kept or stop - kept[-1] > SAME:
            kept.append(stop)
    return kept


def _counted(stops: Sequence[float], system: str, scale: int) -> _HeightChain:
    """Return a chain with neighbours of one height as "5 × 150".

    So it is where a height is lower on paper than a line of text; else each stands by itself.
    """
    heights = [b - a for a, b in pairwise(stops)]
    low = min(heights, default=0.0) * 1000.0 / scale < PITCH
    kept, texts = [stops[0]], []
    index = 0
    while index < len(heights):
        height, count = heights[index], 1
        while low and index + count < len(heights) and abs(heights[index + count] - height) < SAME:
            count += 1
        text = length_text(height, system)
        texts.append(text if count == 1 else f"{count} × {text}")
        index += count
        kept.append(stops[index])
    return _HeightChain(kept, texts)


def elevation_views(
    layout: Layout, system: str, base_thickness: float, base_margin: float
) -> list[ElevationView]:
    """Return the views from the front, the right and the back."""
    return [
        ElevationView(layout, side, system, base_thickness, base_margin)
        for side in ("front", "right", "back")
    ]
