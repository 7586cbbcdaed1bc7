"""The page around the drawings: border, title block, scale bar, legend, arrangement of views."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NamedTuple, Protocol

from basinbook.drawings import style
from basinbook.drawings.canvas import PAPERS, Canvas, Rect, Size, text_size
from basinbook.drawings.lengths import INCH, UNITS_NOTE, length_text, scale_text, scales
from basinbook.engine.errors import InputError, check_choice
from basinbook.units import check_system

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MARGIN: Final = 8.0
STRIP: Final = 20.5
NOTE_ROW: Final = 5.0
_TRUE: Final = "Print at full size to measure with a scale rule."
_BY_BAR: Final = "The printed set is true to scale."
NOTE: Final = "Measure on site; local codes govern."


@dataclass(frozen=True)
class TitleBlock:
    """What each page says of the job.

    system: "us" or "metric"; paper: one of ``PAPERS``, landscape. Raises InputError for others.
    """

    job: str
    date: str
    revision: str
    system: str
    paper: str

    def __post_init__(self) -> None:
        """Check system and paper."""
        check_system(self.system)
        check_choice("paper", self.paper, PAPERS)


@dataclass(frozen=True)
class Page:
    """One finished page: its name ("Plan 1", "Section"..), matplotlib figure and full title."""

    name: str
    figure: Figure
    title: str


@dataclass(frozen=True)
class Draft:
    """A page before its number is known; scale: None where it isn't drawn to scale."""

    name: str
    title: str
    scale: int | None
    draw: Callable[[Canvas], None]


