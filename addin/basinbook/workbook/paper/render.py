"""Print a sheet to PDF, and a PDF to pictures, with no spreadsheet program.

The page follows the sheet's own page set-up: print area, paper, orientation, margins, fit to
pages, page breaks, repeated title rows, header and footer.  Text that doesn't fit its cell is made
a little smaller or wrapped and its row grows, so that nothing is cut off; a number never turns
into ####.  Not drawn: pattern and gradient fills, conditional formats that are none by formula,
charts but of curves and bars.
"""

from __future__ import annotations

import datetime as dt
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from basinbook.engine.errors import InputError
from basinbook.evaluation.number_format import format_value
from basinbook.files.writing import write_files
from basinbook.workbook.file.limits import MAX_PAGES
from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.cell_colour import rgb
from basinbook.workbook.paper.conditional import Looks
from basinbook.workbook.paper.paging import Page, Paper, pages, paper
from basinbook.workbook.paper.print_text import Style
from basinbook.workbook.paper.printed_sheet import PAD, Block, fitted, grids
from basinbook.workbook.paper.sheet_pictures import Picture

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_LINE_WIDTHS = {"hair": 0.25, "thin": 0.5, "medium": 1.1, "thick": 1.8, "double": 0.5}
_DASHES = {"dashed": (3, 2), "dotted": (1, 1.5), "hair": (0.5, 1), "mediumDashed": (4, 2)}
_GRID_GREY = "BFBFBF"
# A picture that would have to be drawn smaller than this begins too near to an edge: it is cut off.
_LEAST_SHARE = 0.6


def sheet_to_pdf(
    workbook: Path | Workbook,
    sheet: str,
    out: Path,
    *,
    page_size: str | None = None,
    force: bool = False,
) -> Path:
    """Print one sheet of a recalculated workbook to a PDF file and return its path.

    ``workbook`` is a path or a workbook that openpyxl loaded with ``data_only=True``;
    ``page_size`` ("letter", "a4", ...) stands in for the sheet's own paper.  Raises InputError
    for a missing sheet, an unknown paper, or an ``out`` that exists when ``force`` is False.
    """
    write_files({out: pdf_bytes(_loaded(workbook), sheet, page_size=page_size)}, replace=force)
    return out


def pdf_bytes(
    workbook: Workbook, *sheets: str, page_size: str | None = None, looks: Looks | None = None
) -> bytes:
    """Return sheets of a workbook with cached values as a PDF file's content, one after another.

    ``looks``: the workbook's, where it is printed sheet by sheet, so that its values are gathered
    once for all.
    """
    from reportlab.pdfgen.canvas import Canvas

    buffer = io.BytesIO()
    canvas = Canvas(buffer, pageCompression=1)
    canvas.setTitle(workbook.properties.title or ", ".join(sheets))
    canvas.setAuthor("")
    canvas.setCreator("basinbook")
    canvas.setSubject("")
    looks = looks or Looks(workbook)
    for sheet in sheets:
        if sheet not in workbook.sheetnames:
            raise InputError("sheet", sheet, f"use one of {', '.join(workbook.sheetnames)}")
        _draw_sheet(canvas, workbook[sheet], looks, page_size)
    canvas.save()
    return buffer.getvalue()


def _draw_sheet(canvas: Any, sheet: Worksheet, looks: Looks, page_size: str | None) -> None:
    on = paper(sheet, page_size)
    made, scale = pages(sheet, grids(sheet, looks), on)
    if len(made) > MAX_PAGES:
        raise InputError(
            f"print area of {sheet.title!r}",
            f"{len(made)} pages",
            f"set one of at most {MAX_PAGES}",
        )
    canvas.setPageSize((on.width, on.height))
    for number, page in enumerate(made, 1):
        _draw_margins(canvas, sheet, on, number, len(made))
        canvas.saveState()
        canvas.translate(*_origin(sheet, page, on, scale))
        canvas.scale(scale, scale)
        _Drawing(canvas, page, (on.body_width / scale, on.body_height / scale)).draw()
        canvas.restoreState()
        canvas.showPage()
    if not made:
        canvas.showPage()


