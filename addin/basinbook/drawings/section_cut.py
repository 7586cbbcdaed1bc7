"""Where the section cuts a layout, and what it cuts there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from basinbook.drawings.pieces import extent, of_part, outside
from basinbook.engine.layout.model import LINTEL, Layout, Opening, Piece
from basinbook.engine.layout.results.heights import top, wall_top

_CLEAR: Final = 0.004
"""How far from the end of a piece it is cut [m]."""
# A cap is named in the section, and there is one row of it: it counts for more than any wall.
_OF_CAPS: Final = 1000
# A turned block that is cut looks as if it filled the pipe space, as it does here and there only.
_OF_TURNED: Final = -1_000_000
_HEAD: Final = 0.06
_ACROSS: Final = ("front", "back", "second wall")


def section_plane(layout: Layout) -> float:
    """Return the x of the section [m].

    It lies in the pipe opening where there is one, and clear of the side walls and their caps.
    There it cuts as many pieces, caps first, as can be cut at one place without running along a
    joint, and no turned block where there is a place without; of such places it is the nearest to
    the opening's middle, or to the basin's.
    """
    low, high = _range(layout)
    wished = (low + high) / 2.0
    return _best_place(_across(layout), low, high, wished)


def _range(layout: Layout) -> tuple[float, float]:
    opening = layout.pipe_opening
    if opening:
        low, long = opening.box.x, opening.box.dx
        inset = min(_CLEAR, long / 4.0)
        return low + inset, low + long - inset
    walls, deep = outside(layout.pieces), layout.spec.block_depth
    low, high = walls.x0 + deep, walls.x1 - deep
    sides = of_part(layout.caps, "left"), of_part(layout.caps, "right")
    if all(sides):
        low, high = extent(sides[0]).x1, extent(sides[1]).x0
    return low, high


def _across(layout: Layout) -> list[Piece]:
    """Return the pieces that run across the section, or stand where it may cut them."""
    every = (*layout.pieces, *layout.caps, *layout.column_caps)
    return [p for p in every if p.part in _ACROSS or p.part.startswith("column")]


def _best_place(pieces: Sequence[Piece], low: float, high: float, wished: float) -> float:
    """Return the place between low and high that lies well within the most pieces [m].

    And outside all turned blocks, if it can.
    """
    changes: dict[float, int] = {}
    for piece in pieces:
        inset = min(_CLEAR, piece.box.dx / 4.0)
        weight = 1 if piece.stock in ("block", LINTEL) else _OF_CAPS
        if piece.turned:
            weight, inset = _OF_TURNED, -_CLEAR
        start, end = piece.box.x + inset, piece.box.x + piece.box.dx - inset
        changes[start] = changes.get(start, 0) + weight
        changes[end] = changes.get(end, 0) - weight
    stops = sorted({low, high, *(x for x in changes if low < x < high)})
    found = sum(weight for x, weight in changes.items() if x <= low)
    best: tuple[int, float, float] | None = None
    for start, end in pairwise(stops):
        if start > low:
            found += changes[start]
        place = min(max(wished, start), end)
        way = (-found, abs(place - wished), place)
        best = way if best is None else min(best, way)
    return best[2] if best else wished


@dataclass(frozen=True)
class Cut:
    """A layout cut front to back at x = ``plane`` [m]."""

    layout: Layout
    plane: float

    @cached_property
    def opening(self) -> Opening | None:
        """The pipe opening, which the section then runs through."""
        return self.layout.pipe_opening

    @cached_property
    def _all(self) -> tuple[Piece, ...]:
        return (*self.layout.pieces, *self.layout.caps, *self.layout.column_caps)

    @cached_property
    def pieces(self) -> list[Piece]:
        """The pieces that are cut."""
        return [p for p in self._all if p.box.x < self.plane < p.box.x + p.box.dx]

    @cached_property
    def beyond(self) -> list[Piece]:
        """The pieces seen behind the cut, the farthest first."""
        found = [p for p in self._all if p.box.x + p.box.dx <= self.plane]
        return sorted(found, key=lambda p: (p.box.x + p.box.dx, p.box.z, p.box.y))

    def blocks(self, part: str) -> list[Piece]:
        """Return the blocks of a part that are cut."""
        return [p for p in self.pieces if p.part == part and p.stock in ("block", LINTEL)]

    @cached_property
    def inner(self) -> tuple[float, float]:
        """The inner faces of front and back wall [m]."""
        spec = self.layout.spec
        near = spec.block_depth
        front = [p.box.y + p.box.dy for p in self.blocks("front")]
        back = [p.box.y for p in self.blocks("back")]
        return max(front, default=near), min(back, default=near + spec.inside_width)

    @cached_property
    def outer(self) -> tuple[float, float]:
        """The outer faces of front and back wall [m]."""
        walls = outside(self.layout.pieces)
        return walls.y0, walls.y1

    @cached_property
    def outer_left(self) -> float:
        """The outer face of the left wall [m]."""
        return outside(self.layout.pieces).x0

    @cached_property
    def column(self) -> list[Piece]:
        """The blocks of a column that are cut."""
        return [p for p in self.pieces if p.part.startswith("column") and p.stock == "block"]

    def caps(self, part: str) -> tuple[Piece, ...]:
        """Return the caps over a wall, cut or not: all of a row have one profile."""
        return of_part(self.layout.caps, part)

    @cached_property
    def wall(self) -> float:
        """The height of the block wall [m]."""
        return wall_top(self.layout)

    @cached_property
    def high(self) -> float:
        """A height over all that stands there [m]."""
        return top(self._all) + _HEAD


def free_strips(
    pieces: Iterable[Piece], low: float, high: float, above: float
) -> list[tuple[float, float]]:
    """Return from where to where [m] nothing stands over a height, front to back."""
    there = sorted(
        (p.box.y, p.box.y + p.box.dy) for p in pieces if p.box.z + p.box.dz > above + 1e-6
    )
    found, at = [], low
    for start, end in there:
        if start > at:
            found.append((at, min(start, high)))
        at = max(at, end)
        if at >= high:
            return found
    return [*found, (at, high)]
