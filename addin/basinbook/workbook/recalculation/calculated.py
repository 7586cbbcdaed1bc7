"""Whether what a command reads of a workbook are the values of its inputs.

A file that a library or a program without the functions has saved has formulas without a value,
or with the value of what was typed before.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from openpyxl.utils.cell import coordinate_to_tuple

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
    _refuse(path, _among(staleness(path), book, names), argument, "no value or an old one")


def refuse_without_value(path: Path, book: Workbook, names: Iterable[str], argument: str) -> None:
    """Raise InputError where a formula of these names was never calculated."""
    _refuse(path, _among(without_value(path), book, names), argument, "no value yet")


def stale_cells(path: Path, book: Workbook, names: Iterable[str]) -> tuple[Key, ...]:
    """Return the cells of these names that have no value, or not that of their formula."""
    return _among(staleness(path), book, names)


def how_to_recalculate(path: Path) -> str:
    """Return what to do to have the values brought up to date."""
    return (
        f'basinbook recalc "{path}", or open it where the functions are installed, '
        "recalculate and save it"
    )


def _refuse(path: Path, cells: tuple[Key, ...], argument: str, lack: str) -> None:
    if not cells:
        return
    shown = ", ".join(f"{sheet}!{at}" for sheet, at in cells[:_NAMED])
    more = f" and {len(cells) - _NAMED} more" if len(cells) > _NAMED else ""
    has = "has" if len(cells) == 1 else "have"
    raise InputError(
        argument,
        str(path),
        f"recalculate it first: {how_to_recalculate(path)} ({shown}{more} {has} {lack})",
    )


def _among(cells: Iterable[Key], book: Workbook, names: Iterable[str]) -> tuple[Key, ...]:
    """Return those of the cells that lie in the areas of these names."""
    areas = [
        (sheet, *named_area(name, area))
        for name in names
        for sheet, area in named_places(name, book.defined_names.get(name))
    ]

    def inside(cell: Key) -> bool:
        row, column = coordinate_to_tuple(cell[1])
        return any(
            sheet == cell[0] and left <= column <= right and top <= row <= bottom
            for sheet, left, top, right, bottom in areas
        )

    return tuple(cell for cell in cells if inside(cell))