def pdf_to_png(
    pdf: Path | bytes, out_dir: Path, dpi: float = 110, *, stem: str = "", force: bool = False
) -> list[Path]:
    """Write each page of a PDF as ``STEM-1.png``, ``STEM-2.png``, ... and return the paths."""
    name = stem or (pdf.stem if isinstance(pdf, Path) else "page")
    drawn = enumerate(page_pictures(pdf, dpi), 1)
    made = {out_dir / f"{name}-{number}.png": data for number, data in drawn}
    write_files(made, replace=force)
    return list(made)


def page_pictures(pdf: Path | bytes, dpi: float) -> list[bytes]:
    """Return each page of a PDF as a PNG file's content, ``dpi`` points to the inch."""
    import pypdfium2

    made = []
    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            buffer = io.BytesIO()
            page.render(scale=dpi / 72).to_pil().save(buffer, "PNG")
            made.append(buffer.getvalue())
    finally:
        document.close()
    return made


def _loaded(workbook: Path | Workbook) -> Workbook:
    if not isinstance(workbook, Path):
        return workbook
    from basinbook.workbook.file.open_workbook import open_workbook

    return open_workbook(workbook)


def _origin(sheet: Worksheet, page: Page, on: Paper, scale: float) -> tuple[float, float]:
    """Return the page's top left corner of the drawing [pt from the lower left]."""
    width = scale * sum(page.grid.widths[i] for i in page.columns)
    height = scale * sum(page.grid.heights[i] for i in page.rows)
    x, y = on.left, on.height - on.top
    if sheet.print_options.horizontalCentered:
        x += max(on.body_width - width, 0) / 2
    if sheet.print_options.verticalCentered:
        y -= max(on.body_height - height, 0) / 2
    return x, y


