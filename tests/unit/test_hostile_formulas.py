"""Workbooks that ask for too much: one bad cell is one reported cell, and the rest is computed.

Each case hung, took gigabytes or ended with a traceback in some evaluator of formulas. Limits are
counted in steps, so what is cut is cut the same way again; the clock here is a guard only.
"""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from basinbook.catalogue.model import CellError
from basinbook.cli import main
from basinbook.evaluation import budget, formula_tree
from basinbook.evaluation.budget import CELL_STEPS, MOST_TEXT
from basinbook.evaluation.evaluator import (
    Book,
    Evaluation,
    Formula,
    Grid,
    Value,
    evaluate_book,
)
from fuzz_limits import limited

Places = dict[tuple[int, int], str | Formula]
Values = dict[tuple[int, int], Value]
STARS = "*a" * 30 + "*b"
ALL_A: Values = {(row, 2): "a" * 60 for row in range(1, 10)}
CORNER: Values = {(1_048_576, 16_384): 1}


def computed(
    formulas: Places, values: Values | None = None, names: dict[str, str] | None = None
) -> Evaluation:
    """Evaluate the formulas, and beside them one that is as it should be."""
    grid = Grid(
        "Job",
        {(1, 1): 5, **(values or {})},
        {p: f if isinstance(f, Formula) else Formula(f) for p, f in formulas.items()},
    )
    grid.formulas[99, 99] = Formula("1+1")
    named = {("", name): text for name, text in (names or {}).items()}
    with limited(20.0, 512):
        outcome = evaluate_book(Book({"JOB": grid}, named))
    if not any("the workbook" in reason for reason in outcome.not_computed.values()):
        assert outcome.values["JOB", 99, 99] == 2
    return outcome


def doubling(levels: int, text: str) -> dict[str, str]:
    """Names of which each refers twice to the next."""
    names = {f"LEVEL_{n}": text.format(f"LEVEL_{n + 1}") for n in range(levels)}
    return names | {f"LEVEL_{levels}": "Job!$B$1"}


@pytest.mark.parametrize(
    ("formula", "why"),
    [
        ("9" * 5000, "too large to hold"),
        ("1" + "+1" * 5000, "more than 8,192 characters"),
        ("(" * 3000 + "1" + ")" * 3000, "nested too deeply"),
        ("IF(1," * 1000 + "1" + ")" * 1000, "nested too deeply"),
        ("SUM((" + ",".join(["A2:Z30000"] * 800) + "))", "nested too deeply"),
        ("A2:XFC1048575", "it reads a range of 17,178,"),
        ("SUM(SEQUENCE(1000000,1000000))", f"more than {CELL_STEPS:,} steps"),
        ("SUMPRODUCT((B:B=1)*(2:2=1))", f"more than {CELL_STEPS:,} steps"),
        ("SUM(MMULT(ROW(1:3000)*COLUMN(A:DZ),COLUMN(A:DZZ)*ROW(1:130)))", "steps"),
        ("NETWORKDAYS(1,2900000)+WORKDAY(1,3000000)", "steps"),
        ("CUMIPMT(0.1,1E9,100,1,1E9,0)", "steps"),
        ("SUM(MATCH(ROW(B1:B3000),ROW(B1:B3000)*1,0))", "steps"),
        ("'" * 8000, "can't be read"),
        ('"' * 8001, "can't be read"),
        ("{" * 8000, "can't be read"),
    ],
)
def test_what_asks_for_too_much_is_reported_and_keeps_its_value(formula: str, why: str) -> None:
    outcome = computed({(1, 1): Formula(formula, 1, 1, is_array=True), (2, 1): "A1+1"}, CORNER)
    assert why in outcome.not_computed["JOB", 1, 1]
    # The old value of A1 is 5, and what reads the cell goes on with it.
    assert outcome.values["JOB", 2, 1] == 6
    assert len(outcome.not_computed) == 1


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("007+1", 8),
        ("-" * 8000 + "1", 1),
        ("1" + "%" * 8000, 0),
        ("1" + "+1" * 4000, 4001),
        ('"' + "9" * 5000 + '"+1', CellError("#NUM!")),
        ("9^9^9^9^9", CellError("#NUM!")),
        ("POWER(99999,99999)", CellError("#NUM!")),
        ("ROUND(1.5,-1E9)", 1.5),
        ("PERMUT(900000000,800000000)", CellError("#NUM!")),
        ("COMBIN(90000000,40000000)", CellError("#NUM!")),
        ("FACT(100000000)", CellError("#NUM!")),
        ("LCM(1E14,99999999999999)", CellError("#NUM!")),
        ('REPT(REPT("x",30000),30000)', CellError("#VALUE!")),
        ('SUBSTITUTE(REPT("a",30000),"a",REPT("a",30000))', CellError("#VALUE!")),
        ('TEXTJOIN(REPT("x",30000),FALSE,B1:B9)', CellError("#VALUE!")),
        ('TEXT(1,REPT("0.",16000))', CellError("#VALUE!")),
        (f'COUNTIF(B1:B9,"{STARS}")', 0),
        (f'COUNTIF(B1:B9,"*{"?" * 60}*")', 9),
        (f'MATCH("{STARS}",B1:B9,0)', CellError("#N/A")),
        (f'SEARCH("{STARS}",B1)', CellError("#VALUE!")),
        ("DATE(1E14,1,1)", CellError("#NUM!")),
        ("RATE(1E300,-1,1)", CellError("#NUM!")),
    ],
)
def test_what_can_be_known_without_the_work_is_a_result(formula: str, value: Value) -> None:
    assert computed({(1, 1): formula}, ALL_A).values["JOB", 1, 1] == value


