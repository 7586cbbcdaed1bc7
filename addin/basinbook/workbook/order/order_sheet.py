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

from basinbook.engine.errors import InputError
from basinbook.workbook.order.order_reader import SHEET, Box, Order
from basinbook.workbook.order.plain_text import seen_text
from basinbook.workbook.paper.printed_sheet import column_characters, hidden_row

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_MONEY_WORDS = re.compile(
    r"\b(prices?|costs?|costings?|mark-?\s?ups?|profits?|overheads?|(gross|net|our) margin)\b"
    r"|^\s*(margin|extension|subtotal|total)\s*[%:($]*\s*$",
    re.IGNORECASE,
)
_MONEY = re.compile(r"[$€£¥]\s*-?\d|\d\s*[€£¥]")
_LABEL_WORDS = 5
_HIDDEN_CODES = re.compile(r"&\[(Path|File|Picture)\]|&[ZFG]", re.IGNORECASE)


def order_workbook(source: Worksheet, order: Order, to: str) -> bytes:
    """Return the order as an .xlsx file's content.

    Raises InputError naming the cells when a price, cost or markup stands in the printed range.
    """
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = SHEET
    rows, columns = _kept(source, order)
    _copy_merges(source, sheet, rows, columns)
    for cell, target in _pairs(source, sheet, rows, columns):
        _copy_style(cell, target)
        if not _is_merged_away(target) and _is_sent(cell, order):
            value = _sent_value(cell, order, to)
            if isinstance(value, str):
                seen_text(f"{SHEET}!{cell.coordinate}", value)
            _put(target, value)
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


def _sent_value(cell: Any, order: Order, to: str) -> object:
    lines = order.line_range
    if cell.column == lines.left and lines.top <= cell.row <= lines.bottom:
        return 1 + [line.row for line in order.lines].index(cell.row)
    here = Box(SHEET, cell.row, cell.column, cell.row, cell.column)
    if order.email_cell is not None and order.email_cell.has(here):
        return to
    return cell.value


def _put(target: Any, value: object) -> None:
    """Write a value; text is always text, also when it looks like a formula."""
    if not isinstance(value, str):
        target.value = value
        return
    target.value = value
    target.data_type = "s"
    if value.startswith(_FORMULA_STARTS):
        target.quotePrefix = True


def _is_merged_away(target: Any) -> bool:
    from openpyxl.cell.cell import MergedCell

    return isinstance(target, MergedCell)


def _copy_style(cell: Any, target: Any) -> None:
    if not cell.has_style:
        return
    target.font = copy.copy(cell.font)
    if cell.protection.locked:
        # The fill of an open cell only shows where to type, and here nobody types.
        target.fill = copy.copy(cell.fill)
    target.border = copy.copy(cell.border)
    target.alignment = copy.copy(cell.alignment)
    target.number_format = cell.number_format


def _copy_merges(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> None:
    for merged in source.merged_cells.ranges:
        new_rows = [rows[r] for r in range(merged.min_row, merged.max_row + 1) if r in rows]
        new_columns = [
            columns[c] for c in range(merged.min_col, merged.max_col + 1) if c in columns
        ]
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
            if _is_money(re.sub(r"&.", " ", text)):
                raise InputError(f"{SHEET} header or footer", text, _NO_MONEY)
            new = getattr(getattr(sheet, kind), place)
            new.text, new.font, new.size, new.color = text, part.font, part.size, part.color
            written = True
    if not written:
        footer: Any = sheet.oddFooter
        footer.left.text = f"Order {order.number}".replace("&", "&&")
        footer.right.text = "Page &P of &N"


_NO_MONEY = "an order shows no prices, costs or markup; take them out of the print area"


def _refuse_money(
    source: Worksheet, sheet: Worksheet, rows: dict[int, int], columns: dict[int, int]
) -> None:
    found = [
        f"{SHEET}!{cell.coordinate} {target.value}"
        for cell, target in _pairs(source, sheet, rows, columns)
        if _is_money(target.value) or _has_money_format(target)
    ]
    if found:
        raise InputError("order", ", ".join(found), _NO_MONEY)


def _is_money(value: object) -> bool:
    """Return True for an amount of money, and for a short label that announces one.

    A longer sentence may use such a word ("no extra cost for pallets") without giving a figure.
    """
    if not isinstance(value, str):
        return False
    announces = len(value.split()) <= _LABEL_WORDS and _MONEY_WORDS.search(value)
    return bool(announces or _MONEY.search(value))


def _has_money_format(cell: Any) -> bool:
    is_number = isinstance(cell.value, int | float) and not isinstance(cell.value, bool)
    # Format [$-409] names a language only; [$€-407] shows a currency.
    shown = re.sub(r"\[\$-[^\]]*\]", "", cell.number_format)
    return is_number and bool(re.search(r"[$€£¥]|\bUSD|\bEUR|\bGBP", shown))
