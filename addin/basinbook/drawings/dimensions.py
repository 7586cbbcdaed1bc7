"""Dimension chains, leaders and labels that find a free place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import hypot
from typing import Final, Literal

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Point, Rect, text_rect, text_size

Axis = Literal["h", "v"]
ROW: Final = 4.6
"""Room for one dimension line and its text [mm]."""
PITCH: Final = 3.0
"""Least distance between two lines of small text, one above the other [mm]."""
TICK: Final = 0.8
AIR: Final = 0.6


def _turned(stops: Sequence[float], texts: Sequence[str]) -> list[bool]:
    """Return which texts stand across the chain: those too long for their part of it.

    Where such a part is also lower than a line of text, its text reaches into the parts beside
    it; a neighbour's text that has no room for that stands across, too.
    """
    lengths = [end - start for start, end in pairwise(stops)]
    rooms = [length - text_size(text).width for length, text in zip(lengths, texts, strict=True)]
    turned = [room < 1.0 for room in rooms]
    over = [flag and length < PITCH for flag, length in zip(turned, lengths, strict=True)]
    return [
        flag or (any(over[max(0, index - 1) : index + 2]) and room < 2.0 * PITCH)
        for index, (flag, room) in enumerate(zip(turned, rooms, strict=True))
    ]


def chain_depth(stops: Sequence[float], texts: Sequence[str]) -> float:
    """Return the room [mm] between an object and a chain that has these stops [mm]."""
    across = zip(_turned(stops, texts), texts, strict=True)
    return max([ROW, *(text_size(text).width + 2.4 for turned, text in across if turned)])


def chain(
    canvas: Canvas,
    axis: Axis,
    row: float,
    edge: float,
    stops: Sequence[float],
    texts: Sequence[str],
) -> None:
    """Draw a chain of dimensions.

    axis: "h" along the page, "v" up it; row: where the line runs [mm]; edge: where the object
    ends [mm], from which the extension lines come; stops: ends of the parts in rising order [mm].
    A text that does not fit along its part stands across, between object and line.
    """
    side = 1.0 if row > edge else -1.0

    def at(along: float, across: float) -> Point:
        return (along, across) if axis == "h" else (across, along)

    for stop in stops:
        canvas.line([at(stop, edge + side * 0.8), at(stop, row + side * 1.0)], style.HAIR)
        canvas.line([at(stop - TICK, row - TICK), at(stop + TICK, row + TICK)], style.MEDIUM)
    canvas.line([at(stops[0], row), at(stops[-1], row)], style.THIN)
    narrow: list[tuple[float, float, str]] = []
    flags = _turned(stops, texts)
    for (start, end), text, turned in zip(pairwise(stops), texts, flags, strict=True):
        middle = (start + end) / 2.0
        if turned:
            narrow.append((middle, end - start, text))
        elif axis == "h":
            canvas.text(middle, row + AIR, text, up="bottom")
        else:
            canvas.text(row - AIR, middle, text, across="right", rotation=90.0)
    places = spread([middle for middle, _, _ in narrow], PITCH)
    for (middle, part, text), place in zip(narrow, places, strict=True):
        width, height = text_size(text)
        across = row - side * (1.2 + width / 2.0)
        if part < height:  # Extension lines of so short a part would run through its text.
            near, far = (
                at(place - height / 2.0, row - side * 1.1),
                at(place + height / 2.0, edge + side * 0.3),
            )
            xs, ys = sorted((near[0], far[0])), sorted((near[1], far[1]))
            canvas.rectangle(Rect(xs[0], ys[0], xs[1], ys[1]), fill=style.WHITE, weight=0.0)
        if abs(place - middle) > 0.3:
            canvas.line([at(middle, row), at(place, row - side * 1.1)], style.HAIR)
        if axis == "h":
            canvas.text(place, across, text, rotation=90.0, ground=style.WHITE)
        else:
            canvas.text(across, place, text, ground=style.WHITE)
    low, high = sorted((row - side * chain_depth(stops, texts), row + side * 0.5))
    room = (stops[0], low, stops[-1], high) if axis == "h" else (low, stops[0], high, stops[-1])
    canvas.blocked.append(Rect(*room))


def spread(
    places: Sequence[float],
    pitch: float | Sequence[float],
    low: float = float("-inf"),
    high: float = float("inf"),
) -> list[float]:
    """Return places moved apart to at least ``pitch``, as little as need be, in the same order.

    ``places`` rise; a pitch may be given for each neighbouring pair. Where they fit, they stay
    between low and high.
    """
    if not places:
        return []
    steps = [pitch] * (len(places) - 1) if isinstance(pitch, (int, float)) else list(pitch)
    # Less what the labels before need, places of labels that touch are equal and none may fall:
    # the nearest such places are the isotonic regression of the wished ones.
    offsets = list(accumulate(steps, initial=0.0))
    wished = [place - offset for place, offset in zip(places, offsets, strict=True)]
    top = high - offsets[-1]
    return [
        max(min(place, top), low) + offset
        for place, offset in zip(_rising(wished), offsets, strict=True)
    ]


def _rising(values: Sequence[float]) -> list[float]:
    """Return the nearest values, by least squares, of which none is less than the one before.

    Neighbours in the wrong order are pooled, and share their mean (Ayer, Brunk, Ewing, Reid and
    Silverman, Annals of Mathematical Statistics 26, 1955). Importing the library that has this
    takes longer than all that a recalculation draws.
    """
    pools: list[tuple[float, int]] = []
    for value in values:
        total, count = value, 1
        while pools and pools[-1][0] / pools[-1][1] >= total / count:
            before, many = pools.pop()
            total, count = before + total, many + count
        pools.append((total, count))
    return [total / count for total, count in pools for _ in range(count)]


def leader(canvas: Canvas, start: Point, end: Point, dot: bool = True) -> None:
    """Draw a thin line from a label to what it speaks of, with a dot at that end."""
    canvas.line([start, end], style.HAIR)
    if dot:
        canvas.dot(*end, radius=0.4)


def free_label(
    canvas: Canvas,
    text: str,
    target: Point,
    places: Iterable[Point],
    page: Rect,
    reach: float = 2.2,
    bold: bool = False,
    also: Iterable[Rect] = (),
    size: float = style.SMALL,
) -> bool:
    """Write a label at the first free place; False where none is free.

    target: what it speaks of [mm]; places: middles of the label to try in order [mm]; a leader
    is drawn where the label ends up more than ``reach`` [mm] from its target; size [pt].
    """
    kept_clear = tuple(also)
    for x, y in places:
        rect = text_rect(x, y, text, size, bold=bold)
        if not page.holds(rect) or not canvas.is_free(rect, also=kept_clear):
            continue
        near = (
            min(max(target[0], rect.x0), rect.x1),
            min(max(target[1], rect.y0 + 0.4), rect.y1 - 0.4),
        )
        if hypot(near[0] - target[0], near[1] - target[1]) > reach:
            leader(canvas, near, target)
        canvas.text(x, y, text, size, bold=bold, ground=style.WHITE)
        return True
    return False


@dataclass(frozen=True)
class Note:
    """A label with one or more lines, and the point that it speaks of [mm]."""

    lines: tuple[str, ...]
    target: Point


def note_column(
    canvas: Canvas,
    notes: Sequence[Note],
    x: float,
    low: float,
    high: float,
    across: Literal["left", "right"],
) -> None:
    """Write notes one above the other at ``x`` [mm], with leaders that don't cross.

    across: the side of the text that stands at x: "left" for a column right of the drawing.
    """
    ordered = sorted(notes, key=lambda note: (note.target[1], note.target[0]))
    heights = [PITCH * len(note.lines) for note in ordered]
    steps = [(a + b) / 2.0 + 1.2 for a, b in pairwise(heights)]
    places = spread([note.target[1] for note in ordered], steps, low, high)
    out = -1.0 if across == "left" else 1.0
    for note, y, height in zip(ordered, places, heights, strict=True):
        for index, line in enumerate(note.lines):
            canvas.text(x, y + height / 2.0 - PITCH * (index + 0.5), line, across=across)
        knee = (x + out * 4.0, y)
        canvas.line([(x + out * 0.8, y), knee], style.HAIR)
        leader(canvas, knee, note.target)
