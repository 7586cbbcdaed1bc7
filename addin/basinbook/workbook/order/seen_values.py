"""The value of a cell that may be sent: what the sheet shows of it, and no more.

A number shown rounded is sent rounded; one shown with words, signs of money or percent is sent as
the text that is shown. The number format itself stays behind, since its sections may hold words
that no cell shows.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, NamedTuple

from basinbook.evaluation.number_format import format_value

_NUMBER: Final = re.compile(r"-?(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.(\d*))?")
_FRACTION: Final = re.compile(r"(-?)(?:(\d+)\s+)?(\d+)/(\d+)")
# Day, month and year, with nothing quoted and no second section.
_DATE_FORMAT: Final = re.compile(r"[dmy\-/. ,]+", re.IGNORECASE)


@dataclass(frozen=True)
class Seen:
    """What a sheet shows of a cell: its text, and the value and number format that give it."""

    text: str
    value: object
    number_format: str = "General"


def seen(cell: Any) -> Seen:
    """Return what the sheet shows of a cell."""
    value = cell.value
    text = format_value(value, cell.number_format).text.strip()
    if not text:
        return Seen("", None)
    if isinstance(value, bool):
        return Seen(text, value)
    if isinstance(value, int | float):
        return _seen_number(text)
    if isinstance(value, dt.date):
        return _seen_date(text, value, str(cell.number_format))
    return Seen(text, text)


def _seen_number(text: str) -> Seen:
    found = _NUMBER.fullmatch(text)
    plain = text.replace(",", "")
    if not found or not any(letter.isdigit() for letter in text):
        return Seen(text, text)
    places = len(found[1] or "")
    code = ("#,##0" if "," in text else "0") + (f".{'0' * places}" if places else "")
    shown = text.rstrip(".")
    number: float = float(plain) if places else int(plain.rstrip("."))
    # Leading zeros and the like are seen, too.
    if format_value(number, code).text != shown:
        return Seen(shown, shown)
    return Seen(shown, number, code)


def _seen_date(text: str, value: dt.date, code: str) -> Seen:
    day = dt.datetime(value.year, value.month, value.day)
    parts = set(code.lower()) & set("dmy")
    if _DATE_FORMAT.fullmatch(code) and len(parts) == 3 and format_value(day, code).text == text:
        return Seen(text, day, code)
    return Seen(text, text)


class ShownNumber(NamedTuple):
    """A number as a text shows it, and half of the step between it and the next one."""

    number: Fraction
    half_step: Fraction


def shown_number(text: str) -> ShownNumber | None:
    """Return the number that a text shows; None for any other text."""
    if found := _FRACTION.fullmatch(text):
        sign, whole, top, bottom = found.groups()
        if not int(bottom):
            return None
        size = int(whole or 0) + Fraction(int(top), int(bottom))
        return ShownNumber(-size if sign else size, Fraction(1, 2 * int(bottom)))
    found = _NUMBER.fullmatch(text)
    if not found or not any(letter.isdigit() for letter in text):
        return None
    plain = text.replace(",", "").rstrip(".")
    return ShownNumber(Fraction(plain), Fraction(1, 2 * 10 ** len(found[1] or "")))
