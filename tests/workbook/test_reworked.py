"""Values after edits, of which the tests work out what can differ alone, against whole ones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from openpyxl.utils.cell import coordinate_to_tuple

from basinbook.evaluation.book import Book, Cell, Formula, Grid, Value
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.evaluation.functions import dates
from basinbook.workbook.recalculation import recalc
from workbook.reworked import Reworked

EDITS: tuple[dict[str, Any], ...] = (
    {"Labour_rate": 33.5},
    {"Labour_rate": None, "Columns": 0},
    {"Inside_length": "2 m", "Second_wall": "no"},
    {"Inside_width": -40},
    {"Price_total": 5},
    {"Water_depth": None, "Pump": "none of these"},
    {"Job_name": "Another", "Job_date": 46000},
    {},
)


def whole(worked: Reworked, typed: Mapping[Cell, Any]) -> dict[Cell, Value]:
    found = evaluate_book(worked._with(typed))
    assert not found.not_computed
    return found.values


def shown(values: Mapping[Cell, Value]) -> dict[Cell, str]:
    return {cell: repr(value) for cell, value in values.items()}


def check(worked: Reworked, typed: Mapping[Cell, Any]) -> None:
    """An edit, what it moves, and the edit kept, as a whole evaluation has them."""
    before, wanted = shown(worked.values), shown(whole(worked, typed))
    assert shown(worked.after(typed)) == wanted
    moved = {cell: value for cell, value in wanted.items() if value != before.get(cell)}
    assert shown(worked.moved(typed)).items() >= moved.items()
    assert shown(worked.values) == before
    assert shown(worked.type(typed)) == shown(worked.values) == wanted


def test_edits_of_the_demo_give_what_the_whole_workbook_gives(demos: dict[str, Path]) -> None:
    book, names = recalc.read_named(demos["us"])
    worked = Reworked(book)
    assert shown(worked.values) == shown(whole(worked, {}))
    for edit in EDITS:
        typed = {}
        for name, value in edit.items():
            sheet, at = names.places(name)[0][0]
            typed[sheet.upper(), *coordinate_to_tuple(at)] = value
        check(worked, typed)


def small(formulas: Mapping[str, str], **arrays: tuple[str, int]) -> Reworked:
    given = {coordinate_to_tuple(at): Formula(text) for at, text in formulas.items()}
    for at, (text, rows) in arrays.items():
        given[coordinate_to_tuple(at)] = Formula(text, rows, 1, is_array=True)
    numbers: dict[tuple[int, int], Value] = {(row, 1): row for row in range(1, 9)}
    return Reworked(Book({"JOB": Grid("Job", numbers, given)}))


def at(**typed: Any) -> dict[Cell, Any]:
    return {("JOB", *coordinate_to_tuple(cell)): value for cell, value in typed.items()}


@pytest.mark.parametrize(
    "formulas",
    [
        {"B1": "IF(A1=1,A2,A3)", "B2": "B1+1", "B3": "IF(B2>100,B1,A4)"},
        {"B1": 'INDIRECT("A"&(A1+0))', "B2": "SUM(OFFSET(A1,A2,0,2,1))", "B3": "B1*B2"},
        {"B1": "IF(A1=1,B2,1)", "B2": "IF(A1=1,2,B1)"},  # by turns, and in no circle
        {"B1": "SUM(A:A)", "B2": "IFERROR(A4/(A1-5),B1)", "B3": "COUNT(A1:A9)&TRUE"},
        {"B1": "MAX(A1:A3)", "B2": "B1*10", "B3": "SUM(B1:B2)"},
    ],
)
def test_formulas_that_read_other_cells_after_an_edit(formulas: dict[str, str]) -> None:
    worked = small(formulas)
    for edit in (at(A1=5), at(A3=70), at(A1=2, A2=3), at(A1=True), at(A4="x"), at(B1=900), {}):
        check(worked, edit)


def test_arrays_that_are_typed_over_and_back() -> None:
    worked = small({"D1": "SUM(C1:C4)", "D2": "C3+1"}, C1=("A1:A4*2", 4))
    assert worked.values["JOB", 1, 4] == 20
    for edit in (at(A3=30), at(C1=100), at(C1=100, A2=5), at(C3=7), at(A2=5), {}):
        check(worked, edit)


def test_what_hangs_on_the_clock_is_always_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    worked = small({"B1": "TODAY()+A1", "B2": "B1+1"})

    class Later(dt.date):
        @classmethod
        def today(cls) -> Later:
            return cls(2091, 5, 17)

    monkeypatch.setattr(dates, "dt", SimpleNamespace(**{**vars(dt), "date": Later}))
    assert worked.after({}) == whole(worked, {})
    assert worked.after({}) != worked.values


def test_what_is_never_worked_out_fails() -> None:
    worked = small({"B1": "IF(A1=1,A2,B2)", "B2": "B1+1"})
    with pytest.raises(AssertionError):
        worked.after(at(A1=2))
    assert worked.after(at(A1=1, A2=9)) == whole(worked, at(A1=1, A2=9))
