"""Merged cells are read with the edges that openpyxl gives them itself."""

from __future__ import annotations

from pathlib import Path

import openpyxl
from openpyxl.cell import MergedCell
from openpyxl.styles import Border, Side
from openpyxl.worksheet.merge import MergedCellRange

from basinbook.workbook.file.open_workbook import open_workbook


def test_edges_of_a_merged_range_are_those_of_its_first_cell(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    edges = [Side(style=style) for style in ("thin", "thick", "double", "dashed")]
    sheet["B2"].border = Border(*edges)
    sheet["B2"] = "a"
    sheet.merge_cells("B2:D4")
    book.save(tmp_path / "merged.xlsx")
    usual = MergedCellRange.format

    read = open_workbook(tmp_path / "merged.xlsx").worksheets[0]

    assert MergedCellRange.format is usual
    plain = openpyxl.load_workbook(tmp_path / "merged.xlsx").worksheets[0]
    for row in range(1, 6):
        for column in range(1, 6):
            ours, theirs = read.cell(row, column), plain.cell(row, column)
            assert type(ours) is type(theirs)
            assert ours.value == theirs.value
    first, last = read["B2"].border, read["D4"].border
    assert isinstance(read["D4"], MergedCell)
    assert (first.left.style, first.top.style) == ("thin", "double")
    theirs = plain["D4"].border
    assert (last.right.style, last.bottom.style) == (theirs.right.style, theirs.bottom.style)
    assert (theirs.right.style, theirs.bottom.style) == ("thick", "dashed")
