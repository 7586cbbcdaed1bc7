"""Pages that fill from the top, in columns: what does not fit goes on on the next page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.print_text import Style
from basinbook.workbook.quote.look import ACCENT, MARGIN, RULE, bold, plain

Draw = Callable[[Any, float, float], None]
"""Draws on a canvas of the PDF library, from a left edge and a top edge [pt] down."""
_FOOT = 30.0


class Item(NamedTuple):
    """Something with a height [pt]; ``with_next``: it doesn't stand last on a page."""

    height: float
    draw: Draw
    with_next: bool = False


class Spot(NamedTuple):
    """A place to go on from: number of the page from 0, and height over the paper's foot [pt]."""

    page: int
    y: float


@dataclass
class Flow:
    """The pages so far; sizes of the paper [pt]."""

    width: float
    height: float
    pages: list[list[Callable[[Any], None]]] = field(default_factory=lambda: [[]])
    at: Spot = field(init=False)

    def __post_init__(self) -> None:
        """Begin at the top."""
        self.at = Spot(0, self.top)

    @property
    def top(self) -> float:
        """Where a page begins [pt]."""
        return self.height - MARGIN

    @property
    def bottom(self) -> float:
        """Where a page ends [pt], above its footer."""
        return MARGIN + _FOOT * 0.5

    @property
    def room(self) -> float:
        """The width between the margins [pt]."""
        return self.width - 2 * MARGIN

    def put(self, items: Iterable[Item], x: float = MARGIN) -> Spot:
        """Put items one below the other from here on; return where they end."""
        listed = list(items)
        at = self.at
        for number, item in enumerate(listed):
            needed = item.height
            if item.with_next and number + 1 < len(listed):
                needed += listed[number + 1].height
            if at.y - needed < self.bottom and at.y < self.top:
                at = Spot(at.page + 1, self.top)
            while len(self.pages) <= at.page:
                self.pages.append([])
            self._draw(item, at, x)
            at = Spot(at.page, at.y - item.height)
        return at

    def _draw(self, item: Item, at: Spot, x: float) -> None:
        self.pages[at.page].append(lambda canvas: item.draw(canvas, x, at.y))

    def go_on(self, *ends: Spot) -> None:
        """Go on below the lowest of some ends."""
        self.at = max(ends, key=lambda end: (end.page, -end.y))

    def add(self, *items: Item) -> None:
        """Put items over the whole width, and go on below them."""
        self.go_on(self.put(items))

    def columns(self, *columns: tuple[float, Sequence[Item]]) -> None:
        """Put columns side by side, each from its own left edge, and go on below all of them."""
        self.go_on(*[self.put(items, x) for x, items in columns])


def together(items: Sequence[Item], most: float) -> Sequence[Item]:
    """Return items as one that no page break parts, where together they are no higher [pt]."""
    height = sum(item.height for item in items)
    if height > most:
        return items

    def draw(canvas: Any, x: float, top: float) -> None:
        for item in items:
            item.draw(canvas, x, top)
            top -= item.height

    return [Item(height, draw)]


def space(height: float) -> Item:
    """Return a gap."""
    return Item(height, lambda *_: None)


def words(
    text: str, width: float, style: Style | None = None, *, after: float = 2.0, indent: float = 0.0
) -> Item:
    """Return text wrapped into a width [pt]."""
    look = style or plain()
    fitted = print_text.wrapped(text, look, width - indent)
    leading = fitted.size * 1.34

    def draw(canvas: Any, x: float, top: float) -> None:
        write_lines(canvas, fitted.lines, look, fitted.size, x + indent, top, leading)

    return Item(leading * len(fitted.lines) + after, draw)


def write_lines(
    canvas: Any,
    lines: Sequence[str],
    style: Style,
    size: float,
    x: float,
    top: float,
    leading: float,
    *,
    right: float | None = None,
) -> None:
    """Write lines from the top down, from the left or up to a right edge [pt]."""
    canvas.setFont(style.face, size)
    canvas.setFillColor(f"#{style.colour}")
    for number, line in enumerate(lines):
        y = top - number * leading - size
        if right is None:
            canvas.drawString(x, y, line)
        else:
            canvas.drawRightString(right, y, line)


def heading(text: str, width: float, *, gap: float = 9.0) -> Item:
    """Return the heading of a section: a word in the accent colour over a hairline."""
    style = bold(8.6, ACCENT)

    def draw(canvas: Any, x: float, top: float) -> None:
        write_lines(canvas, (text,), style, style.size, x, top - gap, style.size)
        canvas.setStrokeColor(f"#{RULE}")
        canvas.setLineWidth(0.6)
        y = top - gap - style.size - 4.0
        canvas.line(x, y, x + width, y)

    return Item(gap + style.size + 8.0, draw, with_next=True)


def pair(label: str, text: str, width: float, label_width: float) -> Item:
    """Return words with a label to their left."""
    left = words(label, label_width - 6.0, bold(7.4))
    right = words(text, width - label_width)

    def draw(canvas: Any, x: float, top: float) -> None:
        left.draw(canvas, x, top)
        right.draw(canvas, x + label_width, top)

    return Item(max(left.height, right.height), draw)


def bullet(text: str, width: float) -> Item:
    """Return words with a mark in the accent colour before them."""
    told = words(text, width, indent=9.0)

    def draw(canvas: Any, x: float, top: float) -> None:
        canvas.setFillColor(f"#{ACCENT}")
        canvas.rect(x, top - 6.4, 3.0, 3.0, stroke=0, fill=1)
        told.draw(canvas, x, top)

    return Item(told.height, draw)
