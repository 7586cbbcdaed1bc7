"""Open a user's workbook for reading, with one clear message for a file that isn't one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.workbook.file.package import ARGUMENT, open_package

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

Cells = tuple[tuple[object, ...], ...]


def open_workbook(path: Path) -> Workbook:
    """Return the workbook with its cells' cached values in place of their formulas.

    Raises InputError naming ``workbook`` for whatever `open_package` refuses, and for a file whose
    parts can't be read.
    """
    open_package(path)
    import openpyxl

    try:
        return openpyxl.load_workbook(path, data_only=True)
    except Exception as error:
        # openpyxl raises whatever the damaged part happens to break.
        raise InputError(ARGUMENT, str(path), "it is damaged; open and save it again") from error


def named_cells(book: Workbook, name: str) -> Cells:
    """Return the values of the cells that a defined name stands for; none where it is missing.

    Raises InputError where the name points to a sheet that is missing.
    """
    defined = book.defined_names.get(name)
    rows: list[tuple[object, ...]] = []
    for sheet, cells in defined.destinations if defined else ():
        if sheet not in book.sheetnames:
            raise InputError("file", name, f"the name points to a sheet {sheet} that is missing")
        block = book[sheet][cells.replace("$", "")]
        if not isinstance(block, tuple):
            rows.append((block.value,))
            continue
        for row in block:
            rows.append(tuple(c.value for c in (row if isinstance(row, tuple) else (row,))))
    return tuple(rows)
