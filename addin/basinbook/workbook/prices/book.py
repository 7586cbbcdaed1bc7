"""The price book as a file: a workbook with a sheet of suppliers and a sheet of prices."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from basinbook.engine.errors import InputError
from basinbook.files.targets import check_target
from basinbook.files.writing import Unchanged, digest, write_file
from basinbook.units import check_system
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.file.package import package_of, workbook_bytes
from basinbook.workbook.file.readable import check_readable
from basinbook.workbook.file.text_cells import put_text
from basinbook.workbook.prices.offers import FORMS, MARKS, NAMED, Offer, PriceBook, Terms

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_ARGUMENT: Final = "price book"
_SUPPLIERS: Final = "Suppliers"
_PRICES: Final = "Prices"
_TERMS: Final = (
    "Supplier", "E-mail", "Least order", "Delivery, one truckload", "Delivery free from",
    "Payload of a truck", "Decimal sign of its list", "Columns of its list",
)  # fmt: skip
_OFFERS: Final = (
    "Supplier", "Item (as on the Materials sheet)", "Unit", "Sold as", "Content", "From packs",
    "Price of one", "Weight of one", "Deposit on one", "Their code", "Their words", "Date of price",
)  # fmt: skip
_UNITS: Final = "Units of plain numbers"
_WIDTHS: Final = (22, 34, 10, 12, 12, 12, 12, 16, 14, 16, 40, 14)
_HEAD_ROW: Final = 3
_MOST_ROWS: Final = 20_000
_Row = TypeVar("_Row")


def read_book(path: Path) -> PriceBook:
    """Return a price book; raises InputError naming the sheet's cell that can't be used."""
    book = open_workbook(path)
    for title in (_SUPPLIERS, _PRICES):
        if title not in book.sheetnames:
            raise InputError(
                _ARGUMENT, str(path), f"it has no sheet {title}; start one: basinbook prices --new"
            )
    system = check_system(str(book[_SUPPLIERS]["B1"].value or "").strip())
    suppliers = tuple(_read(book[_SUPPLIERS], len(_TERMS), _terms))
    names = [one.name.casefold() for one in suppliers]
    for one in suppliers:
        if names.count(one.name.casefold()) > 1:
            raise InputError(_ARGUMENT, one.name, f"it stands twice on the sheet {_SUPPLIERS}")
    by_name = {one.name.casefold(): one.name for one in suppliers}

    def offer(cells: Sequence[object]) -> Offer:
        return _offer(cells, by_name)

    return PriceBook(system, suppliers, tuple(_read(book[_PRICES], len(_OFFERS), offer)))


def write_book(path: Path, book: PriceBook) -> None:
    """Write a price book into its file, or a new one; other sheets and columns stay.

    Raises InputError where it can't be written, or somebody saved it in the meantime.
    """
    import openpyxl
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    unchanged = None
    if path.exists():
        data = workbook_bytes(path)
        unchanged = Unchanged(path, digest(data))
        check_readable(package_of(path, data))
        file = openpyxl.load_workbook(io.BytesIO(data))
    else:
        check_target(path, replace=False, argument=_ARGUMENT)
        file = openpyxl.Workbook()
        file.worksheets[0].title = _SUPPLIERS
        file.create_sheet(_PRICES)
        for title, heads in ((_SUPPLIERS, _TERMS), (_PRICES, _OFFERS)):
            sheet = file[title]
            for column, (head, width) in enumerate(zip(heads, _WIDTHS, strict=False), start=1):
                titled = sheet.cell(_HEAD_ROW, column, head)
                titled.font = Font(bold=True)
                titled.alignment = Alignment(wrap_text=True, vertical="top")
                sheet.column_dimensions[get_column_letter(column)].width = width
            sheet.freeze_panes = f"B{_HEAD_ROW + 1}"
        file[_SUPPLIERS].cell(1, 1, _UNITS)
        file[_PRICES].cell(1, 1, "One row for each price; an item left blank is not bought.")
    file[_SUPPLIERS].cell(1, 2, book.system)
    _put(file, _SUPPLIERS, [_terms_row(one) for one in book.suppliers])
    _put(file, _PRICES, [_offer_row(one) for one in book.offers])
    buffer = io.BytesIO()
    file.save(buffer)
    write_file(
        path, buffer.getvalue(), replace=unchanged is not None, argument=_ARGUMENT,
        unchanged=unchanged,
    )  # fmt: skip


def _put(file: Workbook, title: str, rows: Sequence[Sequence[object]]) -> None:
    sheet = file[title]
    width = len(_TERMS if title == _SUPPLIERS else _OFFERS)
    for number in range(max(len(rows), sheet.max_row - _HEAD_ROW)):
        values = rows[number] if number < len(rows) else [None] * width
        for column, value in enumerate(values, start=1):
            cell = sheet.cell(_HEAD_ROW + 1 + number, column)
            if isinstance(value, str):
                put_text(cell, value)
            else:
                cell.value = value  # type: ignore[assignment]


def _read(sheet: Worksheet, width: int, made: Callable[[Sequence[object]], _Row]) -> Iterator[_Row]:
    if sheet.max_row > _MOST_ROWS:
        raise InputError(_ARGUMENT, sheet.title, f"it may have {_MOST_ROWS:,} rows")
    for number, cells in enumerate(
        sheet.iter_rows(_HEAD_ROW + 1, max_col=width, values_only=True), start=_HEAD_ROW + 1
    ):
        if all(cell in (None, "") for cell in cells):
            continue
        try:
            yield made(cells)
        except InputError as error:
            raise InputError(
                f"{sheet.title} row {number}, {error.argument}", error.value, error.allowed
            ) from error


def _terms(cells: Sequence[object]) -> Terms:
    name, email, least, delivery, free, payload, mark, columns = cells
    heads = tuple(
        (key.strip(), heading.strip())
        for key, _, heading in (part.partition("=") for part in _words(columns).split(";"))
        if key.strip()
    )
    for key, _ in heads:
        if key not in NAMED:
            raise InputError("Columns of its list", key, f"there are {', '.join(NAMED)}")
    if _words(mark) not in ("", *MARKS):
        raise InputError("Decimal sign of its list", mark, "give . or , or leave it blank")
    return Terms(
        _needed("Supplier", name),
        _words(email),
        _money("Least order", least) or Decimal(0),
        _money("Delivery, one truckload", delivery) or Decimal(0),
        _money("Delivery free from", free),
        _words(payload),
        heads,
        _words(mark) or MARKS[0],
    )


def _offer(cells: Sequence[object], suppliers: dict[str, str]) -> Offer:
    supplier, item, unit, form, content, packs, price, weight, deposit, code, text, date = cells
    name = suppliers.get(_needed("Supplier", supplier).casefold())
    if name is None:
        raise InputError("Supplier", supplier, f"give it a row on the sheet {_SUPPLIERS}")
    if _words(form) not in FORMS:
        raise InputError("Sold as", form, f"there are {', '.join(FORMS)}")
    held, start, asked = (
        _money(head, value)
        for head, value in (("Content", content), ("From packs", packs), ("Price of one", price))
    )
    if not held:
        raise InputError("Content", content, "give a number above 0")
    if start is None or start < 1 or start != start.to_integral_value():
        raise InputError("From packs", packs, "give a whole number, 1 or more")
    if asked is None:
        raise InputError("Price of one", price, "give an amount; a typed 0 is one")
    return Offer(
        name, _words(item), _needed("Unit", unit), _words(form), held, int(start), asked,
        _words(weight), _money("Deposit on one", deposit) or Decimal(0), _words(code),
        _words(text), _words(date),
    )  # fmt: skip


def _words(value: object) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    return "" if value is None else str(value).strip()


def _needed(head: str, value: object) -> str:
    text = _words(value)
    if not text:
        raise InputError(head, value, "fill it in")
    return text


def _money(head: str, value: object) -> Decimal | None:
    if value in (None, ""):
        return None
    if isinstance(value, bool):
        raise InputError(head, value, "give a plain number, 0 or more")
    try:
        # The shortest text of a float is what was typed.
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("nan")
    if not (number.is_finite() and number >= 0):
        raise InputError(head, value, "give a plain number, 0 or more")
    return number


def _terms_row(one: Terms) -> list[object]:
    columns = "; ".join(f"{key}={heading}" for key, heading in one.columns)
    return [
        one.name, one.email or None, _cell(one.least_order), _cell(one.delivery),
        None if one.free_from is None else _cell(one.free_from), one.payload or None, one.mark,
        columns or None,
    ]  # fmt: skip


def _offer_row(one: Offer) -> list[object]:
    return [
        one.supplier, one.item or None, one.unit, one.form, _cell(one.content), one.packs,
        _cell(one.price), one.weight or None, _cell(one.deposit) or None, one.code or None,
        one.text or None, one.date or None,
    ]  # fmt: skip


def _cell(number: Decimal) -> float | int:
    return int(number) if number == number.to_integral_value() else float(number)
