"""Evaluating formulas with no spreadsheet program.

Expected values are hand arithmetic or follow from the meaning of the function in OpenFormula
(OASIS OpenDocument 1.2 part 2); ``test_agrees_with_libreoffice`` asks LibreOffice itself.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table as WorksheetTable

from basinbook import catalogue
from basinbook.catalogue.model import Array, CellError, Column, Function
from basinbook.engine import kinds
from basinbook.evaluation.evaluator import (
    Book,
    Evaluation,
    Formula,
    Grid,
    Table,
    Value,
    evaluate_book,
)
from basinbook.evaluation.our_functions import declared
from basinbook.workbook.recalculation.recalc import evaluate
from basinbook.workbook.update.known import shape
from standard_formulas import STANDARD_FORMULAS, as_filed


def evaluated(
    formulas: dict[tuple[int, int], str | Formula],
    values: dict[tuple[int, int], Value] | None = None,
    names: dict[tuple[str, str], str] | None = None,
) -> Evaluation:
    grid = Grid(
        "Job",
        dict(values or {}),
        {
            place: formula if isinstance(formula, Formula) else Formula(formula)
            for place, formula in formulas.items()
        },
    )
    prices = Grid("My Prices", {(1, 1): "block", (2, 1): "cap", (1, 2): 4.5, (2, 2): 6})
    blocks = Table("My Prices", 1, 1, 3, ("Block", "Price", "Number's"), headers=0)
    return evaluate_book(Book({"JOB": grid, "MY PRICES": prices}, names or {}, {"BLOCKS": blocks}))


def result(formula: str, values: dict[tuple[int, int], Value] | None = None) -> Value:
    """Value of ``formula`` in cell Z50."""
    outcome = evaluated({(50, 26): formula}, values)
    assert not outcome.not_computed
    return outcome.values["JOB", 50, 26]


def reason(formula: str, values: dict[tuple[int, int], Value] | None = None) -> str:
    return evaluated({(50, 26): formula}, values).not_computed["JOB", 50, 26]


@pytest.fixture
def table_function(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[float]]:
    """A catalogue function BASIN.SQUARES(n) that gives n rows of a number and its square."""
    calls: list[float] = []

    def compute(rows: float) -> list[list[float]]:
        calls.append(rows)
        return [[n, n * n] for n in range(1, round(rows) + 1)]

    from basinbook.catalogue.model import count

    squares = Function(
        "SQUARES", "Test", "Squares", (count("rows", "Rows", 0, 99),),
        Array((Column("number", kinds.RATIO), Column("square", kinds.RATIO))), "", (), compute,
    )  # fmt: skip
    monkeypatch.setitem(catalogue.functions(), "SQUARES", squares)
    declared.cache_clear()
    yield calls
    declared.cache_clear()


@pytest.mark.parametrize("name", ["BASIN.WATERVOLUME", "BASIN_WATERVOLUME", "basin.WaterVolume"])
def test_both_spellings_of_our_functions(name: str) -> None:
    # 48 · 24 · 16 in³ is 18,432 in³; a US gallon is 231 in³ (NIST Handbook 44, appendix C).
    assert result(f"{name}(48,24,16)") == pytest.approx(18432 / 231)


def test_our_functions_take_texts_cells_and_left_out_arguments() -> None:
    values: dict[tuple[int, int], Value] = {(1, 1): "4' 0\"", (1, 2): 24}
    assert result("BASIN.WATERVOLUME(A1,B1,16)", values) == pytest.approx(18432 / 231)
    with_default = result("BASIN.WATERWEIGHT(10)")
    assert result('BASIN.WATERWEIGHT(10,,"us")') == with_default
    assert result("BASIN.WATERWEIGHT(10,C9)") == with_default


def test_refused_arguments_show_an_error_and_say_why() -> None:
    outcome = evaluated(
        {
            (1, 1): "BASIN.WATERVOLUME(-5,24,16)",
            (2, 1): 'IFERROR(BASIN.WATERVOLUME(-5,24,16),"check")',
            (3, 1): "BASIN.WATERVOLUME(48,24,C9)",
            (4, 1): "BASIN.WATERVOLUME(48,24,1/0)",
        }
    )
    values = [outcome.values["JOB", row, 1] for row in (1, 2, 3, 4)]
    error = CellError("#VALUE!")
    assert values == [error, "check", error, error]
    assert "inside_length" in outcome.refused["JOB", 1, 1]
    assert ("JOB", 2, 1) not in outcome.refused
    assert "water_depth: a blank" in outcome.refused["JOB", 3, 1]
    assert "#DIV/0!" in outcome.refused["JOB", 4, 1]


def test_a_table_fills_its_array_formula_pads_with_blanks_and_is_cut(
    table_function: list[float],
) -> None:
    outcome = evaluated(
        {
            (1, 1): Formula("BASIN.SQUARES(3)", 5, 2, is_array=True),
            (1, 4): Formula("BASIN_SQUARES(3)", 2, 1, is_array=True),
            (1, 6): Formula("BASIN.SQUARES(1)", 3, 2, is_array=True),
        }
    )
    table = [[outcome.values["JOB", row, column] for column in (1, 2)] for row in range(1, 6)]
    assert table == [[1, 1], [2, 4], [3, 9], ["", ""], ["", ""]]
    assert [outcome.values["JOB", row, 4] for row in (1, 2)] == [1, 2]
    # A table of one row is not repeated downwards.
    assert [outcome.values["JOB", row, 7] for row in (1, 2, 3)] == [1, "", ""]
    # The same table is worked out once.
    assert len(table_function) == 2


def test_index_into_a_table_and_reading_cells_of_an_array(table_function: list[float]) -> None:
    outcome = evaluated(
        {
            (1, 1): Formula("BASIN.SQUARES(3)", 5, 2, is_array=True),
            (1, 4): "INDEX(BASIN.SQUARES(3),2,2)",
            (2, 4): "SUM(B1:B5)",
            (3, 4): "B2+1",
            (4, 4): "SUM(A1#)",
            (5, 4): "BASIN.SQUARES(3)",
            (6, 4): 'SUMPRODUCT((A1:A5<>"")*1)',
        }
    )
    assert [outcome.values["JOB", row, 4] for row in range(1, 7)] == [4, 14, 5, 20, 1, 3]
    assert table_function == [3]


def test_a_failing_function_is_reported_by_cell(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("float division")

    monkeypatch.setattr(catalogue, "call", broken)
    outcome = evaluated({(1, 1): "BASIN.WATERVOLUME(48,24,16)", (2, 1): "1+1"})
    assert "ZeroDivisionError" in outcome.not_computed["JOB", 1, 1]
    assert outcome.values["JOB", 2, 1] == 2


@pytest.mark.parametrize(
    ("formula", "why"),
    [
        ("FOO(1)", "FOO"),
        ("BASIN.NOSUCH(1)", "BASIN.NOSUCH"),
        ("[1]Sheet1!A1*2", "another workbook"),
        ("'[2]Other sheet'!A1", "another workbook"),
        ("Gone!A1", "no sheet Gone"),
        ("NoSuchName*2", "NoSuchName"),
        ("Table1[Length]", "can't be read"),
        ("Blocks[Weight]", "no column Weight"),
        ("Blocks[[#Totals],[Price]]", "no part #totals"),
        ("INDIRECT(A1)", "INDIRECT"),
        ("_xlfn.LET(x,1,x+1)", "LET"),
        ("SUM(Job:Other!A1)", "Job"),
        ("ISFORMULA(A1)", "ISFORMULA"),
        ("IFERROR(FOO(1),0)", "FOO"),
        ("COUNTBLANK(A:A)", "whole columns"),
        ("SUMIF(A1:A3,1,B1:B2)", "different size"),
        ("SUM(1", "can't be read"),
    ],
)
def test_what_is_not_known_is_never_a_number(formula: str, why: str) -> None:
    assert why in reason(formula)


def test_what_excel_saves_with_the_addin_is_ours() -> None:
    """It writes a link before our functions; another workbook's functions stay unknown."""
    assert result("[1]!BASIN_WATERVOLUME(48,24,16)*231") == pytest.approx(48 * 24 * 16)
    assert result('IF([12]!BASIN_WATERVOLUME(48,24,16)>1,"x","y")') == "x"
    assert "can't be read" in reason("[1]!FOO(1)")
    linked, plain = "[1]!BASIN_PACKS(A1,2)", "BASIN.PACKS($A$1, 2)"
    assert shape(linked) == shape(plain)


