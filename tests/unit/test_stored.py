"""Values behind defined names: as a file stores them, they are what openpyxl reads there."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900
from openpyxl.workbook.defined_name import DefinedName

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.recalculation.named_values import NamedBook
from basinbook.workbook.recalculation.stored import Stored

DAY = dt.datetime(2026, 11, 28)


def saved(path: Path, epoch: dt.datetime) -> Path:
    book = openpyxl.Workbook()
    book.epoch = epoch
    sheet = book.worksheets[0]
    sheet.title = "Job's"
    sheet.append([DAY, "two", 3.5, True, None])
    sheet["A2"] = "=A1+1"
    book.create_sheet("Aside").sheet_state = "hidden"
    book["Aside"]["A1"] = "=1+1"
    for name, at in (
        ("Job_date", "'Job''s'!$A$1"), ("Row", "'Job''s'!$B$1:$E$1"), ("Next", "'Job''s'!$A$2"),
        ("Behind", "Aside!$A$1"), ("Nowhere", "Gone!$A$1"),
    ):  # fmt: skip
        book.defined_names[name] = DefinedName(name, attr_text=at)
    book.save(path)
    return path


@pytest.mark.parametrize("epoch", [CALENDAR_WINDOWS_1900, CALENDAR_MAC_1904])
def test_the_same_as_openpyxl_reads(tmp_path: Path, epoch: dt.datetime) -> None:
    """Days count from 1904 in workbooks of old Macs (ECMA-376 part 1, 18.17.4.1)."""
    path = saved(tmp_path / "job.xlsx", epoch)
    stored, read = Stored(path), NamedBook(open_workbook(path))
    assert stored.names == ("Job_date", "Row", "Next", "Behind", "Nowhere")
    assert stored.cells("Job_date") == ((DAY,),)
    for name in ("Job_date", "Row", "Next", "Behind", "None_such"):
        assert stored.cells(name) == read.cells(name)
        assert stored.place(name) == read.place(name)


def test_a_name_of_a_missing_sheet_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="points to a sheet Gone that is missing"):
        Stored(saved(tmp_path / "job.xlsx", CALENDAR_WINDOWS_1900)).cells("Nowhere")


def test_only_cells_in_sight_are_named_that_were_never_calculated(tmp_path: Path) -> None:
    stored = Stored(saved(tmp_path / "job.xlsx", CALENDAR_WINDOWS_1900))
    assert set(stored.stale(["Next", "Behind"])) == {("Job's", "A2"), ("Aside", "A1")}
    for refuse in (stored.refuse_stale, stored.refuse_without_value):
        refuse(["Row"], "file")
        with pytest.raises(InputError, match=r"\(Job's!A2 and 1 more have no value"):
            refuse(["Next", "Behind"], "file")
        with pytest.raises(InputError, match=r"\(1 cell has no value"):
            refuse(["Behind"], "file")
