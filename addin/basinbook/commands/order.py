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
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.order.write_order import write_order

    files = write_order(arguments.file, arguments.to, arguments.out, force=arguments.force)
    for note in files.notes:
        print(note)
    plural = "line" if files.lines == 1 else "lines"
    print(f"Order of {files.lines} {plural} to {files.to}:")
    for path in (files.workbook, files.pdf, files.email):
        print(f"  {path}")
    print("Next: open the .eml in your mail program, read it and send it.")
    return 0