class _Drawing:
    """Draws one page; the origin is the top left corner and y runs up, so rows go negative.

    room: width and height of a page between its margins.
    """

    def __init__(self, canvas: Any, page: Page, room: tuple[float, float]) -> None:
        self.canvas = canvas
        self.page = page
        self.room = room
        self.x = _edges(page.columns, page.grid.widths)
        self.y = _edges(page.rows, page.grid.heights)

    def draw(self) -> None:
        """Draw fills first, then text, then borders on top."""
        shown = [block for block in self.page.grid.blocks if self._box(block)]
        for block in shown:
            self._fill(block)
        if self.page.grid.sheet.print_options.gridLines:
            self._grid_lines()
        for block in shown:
            if block.text and block.top in self.y and block.left in self.x:
                self._text(block)
        for block in shown:
            self._borders(block)
        for picture in self.page.grid.pictures:
            if picture.row in self.y and picture.column in self.x:
                self._picture(picture)

    def _box(self, block: Block) -> tuple[float, float, float, float] | None:
        """Return left, top, right and bottom of the part on this page."""
        columns = [self.x[i] for i in range(block.left, block.right + 1) if i in self.x]
        rows = [self.y[i] for i in range(block.top, block.bottom + 1) if i in self.y]
        if not columns or not rows:
            return None
        return columns[0][0], -rows[0][0], columns[-1][1], -rows[-1][1]

    def _fill(self, block: Block) -> None:
        box = self._box(block)
        if block.fill and box:
            left, top, right, bottom = box
            self.canvas.setFillColor(print_text.ink(block.fill))
            self.canvas.rect(left, bottom, right - left, top - bottom, stroke=0, fill=1)

    def _grid_lines(self) -> None:
        right = max(end for _, end in self.x.values())
        bottom = -max(end for _, end in self.y.values())
        self.canvas.setStrokeColor(print_text.ink(_GRID_GREY))
        self.canvas.setLineWidth(0.4)
        for block in self.page.grid.blocks:
            box = self._box(block)
            if box and not block.fill:
                self.canvas.rect(box[0], box[3], box[2] - box[0], box[1] - box[3])
        self.canvas.rect(0, bottom, right, -bottom)

    def _text(self, block: Block) -> None:
        box = self._box(block)
        if box is None:
            return
        left, top, right, bottom = box
        height = top - bottom
        lines = fitted(block, self.page.grid.widths, height - 2 * PAD)
        if block.rotation:
            self._turned(block, lines.lines[0], lines.size, box)
            return
        leading = lines.size * print_text.LEADING
        if block.valign == "top":
            first = top - PAD
        elif block.valign == "center":
            first = (top + bottom + lines.height) / 2
        else:
            first = bottom + PAD + lines.height
        for i, line in enumerate(lines.lines):
            # The baseline lies below the line's top by the font's ascent.
            baseline = first - i * leading - 0.8 * lines.size
            self._line(block, line, lines.size, (left, right), baseline)

    def _line(
        self, block: Block, line: str, size: float, sides: tuple[float, float], y: float
    ) -> None:
        style = block.style
        wide = print_text.width(line, style, size)
        if block.align == "right":
            x = sides[1] - PAD - block.indent - wide
        elif block.align == "center":
            x = (sides[0] + sides[1] - wide) / 2
        else:
            x = sides[0] + PAD + block.indent
        print_text.draw(self.canvas, line, style, size, (x, y))
        self.canvas.setStrokeColor(print_text.ink(style.colour))
        self.canvas.setLineWidth(size / 18)
        if style.underline:
            self.canvas.line(x, y - size * 0.13, x + wide, y - size * 0.13)
        if style.strike:
            self.canvas.line(x, y + size * 0.27, x + wide, y + size * 0.27)

    def _turned(
        self, block: Block, line: str, size: float, box: tuple[float, float, float, float]
    ) -> None:
        """Draw a turned line in the middle of its box (ECMA-376: 91 to 180 turn clockwise)."""
        left, top, right, bottom = box
        angle = block.rotation if block.rotation <= 90 else 90 - block.rotation
        self.canvas.saveState()
        self.canvas.translate((left + right) / 2, (top + bottom) / 2)
        self.canvas.rotate(angle if block.rotation <= 180 else 90)
        wide = print_text.width(line, block.style, size)
        print_text.draw(self.canvas, line, block.style, size, (-wide / 2, -0.35 * size))
        self.canvas.restoreState()

    def _picture(self, picture: Picture) -> None:
        from reportlab.lib.utils import ImageReader

        left = self.x[picture.column][0] + picture.across
        top = -self.y[picture.row][0] - picture.down
        share = self._share(picture, left, top)
        width, height = share * picture.width, share * picture.height
        try:
            self.canvas.drawImage(
                ImageReader(picture.image), left, top - height, width, height, mask="auto"
            )
        except Exception as error:
            # Pillow raises whatever the damaged data happen to break.
            sheet = self.page.grid.sheet.title
            raise InputError(
                f"picture of {sheet!r}", None, "it is damaged; take it out or put it in again"
            ) from error

    def _share(self, picture: Picture, left: float, top: float) -> float:
        """Return the share of its size at which a picture is whole: it may be for wider paper."""
        if not picture.width or not picture.height:
            return 1.0
        share = min((self.room[0] - left) / picture.width, (self.room[1] + top) / picture.height)
        return min(share, 1.0) if share > _LEAST_SHARE else 1.0

    def _borders(self, block: Block) -> None:
        box = self._box(block)
        if box is None:
            return
        left, top, right, bottom = box
        sheet, grid = self.page.grid.sheet, self.page.grid
        first = block.border or block.cell.border
        last = block.border or (
            sheet.cell(grid.rows[block.bottom], grid.columns[block.right]).border
        )
        self._edge(first.left, (left, bottom, left, top))
        self._edge(first.top, (left, top, right, top))
        self._edge(last.right, (right, bottom, right, top))
        self._edge(last.bottom, (left, bottom, right, bottom))

    def _edge(self, side: Any, line: tuple[float, float, float, float]) -> None:
        if side is None or side.style in (None, "none"):
            return
        canvas = self.canvas
        canvas.setStrokeColor(print_text.ink(rgb(side.color) or "000000"))
        default = 1.1 if side.style.startswith("medium") else 0.5
        canvas.setLineWidth(_LINE_WIDTHS.get(side.style, default))
        canvas.setDash(*_DASHES.get(side.style, ([], 0)))
        canvas.setLineCap(2 if side.style not in _DASHES else 0)
        if side.style == "double":
            x1, y1, x2, y2 = line
            across, down = (0, 0.75) if y1 == y2 else (0.75, 0)
            canvas.line(x1 - across, y1 - down, x2 - across, y2 - down)
            canvas.line(x1 + across, y1 + down, x2 + across, y2 + down)
        else:
            canvas.line(*line)
        canvas.setDash([], 0)


