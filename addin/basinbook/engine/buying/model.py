"""Price lists, needs, and what is bought of them. Money in ``decimal``, weights in kg."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

CENT: Final = Decimal("0.01")


def rounded(amount: Decimal) -> Decimal:
    """Return an amount of money to the cent, halves away from zero.

    Each line of a list, order or quote is rounded by itself and its total is the sum of the
    rounded lines, so that what is printed adds up.
    """
    return amount.quantize(CENT, ROUND_HALF_UP)


@dataclass(frozen=True)
class Break:
    """A price each from a number of packs on; it holds for all packs of the line."""

    packs: int
    price: Decimal


@dataclass(frozen=True)
class Pack:
    """One form in which a supplier sells an item.

    form: such as "single", "layer", "pallet", "bag", "bulk", "roll", "cartridge", "case".
    content: of the item's unit in one pack. breaks: price of one pack, the first from 1 pack on.
    weight: of one pack [kg], None where it is unknown. deposit: paid for one, and paid back.
    """

    supplier: str
    item: str
    form: str
    content: Decimal
    breaks: tuple[Break, ...]
    weight: float | None = None
    deposit: Decimal = Decimal(0)


@dataclass(frozen=True)
class Supplier:
    """A supplier's terms.

    least_order: goods below this value are not delivered. delivery: charge for one truckload.
    free_from: value of goods from which delivery is free, None for never. payload: of one
    truckload [kg], None where one truck takes all.
    """

    name: str
    least_order: Decimal = Decimal(0)
    delivery: Decimal = Decimal(0)
    free_from: Decimal | None = None
    payload: float | None = None


@dataclass(frozen=True)
class Need:
    """How much of an item the job takes, in the item's unit."""

    item: str
    quantity: Decimal


@dataclass(frozen=True)
class Bought:
    """A line: so many packs at a price each; goods is their value to the cent."""

    pack: Pack
    packs: int
    price: Decimal

    @property
    def goods(self) -> Decimal:
        """Value of the line to the cent."""
        return rounded(self.packs * self.price)

    @property
    def content(self) -> Decimal:
        """What the packs hold, in the item's unit."""
        return self.packs * self.pack.content

    @property
    def weight(self) -> float | None:
        """Weight of the line [kg]; None where that of a pack is unknown."""
        return None if self.pack.weight is None else self.packs * self.pack.weight


@dataclass(frozen=True)
class Delivery:
    """What one supplier brings: lines, value of goods, charge, deposits, weight [kg], truckloads.

    weight is None where that of a line is unknown.
    """

    supplier: Supplier
    lines: tuple[Bought, ...]
    goods: Decimal
    charge: Decimal
    deposits: Decimal
    weight: float | None
    truckloads: int

    @property
    def pallets(self) -> int:
        """Packs that are pallets."""
        return sum(line.packs for line in self.lines if line.pack.form == "pallet")


@dataclass(frozen=True)
class Purchase:
    """Deliveries that cover all needs, what is left over of each item, and the cost.

    cost: goods and delivery; deposits come back and are apart. proved: no other mix costs less.
    """

    deliveries: tuple[Delivery, ...]
    left_over: tuple[tuple[str, Decimal], ...]
    cost: Decimal
    proved: bool