def test_the_branch_not_taken_is_not_read() -> None:
    assert result("IF(TRUE,1,FOO(1))") == 1
    assert result("IFERROR(2,FOO(1))") == 2
    assert result('CHOOSE(2,FOO(1),"b")') == "b"
    assert "FOO" in reason("IF(FALSE,1,FOO(1))")


def test_cells_keep_their_old_value_and_others_use_it() -> None:
    outcome = evaluated(
        {(1, 1): "FOO(1)", (2, 1): "A1*2", (3, 1): "FOO(2)", (4, 1): "A3*2"}, {(1, 1): 21}
    )
    assert outcome.values == {("JOB", 2, 1): 42}
    assert set(outcome.not_computed) == {("JOB", 1, 1), ("JOB", 3, 1), ("JOB", 4, 1)}
    assert outcome.not_computed["JOB", 4, 1] == "it reads Job!A3, which could not be computed"


@pytest.mark.parametrize(
    "formula", ["INDEX(A1:A2,{1,2},1)", "SUM(A1:A2)", "ROW(A1)+COUNTIF(A1:A2,1)", "A1:A2*2"]
)
def test_no_function_hides_that_a_cell_has_no_value(formula: str) -> None:
    outcome = evaluated({(1, 1): "FOO(1)", (1, 3): Formula(formula, 1, 2, is_array=True)})
    assert "reads Job!A1" in outcome.not_computed["JOB", 1, 3]