def test_texts_that_double_from_cell_to_cell_end_at_the_longest_text() -> None:
    formulas: Places = {(row, 2): f"B{row - 1}&B{row - 1}" for row in range(2, 60)}
    found = computed(formulas, {(1, 2): "x" * 8}).values
    assert len(str(found["JOB", 12, 2])) == 8 * 2**11 <= MOST_TEXT
    assert {found["JOB", row, 2] for row in range(14, 60)} == {CellError("#VALUE!")}


def test_names_that_double_or_lead_back_to_themselves() -> None:
    outcome = computed({(1, 1): "LEVEL_0"}, {(1, 2): 1}, doubling(30, "{0}+{0}"))
    assert "steps" in outcome.not_computed["JOB", 1, 1]
    outcome = computed({(1, 1): "SUM(LEVEL_0)"}, {(1, 2): 1}, doubling(30, "({0},{0})"))
    assert "steps" in outcome.not_computed["JOB", 1, 1]
    outcome = computed({(1, 1): "SUM(LEVEL_0 LEVEL_0)"}, {(1, 2): 1}, doubling(12, "({0},{0})"))
    assert "steps" in outcome.not_computed["JOB", 1, 1]
    outcome = computed({(1, 1): "LEVEL_0"}, {(1, 2): 1}, doubling(500, "{0}"))
    assert "nested" in outcome.not_computed["JOB", 1, 1]
    outcome = computed({(1, 1): "HERE"}, names={"HERE": "THERE", "THERE": "HERE"})
    assert "nested" in outcome.not_computed["JOB", 1, 1]


def test_arrays_over_whole_sheets_and_many_large_ones() -> None:
    whole = Formula("1", 1_048_576, 16_384, is_array=True)
    outcome = computed({(1, 1): whole, (1, 98): "A1+1"})
    assert "17,179,869,184 cells" in outcome.not_computed["JOB", 1, 1]
    assert outcome.values["JOB", 1, 98] == 6
    many: Places = {(2, n): Formula("1", 190_000, 1, is_array=True) for n in range(1, 90)}
    outcome = computed(many)
    assert "arrays cover more than 500,000" in outcome.not_computed["JOB", 2, 89]
    assert outcome.values["JOB", 190_001, 2] == 1


def test_an_array_that_overlaps_a_formula_leaves_it_its_cell() -> None:
    outcome = computed({(1, 1): Formula("7", 2, 2, is_array=True), (2, 2): "1+2"})
    found = [outcome.values["JOB", row, column] for row in (1, 2) for column in (1, 2)]
    assert found == [7, 7, 7, 3]


