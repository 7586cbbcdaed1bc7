"""``basinbook convert``: another program's spelling, or today's template, for a workbook."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from basinbook.workbook.update.update import Update

# Cells that are listed one by one.
_LISTED: Final = 200
_SAME: Final = 0.005


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "convert",
        help="spell the functions in a workbook's formulas for another program, all else as it "
        "is; or bring an older workbook up to date",
    )
    parser.add_argument("file", type=Path, help="the workbook (.xlsx or .xlsm)")
    to = parser.add_mutually_exclusive_group(required=True)
    to.add_argument("--to", choices=("calc", "excel"), help="the program")
    to.add_argument(
        "--current",
        action="store_true",
        help="a new workbook from today's template, with all that was typed in this one",
    )
    parser.add_argument(
        "--out", type=Path, help="file to write (default: FILE_calc, FILE_excel or FILE_current)"
    )
    parser.add_argument("--force", action="store_true", help="replace an existing file")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    if arguments.current:
        from basinbook.workbook.update.update import update

        done = update(arguments.file, out=arguments.out, force=arguments.force)
        return _tell(arguments.file, done)
    from basinbook.workbook.convert import convert

    report = convert(arguments.file, arguments.to, out=arguments.out, force=arguments.force)
    print(f"{report.out}: {report.changed} function names changed")
    if report.unknown:
        print(f"  left as they are, not among the functions here: {', '.join(report.unknown)}")
    return 0


def _tell(path: Path, done: Update) -> int:
    """Print what an update did; return the exit code."""
    from basinbook.workbook.changes import printable

    carried = done.carried
    print(
        f"{done.out}: {carried.typed} typed cells of {path} (workbook version {done.before}) "
        "carried over into today's template"
    )
    for title, lines in (
        ("New today:", carried.added),
        ("Carried over otherwise than they stood:", carried.notes),
        (f"Not carried over; look at them in {path}:", carried.left),
    ):
        if lines:
            print(title)
        for line in lines[:_LISTED]:
            print(f"  {printable(line)}")
        if len(lines) > _LISTED:
            print(f"  and {len(lines) - _LISTED} more")
    print("Cell formats, widths and page settings are those of today's template.")
    differ = False
    for name, was, now in done.prices:
        if isinstance(was, (int, float)) and isinstance(now, (int, float)):
            if abs(was - now) <= _SAME:
                continue
        elif was == now or (was in (None, "") and now in (None, "")):
            continue
        differ = True
        of_option = name.startswith("Option_")
        why = "; see the remarks on the Options sheet" if of_option else ""
        print(f"{name}: {_amount(was)} as stored, {_amount(now)} now{why}")
    if differ:
        print(f'See why: basinbook changes "{path}" "{done.out}"')
    else:
        print("Prices are the same as those stored.")
    return 1 if carried.left else 0


def _amount(value: object) -> str:
    return f"{value:,.2f}" if isinstance(value, (int, float)) else "none"
