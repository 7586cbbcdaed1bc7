"""The cheapest mix of packs, price breaks and suppliers that covers what a job needs.

A small integer programme. Unknowns, all whole: packs of each price break, whether that break is the
one, whether a supplier delivers, its truckloads, and whether they are free. What it gives is
reckoned anew in whole cents.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_CEILING, Decimal
from math import ceil, inf
from typing import Final

from basinbook.engine.buying.model import Bought, Delivery, Need, Pack, Purchase, Supplier, rounded
from basinbook.engine.errors import InputError
from basinbook.engine.integer_programme import IntegerProgramme

_MOST_NODES: Final = 20_000
_MOST_PACKS: Final = 100_000
_MOST_OFFERS: Final = 2_000
# A truck is not sent for what the scales don't show.
_SAME_WEIGHT: Final = 1e-6


def cheapest(
    needs: Sequence[Need], packs: Sequence[Pack], suppliers: Sequence[Supplier]
) -> Purchase:
    """Return what to buy at the least cost of goods and delivery; more than needed where cheaper.

    The cost is the least before lines are rounded to the cent.
    Raises InputError for an item that nobody sells, a price list that contradicts itself, a
    weight that a truck's payload needs, and where no supplier's least order can be met.
    """
    wanted = _wanted(needs)
    terms = {supplier.name: supplier for supplier in suppliers}
    offered = [pack for pack in packs if pack.item in wanted]
    _check(wanted, offered, terms)
    if not wanted:
        return Purchase((), (), Decimal(0), True)
    programme = IntegerProgramme()
    columns = _write(programme, wanted, offered, terms)
    found = programme.solve(_MOST_NODES)
    if not found.values:
        raise InputError(
            "suppliers",
            ", ".join(sorted(terms)),
            "no mix of packs was found that covers the need; look at least orders and weights",
        )
    lines = [
        Bought(pack, count, pack.breaks[number].price)
        for (pack, number), column in columns.items()
        if (count := found.values[column])
    ]
    return _purchase(wanted, lines, terms, found.proved)


def from_one_supplier(
    needs: Sequence[Need], packs: Sequence[Pack], suppliers: Sequence[Supplier]
) -> Purchase:
    """Return the cheapest purchase that comes from one supplier alone; see ``cheapest``."""
    wanted = set(_wanted(needs))
    found: list[Purchase] = []
    for supplier in suppliers:
        own = [pack for pack in packs if pack.supplier == supplier.name]
        if wanted <= {pack.item for pack in own}:
            found.append(cheapest(needs, own, [supplier]))
    if not found:
        raise InputError(
            "suppliers",
            ", ".join(supplier.name for supplier in suppliers),
            "no supplier sells all items; buy from several, or leave out "
            + ", ".join(_scarcest(wanted, packs)),
        )
    return min(found, key=lambda purchase: purchase.cost)


def _scarcest(wanted: Iterable[str], packs: Sequence[Pack]) -> list[str]:
    """Return the items that the fewest suppliers sell."""
    sellers = {item: {pack.supplier for pack in packs if pack.item == item} for item in wanted}
    fewest = min((len(names) for names in sellers.values()), default=0)
    return sorted(item for item, names in sellers.items() if len(names) == fewest)


def _wanted(needs: Sequence[Need]) -> dict[str, Decimal]:
    wanted: dict[str, Decimal] = defaultdict(Decimal)
    for need in needs:
        if not (need.quantity.is_finite() and need.quantity >= 0):
            raise InputError(f"quantity of {need.item}", need.quantity, "give a number, 0 or more")
        wanted[need.item] += need.quantity
    return {item: quantity for item, quantity in wanted.items() if quantity}


def _check(
    wanted: Mapping[str, Decimal], packs: Sequence[Pack], terms: Mapping[str, Supplier]
) -> None:
    if len(packs) > _MOST_OFFERS:
        raise InputError("price list", f"{len(packs)} lines", f"give at most {_MOST_OFFERS} lines")
    for pack in packs:
        name = f"{pack.form} of {pack.item} from {pack.supplier}"
        if pack.supplier not in terms:
            raise InputError("supplier", pack.supplier, f"has no terms, but sells {pack.item}")
        if not (pack.content.is_finite() and pack.content > 0):
            raise InputError(f"content of a {name}", pack.content, "give a number above 0")
        if wanted[pack.item] / pack.content > _MOST_PACKS:
            raise InputError(
                f"content of a {name}",
                pack.content,
                f"so small that more than {_MOST_PACKS} packs were needed",
            )
        starts = [one.packs for one in pack.breaks]
        if not starts or starts[0] != 1 or starts != sorted(set(starts)):
            raise InputError(
                f"price breaks of a {name}",
                ", ".join(map(str, starts)),
                "give rising numbers of packs, the first 1",
            )
        for one in pack.breaks:
            if not (one.price.is_finite() and one.price >= 0):
                raise InputError(f"price of a {name}", one.price, "give an amount, 0 or more")
        if terms[pack.supplier].payload is not None and pack.weight is None:
            raise InputError(
                f"weight of a {name}", None, "needed, since the supplier's truck has a payload"
            )
        payload = terms[pack.supplier].payload
        if payload is not None and pack.weight is not None and pack.weight > payload:
            raise InputError(f"weight of a {name}", pack.weight, f"at most a payload of {payload}")
    for item in wanted:
        if not any(pack.item == item for pack in packs):
            raise InputError("item", item, "no supplier sells it")


def _write(
    programme: IntegerProgramme,
    wanted: Mapping[str, Decimal],
    packs: Sequence[Pack],
    terms: Mapping[str, Supplier],
) -> dict[tuple[Pack, int], int]:
    """Write the programme; return the column of packs by pack and number of the price break."""
    columns: dict[tuple[Pack, int], int] = {}
    covered: dict[str, dict[int, float]] = defaultdict(dict)
    goods: dict[str, dict[int, float]] = defaultdict(dict)
    weights: dict[str, dict[int, float]] = defaultdict(dict)
    delivers = {name: programme.unknown(0.0, 1.0) for name in {pack.supplier for pack in packs}}
    for pack in packs:
        most = _most_packs(wanted[pack.item], pack, terms[pack.supplier])
        chosen: dict[int, float] = {delivers[pack.supplier]: -1.0}
        for number, one in enumerate(pack.breaks):
            further = pack.breaks[number + 1 :]
            high = min(most, further[0].packs - 1) if further else most
            if high < one.packs:
                continue
            cents = float(one.price * 100)
            count = columns[pack, number] = programme.unknown(cents, high)
            this = programme.unknown(0.0, 1.0)
            programme.row({count: 1.0, this: -float(high)}, -inf, 0.0)
            programme.row({count: 1.0, this: -float(one.packs)}, 0.0)
            chosen[this] = 1.0
            # Scaled to the need, so that grams and cubic yards are alike to the solver.
            covered[pack.item][count] = float(pack.content / wanted[pack.item])
            goods[pack.supplier][count] = cents
            weights[pack.supplier][count] = pack.weight or 0.0
        programme.row(chosen, -inf, 0.0)
    for of_item in covered.values():
        programme.row(of_item, 1.0 - 1e-9)
    for name, delivered in delivers.items():
        _write_delivery(programme, terms[name], delivered, goods[name], weights[name])
    return columns


def _most_packs(wanted: Decimal, pack: Pack, supplier: Supplier) -> int:
    """Return how many packs can be of any use: for the need, a price break or a value of goods."""
    most = int((wanted / pack.content).to_integral_value(ROUND_CEILING))
    most = max(most, pack.breaks[-1].packs)
    value = max(supplier.least_order, supplier.free_from or Decimal(0))
    least_price = min(one.price for one in pack.breaks)
    if value and least_price:
        most = max(most, int((value / least_price).to_integral_value(ROUND_CEILING)))
    return min(most, _MOST_PACKS)


def _write_delivery(
    programme: IntegerProgramme,
    supplier: Supplier,
    delivered: int,
    goods: Mapping[int, float],
    weights: Mapping[int, float],
) -> None:
    charge = float(supplier.delivery * 100)
    if supplier.least_order:
        programme.row({**goods, delivered: -float(supplier.least_order * 100)}, 0.0)
    if not charge:
        return
    if supplier.payload is None:
        trucks = programme.unknown(charge, 1.0)
        programme.row({trucks: 1.0, delivered: -1.0}, 0.0)
        most = 1.0
    else:
        heaviest = sum(weight * programme.bounds[column][1] for column, weight in weights.items())
        most = float(ceil(heaviest / supplier.payload) or 1)
        trucks = programme.unknown(charge, most)
        programme.row({trucks: 1.0, delivered: -1.0}, 0.0)
        load = {column: -weight / supplier.payload for column, weight in weights.items()}
        programme.row({trucks: 1.0, **load}, -_SAME_WEIGHT)
    if supplier.free_from is not None:
        # Free: what the trucks cost is taken off again, as much as they cost.
        free = programme.unknown(0.0, 1.0)
        off = programme.unknown(-charge, most)
        programme.row({off: 1.0, trucks: -1.0}, -inf, 0.0)
        programme.row({off: 1.0, free: -most}, -inf, 0.0)
        programme.row({**goods, free: -float(supplier.free_from * 100)}, 0.0)


def _purchase(
    wanted: Mapping[str, Decimal],
    lines: Sequence[Bought],
    terms: Mapping[str, Supplier],
    proved: bool,
) -> Purchase:
    deliveries = tuple(
        delivery(supplier, [line for line in lines if line.pack.supplier == supplier.name])
        for supplier in terms.values()
        if any(line.pack.supplier == supplier.name for line in lines)
    )
    had: dict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        had[line.pack.item] += line.content
    left = tuple((item, had[item] - quantity) for item, quantity in wanted.items())
    cost = sum((one.goods + one.charge for one in deliveries), Decimal(0))
    return Purchase(deliveries, left, cost, proved)


def delivery(supplier: Supplier, lines: Sequence[Bought]) -> Delivery:
    """Return what a supplier brings: values, charge, weight and truckloads, in whole cents.

    Truckloads are by weight alone. Raises InputError where they hang on an unknown weight.
    """
    goods = sum((line.goods for line in lines), Decimal(0))
    each = [line.weight for line in lines]
    weight = sum(one for one in each if one is not None) if None not in each else None
    trucks = 1
    if supplier.payload is not None:
        if weight is None:
            unknown = next(line.pack for line in lines if line.weight is None)
            raise InputError(
                f"weight of a {unknown.form} of {unknown.item} from {supplier.name}",
                None,
                "needed, since the supplier's truck has a payload",
            )
        # A weight of nothing comes on a truck all the same.
        trucks = max(1, ceil(weight / supplier.payload - _SAME_WEIGHT))
    free = supplier.free_from is not None and goods >= supplier.free_from
    charge = Decimal(0) if free else rounded(trucks * supplier.delivery)
    deposits = sum((line.packs * line.pack.deposit for line in lines), Decimal(0))
    return Delivery(supplier, tuple(lines), goods, charge, rounded(deposits), weight, trucks)
