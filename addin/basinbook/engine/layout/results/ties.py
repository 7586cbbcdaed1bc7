"""Turned blocks as they lie, and those that tie the second wall to the basin's back wall."""

from __future__ import annotations

from functools import lru_cache

from basinbook.engine.layout.model import Layout, Piece

_SAME = 1e-6


def turned_blocks(layout: Layout) -> tuple[Piece, ...]:
    """Return the blocks that lie across their wall."""
    return tuple(piece for piece in layout.pieces if piece.turned)


@lru_cache(maxsize=64)
def ties(layout: Layout) -> tuple[Piece, ...]:
    """Return the turned blocks whose far end meets the other wall, with no more than a joint.

    A tie reaches from back wall to second wall over the pipe space.
    """
    found = []
    for piece in turned_blocks(layout):
        other = "second wall" if piece.part == "back" else "back"
        if any(
            _meets(piece, block, layout.spec.joint)
            for block in layout.pieces
            if block.part == other and not block.turned
        ):
            found.append(piece)
    return tuple(found)


def _meets(piece: Piece, block: Piece, joint: float) -> bool:
    one, other = piece.box, block.box
    near, far = (one, other) if piece.part == "back" else (other, one)
    return (
        abs(far.y - near.y - near.dy - joint) < _SAME
        and min(one.x + one.dx, other.x + other.dx) - max(one.x, other.x) > _SAME
        and min(one.z + one.dz, other.z + other.dz) - max(one.z, other.z) > _SAME
    )
