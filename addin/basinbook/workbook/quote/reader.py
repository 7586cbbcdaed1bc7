"""Reading the quote off its sheet: by the names of its cells, as text that may be sent."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import named_area, named_places, sheet_of
from basinbook.workbook.order.money import shows_rate
from basinbook.workbook.order.order_reader import is_error
from basinbook.workbook.order.plain_text import header_text, seen_text
from basinbook.workbook.paper.printed_sheet import hidden_row

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

SHEET: Final = "Quote"
COMPLETE: Final = "Inputs complete"
_PROBLEM: Final = "Quote_problem"
OLDER: Final = "bring it up to date with basinbook convert FILE --current"
# What a client is not told, beside the supplier's name.
_OURS: Final = re.compile(
    r"\b(mark-?\s?ups?|profits?|overheads?|(gross|net|our) margin|our costs?|cost price|"
    r"trade price|labou?r rate)\b",
    re.IGNORECASE,
)
_NOT_TOLD: Final = "a quote shows no cost, rate, markup or supplier; write it otherwise"
_SHORTEST_NAME: Final = 4
_NAMES: Final = (
    "Quote_number_used", "Quote_job", "Quote_client", "Quote_address", "Quote_site",
    "Quote_from_used", "Quote_sender_address", "Quote_from_email_used", "Quote_client_email",
    "Quote_greeting", "Quote_closing", "Quote_block_colour", "Quote_cap_colour", "Currency",
)  # fmt: skip
# They may stand in a header of the mail or in a file's name.
_ONE_LINE: Final = ("Quote_number_used", "Quote_job", "Quote_client", "Quote_from_used", "Currency")
_ROWS: Final = (
    "Quote_option_names", "Quote_offered", "Quote_differs", "Quote_outside", "Quote_water",
    "Quote_before_tax", "Quote_tax", "Quote_prices", "Quote_no_price",
)  # fmt: skip
_LISTS: Final = (
    "Quote_scope", "Quote_sizes", "Quote_materials", "Quote_left_out", "Quote_left_out_own_words",
    "Quote_season", "Quote_upkeep_words", "Quote_assumption_words", "Quote_step_name",
    "Quote_step_share", "Quote_step_amounts",
)  # fmt: skip
READ: Final = (
    *_NAMES, *_ROWS, *_LISTS, "Quote_problem", "Quote_date_used", "Quote_valid_until", "Units",
    "Order_supplier", "Order_supplier_email",
)  # fmt: skip
"""Names of all that a quote is made of."""


class Offer(NamedTuple):
    """An option on the quote; ``number`` as on the Options sheet; money to the cent, None: none."""

    number: int
    name: str
    differs: str
    outside: str
    water: str
    before_tax: float | None
    tax: float | None
    price: float | None
    no_price: str
    amounts: tuple[float | None, ...]


@dataclass(frozen=True)
class Quote:
    """What is quoted, to whom, until when, as text."""

    texts: dict[str, str]
    date: dt.date
    until: dt.date
    system: str
    offers: tuple[Offer, ...]
    steps: tuple[tuple[str, float], ...]
    lists: dict[str, tuple[tuple[str, ...], ...]]

    @property
    def number(self) -> str:
        """The quote's number."""
        return self.texts["Quote_number_used"]

    @property
    def job(self) -> str:
        """The job's name."""
        return self.texts["Quote_job"]

    @property
    def sender(self) -> str:
        """Who quotes."""
        return self.texts["Quote_from_used"]

    def sentences(self, *names: str) -> list[str]:
        """Return the texts of lists of sentences."""
        return [row[0] for name in names for row in self.lists[name]]

    def money(self, amount: float) -> str:
        """Return an amount as it is written."""
        return f"{self.texts['Currency']} {amount:,.2f}".strip()

    def day(self, day: dt.date) -> str:
        """Return a date as clients of this unit system read it, its month in letters."""
        month = f"{day:%B}"
        plain = f"{day.day} {month} {day.year}"
        return plain if self.system == "metric" else f"{month} {day.day}, {day.year}"


def read_quote(book: Workbook, path: Path) -> Quote:
    """Return the quote of a workbook that is read with its stored values.

    Raises InputError for a workbook without the sheet, a quote that lacks something, an error in
    its cells, and a text that may not be sent: unseen characters, words on costs, the supplier.
    """
    return _Reader(book, path).read()


