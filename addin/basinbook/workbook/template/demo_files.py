"""The demo: one invented job, from the filled-in workbook to order files and drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from openpyxl import Workbook

from basinbook.drawings.drawing_set import write_drawings
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.takeoff import with_breakage
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.order.write_order import write_order
from basinbook.workbook.paper.render import pdf_bytes, pdf_to_png
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook

PREVIEWS: Final = ("Job", "Estimate", "Options", "Order", "Setting plan", "Checks")
_DPI: Final = 100


def make_demo(folder: Path, *, force: bool = False) -> str:
    """Write the demo's files into a folder and return a summary with the next step.

    Raises InputError where files are there already and ``force`` is not set.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError("out", str(folder), "give a folder, not a file")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "Fernbank courtyard basin.xlsx"
    report = make_workbook(path, "us", DEMO_US, force=force)
    order = write_order(path, out_dir=folder / "order", force=force)
    spec, title, section = drawing_inputs(path)
    layout = solve(spec)
    drawings = write_drawings(layout, title, section, folder / "drawings", force=force)
    book = open_workbook(path)
    pictures = [shot for sheet in PREVIEWS for shot in _preview(book, sheet, folder, force=force)]
    ((price,),) = named_cells(book, "Price_total")
    return "\n".join(
        (
            f"{path}: {report.formulas} formulas, {len(report.not_computed)} not computed",
            f"  {with_breakage(layout.blocks)} blocks to buy, "
            f"{layout.blocks.cut_pieces} cut pieces, {with_breakage(layout.cap_cuts)} caps; "
            f"price {price:,.2f} with tax",
            f"{order.email}: draft to {order.to}, {order.lines} lines, workbook and PDF attached",
            f"{drawings[0].parent}: {len(drawings)} files",
            f"{pictures[0].parent}: {len(pictures)} pictures of the sheets",
            "Next: open the workbook, change a size on the Job sheet, and run",
            f'  basinbook recalc "{path}"',
            "or install the functions into the spreadsheet: basinbook addin install calc",
        )
    )


def _preview(book: Workbook, sheet: str, folder: Path, *, force: bool) -> list[Path]:
    data = pdf_bytes(book, sheet)
    return pdf_to_png(data, folder / "pictures", _DPI, stem=sheet, force=force)
