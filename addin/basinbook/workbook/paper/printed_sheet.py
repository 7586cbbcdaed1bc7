"""The part of a sheet that is printed, measured in points: columns, rows, cells and their text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from basinbook.engine.errors import InputError
from basinbook.evaluation.number_format import format_value, general
from basinbook.workbook.file.limits import MAX_PRINTED_CELLS
from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.cell_colour import rgb
from basinbook.workbook.paper.conditional import Look, Looks
from basinbook.workbook.paper.print_text import Fitted, Style
from basinbook.workbook.paper.sheet_pictures import Picture, pictures

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_PIXEL = 0.75  # A sheet's pixel is 1/96 in [pt].
_DIGIT = 7  # Width of a digit of the usual 11 pt sheet font [pixels].
_DEFAULT_COLUMN = 8.43 + 5 / _DIGIT
_DEFAULT_ROW = 15.0
_TALLEST_ROW = 409.5
_INDENT = 6.75
PAD = 2.2
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]")


Box = tuple[int, int, int, int]
"""Top, left, bottom, right."""


@dataclass(frozen=True)
class Block:
    """A cell or a merged range: its place in the printed rows and columns, and what it shows."""

    cell: Any
    top: int
    left: int
    bottom: int
    right: int
    text: str = ""
    number: float | None = None
    style: Style = field(default_factory=lambda: Style("Helvetica", 9))
    align: str = "left"
    valign: str = "bottom"
    wrap: bool = False
    indent: float = 0.0
    rotation: int = 0
    # Columns over which text that isn't wrapped may run, itself included.
    run: tuple[int, int] = (0, 0)
    fill: str | None = None
    # A conditional format's box in place of the cell's own.
    border: Any = None


@dataclass
class PrintedSheet:
    """One printed range of a sheet, laid out."""

    sheet: Worksheet
    rows: list[int]
    columns: list[int]
    widths: list[float]
    heights: list[float]
    blocks: list[Block]
    pictures: list[Picture]

    @cached_property
    def blocks_by_row(self) -> dict[int, list[Block]]:
        """The blocks that begin in each row."""
        found: dict[int, list[Block]] = {}
        for block in self.blocks:
            found.setdefault(block.top, []).append(block)
        return found

    @cached_property
    def under_pictures(self) -> set[int]:
        """The rows below the first of each picture that it reaches over."""
        return {i for p in self.pictures for i in range(p.row + 1, p.last_row + 1)}

    @cached_property
    def joined_rows(self) -> set[int]:
        """The rows that no page begins with: inside merged ranges, pictures, under headings."""
        inside = {i for block in self.blocks for i in range(block.top + 1, block.bottom + 1)}
        return inside | self.under_pictures | self._under_headings()

    @cached_property
    def joined_columns(self) -> set[int]:
        """The columns that no page begins with: inside merged ranges."""
        return {i for block in self.blocks for i in range(block.left + 1, block.right + 1)}

    def _under_headings(self) -> set[int]:
        """Return the rows below headings: rows whose texts are all bold."""
        bold: dict[int, bool] = {}
        for block in self.blocks:
            if block.text:
                here = "Bold" in block.style.face
                bold[block.bottom] = here and bold.get(block.bottom, True)
        return {row + 1 for row, heading in bold.items() if heading}


def grids(sheet: Worksheet, looks: Looks | None = None) -> list[PrintedSheet]:
    """Return each range of the print area (or, without one, the used range) laid out.

    ``looks``: what the workbook's conditional formats give; without it they are not drawn.
    """
    return [grid for box in _print_boxes(sheet) if (grid := _grid(sheet, looks, *box))]


def print_ranges(sheet: Worksheet) -> list[str]:
    """Return the ranges of the sheet's print area, without the sheet's name."""
    plain = re.sub(r"'(?:[^']|'')*'!", "", str(sheet.print_area or ""))
    ranges = [reference for reference in plain.split(",") if reference]
    _check_boxes(sheet, [_box(sheet, reference) for reference in ranges])
    return ranges


def _print_boxes(sheet: Worksheet) -> list[Box]:
    boxes = [_box(sheet, reference) for reference in print_ranges(sheet)] or [_used(sheet)]
    _check_boxes(sheet, boxes)
    return boxes


def _box(sheet: Worksheet, reference: str) -> Box:
    from openpyxl.utils.cell import range_boundaries

    try:
        left, top, right, bottom = range_boundaries(reference)
    except (ValueError, TypeError) as error:
        raise InputError("print area", reference, "give ranges such as A1:J40") from error
    return top or 1, left or 1, bottom or sheet.max_row, right or sheet.max_column


def _check_boxes(sheet: Worksheet, boxes: Sequence[Box]) -> None:
    cells = sum((bottom - top + 1) * (right - left + 1) for top, left, bottom, right in boxes)
    if cells > MAX_PRINTED_CELLS:
        raise InputError(
            f"print area of {sheet.title!r}",
            f"{cells:,} cells",
            f"set a print area of at most {MAX_PRINTED_CELLS:,} cells",
        )


def _used(sheet: Worksheet) -> Box:
    cells = [
        cell
        for cell in _present(sheet)
        if cell.value is not None or (cell.has_style and (cell.fill.fill_type or _edged(cell)))
    ]
    rows: list[int] = [int(cell.row or 1) for cell in cells] or [1]
    columns: list[int] = [int(cell.column or 1) for cell in cells] or [1]
    for merged in sheet.merged_cells.ranges:
        if merged.min_row <= max(rows) and merged.min_col <= max(columns):
            rows.append(merged.max_row)
            columns.append(merged.max_col)
    last = max(columns)
    sizes = column_characters(sheet)
    return 1, 1, max(rows), max([last, *(_reach(sheet, cell, last, sizes) for cell in cells)])


def _present(sheet: Worksheet) -> list[Any]:
    """Return the cells that the sheet has.

    The library's own ways to them make all cells up to the last one, be that XFD1048576.
    """
    return list(sheet._cells.values())


def _reach(sheet: Worksheet, cell: Any, last: int, sizes: Mapping[int, float]) -> int:
    """Return the column that text running over the right edge of the used range ends in."""
    if not isinstance(cell.value, str) or cell.alignment.wrap_text or cell.column > last:
        return last
    present = sheet._cells
    beside = (present.get((cell.row, column)) for column in range(cell.column + 1, last + 1))
    if any(other is not None and other.value for other in beside):
        return last
    if cell.coordinate in sheet.merged_cells:
        return last
    default = _default_column(sheet)
    room = 0.0
    column = int(cell.column)
    needed = print_text.width(cell.value, _style(cell.font)) + 2 * PAD
    while room < needed and column < cell.column + 50:
        room += _column_points(sizes.get(column, default))
        column += 1
    return max(last, column - 1)


def _edged(cell: Any) -> bool:
    border = cell.border
    return any(side and side.style for side in (border.left, border.right, border.top))


def _grid(
    sheet: Worksheet, looks: Looks | None, top: int, left: int, bottom: int, right: int
) -> PrintedSheet | None:
    sizes = column_characters(sheet)
    rows = [row for row in range(top, bottom + 1) if not hidden_row(sheet, row)]
    columns = [column for column in range(left, right + 1) if sizes.get(column, 1) != 0]
    if not rows or not columns:
        return None
    default = _default_column(sheet)
    widths = [_column_points(sizes.get(column, default)) for column in columns]
    found = looks.of(sheet, rows, columns) if looks else {}
    blocks = [
        _with_look(block, found.get((block.cell.row, block.cell.column)))
        for block in _blocks(sheet, rows, columns)
    ]
    heights = _heights(sheet, rows, widths, blocks)
    drawn = pictures(sheet, rows, columns, heights, widths)
    # A list's area has room for the longest: blank rows at its end are not printed.
    count = max(
        [block.bottom + 1 for block in blocks if _seen(block)] + [p.last_row + 1 for p in drawn],
        default=1,
    )
    rows, heights = rows[:count], heights[:count]
    blocks = [block for block in blocks if block.bottom < count]
    return PrintedSheet(sheet, rows, columns, widths, heights, blocks, drawn)


def _seen(block: Block) -> bool:
    """Whether anything of the block is to be seen on paper."""
    edges = block.border or block.cell.border
    sides = (edges.left, edges.right, edges.top, edges.bottom)
    return bool(block.text or block.fill or any(side and side.style for side in sides))


def _default_column(sheet: Worksheet) -> float:
    shape = sheet.sheet_format
    if shape.defaultColWidth:
        return float(shape.defaultColWidth)
    if shape.baseColWidth and shape.baseColWidth != 8:
        return float(shape.baseColWidth) + 5 / _DIGIT
    return _DEFAULT_COLUMN


def _column_points(characters: float) -> float:
    """Width of a column [pt] from its width in characters (ECMA-376 part 1, section 18.3.1.13)."""
    return int((256 * characters + int(128 / _DIGIT)) / 256 * _DIGIT) * _PIXEL


def column_characters(sheet: Worksheet) -> dict[int, float]:
    """Return the width [characters] of each column that has its own; 0 for a hidden one."""
    from openpyxl.utils import column_index_from_string

    found: dict[int, float] = {}
    for letter, dimension in sheet.column_dimensions.items():
        first = dimension.min or column_index_from_string(letter)
        last = min(dimension.max or first, 16384)
        own = float(dimension.width) if dimension.customWidth else _default_column(sheet)
        found |= dict.fromkeys(range(first, last + 1), 0.0 if dimension.hidden else own)
    return found


def hidden_row(sheet: Worksheet, row: int) -> bool:
    """Return True when the sheet hides the row."""
    if row not in sheet.row_dimensions:
        return bool(sheet.sheet_format.zeroHeight)
    dimension = sheet.row_dimensions[row]
    return bool(dimension.hidden) or dimension.height == 0


def _blocks(sheet: Worksheet, rows: Sequence[int], columns: Sequence[int]) -> Iterator[Block]:
    row_at = {row: i for i, row in enumerate(rows)}
    column_at = {column: i for i, column in enumerate(columns)}
    covered: set[tuple[int, int]] = set()
    for merged in sheet.merged_cells.ranges:
        inside_rows = [row_at[r] for r in range(merged.min_row, merged.max_row + 1) if r in row_at]
        inside_columns = [
            column_at[c] for c in range(merged.min_col, merged.max_col + 1) if c in column_at
        ]
        if not inside_rows or not inside_columns:
            continue
        covered |= {(r, c) for r in inside_rows for c in inside_columns}
        corner = sheet.cell(merged.min_row, merged.min_col)
        yield _block(corner, inside_rows[0], inside_columns[0], inside_rows[-1], inside_columns[-1])
    for r, row in enumerate(rows):
        cells = [sheet.cell(row, column) for column in columns]
        taken = [cell.value is not None or (r, c) in covered for c, cell in enumerate(cells)]
        for c, cell in enumerate(cells):
            if (r, c) not in covered:
                yield _block(cell, r, c, r, c, taken)


def _block(
    cell: Any, top: int, left: int, bottom: int, right: int, taken: Sequence[bool] = ()
) -> Block:
    shown = format_value(cell.value, cell.number_format)
    text = _CONTROL.sub(" ", shown.text.replace("\r\n", "\n").replace("\t", "    "))
    number = cell.value if _is_number(cell.value) else None
    alignment = cell.alignment
    wrap = bool(alignment.wrap_text) or alignment.horizontal in ("justify", "distributed")
    if not wrap:
        text = text.replace("\n", " ")
    align = _align(cell, isinstance(cell.value, str) and cell.data_type != "e")
    fill = cell.fill
    return Block(
        cell=cell,
        top=top,
        left=left,
        bottom=bottom,
        right=right,
        text=text if text.strip() else "",
        number=number,
        style=_style(cell.font, shown.colour),
        align=align,
        valign=alignment.vertical or "bottom",
        wrap=wrap,
        indent=float(alignment.indent or 0) * _INDENT,
        rotation=int(alignment.textRotation or 0),
        run=_run(left, right, align, taken, isinstance(cell.value, str)),
        fill=rgb(fill.fgColor) if fill.fill_type == "solid" else None,
    )


def _with_look(block: Block, look: Look | None) -> Block:
    """Return the block with what conditional formats change of it."""
    if look is None:
        return block
    font = block.cell.font
    bold = font.b if look.bold is None else look.bold
    italic = font.i if look.italic is None else look.italic
    style = replace(
        block.style,
        face=print_text.face(bool(bold), bool(italic)),
        colour=look.colour or block.style.colour,
        strike=block.style.strike if look.strike is None else look.strike,
    )
    return replace(block, style=style, fill=look.fill or block.fill, border=look.border)


def _style(font: Any, colour: str | None = None) -> Style:
    return Style(
        print_text.face(bool(font.b), bool(font.i)),
        float(font.sz or 11),
        colour or rgb(font.color) or "000000",
        print_text.SHEET_WIDTH,
        underline=bool(font.u) and font.u != "none",
        strike=bool(font.strike),
    )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _align(cell: Any, is_text: bool) -> str:
    horizontal = cell.alignment.horizontal
    if horizontal in ("left", "right", "center"):
        return str(horizontal)
    if horizontal == "centerContinuous":
        return "center"
    if is_text or cell.value is None:
        return "left"
    return "center" if cell.data_type in ("b", "e") else "right"


def _run(
    left: int, right: int, align: str, taken: Sequence[bool], is_text: bool
) -> tuple[int, int]:
    """Return the first and last column that text may run over: itself and empty neighbours."""
    if not taken or not is_text:
        return left, right
    first, last = left, right
    if align in ("left", "center"):
        while last + 1 < len(taken) and not taken[last + 1]:
            last += 1
    if align in ("right", "center"):
        while first > 0 and not taken[first - 1]:
            first -= 1
    return first, last


def run_room(block: Block, widths: Sequence[float]) -> float:
    """Room [pt] for one line of the block's text, its empty neighbours included."""
    own = sum(widths[block.left : block.right + 1])
    before = sum(widths[block.run[0] : block.left])
    after = sum(widths[block.right + 1 : block.run[1] + 1])
    if block.align == "center":
        return own + 2 * min(before, after) - 2 * PAD
    return before + own + after - 2 * PAD - block.indent


