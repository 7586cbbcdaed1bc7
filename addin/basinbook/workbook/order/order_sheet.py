"""The order workbook that is sent: one sheet of values and formats, and nothing behind them.

It is built up from an empty workbook, cell by cell, so that formulas, comments, links, names,
other sheets and the author can't come along; what is hidden in the source is left out.
"""

from __future__ import annotations

import copy
import io
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from openpyxl.worksheet.cell_range import MultiCellRange

from basinbook.engine.errors import InputError
from basinbook.workbook.file.text_cells import put_text
from basinbook.workbook.order.money import NO_MONEY, shows_money
from basinbook.workbook.order.order_reader import SHEET, Box, Order
from basinbook.workbook.order.plain_text import seen_text
from basinbook.workbook.order.readable import (
    CONDITIONAL,
    LEAST_CONTRAST,
    SMALLEST,
    contrast,
    theme_palette,
    too_narrow,
    unseen_reason,
)
from basinbook.workbook.order.seen_values import Seen, seen
from basinbook.workbook.order.sheet_looks import SheetLooks
from basinbook.workbook.paper.cell_colour import Palette, rgb
from basinbook.workbook.paper.printed_sheet import column_characters, hidden_row

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

# Sizes and colours inside a header's text.
_LOOK_CODES = re.compile(r"&(K|\d)")
_HIDDEN_CODES = re.compile(r"&\[(Path|File|Picture)\]|&[ZFG]", re.IGNORECASE)


def order_workbook(source: Worksheet, order: Order, to: str, looks: SheetLooks) -> bytes:
    """Return the order as an .xlsx file's content: what the sheet shows, and nothing else.

    Raises InputError naming the cells when a price, cost or markup stands in the printed range,
    and when a text in it is there but not seen.
    """
    from openpyxl import Workbook

    assert source.parent is not None
    palette = theme_palette(source.parent)

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = SHEET
    rows, columns = _kept(source, order)
    _copy_merges(source, sheet, rows, columns)
    for cell, target in _pairs(source, sheet, rows, columns):
        _copy_style(cell, target, palette)
        if _is_merged_away(target) or not _is_sent(cell, order):
            continue
        shown = _sent(cell, order, to)
        if shown.text:
            seen_text(f"{SHEET}!{cell.coordinate}", shown.text)
            _refuse_unseen(cell, palette, looks)
            _put(target, shown)
    _refuse_money(source, sheet, rows, columns)
    _copy_sizes(source, sheet, rows, columns)
    _copy_page(source, sheet, order, rows)
    book.properties.creator = None
    book.properties.lastModifiedBy = None
    book.properties.title = f"Order {order.number}"
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _kept(source: Worksheet, order: Order) -> tuple[dict[int, int], dict[int, int]]:
    """Return the new row of each source row that is sent, and likewise for columns."""
    ordered = {line.row for line in order.lines}
    lines, area = order.line_range, order.area
    rows = [
        row
        for row in range(area.top, area.bottom + 1)
        if row in ordered or not (hidden_row(source, row) or lines.top <= row <= lines.bottom)
    ]
    widths = column_characters(source)
    columns = [c for c in range(area.left, area.right + 1) if widths.get(c, 1) != 0]
    return (
        {row: i for i, row in enumerate(rows, 1)},
        {column: i for i, column in enumerate(columns, 1)},
    )