class View(Protocol):
    """One drawing on a page."""

    def size(self, scale: int) -> Size:
        """Return the width and height [mm] that it takes at 1:scale, dimensions included."""
        ...

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw it into a room of that size."""
        ...


@dataclass(frozen=True)
class Symbol:
    """One entry of a legend: how it looks and what it means."""

    text: str
    draw: Callable[[Canvas, Rect], None]


def drawing_room(title: TitleBlock) -> Rect:
    """Return the room inside the border, above the title block [mm]."""
    width, height = PAPERS[title.paper]
    return Rect(MARGIN + 2.0, MARGIN + STRIP + 1.5, width - MARGIN - 2.0, height - MARGIN - 1.5)


def above(room: Rect, height: float) -> Rect:
    """Return a room without its lowest ``height`` [mm]."""
    return Rect(room.x0, room.y0 + height, room.x1, room.y1)


def frame(
    canvas: Canvas,
    title: TitleBlock,
    name: str,
    number: str,
    scale: int | None,
    true_size: bool = True,
) -> None:
    """Draw border and title block.

    number: such as "2 of 6"; scale: None where a page isn't drawn to scale; true_size:
    whether the page comes out in its own size, so that 1:scale holds; a picture in a workbook
    may not, and is measured by its bar.
    """
    border = Rect(MARGIN, MARGIN, canvas.width - MARGIN, canvas.height - MARGIN)
    canvas.rectangle(border, fill=None, weight=style.HEAVY)
    top = MARGIN + STRIP
    canvas.line([(border.x0, top), (border.x1, top)], style.HEAVY)
    note_top = MARGIN + NOTE_ROW
    canvas.line([(border.x0, note_top), (border.x1, note_top)], style.THIN)
    middle = MARGIN + NOTE_ROW / 2.0
    canvas.text(border.x0 + 2.0, middle, NOTE, across="left", bold=True)
    canvas.text(
        border.x1 - 2.0,
        middle,
        f"{UNITS_NOTE[title.system]}. {_TRUE if true_size else _BY_BAR}",
        across="right",
    )
    cells: list[tuple[str, str, float]] = [
        ("Job", title.job, 0.0),
        ("Drawing", name, 52.0),
        ("Scale", _scale_words(scale, title.system, true_size), 74.0),
        ("Date", title.date, 24.0),
        ("Revision", title.revision, 19.0),
        ("Page", number, 18.0),
    ]
    x = border.x0
    first = border.width - sum(width for _, _, width in cells)
    for index, (caption, value, given) in enumerate(cells):
        width = given or first
        if index:
            canvas.line([(x, note_top), (x, top)], style.THIN)
        canvas.text(x + 2.0, top - 1.2, caption, across="left", up="top", tone=style.QUIET)
        bold = caption in ("Job", "Drawing")
        for row, line in enumerate(_wrapped(value, width - 4.0, 2, bold)):
            canvas.text(x + 2.0, top - 5.0 - 4.0 * row, line, style.LARGE, "left", "top", bold=bold)
        if caption == "Scale" and scale:
            _scale_bar(canvas, x + 4.0, note_top + 1.2, scale, title.system)
        x += width


def _scale_words(scale: int | None, system: str, true_size: bool) -> str:
    if scale is None:
        return "Not to scale"
    return scale_text(scale, system) if true_size else "Measure by the bar"


def _wrapped(text: str, width: float, rows: int, bold: bool) -> list[str]:
    """Break a text into rows no wider than ``width`` [mm]; what is too long ends in …"""
    lines = [""]
    for word in " ".join(text.split()).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if not lines[-1] or text_size(longer, style.LARGE, bold).width <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    kept = lines[:rows]
    if len(lines) > rows:
        kept[-1] = " ".join(lines[rows - 1 :])
    return [_shortened(line, width, bold) for line in kept]


def _shortened(line: str, width: float, bold: bool) -> str:
    if text_size(line, style.LARGE, bold).width <= width:
        return line
    while line and text_size(line + "…", style.LARGE, bold).width > width:
        line = line[:-1]
    return line.rstrip() + "…"


_BAR_UNITS: Final = {
    "us": tuple(n * INCH for n in (1, 2, 4, 8, 12, 24, 48, 96, 240, 480)),
    "metric": (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0),
}


def _scale_bar(canvas: Canvas, x: float, y: float, scale: int, system: str) -> None:
    """Draw a bar of four parts, black and white by turns, with its lengths above."""
    longest = 52.0
    fitting = [u for u in _BAR_UNITS[system] if u * 1000.0 / scale <= longest]
    whole = max(fitting, default=_BAR_UNITS[system][0])
    step = whole * 1000.0 / scale / 4.0
    height = 1.5
    for part in range(4):
        rect = Rect(x + part * step, y, x + (part + 1) * step, y + height)
        canvas.rectangle(rect, fill=0.0 if part % 2 == 0 else 1.0, weight=style.THIN)
    unit = " mm" if system == "metric" else ""
    marks = ((0.0, "0"), (2.0, length_text(whole / 2.0, system)), (4.0, length_text(whole, system)))
    for index, text in marks:
        shown = text + (unit if index == 4.0 else "")
        left = index == 4.0 and bool(unit)
        start = x + index * step - (text_size(text).width / 2.0 if left else 0.0)
        canvas.text(
            start, y + height + 0.2, shown, up="bottom", across="left" if left else "center"
        )


def legend(canvas: Canvas, symbols: Sequence[Symbol], room: Rect) -> None:
    """Draw symbols with their meaning, in rows from the bottom left of ``room``."""
    x, y = room.x0, room.y0 + 0.5
    for symbol in symbols:
        width = 8.0 + text_size(symbol.text).width + 5.0
        if x + width > room.x1 and x > room.x0:
            x, y = room.x0, y + 4.4
        symbol.draw(canvas, Rect(x, y, x + 6.0, y + 3.0))
        canvas.text(x + 7.2, y + 1.5, symbol.text, across="left")
        x += width


def legend_height(symbols: Sequence[Symbol], width: float) -> float:
    """Return the height [mm] that ``legend`` takes in a room of a width [mm]."""
    rows, x = 1, 0.0
    for symbol in symbols:
        wide = 8.0 + text_size(symbol.text).width + 5.0
        if x + wide > width and x > 0.0:
            rows, x = rows + 1, 0.0
        x += wide
    return 4.4 * rows + 1.0 if symbols else 0.0


class Placed(NamedTuple):
    """A view and the room that it is drawn into."""

    view: View
    room: Rect


class FilledPage(NamedTuple):
    """A page's scale and views."""

    scale: int
    placed: list[Placed]


