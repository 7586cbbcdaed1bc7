"""Asking suppliers for prices: one file and one mail draft for each, and reading the answers."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_files
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.file.text_cells import put_text
from basinbook.workbook.order.email_draft import Attachment, checked_address, draft
from basinbook.workbook.order.plain_text import header_text, one_line, seen_text
from basinbook.workbook.order.write_order import file_stem
from basinbook.workbook.prices.offers import Offer, PriceBook, Terms
from basinbook.workbook.prices.purchase import Wanted
from basinbook.workbook.prices.understood import NotUnderstoodError, number

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

SHEET: Final = "Request"
_HEADS: Final = (
    "Line", "Item", "Description", "Quantity", "Unit", "Price of one unit", "Remarks",
)  # fmt: skip
_WIDTHS: Final = (7, 18, 36, 11, 10, 16, 34)
_HEAD_ROW: Final = 6
_XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_MOST_LINES: Final = 500
_ASK: Final = (
    "Please fill in the price of one unit, before tax, and send the file back. Leave a line blank "
    "that you do not sell."
)


@dataclass(frozen=True)
class Asked:
    """The files for one supplier."""

    supplier: str
    workbook: Path
    email: Path


@dataclass(frozen=True)
class Answer:
    """An answered line: what was asked, the price of one unit (None: blank), a remark.

    told: how it differs from what was asked, or why its price can't be read; blank for neither.
    """

    wanted: Wanted
    price: Decimal | None
    remark: str
    told: str


def ask(
    wanted: Sequence[Wanted],
    suppliers: Sequence[Terms],
    *,
    job: str,
    sender: str,
    sender_address: str,
    folder: Path,
    inputs: Sequence[Path] = (),
    force: bool = False,
) -> list[Asked]:
    """Write a request for each supplier: a workbook of values, and a mail draft with it.

    Nothing of the job goes along but its name and the lines: no prices, no other supplier. All
    files are written or none. Raises InputError for a supplier without an address, a text that may
    not stand in a mail, and a file that is there.
    """
    if not suppliers:
        raise InputError("suppliers", None, "name at least one of the price book")
    name = header_text("job", job)
    files: dict[Path, bytes] = {}
    asked = []
    for terms in suppliers:
        if not terms.email:
            raise InputError(
                f"E-mail of {terms.name}", None, "fill it in on the price book's Suppliers sheet"
            )
        to = checked_address(f"E-mail of {terms.name}", terms.email)
        stem = file_stem(f"Request {name} {terms.name}")
        book, mail = folder / f"{stem}.xlsx", folder / f"{stem}.eml"
        content = _workbook(wanted, name)
        files[book] = content
        files[mail] = draft(
            to=to,
            subject=f"Request for prices: {name}",
            body=_mail_text(wanted, name, book.name, one_line(sender)),
            attachments=[Attachment(book.name, content, _XLSX)],
            sender=sender,
            sender_address=sender_address,
        )
        asked.append(Asked(terms.name, book, mail))
    for path in files:
        check_target(path, replace=force, make_folder=True)
        refuse_inputs(path, inputs)
    write_files(files, replace=force)
    return asked


def _mail_text(wanted: Sequence[Wanted], job: str, attached: str, sender: str) -> str:
    lines = [
        f"Please give us your prices for {job}. The lines are in {attached}, too.",
        "",
        *(
            f"{place}. {one.quantity:f} {one_line(one.unit)}: {one_line(one.item)}, "
            f"{one_line(one.name)}"
            for place, one in enumerate(wanted, start=1)
        ),
        "",
        _ASK,
        "",
        sender,
    ]
    return "\n".join(lines).rstrip() + "\n"


def _workbook(wanted: Sequence[Wanted], job: str) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Border, Font, Protection, Side
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = SHEET
    _text(sheet, 1, 1, f"Request for prices: {job}")
    sheet.cell(1, 1).font = Font(bold=True, size=14)
    for row, words in ((2, _ASK), (3, f"Date: {dt.date.today().isoformat()}")):
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=len(_HEADS))
        _text(sheet, row, 1, words)
    line = Side(style="thin", color="808080")
    box = Border(left=line, right=line, top=line, bottom=line)
    for column, (head, width) in enumerate(zip(_HEADS, _WIDTHS, strict=True), start=1):
        _text(sheet, _HEAD_ROW, column, head)
        cell = sheet.cell(_HEAD_ROW, column)
        cell.font = Font(bold=True)
        cell.border = box
        sheet.column_dimensions[get_column_letter(column)].width = width
    for row, one in enumerate(wanted, start=_HEAD_ROW + 1):
        sheet.cell(row, 1, row - _HEAD_ROW)
        for column, text in ((2, one.item), (3, one.name), (5, one.unit)):
            _text(sheet, row, column, seen_text("order", text))
        sheet.cell(row, 4, float(one.quantity))
        for column in range(1, len(_HEADS) + 1):
            cell = sheet.cell(row, column)
            cell.border = box
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if column >= len(_HEADS) - 1:
                cell.protection = Protection(locked=False)
    page = sheet.page_setup
    page.orientation, page.fitToWidth, page.fitToHeight = "landscape", 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True  # type: ignore[union-attr]
    sheet.print_title_rows = f"{_HEAD_ROW}:{_HEAD_ROW}"
    book.properties.creator = None
    book.properties.title = f"Request for prices: {job}"
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _text(sheet: Worksheet, row: int, column: int, text: str) -> None:
    put_text(sheet.cell(row, column), text)


def answered(sent: Path, answer: Path, mark: str) -> list[Answer]:
    """Return the lines of an answered request beside those that were sent.

    mark: decimal sign of prices that were typed as text. Lines are found again by their number;
    one of another item, unit or quantity is told, and one that is missing is blank.
    """
    asked, back = _lines(sent, "request"), _lines(answer, "answer")
    for number_ in back:
        if number_ not in asked:
            raise InputError("answer", f"line {number_}", f"{sent.name} has no such line")
    found = []
    for number_, (wanted, _, _) in asked.items():
        if number_ not in back:
            found.append(Answer(wanted, None, "", "the line is missing"))
            continue
        one, price, remark = back[number_]
        told = _differs(wanted, one)
        value: Decimal | None = None
        try:
            value = _price(price, mark)
        except NotUnderstoodError as error:
            told = "; ".join(filter(None, (told, str(error))))
        found.append(Answer(wanted, value, str(remark or "").strip(), told))
    return found


def _price(cell: object, mark: str) -> Decimal | None:
    if cell is None or (isinstance(cell, str) and not cell.strip()):
        return None
    if isinstance(cell, bool):
        raise NotUnderstoodError(f"price {cell!r}: give one number")
    # A number of a cell has a decimal point, whatever the supplier's program shows.
    return number(str(cell), mark if isinstance(cell, str) else ".", "price")


def _differs(wanted: Wanted, one: Wanted) -> str:
    pairs = (
        ("item", wanted.item, one.item),
        ("description", wanted.name, one.name),
        ("quantity", f"{wanted.quantity:f}", f"{one.quantity:f}"),
        ("unit", wanted.unit, one.unit),
    )
    return "; ".join(f"{what} is {now}, asked was {was}" for what, was, now in pairs if was != now)


def _lines(path: Path, argument: str) -> dict[int, tuple[Wanted, object, object]]:
    book = open_workbook(path)
    if SHEET not in book.sheetnames:
        raise InputError(argument, str(path), f"it has no sheet {SHEET}")
    sheet = book[SHEET]
    heads = tuple(str(sheet.cell(_HEAD_ROW, at).value or "") for at in range(1, len(_HEADS) + 1))
    if heads != _HEADS:
        raise InputError(argument, str(path), f"row {_HEAD_ROW} must read {', '.join(_HEADS)}")
    found: dict[int, tuple[Wanted, object, object]] = {}
    rows = sheet.iter_rows(_HEAD_ROW + 1, max_col=len(_HEADS), values_only=True)
    for line, item, name, quantity, unit, price, remark in rows:
        if line in (None, ""):
            continue
        if not isinstance(line, (int, float)) or line in found or len(found) >= _MOST_LINES:
            raise InputError(argument, line, "number the lines as they were sent")
        if isinstance(quantity, bool) or not isinstance(quantity, (int, float)):
            raise InputError(argument, quantity, f"give line {line} its quantity again")
        held = Decimal(str(quantity)).normalize()
        wanted = Wanted(str(item or ""), str(name or ""), held, str(unit or ""))
        found[int(line)] = wanted, price, remark
    return found


def taken(
    book: PriceBook, terms: Terms, answers: Sequence[Answer], date: dt.date
) -> tuple[PriceBook, Mapping[str, str]]:
    """Return the book with the answered prices as prices of one unit, and what it was before.

    Only lines that are as they were asked are taken.
    """
    before: dict[str, str] = {}
    offers = list(book.offers)
    for one in answers:
        if one.price is None or one.told:
            continue
        fresh = Offer(
            terms.name, one.wanted.name, one.wanted.unit, "single", Decimal(1), 1, one.price,
            text=one.wanted.name, date=date.isoformat(),
        )  # fmt: skip
        at = next(
            (
                place
                for place, old in enumerate(offers)
                if (old.supplier, old.item, old.form, old.content, old.packs)
                == (fresh.supplier, fresh.item, fresh.form, fresh.content, fresh.packs)
            ),
            None,
        )
        if at is None:
            offers.append(fresh)
            before[one.wanted.name] = "none"
        else:
            before[one.wanted.name] = f"{offers[at].price}"
            offers[at] = replace(offers[at], price=fresh.price, date=fresh.date)
    return replace(book, offers=tuple(offers)), before
