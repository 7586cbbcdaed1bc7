"""The pictures of a quote: the whole feature seen from a corner, and its plan with its sizes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from basinbook.drawings.canvas import Point
from basinbook.drawings.client_picture import client_picture
from basinbook.drawings.pieces import extent, footprint, of_part, outside
from basinbook.engine.layout.model import WALLS, Layout
from basinbook.units import tape_words
from basinbook.workbook.paper import print_text
from basinbook.workbook.quote.flow import Item
from basinbook.workbook.quote.look import INK, QUIET, WATER, plain

_LINE: Final = 0.35
_PIXELS: Final = 1800
# Room left and below a plan for its sizes [pt].
_SIZES: Final = 24.0


def picture(layout: Layout, block: str, cap: str, width: float, highest: float) -> Item:
    """Return the feature in its colours, as large as a width and a height [pt] allow."""
    from reportlab.lib.utils import ImageReader

    image = ImageReader(io.BytesIO(client_picture(layout, block, cap, pixels=_PIXELS)))
    across, up = image.getSize()
    scale = min(width / across, highest / up)
    size = across * scale, up * scale

    def draw(canvas: Any, x: float, top: float) -> None:
        canvas.drawImage(image, x + (width - size[0]) / 2, top - size[1], *size)

    return Item(size[1], draw)


def _polygon(canvas: Any, points: Sequence[Point], fill: str | None) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.setLineWidth(_LINE)
    canvas.setLineJoin(1)
    canvas.setStrokeColor(f"#{INK}")
    if fill is not None:
        canvas.setFillColor(f"#{fill}")
    canvas.drawPath(path, stroke=1, fill=int(fill is not None))


class _Map(NamedTuple):
    """From the plan [m] to the paper [pt]."""

    x: float
    y: float
    scale: float

    def point(self, x: float, y: float) -> Point:
        return self.x + x * self.scale, self.y + y * self.scale


def plan(layout: Layout, system: str, width: float, height: float) -> Item:
    """Return the feature from above with its outer sizes, in a room [pt]."""
    walls = outside(layout.pieces)
    shapes = _from_above(layout)
    points = [point for shape in shapes for point in shape]
    x0, y0 = (min(point[axis] for point in points) for axis in (0, 1))
    x1, y1 = (max(point[axis] for point in points) for axis in (0, 1))
    scale = min((width - _SIZES) / (x1 - x0), (height - _SIZES) / (y1 - y0))
    height = (y1 - y0) * scale + _SIZES
    style = plain(7.0, QUIET)
    across, up = (tape_words(size, system) for size in (walls.x1 - walls.x0, walls.y1 - walls.y0))

    def draw(canvas: Any, x: float, top: float) -> None:
        free = width - _SIZES - (x1 - x0) * scale
        to = _Map(
            x + _SIZES + free / 2 - x0 * scale,
            top - height + _SIZES - y0 * scale,
            scale,
        )
        _polygon(canvas, [to.point(*corner) for corner in _water(layout)], WATER)
        for shape in shapes:
            _polygon(canvas, [to.point(*corner) for corner in shape], "FFFFFF")
        left, low = to.point(walls.x0, y0)
        right, _ = to.point(walls.x1, y0)
        _measured(canvas, (left, low - 9.0), (right, low - 9.0))
        canvas.setFont(style.face, style.size)
        canvas.setFillColor(f"#{style.colour}")
        canvas.drawCentredString((left + right) / 2, low - 18.0, across)
        side, front = to.point(x0, walls.y0)
        _, back = to.point(x0, walls.y1)
        _measured(canvas, (side - 9.0, front), (side - 9.0, back))
        canvas.saveState()
        canvas.translate(side - 12.0, (front + back) / 2)
        canvas.rotate(90)
        canvas.drawCentredString(0, 0, up)
        canvas.restoreState()

    return Item(height, draw)


def _water(layout: Layout) -> list[Point]:
    sides = [extent(of_part(layout.pieces, part)) for part in ("left", "front", "right", "back")]
    x0, y0, x1, y1 = sides[0].x1, sides[1].y1, sides[2].x0, sides[3].y0
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _from_above(layout: Layout) -> list[list[Point]]:
    """Return the outlines of the pieces that are seen from above, the highest last."""
    pieces = sorted(
        (*layout.pieces, *layout.caps, *layout.column_caps),
        key=lambda piece: piece.box.z + piece.box.dz,
    )
    blocks = extent(of_part(layout.pieces, *WALLS))
    caps = extent(of_part(layout.caps, *WALLS)) if of_part(layout.caps, *WALLS) else blocks
    return [footprint(p, blocks if p.stock == "block" else caps) for p in pieces]


def _measured(canvas: Any, start: Point, end: Point) -> None:
    """Draw a line of a size, with a short stroke across each end."""
    canvas.setStrokeColor(f"#{QUIET}")
    canvas.setLineWidth(0.5)
    canvas.line(*start, *end)
    across = (0.0, 3.0) if start[1] == end[1] else (3.0, 0.0)
    for x, y in (start, end):
        canvas.line(x - across[0], y - across[1], x + across[0], y + across[1])


def caption(text: str, width: float) -> Item:
    """Return the words under a picture."""
    style = plain(7.0, QUIET)

    def draw(canvas: Any, x: float, top: float) -> None:
        canvas.setFont(style.face, style.size)
        canvas.setFillColor(f"#{style.colour}")
        wide = print_text.width(text, style)
        canvas.drawString(x + max(width - wide, 0.0) / 2, top - style.size, text)

    return Item(style.size * 1.5, draw)
