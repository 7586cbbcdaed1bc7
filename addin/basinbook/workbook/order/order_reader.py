"""Read the order out of a recalculated workbook, and refuse one that can't be sent."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import named_area, named_places, sheet_of
from basinbook.workbook.order.money import NO_MONEY, shows_amount
from basinbook.workbook.order.plain_text import header_text, seen_text
from basinbook.workbook.order.readable import theme_palette, unseen_reason
from basinbook.workbook.order.seen_values import seen, shown_number
from basinbook.workbook.paper.printed_sheet import column_characters, hidden_row, print_ranges

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

SHEET = "Order"
LINES = "Order_lines"
HEADINGS = ("Line", "Item", "Description", "Quantity", "Unit", "Note")
REQUIRED = ("Order_number", "Order_supplier", "Job_name")
OPTIONAL = (
    "Order_date",
    "Order_needed_by",
    "Order_supplier_email",
    "Order_sender",
    "Order_sender_email",
    "Order_deliver_to",
    "Job_revision",
)
# Of a workbook that records its orders: the number of this one, and what it is to those before.
NUMBER, KIND = "Order_this_number", "Order_this_kind"
# They may stand in a header of the mail or in a file's name: one line each, plain letters.
_ONE_LINE = (
    "Order_number",
    "Order_supplier",
    "Order_sender",
    "Job_name",
    "Job_revision",
    NUMBER,
    KIND,
)
_ADDRESSES = ("Order_supplier_email", "Order_sender_email")
_ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A", "#SPILL!", "#CALC!")
_RANGE = re.compile(r"\$?[A-Z]{1,3}\$?\d+(:\$?[A-Z]{1,3}\$?\d+)?")
_MOST_ROWS = 2000
_MOST_COLUMNS = 100
FIRST = "first"
_FROM_TEMPLATE = "start from a workbook made by `basinbook new`, or put it back"


@dataclass(frozen=True)
class Box:
    """A range of one sheet: first and last row and column, counted from 1."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    def has(self, other: Box) -> bool:
        """Return True when the other range lies inside this one."""
        return (
            self.sheet == other.sheet
            and self.top <= other.top
            and self.left <= other.left
            and self.bottom >= other.bottom
            and self.right >= other.right
        )


@dataclass(frozen=True)
class OrderLine:
    """One line to order, as it is shown on the sheet; ``row`` is its row in the workbook."""

    row: int
    item: str
    description: str
    quantity: str
    unit: str
    note: str


@dataclass(frozen=True)
class Order:
    """What is ordered, from whom and for which job, as text; ``area`` is the printed range.

    ``number_cell`` is where the number is typed, of which this order's own is made.
    """

    fields: dict[str, str]
    lines: tuple[OrderLine, ...]
    area: Box
    line_range: Box
    email_cell: Box | None
    number_cell: Box | None

    @property
    def number(self) -> str:
        """The order's number."""
        return self.fields.get(NUMBER) or self.fields["Order_number"]

    @property
    def kind(self) -> str:
        """What it is to the orders before, such as "adds to BB-104"; blank for the first."""
        kind = self.fields.get(KIND, "")
        return "" if kind == FIRST else kind

    @property
    def job(self) -> str:
        """The job's name."""
        return self.fields["Job_name"]


def read_order(workbook: Workbook, path: Path) -> Order:
    """Return the order in a workbook loaded with its cached values.

    Raises InputError for a missing sheet or name, for an error value anywhere in the printed
    range, a quantity that is no number of 0 or more, a line with no item or unit, and no lines.
    """
    sheet = order_sheet(workbook, path)
    area = print_area(sheet)
    line_range = named_range(workbook, LINES)
    if line_range.right - line_range.left + 1 != len(HEADINGS) or not area.has(line_range):
        raise InputError(
            LINES,
            f"{line_range.sheet}!{_reference(line_range)}",
            f"it must be the columns {', '.join(HEADINGS)} inside the print area of {SHEET!r}",
        )
    _refuse_errors(sheet, area)
    fields = {name: _field(workbook, name) for name in _names(workbook)}
    for name in REQUIRED:
        if not fields[name]:
            raise InputError(name, None, f"fill in its cell, {_reference_of(workbook, name)}")
    # What an order is, a first one or one that adds to it, is known once no line is missing.
    if fields.get(KIND) == "":
        raise InputError(
            "order", fields["Order_number"],
            "lines of it are missing, as the Order sheet says; fill in what they lack",
        )  # fmt: skip
    _refuse_hidden(sheet, line_range)
    _refuse_shared_cells(sheet, line_range)
    lines = tuple(
        line
        for row in range(line_range.top, line_range.bottom + 1)
        if (line := _line(sheet, row, line_range.left))
    )
    if not lines and fields.get(KIND, "").startswith("adds"):
        raise InputError(
            "order",
            fields["Order_number"],
            f"nothing is to be ordered: it {fields[KIND]}, and all that the job needs was ordered. "
            "Change the job first; --again sends a whole order that replaces those before",
        )
    if not lines:
        raise InputError(LINES, _reference(line_range), "give at least one line a quantity above 0")
    email, number = (
        box if area.has(box) else None
        for box in (named_range(workbook, n) for n in ("Order_supplier_email", "Order_number"))
    )
    return Order(fields, lines, area, line_range, email, number)


