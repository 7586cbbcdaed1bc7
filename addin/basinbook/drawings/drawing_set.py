"""The set of drawings: its pages, and writing them as SVG, PDF and pictures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from basinbook.drawings import cutlist, style
from basinbook.drawings.bookmarks import with_bookmarks
from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.client_picture import PLAIN, Colours, client_picture
from basinbook.drawings.course_sheets import sheet_drafts
from basinbook.drawings.dxf import dxf_bytes
from basinbook.drawings.elevation import elevation_views
from basinbook.drawings.isometric import IsometricView
from basinbook.drawings.pieces import symbols
from basinbook.drawings.plan_pages import PICTURE_PLANS, plan_drafts
from basinbook.drawings.section import SectionView, wrapped
from basinbook.drawings.sheet import (
    Draft,
    Page,
    Placed,
    Symbol,
    TitleBlock,
    View,
    above,
    arranged,
    drawing_room,
    frame,
    largest_scale,
    legend,
    legend_height,
)
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout
from basinbook.engine.outfit import Outfit
from basinbook.files.targets import check_target
from basinbook.files.writing import write_files

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PICTURES: Final = ("Plan 1", "Plan 2", "Elevations", "Section", "Cuts", "Isometric")
"""Names of the pictures in a workbook; there are always these, needed or not."""
FORMATS: Final = ("svg", "pdf")
MORE_FORMATS: Final = ("dxf", "picture")
"""What is written on request alone: a file to draw on, and the client's picture."""
_NOTE_PITCH: Final = 3.6


def pages(layout: Layout, title: TitleBlock, outfit: Outfit) -> tuple[Page, ...]:
    """Return the pages of the printed set, as many plans and cut lists as legibility asks for."""
    from matplotlib import rc_context

    with rc_context(style.RC):
        drafts = _drafts(layout, title, outfit, None)
        return tuple(
            _page(draft, title, f"{number} of {len(drafts)}", True)
            for number, draft in enumerate(drafts, 1)
        )


def course_sheets(layout: Layout, title: TitleBlock) -> tuple[Page, ...]:
    """Return the sheets that courses are laid by; none for courses that stand."""
    from matplotlib import rc_context

    with rc_context(style.RC):
        drafts = sheet_drafts(layout, title)
        return tuple(
            _page(draft, title, f"{number} of {len(drafts)}", True)
            for number, draft in enumerate(drafts, 1)
        )


def picture_pages(layout: Layout, title: TitleBlock, outfit: Outfit) -> tuple[Page, ...]:
    """Return the pages named in ``PICTURES``, each once; one that isn't needed says so."""
    from matplotlib import rc_context

    with rc_context(style.RC):
        drafts = {d.name: d for d in _drafts(layout, title, outfit, PICTURE_PLANS)}
        found = []
        for name in PICTURES:
            draft = drafts.get(name)
            place = list(drafts).index(name) + 1 if draft else 0
            number = f"{place} of {len(drafts)}" if draft else "–"
            found.append(_page(draft or _unneeded(name, title), title, number, False))
        return tuple(found)


def page_pngs(
    layout: Layout, title: TitleBlock, outfit: Outfit, dpi: int = 150
) -> dict[str, bytes]:
    """Return the pages named in ``PICTURES`` as PNG files."""
    from matplotlib import rc_context

    with rc_context(style.RC):
        return {
            page.name: page_png(page.figure, dpi) for page in picture_pages(layout, title, outfit)
        }


