"""The cut list with a sketch: each whole block or cap that is cut up, and into what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Rect, Size, text_size
from basinbook.drawings.lengths import length_text, length_with_unit
from basinbook.drawings.sheet import Symbol
from basinbook.engine.layout.model import CutPlan, Layout, Piece
from basinbook.engine.layout.results.columns import holes

ROW: Final = 3.9
"""Height of a line of the table [mm]."""
_COUNT: Final = 20.0
_DIMENSION: Final = 3.4


@dataclass(frozen=True)
class Bar:
    """One way to cut up a whole block or cap [m], and how many are cut so."""

    stock: str
    stock_length: float
    lengths: tuple[float, ...]
    offcut: float
    kerf: float
    count: int


def bars(layout: Layout) -> list[Bar]:
    """Return the different ways in which blocks and caps are cut up, with their counts."""
    spec = layout.spec
    found: list[Bar] = []
    for plan, long in ((layout.blocks, spec.block_length), (layout.cap_cuts, spec.cap_length)):
        alike: Counter[tuple[float, ...]] = Counter()
        offcuts: dict[tuple[float, ...], float] = {}
        for bar in plan.bars:
            key = tuple(sorted((round(length, 6) for length in bar.lengths), reverse=True))
            alike[key] += 1
            offcuts[key] = bar.offcut
        found += [
            Bar(plan.stock, long, key, offcuts[key], spec.kerf, count)
            for key, count in sorted(alike.items(), reverse=True)
        ]
    return found


@dataclass(frozen=True)
class BarView:
    """The sketch of one way to cut."""

    bar: Bar
    depth: float
    number: int
    system: str

    def _bar_height(self, scale: int) -> float:
        return min(max(self.depth * 1000.0 / scale, 5.0), 14.0)

    def size(self, scale: int) -> Size:
        """Return the width and height on paper [mm]."""
        width = _COUNT + self.bar.stock_length * 1000.0 / scale + 3.0
        return Size(width, self._bar_height(scale) + 2.0 * _DIMENSION + 1.0)

    def draw(self, canvas: Canvas, room: Rect, scale: int) -> None:
        """Draw the block with its pieces, saw cuts and offcut."""
        bar, per = self.bar, 1000.0 / scale
        low, high = room.y0 + _DIMENSION, room.y0 + _DIMENSION + self._bar_height(scale)
        middle = (low + high) / 2.0
        canvas.text(
            room.x0 + _COUNT - 2.0,
            middle,
            f"{bar.count} × {bar.stock}",
            style.SMALL,
            "right",
            bold=True,
        )
        start = room.x0 + _COUNT
        end = start + bar.stock_length * per
        x = start
        over: list[tuple[float, str]] = []
        for index, length in enumerate(bar.lengths):
            stop = min(x + length * per, end)
            rect = Rect(x, low, stop, high)
            name = f"bar-{self.number}-piece-{index + 1}"
            canvas.rectangle(rect, weight=style.MEDIUM, hatch=None, name=name)
            text = length_text(length, self.system)
            if text_size(text).width + 0.8 <= rect.width:
                canvas.text((x + stop) / 2.0, middle, text)
            elif text_size(text).width + 0.8 <= rect.height and rect.width >= 2.4:
                canvas.text((x + stop) / 2.0, middle, text, rotation=90.0)
            else:
                over.append(((x + stop) / 2.0, text))
            x = stop
            saw = min(bar.kerf * per, end - x)
            if saw > 0.0:
                canvas.rectangle(Rect(x, low, x + saw, high), fill=0.0, weight=style.HAIR)
                x += saw
        if end - x > 0.15:
            rect = Rect(x, low, end, high)
            canvas.rectangle(rect, weight=style.MEDIUM, hatch=style.OFFCUT)
            text = length_text(bar.offcut, self.system)
            if text_size(text).width + 1.6 <= rect.width:
                canvas.text((x + end) / 2.0, middle, text, ground=style.WHITE)
            else:
                over.append(((x + end) / 2.0, text))
        for at, text in over:
            canvas.text(at, high + 0.4, text, up="bottom")


@dataclass(frozen=True)
class CutRow:
    """One length of cut piece: how many, mitred or not, and where they go.

    hole: diameter of the pipe that they are cut round [m], 0 for none; those may be whole else.
    """

    stock: str
    length: float
    mitres: int
    pieces: tuple[Piece, ...]
    hole: float = 0.0

    def cells(self, system: str) -> tuple[str, str, str]:
        """Return length, count and places as text."""
        name = {0: "", 1: ", 1 end mitred", 2: ", both ends mitred"}[self.mitres]
        if self.hole:
            name = f", round pipe {length_text(self.hole, system)}"
        places = ", ".join(map(_place, self.pieces))
        return length_text(self.length, system) + name, f"{len(self.pieces)}", places


def _place(piece: Piece) -> str:
    if piece.stock == "block":
        return piece.name
    return f"{'column ' if piece.part.startswith('column') else ''}cap {piece.number}"


def cut_rows(layout: Layout) -> list[CutRow]:
    """Return the different lengths that are still to cut, blocks before caps, the longest first."""
    found: list[CutRow] = []
    of_caps = [*layout.caps, *(p for p in layout.column_caps if p.stock == "cap")]
    for stock, pieces in (("block", layout.to_lay), ("cap", of_caps)):
        groups: dict[tuple[float, int], list[Piece]] = {}
        for piece in pieces:
            if not piece.whole:
                groups.setdefault((round(piece.length, 6), piece.mitres), []).append(piece)
        found += [
            CutRow(stock, length, mitres, tuple(group))
            for (length, mitres), group in sorted(groups.items(), reverse=True)
        ]
    round_pipe: dict[tuple[str, float, float], list[Piece]] = {}
    for piece in holes(layout):
        key = (piece.stock, round(piece.length, 6), round(piece.hole, 6))
        round_pipe.setdefault(key, []).append(piece)
    return [
        *found,
        *(CutRow(*key[:2], 0, tuple(group), key[2]) for key, group in round_pipe.items()),
    ]


def summary(plan: CutPlan, system: str, kerf: float, laid: int) -> str:
    """Return in words what a cut plan needs; laid: courses that stand, which it leaves out."""
    name = {"block": "Blocks", "cap": "Caps"}.get(plan.stock, plan.stock)
    if laid and plan.stock == "block":
        name = "Blocks still needed"
    spare = ceil(plan.needed * plan.breakage - 1e-9)
    cuts = f"{plan.saw_cuts} saw cut{'s' if plan.saw_cuts != 1 else ''}"
    return (
        f"{name}: {plan.whole} whole + {len(plan.bars)} cut up = {plan.needed}, "
        f"with {plan.breakage:.0%} for breakage {plan.needed + spare}; "
        f"{cuts}, kerf {length_with_unit(kerf, system)}"
    )


def cut_symbols() -> list[Symbol]:
    """Return the legend of the sketches."""

    def offcut(canvas: Canvas, rect: Rect) -> None:
        canvas.rectangle(rect, hatch=style.OFFCUT)

    def saw(canvas: Canvas, rect: Rect) -> None:
        canvas.rectangle(rect)
        middle = (rect.x0 + rect.x1) / 2.0
        canvas.rectangle(Rect(middle - 0.3, rect.y0, middle + 0.3, rect.y1), fill=0.0)

    def piece(canvas: Canvas, rect: Rect) -> None:
        canvas.rectangle(rect, weight=style.MEDIUM)

    return [Symbol("piece to lay", piece), Symbol("saw cut", saw), Symbol("offcut", offcut)]


Line = tuple[str, str, str]
_COLUMNS: Final = (0.0, 34.0, 46.0)
TABLE_HEAD: Final[Line] = ("Cut length", "Count", "Pieces (course.piece)")


def table_lines(rows: Sequence[CutRow], system: str, width: float) -> list[Line]:
    """Return the table's lines; places that don't fit ``width`` [mm] go on in further lines."""
    room = width - _COLUMNS[2]
    lines: list[Line] = []
    for row in rows:
        length, count, places = row.cells(system)
        parts = [""]
        for place in places.split(", "):
            longer = f"{parts[-1]}, {place}" if parts[-1] else place
            if not parts[-1] or text_size(longer).width <= room:
                parts[-1] = longer
            else:
                parts[-1] += ","
                parts.append(place)
        lines.append((length, count, parts[0]))
        lines += [("", "", part) for part in parts[1:]]
    return lines


def draw_table(canvas: Canvas, lines: Sequence[Line], room: Rect) -> None:
    """Draw the table of cut lengths from the top of ``room``."""
    y = room.y1 - ROW
    for column, text in zip(_COLUMNS, TABLE_HEAD, strict=True):
        canvas.text(room.x0 + column, y + 1.0, text, across="left", up="bottom", bold=True)
    canvas.line([(room.x0, y + 0.6), (room.x1, y + 0.6)], style.MEDIUM)
    for line in lines:
        if line[0]:
            canvas.line([(room.x0, y + 0.6), (room.x1, y + 0.6)], style.HAIR)
        y -= ROW
        for column, text in zip(_COLUMNS, line, strict=True):
            if text:
                canvas.text(room.x0 + column, y + 1.0, text, across="left", up="bottom")


def table_capacity(room: Rect) -> int:
    """Return how many lines of the table a room holds."""
    return max(1, int((room.height - ROW) / ROW))
