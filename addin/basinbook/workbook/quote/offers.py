"""The options of a quote side by side: what differs, one price each, and its steps of payment."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.print_text import Style
from basinbook.workbook.quote.flow import Item, heading, words, write_lines
from basinbook.workbook.quote.look import ACCENT, QUIET, RULE, TINT, bold, plain
from basinbook.workbook.quote.reader import Offer, Quote

_LABELS: Final = 0.22
_PAD: Final = 5.0
# Where in the workbook something is missing is no matter of the client's.
_WHERE: Final = re.compile(r"\s*\([^()]*\bsheet\b[^()]*\)")
_NO_PRICE: Final = "no price yet"


class _Look(NamedTuple):
    """How a row is written: its label and cells; ground: colour behind it; right: numbers."""

    label: Style
    cell: Style
    ground: str = ""
    right: bool = False


def offers_table(quote: Quote, room: float) -> list[Item]:
    """Return the section: a row for each fact of the options, and for each step of payment."""
    offers = quote.offers
    several = len(offers) > 1
    lines: list[tuple[str, Callable[[Offer], str], _Look]] = [
        ("", lambda one: one.name, _Look(plain(), bold(8.8, ACCENT), TINT)),
        (
            "What differs" if several else "",
            lambda one: one.differs,
            _Look(plain(7.4, QUIET), plain(7.4)),
        ),
        ("Outside", lambda one: one.outside, _Look(plain(7.4, QUIET), plain(7.4))),
        ("Water, about", lambda one: one.water, _Look(plain(7.4, QUIET), plain(7.4))),
    ]
    number = _Look(plain(7.4, QUIET), plain(7.8), right=True)
    lines += [
        ("Price before tax", lambda one: _money(quote, one.before_tax), number),
        ("Tax", lambda one: _money(quote, one.tax), number),
        ("Price", lambda one: _price(quote, one), _Look(bold(8.4), bold(10.0), TINT, right=True)),
    ]
    items = [
        heading("Options and prices" if several else "Price", room, gap=12.0),
        *(_row(room, label, [told(one) for one in offers], look) for label, told, look in lines),
    ]
    items += [
        words(f"{one.name} has no price yet: {_WHERE.sub('', one.no_price)}", room, plain(7.0))
        for one in offers
        if one.price is None
    ]
    items.append(heading("Steps of payment", room, gap=6.0))
    for k, (step, share) in enumerate(quote.steps):
        label = f"{step} ({share * 100:.4g}%)"
        amounts = [_money(quote, one.amounts[k]) for one in offers]
        items.append(_row(room, label, amounts, _Look(plain(7.4), plain(7.8), right=True)))
    # The table's parts stand together as far as a page has room.
    return [item._replace(with_next=number < 7) for number, item in enumerate(items)]


def _money(quote: Quote, amount: float | None) -> str:
    return "–" if amount is None else quote.money(amount)


def _price(quote: Quote, offer: Offer) -> str:
    return _NO_PRICE if offer.price is None else quote.money(offer.price)


def _row(room: float, label: str, cells: Sequence[str], look: _Look) -> Item:
    first = room * _LABELS
    wide = (room - first) / len(cells)
    name = print_text.wrapped(label, look.label, first - 2 * _PAD)
    fitted = [
        (print_text.one_line if look.right else print_text.wrapped)(
            text, look.cell, wide - 2 * _PAD
        )
        for text in cells
    ]
    leading = 1.3
    lines = [name, *fitted]
    height = max(len(one.lines) * one.size * leading for one in lines) + 5.0

    def draw(canvas: Any, x: float, top: float) -> None:
        if look.ground:
            canvas.setFillColor(f"#{look.ground}")
            canvas.rect(x, top - height, room, height, stroke=0, fill=1)
        write_lines(
            canvas, name.lines, look.label, name.size, x + _PAD, top - 2.0, name.size * leading
        )
        for number, one in enumerate(fitted):
            left = x + first + number * wide
            right = left + wide - _PAD if look.right else None
            at = left + _PAD
            write_lines(
                canvas, one.lines, look.cell, one.size, at, top - 2.0, one.size * leading,
                right=right,
            )  # fmt: skip
        canvas.setStrokeColor(f"#{RULE}")
        canvas.setLineWidth(0.4)
        canvas.line(x, top - height, x + room, top - height)

    return Item(height, draw)
