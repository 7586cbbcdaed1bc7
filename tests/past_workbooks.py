"""The marks of what stood in past templates: ``python tests/past_workbooks.py FILE...``.

Prints those that no earlier version has, for the files given, templates as they were built; kept in
``basinbook/workbook/update/known_N.txt``, N being the version of those templates.
"""

from __future__ import annotations

import sys
from pathlib import Path

from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.recalculation.recalc import read_book
from basinbook.workbook.template.version import VERSION
from basinbook.workbook.update.known import known, marks
from basinbook.workbook.update.side import Side


def side_of(path: Path) -> Side:
    """Return a workbook as it is stored."""
    grids = {grid.name: grid for grid in read_book(path).grids.values()}
    return Side(open_workbook(path), grids, {})


if __name__ == "__main__":
    found = {mark for name in sys.argv[1:] for mark in marks(side_of(Path(name)))}
    print("\n".join(sorted(found - known(VERSION - 2))))
