"""``basinbook prices``: keep a price book, and take suppliers' own lists into it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from basinbook.workbook.prices.merge import Difference
    from basinbook.workbook.prices.offers import PriceBook

# Lines of a report of each kind that are printed; the count tells of the rest.
_SHOWN: Final = 20


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "prices",
        help="keep a price book, and take suppliers' own price lists into it",
        description="The columns of a supplier's list are named once and kept in the book: "
        'code, text, unit, form, content, from, price, weight, deposit, date, such as price="Unit '
        'price". Items are matched by hand in the book, once.',
    )
    parser.add_argument("book", type=Path, help="the price book (.xlsx)")
    parser.add_argument("--new", choices=("us", "metric"), help="start a book in these units")
    parser.add_argument("--supplier", help="whose list it is")
    parser.add_argument("--list", type=Path, metavar="FILE", help="the list: CSV, .xlsx or .xlsm")
    parser.add_argument(
        "--columns", nargs="+", default=[], metavar="NAME=HEADING", help="its columns, at first"
    )
    parser.add_argument("--mark", choices=(".", ","), help="its decimal sign (default: point)")
    parser.add_argument("--show", action="store_true", help="only say what would change")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.engine.errors import InputError
    from basinbook.files.targets import check_target
    from basinbook.workbook.prices.book import read_book, write_book
    from basinbook.workbook.prices.offers import PriceBook

    path: Path = arguments.book
    if path.suffix.lower() != ".xlsx":
        raise InputError("book", str(path), "give a name that ends in .xlsx")
    if arguments.new:
        check_target(path, replace=False, argument="book")
        book = PriceBook(arguments.new)
        if not arguments.list:
            write_book(path, book)
    else:
        book = read_book(path)
    if arguments.list:
        _take(arguments, path, book)
    elif arguments.supplier or arguments.columns or arguments.mark:
        raise InputError("list", None, "give --list FILE")
    else:
        print("\n".join(_told(path, book)))
    return 0


def _take(arguments: argparse.Namespace, path: Path, book: PriceBook) -> None:
    from dataclasses import replace

    from basinbook.engine.errors import InputError
    from basinbook.workbook.prices.book import write_book
    from basinbook.workbook.prices.merge import merged
    from basinbook.workbook.prices.offers import Terms
    from basinbook.workbook.prices.supplier_list import read_list

    name = (arguments.supplier or "").strip()
    if not name:
        raise InputError("supplier", None, "give --supplier NAME: whose list it is")
    terms = book.terms(name) or Terms(name)
    if arguments.columns:
        terms = replace(terms, columns=tuple(map(_named, arguments.columns)))
    if arguments.mark:
        terms = replace(terms, mark=arguments.mark)
    if not terms.columns:
        raise InputError(
            "columns", None, 'name them once, such as --columns text=Description price="Unit price"'
        )
    fresh, differences = merged(book, terms, read_list(arguments.list, terms.columns))
    if not arguments.show:
        write_book(path, fresh)
    print("\n".join(_report(differences)))
    print(f"{path} {'would be' if arguments.show else 'is'} brought up to date.")


def _named(text: str) -> tuple[str, str]:
    from basinbook.engine.errors import InputError

    name, found, heading = text.partition("=")
    if not found or not heading.strip():
        raise InputError("columns", text, "give NAME=HEADING")
    return name.strip().lower(), heading.strip()


def _report(differences: Sequence[Difference]) -> list[str]:
    from basinbook.workbook.prices.merge import SAME, WORDS

    lines = []
    for word in WORDS:
        of_it = [one for one in differences if one.word == word]
        if not of_it:
            continue
        lines.append(f"{word}: {len(of_it)}")
        for one in of_it[:_SHOWN] if word != SAME else ():
            row = f"row {one.row}: " if one.row else ""
            lines.append(f"  {row}{one.name}: {one.told}")
        if word != SAME and len(of_it) > _SHOWN:
            lines.append(f"  and {len(of_it) - _SHOWN} more")
    return lines or ["the list has no rows"]


def _told(path: Path, book: PriceBook) -> list[str]:
    lines = [f"{path}: {len(book.suppliers)} suppliers, {len(book.offers)} prices"]
    for terms in book.suppliers:
        own = [one for one in book.offers if one.supplier == terms.name]
        open_ = sum(not one.item for one in own)
        dates = sorted(one.date for one in own if one.date)
        lines.append(
            f"  {terms.name}: {len(own)} prices"
            + (f", {open_} not matched to an item" if open_ else "")
            + (f", oldest of {dates[0]}" if dates else "")
        )
    return lines
