"""Joints of caps that stand over joints of the course below."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.model import WALLS, Layout, Piece
from basinbook.engine.layout.parts.cap_runs import OVER
from basinbook.engine.spec import BasinSpec

_SECOND_WALL: Final = "second wall"
# Places that were rounded on the way are the same within this [m].
_SAME: Final = 1e-4


class CapJoints(NamedTuple):
    """Joints between caps, and how many of these stand over a joint of the course below."""

    total: int
    over: int


@lru_cache(maxsize=16)
def cap_joints(layout: Layout) -> CapJoints:
    """Return the joints of the caps on the basin's walls and the second wall.

    Joints run square across their wall, the butt joint at a corner is one of the wall that butts;
    mitres run aslant and are not counted, and the sides of an opening are no joints.
    Source: placed layout.
    """
    total = over = 0
    for part in (*WALLS, _SECOND_WALL):
        caps = [piece for piece in layout.caps if piece.part == part]
        if not caps:
            continue
        below = joints_below(layout.pieces, layout.spec, part)
        above = _joints(caps, layout.spec)
        total += len(above)
        over += sum(any(abs(at - joint) <= OVER + 1e-6 for joint in below) for at in above)
    return CapJoints(total, over)


def joints_below(blocks: Iterable[Piece], spec: BasinSpec, part: str) -> list[float]:
    """Return the middles of the joints in the top course of a wall, along it [m]."""
    mine = [piece for piece in blocks if piece.part == part]
    highest = max(piece.box.z + piece.box.dz for piece in mine)
    return _joints([p for p in mine if p.box.z + p.box.dz > highest - _SAME], spec)


def _ends(spec: BasinSpec, part: str) -> tuple[float, float]:
    """Return from where to where a wall runs where it butts at its ends [m].

    A second wall reaches to the outer faces of the basin, or butts against its returns.
    """
    if part == _SECOND_WALL:
        return 2.0 * _SAME, spec.inside_length + 2.0 * spec.block_depth - 2.0 * _SAME
    inside = spec.inside_length if part in ("front", "back") else spec.inside_width
    return spec.block_depth, spec.block_depth + inside


def _joints(pieces: Sequence[Piece], spec: BasinSpec) -> list[float]:
    """Return the middles of the joints in a row of pieces, along their wall [m]."""
    part = pieces[0].part
    low, high = _ends(spec, part)
    across = part not in ("left", "right")
    spans = sorted({_span(piece, across) for piece in pieces})
    found = [
        (first[1] + second[0]) / 2.0
        for first, second in pairwise(spans)
        if second[0] - first[1] <= spec.joint + _SAME
    ]
    half = spec.joint / 2.0
    mitred = any(piece.mitres for piece in pieces)
    if not mitred and spans[0][0] > low - _SAME:
        found.append(spans[0][0] - half)
    if not mitred and spans[-1][1] < high + _SAME:
        found.append(spans[-1][1] + half)
    return found


def _span(piece: Piece, across: bool) -> tuple[float, float]:
    box = piece.box
    start, size = (box.x, box.dx) if across else (box.y, box.dy)
    return round(start, 9), round(start + size, 9)
