"""Open a user's workbook for reading, with one clear message for a file that isn't one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.workbook.package import ARGUMENT, open_package

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook


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