def test_huge_ranges_are_refused() -> None:
    assert "cells" in reason("SUM(A1:XFC1048575)")


def test_every_cell_of_a_circle_is_reported() -> None:
    outcome = evaluated(
        {(1, 1): "A2+1", (2, 1): "A3+1", (3, 1): "A1+1", (4, 1): "A4", (5, 1): "A1+1"},
        {(1, 1): 5},
    )
    circle = {("JOB", row, 1) for row in (1, 2, 3, 4)}
    assert {c for c, why in outcome.not_computed.items() if "itself" in why} == circle
    assert outcome.values == {("JOB", 5, 1): 6}


def test_a_circle_that_no_branch_enters_is_none() -> None:
    outcome = evaluated({(1, 1): "IF(TRUE,7,A2)", (2, 1): "A1+1"})
    assert not outcome.not_computed
    assert outcome.values["JOB", 2, 1] == 8


def test_a_long_chain_needs_no_deep_recursion() -> None:
    rows = 5000
    formulas: dict[tuple[int, int], str | Formula] = {(rows, 1): "1"}
    formulas |= {(row, 1): f"A{row + 1}+1" for row in range(1, rows)}
    assert evaluated(formulas).values["JOB", 1, 1] == rows


def test_names_of_the_workbook_and_of_a_sheet() -> None:
    names = {
        ("", "RATE"): "'My Prices'!$B$1",
        ("", "WASTE"): "5%",
        ("MY PRICES", "WASTE"): "7%",
        ("JOB", "TOTAL"): "SUM('My Prices'!$B$1:$B$2)",
        ("", "LOOP"): "Loop",
    }
    outcome = evaluated(
        {
            (1, 1): "Rate*2",
            (2, 1): "waste*100",
            (3, 1): "'My Prices'!Waste*100",
            (4, 1): "Total",
            (5, 1): "Loop+1",
        },
        names=names,
    )
    assert [outcome.values["JOB", row, 1] for row in range(1, 5)] == [9, 5, pytest.approx(7), 10.5]
    assert "nested" in outcome.not_computed["JOB", 5, 1]


