"""Texts: parts, search, change, numbers in and out of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from typing import Final

from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import MOST_TEXT
from basinbook.evaluation.functions.conditions import pattern_pieces
from basinbook.evaluation.number_format import format_value
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    NA,
    NUM,
    VALUE,
    Fault,
    Given,
    Rows,
    checked_text,
    flat,
    is_number,
    number,
    snapped,
    text,
    text_number,
)

_MOST_FORMAT: Final = 255


def _part(count: int) -> int:
    if count < 0:
        raise Fault(VALUE)
    return count


@standard("LEFT", "t|w")
def _left(given: str, count: int = 1) -> str:
    return given[: _part(count)]


@standard("RIGHT", "t|w")
def _right(given: str, count: int = 1) -> str:
    return given[max(len(given) - _part(count), 0) :]


@standard("MID", "tww")
def _mid(given: str, start: int, count: int) -> str:
    if start < 1:
        raise Fault(VALUE)
    return given[start - 1 : start - 1 + _part(count)]


@standard("LEN", "t")
def _len(given: str) -> int:
    return len(given)


@standard("UPPER", "t")
def _upper(given: str) -> str:
    return given.upper()


@standard("LOWER", "t")
def _lower(given: str) -> str:
    return given.lower()


@standard("PROPER", "t")
def _proper(given: str) -> str:
    return re.sub(r"[^\W\d_]+", lambda word: word[0].capitalize(), given)


@standard("TRIM", "t")
def _trim(given: str) -> str:
    return re.sub(" +", " ", given).strip(" ")


@standard("CLEAN", "t")
def _clean(given: str) -> str:
    return "".join(letter for letter in given if unicodedata.category(letter) != "Cc")


@standard("CHAR", "w")
def _char(code: int) -> str:
    if not 1 <= code <= 255:
        raise Fault(VALUE)
    return bytes((code,)).decode("cp1252", "replace")


@standard("UNICHAR", "w")
def _unichar(code: int) -> str:
    if not 1 <= code <= 0x10FFFF or 0xD800 <= code <= 0xDFFF:
        raise Fault(VALUE)
    return chr(code)


@standard("CODE", "t")
def _code(given: str) -> int:
    if not given:
        raise Fault(VALUE)
    return given[0].encode("cp1252", "replace")[0]


@standard("UNICODE", "t")
def _unicode(given: str) -> int:
    if not given:
        raise Fault(VALUE)
    return ord(given[0])


@standard("REPT", "tw")
def _rept(given: str, count: int) -> str:
    if count < 0 or len(given) * count > MOST_TEXT:
        raise Fault(VALUE)
    return given * count


@standard("FIND", "tt|w")
def _find(wanted: str, given: str, start: int = 1) -> int:
    if start < 1 or start > len(given) + 1:
        raise Fault(VALUE)
    return _found(given.find(wanted, start - 1))


def _found(index: int) -> int:
    if index < 0:
        raise Fault(VALUE)
    return index + 1


@standard("SEARCH", "tt|w")
def _search(wanted: str, given: str, start: int = 1) -> int:
    if start < 1 or start > len(given) + 1:
        raise Fault(VALUE)
    first, at = -1, start - 1
    for piece, length in pattern_pieces(wanted):
        match = piece.search(given, at)
        if match is None:
            return _found(-1)
        first = match.start() if first < 0 else first
        at = match.start() + length
    return _found(first)


@standard("REPLACE", "twwt")
def _replace(given: str, start: int, count: int, new: str) -> str:
    if start < 1:
        raise Fault(VALUE)
    return checked_text(given[: start - 1] + new + given[start - 1 + _part(count) :])


@standard("SUBSTITUTE", "ttt|W")
def _substitute(given: str, old: str, new: str, which: int | None = None) -> str:
    if not old:
        return given
    if which is None:
        if len(given) + given.count(old) * (len(new) - len(old)) > MOST_TEXT:
            raise Fault(VALUE)
        return given.replace(old, new)
    if which < 1:
        raise Fault(VALUE)
    pieces = given.split(old)
    if which >= len(pieces):
        return given
    return checked_text(old.join(pieces[:which]) + new + old.join(pieces[which:]))


@standard("CONCATENATE", "t|t*")
def _concatenate(*given: str) -> str:
    return _joined("", given)


def _joined(between: str, pieces: list[str] | tuple[str, ...]) -> str:
    if sum(map(len, pieces)) + len(between) * max(len(pieces) - 1, 0) > MOST_TEXT:
        raise Fault(VALUE)
    return between.join(pieces)


@standard("CONCAT", "s*")
def _concat(*given: Given) -> str:
    return _joined("", [text(value) for argument in given for value in flat(argument)])


@standard("TEXTJOIN", "tBr|r*")
def _textjoin(between: str, skip_blank: bool | None, *given: Given) -> str:
    pieces = [text(value) for argument in given for value in flat(argument)]
    if skip_blank is not False:
        pieces = [piece for piece in pieces if piece]
    return _joined(between, pieces)


@standard("TEXT", "vt", dates=True)
def _text(value: Value, code: str) -> str:
    if isinstance(value, str) and (found := text_number(value)) is not None:
        value = found
    if code.strip().lower() == "general":
        return text(value)
    if len(code) > _MOST_FORMAT:
        raise Fault(VALUE)
    shown = 0.0 if value is None else value
    return format_value(snapped(float(shown)) if is_number(shown) else shown, code).text  # type: ignore[arg-type]


@standard("FIXED", "n|wb")
def _fixed(value: float, places: int = 2, plain: bool = False) -> str:
    if not -15 <= places <= 127:
        raise Fault(VALUE)
    exact = Decimal(repr(snapped(value)))
    rounded = exact.quantize(Decimal(1).scaleb(-places), "ROUND_HALF_UP")
    return f"{rounded:{'' if plain else ','}.{max(places, 0)}f}"


@standard("DOLLAR", "n|w")
def _dollar(value: float, places: int = 2) -> str:
    shown = f"${_fixed(abs(value), places)}"
    return f"({shown})" if value < 0 else shown


@standard("VALUE", "v")
def _value(value: Value) -> float:
    return number(value)


@standard("NUMBERVALUE", "t|tt")
def _number_value(given: str, point: str = ".", group: str = ",") -> float:
    plain = re.sub(r"\s", "", given)
    if group:
        plain = plain.replace(group[0], "")
    found = text_number(plain.replace(point[:1] or ".", ".") or "0")
    if found is None:
        raise Fault(VALUE)
    return found


@standard("VALUETOTEXT", "v")
def _value_to_text(value: Value) -> str:
    return text(value)


def _side(given: str, mark: str, which: int, default: str | None, *, after: bool) -> str:
    if not which:
        raise Fault(VALUE)
    if not mark:
        return given if after == (which > 0) else ""
    pieces = given.split(mark)
    count = which if which > 0 else len(pieces) + which
    if not 0 < count < len(pieces):
        if default is None:
            raise Fault(NA)
        return default
    return mark.join(pieces[count:] if after else pieces[:count])


@standard("TEXTBEFORE", "tt|w")
def _text_before(given: str, mark: str, which: int = 1) -> str:
    return _side(given, mark, which, None, after=False)


@standard("TEXTAFTER", "tt|w")
def _text_after(given: str, mark: str, which: int = 1) -> str:
    return _side(given, mark, which, None, after=True)


@standard("TEXTSPLIT", "tT|T")
def _text_split(given: str, columns: str | None, rows: str | None = None) -> Given:
    lines = given.split(rows) if rows else [given]
    table: Rows = [list(line.split(columns)) if columns else [line] for line in lines]
    width = max(len(row) for row in table)
    return [row + [NA] * (width - len(row)) for row in table]


def _digits(base: int, bits: int) -> tuple[Callable[..., str], Callable[[str], int]]:
    """Return the ways from a whole number to its digits in a base and back; 10 digits at most."""
    size = 2**bits

    def to_digits(value: int, places: int | None = None) -> str:
        if not -size // 2 <= value < size // 2:
            raise Fault(NUM)
        shown = format(value % size, {2: "b", 8: "o", 16: "X"}[base])
        if value < 0 or places is None:
            return shown
        if not len(shown) <= places <= 10:
            raise Fault(NUM)
        return shown.rjust(places, "0")

    def from_digits(given: str) -> int:
        if not re.fullmatch(r"[0-9a-fA-F]{0,10}", given):
            raise Fault(NUM)
        try:
            value = int(given or "0", base)
        except ValueError:
            raise Fault(NUM) from None
        return value - size if value >= size // 2 else value

    return to_digits, from_digits


for _name, _base, _bits in (("BIN", 2, 10), ("OCT", 8, 30), ("HEX", 16, 40)):
    _to, _from = _digits(_base, _bits)
    standard(f"DEC2{_name}", "w|W")(_to)
    standard(f"{_name}2DEC", "t")(_from)

_ROMAN: Final = (
    ("M", 1000), ("CM", 900), ("D", 500), ("CD", 400), ("C", 100), ("XC", 90), ("L", 50),
    ("XL", 40), ("X", 10), ("IX", 9), ("V", 5), ("IV", 4), ("I", 1),
)  # fmt: skip


@standard("ROMAN", "w")
def _roman(value: int) -> str:
    if not 0 <= value <= 3999:
        raise Fault(VALUE)
    shown = ""
    for letters, size in _ROMAN:
        count, value = divmod(value, size)
        shown += letters * count
    return shown
