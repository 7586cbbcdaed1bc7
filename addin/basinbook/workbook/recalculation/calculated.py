"""What is said of values that are not those of a workbook's inputs, and to do about it."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.workbook.recalculation.opened import Key

# Cells that a message names.
_NAMED: Final = 3


def how_to_recalculate(path: Path) -> str:
    """Return what to do to have the values brought up to date."""
    return (
        f'basinbook recalc "{path}", or open it where the functions are installed, '
        "recalculate and save it"
    )


def refuse_old(
    path: Path,
    cells: Collection[Key],
    in_sight: Collection[str],
    argument: str,
    lack: str = "no value or an old one",
) -> None:
    """Raise InputError where there are such cells.

    in_sight: the sheets of which a user sees cells, that the message names; argument: what it is
    about; lack: what the cells have.
    """
    if not cells:
        return
    named = [cell for cell in cells if cell[0] in in_sight][:_NAMED]
    shown = ", ".join(f"{sheet}!{at}" for sheet, at in named)
    rest = len(cells) - len(named)
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
