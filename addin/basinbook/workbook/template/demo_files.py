"""The demo: one invented job, from the filled-in workbook to order files and drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from basinbook.drawings.drawing_set import write_drawings
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.takeoff import with_breakage
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target
from basinbook.files.writing import write_files
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.order.order_reader import SHEET
from basinbook.workbook.order.sheet_looks import sheet_looks
from basinbook.workbook.order.write_order import write_read_order
from basinbook.workbook.paper.conditional import Looks
from basinbook.workbook.paper.render import pdf_bytes, pdf_to_png
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs_of
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook

PREVIEWS: Final = (
    "Basin",
    "Job",
    "Findings",
    "Estimate",
    "Options",
    "Order",
    "Setting plan",
    "Checks",
)
_JOB: Final = "Fernbank courtyard basin.xlsx"
_DPI: Final = 100


def make_demo(folder: Path, *, force: bool = False) -> str:
    """Write the demo's files into a folder, all or none, and return a summary with the next step.

    Raises InputError where files are there already and ``force`` is not set.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError("--out", str(folder), "there is a file of this name; give a folder")
    check_target(folder / _JOB, replace=force, make_folder=True)
    with temporary_folder() as scratch:
        work = scratch / "demo"
        work.mkdir()
        summary = _made(work, folder)
        made = [path for path in sorted(work.rglob("*")) if path.is_file()]
        files = {folder / path.relative_to(work): path.read_bytes() for path in made}
    write_files(files, replace=force)
    return summary


def _made(work: Path, folder: Path) -> str:
    """Make the files in a folder to work in; return the summary, with their paths in ``folder``."""
    path = work / _JOB
    report = make_workbook(path, "us", DEMO_US)
    # Read once, and up to date, since it was calculated a line above.
    book = open_workbook(path)
    order = write_read_order(path, book, sheet_looks(path, SHEET), work / "order")
    spec, title, outfit = drawing_inputs_of(book, path)
    layout = solve(spec)
    drawings = write_drawings(layout, title, outfit, work / "drawings")
    looks = Looks(book)
    pictures = [
        shot
        for sheet in PREVIEWS
        for shot in pdf_to_png(
            pdf_bytes(book, sheet, looks=looks), work / "pictures", _DPI, stem=sheet
        )
    ]
    ((price,),) = named_cells(book, "Price_total")
    return "\n".join(
        (
            f"{folder / _JOB}: {report.formulas} formulas, {len(report.not_computed)} not computed",
            f"  {with_breakage(layout.blocks)} blocks to buy, "
            f"{layout.blocks.cut_pieces} cut pieces, {with_breakage(layout.cap_cuts)} caps; "
            f"price {price:,.2f} with tax",
            f"{folder / 'order' / order.email.name}: draft to {order.to}, {order.lines} lines, "
            "workbook and PDF attached",
            f"{folder / 'drawings'}: {len(drawings)} files",
            f"{folder / 'pictures'}: {len(pictures)} pictures of the sheets",
            "Next: open the workbook, change a size on the Basin sheet, and run",
            f'  basinbook recalc "{folder / _JOB}"',
            "or install the functions into the spreadsheet: basinbook addin install calc",
        )
    )
