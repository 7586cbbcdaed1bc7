"""``basinbook learn``: rates and allowances from what finished jobs took."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from basinbook.workbook.prices.learned import Rate


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "learn",
        help="show rates and allowances over finished jobs, and keep them in a price book",
        description="What a job took is typed on its check sheet: hours by task, blocks broken, "
        "adhesive and base used. A blank cell was not counted; a typed 0 is one.",
    )
    parser.add_argument("files", type=Path, nargs="+", metavar="FILES", help="workbooks of jobs")
    parser.add_argument(
        "--into", type=Path, metavar="BOOK", help="price book to write the rates into"
    )
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.engine.errors import InputError
    from basinbook.workbook.prices.learned import learn, write_rates

    system, rates = learn(arguments.files)
    if not rates:
        raise InputError(
            "files",
            ", ".join(str(path) for path in arguments.files),
            "nothing is typed under What the job took on their check sheets",
        )
    jobs = len(arguments.files)
    print(f"{jobs} job{'s' if jobs > 1 else ''}, {system} units:")
    for rate in rates:
        print(f"  {_told(rate)}")
    if not arguments.into:
        return 0
    for rate, before in write_rates(arguments.into, system, rates):
        was = "none" if before is None else f"{before:.4g}"
        print(f"{rate.what}: {was} -> {rate.found.rate:.4g}")
    print(f"A new job starts with them: basinbook new JOB.xlsx --book {arguments.into}")
    return 0


def _told(rate: Rate) -> str:
    one = rate.found
    name = f"{rate.what}, {rate.of}" if rate.of else rate.what
    if one.spread is None:
        return f"{name}: {one.rate:.4g} {rate.unit}, from 1 job, so its spread is not known"
    return (
        f"{name}: {one.rate:.4g} {rate.unit}, from {one.jobs} jobs; median {one.median:.4g}, "
        f"spread {one.spread:.2g}, {one.low:.4g} to {one.high:.4g}"
    )
