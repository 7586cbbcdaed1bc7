"""The key plan: the whole feature small, its walls named, with what a sheet shows in grey."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, Size, text_size
from basinbook.drawings.dimensions import free_label
from basinbook.drawings.pieces import extent, of_part
from basinbook.drawings.place import Map
from basinbook.drawings.plan_labels import ALL_WAYS, around, edge_point
from basinbook.engine.layout.model import Layout, Piece

KEY: Final = Size(50.0, 37.0)
"""The room of a key plan [mm]."""
_SIDES: Final = 13.0
_ENDS: Final = 8.0
_OUT: Final[dict[str, Point]] = {
    "front": (0.0, -1.0),
    "back": (0.0, -1.0),
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
    "second wall": (0.0, 1.0),
    "left return": (-1.0, 0.0),
    "right return": (1.0, 0.0),
}


def draw_key(canvas: Canvas, layout: Layout, shown: Sequence[Piece], room: Rect) -> None:
    """Draw the key plan into a room of its size."""
    canvas.rectangle(room, weight=style.THIN)
    whole = extent(layout.pieces)
    across, up = whole.x1 - whole.x0, whole.y1 - whole.y0
    free = Rect(room.x0 + _SIDES, room.y0 + _ENDS, room.x1 - _SIDES, room.y1 - _ENDS)
    scale = ceil(max(across * 1000.0 / free.width, up * 1000.0 / free.height))
    x = (free.x0 + free.x1 - across * 1000.0 / scale) / 2.0 - whole.x0 * 1000.0 / scale
    y = (free.y0 + free.y1 - up * 1000.0 / scale) / 2.0 - whole.y0 * 1000.0 / scale
    place = Map(x, y, scale)
    here = {piece.part for piece in shown}
    parts = list(dict.fromkeys(piece.part for piece in layout.pieces))
    rects = {}
    for part in parts:
        box = extent(of_part(layout.pieces, part))
        rects[part] = place.rect(box.x0, box.y0, box.x1, box.y1)
        fill = style.CORNER if part in here else style.WHITE
        canvas.rectangle(rects[part], fill=fill, weight=style.THIN)
        canvas.blocked.append(rects[part])
    caption = canvas.text(room.x0 + 1.0, room.y1 - 0.6, "key", across="left", up="top")
    inner = Rect(room.x0 + 0.6, room.y0 + 0.6, room.x1 - 0.6, room.y1 - 0.6)
    # Columns, which may be many, are named where they find room.
    for part in sorted(parts, key=lambda name: name.startswith("column")):
        rect = rects[part]
        first = _OUT.get(part, (1.0 if rect.x0 > (caption.x0 + room.x1) / 2.0 else -1.0, 0.0))
        size = text_size(part)
        for way in (first, *ALL_WAYS):
            spots = around(rect, way, *size)
            if free_label(canvas, part, edge_point(rect, way), spots, inner):
                break
