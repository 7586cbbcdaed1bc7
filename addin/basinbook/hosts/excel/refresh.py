"""Recalculating a workbook that is open in Excel, with its drawings, on Windows and macOS.

Excel on macOS has no functions written in Python, and no Excel draws the drawings anew. So the
open workbook is saved and closed through xlwings, recalculated as a file, and opened again at the
same place. Values are never written over formulas.
"""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from basinbook.engine.errors import InputError
from basinbook.hosts.excel.library import xlwings_library
from basinbook.workbook.recalculation.recalc import Report, recalculate
from basinbook.workbook.recalculation.redraw import redrawing

_NOT_OPEN: Final = (
    "open it in Excel (on Windows or macOS) and save it once; for a closed file use: "
)
_SECONDS_TO_CLOSE: Final = 10.0

Recalculate = Callable[[Path], Report]


@dataclass(frozen=True)
class Place:
    """Where the user is in a workbook: the active sheet and the selected cells, if any are."""

    sheet: str
    cells: str


def refresh_open_workbook(path: Path | None = None, *, xlwings: Any = None) -> Report:
    """Recalculate the active workbook, or the open one of that path; return what was done.

    ``xlwings`` stands in for the library. Raises InputError where no such workbook is open or it
    was never saved; then nothing has changed.
    """
    return refresh_book(open_book(xlwings or xlwings_library(), path), recalculated)


def recalculated(path: Path) -> Report:
    """Recalculate a closed file in place, and its drawings."""
    return recalculate(path, early=(redrawing,))


def open_book(xlwings: Any, path: Path | None) -> Any:
    """Return the open workbook of that path, or the active one."""
    try:
        apps = list(xlwings.apps)
        books = [book for app in apps for book in app.books]
        active = xlwings.books.active if books and path is None else None
    except xlwings.XlwingsError:
        books, active = [], None
    if path is None:
        if active is None:
            raise InputError("workbook", None, f"{_NOT_OPEN}basinbook recalc FILE")
        return active
    for book in books:
        if Path(book.fullname) == path or _same_file(Path(book.fullname), path):
            return book
    raise InputError("workbook", str(path), f"{_NOT_OPEN}basinbook recalc FILE")


def refresh_book(book: Any, recalculate: Recalculate, *, platform: str = sys.platform) -> Report:
    """Save, close, recalculate and open again one open workbook.

    Whatever goes wrong between, the workbook is opened again.
    """
    path = saved_path(book)
    app = book.app
    place = place_in(book)
    if platform == "darwin":
        # Excel would else turn every cell that reads a changed one into #NAME? at once; the
        # setting is saved in the workbook.
        app.calculation = "manual"
    book.save()
    book.close()
    try:
        _wait_for_release(path)
        return recalculate(path)
    finally:
        go_to(app.books.open(str(path)), place)


def saved_path(book: Any) -> Path:
    """Return the file of an open workbook; raises InputError where it has none on this machine."""
    name = str(book.fullname)
    path = Path(name)
    if "://" in name or not path.is_absolute() or not path.is_file():
        raise InputError("workbook", name, "save it in a folder of this computer first")
    return path


def place_in(book: Any) -> Place:
    """Return where the user is in a workbook."""
    cells = ""
    # With a picture selected there are no cells, which each system reports in its own way.
    with contextlib.suppress(Exception):
        cells = str(book.selection.address)
    return Place(str(book.sheets.active.name), cells)


def go_to(book: Any, place: Place) -> None:
    """Show a place in a workbook again."""
    sheet = book.sheets[place.sheet]
    sheet.activate()
    if place.cells:
        sheet.range(place.cells).select()


def _wait_for_release(path: Path) -> None:
    """Wait until Excel has taken the mark of an open file away, which it does a little later."""
    lock = path.with_name(f"~${path.name}")
    end = time.monotonic() + _SECONDS_TO_CLOSE
    while lock.exists() and time.monotonic() < end:
        time.sleep(0.1)


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False
