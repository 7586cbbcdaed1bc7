"""A sheet for each course to lay: its plan, a list of its pieces to tick off, a key plan."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final, NamedTuple

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Rect, text_size
from basinbook.drawings.key_plan import KEY, draw_key
from basinbook.drawings.lengths import length_text
from basinbook.drawings.pieces import label, symbols
from basinbook.drawings.plan import PlanView
from basinbook.drawings.plan_pages import too_large
from basinbook.drawings.plan_views import plan_views
from basinbook.drawings.sheet import (
    Draft,
    FilledPage,
    TitleBlock,
    above,
    drawing_room,
    legend,
    legend_height,
    one_page,
)
from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Piece

_PITCH: Final = 3.7
_BOX: Final = 2.4
_GAP: Final = 2.0
_BETWEEN: Final = 5.0
_HEADS: Final = ("", "no.", "wall", "laid", "length")
_MOST: Final = 0.6
"""The share of the numbers inside their pieces that a list beside the plan has to leave there."""
_NOTE: Final = "Tick each piece when it is laid."
_CHECKS: Final = ("level", "in line", "diagonals equal")


class Listed(NamedTuple):
    """A row of a sheet's list: number, wall, how the piece is laid and whether cut, length."""

    number: str
    wall: str
    how: str
    length: str


class _Columns(NamedTuple):
    """How wide the columns of a list are, and the list with them [mm]."""

    widths: tuple[float, ...]

    @property
    def width(self) -> float:
        return sum(self.widths) + _GAP * (len(self.widths) - 1)


class _Way(NamedTuple):
    """How a sheet is divided: its plan, the columns of its list, its key plan."""

    plan: FilledPage
    columns: list[Rect]
    key: Rect


def sheet_drafts(layout: Layout, title: TitleBlock) -> list[Draft]:
    """Return a page for each course that is to lay, equal ones once, and those of the caps.

    Where the list leaves the numbers of the pieces no room, it has a page of its own.
    """
    drafts: list[Draft] = []
    for view in plan_views(layout, title.system, style.NUMBER):
        if not view.laid:
            drafts += _drafts_of(view, layout, title, len(drafts) + 1)
    return drafts


def _drafts_of(view: PlanView, layout: Layout, title: TitleBlock, number: int) -> list[Draft]:
    room = drawing_room(title)
    rows = listed(view.pieces, title.system)
    columns = _measured(rows)
    height = legend_height(symbols(view.pieces), room.width) + 4.0
    area = above(room, height)
    way = _best_way(view, len(rows), columns.width, area, title.system)
    plan = one_page([view], area, title.system)
    if plan is None:
        raise too_large()
    if way is not None and view.inside_at(way.plan.scale) >= _MOST * view.inside_at(plan.scale):
        shares = [_Share(way.plan, way.columns, way.key, rows)]
    else:
        shares = [_Share(plan, [], None, []), *_list_pages(rows, columns.width, area)]
    drafts = []
    for index, share in enumerate(shares):

        def draw(canvas: Canvas, share: _Share = share) -> None:
            _draw_share(canvas, share, columns, layout, view)
            _draw_foot(canvas, view, room, height)

        heading = view.title if index == 0 else f"{view.title}: list"
        scale = share.plan.scale if share.plan else None
        drafts.append(Draft(f"Sheet {number + index}", heading, scale, draw))
    return drafts


class _Share(NamedTuple):
    """What one page of a sheet shows."""

    plan: FilledPage | None
    columns: list[Rect]
    key: Rect | None
    rows: Sequence[Listed]


def listed(pieces: Sequence[Piece], system: str) -> list[Listed]:
    """Return the rows of a list in laying order."""
    found = []
    for piece in sorted(pieces, key=lambda p: p.number):
        length = length_text(piece.length, system)
        found.append(Listed(label(piece), piece.part, _how(piece), length))
    return found


def _how(piece: Piece) -> str:
    words = [LINTEL if piece.stock == LINTEL else piece.orientation]
    if not piece.whole:
        words.append("cut")
    if piece.mitres:
        words.append("mitred" if piece.mitres == 1 else "mitred at both ends")
    if piece.hole:
        words.append("round pipe")
    if piece.loose:
        words.append("loose")
    return ", ".join(words)


def _measured(rows: Sequence[Listed]) -> _Columns:
    widths = [_BOX]
    for index, head in enumerate(_HEADS[1:]):
        texts = [text_size(row[index]).width for row in rows]
        widths.append(max([text_size(head, bold=True).width, *texts]))
    return _Columns(tuple(widths))


def _fits(height: float) -> int:
    """Return how many rows a column of a height [mm] holds below its head."""
    return max(0, int(height / _PITCH) - 1)


