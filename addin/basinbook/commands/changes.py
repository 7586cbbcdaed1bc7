"""``basinbook changes``: what differs between two states of a job."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "changes", help="list what differs between two workbooks of a job: inputs to price"
    )
    parser.add_argument("before", type=Path, help="the workbook as it was")
    parser.add_argument("after", type=Path, help="the workbook as it is")
    parser.add_argument(
        "--out",
        type=Path,
        help="also write the list as .csv; text can run as no formula there",
    )
    parser.add_argument("--force", action="store_true", help="replace an existing --out file")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.files.targets import check_target, refuse_inputs
    from basinbook.files.writing import write_file
    from basinbook.workbook.changes import changes, csv_text, not_current, screen_text

    if arguments.out:
        check_target(arguments.out, replace=arguments.force)
        refuse_inputs(arguments.out, (arguments.before, arguments.after))
    found = changes(arguments.before, arguments.after)
    if note := not_current(arguments.before):
        print(note)
    if found.empty:
        print("Nothing differs.")
    else:
        print(screen_text(found))
    if arguments.out:
        text = csv_text(found)
        write_file(arguments.out, text.encode("utf-8"), replace=arguments.force)
    return 0
