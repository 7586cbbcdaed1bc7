"""The section: front to back through basin, liner and pipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, Size, text_size
from basinbook.drawings.dimensions import Note, chain, chain_depth, note_column
from basinbook.drawings.lengths import length_text
from basinbook.drawings.pieces import extent, of_part, piece_name
from basinbook.drawings.place import Map
from basinbook.drawings.section_cut import Cut, section_plane
from basinbook.drawings.section_notes import (
    Remark,
    back_remarks,
    caution,
    flap,
    front_remarks,
    not_drawn,
    title,
)
from basinbook.drawings.section_pipe import Plumbing
from basinbook.engine.layout.model import LINTEL, Layout, Piece
from basinbook.engine.outfit import PREFORMED, Outfit

_NOTES: Final = 54.0
_GROUND: Final = 6.0
_HEAD: Final = 10.0


@dataclass(frozen=True)
class SectionView:
    """The section with its labels and dimensions."""

    layout: Layout
    outfit: Outfit
    system: str

    @cached_property
    def _cut(self) -> Cut:
        return Cut(self.layout, section_plane(self.layout))

    @cached_property
    def _plumbing(self) -> Plumbing:
        return Plumbing(self._cut, self.outfit)

    @property
    def lines(self) -> list[str]:
        """The lines below the drawing: what to mind, and what is not drawn."""
        found = (caution(self.outfit), not_drawn(self.outfit, self._plumbing))
        return [line for line in found if line]

    @cached_property
    def _base(self) -> tuple[float, float]:
        """From where to where the base reaches; the blocks, where there is none [m]."""
        whole = extent(self.layout.pieces)
        margin = self.outfit.base_margin if self.outfit.base_thickness else 0.0
        return whole.y0 - margin, whole.y1 + margin

    @cached_property
    def _ends(self) -> tuple[float, float]:
        low, high = self._base
        if self.outfit.pipe:
            high = max(high, self._plumbing.riser.y + self._plumbing.half)
        return low, high

    def _stops(self) -> list[float]:
        """Return the stops of the chain below [m]."""
        ys = {*self._base, *self._cut.inner}
        second = of_part(self.layout.pieces, "second wall")
        if second:
            ys |= {extent(second).y0, extent(second).y1}
        blocks = [p for p in self._cut.pieces if p.stock in ("block", LINTEL)]
        ys |= {edge for p in blocks for edge in (p.box.y, p.box.y + p.box.dy)}
        return _apart(sorted(ys))

    def _depth(self, scale: int) -> float:
        stops = self._stops()
        return chain_depth([s * 1000.0 / scale for s in stops], self._lengths(stops))

    def _lengths(self, stops: Sequence[float]) -> list[str]:
        return [length_text(b - a, self.system) for a, b in pairwise(stops)]

    def size(self, scale: int) -> Size:
        """Return the width and height on paper [mm]."""
        low, high = self._ends
        width = (high - low) * 1000.0 / scale + 2.0 * (_NOTES + _GROUND)
        tall = (self._cut.high + self.outfit.base_thickness) * 1000.0 / scale
        return Size(width, tall + self._depth(scale) + 3.0 + _HEAD)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the section into a room of its size."""
        low, high = self._ends
        left = room.x0 + (room.width - (high - low) * 1000.0 / scale) / 2.0
        bottom = room.y0 + self._depth(scale) + 3.0
        place = Map(
            left - low * 1000.0 / scale,
            bottom + self.outfit.base_thickness * 1000.0 / scale,
            scale,
        )
        middle = room.x0 + room.width / 2.0
        heading = title(self._cut, self.system)
        canvas.text(middle, room.y1, heading, style.TITLE, up="top", bold=True)
        self._draw_base(canvas, place)
        for piece in self._cut.beyond:
            self._draw_piece(canvas, place, piece, False)
        self._draw_water(canvas, place)
        for piece in self._cut.pieces:
            self._draw_piece(canvas, place, piece, True)
        self._draw_liner(canvas, place)
        if self.outfit.pump:
            self._draw_pump(canvas, place)
        if self.outfit.pipe:
            self._draw_pipe(canvas, place)
        self._draw_level(canvas, place)
        self._draw_chains(canvas, place)
        self._draw_notes(canvas, place, room)

    def _draw_piece(self, canvas: Canvas, place: Map, piece: Piece, cut: bool) -> None:
        box = piece.box
        canvas.rectangle(
            place.rect(box.y, box.z, box.y + box.dy, box.z + box.dz),
            fill=style.WHITE,
            weight=style.MEDIUM if cut else style.HAIR,
            hatch=style.SECTION if cut else None,
            edge_tone=0.0 if cut else style.FAINT,
            name=f"section-{piece_name(piece)}" if cut else None,
        )

    def _draw_base(self, canvas: Canvas, place: Map) -> None:
        low, high = self._base
        ground, thick = place.up(0.0), self.outfit.base_thickness
        ends = self._ends
        for start, end in (
            (place.across(ends[0]) - _GROUND, low),
            (place.across(ends[1]) + _GROUND, high),
        ):
            canvas.line([(start, ground), (place.across(end), ground)], style.MEDIUM)
        if thick > 0.0:
            canvas.rectangle(
                place.rect(low, -thick, high, 0.0),
                fill=style.WHITE, weight=style.MEDIUM, hatch=style.BASE,
            )  # fmt: skip

    def _draw_water(self, canvas: Canvas, place: Map) -> None:
        front, back = self._cut.inner
        canvas.rectangle(
            place.rect(front, 0.0, back, self.layout.spec.water_depth),
            fill=style.WATER, weight=0.0,
        )  # fmt: skip

    def _draw_level(self, canvas: Canvas, place: Map) -> None:
        front, back = self._cut.inner
        y = place.up(self.layout.spec.water_depth)
        canvas.line([(place.across(front), y), (place.across(back), y)], style.MEDIUM, style.DASHED)
        x = place.across(front + (back - front) * 0.25)
        canvas.polygon([(x, y), (x - 1.5, y + 2.4), (x + 1.5, y + 2.4)], weight=style.MEDIUM)
        for row, half in ((1.0, 1.8), (1.9, 1.0)):
            canvas.line([(x - half, y - row), (x + half, y - row)], style.THIN)

    def _draw_liner(self, canvas: Canvas, place: Map) -> None:
        """Draw the liner as the line that water stands on, the underlay dashed outside it."""
        front, back = self._cut.inner
        x0, x1 = place.across(front), place.across(back)
        y0, y1 = place.up(0.0), place.up(self._cut.wall)

        def basin(by: float) -> list[Point]:
            return [(x0 + by, y1), (x0 + by, y0 + by), (x1 - by, y0 + by), (x1 - by, y1)]

        if self.outfit.underlay:
            canvas.line(basin(-0.25), style.MEDIUM, style.DOTTED)
        if not self.outfit.liner:
            return
        long = flap(self._cut, self.outfit) * 1000.0 / place.scale
        if self.outfit.liner_type == PREFORMED:
            # A shell of its own, a hair off the walls; it has no flap.
            canvas.line(basin(0.9), style.LINER)
        else:
            canvas.line([(x0 - long, y1), *basin(0.35), (x1 + long, y1)], style.LINER)

    def _draw_pump(self, canvas: Canvas, place: Map) -> None:
        pump = self._plumbing
        canvas.rectangle(
            place.rect(pump.end - pump.length, 0.0, pump.end, pump.height),
            fill=style.SHADE, weight=style.MEDIUM,
        )  # fmt: skip

    def _draw_pipe(self, canvas: Canvas, place: Map) -> None:
        pipe, half = self._plumbing.path, self._plumbing.half
        outline = [place.point(*point) for point in _thickened(pipe, half)]
        if self._plumbing.riser.hidden:
            canvas.polygon(outline, fill=None, weight=style.MEDIUM, dashes=style.DASHED)
        else:
            canvas.polygon(outline, weight=style.MEDIUM)
        canvas.line([place.point(*point) for point in pipe], style.HAIR, style.CHAIN)
        x, y = place.point(*pipe[-1])
        if pipe[-1][1] == pipe[-2][1]:
            canvas.polygon([(x - 3.2, y), (x - 0.6, y - 1.2), (x - 0.6, y + 1.2)], fill=0.0)
        else:
            canvas.polygon([(x, y + 3.2), (x - 1.2, y + 0.6), (x + 1.2, y + 0.6)], fill=0.0)
        if self.outfit.check_valve:
            x, y = place.point(*self._plumbing.valve)
            across, up = (1.8, 1.2) if pipe[0][0] != pipe[1][0] else (1.2, 1.8)
            corners = [(-across, -up), (across, up), (-across, up), (across, -up)]
            if across < up:
                corners = [(-across, -up), (across, up), (across, -up), (-across, up)]
            canvas.polygon([(x + dx, y + dy) for dx, dy in corners], weight=style.MEDIUM)
        opening = self._cut.opening
        if self.outfit.bulkhead and self._plumbing.goes_through_wall and opening:
            z, x = opening.box.z + opening.box.dz / 2.0, self._cut.inner[1]
            low, high = place.up(z - half) - 1.4, place.up(z + half) + 1.4
            flange = Rect(place.across(x) - 1.1, low, place.across(x), high)
            canvas.rectangle(flange, fill=style.SHADE, weight=style.THIN)

    def _draw_chains(self, canvas: Canvas, place: Map) -> None:
        edge = place.up(-self.outfit.base_thickness)
        stops = self._stops()
        chain(
            canvas, "h", edge - self._depth(place.scale), edge,
            [place.across(stop) for stop in stops], self._lengths(stops),
        )  # fmt: skip
        front, back = self._cut.inner
        heights = _apart([0.0, self.layout.spec.water_depth, self._cut.wall])
        row = place.across(front + (back - front) * 0.45)
        chain(
            canvas, "v", row, row + 1.6,
            [place.up(z) for z in heights], self._lengths(heights),
        )  # fmt: skip

    def _draw_notes(self, canvas: Canvas, place: Map, room: Rect) -> None:
        width = _NOTES - 6.0

        def notes(found: Sequence[Remark]) -> list[Note]:
            return [
                Note(tuple(wrapped(remark.text, width)), place.point(*remark.about))
                for remark in found
            ]

        low, high = room.y0 + 3.0, room.y1 - _HEAD - 4.0
        front = notes(front_remarks(self._cut, self.outfit, self.system))
        note_column(canvas, front, room.x0 + width, low, high, "right")
        back = notes(back_remarks(self._cut, self.outfit, self._plumbing, self.system))
        note_column(canvas, back, room.x1 - width, low, high, "left")


