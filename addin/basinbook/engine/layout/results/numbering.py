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
        part, y, z = piece.part, piece.y, piece.z
        off = 2 * piece.x + piece.dx - outside_length
        if part == "front":
            return 0, "", z, abs(off), off, -y
        if part in ("left", "right"):
            return 1, "", z, y, off, abs(off)
        if part in ("left return", "right return"):
            return 3, "", z, y, off, 0
        if part in ("back", "second wall"):
            return 2 if part == "back" else 4, "", z, -abs(off), off, y
        return 5, part, z, y, piece.x, 0

    return sorted(placed, key=key)
