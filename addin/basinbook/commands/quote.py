"""``basinbook quote``: write the quote to the client as a PDF, and a mail draft with it."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("quote", help="write the quote to the client: PDF and mail draft")
    parser.add_argument("file", type=Path, help="the job's workbook")
    parser.add_argument(
        "--to", metavar="ADDRESS", help="client's e-mail, for a draft (default: the sheet's)"
    )
    parser.add_argument("--out", type=Path, metavar="DIR", help="folder (default: the workbook's)")
    parser.add_argument(
        "--paper", choices=("letter", "a4"), help="default: by the workbook's units"
    )
    parser.add_argument("--force", action="store_true", help="replace files that exist")
    parser.add_argument(
        "--accept",
        action="append",
        default=[],
        metavar="NAME=REASON",
        help="quote in spite of a finding to look at, for this reason; may be repeated",
    )
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.commands.order import accepted
    from basinbook.workbook.quote.write_quote import write_quote
    from basinbook.workbook.update.older import version_note

    files = write_quote(
        arguments.file,
        arguments.to,
        arguments.out,
        paper=arguments.paper,
        force=arguments.force,
        accept=accepted(arguments.accept),
    )
    for note in files.notes:
        print(note)
    plural = "option" if files.options == 1 else "options"
    to = f" to {files.to}" if files.to else ""
    print(f"Quote of {files.options} {plural}{to}:")
    print(f"  {files.pdf}")
    if files.email:
        print(f"  {files.email}")
    if note := version_note(arguments.file):
        print(note)
    print("Next: read it. When the client accepts: basinbook accept FILE OPTION.")
    return 0
