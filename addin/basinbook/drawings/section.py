"""The section: front to back through basin, liner and pipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from functools import cached_property
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, Size, text_size
from basinbook.drawings.dimensions import Note, chain, chain_depth, note_column
from basinbook.drawings.lengths import INCH, length_text, length_with_unit
from basinbook.drawings.pieces import extent, of_part, outside, top, wall_top
from basinbook.drawings.plan import Map
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import WALLS, Layout, Opening, Piece
from basinbook.units import shown

_NOTES: Final = 54.0
_GROUND: Final = 6.0
_HEAD: Final = 10.0
_STEP_ASIDE: Final = 0.004


def _size(default: float, low: float, high: float) -> float:
    found: float = field(default=default, metadata={"low": low, "high": high})
    return found


@dataclass(frozen=True)
class SectionInputs:
    """What the section shows besides the layout; lengths in metres.

    base_thickness and base_margin: the tamped base, and how far it reaches beyond the blocks;
    liner_lap: flap of liner on the wall top; pump_length, pump_height, pipe_diameter: outer sizes.
    The defaults are common practice, no source. Raises InputError outside its ranges.
    """

    base_thickness: float = _size(4 * INCH, 0.0, 1.0)
    base_margin: float = _size(6 * INCH, 0.0, 2.0)
    liner_lap: float = _size(6 * INCH, 0.0, 1.0)
    pump_length: float = _size(8 * INCH, 0.02, 1.0)
    pump_height: float = _size(5 * INCH, 0.02, 1.0)
    pipe_diameter: float = _size(1.25 * INCH, 0.005, 0.3)

    def __post_init__(self) -> None:
        """Check the ranges."""
        for item in fields(self):
            value = getattr(self, item.name)
            low, high = item.metadata["low"], item.metadata["high"]
            if not low <= value <= high:
                least, most = (shown(edge, kinds.LENGTH, "metric") for edge in (low, high))
                raise InputError(
                    item.name.replace("_", " "), value, f"allowed is {least} to {most}"
                )


def section_plane(layout: Layout) -> float:
    """Return the x of the section [m]: through the pipe opening, or else the basin's middle.

    It stands a little aside of a joint, so that each course is cut through a block.
    """
    opening = _pipe_opening(layout)
    walls = outside(layout.pieces)
    x = opening.box.x + opening.box.dx / 2.0 if opening else (walls.x0 + walls.x1) / 2.0
    edges = [edge for p in layout.pieces for edge in (p.box.x, p.box.x + p.box.dx)]
    for step in (0.0, 1.0, -1.0, 2.0, -2.0):
        aside = x + step * _STEP_ASIDE
        if all(abs(edge - aside) > _STEP_ASIDE / 2.0 for edge in edges):
            return aside
    return x


def _pipe_opening(layout: Layout) -> Opening | None:
    return next((opening for opening in layout.openings if opening.part == "back"), None)


class _Remark(NamedTuple):
    """A text about a point of the section [m]."""

    text: str
    about: Point


@dataclass(frozen=True)
class SectionView:
    """The section with its labels and dimensions."""

    layout: Layout
    inputs: SectionInputs
    system: str

    @cached_property
    def _all(self) -> tuple[Piece, ...]:
        return (*self.layout.pieces, *self.layout.caps, *self.layout.column_caps)

    @cached_property
    def _plane(self) -> float:
        return section_plane(self.layout)

    @cached_property
    def _cut(self) -> list[Piece]:
        return [p for p in self._all if p.box.x < self._plane < p.box.x + p.box.dx]

    @cached_property
    def _beyond(self) -> list[Piece]:
        found = [p for p in self._all if p.box.x + p.box.dx <= self._plane]
        return sorted(found, key=lambda p: (p.box.x + p.box.dx, p.box.z, p.box.y))

    @cached_property
    def _inner(self) -> tuple[float, float]:
        """The inner faces of front and back wall where they are cut [m]."""
        spec = self.layout.spec
        front = [p.box.y + p.box.dy for p in self._cut if p.part == "front" and p.stock == "block"]
        back = [p.box.y for p in self._cut if p.part == "back" and p.stock == "block"]
        near = spec.block_depth
        return max(front, default=near), min(back, default=near + spec.inside_width)

    @cached_property
    def _ends(self) -> tuple[float, float]:
        whole = extent(self.layout.pieces)
        return whole.y0 - self.inputs.base_margin, whole.y1 + self.inputs.base_margin

    @cached_property
    def _high(self) -> float:
        return top(self._all) + 0.06

    def _text(self, length: float) -> str:
        return length_with_unit(length, self.system)

    def _stops(self) -> list[float]:
        """Return the stops of the chain below [m]."""
        front, back = self._inner
        blocks = [p for p in self._cut if p.stock == "block"]
        low, high = self._ends
        ys = {low, high, front, back}
        second = of_part(self.layout.pieces, "second wall")
        if second:
            ys |= {extent(second).y0, extent(second).y1}
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
        tall = (self._high + self.inputs.base_thickness) * 1000.0 / scale
        return Size(width, tall + self._depth(scale) + 3.0 + _HEAD)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the section into a room of its size."""
        low, high = self._ends
        left = room.x0 + (room.width - (high - low) * 1000.0 / scale) / 2.0
        bottom = room.y0 + self._depth(scale) + 3.0
        place = Map(
            left - low * 1000.0 / scale,
            bottom + self.inputs.base_thickness * 1000.0 / scale,
            scale,
        )
        middle = room.x0 + room.width / 2.0
        where = "through the pipe opening" if _pipe_opening(self.layout) else "through the middle"
        canvas.text(
            middle, room.y1, f"Section front to back, {where}", style.TITLE, up="top", bold=True
        )
        self._draw_base(canvas, place)
        for piece in self._beyond:
            self._draw_piece(canvas, place, piece, False)
        self._draw_water(canvas, place)
        for piece in self._cut:
            self._draw_piece(canvas, place, piece, True)
        pipe = self._pipe()
        self._draw_liner(canvas, place)
        self._draw_pump(canvas, place, pipe)
        self._draw_level(canvas, place)
        self._draw_chains(canvas, place)
        self._draw_notes(canvas, place, room, pipe)

    def _draw_piece(self, canvas: Canvas, place: Map, piece: Piece, cut: bool) -> None:
        box = piece.box
        canvas.rectangle(
            place.rect(box.y, box.z, box.y + box.dy, box.z + box.dz),
            fill=style.WHITE,
            weight=style.MEDIUM if cut else style.HAIR,
            hatch=style.SECTION if cut else None,
            edge_tone=0.0 if cut else style.FAINT,
        )

    def _draw_base(self, canvas: Canvas, place: Map) -> None:
        low, high = self._ends
        ground = place.up(0.0)
        for start, end in (
            (place.across(low) - _GROUND, low),
            (place.across(high) + _GROUND, high),
        ):
            canvas.line([(start, ground), (place.across(end), ground)], style.MEDIUM)
        if self.inputs.base_thickness > 0.0:
            canvas.rectangle(
                place.rect(low, -self.inputs.base_thickness, high, 0.0),
                fill=style.WHITE, weight=style.MEDIUM, hatch=style.BASE,
            )  # fmt: skip

    def _draw_water(self, canvas: Canvas, place: Map) -> None:
        front, back = self._inner
        canvas.rectangle(
            place.rect(front, 0.0, back, self.layout.spec.water_depth),
            fill=style.WATER, weight=0.0,
        )  # fmt: skip

    def _draw_level(self, canvas: Canvas, place: Map) -> None:
        front, back = self._inner
        y = place.up(self.layout.spec.water_depth)
        canvas.line([(place.across(front), y), (place.across(back), y)], style.MEDIUM, style.DASHED)
        x = place.across(front + (back - front) * 0.25)
        canvas.polygon([(x, y), (x - 1.5, y + 2.4), (x + 1.5, y + 2.4)], weight=style.MEDIUM)
        for row, half in ((1.0, 1.8), (1.9, 1.0)):
            canvas.line([(x - half, y - row), (x + half, y - row)], style.THIN)

    def _draw_liner(self, canvas: Canvas, place: Map) -> None:
        front, back = self._inner
        wall = wall_top(self.layout)
        lap = min(self.inputs.liner_lap, self.layout.spec.block_depth)
        by = 0.35
        x0, x1, y0, y1 = place.across(front), place.across(back), place.up(0.0), place.up(wall)
        long = lap * 1000.0 / place.scale
        canvas.line(
            [
                (x0 - long, y1), (x0 + by, y1), (x0 + by, y0 + by), (x1 - by, y0 + by),
                (x1 - by, y1), (x1 + long, y1),
            ],
            style.LINER,
        )  # fmt: skip

    def _pump_end(self) -> float:
        """Return the side of the pump that faces the back wall [m]."""
        front, back = self._inner
        return back - min(0.08, (back - front) * 0.1)

    def _pipe(self) -> list[Point]:
        """Return the middle line of the pipe, from the pump on [m]."""
        pump = self.inputs
        opening = _pipe_opening(self.layout)
        end = self._pump_end()
        start = end - pump.pump_length * 0.3
        rise = self._pipe_rise()
        if opening is None:
            return [(start, pump.pump_height), (start, self._high)]
        middle = opening.box.z + opening.box.dz / 2.0
        if middle <= pump.pump_height:
            return [(end, middle), (rise, middle), (rise, self._high)]
        return [(start, pump.pump_height), (start, middle), (rise, middle), (rise, self._high)]

    def _pipe_rise(self) -> float:
        """Return where the pipe goes up behind the back wall [m]."""
        spec = self.layout.spec
        outer = max(
            (p.box.y + p.box.dy for p in self.layout.pieces if p.part == "back"),
            default=spec.inside_width + 2.0 * spec.block_depth,
        )
        behind = [p.box for p in self._cut if p.box.y >= outer - 1e-6 and p.stock == "block"]
        if spec.second_wall == "yes":
            return outer + spec.pipe_space / 2.0
        if behind:
            return (min(b.y for b in behind) + max(b.y + b.dy for b in behind)) / 2.0
        return outer + self.inputs.pipe_diameter

    def _draw_pump(self, canvas: Canvas, place: Map, pipe: Sequence[Point]) -> None:
        pump, end = self.inputs, self._pump_end()
        half = pump.pipe_diameter / 2.0
        canvas.rectangle(
            place.rect(end - pump.pump_length, 0.0, end, pump.pump_height),
            fill=style.SHADE, weight=style.MEDIUM,
        )  # fmt: skip
        outline = _thickened(pipe, half)
        canvas.polygon([place.point(*point) for point in outline], weight=style.MEDIUM)
        canvas.line([place.point(*point) for point in pipe], style.HAIR, style.CHAIN)
        x, y = place.point(*pipe[-1])
        canvas.polygon([(x, y + 3.2), (x - 1.2, y + 0.6), (x + 1.2, y + 0.6)], fill=0.0)

    def _draw_chains(self, canvas: Canvas, place: Map) -> None:
        edge = place.up(-self.inputs.base_thickness)
        stops = self._stops()
        chain(
            canvas, "h", edge - self._depth(place.scale), edge,
            [place.across(stop) for stop in stops], self._lengths(stops),
        )  # fmt: skip
        front, back = self._inner
        heights = _apart([0.0, self.layout.spec.water_depth, wall_top(self.layout)])
        row = place.across(front + (back - front) * 0.5)
        chain(
            canvas, "v", row, row + 1.6,
            [place.up(z) for z in heights], self._lengths(heights),
        )  # fmt: skip

    def _draw_notes(self, canvas: Canvas, place: Map, room: Rect, pipe: Sequence[Point]) -> None:
        width = _NOTES - 6.0

        def notes(found: Sequence[_Remark]) -> list[Note]:
            return [
                Note(tuple(_wrapped(remark.text, width)), place.point(*remark.about))
                for remark in found
            ]

        low, high = room.y0 + 3.0, room.y1 - _HEAD - 4.0
        note_column(canvas, notes(self._front_notes()), room.x0 + width, low, high, "right")
        note_column(canvas, notes(self._back_notes(pipe)), room.x1 - width, low, high, "left")

    def _front_notes(self) -> list[_Remark]:
        layout, spec, inputs = self.layout, self.layout.spec, self.inputs
        front, _ = self._inner
        wall = wall_top(layout)
        low, _ = self._ends
        found: list[_Remark] = []
        cap = next((p for p in self._cut if p.part == "front" and p.stock == "cap"), None)
        face = [p for p in self._cut if p.part == "front" and p.stock == "block"]
        outer = min((p.box.y for p in face), default=0.0)
        if cap:
            out = self._text(outer - cap.box.y)
            over = self._text(cap.box.y + cap.box.dy - front)
            found.append(_Remark(
                f"cap {self._text(cap.box.dy)} × {self._text(cap.box.dz)}, overhang "
                f"{out} outside, {over} inside",
                (cap.box.y + cap.box.dy * 0.3, cap.box.z + cap.box.dz * 0.6),
            ))  # fmt: skip
        lap = min(inputs.liner_lap, spec.block_depth)
        trim = ", trimmed at the outer face" if inputs.liner_lap > spec.block_depth else ""
        under = " under the caps" if cap else ""
        found.append(_Remark(
            f"liner flap {self._text(inputs.liner_lap)} glued on the wall top{under}{trim}",
            (front - lap * 0.7, wall),
        ))  # fmt: skip
        courses = max((p.course for p in of_part(layout.pieces, *WALLS)), default=0)
        found.append(_Remark(
            f"wall: {courses} courses, {self._text(wall)} high, glued bed on bed",
            (outer + (front - outer) * 0.4, wall * 0.62),
        ))  # fmt: skip
        found.append(_Remark(
            f"flexible liner on underlay; water {self._text(spec.water_depth)} deep, "
            f"freeboard {self._text(wall - spec.water_depth)}",
            (front + 0.002, wall * 0.35),
        ))  # fmt: skip
        if inputs.base_thickness > 0.0:
            found.append(_Remark(
                f"tamped base {self._text(inputs.base_thickness)} thick, "
                f"{self._text(inputs.base_margin)} beyond the blocks",
                (low + inputs.base_margin * 0.5, -inputs.base_thickness * 0.5),
            ))  # fmt: skip
        return found

    def _back_notes(self, pipe: Sequence[Point]) -> list[_Remark]:
        layout, spec, inputs = self.layout, self.layout.spec, self.inputs
        opening = _pipe_opening(layout)
        found: list[_Remark] = []
        x, z = pipe[-1]
        found.append(_Remark("pipe up to the spillway or bowl", (x, z - 0.01)))
        second = [p for p in self._cut if p.part == "second wall" and p.stock == "block"]
        behind = of_part(layout.pieces, "second wall")
        if behind:
            # Where the section runs through the access gap, the wall beside it is pointed at.
            box = max(second or behind, key=lambda p: p.box.z).box
            gap = "" if second else "; cut at its access gap"
            found.append(_Remark(
                f"second wall {self._text(top(behind))} high, pipe space "
                f"{self._text(spec.pipe_space)}{gap}",
                (box.y + box.dy * 0.6, box.z + box.dz * 0.5),
            ))  # fmt: skip
        if opening:
            box = opening.box
            wet = (
                ", below the water level: fitting sealed to the liner"
                if box.z < spec.water_depth
                else ""
            )
            number = (
                f"course {opening.course_from}"
                if opening.course_from == opening.course_to
                else f"courses {opening.course_from} to {opening.course_to}"
            )
            found.append(_Remark(
                f"pipe opening {self._text(box.dx)} wide in {number}{wet}",
                (box.y + box.dy * 0.7, box.z + box.dz * 0.5),
            ))  # fmt: skip
        columns = [p for p in self._cut if p.part.startswith("column") and p.stock == "block"]
        if columns:
            box = columns[len(columns) // 2].box
            middle = (box.y + box.dy * 0.6, box.z + box.dz * 0.5)
            found.append(_Remark("column with a hollow core", middle))
        end = self._pump_end()
        found.append(_Remark(
            "pump on the liner; cord beside the pipe",
            (end - inputs.pump_length * 0.15, inputs.pump_height * 0.25),
        ))  # fmt: skip
        return found


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


def _wrapped(text: str, width: float) -> list[str]:
    """Break a text into lines no wider than ``width`` [mm]."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if text_size(longer).width <= width or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
