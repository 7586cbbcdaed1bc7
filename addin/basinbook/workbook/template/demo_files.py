"""The demo: one invented job, from the filled-in workbook to order files and drawings."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack, nullcontext
from pathlib import Path
from typing import Final, NamedTuple

from basinbook.beside import beside
from basinbook.drawings.drawing_set import drawing_files
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.takeoff import with_breakage
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target
from basinbook.files.writing import write_files
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.file.package import Package
from basinbook.workbook.order.order_reader import SHEET
from basinbook.workbook.order.sheet_looks import sheet_looks
from basinbook.workbook.order.write_order import write_read_order
from basinbook.workbook.paper.conditional import Looks
from basinbook.workbook.paper.render import pdf_bytes, pdf_to_png
from basinbook.workbook.recalculation.drawing_inputs import (
    NAMES,
    DrawingInputs,
    drawing_inputs_of,
    inputs_from,
)
from basinbook.workbook.recalculation.named_values import NamedBook, NamedValues
from basinbook.workbook.recalculation.recalc import Reader, Refresher
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


class _Set(NamedTuple):
    """The set of drawings, and what it was drawn from."""

    inputs: DrawingInputs
    files: dict[str, bytes]


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
    with ExitStack() as stack:
        begun: list[Callable[[], _Set | None]] = []

        def begin(package: Package, read: Reader) -> AbstractContextManager[Refresher]:
            begun.append(stack.enter_context(beside(lambda: _early_set(package, read))))
            return nullcontext(lambda *_: {})

        report = make_workbook(path, "us", DEMO_US, early=(begin,))
        # Read once, and up to date, since it was calculated a line above.
        book = open_workbook(path)
        order = write_read_order(path, book, sheet_looks(path, SHEET), work / "order")
        inputs = drawing_inputs_of(NamedBook(book), path)
        looks = Looks(book)
        pictures = [
            shot
            for sheet in PREVIEWS
            for shot in pdf_to_png(
                pdf_bytes(book, sheet, looks=looks), work / "pictures", _DPI, stem=sheet
            )
        ]
        drawn = begun[0]()
    if drawn is None or repr(drawn.inputs) != repr(inputs):
        drawn = _set(inputs)
    write_files({work / "drawings" / name: data for name, data in drawn.files.items()})
    layout = solve(inputs.spec)
    ((price,),) = named_cells(book, "Price_total")
    return "\n".join(
        (
            f"{folder / _JOB}: {report.formulas} formulas, {len(report.not_computed)} not computed",
            f"  {with_breakage(layout.all_blocks)} blocks to buy, "
            f"{layout.all_blocks.cut_pieces} cut pieces, {with_breakage(layout.cap_cuts)} caps; "
            f"price {price:,.2f} with tax",
            f"{folder / 'order' / order.email.name}: draft to {order.to}, {order.lines} lines, "
            "workbook and PDF attached",
            f"{folder / 'drawings'}: {len(drawn.files)} files",
            f"{folder / 'pictures'}: {len(pictures)} pictures of the sheets",
            "Next: open the workbook, change a size on the Basin sheet, and run",
            f'  basinbook recalc "{folder / _JOB}"',
            "or install the functions into the spreadsheet: basinbook addin install calc",
        )
    )


def _early_set(package: Package, read: Reader) -> _Set:
    """Draw the set from the values of its inputs alone."""
    return _set(inputs_from(NamedValues(package, read(NAMES)).cells))


def _set(inputs: DrawingInputs) -> _Set:
    return _Set(inputs, drawing_files(solve(inputs.spec), inputs.title, inputs.outfit))
