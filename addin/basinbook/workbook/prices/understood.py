"""What a row of a supplier's list offers, or why it can't be understood."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Final

from basinbook.workbook.prices.offers import FORMS, MARKS, Offer

_MOST: Final = Decimal(10) ** 7
# A number with its signs of thousands; what else stands in the cell is a unit or a currency.
_NUMBER: Final = re.compile(r"-?\d[\d.,' \u00a0\u202f]*\d|-?\d")
# Words of the trade for the forms, as lists abbreviate them.
_FORM_WORDS: Final = {
    "ea": "single", "each": "single", "pc": "single", "pcs": "single", "piece": "single",
    "unit": "single", "single": "single", "layer": "layer", "row": "layer", "plt": "pallet",
    "pal": "pallet", "pallet": "pallet", "cube": "pallet", "bag": "bag", "sack": "bag",
    "bulk": "bulk", "loose": "bulk", "yd": "bulk", "yd³": "bulk", "yd3": "bulk", "ton": "bulk",
    "t": "bulk", "m³": "bulk", "m3": "bulk", "roll": "roll", "tube": "cartridge",
    "cartridge": "cartridge", "case": "case", "box": "case", "carton": "case",
}  # fmt: skip


class NotUnderstoodError(ValueError):
    """A cell of a list that can't be read: what it is, its text, and what is wanted."""


def offer(supplier: str, cells: Mapping[str, str], mark: str) -> Offer:
    """Return the offer of a row; raise NotUnderstoodError for one that can't be read.

    mark: the list's sign between whole numbers and decimals, "." or ",". Without a column of form
    a row is for single pieces; without one of content a pack holds 1; without one of packs the
    price holds from 1 on.
    """
    code, text = cells.get("code", ""), cells.get("text", "")
    if not code and not text:
        raise NotUnderstoodError("it has neither code nor text")
    content = number(cells.get("content") or "1", mark, "content")
    if content <= 0:
        raise NotUnderstoodError(f"content {cells.get('content')!r}: give a number above 0")
    packs = number(cells.get("from") or "1", mark, "from")
    if packs != packs.to_integral_value() or packs < 1:
        raise NotUnderstoodError(f"from {cells.get('from')!r}: give a whole number of packs")
    return Offer(
        supplier=supplier,
        item="",
        unit=cells.get("unit") or "each",
        form=_form(cells.get("form", "")),
        content=content,
        packs=int(packs),
        price=number(cells.get("price", ""), mark, "price"),
        weight=cells.get("weight", ""),
        deposit=number(cells.get("deposit") or "0", mark, "deposit"),
        code=code,
        text=text,
        date=cells.get("date", ""),
    )


def _form(text: str) -> str:
    word = text.strip().casefold().rstrip(".s") if text else "single"
    found = _FORM_WORDS.get(word) or _FORM_WORDS.get(text.strip().casefold())
    if found is None:
        raise NotUnderstoodError(f"form {text!r}: there are {', '.join(FORMS)}")
    return found


def number(text: str, mark: str, name: str) -> Decimal:
    """Return the one number of a cell, such as "$1,250.00 / pallet".

    Signs of thousands must part threes, so that 1.250 in a list with decimal points is 1.25 and in
    one with decimal commas 1,250. Raises NotUnderstoodError for none, several, or one that is
    negative or huge.
    """
    assert mark in MARKS
    found = _NUMBER.findall(text)
    if len(found) != 1:
        raise NotUnderstoodError(f"{name} {text!r}: give one number")
    digits = re.sub(r"[' \u00a0\u202f]", "", found[0])
    whole, _, decimals = digits.partition(mark)
    thousands = MARKS[1 - MARKS.index(mark)]
    groups = whole.split(thousands)
    parted = len(groups) > 1 and not all(len(group) == 3 for group in groups[1:])
    if parted or thousands in decimals or mark in decimals:
        raise NotUnderstoodError(f"{name} {text!r}: its signs of thousands and decimals are odd")
    try:
        value = Decimal("".join(groups) + (f".{decimals}" if decimals else ""))
    except InvalidOperation as error:
        raise NotUnderstoodError(f"{name} {text!r}: give one number") from error
    if not 0 <= value < _MOST:
        raise NotUnderstoodError(f"{name} {text!r}: give a number from 0 to {_MOST:,}")
    return value
