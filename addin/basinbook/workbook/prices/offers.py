"""One line of a price book, and one supplier's terms with how its own list is laid out."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

FORMS: Final = ("single", "layer", "pallet", "bag", "bulk", "roll", "cartridge", "case")
MARKS: Final = (".", ",")
"""Signs that a list may part whole numbers from decimals with."""

# What a list may have a column for, and whether its rows need it.
NAMED: Final = {
    "code": False,
    "text": False,
    "unit": False,
    "form": False,
    "content": False,
    "from": False,
    "price": True,
    "weight": False,
    "deposit": False,
    "date": False,
}


@dataclass(frozen=True)
class Offer:
    """What a supplier asks for one pack from a number of packs on.

    item: our name of it, blank where it is not matched yet. code, text: the supplier's own. weight
    is text with or without a unit, as the user types it; date as it stands in the list.
    """

    supplier: str
    item: str
    unit: str
    form: str
    content: Decimal
    packs: int
    price: Decimal
    weight: str = ""
    deposit: Decimal = Decimal(0)
    code: str = ""
    text: str = ""
    date: str = ""

    @property
    def theirs(self) -> tuple[str, str]:
        """What the supplier knows it by: the code, or where there is none its text."""
        return self.supplier, (self.code or self.text).casefold()

    @property
    def key(self) -> tuple[str, str, str, Decimal, int]:
        """What makes two lines the same offer, whatever their price."""
        return (*self.theirs, self.form, self.content, self.packs)


@dataclass(frozen=True)
class Terms:
    """A supplier's terms, and the headings of its own list's columns by what they hold.

    payload is text with or without a unit. mark: sign between whole numbers and decimals.
    """

    name: str
    email: str = ""
    least_order: Decimal = Decimal(0)
    delivery: Decimal = Decimal(0)
    free_from: Decimal | None = None
    payload: str = ""
    columns: tuple[tuple[str, str], ...] = ()
    mark: str = "."


@dataclass(frozen=True)
class PriceBook:
    """Suppliers and what they offer. system: units of plain numbers in it, "us" or "metric"."""

    system: str
    suppliers: tuple[Terms, ...] = ()
    offers: tuple[Offer, ...] = ()

    def terms(self, supplier: str) -> Terms | None:
        """Return a supplier's terms, by name in any case."""
        wanted = supplier.strip().casefold()
        return next((one for one in self.suppliers if one.name.casefold() == wanted), None)
