"""What the texts of a drawn page do to each other."""

from __future__ import annotations

from itertools import combinations

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg

from basinbook.drawings import style
from basinbook.drawings.sheet import Page

POINTS_PER_MM = 72.0 / 25.4


def text_clashes(page: Page) -> list[str]:
    """Return what overlaps, by matplotlib's own boxes, less the room above and below letters."""
    canvas = page.figure.canvas
    assert isinstance(canvas, FigureCanvasAgg)
    renderer = canvas.get_renderer()
    points = 72.0 / page.figure.dpi
    width, height = (inches * 72.0 for inches in page.figure.get_size_inches())
    boxes = []
    found = []
    with rc_context(style.RC):
        extents = [text.get_window_extent(renderer).extents for text in page.figure.texts]
    for text, extent in zip(page.figure.texts, extents, strict=True):
        x0, y0, x1, y1 = (value * points for value in extent)
        upright = text.get_rotation() == 0.0
        trim = 0.16 * ((y1 - y0) if upright else (x1 - x0))
        dx, dy = (0.3, trim) if upright else (trim, 0.3)
        boxes.append((text.get_text(), x0 + dx, y0 + dy, x1 - dx, y1 - dy))
        margin = 8.0 * POINTS_PER_MM
        if x0 < margin or y0 < margin or x1 > width - margin or y1 > height - margin:
            found.append(f"{page.name}: {text.get_text()!r} leaves the border")
    for (a, ax0, ay0, ax1, ay1), (b, bx0, by0, bx1, by1) in combinations(boxes, 2):
        if ax0 < bx1 and bx0 < ax1 and ay0 < by1 and by0 < ay1:
            found.append(f"{page.name}: {a!r} over {b!r}")
    return found