def test_dates_of_a_1904_workbook_are_not_guessed() -> None:
    grid = Grid("Job", {}, {(1, 1): Formula("YEAR(40000)"), (2, 1): Formula("1+1")})
    outcome = evaluate_book(Book({"JOB": grid}, date_1904=True))
    assert "1904" in outcome.not_computed["JOB", 1, 1]
    assert outcome.values["JOB", 2, 1] == 2


DATA: dict[tuple[int, int], Value] = {
    (1, 1): "block", (2, 1): "cap", (3, 1): "Cap, wide", (4, 1): "sand",
    (1, 2): 4, (2, 2): 12, (4, 2): 3, (1, 3): True, (2, 3): CellError("#DIV/0!"),
    (5, 1): "12", (5, 2): 1234567.891,
}  # fmt: skip


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        # XLOOKUP and XMATCH: not in every LibreOffice; meaning from memory, as in its help.
        ('_xlfn.XLOOKUP("cap",A1:A4,B1:B4)', 12),
        ('_xlfn.XLOOKUP("none",A1:A4,B1:B4,"not priced")', "not priced"),
        ('_xlfn.XLOOKUP("none",A:A,B:B)', CellError("#N/A")),
        ('_xlfn.XLOOKUP("CAP",A:A,B:B)*2', 24),
        ('_xlfn.XMATCH("sand",A1:A4)', 4),
        # A logical value is greater than any number, and no text takes part in a sum.
        ("TRUE>5", True),
        ("SUM(A1:C1)", 4),
        ('"t="&TRUE', "t=TRUE"),
        # 15 digits: what a calculator shows as 3 is 3.
        ("ROUNDUP(1.1*3-0.3,0)", 3),
        ("ROUNDUP(0.07*100,0)", 7),
        ("CEILING(0.07*100,1)", 7),
        ("ROUND(1.005,2)", 1.01),
        ("ROUND(-2.5,0)", -3),
        ("0.1+0.2=0.3", True),
        ("ROUNDUP(MOD(20.6,0.5),2)", 0.1),
        ('"n="&0.1+0.2', "n=0.3"),
        ('"n="&B5', "n=1234567.891"),
        ("--C1", 1),
        ('SUMPRODUCT(--(A1:A4="cap"))', 1),
        ('COUNTIF(A1:A4,"cap*")', 2),
        ('COUNTIF(A1:A4,"?ap")', 1),
        ('COUNTIF(A1:A4,"<>*ap*")', 2),
        ('SUMIF(A1:A4,"C*",B1:B4)', 12),
        ('VALUE("1,234.5")', 1234.5),
        ('"1 1/2"*2', 3),
        ('"4\' 2"""*2', CellError("#VALUE!")),
        ('TEXT(B5,"#,##0.00")&" in"', "1,234,567.89 in"),
        ('TEXT(1.5,"# ?/?")', "1 1/2"),
        ('TEXT("12","0.0")', "12.0"),
        ('TEXT(-3.2,"0.0;(0.0)")', "(3.2)"),
        ('TEXT(1/3,"General")', "0.333333333333333"),
        ('TRIM("  wall   block ")', "wall block"),
        ("0^-1", CellError("#DIV/0!")),
        ("(-8)^0.5", CellError("#NUM!")),
        ("10^400", CellError("#NUM!")),
        ("C2+1", CellError("#DIV/0!")),
        ("IFERROR(C2,0)", 0),
        ("B3", 0),
        ("SUM(B1:INDEX(B1:B4,2))", 16),
        ("SUM('My Prices'!B1:INDEX('My Prices'!B1:B2,2))", 10.5),
        ("SUM((B1,B4))", 7),
        ("SUM(A1:B4 B1:C2)", 16),
        ("INDEX(B1:B4,9)", CellError("#REF!")),
        ("SUM(INDEX(A1:B4,0,2))", 19),
        ("INDEX(A1:B4,2,2)+0", 12),
        ('"line\nbreak"&"!"', "line\nbreak!"),
        ("SUM(B1,\n B2)", 16),
        ('HYPERLINK("#Job!A1","go")', "go"),
        ("ROWS(A:A)", 1048576),
        ("ROW()", 50),
        ("COLUMN()", 26),
        ("LEN(1/3)", 17),
        ("SUM(OFFSET(B1,0,0,2))", 16),
        ("OFFSET(B4,-2,0)", 12),
        ("SUM(OFFSET(B2,0,0,-2,1))", 16),
        ("OFFSET(A1,-1,0)", CellError("#REF!")),
        ("SUM(B1:OFFSET(B1,1,0))", 16),
        ("SUM(OFFSET(B1,1,0):B4)", 15),
        ('INDIRECT("B"&2)', 12),
        ("SUM(INDIRECT(\"'My Prices'!B1:B2\"))", 10.5),
        ("SUBTOTAL(9,B1:B4)", 19),
        ("SUBTOTAL(103,A1:A4)", 4),
        ("SUM(Blocks[Price])", 10.5),
        ("COUNTA(Blocks)", 4),
        ('INDEX(Blocks[Price],MATCH("cap",blocks[block],0))', 6),
        ('COUNTA(Blocks[[#All],[Block]:[Price]])&" Blocks[Price]"', "4 Blocks[Price]"),
        ("N(C1)", 1),
    ],
)
def test_standard_functions(formula: str, expected: Value) -> None:
    assert result(formula, DATA) == expected
    assert isinstance(result(formula, DATA), bool) == isinstance(expected, bool)


