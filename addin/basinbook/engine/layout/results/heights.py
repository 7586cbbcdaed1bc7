"""Heights above the base, the same for take-off, setting plan, loads and drawings.

A joint (``BasinSpec.joint``) is the same upright and flat. The first course lies on the base
without a bed joint. Every course after it, and the caps, lie on a bed joint over what is below.
So of n flat courses the wall is n · height + (n − 1) · joint high, to the top of its highest block;
the caps' bed is a joint above that, and their top their thickness above their bed. Glued dry, the
joint is 0, and the caps lie on the block.
"""

from __future__ import annotations

from collections.abc import Iterable

from basinbook.engine.layout.model import WALLS, Layout, Piece


def top(pieces: Iterable[Piece]) -> float:
    """Return the greatest height of pieces above the base [m]; 0 for none."""
    return max((piece.box.z + piece.box.dz for piece in pieces), default=0.0)


def wall_top(layout: Layout) -> float:
    """Return the height of the basin's block wall above the base [m], caps not counted.

    Equation: the highest top of a piece in the walls. Source: placed layout.
    """
    return top(piece for piece in layout.pieces if piece.part in WALLS)


def ring_caps(layout: Layout) -> tuple[Piece, ...]:
    """Return the caps on the basin's walls, without those of the second wall and of columns."""
    return tuple(piece for piece in layout.caps if piece.part in WALLS)


def cap_bed(layout: Layout) -> float:
    """Return the height that the basin's caps lie at [m]; the top of the wall without caps.

    With a bed joint that is the joint above the top of the wall. Source: placed layout.
    """
    return min((piece.box.z for piece in ring_caps(layout)), default=wall_top(layout))


def basin_top(layout: Layout) -> float:
    """Return the height of the basin above the base [m]: top of its caps, or of its block."""
    return max(wall_top(layout), top(ring_caps(layout)))


def course_tops(layout: Layout) -> tuple[tuple[int, float], ...]:
    """Return each course of the basin's walls, lowest first, and its top above the base [m].

    Source: placed layout, the highest top of the course's pieces.
    """
    walls = [piece for piece in layout.pieces if piece.part in WALLS]
    numbers = sorted({piece.course for piece in walls})
    return tuple((n, top(piece for piece in walls if piece.course == n)) for n in numbers)