class _Reader:
    def __init__(self, book: Workbook, path: Path) -> None:
        sheet = sheet_of(book, _PROBLEM)
        if not sheet:
            raise InputError("workbook", str(path), f"it has no sheet {SHEET!r}: {OLDER}")
        if book[sheet].sheet_state != "visible":
            raise InputError("workbook", str(path), f"its sheet {sheet!r} is hidden; show it")
        self._book = book
        self._path = path
        supplied = (self._value("Order_supplier"), self._value("Order_supplier_email"))
        self._suppliers = [
            text.casefold()
            for value in supplied
            if len(text := str(value or "").strip()) >= _SHORTEST_NAME
        ]

    def read(self) -> Quote:
        problem = self._value(_PROBLEM)
        if problem != COMPLETE:
            why = str(problem or "its sheet is not calculated")
            raise InputError("quote", self._path.name, f"its Quote sheet is not ready: {why}")
        texts = {name: self._named_text(name) for name in _NAMES}
        lists = {
            name: tuple(self._list(name))
            for name in _LISTS
            if name not in ("Quote_step_name", "Quote_step_share", "Quote_step_amounts")
        }
        shown = [k for k, row in enumerate(self._rows("Quote_step_name")) if row[0].value]
        shares = [_number(row[0].value) for row in self._rows("Quote_step_share")]
        names = [row[0] for row in self._rows("Quote_step_name")]
        steps = tuple((self._text(names[k]), shares[k] or 0.0) for k in shown)
        return Quote(
            texts,
            self._day("Quote_date_used"),
            self._day("Quote_valid_until"),
            str(self._value("Units")),
            tuple(self._offers(shown)),
            steps,
            lists,
        )

    def _offers(self, steps: list[int]) -> Iterator[Offer]:
        rows = {name: self._rows(name)[0] for name in _ROWS}
        amounts = self._rows("Quote_step_amounts")
        for k, offered in enumerate(rows["Quote_offered"]):
            if offered.value != "yes":
                continue
            price = _number(rows["Quote_prices"][k].value)
            yield Offer(
                k + 1,
                self._text(rows["Quote_option_names"][k]),
                self._text(rows["Quote_differs"][k]),
                self._text(rows["Quote_outside"][k]),
                self._text(rows["Quote_water"][k]),
                _number(rows["Quote_before_tax"][k].value),
                _number(rows["Quote_tax"][k].value),
                price,
                "" if price is not None else self._text(rows["Quote_no_price"][k]),
                tuple(_number(amounts[step][k].value) for step in steps),
            )

    def _rows(self, name: str) -> list[tuple[Any, ...]]:
        """Return the cells of a name, row by row."""
        places = named_places(name, self._book.defined_names.get(name))
        if len(places) != 1 or places[0][0] not in self._book.sheetnames:
            raise InputError("workbook", str(self._path), f"it has no cells {name}: {OLDER}")
        sheet, area = places[0]
        left, top, right, bottom = named_area(name, area)
        rows = list(self._book[sheet].iter_rows(top, bottom, left, right))
        for cell in (cell for row in rows for cell in row):
            if is_error(cell):
                raise InputError(f"{sheet}!{cell.coordinate}", cell.value, "clear up the error")
        return rows

    def _value(self, name: str) -> object:
        return self._rows(name)[0][0].value

    def _list(self, name: str) -> Iterator[tuple[str, ...]]:
        """Yield the rows of a list that say something and are not hidden."""
        for row in self._rows(name):
            texts = tuple(self._text(cell) for cell in row)
            if texts[-1] and not hidden_row(row[0].parent, row[0].row):
                yield texts

    def _named_text(self, name: str) -> str:
        return self._text(self._rows(name)[0][0], name)

    def _text(self, cell: Any, name: str = "") -> str:
        """Return a cell's text; raise InputError where it may not be sent."""
        value = cell.value
        text = f"{value:g}" if isinstance(value, float) else str("" if value is None else value)
        where = f"{cell.parent.title}!{cell.coordinate}"
        where = f"{name} ({where})" if name else where
        text = header_text(where, text) if name in _ONE_LINE else seen_text(where, text.strip())
        plain = text.casefold()
        if _OURS.search(text) or shows_rate(text) or any(own in plain for own in self._suppliers):
            raise InputError(where, text, _NOT_TOLD)
        return text

    def _day(self, name: str) -> dt.date:
        value = self._value(name)
        if isinstance(value, dt.datetime):
            return value.date()
        if isinstance(value, dt.date):
            return value
        raise InputError(name, value, "give a date such as 2026-05-01")


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return float(value)
