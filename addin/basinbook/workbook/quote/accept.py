"""Recording which option the client accepted, and making it the job."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.utils.datetime import to_excel

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Book, Value
from basinbook.files.reading import read_file
from basinbook.files.scratch import temporary_folder
from basinbook.files.writing import Unchanged, digest, write_file
from basinbook.workbook.file.open_workbook import named_cells, open_workbook, sheet_of
from basinbook.workbook.order.write_order import current_copy
from basinbook.workbook.quote.reader import OLDER, SHEET, Offer, Quote, read_quote
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import read_named, recalculate
from basinbook.workbook.recalculation.redraw import redrawing
from basinbook.workbook.recalculation.stored import Stored
from basinbook.workbook.template.costs import TOTAL
from basinbook.workbook.template.inputs import BY_NAME, LAYOUT
from basinbook.workbook.template.job import RECORD
from basinbook.workbook.template.options import MATERIALS, OPTIONS

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_LARGEST: Final = 2_000_000_000
_CENT: Final = 0.005
# A cell of the sheet that has the record of changes.
_OF_RECORD: Final = "Job_revision"
# Columns of the record of changes: date and revision, by whom, agreed with, what.
_RECORDED: Final = (1, 2, 4, 5)


@dataclass(frozen=True)
class Change:
    """An input that the accepted option changes: its label, value before and now."""

    label: str
    before: Value
    now: Value

    def __str__(self) -> str:
        """Return it in words."""
        return f"{self.label}: {_told(self.before)} → {_told(self.now)}"


@dataclass(frozen=True)
class Accepted:
    """What was recorded, and what the job has otherwise now."""

    offer: Offer
    price: str
    date: dt.date
    changes: tuple[Change, ...]
    notes: tuple[str, ...] = ()


def accept(path: Path, option: str, date: str | None = None, *, again: bool = False) -> Accepted:
    """Record the acceptance of an option by its name or number, and make it the job.

    date: such as 2026-05-01 (default: today). The file is replaced in one step, and only where
    the job then comes to the price that was quoted. Raises InputError for an option that is not
    on the quote or has no price, a second acceptance without ``again``, a full record of changes.
    """
    day = _day(date)
    before = Unchanged(path, digest(read_file(path, _LARGEST, "workbook")))
    _refuse_second(Stored(path), option, again)
    with temporary_folder() as scratch:
        current, _, _ = current_copy(path, scratch, {})
        book = open_workbook(current)
        quote = read_quote(book, path)
        offer = _offer(quote, option)
        if offer.price is None:
            raise InputError("option", option, f"it has no price: {offer.no_price}")
        typed, changes = _changes(current, book, offer)
        typed |= _record(current, book, quote, offer, day, changes)
        made = scratch / f"accepted{path.suffix}"
        recalculate(current, out=made, early=(redrawing,), typed=typed)
        total = Stored(made).cells(TOTAL)[0][0]
        if not isinstance(total, (int, float)) or abs(total - offer.price) > _CENT:
            raise InputError(
                "option",
                option,
                f"as the job it would come to {total}, and {quote.money(offer.price)} was quoted: "
                "type its inputs yourself; nothing is written",
            )
        write_file(path, made.read_bytes(), replace=True, argument="workbook", unchanged=before)
    notes: tuple[str, ...] = ()
    if day > quote.until:
        notes = (f"The quote was good until {quote.until.isoformat()}.",)
    return Accepted(offer, quote.money(offer.price), day, changes, notes)


def _day(text: str | None) -> dt.date:
    if text is None:
        return dt.datetime.now().date()
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise InputError("--date", text, "give a date such as 2026-05-01") from error


def _offer(quote: Quote, option: str) -> Offer:
    """Return the option of a name or a number."""
    asked = option.strip().casefold()
    found = [one for one in quote.offers if asked == one.name.casefold()]
    found = found or [one for one in quote.offers if asked == str(one.number)]
    if len(found) == 1:
        return found[0]
    known = ", ".join(f"{one.number} ({one.name})" for one in quote.offers)
    raise InputError("option", option, f"give the number or the name of one on the quote: {known}")


def _refuse_second(stored: Stored, option: str, again: bool) -> None:
    found = [stored.cells(f"Accepted_{key}") for key in ("option", "on", "price")]
    if not all(found):
        raise InputError("workbook", str(stored.path), f"it has no sheet {SHEET!r}: {OLDER}")
    name, day, price = (cells[0][0] for cells in found)
    if name and not again:
        on = f" on {day:%Y-%m-%d}" if isinstance(day, dt.date) else ""
        at = f" at {price:,.2f}" if isinstance(price, (int, float)) else ""
        raise InputError(
            "option", option, f"{name} was accepted{on}{at}; give --again to accept another"
        )


def _changes(
    path: Path, book: Workbook, offer: Offer
) -> tuple[dict[Key, Value], tuple[Change, ...]]:
    """Return what is typed to make an option the job: inputs by cell, and the same in words.

    The layout's inputs are what the Options sheet works out for the option, courses that follow
    from another block's height among them.
    """
    option = OPTIONS[offer.number - 1]
    stored, names = read_named(path)
    layout = {
        str(label[0]): value[0]
        for label, value in zip(
            named_cells(book, "Option_labels"), named_cells(book, option.values), strict=True
        )
    }
    wanted = {given.name: _value(layout.get(given.label)) for given in LAYOUT}
    for name in MATERIALS:
        own = _value(named_cells(book, option.cell(name))[0][0])
        if own is not None:
            wanted[name] = own
    typed, changes = {}, []
    for name, now in wanted.items():
        key = names.places(name)[0][0]
        if _is_formula(stored, key):
            continue
        was = _value(named_cells(book, name)[0][0])
        if now != was:
            typed[key] = now
            changes.append(Change(BY_NAME[name].label, was, now))
    return typed, tuple(changes)


def _is_formula(stored: Book, key: Key) -> bool:
    return coordinate_to_tuple(key[1]) in stored.grids[key[0].upper()].formulas


def _value(value: object) -> Value:
    if value is None or value == "":
        return None
    assert isinstance(value, (str, int, float))
    return value


def _told(value: Value) -> str:
    return "blank" if value is None else str(value)


def _record(
    path: Path,
    book: Workbook,
    quote: Quote,
    offer: Offer,
    day: dt.date,
    changes: tuple[Change, ...],
) -> dict[Key, Value]:
    """Return what is typed into the Quote sheet and into a row of the record of changes."""
    assert offer.price is not None
    cells = _free_row(book)
    _, names = read_named(path)
    serial = float(to_excel(day, names.epoch))  # type: ignore[no-untyped-call]
    before = "; ".join(f"{one.label}: {_told(one.before)}" for one in changes)
    kept: dict[str, Value] = {
        "Accepted_option": offer.name,
        "Accepted_on": serial,
        "Accepted_price": offer.price,
        "Accepted_quote": quote.number,
        "Job_before": before or "as it is",
    }
    typed = {names.places(name)[0][0]: value for name, value in kept.items()}
    revision = named_cells(book, "Job_revision")[0][0]
    by = named_cells(book, "Estimator")[0][0]
    told = f"{offer.name} accepted at {quote.money(offer.price)}, quote {quote.number}"
    row = (
        day.isoformat() + (f", revision {revision}" if revision else ""),
        str(by or quote.sender),
        quote.texts["Quote_client"],
        "; ".join([told, *map(str, changes)]),
    )
    return typed | dict(zip(cells, row, strict=True))


def _free_row(book: Workbook) -> list[Key]:
    """Return the cells of the first blank row of the record of changes."""
    title = sheet_of(book, _OF_RECORD)
    if not title:
        raise InputError("workbook", _OF_RECORD, f"it has no cell of this name: {OLDER}")
    sheet = book[title]
    heads = [cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == RECORD]
    for row in _rows_below(sheet, heads[0] + 2) if heads else ():
        cells = [sheet.cell(row, column) for column in _RECORDED]
        if all(cell.value in (None, "") for cell in cells):
            return [(sheet.title, cell.coordinate) for cell in cells]
    raise InputError(
        "workbook",
        f"{sheet.title} sheet, {RECORD}",
        "it has no blank row; clear one, or copy it elsewhere",
    )


def _rows_below(sheet: Worksheet, first: int) -> Iterator[int]:
    row = first
    while row <= sheet.max_row and not sheet.cell(row, 1).protection.locked:
        yield row
        row += 1