def fitted(block: Block, widths: Sequence[float], height: float | None = None) -> Fitted:
    """Fit the block's text into its columns, and into ``height`` [pt] where it is given."""
    own = sum(widths[block.left : block.right + 1]) - 2 * PAD - block.indent
    if block.rotation:
        return print_text.one_line(block.text, block.style, (height or _TALLEST_ROW) - 2 * PAD)
    if block.number is not None or not isinstance(block.cell.value, str):
        return _number_fitted(block, own)
    room = run_room(block, widths)
    if not block.wrap and print_text.fits_shrunk(block.text, block.style, room):
        return print_text.one_line(block.text, block.style, room)
    return print_text.wrapped(block.text, block.style, own, height)


def _number_fitted(block: Block, room: float) -> Fitted:
    """A number stays on one line; in the General format it first gives up decimals."""
    text = block.text
    if block.number is not None and block.cell.number_format == "General":
        for digits in range(10, 3, -1):
            text = general(block.number, digits)
            if print_text.width(text, block.style) <= room:
                break
    return print_text.one_line(text, block.style, room)


def _heights(
    sheet: Worksheet, rows: Sequence[int], widths: Sequence[float], blocks: Sequence[Block]
) -> list[float]:
    default = float(sheet.sheet_format.defaultRowHeight or _DEFAULT_ROW)
    heights = [
        float(sheet.row_dimensions[row].height or default)
        if row in sheet.row_dimensions
        else default
        for row in rows
    ]
    written = [block for block in blocks if block.text and not block.rotation]
    # Cells of one row first, so that a merged range only adds what its rows don't yet give it.
    for block in sorted(written, key=lambda block: block.bottom - block.top):
        needed = fitted(block, widths).height + 2 * PAD
        given = sum(heights[block.top : block.bottom + 1])
        if needed > given:
            grown = heights[block.bottom] + needed - given
            heights[block.bottom] = max(heights[block.bottom], min(grown, _TALLEST_ROW))
    return heights
