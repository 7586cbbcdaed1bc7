"""Findings in Calc: each comes with an edit, and goes with the next."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.datetime import to_excel

from calc.calc_office import Office
from workbook.finding_jobs import PAIRS
from workbook.places import place

pytestmark = pytest.mark.calc


def test_each_finding_comes_and_goes_with_an_edit(
    calc: Office, demos: dict[str, Path], tmp_path: Path
) -> None:
    book = openpyxl.load_workbook(demos["us"])
    names = {name for pair in PAIRS.values() for typed in pair for name in typed}
    # Of a column of a table, its first row.
    places = {
        name: (at[0], at[1].partition(":")[0]) for name in names for at in [place(book, name)]
    }
    before = {name: book[sheet][cell].value for name, (sheet, cell) in places.items()}

    def listed() -> list[str]:
        return [str(row[1]) for row in calc.values("Findings")[5:24]]

    def type_in(values: dict[str, Any]) -> None:
        edits = []
        for name, value in values.items():
            number = to_excel(value) if isinstance(value, dt.date) else value
            edits.append([*places[name], number])
        calc.set(edits)

    # Another worker may have the demo itself open.
    calc.open(str(shutil.copy(demos["us"], tmp_path / "job.xlsx")))
    try:
        wrong = []
        for name, pair in PAIRS.items():
            for typed, there in ((pair.has, True), (pair.lacks, False)):
                type_in(typed)
                if (name in listed()) is not there:
                    wrong.append((name, there))
                type_in({changed: before[changed] for changed in typed})
        assert wrong == []
    finally:
        calc.close()
