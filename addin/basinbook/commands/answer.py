"""``basinbook answer``: read an answered request for prices, and take its prices over."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "answer", help="read a supplier's answer to a request, and take its prices over"
    )
    parser.add_argument("file", type=Path, help="the answered request (.xlsx)")
    parser.add_argument("--request", type=Path, required=True, help="the request that was sent")
    parser.add_argument("--prices", type=Path, required=True, metavar="BOOK", help="price book")
    parser.add_argument("--supplier", required=True, help="who answered")
    parser.add_argument("--take", action="store_true", help="write the prices into the book")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    import datetime as dt

    from basinbook.engine.errors import InputError
    from basinbook.workbook.prices.book import read_book, write_book
    from basinbook.workbook.prices.request import answered, taken

    book = read_book(arguments.prices)
    terms = book.terms(arguments.supplier)
    if terms is None:
        known = ", ".join(one.name for one in book.suppliers) or "none"
        raise InputError("supplier", arguments.supplier, f"the price book has {known}")
    answers = answered(arguments.request, arguments.file, terms.mark)
    fresh, before = taken(book, terms, answers, dt.date.today())
    for one in answers:
        asked = f"{one.wanted.quantity:f} {one.wanted.unit} {one.wanted.name}"
        price = "not offered" if one.price is None else f"{one.price}"
        was = before.get(one.wanted.name)
        known = f" (in the book: {was})" if was is not None else ""
        print(f"{asked}: {price}{known}{f' - {one.remark}' if one.remark else ''}")
        if one.told:
            print(f"    not taken: {one.told}")
    if arguments.take:
        write_book(arguments.prices, fresh)
        print(f"{len(before)} prices are taken into {arguments.prices}.")
    else:
        print(f"{len(before)} prices can be taken into {arguments.prices}: --take")
    return 0