def page_png(figure: Figure, dpi: int) -> bytes:
    """Return a page, which is black, grey and white, as a PNG file in shades of grey."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from PIL import Image

    figure.set_dpi(dpi)
    canvas: Any = FigureCanvasAgg(figure)  # Its methods have no types.
    canvas.draw()
    size = canvas.get_width_height()
    page = Image.frombuffer("RGBA", size, canvas.buffer_rgba(), "raw", "RGBA", 0, 1)
    stream = BytesIO()
    page.convert("L").save(stream, "PNG", dpi=(dpi, dpi))
    return stream.getvalue()


def write_drawings(
    layout: Layout,
    title: TitleBlock,
    outfit: Outfit,
    out_dir: Path,
    formats: Sequence[str] = FORMATS,
    force: bool = False,
    colours: Colours = PLAIN,
) -> list[Path]:
    """Write the printed set, a sheet for each course, and an SVG of each page; return the files.

    formats: from ``FORMATS`` and ``MORE_FORMATS``; colours: of the client's picture. The same
    layout and title give the same bytes. Raises InputError for another format or colour, and
    where a file is there already and ``force`` isn't set; then nothing is written.
    """
    writers = _writers(layout, title, outfit, formats, colours)
    for name in writers:
        check_target(out_dir / name, replace=force, make_folder=True)
    files = {out_dir / name: data for name, data in _drawn(writers).items()}
    write_files(files, replace=force)
    return list(files)


def drawing_files(layout: Layout, title: TitleBlock, outfit: Outfit) -> dict[str, bytes]:
    """Return what ``write_drawings`` writes where nothing else is asked for, by file name."""
    return _drawn(_writers(layout, title, outfit, FORMATS, PLAIN))


def _writers(
    layout: Layout, title: TitleBlock, outfit: Outfit, formats: Sequence[str], colours: Colours
) -> dict[str, Callable[[], bytes]]:
    """Return by file name what draws the file."""
    for name in formats:
        if name not in (*FORMATS, *MORE_FORMATS):
            allowed = ", ".join((*FORMATS, *MORE_FORMATS))
            raise InputError("format", name, f"allowed are {allowed}")
    drawn = pages(layout, title, outfit)
    writers: dict[str, Callable[[], bytes]] = {}
    if "pdf" in formats:
        writers["drawings.pdf"] = lambda: _pdf(drawn, title)
        sheets = course_sheets(layout, title)
        if sheets:
            writers["course_sheets.pdf"] = lambda: _pdf(sheets, title)
    if "svg" in formats:
        for page in drawn:
            file = f"drawing-{page.name.lower().replace(' ', '-')}.svg"
            writers[file] = partial(_svg, page, title)
    if "dxf" in formats:
        writers["drawings.dxf"] = partial(dxf_bytes, layout, title, outfit)
    if "picture" in formats:
        writers["picture.png"] = partial(client_picture, layout, *colours)
    return writers


def _drawn(writers: Mapping[str, Callable[[], bytes]]) -> dict[str, bytes]:
    from matplotlib import rc_context

    with rc_context(style.RC):
        return {file: write() for file, write in writers.items()}


def _svg(page: Page, title: TitleBlock) -> bytes:
    metadata = {"Date": None, "Creator": "basinbook", "Title": f"{title.job}: {page.name}"}
    stream = BytesIO()
    page.figure.savefig(stream, format="svg", metadata=metadata)
    return stream.getvalue()


def _pdf(drawn: Sequence[Page], title: TitleBlock) -> bytes:
    from matplotlib.backends.backend_pdf import PdfPages

    metadata = {"Title": title.job, "Creator": "basinbook", "CreationDate": None}
    stream = BytesIO()
    with PdfPages(stream, metadata=metadata) as book:
        for page in drawn:
            book.savefig(page.figure)
    return with_bookmarks(stream.getvalue(), [page.title for page in drawn])


def _page(draft: Draft, title: TitleBlock, number: str, to_scale: bool) -> Page:
    canvas = Canvas(title.paper)
    draft.draw(canvas)
    frame(canvas, title, draft.title, number, draft.scale, to_scale)
    figure: Figure = canvas.figure
    return Page(draft.name, figure, draft.title)


def _unneeded(name: str, title: TitleBlock) -> Draft:
    room = drawing_room(title)

    def draw(canvas: Canvas) -> None:
        canvas.text(room.x0 + 1.0, room.y1 - 1.0, "This layout needs no such page.",
                    across="left", up="top")  # fmt: skip

    return Draft(name, name, None, draw)


def _drafts(layout: Layout, title: TitleBlock, outfit: Outfit, plans: int | None) -> list[Draft]:
    """Return all pages in order; ``plans``: most plan pages, one page of cuts; None: no limit."""
    return [
        *plan_drafts(layout, title, plans),
        _elevation_draft(layout, title, outfit),
        _section_draft(layout, title, outfit),
        *_cut_drafts(layout, title, 1 if plans else None),
        _isometric_draft(layout, title),
    ]


def _views_draft(
    name: str,
    heading: str,
    scale: int,
    placed: Sequence[Placed],
    marks: Sequence[Symbol],
    room: Rect,
    note: str = "",
) -> Draft:
    def draw(canvas: Canvas) -> None:
        for view, rect in placed:
            view.draw(canvas, rect, scale)
        legend(canvas, marks, room)
        if note:
            canvas.text(room.x1, room.y0 + 2.0, note, across="right")

    return Draft(name, heading, scale, draw)


def _elevation_draft(layout: Layout, title: TitleBlock, outfit: Outfit) -> Draft:
    room = drawing_room(title)
    views = elevation_views(layout, title.system, outfit.base_thickness, outfit.base_margin)
    marks = symbols(layout.pieces, layout.spec.laid_courses)
    marks = [mark for mark in marks if mark.text != "corner block"]
    # No lengths stand there.
    marks = [Symbol(m.text.removesuffix(", with its length"), m.draw) for m in marks]
    area = above(room, legend_height(marks, room.width))
    front, right, back = views
    orders: tuple[list[View], ...] = ([front, right, back], [front, back, right])
    scale, placed = min(
        (largest_scale(order, area, title.system) for order in orders),
        key=lambda found: found[0],
    )
    return _views_draft("Elevations", "Elevations", scale, placed, marks, room)


def _section_draft(layout: Layout, title: TitleBlock, outfit: Outfit) -> Draft:
    room = drawing_room(title)
    view = SectionView(layout, outfit, title.system)
    lines = [row for line in view.lines for row in wrapped(line, room.width)]
    area = above(room, _NOTE_PITCH * len(lines))
    scale, placed = largest_scale([view], area, title.system)
    _, rect = placed[0]
    # The notes stand at the sides of the page, however narrow the section is.
    wide = Rect(room.x0, rect.y0, room.x1, rect.y1)

    def draw(canvas: Canvas) -> None:
        view.draw(canvas, wide, scale)
        for row, line in enumerate(reversed(lines)):
            canvas.text(room.x1, room.y0 + 2.0 + _NOTE_PITCH * row, line, across="right")

    return Draft("Section", "Section", scale, draw)


def _isometric_draft(layout: Layout, title: TitleBlock) -> Draft:
    room = drawing_room(title)
    views = [IsometricView(layout, corner) for corner in ("front right", "back left")]
    scale, placed = largest_scale(views, room, title.system)
    return _views_draft(
        "Isometric", "Isometric views", scale, placed, (), room,
        "The scale holds along the three axes.",
    )  # fmt: skip


def _cut_drafts(layout: Layout, title: TitleBlock, most: int | None) -> list[Draft]:
    room = drawing_room(title)
    spec, system = layout.spec, title.system
    lines = [
        cutlist.summary(plan, system, spec.kerf, spec.laid_courses)
        for plan in (layout.blocks, layout.cap_cuts)
        if plan.needed
    ]
    marks = cutlist.cut_symbols()
    split = room.x0 + room.width * 0.6
    head = 5.0 * len(lines) + 2.0
    bottom = room.y0 + legend_height(marks, room.width)
    left = Rect(room.x0, bottom, split - 4.0, room.y1 - head)
    right = Rect(split, bottom, room.x1, room.y1 - head)
    depth = {"block": spec.block_depth, "cap": spec.cap_depth}
    views = [
        cutlist.BarView(bar, depth[bar.stock], number, system)
        for number, bar in enumerate(cutlist.bars(layout), 1)
    ]
    scale, placed = _bar_places(views, left, system)
    table = cutlist.table_lines(cutlist.cut_rows(layout), system, right.width)
    capacity = cutlist.table_capacity(right)
    tables = [table[i : i + capacity] for i in range(0, len(table), capacity)]
    needed = max(len(placed), len(tables), 1)
    shown = min(needed, most or needed)
    drafts = []
    for index in range(shown):
        bars_here = placed[index] if index < len(placed) else []
        rows_here = tables[index] if index < len(tables) else []
        left_out = index == shown - 1 and shown < needed

        def draw(
            canvas: Canvas,
            bars_here: Sequence[Placed] = bars_here,
            rows_here: Sequence[cutlist.Line] = rows_here,
            left_out: bool = left_out,
        ) -> None:
            for row, line in enumerate(lines):
                canvas.text(room.x0, room.y1 - 5.0 * row, line, style.TITLE, "left", "top")
            for view, rect in bars_here:
                view.draw(canvas, rect, scale)
            if rows_here:
                cutlist.draw_table(canvas, rows_here, right)
            if not views:
                canvas.text(room.x0, left.y1 - 4.0, "Nothing is cut.", across="left")
            legend(canvas, marks, room)
            if left_out:
                text = "There are more cuts than this page shows: see the printed set."
                canvas.text(room.x1, room.y0 + 2.0, text, across="right", bold=True)

        name = "Cuts" if index == 0 else f"Cuts {index + 1}"
        drafts.append(Draft(name, "Cut list", scale if views else None, draw))
    return drafts


_BAR_SCALES: Final = {"us": (8, 12, 16, 24), "metric": (10, 20, 25)}


def _bar_places(views: Sequence[View], room: Rect, system: str) -> tuple[int, list[list[Placed]]]:
    """Return the scale of the sketches and their places, from the top of each page down."""
    found: tuple[int, list[list[Placed]]] = (_BAR_SCALES[system][0], [])
    if not views:
        return found
    for scale in _BAR_SCALES[system]:
        placed = arranged(views, room, scale, spread_out=False)
        if placed is not None:
            found = scale, placed
            if len(placed) == 1:
                break
    return found