def _names(workbook: Workbook) -> tuple[str, ...]:
    own = (name for name in (NUMBER, KIND) if name in workbook.defined_names)
    return (*REQUIRED, *OPTIONAL, *own)


def shown_cells(workbook: Workbook, path: Path) -> tuple[Box, ...]:
    """Return the ranges whose values the order shows."""
    names = (named_range(workbook, name) for name in _names(workbook))
    return (print_area(order_sheet(workbook, path)), *names)


def cell_box(sheet: str, cell: str) -> Box:
    """Return one cell, such as "D12", as a range."""
    from openpyxl.utils.cell import coordinate_to_tuple

    row, column = coordinate_to_tuple(cell)
    return Box(sheet, row, column, row, column)


def order_sheet(workbook: Workbook, path: Path) -> Worksheet:
    """Return the sheet that is sent."""
    if SHEET not in workbook.sheetnames:
        called = sheet_of(workbook, LINES)
        what = f"give its sheet {called!r} this name again" if called else _FROM_TEMPLATE
        raise InputError("workbook", str(path), f"it needs a sheet {SHEET!r}; {what}")
    sheet = workbook[SHEET]
    if sheet.sheet_state != "visible":
        raise InputError("workbook", str(path), f"its sheet {SHEET!r} is hidden; show it")
    return sheet


def print_area(sheet: Worksheet) -> Box:
    """Return the sheet's print area, which has to be one range."""
    ranges = print_ranges(sheet)
    if len(ranges) != 1 or not _RANGE.fullmatch(ranges[0]):
        raise InputError(
            f"print area of {sheet.title!r}",
            ", ".join(ranges),
            f"set one range to print, which is what is sent; {_FROM_TEMPLATE}",
        )
    area = _box(sheet.title, ranges[0])
    rows, columns = area.bottom - area.top + 1, area.right - area.left + 1
    if rows > _MOST_ROWS or columns > _MOST_COLUMNS:
        raise InputError(
            f"print area of {sheet.title!r}",
            ranges[0],
            f"at most {_MOST_ROWS:,} rows and {_MOST_COLUMNS} columns can be sent",
        )
    return area


def named_range(workbook: Workbook, name: str) -> Box:
    """Return the range that a defined name stands for."""
    scoped = workbook[SHEET].defined_names
    found = scoped.get(name) or workbook.defined_names.get(name)
    targets = named_places(name, found)
    if (
        len(targets) != 1
        or targets[0][0] not in workbook.sheetnames
        or not _RANGE.fullmatch(targets[0][1])
    ):
        raise InputError(
            f"name {name}",
            found.attr_text if found is not None else None,
            f"the workbook must define it as one range; {_FROM_TEMPLATE}",
        )
    title, reference = targets[0]
    return _box(title, reference)


def _box(title: str, reference: str) -> Box:
    left, top, right, bottom = named_area(title, reference)
    return Box(title, top, left, bottom, right)


def _reference(box: Box) -> str:
    from openpyxl.utils import get_column_letter

    first = f"{get_column_letter(box.left)}{box.top}"
    last = f"{get_column_letter(box.right)}{box.bottom}"
    return first if first == last else f"{first}:{last}"


def _reference_of(workbook: Workbook, name: str) -> str:
    box = named_range(workbook, name)
    return f"{box.sheet}!{_reference(box)}"


def is_error(cell: Any) -> bool:
    """Return True when the cell holds an error value."""
    return cell.data_type == "e" or (isinstance(cell.value, str) and cell.value in _ERRORS)


