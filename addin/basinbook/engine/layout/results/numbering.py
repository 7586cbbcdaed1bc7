"""The order in which the pieces of a course are laid."""

from __future__ import annotations

from collections.abc import Iterable

from basinbook.engine.layout.parts.placed_pieces import Placed


def in_laying_order(placed: Iterable[Placed], outside_length: int) -> list[Placed]:
    """Return pieces from the front's centre to both sides, round to the back's centre.

    So the back wall is measured in last, when the other three stand true. Then come returns,
    second wall from both ends to its centre, and columns. outside_length: of the basin [ticks].
    """

    def key(piece: Placed) -> tuple[int, str, int, int, int, int]:
        off = 2 * piece.x + piece.dx - outside_length
        if piece.part == "front":
            return 0, "", piece.z, abs(off), off, -piece.y
        if piece.part in ("left", "right"):
            return 1, "", piece.z, piece.y, off, abs(off)
        if piece.part in ("left return", "right return"):
            return 3, "", piece.z, piece.y, off, 0
        if piece.part in ("back", "second wall"):
            return 2 if piece.part == "back" else 4, "", piece.z, -abs(off), off, piece.y
        return 5, piece.part, piece.z, piece.y, piece.x, 0

    return sorted(placed, key=key)
