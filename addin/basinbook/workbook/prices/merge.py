"""Taking a supplier's new list into a price book: what is new, changed, gone, not understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from basinbook.workbook.prices.offers import Offer, PriceBook, Terms
from basinbook.workbook.prices.supplier_list import ListedRow
from basinbook.workbook.prices.understood import NotUnderstoodError, offer

NEW: Final = "new"
CHANGED: Final = "changed"
SAME: Final = "same"
GONE: Final = "gone"
NOT_UNDERSTOOD: Final = "not understood"
NOT_MATCHED: Final = "not matched"
WORDS: Final = (NEW, CHANGED, SAME, GONE, NOT_MATCHED, NOT_UNDERSTOOD)


@dataclass(frozen=True)
class Difference:
    """What became of a row: a word of ``WORDS``, the row of the list (0: of the book), the offer's
    name, and what to know of it.
    """

    word: str
    row: int
    name: str
    told: str


def merged(
    book: PriceBook, terms: Terms, rows: Sequence[ListedRow]
) -> tuple[PriceBook, list[Difference]]:
    """Return the book with a supplier's list in place of its offers before, and what differs.

    Items stay matched by the supplier's code, or text where it has none. What the list has no
    more is told and left out; a row that can't be understood leaves what the book had of it.
    """
    before = {one.key: one for one in book.offers if one.supplier == terms.name}
    items = {one.theirs: (one.item, one.unit) for one in before.values() if one.item}
    told: list[Difference] = []
    fresh: dict[tuple[object, ...], Offer] = {}
    failed: set[str] = set()
    for row in rows:
        try:
            one = offer(terms.name, row.cells, terms.mark)
            if one.key in fresh:
                raise NotUnderstoodError("the list has the same offer twice; the first is taken")
        except NotUnderstoodError as error:
            name = row.cells.get("code") or row.cells.get("text", "")
            failed.add(name.casefold())
            told.append(Difference(NOT_UNDERSTOOD, row.number, name, str(error)))
            continue
        item, unit = items.get(one.theirs, ("", one.unit))
        one = replace(one, item=item, unit=unit)
        old = before.get(one.key)
        fresh[one.key] = one if old is None else replace(one, weight=one.weight or old.weight)
        told.append(_difference(row.number, old, one))
        if not item and old is None:
            told.append(
                Difference(NOT_MATCHED, row.number, _name(one), "type its item's name in the book")
            )
    for key, one in before.items():
        if key in fresh:
            continue
        if one.theirs[1] in failed:
            fresh[key] = one
        else:
            told.append(Difference(GONE, 0, _name(one), f"was {one.price} for one {one.form}"))
    others = tuple(one for one in book.offers if one.supplier != terms.name)
    suppliers = tuple(one for one in book.suppliers if one.name != terms.name)
    offers = (*others, *fresh.values())
    return replace(book, suppliers=(*suppliers, terms), offers=offers), told


def _difference(row: int, old: Offer | None, one: Offer) -> Difference:
    if old is None:
        return Difference(NEW, row, _name(one), f"{one.price} for one {one.form}")
    if old.price != one.price or old.deposit != one.deposit:
        return Difference(CHANGED, row, _name(one), f"{old.price} -> {one.price}")
    return Difference(SAME, row, _name(one), f"{one.price}")


def _name(one: Offer) -> str:
    packs = f", from {one.packs}" if one.packs > 1 else ""
    return f"{one.item or one.code or one.text} ({one.form} of {one.content:f}{packs})"