def _apart(stops: Sequence[float]) -> list[float]:
    """Return rising stops without repeats [m]."""
    kept: list[float] = []
    for stop in stops:
        if not kept or stop - kept[-1] > 1e-6:
            kept.append(stop)
    return kept


def _thickened(path: Sequence[Point], half: float) -> list[Point]:
    """Return the outline of a path of level and upright lines, ``half`` to either side."""
    left: list[Point] = []
    right: list[Point] = []
    last = len(path) - 1
    for index, (x, y) in enumerate(path):
        sides = []
        for a, b in ((index - 1, index), (index, index + 1)):
            if a >= 0 and b <= last:
                dx, dy = path[b][0] - path[a][0], path[b][1] - path[a][1]
                long = abs(dx) + abs(dy)
                sides.append((-dy / long * half, dx / long * half))
        shift = (
            sides[0]
            if len(sides) == 1 or sides[0] == sides[1]
            else (sides[0][0] + sides[1][0], sides[0][1] + sides[1][1])
        )
        left.append((x + shift[0], y + shift[1]))
        right.append((x - shift[0], y - shift[1]))
    return left + right[::-1]


def wrapped(text: str, width: float) -> list[str]:
    """Break a text into lines no wider than ``width`` [mm], a word too long for one within it."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if text_size(longer).width <= width:
            lines[-1] = longer
            continue
        rest = word
        if lines[-1]:
            lines.append("")
        while text_size(rest).width > width:
            fits = max(1, int(0.9 * len(rest) * width / text_size(rest).width))
            lines[-1], rest = rest[:fits], rest[fits:]
            lines.append("")
        lines[-1] = rest
    return lines