def test_a_table_with_headers_totals_and_its_own_row() -> None:
    values: dict[tuple[int, int], Value] = {
        (1, 1): "Item", (1, 2): "Price's", (2, 1): "a", (2, 2): 2, (3, 1): "b", (3, 2): 3,
    }  # fmt: skip
    table = Table("Job", 1, 1, 4, ("Item", "Price's", "Twice"), totals=1)
    formulas = {
        (2, 3): "T[[#This Row],[Price''s]]*2",
        (3, 3): "T[[#This Row],[Price''s]]*2",
        (4, 3): "SUBTOTAL(109,T[Twice])",
        (6, 1): "T[[#Headers],[Price''s]]",
        (6, 2): "SUM(T[#Data])",
        (6, 3): "T[[#Totals],[Twice]]",
        (6, 4): "COUNTA(T[#All])",
        (6, 5): "COUNTA(T[[#Headers],[#Data],[Item]])",
        (6, 6): "T[[#This Row],[Item]]",
    }
    grid = Grid("Job", values, {place: Formula(text) for place, text in formulas.items()})
    outcome = evaluate_book(Book({"JOB": grid}, tables={"T": table}))
    found = {cell[1:]: value for cell, value in outcome.values.items()}
    assert [found[row, 3] for row in (2, 3, 4)] == [4, 6, 10]
    assert [found[6, column] for column in range(1, 6)] == ["Price's", 15, 10, 9, 3]
    assert "this row" in outcome.not_computed["JOB", 6, 6]


def test_subtotals_leave_out_other_subtotals_and_refuse_hidden_rows() -> None:
    values: dict[tuple[int, int], Value] = {(1, 1): 1, (2, 1): 2, (4, 1): 4}
    formulas = {(3, 1): Formula("SUBTOTAL(9,A1:A2)"), (5, 1): Formula("SUBTOTAL(9,A1:A4)")}
    shown = evaluate_book(Book({"JOB": Grid("Job", values, formulas)}))
    assert [shown.values["JOB", row, 1] for row in (3, 5)] == [3, 7]
    hidden = evaluate_book(Book({"JOB": Grid("Job", values, formulas, frozenset({4}))}))
    assert hidden.values["JOB", 3, 1] == 3
    assert "hidden rows" in hidden.not_computed["JOB", 5, 1]


