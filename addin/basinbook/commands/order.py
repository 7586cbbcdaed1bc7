"""``basinbook order``: write the order to the supplier as a workbook, a PDF and a mail draft."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("order", help="write the order: workbook, PDF and mail draft")
    parser.add_argument("file", type=Path, help="the job's workbook")
    parser.add_argument("--to", metavar="ADDRESS", help="supplier's e-mail (default: the sheet's)")
    parser.add_argument("--out", type=Path, metavar="DIR", help="folder (default: the workbook's)")
    parser.add_argument("--force", action="store_true", help="replace files that exist")
    parser.add_argument(
        "--accept",
        action="append",
        default=[],
        metavar="NAME=REASON",
        help="send in spite of a finding to look at, for this reason; may be repeated",
    )
    parser.add_argument(
        "--again",
        action="store_true",
        help="send all that is needed anew, in place of the orders before",
    )
    parser.add_argument(
        "--no-record",
        dest="record",
        action="store_false",
        help="leave the workbook as it is: the next order will not know of this one",
    )
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.order.write_order import write_order
    from basinbook.workbook.update.older import version_note

    files = write_order(
        arguments.file,
        arguments.to,
        arguments.out,
        force=arguments.force,
        accept=accepted(arguments.accept),
        again=arguments.again,
        record=arguments.record,
    )
    for note in files.notes:
        print(note)
    plural = "line" if files.lines == 1 else "lines"
    print(f"Order of {files.lines} {plural} to {files.to}:")
    for path in (files.workbook, files.pdf, files.email):
        print(f"  {path}")
    if note := version_note(arguments.file):
        print(note)
    print("Next: open the .eml in your mail program, read it and send it.")
    return 0


def accepted(given: list[str]) -> dict[str, str]:
    """Return reasons by the finding's name; a name alone is accepted without another reason."""
    found = {}
    for text in given:
        name, _, reason = text.partition("=")
        found[name.strip().lower()] = reason.strip() or "accepted on the command line"
    return found