def arranged(
    views: Sequence[View], room: Rect, scale: int, gap: float = 4.0, spread_out: bool = True
) -> list[list[Placed]] | None:
    """Return the views placed on pages in rows, in order, or None where one doesn't fit a page.

    Rows are filled from the left. What is left of the page's room is shared out between the
    views where ``spread_out``; else they stand close, from the top left.
    """
    pages: list[list[list[View]]] = [[[]]]
    used_width = used_height = row_height = 0.0
    for view in views:
        width, height = view.size(scale)
        if width > room.width or height > room.height:
            return None
        row = pages[-1][-1]
        wide = used_width + (gap if row else 0.0) + width
        tall = max(row_height, height)
        if row and wide <= room.width and used_height + tall <= room.height:
            row.append(view)
            used_width, row_height = wide, tall
            continue
        if row:
            used_height += row_height + gap
            if used_height + height <= room.height:
                pages[-1].append([view])
            else:
                pages.append([[view]])
                used_height = 0.0
        else:
            row.append(view)
        used_width, row_height = width, height
    even = None if spread_out else gap
    return [_spaced(page, room, scale, even) for page in pages]


def _spaced(rows: list[list[View]], room: Rect, scale: int, gap: float | None) -> list[Placed]:
    sizes = [[view.size(scale) for view in row] for row in rows]
    heights = [max(height for _, height in row) for row in sizes]
    between = (room.height - sum(heights)) / (len(rows) + 1) if gap is None else gap
    placed: list[Placed] = []
    y = room.y1 + (0.0 if gap is None else between)
    for row, row_sizes, height in zip(rows, sizes, heights, strict=True):
        y -= between + height
        wide = sum(width for width, _ in row_sizes)
        beside = (room.width - wide) / (len(row) + 1) if gap is None else gap
        x = room.x0 - (0.0 if gap is None else beside)
        for view, (width, view_height) in zip(row, row_sizes, strict=True):
            x += beside
            placed.append(Placed(view, Rect(x, y + height - view_height, x + width, y + height)))
            x += width
    return placed


def largest_scale(views: Sequence[View], room: Rect, system: str) -> FilledPage:
    """Return the largest standard scale at which the views fit one page, and their places.

    Raises InputError where none does.
    """
    found = one_page(views, room, system)
    if found is None:
        raise InputError("paper", "", "the layout is too large to be drawn on one page of it")
    return found


def one_page(views: Sequence[View], room: Rect, system: str) -> FilledPage | None:
    """Return the largest standard scale at which the views fit one page; None where none does."""
    for scale in scales(system):
        pages = arranged(views, room, scale)
        if pages is not None and len(pages) == 1:
            return FilledPage(scale, pages[0])
    return None


Run = tuple[int, int]
"""Neighbouring views of a list: the first, and the one past the last."""


class _Way(NamedTuple):
    """How the first views are shared out: worst and summed scales, and where the pages begin."""

    worst: int
    total: int
    starts: tuple[int, ...]


def page_choices(views: Sequence[View], room: Rect, system: str) -> dict[Run, FilledPage]:
    """Return the page of each run of neighbouring views that fits one page."""
    return {
        (start, end): found
        for end in range(1, len(views) + 1)
        for start in range(end)
        if (found := one_page(views[start:end], room, system)) is not None
    }


def shared_out(choices: dict[Run, FilledPage], views: int, count: int) -> list[FilledPage] | None:
    """Return so many views shared out in order over at most ``count`` pages.

    The smallest scale is as large as can be, then the views' mean 1:n is least (dynamic
    programming over the place of the last page's first view). None where they don't fit.
    """
    # By the number of views that are shared out.
    best = {0: _Way(0, 0, ())}
    for _ in range(count):
        ways = dict(best)
        for (start, end), page in choices.items():
            if start in best:
                before = best[start]
                way = _Way(
                    max(before.worst, page.scale),
                    before.total + page.scale * (end - start),
                    (*before.starts, start),
                )
                ways[end] = min(ways.get(end, way), way)
        best = ways
    if views not in best:
        return None
    starts = best[views].starts
    return [choices[start, end] for start, end in zip(starts, (*starts[1:], views), strict=True)]