def _best_way(view: PlanView, rows: int, width: float, area: Rect, system: str) -> _Way | None:
    """Return the way with the largest plan: the list at its right, or below it; None for none."""
    ways = []
    for count in range(1, rows + 1):
        wide = max(count * width + (count - 1) * _BETWEEN, KEY.width)
        if wide > area.width * 0.6:
            break
        low = area.y0 + KEY.height + 2.0
        if (count - 1) * _fits(area.height) + _fits(area.y1 - low) < rows:
            continue
        left = area.x1 - wide
        columns = [
            Rect(x, low if index == count - 1 else area.y0, x + width, area.y1)
            for index in range(count)
            for x in [left + index * (width + _BETWEEN)]
        ]
        key = Rect(area.x1 - KEY.width, area.y0, area.x1, area.y0 + KEY.height)
        ways.append((Rect(area.x0, area.y0, left - _BETWEEN, area.y1), columns, key))
        break
    count = int((area.width - KEY.width) / (width + _BETWEEN))
    if count:
        tall = max((ceil(rows / count) + 1) * _PITCH + 1.0, KEY.height)
        if tall < area.height * 0.7:
            top = area.y0 + tall
            columns = [
                Rect(x, area.y0, x + width, top)
                for x in (area.x0 + index * (width + _BETWEEN) for index in range(count))
            ]
            key = Rect(area.x1 - KEY.width, top - KEY.height, area.x1, top)
            ways.append((above(area, tall + 2.0), columns, key))
    found = [
        _Way(plan, columns, key)
        for rest, columns, key in ways
        if (plan := one_page([view], rest, system)) is not None
    ]
    return min(found, key=lambda way: way.plan.scale, default=None)


def _list_pages(rows: Sequence[Listed], width: float, area: Rect) -> list[_Share]:
    """Return pages for a list alone, the key plan at their right."""
    count = max(1, int((area.width - KEY.width) / (width + _BETWEEN)))
    columns = [
        Rect(x, area.y0, x + width, area.y1)
        for x in (area.x0 + index * (width + _BETWEEN) for index in range(count))
    ]
    holds = count * _fits(area.height)
    # The columns are as even as can be.
    tall = (ceil(len(rows) / (ceil(len(rows) / holds) * count)) + 1) * _PITCH + 1.0
    columns = [column._replace(y0=column.y1 - tall) for column in columns]
    holds = count * _fits(tall)
    key = Rect(area.x1 - KEY.width, area.y0, area.x1, area.y0 + KEY.height)
    return [
        _Share(None, columns, key, rows[start : start + holds])
        for start in range(0, len(rows), holds)
    ]


def _draw_share(
    canvas: Canvas, share: _Share, columns: _Columns, layout: Layout, view: PlanView
) -> None:
    if share.plan:
        for placed, rect in share.plan.placed:
            placed.draw(canvas, rect, share.plan.scale)
    rest = list(share.rows)
    for rect in share.columns:
        here, rest = rest[: _fits(rect.height)], rest[_fits(rect.height) :]
        if here:
            _draw_list(canvas, here, columns, rect)
    if share.key:
        draw_key(canvas, layout, view.pieces, share.key)


def _draw_list(canvas: Canvas, rows: Sequence[Listed], columns: _Columns, rect: Rect) -> None:
    starts = [rect.x0]
    for width in columns.widths[:-1]:
        starts.append(starts[-1] + width + _GAP)
    ends = [start + width for start, width in zip(starts, columns.widths, strict=True)]
    y = rect.y1 - _PITCH / 2.0

    def write(texts: Sequence[str], bold: bool) -> None:
        for index, text in enumerate(texts, 1):
            right = index in (1, len(_HEADS) - 1)
            x = ends[index] if right else starts[index]
            canvas.text(x, y, text, across="right" if right else "left", bold=bold)

    write(_HEADS[1:], True)
    canvas.line([(rect.x0, y - _PITCH / 2.0), (ends[-1], y - _PITCH / 2.0)], style.THIN)
    for row in rows:
        y -= _PITCH
        _draw_box(canvas, starts[0], y)
        write(row, False)


def _draw_box(canvas: Canvas, x: float, y: float) -> None:
    half = _BOX / 2.0
    canvas.rectangle(Rect(x, y - half, x + _BOX, y + half), weight=style.THIN)


def _draw_foot(canvas: Canvas, view: PlanView, room: Rect, height: float) -> None:
    legend(canvas, symbols(view.pieces), room)
    y = room.y0 + height - 2.0
    canvas.text(room.x0, y, _NOTE, across="left")
    if canvas.left_out:
        note = f"Labels without room: {canvas.left_out}; see the list."
        canvas.text((room.x0 + room.x1) / 2.0, y, note, bold=True)
    ring = {piece.part for piece in view.pieces}.issuperset(WALLS)
    x = room.x1
    for check in reversed(_CHECKS if ring else _CHECKS[:2]):
        canvas.text(x, y, check, across="right")
        x -= text_size(check).width + _BOX + 1.2
        _draw_box(canvas, x, y)
        x -= 4.0
