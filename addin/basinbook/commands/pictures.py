"""``basinbook pictures``: a workbook's sheets as PNG pictures or one PDF file."""

from __future__ import annotations

import argparse
from pathlib import Path

from basinbook.engine.errors import InputError

_PNG, _PDF = "png", "pdf"
_DPI = 110
# Letters can be read from about 40 points to the inch; 400 is a good printer.
_DPI_RANGE = (20, 400)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "pictures",
        help="the sheets of a workbook as pictures or as one PDF",
    )
    parser.add_argument("file", type=Path, help="a calculated workbook, or a folder of workbooks")
    parser.add_argument(
        "--sheet", action="append", help="only this sheet; may be given several times"
    )
    parser.add_argument(
        "--format", choices=(_PNG, _PDF), default=_PNG, help="a picture of each page, or one PDF"
    )
    parser.add_argument(
        "--dpi", type=float, default=_DPI, help=f"points to the inch of pictures (usually {_DPI})"
    )
    parser.add_argument(
        "--paper", choices=("letter", "a4"), help="default: the sheets' own, by the units"
    )
    parser.add_argument(
        "--out",
        type=Path,
        help="folder for the pictures (default: FILE_pictures beside the workbook), or the PDF "
        "file (default: FILE_sheets.pdf); of a folder of workbooks: the folder for all",
    )
    parser.add_argument("--force", action="store_true", help="replace what is there")
    parser.add_argument(
        "--summary", type=Path, help="of a folder: also write the table of jobs as .csv"
    )
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook import jobs
    from basinbook.workbook.recalculation.named_values import NamedBook
    from basinbook.workbook.sheet_files import Written, write_sheets

    low, high = _DPI_RANGE
    if not low <= arguments.dpi <= high:
        raise InputError("--dpi", arguments.dpi, f"give {low} to {high} points to the inch")

    def write(path: Path, out: Path) -> Written:
        return write_sheets(
            path,
            out,
            sheets=arguments.sheet,
            dpi=None if arguments.format == _PDF else arguments.dpi,
            page_size=arguments.paper,
            force=arguments.force,
        )

    def work(path: Path) -> jobs.Done:
        out = _usual_out(path, arguments.format, arguments.out)
        return jobs.Done(jobs.facts(NamedBook(write(path, out).book), path), out)

    if jobs.is_folder(arguments.file):
        return jobs.run_folder(arguments.file, work, arguments.summary, force=arguments.force)
    if arguments.summary is not None:
        raise InputError("--summary", str(arguments.summary), "give a folder of workbooks with it")
    out = arguments.out or _usual_out(arguments.file, arguments.format, None)
    for path in write(arguments.file, out).paths:
        print(path)
    return 0


def _usual_out(path: Path, kind: str, folder: Path | None) -> Path:
    """Return the PDF file, or the folder of pictures, of a workbook, beside it or in a folder."""
    name = f"{path.stem}_sheets.pdf" if kind == _PDF else f"{path.stem}_pictures"
    return (folder or path.parent) / name
