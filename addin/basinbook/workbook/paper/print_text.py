"""Text on paper: the fonts that travel with the program, and text fitted into a cell.

DejaVu Sans comes with matplotlib, so ² ³ ° × Ø print on any machine, whatever is installed there.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import accumulate
from pathlib import Path
from typing import Any

# It is a wide face: at this share of its width, text fits a column made for a usual sheet font.
SHEET_WIDTH = 0.82
LEADING = 1.1
SMALLEST = 3.0
_SHRINK_BEFORE_WRAP = 0.8
_SHRINK_BEFORE_BREAK = 0.65


@dataclass(frozen=True)
class Style:
    """A face of the font, its size [pt] and colour (RRGGBB); narrow: share of its own width."""

    face: str
    size: float
    colour: str = "000000"
    narrow: float = 1.0
    underline: bool = False
    strike: bool = False


@dataclass(frozen=True)
class Fitted:
    """Lines of text and the size [pt] at which they fit."""

    lines: tuple[str, ...]
    size: float

    @property
    def height(self) -> float:
        """Height of all lines [pt]."""
        return self.size * (1 + LEADING * (len(self.lines) - 1)) if self.lines else 0.0


# Read once: a sheet has the same few colours thousands of times.
@lru_cache(maxsize=256)
def ink(colour: str) -> Any:
    """Return a colour (RRGGBB) as reportlab takes it."""
    from reportlab.lib.colors import toColor

    return toColor(f"#{colour}")


def face(bold: bool, italic: bool) -> str:
    """Return the name of a registered face."""
    suffix = {(0, 0): "", (1, 0): "-Bold", (0, 1): "-Oblique", (1, 1): "-BoldOblique"}
    return _registered(f"DejaVuSans{suffix[int(bold), int(italic)]}")


@cache
def _registered(name: str) -> str:
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    path = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / f"{name}.ttf"
    pdfmetrics.registerFont(TTFont(name, str(path)))
    return name


def width(text: str, style: Style, size: float | None = None) -> float:
    """Width of one line of text [pt]."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return style.narrow * float(stringWidth(text, style.face, size or style.size))


def draw(canvas: Any, text: str, style: Style, size: float, at: tuple[float, float]) -> None:
    """Draw one line of text that begins at a place (x, y) [pt] of a reportlab canvas."""
    line = canvas.beginText(*at)
    line.setFont(style.face, size)
    line.setHorizScale(100 * style.narrow)
    line.setFillColor(ink(style.colour))
    line.textOut(text)
    canvas.drawText(line)


def one_line(text: str, style: Style, room: float) -> Fitted:
    """Shrink one line until it fits ``room`` [pt]."""
    needed = width(text, style)
    share = min(1.0, room / needed) if needed else 1.0
    return Fitted((text,), max(style.size * share, SMALLEST))


def fits_shrunk(text: str, style: Style, room: float) -> bool:
    """Return True when a modest shrinking is enough to put the text on one line."""
    return width(text, style) * _SHRINK_BEFORE_WRAP <= room


def wrapped(text: str, style: Style, room: float, height: float | None = None) -> Fitted:
    """Wrap text into ``room`` [pt], smaller where a word or the ``height`` [pt] asks for it."""
    room = max(room, 1.0)
    longest = max((width(word, style) for word in text.split()), default=0.0)
    share = min(1.0, room / longest) if longest else 1.0
    size = max(style.size * max(share, _SHRINK_BEFORE_BREAK), SMALLEST)
    fitted = Fitted(_split(text, style, size, room), size)
    while height is not None and fitted.height > height + 0.1 and size > SMALLEST:
        size = max(size * 0.96, SMALLEST)
        fitted = Fitted(_split(text, style, size, room), size)
    return fitted


def _split(text: str, style: Style, size: float, room: float) -> tuple[str, ...]:
    from reportlab.lib.utils import simpleSplit

    lines: list[str] = []
    wide = (room + 0.01) / style.narrow
    for paragraph in text.split("\n"):
        for line in simpleSplit(paragraph, style.face, size, wide) or [""]:
            lines += _broken(line, style, size, room + 0.02)
    return tuple(lines)


def _broken(line: str, style: Style, size: float, room: float) -> list[str]:
    """Break a line that holds one word longer than the room."""
    widths = {sign: width(sign, style, size) for sign in set(line)}
    # How far each sign reaches from the line's start: a cell's 32,767 signs, each on a line of its
    # own, are thus measured once.
    edges = list(accumulate((widths[sign] for sign in line), initial=0.0))
    parts: list[str] = []
    start, end = 0, len(line)
    while end - start > 1 and edges[end] - edges[start] > room:
        cut = max(start + 1, bisect_right(edges, edges[start] + room, start + 1, end) - 1)
        parts.append(line[start:cut])
        start = cut
    return [*parts, line[start:]]
