"""``basinbook buy``: the cheapest purchase of a job's order at the prices of a book."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from basinbook.engine.buying.model import Delivery
    from basinbook.workbook.prices.purchase import Bill


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "buy",
        help="find the cheapest mix of packs, breaks and suppliers for a job's order",
        description="Delivery is reckoned in; nothing is ordered.",
    )
    parser.add_argument("file", type=Path, help="the job's workbook")
    parser.add_argument("--prices", type=Path, required=True, metavar="BOOK", help="price book")
    parser.add_argument("--one-supplier", action="store_true", help="buy all from one")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.prices.book import read_book
    from basinbook.workbook.prices.purchase import bill, wanted_of
    from basinbook.workbook.recalculation.stored import Stored

    book = read_book(arguments.prices)
    wanted = wanted_of(Stored(arguments.file))
    found = bill(wanted, book, one_supplier=arguments.one_supplier)
    print("\n".join(_told(found, book.system)))
    return 1 if found.not_listed else 0


def _told(found: Bill, system: str) -> list[str]:
    purchase = found.purchase
    lines = []
    for one in purchase.deliveries:
        lines += _delivery(one, system)
    lines.append(f"Goods and delivery: {purchase.cost:,.2f}")
    deposits = sum(one.deposits for one in purchase.deliveries)
    if deposits:
        lines.append(f"Deposits, paid back: {deposits:,.2f}")
    left = [f"{quantity:f} {item}" for item, quantity in purchase.left_over if quantity]
    if left:
        lines.append(f"Left over: {'; '.join(left)}")
    if not purchase.proved:
        lines.append("Not proved to be the cheapest: the search ended at its limit.")
    if found.not_listed:
        lines.append("Not in the price book, and not counted:")
        lines += [f"  {one.quantity:f} {one.unit} {one.name}" for one in found.not_listed]
    return lines


def _delivery(one: Delivery, system: str) -> list[str]:
    from basinbook.engine import kinds
    from basinbook.units import shown
    from basinbook.workbook.prices.offers import FORMS

    heavy = "of unknown weight" if one.weight is None else shown(one.weight, kinds.MASS, system)
    loads = f"{one.truckloads} truckload{'s' if one.truckloads > 1 else ''}"
    pallets = f", {one.pallets} pallet{'s' if one.pallets > 1 else ''}" if one.pallets else ""
    lines = [f"{one.supplier.name} ({loads}, {heavy}{pallets}):"]
    for line in one.lines:
        pack = line.pack
        single = pack.form == FORMS[0] and pack.content == 1
        packed = "" if single else f"{pack.form} of {pack.content:f} "
        what = f"{line.packs} x {packed}{pack.item}"
        lines.append(f"  {what}, {line.price:,.2f} each: {line.goods:,.2f}")
    lines.append(f"  delivery: {one.charge:,.2f}")
    return lines
