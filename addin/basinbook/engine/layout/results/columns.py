"""What a layout's columns are: each with its pieces, what it stands on, and the pipe in it."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.model import Box, Layout, Piece
from basinbook.engine.spec_columns import FRONT

_SAME = 1e-6


class Column(NamedTuple):
    """A column: its part, its blocks from the base up, and the pieces of its cap."""

    part: str
    blocks: tuple[Piece, ...]
    caps: tuple[Piece, ...]

    @property
    def plan(self) -> Box:
        """The square that its first course fills; its height is that of its blocks [m]."""
        bed = min(piece.box.z for piece in self.blocks)
        boxes = [piece.box for piece in self.blocks if piece.box.z < bed + _SAME]
        x, y = min(b.x for b in boxes), min(b.y for b in boxes)
        across, deep = max(b.x + b.dx for b in boxes), max(b.y + b.dy for b in boxes)
        top = max(piece.box.z + piece.box.dz for piece in self.blocks)
        return Box(x, y, bed, across - x, deep - y, top - bed)

    @property
    def on_walls(self) -> bool:
        """Whether it stands on walls, not on the base."""
        return self.plan.z > _SAME


def columns_of(layout: Layout) -> tuple[Column, ...]:
    """Return the columns of a layout in the order of their numbers."""
    blocks: dict[str, list[Piece]] = {}
    for piece in layout.pieces:
        if piece.part.startswith("column"):
            blocks.setdefault(piece.part, []).append(piece)
    return tuple(
        Column(part, tuple(blocks[part]), tuple(p for p in layout.column_caps if p.part == part))
        for part in sorted(blocks, key=lambda part: int(part.removeprefix("column ")))
    )


def wall_columns_of(layout: Layout) -> tuple[Column, ...]:
    """Return the columns on and at walls."""
    return columns_of(layout)[layout.spec.columns :]


class ColumnPipe(NamedTuple):
    """The pipe in a column: its middle in plan and its outside diameter [m]; what stays loose.

    loose: the block at the column's front, which is cut where the pipe comes out there.
    """

    part: str
    x: float
    y: float
    size: float
    loose: Piece

    @property
    def cut(self) -> bool:
        """Whether it comes out at the front."""
        return not self.loose.whole


def column_pipe_of(layout: Layout) -> ColumnPipe | None:
    """Return the pipe in the first wall column; None for none."""
    if layout.spec.column_pipe == "none":
        return None
    first = wall_columns_of(layout)[0]
    box = first.plan
    loose = next(
        piece
        for piece in first.blocks
        if piece.loose and (not piece.whole or layout.spec.column_pipe != FRONT)
    )
    size = layout.spec.column_pipe_size
    return ColumnPipe(first.part, box.x + box.dx / 2.0, box.y + box.dy / 2.0, size, loose)


def holes(layout: Layout) -> tuple[Piece, ...]:
    """Return the pieces still to cut round the pipe in a column: caps, and blocks laid as caps."""
    return tuple(
        piece for piece in (*layout.to_lay, *layout.caps, *layout.column_caps) if piece.hole
    )
