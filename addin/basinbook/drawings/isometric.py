"""Isometric views of the whole feature, its faces in three tones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import cos, radians, sin
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, Size, text_size
from basinbook.drawings.pieces import Extent, extent, footprint, of_part
from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Opening, Piece
from basinbook.engine.spec_openings import ACCESS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_HEAD: Final = 6.0
_COS: Final = cos(radians(30.0))
_SIN: Final = sin(radians(30.0))
_FILM: Final = 1e-4


class Bounds(NamedTuple):
    """Least and greatest u, v and z of a box [m]."""

    u0: float
    u1: float
    v0: float
    v1: float
    low: float
    high: float


class Face(NamedTuple):
    """A face as the eye sees it: its corners in the picture plane [m], what it is of, its side.

    look: "block", "turned", "cap", "water" or "opening"; side: "top", "right" for what faces
    down to the right in the picture, or "left".
    """

    corners: tuple[Point, ...]
    look: str
    side: str


_TONES: Final = {"top": style.WHITE, "left": style.SIDE, "right": style.SHADE}


@dataclass(frozen=True)
class _Solid:
    """An upright prism in view coordinates: u to the right and towards the eye, v to the left
    and towards the eye, z up."""

    corners: tuple[Point, ...]
    low: float
    high: float
    look: str

    @property
    def bounds(self) -> Bounds:
        us = [u for u, _ in self.corners]
        vs = [v for _, v in self.corners]
        return Bounds(min(us), max(us), min(vs), max(vs), self.low, self.high)


@dataclass(frozen=True)
class IsometricView:
    """The feature seen from above and from a corner: "front right" or "back left".

    Lengths along the three axes are true to scale (isometric axes without foreshortening).
    """

    layout: Layout
    corner: str

    @property
    def title(self) -> str:
        """What the view is called."""
        return f"Seen from the {self.corner}"

    def _turned(self, x: float, y: float) -> Point:
        """Return a plan point as u, v: both grow towards the eye."""
        return (x, -y) if self.corner == "front right" else (-x, y)

    @cached_property
    def _solids(self) -> list[_Solid]:
        layout = self.layout
        blocks = extent(of_part(layout.pieces, *WALLS))
        caps = extent(of_part(layout.caps, *WALLS)) if layout.caps else blocks
        solids = [self._solid(piece, blocks) for piece in layout.pieces]
        solids += [self._solid(piece, caps) for piece in (*layout.caps, *layout.column_caps)]
        walls = layout.pieces
        left, right = extent(of_part(walls, "left")), extent(of_part(walls, "right"))
        front, back = extent(of_part(walls, "front")), extent(of_part(walls, "back"))
        depth = layout.spec.water_depth
        water = [
            self._turned(x, y)
            for x, y in (
                (left.x1, front.y1), (right.x0, front.y1), (right.x0, back.y0), (left.x1, back.y0)
            )
        ]  # fmt: skip
        solids.append(_Solid(tuple(water), depth - _FILM, depth, "water"))
        # An access gap is seen through, down to the ground.
        solids += [self._mouth(one) for one in layout.openings if one.number != ACCESS]
        return [solids[index] for index in drawing_order([s.bounds for s in solids])]

    def _solid(self, piece: Piece, among: Extent) -> _Solid:
        corners = tuple(self._turned(x, y) for x, y in footprint(piece, among))
        box = piece.box
        look = "block" if piece.stock in ("block", LINTEL) else "cap"
        if piece.turned:
            look = "turned"
        return _Solid(corners, box.z, box.z + box.dz, look)

    def _mouth(self, opening: Opening) -> _Solid:
        """Return a dark film over an opening's end that faces the eye.

        From so high up its bottom hides what lies behind it, and looks like a block set back.
        """
        box = opening.box
        ends = self._turned(box.x, box.y), self._turned(box.x + box.dx, box.y + box.dy)
        (u0, u1), (v0, v1) = (sorted(values) for values in zip(*ends, strict=True))
        if opening.part in ("left", "right"):
            u0 = u1 - _FILM
        else:
            v0 = v1 - _FILM
        corners = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
        return _Solid(corners, box.z, box.z + box.dz, "opening")

    @staticmethod
    def _flat(u: float, v: float, z: float) -> Point:
        return (u - v) * _COS, z - (u + v) * _SIN

    @cached_property
    def faces(self) -> list[Face]:
        """All that is seen, in the order in which it is drawn."""
        return [
            Face(tuple(self._flat(*corner) for corner in corners), solid.look, side)
            for solid in self._solids
            for side, corners in _seen(solid)
        ]

    def ground(self, margin: float) -> tuple[Point, ...]:
        """Return the ground that the feature stands on, and a margin [m], in the picture plane."""
        bounds = [solid.bounds for solid in self._solids]
        u0, v0 = min(b.u0 for b in bounds) - margin, min(b.v0 for b in bounds) - margin
        u1, v1 = max(b.u1 for b in bounds) + margin, max(b.v1 for b in bounds) + margin
        return tuple(self._flat(u, v, 0.0) for u, v in ((u0, v0), (u1, v0), (u1, v1), (u0, v1)))

    @cached_property
    def frame(self) -> Rect:
        """The room of the whole feature in the picture plane [m]."""
        points = [
            self._flat(u, v, z)
            for solid in self._solids
            for u, v in solid.corners
            for z in (solid.low, solid.high)
        ]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return Rect(min(xs), min(ys), max(xs), max(ys))

    def size(self, scale: int) -> Size:
        """Return the width and height on paper [mm]."""
        frame = self.frame
        width = max(frame.width * 1000.0 / scale, text_size(self.title, style.TITLE, True).width)
        return Size(width + 4.0, frame.height * 1000.0 / scale + _HEAD + 2.0)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the view into a room of its size."""
        frame = self.frame
        wide = frame.width * 1000.0 / scale
        left = room.x0 + (room.width - wide) / 2.0
        low = room.y0 + 1.0
        middle = room.x0 + room.width / 2.0
        canvas.text(middle, room.y1, self.title, style.TITLE, up="top", bold=True)

        def paper(x: float, y: float) -> Point:
            return left + (x - frame.x0) * 1000.0 / scale, low + (y - frame.y0) * 1000.0 / scale

        for face in self.faces:
            tone, hatch = _drawn(face)
            corners = [paper(*corner) for corner in face.corners]
            canvas.polygon(corners, tone, style.THIN, hatch, style.FAINT)