def test_plain_formulas_take_the_cell_of_their_own_row() -> None:
    values: dict[tuple[int, int], Value] = {(1, 1): 10, (2, 1): 20, (3, 1): 30}
    outcome = evaluated(
        {
            (2, 2): "A1:A3*2",
            (2, 3): "A1:A3",
            (9, 2): "A1:A3",
            (3, 4): "ROUND(A1:A3/7,0)",
            (1, 5): Formula("A1:A3*2", 4, 1, is_array=True),
            (1, 6): Formula("SUM(A1:A3)", 2, 1, is_array=True),
        },
        values,
    )
    found = {cell[1:]: value for cell, value in outcome.values.items()}
    assert (found[2, 2], found[2, 3], found[3, 4]) == (40, 20, 4)
    assert found[9, 2] == CellError("#VALUE!")
    assert [found[row, 5] for row in range(1, 5)] == [20, 40, 60, CellError("#N/A")]
    assert [found[row, 6] for row in (1, 2)] == [60, 60]


LIBREOFFICE = r'''
SUM(Data!B:B)|SUM(Prices)|SUM(Prices*2)|Rate*2|Waste+1|MAX(Data!B1:B5)|MIN(Data!A1:C5)
AVERAGE(Data!B1:B5)|COUNT(Data!B1:C5)|COUNTA(Data!A1:D5)|COUNTBLANK(Data!A1:D5)
COUNTIF(Data!B1:B5,">3")|COUNTIF(Data!A1:A5,"p*")|COUNTIF(Data!A1:A5,"PUMP")
COUNTIFS(Data!B1:B5,">1",Data!C1:C5,"<30")|SUMIF(Data!A1:A5,"block",Data!B1:B5)
SUMIF(Data!A:A,"cap",'My Prices'!B:B)|SUMIFS(Data!B1:B5,Data!C1:C5,">1",Data!A1:A5,"c*")
SUMPRODUCT(Data!B1:B5,'My Prices'!B1:B5)|SUMPRODUCT((Data!B1:B5>2)*'My Prices'!B1:B5)
SUMPRODUCT(--(Data!A1:A5="cap"))|INDEX('My Prices'!B:B,MATCH("sand",'My Prices'!A:A,0))
INDEX('My Prices'!A1:B5,2,2)|SUM(INDEX('My Prices'!A1:B5,0,2))
SUM('My Prices'!B1:INDEX('My Prices'!B1:B5,3))|MATCH("zzz",'My Prices'!A1:A5,0)
MATCH(25,'My Prices'!B1:B5,1)|VLOOKUP("liner",'My Prices'!A1:B5,2,FALSE)
LOOKUP(25,'My Prices'!B1:B5,'My Prices'!A1:A5)|IFERROR(Data!G1,"none")|IFNA(Data!G2,"na")
IF(Data!B1>3,"big","small")|IF(Data!B3="","blank","full")|IF(Data!B3=0,"zero","not")
IF(Data!A1="BLOCK",1,2)|IF(FALSE,1)|IF(Data!G1>1,1,2)|IF(TRUE,5,Data!G1)|IF(1,,2)
AND(Data!B1>3,Data!C1>1)|OR(FALSE,Data!B1>10)|NOT(Data!D1)|CHOOSE(2,"a","b","c")
ROUNDUP(Data!B1/3,0)|ROUNDUP(-2.1,0)|ROUNDUP(12.341,2)|ROUNDUP(1.1*3-0.3,0)|ROUNDUP(5,-1)
ROUNDUP(0.07*100,0)|ROUNDDOWN(12.349,2)|ROUNDDOWN(0.57*100,0)|ROUND(2.5,0)|ROUND(-2.5,0)
ROUND(1.005,2)|ROUND(0.285,2)|ROUND(1234.567,-2)|CEILING(13,4)|CEILING(0.3,0.1)|CEILING(6.3,2.1)
CEILING(0.07*100,1)|FLOOR(13,4)|FLOOR(0.57*100,1)|MROUND(13,5)|INT(-2.5)|INT(4.35*100)|TRUNC(-2.7)
MOD(-7,3)|MOD(7,-3)|MOD(1,0.1)|QUOTIENT(7,2)|ABS(Data!F3)|POWER(2,10)|2^-1|-2^2|10%|50%*4|7/0
0.1+0.2=0.3|1.1*3-0.3=3|TEXT(1234.5678,"#,##0.00")|TEXT(0.256,"0.0%")|TEXT(5,"000")
TEXT(1.5,"# ?/?")|TEXT(45000,"yyyy-mm-dd")|TEXT(1234.5,"$#,##0.00")|TEXT(12.5,"0.##")
TEXT(-3.2,"0.0;(0.0)")|TEXT("abc","0.00")|TEXT(2,"0 ""in""")|TEXT(0.5,"h:mm")|FIXED(1234.567,1)
Data!A1&" x "&Data!B1|"n="&0.1+0.2|"n="&Data!B3|"n="&1/3|"n="&123456789012|"n="&1E-7
Data!A1&Data!G1|LEFT("column",3)|MID("column",2,3)|RIGHT("column",2)|LEN(Data!F1)|UPPER("Cap")
TRIM("  a  b ")|SUBSTITUTE("a-b-c","-","/")|FIND("b","abc")|FIND("z","abc")|SEARCH("B","abc")
REPT("ab",3)|VALUE("12.5")|VALUE("1,234.5")|VALUE("5%")|"1 1/2"+0|EXACT("a","A")|"a"="A"|1<"a"
Data!F2+1|Data!B3+1|Data!A1+1|Data!D1+1|Data!G2+1|ISNUMBER(Data!B1)|ISBLANK(Data!B3)|ISNA(Data!G2)
ROW()|COLUMN()|ROW(Data!B3)|ROWS(Data!A:A)|COLUMNS(Data!A1:C5)|DATE(2024,2,30)|YEAR(45000)
EDATE(45000,1)|WEEKDAY(45000)|LARGE('My Prices'!B1:B5,2)|MEDIAN('My Prices'!B1:B5)
STDEV('My Prices'!B1:B5)|RANK(30,'My Prices'!B1:B5)|PMT(0.05/12,12,1000)|Data!B3|Data!A1
SUM({1,2;3,4})|SUMPRODUCT({1,2,3},{4,5,6})|MATCH(2,{1,2,3},0)|SUM(Data!B1:B5 Data!A1:B2)
SUM((Data!B1,Data!B2))|IF(ISNUMBER(Data!C5),Data!C5,0)|PRODUCT('My Prices'!B1:B3)|LN(10)|LOG10(1000)
COUNTIF(Data!A1:A5,"<>cap")|COUNTIF(Data!B1:B5,"")|COUNTIF(Data!A1:A5,"?ump")|SUMIF(Data!B1:B5,">=3")
AVERAGEIF(Data!B1:B5,">3")|"5"*"2"|""&""|Data!B3=""|Data!B3<1|SUM(1,,2)|AVERAGE(Data!A1:A5)
SUBTOTAL(9,Data!B1:B5)|OFFSET(Data!A1,1,1)|SUM(OFFSET(Data!B1,1,0,3,1))|INDIRECT("Data!B1")|N(TRUE)
SUM(Costs[Price])|Costs[[#Headers],[Price]]|SUM(Costs[[Price]:[Count]])|COUNTIF(Data!A1:A9,"*")|COUNTIF(Data!B3,"e*")
MATCH("p*",Data!A1:A5,0)|VLOOKUP(25,{10,"a";20,"b";30,"c"},2)|DEGREES(PI())|MAX(0,MIN(10,Data!B1*5))
'''.replace("\n", "|").strip("|").split("|")  # fmt: skip
LIBREOFFICE += STANDARD_FORMULAS
ARRAYS = {
    "A1:A5": "=Data!B1:B5*'My Prices'!B1:B5",
    "B1:B7": "=Data!B1:B5*2",
    "C1:C3": "=SUM(Data!B1:B5*2)",
    "D1:E3": "=Data!A1:A3",
    "F1:F5": '=IF(Data!B1:B5>2,"y","n")',
    "R1:R2": "=INDEX(Data!A1:C5,{1;2},2)",
    "S1:S2": "=INDEX(Data!A1:C5,0,3)",
    "G1:H2": "=TRANSPOSE({1,2;3,4})",
    "J1:J1": '=INDEX(Data!B1:B5,MATCH(1,(Data!A1:A5="cap")*(Data!C1:C5>1),0))',
    "K1:K5": "=ROW(Data!A1:A5)-ROW(Data!A1)+1",
    "L1:L5": '=IFERROR(Data!B1:B5/(Data!B1:B5-4),"err")',
    "M1:N2": "=Data!A1:C3",
}