def _edges(shown: Sequence[int], sizes: Sequence[float]) -> dict[int, tuple[float, float]]:
    """Return start and end [pt] of each row or column shown on a page."""
    edges = {}
    at = 0.0
    for i in shown:
        edges[i] = (at, at + sizes[i])
        at += sizes[i]
    return edges


def _draw_margins(canvas: Any, sheet: Worksheet, on: Paper, number: int, count: int) -> None:
    """Draw the header and the footer."""
    for item, at, grows in (
        (sheet.oddHeader, on.height - on.header, -1),
        (sheet.oddFooter, on.footer, 1),
    ):
        for align in ("left", "center", "right"):
            part = getattr(item, align, None)
            if part is not None and part.text:
                lines = margin_text(part.text, sheet.title, number, count).split("\n")
                style = _margin_style(part)
                _draw_margin_lines(canvas, lines, style, align, on, at, grows)


def _margin_style(part: Any) -> Style:
    bold = "bold" in str(part.font or "").lower()
    size = float(part.size or 10)
    colour = part.color if re.fullmatch(r"[0-9A-Fa-f]{6}", part.color or "") else "000000"
    return Style(print_text.face(bold, False), size, colour, print_text.SHEET_WIDTH)


def _draw_margin_lines(
    canvas: Any,
    lines: Sequence[str],
    style: Style,
    align: str,
    on: Paper,
    at: float,
    grows: int,
) -> None:
    leading = style.size * print_text.LEADING
    # A header hangs from its margin; a footer stands on it.
    first = at - style.size if grows < 0 else at + (len(lines) - 1) * leading + 0.2 * style.size
    for i, line in enumerate(lines):
        size = print_text.one_line(line, style, on.body_width).size
        left = on.body_width - print_text.width(line, style, size)
        share = {"left": 0.0, "center": 0.5}.get(align, 1.0)
        print_text.draw(canvas, line, style, size, (on.left + share * left, first - i * leading))


def margin_text(text: str, title: str, number: int, count: int) -> str:
    """Return a header or footer with its codes filled in; file name and path are left out."""
    today = dt.datetime.now()
    values = {
        "P": str(number),
        "N": str(count),
        "A": title,
        "D": format_value(today, "d mmm yyyy").text,
        "T": format_value(today, "hh:mm").text,
        "&": "&",
    }
    long = {"Page": "P", "Pages": "N", "Tab": "A", "Date": "D", "Time": "T"}
    text = re.sub(r"&\[(\w+)\]", lambda found: values.get(long.get(found[1], ""), ""), text)
    text = re.sub(r'&"[^"]*"|&K[0-9A-Fa-f]{6}|&\d+', "", text)
    return re.sub(r"&(.)", lambda found: values.get(found[1].upper(), ""), text)
