"""Paper and pages: what a sheet's page set-up makes of its printed ranges."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from basinbook.engine.errors import InputError
from basinbook.workbook.paper.printed_sheet import PrintedSheet

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_INCH = 72.0
_MM = 72.0 / 25.4
# Paper sizes by their code in ECMA-376 part 1, section 18.3.1.63 [pt].
_PAPERS = {
    1: (8.5 * _INCH, 11 * _INCH),
    3: (11 * _INCH, 17 * _INCH),
    5: (8.5 * _INCH, 14 * _INCH),
    8: (297 * _MM, 420 * _MM),
    9: (210 * _MM, 297 * _MM),
    11: (148 * _MM, 210 * _MM),
}
PAPER_NAMES = {"letter": 1, "tabloid": 3, "legal": 5, "a3": 8, "a4": 9, "a5": 11}


@dataclass(frozen=True)
class Paper:
    """A sheet of paper and its margins [pt]."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    header: float
    footer: float

    @property
    def body_width(self) -> float:
        """Width between the margins [pt]."""
        return self.width - self.left - self.right

    @property
    def body_height(self) -> float:
        """Height between the margins [pt]."""
        return self.height - self.top - self.bottom


@dataclass(frozen=True)
class Page:
    """The rows and columns (as places in a grid) that one page shows."""

    grid: PrintedSheet
    rows: tuple[int, ...]
    columns: tuple[int, ...]


def paper(sheet: Worksheet, name: str | None = None) -> Paper:
    """Return the sheet's paper, or the paper called ``name`` with the sheet's margins."""
    if name is not None and name.lower() not in PAPER_NAMES:
        raise InputError("paper", name, f"use one of {', '.join(PAPER_NAMES)}")
    setup, margins = sheet.page_setup, sheet.page_margins
    code = PAPER_NAMES[name.lower()] if name else int(setup.paperSize or 1)
    width, height = _PAPERS.get(code, _PAPERS[1])
    if setup.orientation == "landscape":
        width, height = height, width
    return Paper(
        width,
        height,
        *(_INCH * float(side) for side in (margins.left, margins.right)),
        *(_INCH * float(side) for side in (margins.top, margins.bottom)),
        *(_INCH * float(side) for side in (margins.header, margins.footer)),
    )


def pages(sheet: Worksheet, grids: Sequence[PrintedSheet], on: Paper) -> tuple[list[Page], float]:
    """Split the grids into pages, and return the scale that all of them are drawn at.

    Left out is a page of blank cells to type in with nothing beside them.
    """
    made, scale = _scaled(sheet, grids, on)
    return [page for page in made if _written(page)] or made[:1], scale


def _scaled(sheet: Worksheet, grids: Sequence[PrintedSheet], on: Paper) -> tuple[list[Page], float]:
    if min(on.body_width, on.body_height) < _INCH / 2:
        raise InputError(
            "page margins", sheet.title, "leave at least half an inch between the margins"
        )
    fit = sheet.sheet_properties.pageSetUpPr
    if fit is None or not fit.fitToPage:
        scale = min(max(float(sheet.page_setup.scale or 100), 10), 400) / 100
        return _split(sheet, grids, on, scale), scale
    wide, high = sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight
    wide, high = (1 if wide is None else int(wide)), (1 if high is None else int(high))
    for percent in range(100, 10, -1):
        made = _split(sheet, grids, on, percent / 100)
        if _within(made, wide, high):
            return made, percent / 100
    return _split(sheet, grids, on, 0.1), 0.1


def _within(made: Sequence[Page], wide: int, high: int) -> bool:
    across = {page.columns for page in made}
    down = {(id(page.grid), page.rows) for page in made}
    return (not wide or len(across) <= wide) and (not high or len(down) <= high)


def _breaks(breaks: Any, numbers: Sequence[int]) -> set[int]:
    """Return the places behind which a page ends."""
    place_of = {number: place for place, number in enumerate(numbers)}
    return {place_of[item.id] for item in breaks.brk if item.id in place_of}


def _split(sheet: Worksheet, grids: Sequence[PrintedSheet], on: Paper, scale: float) -> list[Page]:
    made = []
    for grid in grids:
        titles = _titles(grid.rows, sheet.print_title_rows, letters=False)
        side_titles = _titles(grid.columns, sheet.print_title_cols, letters=True)
        bands = [
            _bands(
                grid.heights,
                on.body_height / scale,
                titles,
                _breaks(sheet.row_breaks, grid.rows),
                grid.joined_rows,
            ),
            _bands(
                grid.widths,
                on.body_width / scale,
                side_titles,
                _breaks(sheet.col_breaks, grid.columns),
                grid.joined_columns,
            ),
        ]
        made += [Page(grid, rows, columns) for columns in bands[1] for rows in bands[0]]
    return made


def _written(page: Page) -> bool:
    """Whether a page shows more than blank cells to type in, such as the end of a long list.

    A picture is drawn whole where it begins: nothing is left of it for a page behind that.
    """
    headed = set(page.rows[: _repeated(page.rows)])
    rows, columns = set(page.rows) - headed, set(page.columns)
    by_row = page.grid.blocks_by_row
    here = [one for row in rows for one in by_row.get(row, ()) if one.left in columns]
    if any(block.text for block in here) or any(one.row in rows for one in page.grid.pictures):
        return True
    drawn = page.grid.under_pictures
    return not rows <= drawn and all(block.cell.protection.locked for block in here)


def _repeated(rows: Sequence[int]) -> int:
    """Return how many rows at the top of a page are those of its titles that came before."""
    return next((at for at in range(1, len(rows)) if rows[at] != rows[at - 1] + 1), 0)


def _titles(numbers: Sequence[int], reference: str | None, *, letters: bool) -> tuple[int, ...]:
    from openpyxl.utils import column_index_from_string

    if not reference:
        return ()
    first, _, last = reference.replace("$", "").partition(":")
    read = column_index_from_string if letters else int
    wanted = range(read(first), read(last or first) + 1)
    return tuple(i for i, number in enumerate(numbers) if number in wanted)


def _bands(
    sizes: Sequence[float],
    room: float,
    titles: Sequence[int],
    forced: Collection[int],
    joined: Collection[int],
) -> list[tuple[int, ...]]:
    """Split rows or columns into pages.

    ``titles`` come again on every page behind them; a page ends behind each of ``forced`` and,
    where the page is big enough, not in front of one of ``joined`` (inside a merged range or a
    picture, under a heading).
    """
    bands: list[tuple[int, ...]] = []
    start = 0
    while start < len(sizes):
        ahead = tuple(i for i in titles if i < start)
        space = room - sum(sizes[i] for i in ahead)
        if space < room / 3:
            ahead, space = (), room
        end = start
        used = 0.0
        while end < len(sizes) and (end == start or used + sizes[end] <= space + 0.01):
            used += sizes[end]
            end += 1
            if end - 1 in forced:
                break
        stop = end
        while stop < len(sizes) and stop > start and stop in joined:
            stop -= 1
        end = stop if stop > start else end
        bands.append((*ahead, *range(start, end)))
        start = end
    return bands