def _pairs(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> Iterator[tuple[Any, Any]]:
    for row, new_row in rows.items():
        for column, new_column in columns.items():
            yield source.cell(row, column), sheet.cell(new_row, new_column)


def _is_sent(cell: Any, order: Order) -> bool:
    """Beside the order lines nothing is sent: what stands there is the estimator's own."""
    lines = order.line_range
    beside = lines.top <= cell.row <= lines.bottom
    return not beside or lines.left <= cell.column <= lines.right


def _sent(cell: Any, order: Order, to: str) -> Seen:
    lines = order.line_range
    if cell.column == lines.left and lines.top <= cell.row <= lines.bottom:
        number = 1 + [line.row for line in order.lines].index(cell.row)
        return Seen(str(number), number, "0")
    here = Box(SHEET, cell.row, cell.column, cell.row, cell.column)
    if order.email_cell is not None and order.email_cell.has(here):
        return Seen(to, to)
    if order.number_cell is not None and order.number_cell.has(here):
        return Seen(order.number, order.number)
    return seen(cell)


def _refuse_unseen(cell: Any, palette: Palette, looks: SheetLooks) -> None:
    sheet = cell.parent
    width = column_characters(sheet).get(cell.column, sheet.sheet_format.defaultColWidth)
    reason = unseen_reason(cell, palette, looks.runs)
    if reason is None and cell.coordinate in MultiCellRange(looks.conditions):
        reason = CONDITIONAL
    if reason is None and too_narrow(sheet, cell.row, width) and not _is_merged(cell):
        reason = "its row or column is too small to show it"
    if reason is not None:
        raise InputError(
            f"{SHEET}!{cell.coordinate}",
            cell.value,
            f"{reason}; make it plain to see, or clear it: what is sent has to be seen here",
        )


def _is_merged(cell: Any) -> bool:
    return any(cell.coordinate in merged for merged in cell.parent.merged_cells.ranges)


def _put(target: Any, shown: Seen) -> None:
    """Write what is seen; text is always text, also when it looks like a formula."""
    target.number_format = shown.number_format
    if isinstance(shown.value, str):
        put_text(target, shown.value)
    else:
        target.value = shown.value


def _is_merged_away(target: Any) -> bool:
    from openpyxl.cell.cell import MergedCell

    return isinstance(target, MergedCell)


def _copy_style(cell: Any, target: Any, palette: Palette) -> None:
    if not cell.has_style:
        return
    target.font = _in_plain_colours(cell.font, ("color",), palette)
    if cell.protection.locked:
        # The fill of an open cell only shows where to type, and here nobody types.
        target.fill = _in_plain_colours(cell.fill, ("fgColor", "bgColor"), palette)
    target.border = copy.copy(cell.border)
    target.alignment = copy.copy(cell.alignment)


def _in_plain_colours(look: Any, names: tuple[str, ...], palette: Palette) -> Any:
    """Copy a font or fill with colours of its own: the order has the standard theme."""
    from openpyxl.styles.colors import Color

    plain = copy.copy(look)
    for name in names:
        colour = getattr(plain, name, None)
        if colour is not None and colour.type != "rgb" and (found := rgb(colour, palette)):
            setattr(plain, name, Color(rgb=f"FF{found}"))
    return plain


def _copy_merges(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> None:
    for merged in source.merged_cells.ranges:
        new_rows = [rows[r] for r in range(merged.min_row, merged.max_row + 1) if r in rows]
        new_columns = [
            columns[c] for c in range(merged.min_col, merged.max_col + 1) if c in columns
        ]
        corner = source.cell(merged.min_row, merged.min_col)
        hidden = merged.min_row not in rows or merged.min_col not in columns
        if new_rows and new_columns and hidden and corner.value is not None:
            raise InputError(
                f"{SHEET}!{merged.coord}",
                corner.value,
                "the first row or column of these merged cells is hidden; show it",
            )
        if len(new_rows) * len(new_columns) > 1:
            sheet.merge_cells(
                start_row=new_rows[0],
                end_row=new_rows[-1],
                start_column=new_columns[0],
                end_column=new_columns[-1],
            )


def _copy_sizes(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> None:
    from openpyxl.utils import get_column_letter

    widths = column_characters(source)
    for column, new_column in columns.items():
        if column in widths:
            sheet.column_dimensions[get_column_letter(new_column)].width = widths[column]
    sheet.sheet_format.defaultColWidth = source.sheet_format.defaultColWidth
    sheet.sheet_format.baseColWidth = source.sheet_format.baseColWidth
    sheet.sheet_format.defaultRowHeight = source.sheet_format.defaultRowHeight
    for row, new_row in rows.items():
        if row in source.row_dimensions and source.row_dimensions[row].height:
            sheet.row_dimensions[new_row].height = source.row_dimensions[row].height
    sheet.sheet_view.showGridLines = source.sheet_view.showGridLines


def _copy_page(source: Worksheet, sheet: Worksheet, order: Order, rows: dict[int, int]) -> None:
    setup = source.page_setup
    for name in ("orientation", "paperSize", "scale", "fitToWidth", "fitToHeight"):
        setattr(sheet.page_setup, name, getattr(setup, name))
    fit = source.sheet_properties.pageSetUpPr
    sheet.sheet_properties.pageSetUpPr = copy.copy(fit)
    sheet.page_margins = copy.copy(source.page_margins)
    for name in ("horizontalCentered", "verticalCentered", "gridLines"):
        setattr(sheet.print_options, name, getattr(source.print_options, name))
    sheet.print_area = f"A1:{sheet.cell(sheet.max_row, sheet.max_column).coordinate}"
    if source.print_title_rows:
        first, _, last = source.print_title_rows.replace("$", "").partition(":")
        titles = [rows[r] for r in range(int(first), int(last or first) + 1) if r in rows]
        if titles:
            sheet.print_title_rows = f"{titles[0]}:{titles[-1]}"
    _copy_margin_texts(source, sheet, order)


def _copy_margin_texts(source: Worksheet, sheet: Worksheet, order: Order) -> None:
    """Copy header and footer without the file's name, path and picture."""
    written = False
    for kind in ("oddHeader", "oddFooter"):
        for place in ("left", "center", "right"):
            part = getattr(getattr(source, kind), place)
            text = _HIDDEN_CODES.sub("", part.text or "")
            if not text.strip():
                continue
            if shows_money(re.sub(r"&.", " ", text)):
                raise InputError(f"{SHEET} header or footer", text, NO_MONEY)
            pale = part.color and contrast(str(part.color)[-6:], "FFFFFF") < LEAST_CONTRAST
            if pale or (part.size and part.size < SMALLEST) or _LOOK_CODES.search(text):
                raise InputError(
                    f"{SHEET} header or footer", text, "write it in one size and colour to be seen"
                )
            new = getattr(getattr(sheet, kind), place)
            new.text, new.font, new.size, new.color = text, part.font, part.size, part.color
            written = True
    if not written:
        footer: Any = sheet.oddFooter
        footer.left.text = f"Order {order.number}".replace("&", "&&")
        footer.right.text = "Page &P of &N"


def _refuse_money(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> None:
    found = [
        f"{SHEET}!{cell.coordinate} {target.value}"
        for cell, target in _pairs(source, sheet, rows, columns)
        if isinstance(target.value, str) and shows_money(target.value)
    ]
    if found:
        raise InputError("order", ", ".join(found), NO_MONEY)
