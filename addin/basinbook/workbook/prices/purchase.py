"""What a job's order costs at the prices of a book: the cheapest mix, or from one supplier."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from basinbook.engine import kinds
from basinbook.engine.buying.cheapest import cheapest, from_one_supplier
from basinbook.engine.buying.model import Break, Need, Pack, Purchase, Supplier
from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import ADD
from basinbook.units import read
from basinbook.workbook.order.record import split_change
from basinbook.workbook.prices.offers import Offer, PriceBook, Terms
from basinbook.workbook.recalculation.stored import Stored

if TYPE_CHECKING:
    pass

_LINES: Final = "Order_lines"


@dataclass(frozen=True)
class Wanted:
    """A line of the job's order: its item, name, quantity and unit."""

    item: str
    name: str
    quantity: Decimal
    unit: str


@dataclass(frozen=True)
class Bill:
    """A purchase for a job, and the lines of its order that no supplier of the book sells."""

    purchase: Purchase
    not_listed: tuple[Wanted, ...]


def wanted_of(job: Stored) -> list[Wanted]:
    """Return the lines of the order sheet of a job.

    Once something was ordered, they are those that add to it. Raises InputError
    where they are out of date.
    """
    if _LINES not in job.names:
        raise InputError("job", str(job.path), "it has no order lines; give a job's workbook")
    job.refuse_stale([_LINES], "job")
    found = []
    for _, item, name, quantity, unit, _ in job.cells(_LINES):
        word, own = split_change(str(item or ""))
        if word not in ("", ADD):
            continue
        if isinstance(quantity, (int, float)) and not isinstance(quantity, bool) and quantity:
            found.append(Wanted(own, str(name or ""), Decimal(str(quantity)), str(unit or "")))
    if not found:
        raise InputError(
            "job", str(job.path), "nothing is ordered; see its sheets Order and Findings"
        )
    return found


def bill(wanted: Sequence[Wanted], book: PriceBook, *, one_supplier: bool = False) -> Bill:
    """Return the cheapest purchase of what the book lists.

    A line is known by its name on the Materials sheet. Raises InputError for an offer in another
    unit than the job's, for weights that can't be read, and as ``cheapest`` does.
    """
    offered = {_plain(one.item) for one in book.offers if one.item}
    listed = [one for one in wanted if _plain(one.name) in offered]
    missing = tuple(one for one in wanted if _plain(one.name) not in offered)
    names = {_plain(one.name): one.name for one in reversed(listed)}
    packs = list(_packs(listed, names, book))
    needs = [Need(names[_plain(one.name)], one.quantity) for one in listed]
    suppliers = [_supplier(terms, book.system) for terms in book.suppliers]
    buy = from_one_supplier if one_supplier else cheapest
    return Bill(buy(needs, packs, suppliers), missing)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _packs(wanted: Iterable[Wanted], names: Mapping[str, str], book: PriceBook) -> Iterable[Pack]:
    units = {_plain(one.name): one.unit for one in wanted}
    together: dict[tuple[str, str, str, Decimal], list[Offer]] = defaultdict(list)
    for one in book.offers:
        if _plain(one.item) in units:
            together[one.supplier, _plain(one.item), one.form, one.content].append(one)
    for (supplier, item, form, content), offers in together.items():
        offers.sort(key=lambda one: one.packs)
        for one in offers:
            if one.unit.strip() != units[item].strip():
                raise InputError(
                    f"unit of {one.item} from {supplier}",
                    one.unit,
                    f"the job orders it by {units[item]}; give the offer's content in that unit",
                )
        weighed = next((one.weight for one in offers if one.weight), "")
        yield Pack(
            supplier, names[item], form, content,
            tuple(Break(one.packs, one.price) for one in offers),
            _mass(f"weight of {offers[0].item} from {supplier}", weighed, book.system),
            offers[0].deposit,
        )  # fmt: skip


def _supplier(terms: Terms, system: str) -> Supplier:
    payload = _mass(f"payload of a truck of {terms.name}", terms.payload, system)
    return Supplier(terms.name, terms.least_order, terms.delivery, terms.free_from, payload)


def _mass(name: str, text: str, system: str) -> float | None:
    if not text:
        return None
    found = read(text, kinds.MASS, system, name)
    if found <= 0:
        raise InputError(name, text, "give a weight above 0, or leave it blank")
    return found