def test_long_chains_and_circles_through_texts() -> None:
    rows = 30_000
    chain: Places = {(row, 2): f"B{row + 1}+1" for row in range(1, rows)}
    assert computed(chain).values["JOB", 1, 2] == rows - 1
    through_texts: Places = {(row, 2): f'INDIRECT("B{row + 1}")+1' for row in range(1, 3000)}
    assert computed(through_texts).values["JOB", 1, 2] == 2999
    outcome = computed({(1, 1): 'INDIRECT("A2")', (2, 1): 'INDIRECT("A1")'})
    assert set(outcome.not_computed) == {("JOB", 1, 1), ("JOB", 2, 1)}
    circle: Places = {(row, 2): f"B1+B{row % 9000 + 1}" for row in range(1, 9001)}
    assert len(computed(circle).not_computed) == 9000


def test_a_workbook_of_many_long_searches_is_cut_at_the_same_cell_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(budget, "BOOK_STEPS", 1_000_000)
    rows = 1500
    values: Values = {(row, column): row for row in range(1, rows) for column in (2, 3)}
    sums: Places = {(row, 4): "SUMIF(B:B,B1,C:C)" for row in range(1, rows)}
    first = set(computed(sums, values).not_computed)
    assert 0 < len(first) < rows - 100
    again = computed(sums, values).not_computed
    assert first == set(again)
    assert "the workbook takes more than" in again["JOB", rows - 1, 4]


def test_a_file_with_odd_formulas_is_recalculated_and_they_are_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row, formula in enumerate(("007+1", "9" * 5000, "PERMUT(900000000,800000000)", "1+1"), 1):
        sheet.cell(row, 1, f"={formula}")
    book.save(path)
    with limited(60.0, 4096):  # room for the libraries that it imports
        assert main(["recalc", str(path)]) == 1
    shown = capsys.readouterr().out
    assert "3 of 4 formulas computed" in shown
    assert "Sheet!A2" in shown
    assert "too large to hold" in shown
    assert max(map(len, shown.splitlines())) < 400
    stored = openpyxl.load_workbook(path, data_only=True)["Sheet"]
    assert [stored.cell(row, 1).value for row in (1, 3, 4)] == [8, "#NUM!", 2]


def test_our_functions_given_whole_ranges_again_and_again() -> None:
    wide: Values = {(row, column): row for row in range(1, 2001) for column in range(10, 30)}
    calls: Places = {(row, 2): f"BASIN.WATERVOLUME(J1:AC2000,{row},16)" for row in range(1, 400)}
    outcome = computed(calls, wide)
    assert {outcome.values.get(("JOB", row, 2)) for row in range(1, 400)} <= {
        CellError("#VALUE!"),
        None,
    }
    assert "one cell" in outcome.refused["JOB", 1, 2]


def test_long_formulas_are_kept_up_to_so_many_characters_and_read_as_anew() -> None:
    """Those last asked for stay; what was given up is read again, and comes out the same."""
    kept = formula_tree._LongOnes(1000)
    texts = [f"{n}+" + "+".join(f"A{row}" for row in range(n, n + 90)) for n in range(1, 20)]
    first = [kept.parsed(text) for text in texts]
    assert sum(map(len, kept._kept)) == kept._characters <= 1000 < len(texts[0] + texts[1] * 2)
    assert kept.parsed(texts[-2]) is first[-2]
    kept.parsed(texts[0])
    assert [*kept._kept] == [texts[-2], texts[0]]
    assert kept.parsed(texts[-2]) is first[-2]
    again = kept.parsed(texts[5])
    assert again is not first[5]
    assert (again.shape.tree, again.numbers, again.areas) == (
        first[5].shape.tree, first[5].numbers, first[5].areas,
    )  # fmt: skip
    assert again.areas == formula_tree.parse(texts[5]).areas
    # One that is longer than all that may be kept is read all the same.
    whole = "+".join(f"A{row}" for row in range(1, 400))
    assert len(kept.parsed(whole).areas) == 399
    assert len(kept._kept) == kept._characters == 0