def _refuse_errors(sheet: Worksheet, area: Box) -> None:
    wrong = [
        f"{sheet.title}!{cell.coordinate} {cell.value}"
        for row in sheet.iter_rows(area.top, area.bottom, area.left, area.right)
        for cell in row
        if is_error(cell)
    ]
    if wrong:
        raise InputError("order", ", ".join(wrong), "clear up the errors these cells show first")


def _field(workbook: Workbook, name: str) -> str:
    box = named_range(workbook, name)
    cell = workbook[box.sheet].cell(box.top, box.left)
    if is_error(cell):
        raise InputError(name, cell.value, f"clear up the error in {_reference_of(workbook, name)}")
    text = shown(cell)
    where = f"{name} ({box.sheet}!{cell.coordinate})"
    reason = unseen_reason(cell, theme_palette(workbook), {}) if text else None
    if reason is not None:
        raise InputError(where, text, f"{reason}; make it plain to see")
    if shows_amount(text):
        raise InputError(where, text, NO_MONEY)
    if name in _ONE_LINE:
        return header_text(where, text)
    # Addresses are checked where it is known which of them are used.
    return text if name in _ADDRESSES else seen_text(where, text)


def shown(cell: Any) -> str:
    """Return the cell's value as the sheet shows it."""
    return seen(cell).text


def _line(sheet: Worksheet, row: int, left: int) -> OrderLine | None:
    """Return the line in a row; None when it orders nothing."""
    _, item, description, quantity, unit, note = (sheet.cell(row, left + i) for i in range(6))
    if not _orders_something(quantity):
        return None
    if hidden_row(sheet, row):
        raise InputError(
            f"{SHEET}!{quantity.coordinate} Quantity",
            quantity.value,
            "its row is hidden; show the row, or clear the quantity to order nothing",
        )
    for cell, heading in ((item, "Item"), (unit, "Unit")):
        if not shown(cell):
            raise InputError(f"{SHEET}!{cell.coordinate} {heading}", None, "fill it in")
    widths = column_characters(sheet)
    description_text, note_text = (
        "" if widths.get(left + i) == 0 else shown(cell)
        for i, cell in ((2, description), (5, note))
    )
    return OrderLine(row, shown(item), description_text, shown(quantity), shown(unit), note_text)


def _refuse_hidden(sheet: Worksheet, lines: Box) -> None:
    """A hidden description or note isn't sent; with any other column hidden nothing is."""
    widths = column_characters(sheet)
    for i, heading in enumerate(HEADINGS):
        if heading in ("Item", "Quantity", "Unit") and widths.get(lines.left + i) == 0:
            raise InputError(f"{SHEET} column {heading}", "hidden", "show the column")


def _refuse_shared_cells(sheet: Worksheet, lines: Box) -> None:
    """A cell merged over several lines belongs to none of them for certain."""
    for merged in sheet.merged_cells.ranges:
        area = Box(sheet.title, merged.min_row, merged.min_col, merged.max_row, merged.max_col)
        first, last = max(area.top, lines.top), min(area.bottom, lines.bottom)
        beside = area.right < lines.left or area.left > lines.right
        if first <= last and area.top < area.bottom and not beside:
            raise InputError(
                f"{SHEET}!{_reference(area)}", "merged", "give each order line cells of its own"
            )


def _orders_something(cell: Any) -> bool:
    value = cell.value
    if value is None or (isinstance(value, str) and not value.strip()):
        return False
    argument = f"{SHEET}!{cell.coordinate} Quantity"
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not math.isfinite(value) or value < 0:
        raise InputError(
            argument, value, "give a number of 0 or more, or leave it blank to order nothing"
        )
    text = shown(cell)
    found = shown_number(text)
    if value == 0:
        if found is not None and found.number != 0:
            raise InputError(argument, value, f"the sheet shows it as {text!r}; {_AS_NUMBER}")
        return False
    # The half of a number's last step, and what binary numbers miss of it.
    if (
        found is None
        or found.number <= 0
        or abs(Fraction(value) - found.number) > found.half_step * (1 + Fraction(1, 10**6))
    ):
        raise InputError(argument, value, f"the sheet shows it as {text!r}; {_AS_NUMBER}")
    return True


_AS_NUMBER = "set a number format that shows it as a plain number, with enough decimals"
