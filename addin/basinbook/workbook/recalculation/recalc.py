"""Recalculating a workbook file with no spreadsheet program.

The results are stored as the formula cells' values, where any viewer reads them. Nothing else of
the file changes, but for the mark on cells that could not be computed (``marks``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass
from pathlib import Path

from openpyxl.utils.cell import coordinate_to_tuple

from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Book, Value
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.files.targets import check_target, is_same_place
from basinbook.workbook.file.package import (
    Package,
    to_xml,
    write_package,
)
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.opened import Key, Problem, address, open_cells
from basinbook.workbook.recalculation.row_heights import fit_rows

Refresher = Callable[[Package, Mapping[Key, Value]], Mapping[str, bytes]]
"""Takes the package and the fresh values; returns the media parts to replace."""
Reader = Callable[[Iterable[str]], Mapping[Key, Value]]
"""Takes defined names; returns the values with those of their cells fresh, the others as stored."""
Early = Callable[[Package, Reader], AbstractContextManager[Refresher]]
"""Begins before the formulas are evaluated; gives a refresher for when they are."""


@dataclass(frozen=True)
class Report:
    """What a recalculation did.

    ``not_computed``: cells whose old value was kept and marked. ``refused``: cells that show an
    error because one of our functions refused an argument, and what it said of it.
    """

    out: Path
    formulas: int
    changed: int
    not_computed: tuple[Problem, ...]
    refused: tuple[Problem, ...]
    pictures: int = 0


def recalculate(
    path: Path,
    *,
    out: Path | None = None,
    force: bool = False,
    refreshers: Iterable[Refresher] = (),
    early: Iterable[Early] = (),
    typed: Mapping[Key, Value] | None = None,
) -> Report:
    """Evaluate the workbook and store the results as its cells' values; return what was done.

    ``out`` writes to another file and leaves ``path`` as it is; an existing one is replaced only
    with ``force``. ``refreshers`` give fresh bytes for picture parts, made from the new values;
    those of ``early`` come first, and are at work while the formulas are evaluated.
    ``typed`` puts values into cells without a formula first, as if the user had typed them.
    Raises InputError where a file can't be read or written; then nothing has changed.
    """
    target = out if out is not None else path
    opened = open_cells(path)
    for cell, value in (typed or {}).items():
        opened.type(cell, value)
    in_place = is_same_place(path, target)
    check_target(target, replace=in_place or force)
    with ExitStack() as stack:
        begun = [stack.enter_context(begin(opened.package, opened.fresh)) for begin in early]
        evaluation = evaluate_book(opened.book)
        changed = opened.store(evaluation)
        replaced = opened.set_marks(evaluation)
        values = opened.values(evaluation)
        fit_rows(
            opened.package, {name: sheet for name, (_, sheet) in opened.sheets.items()}, values
        )
        for part, sheet in opened.sheets.values():
            if sheet.changed:
                replaced[part] = to_xml(sheet.root)
        pictures: dict[str, bytes] = {}
        for refresh in (*begun, *refreshers):
            pictures.update(refresh(opened.package, values))
    pictures = {p: data for p, data in pictures.items() if data != opened.package.parts.get(p)}
    replaced.update(pictures)
    if replaced or not in_place:
        write_package(opened.package, replaced, target, replace=in_place or force)
    return Report(
        out=target,
        formulas=sum(len(grid.formulas) for grid in opened.book.grids.values()),
        changed=changed,
        not_computed=opened.problems(evaluation.not_computed),
        refused=opened.problems(evaluation.refused),
        pictures=len(pictures),
    )


def evaluate(path: Path, overrides: Mapping[Key, Value] | None = None) -> dict[Key, Value]:
    """Return every cell's value as it is after a recalculation; the file stays as it is.

    ``overrides`` puts other values (or values in place of formulas) into cells first.
    """
    opened = open_cells(path)
    for (sheet, at), value in (overrides or {}).items():
        if sheet.upper() not in opened.book.grids:
            raise InputError("overrides", sheet, "the workbook has no such sheet")
        grid = opened.book.grids[sheet.upper()]
        place = coordinate_to_tuple(at.upper())
        grid.values[place] = value
        grid.formulas.pop(place, None)
    return opened.values(evaluate_book(opened.book))


def calculated(path: Path, name: str) -> tuple[Package, dict[Key, Value]]:
    """Return the workbook's package, and the values with those of a defined name calculated.

    What that name's cells do not read has its stored value.
    """
    opened = open_cells(path)
    return opened.package, opened.fresh([name])


def read_values(path: Path) -> dict[str, dict[str, Value]]:
    """Return the values as they are stored in the file: sheet → cell → value."""
    opened = open_cells(path)
    return {
        grid.name: {address(place): value for place, value in grid.values.items()}
        for grid in opened.book.grids.values()
    }


def read_book(path: Path) -> Book:
    """Return the sheets as they are stored in the file: values and formulas."""
    return open_cells(path).book


def read_named(path: Path) -> tuple[Book, NamedValues]:
    """Return the sheets as they are stored in the file, and where its defined names are."""
    opened = open_cells(path)
    return opened.book, NamedValues(opened.package, {})


def staleness(path: Path) -> tuple[Key, ...]:
    """Return the formula cells whose stored value is missing or differs from a fresh one.

    See ``Opened.stale``.
    """
    return open_cells(path).stale()


def is_stale(path: Path) -> bool:
    """Return whether the file needs a recalculation."""
    return bool(staleness(path))