def build_comparison(path: Path) -> None:
    book = openpyxl.Workbook()
    data = book.active
    assert data is not None
    data.title = "Data"
    for row in (
        ("block", 4, 1.5, True, None, "4' 2\""),
        ("cap", 12, 2.25, False, None, "12"),
        ("sand", None, 0.5, True, None, -2.5),
        ("liner", 3, 40, None),
        ("Pump", 1, "n/a", True),
    ):
        data.append(row)
    data["G1"], data["G2"] = "=1/0", "=NA()"
    prices = book.create_sheet("My Prices")
    for number, name in enumerate(("block", "cap", "sand", "liner", "pump"), 1):
        prices.append((name, number * 10))
    costs = book.create_sheet("Costs sheet")
    for row in (("Price", "Count"), (2.5, 4), (3, 5)):
        costs.append(row)
    costs.add_table(WorksheetTable(displayName="Costs", ref="A1:B3"))
    for name, text in (
        ("Rate", "Data!$C$2"),
        ("Prices", "'My Prices'!$B$1:$B$5"),
        ("Waste", "0.05"),
    ):
        book.defined_names[name] = DefinedName(name, attr_text=text)
    calc = book.create_sheet("Calc")
    for row_number, formula in enumerate(LIBREOFFICE, 1):
        calc.cell(row_number, 2, "=" + as_filed(formula))
    arrays = book.create_sheet("Arr")
    for reference, formula in ARRAYS.items():
        arrays[reference.split(":")[0]] = ArrayFormula(reference, formula)
    arrays["P2"], arrays["Q2"] = "=Data!B1:B5", "=Data!B1:B5*2"
    book.save(path)


@pytest.mark.calc
def test_agrees_with_libreoffice(tmp_path: Path) -> None:
    soffice = shutil.which("soffice")
    if soffice is None:
        pytest.skip("LibreOffice is not installed")
    source = tmp_path / "formulas.xlsx"
    build_comparison(source)
    subprocess.run(
        [
            soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
            "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", tmp_path / "out", source,
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    ours = evaluate(source)
    theirs = openpyxl.load_workbook(tmp_path / "out" / source.name, data_only=True)
    compared = 0
    for sheet in ("Calc", "Arr"):
        for row in theirs[sheet].iter_rows():
            for cell in row:
                expected = cell.value
                if expected is not None and not isinstance(expected, (str, bool, int, float)):
                    expected = to_excel(expected)
                found = ours.get((sheet, cell.coordinate))
                text = found.text if isinstance(found, CellError) else found
                label = LIBREOFFICE[cell.row - 1] if sheet == "Calc" else cell.coordinate
                if isinstance(expected, float):
                    assert (label, text) == (label, pytest.approx(expected, rel=1e-12))
                else:
                    assert (label, text or "") == (label, expected or "")
                compared += expected is not None
    assert compared > len(LIBREOFFICE)
