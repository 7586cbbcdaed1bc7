"""``basinbook convert``: move a workbook between Calc and Excel."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "convert",
        help="spell the functions in a workbook's formulas for another program; "
        "all else stays as it is",
    )
    parser.add_argument("file", type=Path, help="the workbook (.xlsx or .xlsm)")
    parser.add_argument("--to", required=True, choices=("calc", "excel"), help="the program")
    parser.add_argument("--out", type=Path, help="file to write (default: FILE_calc or FILE_excel)")
    parser.add_argument("--force", action="store_true", help="replace an existing file")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.convert import convert

    report = convert(arguments.file, arguments.to, out=arguments.out, force=arguments.force)
    print(f"{report.out}: {report.changed} function names changed")
    if report.unknown:
        print(f"  left as they are, not among the functions here: {', '.join(report.unknown)}")
    return 0
