"""Whether what a command reads of a workbook are the values of its inputs.

A file that a library or a program without the functions has saved has formulas without a value,
or with the value of what was typed before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from openpyxl.utils.cell import get_column_letter

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import named_area, named_places
from basinbook.workbook.recalculation.recalc import Key, staleness, without_value

if TYPE_CHECKING:
    from openpyxl import Workbook

# Cells that a message names.
_NAMED: Final = 3


def refuse_stale(path: Path, book: Workbook, names: Iterable[str], argument: str) -> None:
    """Raise InputError where a cell of these names has no value, or not that of its formula.

    book: the workbook in ``path``, read already; argument: what the message names.
    """
    _refuse(path, book, stale_cells(path, book, names), argument, "no value or an old one")


def refuse_stale_sheets(path: Path, book: Workbook, sheets: Iterable[str], argument: str) -> None:
    """Raise InputError where a cell of these sheets has no value, or not that of its formula."""
    asked = set(sheets)
    stale = tuple(cell for cell in staleness(path) if cell[0] in asked)
    _refuse(path, book, stale, argument, "no value or an old one")


def refuse_without_value(path: Path, book: Workbook, names: Iterable[str], argument: str) -> None:
    """Raise InputError where a formula of these names was never calculated."""
    cells = set(_cells(book, names))
    found = tuple(cell for cell in without_value(path) if cell in cells)
    _refuse(path, book, found, argument, "no value yet")


def stale_cells(path: Path, book: Workbook, names: Iterable[str]) -> tuple[Key, ...]:
    """Return the cells of these names that have no value, or not that of their formula."""
    return staleness(path, _cells(book, names))


def how_to_recalculate(path: Path) -> str:
    """Return what to do to have the values brought up to date."""
    return (
        f'basinbook recalc "{path}", or open it where the functions are installed, '
        "recalculate and save it"
    )


def _refuse(path: Path, book: Workbook, cells: tuple[Key, ...], argument: str, lack: str) -> None:
    if not cells:
        return
    # Named are those that the user sees.
    in_sight = [cell for cell in cells if book[cell[0]].sheet_state == "visible"][:_NAMED]
    shown = ", ".join(f"{sheet}!{at}" for sheet, at in in_sight)
    rest = len(cells) - len(in_sight)
    more = (
        f"{' and ' if shown else ''}{rest} {'more' if shown else 'cells' if rest > 1 else 'cell'}"
        if rest
        else ""
    )
    has = "has" if len(cells) == 1 else "have"
    raise InputError(
        argument,
        str(path),
        f"recalculate it first: {how_to_recalculate(path)} ({shown}{more} {has} {lack})",
    )


def _cells(book: Workbook, names: Iterable[str]) -> Iterator[Key]:
    """Return the cells that these names stand for."""
    for name in names:
        for sheet, area in named_places(name, book.defined_names.get(name)):
            left, top, right, bottom = named_area(name, area)
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    yield sheet, f"{get_column_letter(column)}{row}"
