"""The picture of the basin on the front sheet of a workbook: one view, no frame."""

from __future__ import annotations

from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import MM_PER_INCH, Canvas, Rect
from basinbook.drawings.drawing_set import page_png
from basinbook.drawings.isometric import IsometricView
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout

PICTURE: Final = "Basin"
"""Its name in a workbook."""
_ROOM: Final = Rect(0.0, 0.0, 150.0, 112.0)
# The n of the smallest scale 1:n that is tried.
_SMALLEST: Final = 1000


def basin_png(layout: Layout, dpi: int = 150) -> bytes:
    """Return the isometric view from the front right, as large as it goes, as a PNG file.

    Raises InputError for a layout that is too large to be drawn.
    """
    from matplotlib import rc_context

    view = IsometricView(layout, "front right")
    for scale in range(1, _SMALLEST):
        width, height = view.size(scale)
        if width <= _ROOM.width and height <= _ROOM.height:
            break
    else:
        raise InputError("paper", "", "the layout is too large to be drawn")
    with rc_context(style.RC):
        canvas = Canvas("letter")
        canvas.figure.set_size_inches(_ROOM.width / MM_PER_INCH, _ROOM.height / MM_PER_INCH)
        view.draw(canvas, _ROOM, scale)
        return page_png(canvas.figure, dpi)
