"""``basinbook request``: ask several suppliers for prices of a job's order."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "request", help="ask suppliers for prices: a workbook and a mail draft for each"
    )
    parser.add_argument("file", type=Path, help="the job's workbook")
    parser.add_argument("--prices", type=Path, required=True, metavar="BOOK", help="price book")
    parser.add_argument("--supplier", action="append", help="which (default: all of the book)")
    parser.add_argument("--out", type=Path, metavar="DIR", help="folder (default: the job's)")
    parser.add_argument("--force", action="store_true", help="replace files that exist")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.engine.errors import InputError
    from basinbook.workbook.prices.book import read_book
    from basinbook.workbook.prices.purchase import wanted_of
    from basinbook.workbook.prices.request import ask
    from basinbook.workbook.recalculation.stored import Stored

    book = read_book(arguments.prices)
    chosen = []
    for name in arguments.supplier or [one.name for one in book.suppliers]:
        terms = book.terms(name)
        if terms is None:
            known = ", ".join(one.name for one in book.suppliers) or "none"
            raise InputError("supplier", name, f"the price book has {known}")
        chosen.append(terms)
    job = Stored(arguments.file)
    wanted = wanted_of(job)

    def text(name: str) -> str:
        cells = job.cells(name)
        return str(cells[0][0] or "").strip() if cells else ""

    if not text("Job_name"):
        raise InputError("Job_name", None, "fill in its cell on the Job sheet")
    asked = ask(
        wanted,
        chosen,
        job=text("Job_name"),
        sender=text("Order_sender"),
        sender_address=text("Order_sender_email"),
        folder=arguments.out or arguments.file.parent,
        inputs=(arguments.file, arguments.prices),
        force=arguments.force,
    )
    for one in asked:
        print(f"{one.supplier}:")
        print(f"  {one.workbook}")
        print(f"  {one.email}")
    print("Next: open each .eml in your mail program, read it and send it, or basinbook send.")
    return 0
