"""Workbooks are read in the tests as openpyxl reads them, only quicker."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Border, Protection, Side
from openpyxl.worksheet.merge import MergedCellRange

import merged_borders

ROOT = Path(__file__).parents[2]
BOOKS = (
    *sorted((ROOT / "workbook_templates").glob("*.xlsx")),
    ROOT / "tests/data/version_1_first_us.xlsx",
)


@pytest.fixture
def usual(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """Puts openpyxl's own way back, as it was before the tests were gathered."""
    for name, own in merged_borders.OWN.items():
        monkeypatch.setattr(MergedCellRange, name, own)
    return monkeypatch


def all_styles(path: Path) -> tuple[Any, ...]:
    book: Any = openpyxl.load_workbook(path)
    cells = {
        (sheet.title, at): (type(cell).__name__, tuple(cell._style or ()))
        for sheet in book.worksheets
        for at, cell in sheet._cells.items()
    }
    return cells, [*cells], list(book._borders), list(book._protections)


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_every_cell_has_the_style_that_openpyxl_gives(
    path: Path, usual: pytest.MonkeyPatch
) -> None:
    wanted = all_styles(path)
    usual.undo()
    assert MergedCellRange.format is merged_borders._format
    assert all_styles(path) == wanted


def test_edges_of_every_kind(tmp_path: Path, usual: pytest.MonkeyPatch) -> None:
    """Cells with borders and protection of their own under the merged one, and none at all."""
    book = openpyxl.Workbook()
    sheet = book.active
    thin, thick = Side(style="thin", color="00FF0000"), Side(style="thick")
    for number, area in enumerate(("A1:C3", "E1:E4", "G1:I1", "A6:C8", "E6:G7", "I6:K9")):
        sheet.merge_cells(area)
        first = sheet[area.split(":")[0]]
        edges = [edge for bit, edge in enumerate(merged_borders.EDGES) if number >> bit & 1]
        first.border = Border(**dict.fromkeys(edges, thin))
        first.protection = Protection(locked=bool(number % 2))
        sheet[area.split(":")[1]].border = Border(right=thick, top=thin)
    path = tmp_path / "merged.xlsx"
    book.save(path)
    wanted = all_styles(path)
    usual.undo()
    assert all_styles(path) == wanted
    assert len(wanted[2]) > 6
