"""``basinbook accept``: record the option that the client accepted, and make it the job."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "accept", help="record the option of the quote that was accepted, and make it the job"
    )
    parser.add_argument("file", type=Path, help="the job's workbook")
    parser.add_argument("option", help="name or number of the option")
    parser.add_argument("--date", metavar="YYYY-MM-DD", help="day of acceptance (default: today)")
    parser.add_argument("--again", action="store_true", help="though one was accepted before")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.quote.accept import accept

    done = accept(arguments.file, arguments.option, arguments.date, again=arguments.again)
    for note in done.notes:
        print(note)
    print(f"{done.offer.name} accepted on {done.date.isoformat()} at {done.price}.")
    for change in done.changes:
        print(f"  {change}")
    if not done.changes:
        print("  The job is as it was.")
    print("The record of changes has a row for it; raise the job's revision before you order.")
    return 0
