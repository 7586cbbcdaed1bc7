"""``basinbook new``: start a job from a blank template."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("new", help="copy a blank template for a new job")
    parser.add_argument("file", type=Path, help="the workbook to make (.xlsx)")
    parser.add_argument(
        "--units", choices=("us", "metric"), default="us", help="unit system (default us)"
    )
    parser.add_argument(
        "--for",
        dest="host",
        choices=("calc", "excel"),
        default="calc",
        help="spelling of the functions: calc (default, also for recalc) or excel",
    )
    parser.add_argument(
        "--book", type=Path, help="price book with rates of finished jobs to start with"
    )
    parser.add_argument("--force", action="store_true", help="replace the file if it exists")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.template.template_files import new_workbook

    made = arguments.file
    if arguments.book:
        _start(arguments)
    else:
        new_workbook(made, arguments.units, arguments.host, force=arguments.force)
    print(f"{made}: fill in the Basin sheet, then: basinbook recalc {made}")
    return 0


def _start(arguments: argparse.Namespace) -> None:
    from basinbook.workbook.template.from_book import new_from_book

    started = new_from_book(
        arguments.file, arguments.units, arguments.host, arguments.book, force=arguments.force
    )
    for one in started:
        rate = one.rate
        name = f"{rate.what}, {rate.of}" if rate.of else rate.what
        if one.taken:
            print(f"{name} ({one.place}): {one.before} -> {rate.value:.4g}")
        else:
            print(f"{name}: {rate.value:.4g} is not taken: {one.place}")
