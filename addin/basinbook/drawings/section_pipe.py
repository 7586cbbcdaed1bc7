"""The pump of a section, and the way of its pipe through what is built."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from basinbook.drawings.canvas import Point
from basinbook.drawings.lengths import INCH
from basinbook.drawings.section_cut import Cut, free_strips
from basinbook.engine.layout.model import LINTEL, Piece
from basinbook.engine.layout.results.columns import column_pipe_of
from basinbook.engine.outfit import BUBBLER, CIRCULATION, FALLS, Outfit
from basinbook.engine.suggest import outlet_height

# Sizes of a pump and a pipe of which none is given: signs for them. Common practice, no source.
_PUMP_LENGTH: Final = 8 * INCH
_PUMP_HEIGHT: Final = 5 * INCH
_PIPE: Final = 1.25 * INCH
# Outside of a pipe by its inside.
_WALL: Final = 1.2
_AIR: Final = 0.006
# Where a pipe that stays in the basin ends, as a part of the way from front to back.
_IN_BASIN: Final = {CIRCULATION: 0.12, BUBBLER: 0.62}


@dataclass(frozen=True)
class Riser:
    """Where the pipe goes up [m], and in words where that is; "" in the basin.

    hidden: whether it goes up beside what is cut.
    """

    y: float
    where: str
    hidden: bool = False


@dataclass(frozen=True)
class Plumbing:
    """Pump and pipe of a job where a section shows them; lengths in metres."""

    cut: Cut
    outfit: Outfit

    @cached_property
    def _width(self) -> float:
        front, back = self.cut.inner
        return back - front

    @property
    def height(self) -> float:
        """The pump's height."""
        return self.outfit.pump_height or _PUMP_HEIGHT

    @property
    def length(self) -> float:
        """The pump's size front to back."""
        return min(self.outfit.pump_width or _PUMP_LENGTH, self._width * 0.8)

    @property
    def sized(self) -> bool:
        """Whether the pump's size is given."""
        return bool(self.outfit.pump_width and self.outfit.pump_height)

    @property
    def half(self) -> float:
        """Half of the pipe's outside diameter."""
        return (self.outfit.pipe_bore * _WALL or _PIPE) / 2.0

    @property
    def end(self) -> float:
        """The side of the pump that faces the back wall."""
        return self.cut.inner[1] - min(0.08, self._width * 0.1)

    @property
    def goes_through_wall(self) -> bool:
        """Whether the pipe leaves the basin by the pipe opening."""
        return (
            bool(self.outfit.pipe)
            and self.cut.opening is not None
            and self.outfit.effect != CIRCULATION
        )

    @cached_property
    def riser(self) -> Riser:
        """Where the pipe goes up."""
        if self.goes_through_wall:
            return self._behind()
        front, back = self.cut.inner
        share = _IN_BASIN.get(self.outfit.effect)
        if share is not None:
            before = self.end - self.length - self.half - _AIR
            return Riser(max(min(front + self._width * share, before), front + self.half), "")
        caps = [p.box.y for p in self.cut.caps("back")]
        clear = min([back, *caps]) - self.half - _AIR
        return Riser(max(min(self._start, clear), (front + back) / 2.0), "")

    @property
    def _start(self) -> float:
        """Where the pipe leaves the pump's top."""
        return self.end - self.length * 0.3

    def _behind(self) -> Riser:
        """Return where the pipe goes up behind the back wall, clear of caps and blocks."""
        cut, spec, thick = self.cut, self.cut.layout.spec, 2.0 * self.half
        outer = cut.outer[1]
        assert cut.opening is not None
        level = cut.opening.box.z + cut.opening.box.dz / 2.0
        own: tuple[Piece, ...] = (*cut.caps("back"), *cut.caps("second wall"))
        blocks = [p for p in cut.pieces if p.stock in ("block", LINTEL) and p.box.y > outer - _AIR]
        if spec.second_wall == "yes":
            inner = outer + spec.pipe_space
            wide = max(free_strips((*own, *blocks), outer, inner, level), key=_wide, default=None)
            if wide is not None and _wide(wide) >= thick:
                piped = cut.layout.spec.column_pipe != "none"
                core = ", then in the column's core" if piped else ""
                return Riser(sum(wide) / 2.0, f"in the pipe space{core}")
            return Riser((outer + inner) / 2.0, "in the pipe space, cut through the caps there")
        column = cut.column
        if not column:
            return Riser(self._past_caps(), "outside the back wall")
        near = min(p.box.y for p in column)
        far = max(p.box.y + p.box.dy for p in column)
        for strip in free_strips((*own, *blocks), outer, far, level):
            if _wide(strip) >= thick:
                if strip[1] <= near + _AIR:
                    return Riser(sum(strip) / 2.0, "outside the back wall, before the column")
                through = " and its cap" if self._capped(column) else ""
                return Riser(sum(strip) / 2.0, f"through the column's core{through}")
        return Riser(self._past_caps(), "outside the back wall, beside the column", True)

    def _capped(self, column: Sequence[Piece]) -> bool:
        parts = {p.part for p in column}
        return any(p.part in parts for p in self.cut.layout.column_caps)

    def _past_caps(self) -> float:
        over = [p.box.y + p.box.dy for p in self.cut.caps("back")]
        return max([self.cut.outer[1], *over]) + self.half + _AIR

    @cached_property
    def path(self) -> list[Point]:
        """The middle line of the pipe, from the pump on."""
        out = self._out_of_column
        if out is None or self._way[-1][1] <= out[1]:
            return self._way
        return [*self._way[:-1], (self._way[-1][0], out[1]), out]

    @property
    def _out_of_column(self) -> Point | None:
        """Where the pipe comes out at the front of a column, clear of it; None for elsewhere."""
        pipe = column_pipe_of(self.cut.layout)
        if pipe is None or not pipe.cut or self.outfit.effect in _IN_BASIN:
            return None
        box = pipe.loose.box
        return box.y - _AIR, box.z + box.dz / 2.0

    @cached_property
    def _way(self) -> list[Point]:
        """The pipe's middle line where it ends upright."""
        cut, rise, top = self.cut, self.riser.y, self.height
        if self.goes_through_wall:
            assert cut.opening is not None
            middle = cut.opening.box.z + cut.opening.box.dz / 2.0
            if middle <= top + self.half:
                return [(self.end, middle), (rise, middle), (rise, self._ends)]
            return [(self._start, top), (self._start, middle), (rise, middle), (rise, self._ends)]
        side = self.end - self.length
        if self.outfit.effect in _IN_BASIN:
            depth, low = cut.layout.spec.water_depth, top / 2.0
            high = depth * 0.7 if self.outfit.effect == CIRCULATION else depth + 0.02
            return [(max(side, rise + _AIR), low), (rise, low), (rise, max(high, low + _AIR))]
        if rise > side:
            return [(rise, top), (rise, self._ends)]
        return [(side, top / 2.0), (rise, top / 2.0), (rise, self._ends)]

    @property
    def _ends(self) -> float:
        """How high it goes: to lip or rim, or by a column's core to the top of what is cut."""
        layout, effect = self.cut.layout, self.outfit.effect
        if effect not in FALLS or column_pipe_of(layout) is not None:
            return self.cut.high
        return min(self.cut.high, outlet_height(layout, effect))

    @property
    def valve(self) -> Point:
        """The middle of the check valve: in the first stretch of the pipe."""
        (x0, z0), (x1, z1) = self.path[0], self.path[1]
        if len(self.path) == 2:
            return x0, z0 + min((z1 - z0) / 2.0, 4.0 * self.half)
        return (x0 + x1) / 2.0, (z0 + z1) / 2.0


def _wide(strip: tuple[float, float]) -> float:
    return strip[1] - strip[0]
