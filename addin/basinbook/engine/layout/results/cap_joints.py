"""Joints of caps that stand over joints of the course below."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.model import WALLS, Layout, Piece

OVER: Final = 0.00635
"""Joints whose middles are no farther apart than this stand one over the other [m]: a quarter of an
inch, which the sizes of blocks and caps take up. Our choice, no source."""

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
        blocks = [piece for piece in layout.pieces if piece.part == part]
        highest = max(piece.box.z for piece in blocks)
        low, high = _ends(layout, part)
        below = _joints([p for p in blocks if p.box.z > highest - _SAME], layout, low, high)
        above = _joints(caps, layout, low, high)
        total += len(above)
        over += sum(any(abs(at - joint) <= OVER + 1e-6 for joint in below) for at in above)
    return CapJoints(total, over)


def _ends(layout: Layout, part: str) -> tuple[float, float]:
    """Return from where to where a wall runs where it butts at its ends [m].

    A second wall reaches to the outer faces of the basin, or butts against its returns.
    """
    spec = layout.spec
    if part == _SECOND_WALL:
        return 2.0 * _SAME, spec.inside_length + 2.0 * spec.block_depth - 2.0 * _SAME
    inside = spec.inside_length if part in ("front", "back") else spec.inside_width
    return spec.block_depth, spec.block_depth + inside


def _joints(pieces: Sequence[Piece], layout: Layout, low: float, high: float) -> list[float]:
    """Return the middles of the joints in a row of pieces, along their wall [m]."""
    across = pieces[0].part not in ("left", "right")
    spans = sorted({_span(piece, across) for piece in pieces})
    found = [
        (first[1] + second[0]) / 2.0
        for first, second in pairwise(spans)
        if second[0] - first[1] <= layout.spec.joint + _SAME
    ]
    half = layout.spec.joint / 2.0
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
