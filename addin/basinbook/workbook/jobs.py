"""One command over a folder of jobs: each by itself, and a table of what came out.

What is wrong with one job stops that job only, and stands in its line of the table.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

from basinbook.engine.errors import InputError
from basinbook.engine.findings.model import STOPS
from basinbook.files.targets import check_target
from basinbook.files.writing import write_file
from basinbook.workbook.changes import csv_text, printable, screen_text
from basinbook.workbook.recalculation.findings import found_lines, has_findings
from basinbook.workbook.recalculation.named_values import Named

if TYPE_CHECKING:
    import pandas as pd

SUFFIXES: Final = (".xlsx", ".xlsm")
# Spreadsheet programs name so what they keep beside an open file.
_BESIDE: Final = ("~$", ".")
_FAILED: Final = "failed"
_PARTLY: Final = "partly"
_BAR: Final = 24
_SCREEN: Final = 78


def is_folder(path: Path) -> bool:
    """Whether a path is a folder of workbooks; one called as a workbook is told of as such."""
    try:
        return path.is_dir() and path.suffix.lower() not in SUFFIXES
    except OSError:  # such as a name that is too long
        return False


@dataclass(frozen=True)
class Facts:
    """What a job comes to; blank where its workbook doesn't say."""

    price: object = ""
    blocks: object = ""
    cut_pieces: object = ""
    stops: object = ""


@dataclass(frozen=True)
class Row:
    """A job's line of the table; ``file`` is what was written, or why nothing was."""

    job: str
    price: object
    blocks: object
    cut_pieces: object
    stops: object
    done: str
    file: str


@dataclass(frozen=True)
class Done:
    """What came out of one job: the file or folder written, and whether all of it is right."""

    facts: Facts
    written: Path
    right: bool = True


def workbooks_in(folder: Path) -> list[Path]:
    """Return the workbooks of a folder by name. Raises InputError where there is none."""
    found = sorted(
        path
        for path in folder.iterdir()
        if path.suffix.lower() in SUFFIXES and not path.name.startswith(_BESIDE) and path.is_file()
    )
    if not found:
        raise InputError("folder", str(folder), f"give one with {' or '.join(SUFFIXES)} files")
    return found


def facts(named: Named, path: Path) -> Facts:
    """Return what a calculated workbook says of its job."""
    stops: object = ""
    if has_findings(named):
        stops = sum(line.grade == STOPS for line in found_lines(named, path))
    return Facts(
        _one(named, "Price_total"),
        _one(named, "Qty_Blocks_to_buy"),
        _one(named, "Qty_Cut_pieces"),
        stops,
    )


def run_jobs(
    paths: Sequence[Path], work: Callable[[Path], Done], screen: TextIO | None = None
) -> list[Row]:
    """Do the work for each workbook and return the table; a bar on the screen tells how far."""
    rows = []
    for number, path in enumerate(paths):
        _show_progress(screen, number, len(paths), path.name)
        # A command looks for rings of garbage rarely: a job before is cleared away here.
        gc.collect()
        try:
            done = work(path)
        except (InputError, OSError, MemoryError) as error:
            blank = Facts()
            rows.append(_row(path, blank, _FAILED, str(error) or type(error).__name__))
            continue
        rows.append(_row(path, done.facts, "yes" if done.right else _PARTLY, str(done.written)))
    _show_progress(screen, len(paths), len(paths), "")
    return rows


def run_folder(
    folder: Path, work: Callable[[Path], Done], summary: Path | None, *, force: bool = False
) -> int:
    """Do the work for each workbook of a folder, and print and write the table.

    Returns the exit code: 1 where a job failed or was done in part. ``summary``: the table as
    CSV, in which no text runs as a formula; ``force`` replaces one that is there. Raises
    InputError before any work where there is no workbook, or the table can't be written.
    """
    paths = workbooks_in(folder)
    if summary is not None:
        check_target(summary, replace=force, argument="summary")
    rows = run_jobs(paths, work, sys.stderr)
    table = _frame(rows)
    print(screen_text(table))
    if summary is not None:
        write_file(summary, csv_text(table).encode("utf-8"), replace=force, argument="summary")
    return int(any(row.done in (_FAILED, _PARTLY) for row in rows))


def _row(path: Path, facts: Facts, done: str, file: str) -> Row:
    return Row(path.name, facts.price, facts.blocks, facts.cut_pieces, facts.stops, done, file)


def _frame(rows: Sequence[Row]) -> pd.DataFrame:
    import pandas as pd

    names = [field.name for field in fields(Row)]
    listed = [[getattr(row, name) for name in names] for row in rows]
    # As objects, so that a job without a price leaves the others' numbers as they are.
    return pd.DataFrame(listed, columns=[name.replace("_", " ") for name in names], dtype=object)


def _one(named: Named, name: str) -> object:
    cells = named.cells(name)
    value = cells[0][0] if cells else None
    return "" if value is None else value


def _show_progress(screen: TextIO | None, done: int, count: int, name: str) -> None:
    """Draw a bar over the last one; nothing where the screen is no terminal."""
    if screen is None or not screen.isatty():
        return
    full = _BAR * done // count
    text = f"[{'#' * full}{'.' * (_BAR - full)}] {done} of {count}  {printable(name)}"[:_SCREEN]
    screen.write(f"\r{text:<{_SCREEN}}" + ("\n" if done == count else ""))
    screen.flush()