def _drawn(face: Face) -> tuple[float, str | None]:
    """Return the tone and the hatch of a face in black and white."""
    if face.look == "water":
        return style.WATER, "----"
    if face.look == "opening":
        return style.QUIET, None
    return _TONES[face.side], style.TURNED if face.look == "turned" else None


def _seen(solid: _Solid) -> list[tuple[str, list[tuple[float, float, float]]]]:
    """Return the sides that the eye sees with their corners as u, v, z; the top comes last."""
    found: list[tuple[str, list[tuple[float, float, float]]]] = []
    corners = _counted_round(solid.corners)
    if solid.look != "water":
        for (u0, v0), (u1, v1) in zip(corners, (*corners[1:], corners[0]), strict=True):
            # Outward normal of an edge of a shape that runs anticlockwise.
            out_u, out_v = v1 - v0, u0 - u1
            if abs(out_u) > 1e-9 and abs(out_v) > 1e-9:
                continue
            if out_u <= 1e-9 and out_v <= 1e-9:
                continue
            points = [
                (u0, v0, solid.low), (u1, v1, solid.low), (u1, v1, solid.high), (u0, v0, solid.high)
            ]  # fmt: skip
            found.append(("right" if out_u > abs(out_v) else "left", points))
    return [*found, ("top", [(u, v, solid.high) for u, v in corners])]


def _counted_round(corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the corners in anticlockwise order."""
    area = sum(
        u0 * v1 - u1 * v0
        for (u0, v0), (u1, v1) in zip(corners, (*corners[1:], corners[0]), strict=True)
    )
    return corners if area > 0.0 else corners[::-1]


def drawing_order(bounds: Sequence[Bounds]) -> list[int]:
    """Return the order in which boxes are drawn so that the nearer hide the farther.

    The eye looks from where u, v and z are great.
    A box comes before another where a plane parts them with the other on the eye's side; where
    planes part them both ways, neither hides the other. Method: topological order, the farthest
    of those that are free first.
    """
    import heapq

    import numpy as np

    if not bounds:
        return []
    edges = np.asarray(bounds)
    eps = 1e-7
    behind = _parted(edges, eps)
    only = behind & ~behind.T
    waiting = only.sum(axis=0)
    depth = edges[:, ::2].sum(axis=1) + edges[:, 1::2].sum(axis=1)
    free = [(float(depth[i]), i) for i in range(len(bounds)) if not waiting[i]]
    heapq.heapify(free)
    order: list[int] = []
    done = np.zeros(len(bounds), dtype=bool)
    while len(order) < len(bounds):
        if free:
            _, index = heapq.heappop(free)
        else:  # boxes that hide each other in a ring: the farthest is as good as any
            left = np.flatnonzero(~done)
            index = int(left[np.argmin(depth[left])])
        if done[index]:
            continue
        done[index] = True
        order.append(index)
        for after in np.flatnonzero(only[index]):
            waiting[after] -= 1
            if waiting[after] == 0 and not done[after]:
                heapq.heappush(free, (float(depth[after]), int(after)))
    return order


def _parted(edges: NDArray[np.float64], eps: float) -> NDArray[np.bool_]:
    """Return for each pair whether the first lies beyond a plane that the second is before."""
    import numpy as np

    found = np.zeros((len(edges), len(edges)), dtype=bool)
    for axis in range(3):
        low, high = edges[:, 2 * axis], edges[:, 2 * axis + 1]
        found |= high[:, None] <= low[None, :] + eps
    return found
