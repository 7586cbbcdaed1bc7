"""Recording an order in the job's workbook, so that the next one is the difference to it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import ADD, CANCEL, REDUCE, RETURN
from basinbook.evaluation.book import Value
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target
from basinbook.files.writing import Unchanged, digest, write_file
from basinbook.workbook.file.open_workbook import named_cells, named_places
from basinbook.workbook.order.order_reader import SHEET, Order, OrderLine
from basinbook.workbook.order.seen_values import seen, shown_number
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.recalculation.redraw import redrawing

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

NO_RECORD: Final = "--no-record writes the order without recording it"
NEXT: Final = "Order_next"
CHANGES: Final = "changes only"
ANEW: Final = "all anew"
_ORDERS: Final = ("number", "kind", "supplier", "date", "lines", "to", "hash")
_LINES: Final = ("order", "item", "description", "quantity", "unit", "received")
_SIGNS: Final = {ADD: 1, REDUCE: -1, CANCEL: -1, RETURN: -1}


def keeps_orders(book: Workbook) -> bool:
    """Return whether a workbook has the tables of orders sent; those of older templates do not."""
    return "Orders_number" in book.defined_names


def check_recordable(path: Path) -> None:
    """Raise InputError where the workbook can't be written now, with the way out."""
    try:
        check_target(path)
    except InputError as error:
        raise InputError(
            "workbook",
            str(path),
            f"the order is recorded in it, but {error.allowed.removesuffix(' or give --out')}; "
            f"{NO_RECORD}",
        ) from error


def split_change(item: str) -> tuple[str, str]:
    """Return the word and the item of a line of changes, "" where it has none: Add: Wall block."""
    word, found, rest = item.partition(": ")
    known = word.lower() if found else ""
    return (known, rest) if known in _SIGNS else ("", item)


def record_cells(
    book: Workbook, order: Order, to: str, content: bytes, today: dt.date
) -> dict[Key, Value]:
    """Return what to type where to record an order whose workbook has this content.

    Raises InputError where a table has no room.
    """
    typed: dict[Key, Value] = {}
    day = _field_date(book) or today
    row = (
        order.number, order.kind or "first", order.fields["Order_supplier"], _serial(book, day),
        len(order.lines), to, digest(content),
    )  # fmt: skip
    _put(book, "Orders", _ORDERS, [row], typed)
    _put(book, "Ordered", _LINES, [_line(book, order, one) for one in order.lines], typed)
    for cell in _cells(book, NEXT):
        typed[cell] = CHANGES
    return typed


def next_order_cells(book: Workbook, path: Path) -> dict[Key, Value]:
    """Return what to type for the next order to say everything anew."""
    cells = _cells(book, NEXT)
    if not cells:
        raise InputError("--again", path.name, "it records no orders: leave this out")
    return dict.fromkeys(cells, ANEW)


def write_record(path: Path, read: bytes, typed: Mapping[Key, Value]) -> Unchanged:
    """Type into a workbook that was read with this content, and recalculate it.

    Returned is what it now is. Raises InputError where somebody has saved it since, or has it open.
    """
    with temporary_folder() as scratch:
        copy = scratch / f"copy{path.suffix}"
        copy.write_bytes(read)
        recalculate(copy, typed=typed, early=(redrawing,))
        fresh = copy.read_bytes()
    before = Unchanged(path, digest(read))
    write_file(path, fresh, replace=True, argument="workbook", unchanged=before)
    return Unchanged(path, digest(fresh))


def _line(book: Workbook, order: Order, line: OrderLine) -> tuple[Value, ...]:
    """Return the row of a line: as it was sent, with a description that was hidden there."""
    word, item = split_change(line.item) if order.kind else ("", line.item)
    found = shown_number(line.quantity)
    assert found is not None
    quantity = float(found.number) * _SIGNS.get(word, 1)
    description = seen(book[SHEET].cell(line.row, order.line_range.left + 2)).text
    # What goes back has come; it is gone once the order says so.
    back = next(
        (
            float(str(row[6]))
            for row in named_cells(book, "Order_changes")
            if word == RETURN and row[:3] == (item, description, line.unit)
        ),
        0.0,
    )
    return order.number, item, description, quantity, line.unit, -back if back else None


def _put(
    book: Workbook,
    table: str,
    columns: Sequence[str],
    rows: Sequence[Sequence[Value]],
    typed: dict[Key, Value],
) -> None:
    """Put rows below the last one of a table that has something."""
    places = [_cells(book, f"{table}_{column}") for column in columns]
    values = [[book[sheet][at].value for sheet, at in column] for column in places]
    taken = [
        n for n, row in enumerate(zip(*values, strict=True), 1) if any(_filled(c) for c in row)
    ]
    first = max(taken, default=0)
    room = len(places[0]) - first
    if room < len(rows):
        raise InputError(
            "workbook",
            f"table {table} of the sheet {places[0][0][0]}",
            f"it has room for {room} of {len(rows)} rows more: insert rows before its last one, or "
            f"take out those of orders that are done; {NO_RECORD}",
        )
    for n, row in enumerate(rows, first):
        for column, value in zip(places, row, strict=True):
            typed[column[n]] = value


def _filled(value: object) -> bool:
    return value not in (None, "")


def _cells(book: Workbook, name: str) -> list[Key]:
    from openpyxl.utils.cell import rows_from_range

    return [
        (sheet, row[0])
        for sheet, area in named_places(name, book.defined_names.get(name))
        for row in rows_from_range(area.replace("$", ""))
    ]


def _field_date(book: Workbook) -> dt.date | None:
    for sheet, at in _cells(book, "Order_date"):
        value = book[sheet][at].value
        if isinstance(value, dt.datetime):
            return value.date()
    return None


def _serial(book: Workbook, day: dt.date) -> float:
    from openpyxl.utils.datetime import to_excel

    return float(to_excel(day, epoch=book.epoch))  # type: ignore[no-untyped-call]
