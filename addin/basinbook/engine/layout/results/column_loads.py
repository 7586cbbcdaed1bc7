"""How columns stand: a push at their top, and how slender those on and at walls are."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from basinbook.engine.layout.model import Box, Layout
from basinbook.engine.layout.results.columns import Column, columns_of, wall_columns_of
from basinbook.engine.water.loads import push_ratio

HOLLOW_PIER: Final = 4.0
SOLID_PIER: Final = 10.0
"""Most times its least side that a pier without support is high, with an open core and without one:
International Residential Code (2006), R606.6."""


def least_push(layout: Layout, weight: float) -> float | None:
    """Return how many times a push at its top the least of the columns stands, without glue.

    weight: of the block [N/m³]. A column on walls is looked at as it stands on them, and once more
    from the base with what stands of the walls under its square. None without columns. Equation:
    ``push_ratio``. Source: statics; glue and the walls beside give no help.
    """
    found = []
    for column in columns_of(layout):
        box, own = column.plan, [piece.box for piece in column.blocks]
        found.append(push_ratio(weight * _volume(own), min(box.dx, box.dy), box.dz))
        if column.on_walls:
            walls = _under(layout, column)
            across = max(b.y + b.dy for b in walls) - min(b.y for b in walls)
            heavy = weight * _volume([*own, *walls])
            found.append(push_ratio(heavy, min(box.dx, across), box.z + box.dz))
    return min(found, default=None)


def _volume(boxes: Iterable[Box]) -> float:
    return sum(box.dx * box.dy * box.dz for box in boxes)


def _under(layout: Layout, column: Column) -> list[Box]:
    """Return what stands of the walls' blocks under a column's square."""
    square, found = column.plan, []
    for piece in layout.pieces:
        if piece.part.startswith("column"):
            continue
        box = piece.box
        x, y = max(box.x, square.x), max(box.y, square.y)
        dx = min(box.x + box.dx, square.x + square.dx) - x
        dy = min(box.y + box.dy, square.y + square.dy) - y
        if dx > 0.0 and dy > 0.0 and box.z < square.z:
            found.append(Box(x, y, box.z, dx, dy, box.dz))
    return found


def slenderest(layout: Layout) -> tuple[float, float]:
    """Return height over side of the wall column nearest to its limit, and that limit.

    0 and the limit without such columns. Limits: ``HOLLOW_PIER``, ``SOLID_PIER``.
    """
    limit = HOLLOW_PIER if layout.spec.wall_column_core == "yes" else SOLID_PIER
    ratios = (column.plan.dz / column.plan.dx for column in wall_columns_of(layout))
    return max(ratios, default=0.0), limit
