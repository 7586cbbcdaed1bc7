"""Made-up formulas and small workbooks of them: an Evaluation comes out, within limits.

``test_ordinary_formulas_agree_with_libreoffice`` compares formulas such as a user types with a
real LibreOffice; the others ask only that nothing escapes, hangs or swells.
"""

from __future__ import annotations

import math
import os
import shutil
from pathlib import Path
from random import Random

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basinbook.catalogue.model import CellError
from basinbook.evaluation.evaluator import Book, Evaluation, Formula, Grid, Value, evaluate_book
from basinbook.evaluation.functions import STANDARD
from basinbook.workbook.recalculation.recalc import evaluate
from fuzz_limits import limited, run

SECONDS, MEBIBYTES = 20.0, 768
_ENDLESS = ("RAND", "NOW", "TODAY")
PLACES = st.sampled_from(
    ("A1", "$B$2", "C3", "A1:C4", "B:B", "2:3", "A1:XFD9", "D9", "Other!A1", "'Other'!A:B",
     "Gone!A1", "#REF!", "ONE", "TWO", "LOOP", "Nameless", "A1#", "C4:A2")
)  # fmt: skip
CONSTANTS = st.one_of(
    st.integers(-9, 99).map(str),
    st.floats(0, 1e300).map(repr),
    st.sampled_from(
        ("0", "1E308", "1E-320", "007", "TRUE", "FALSE", '""', '"a"', '"*a*a*~*"', '"1,234.5"',
         '"1 1/2"', '">=2"', '"<>"', '"yyyy-mm-dd"', '"# ?/?"', '"B2"', '"2026-11-25"', '"é\n"',
         "#N/A", "{1,2;3,4}", '{"a";2}', "9" * 400)
    ),
)  # fmt: skip
OPERATORS = st.sampled_from(
    ("+", "-", "*", "/", "^", "&", "=", "<>", "<", ">", "<=", ">=", ":", " ", ",")
)
FUNCTIONS = st.sampled_from((*sorted(STANDARD), "BASIN.WATERVOLUME", "BASIN_LAYOUTNOTES", "NOSUCH"))


def _grown(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    arguments = st.lists(st.one_of(inner, inner, st.just("")), max_size=5)
    return st.one_of(
        st.builds("{0}{1}{2}".format, inner, OPERATORS, inner),
        st.builds("({0})".format, inner),
        st.builds("-{0}%".format, inner),
        st.builds(lambda name, parts: f"{name}({','.join(parts)})", FUNCTIONS, arguments),
    )


FORMULAS = st.recursive(st.one_of(CONSTANTS, PLACES), _grown, max_leaves=12)
SCRAPS = st.text("=+-*/^&<>:;,()[]{}\"'!#@%$ \n1aAé_.E\\~?\ue000\x00", max_size=6)


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """Return a formula with pieces cut out, doubled or replaced by scraps."""
    text = draw(FORMULAS)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 5)))
        text = text[:start] + draw(st.one_of(SCRAPS, st.just(text[start:end] * 2))) + text[end:]
    return text


VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-99, 99), st.floats(), st.text(max_size=9),
    st.sampled_from((CellError("#N/A"), CellError("#odd"), "*", "~", "1/2", 10**400, -0.0, 1e308)),
)  # fmt: skip
SPOTS = st.tuples(st.integers(1, 5), st.integers(1, 5))
NAMES = {
    ("", "ONE"): "Job!$A$1",
    ("", "TWO"): "ONE+ONE",
    ("OTHER", "TWO"): "2",
    ("", "LOOP"): "LOOP",
}


def check(book: Book) -> Evaluation:
    """Evaluate a book: each formula has a value that a cell can hold, or a reason."""
    with limited(SECONDS, MEBIBYTES):
        outcome = evaluate_book(book)
    for sheet, grid in book.grids.items():
        for place in grid.formulas:
            cell = (sheet, *place)
            assert (cell in outcome.values) != (cell in outcome.not_computed), cell
    for value in outcome.values.values():
        assert isinstance(value, (int, float, str, bool, CellError)), repr(value)
        assert not isinstance(value, float) or math.isfinite(value)
        assert not isinstance(value, str) or len(value) <= 32_767
    assert all(isinstance(reason, str) and reason for reason in outcome.not_computed.values())
    return outcome


@given(st.one_of(FORMULAS, mutated()), st.booleans(), st.dictionaries(SPOTS, VALUES, max_size=9))
def test_any_formula_gives_a_value_or_a_reason(
    text: str, is_array: bool, values: dict[tuple[int, int], Value]
) -> None:
    size = (3, 2) if is_array else (1, 1)
    job = Grid("Job", values, {(9, 9): Formula(text, *size, is_array), (12, 12): Formula("1+1")})
    book = Book({"JOB": job, "OTHER": Grid("Other", {(1, 1): 2})}, NAMES)
    assert check(book).values["JOB", 12, 12] == 2


@given(
    st.dictionaries(SPOTS, st.one_of(FORMULAS, FORMULAS, mutated()), max_size=12),
    st.dictionaries(SPOTS, VALUES, max_size=12),
    st.dictionaries(st.tuples(st.just(""), st.sampled_from(("ONE", "TWO", "LOOP"))), FORMULAS),
    st.booleans(),
)
def test_any_small_workbook_ends_the_same_twice(
    formulas: dict[tuple[int, int], str],
    values: dict[tuple[int, int], Value],
    names: dict[tuple[str, str], str],
    is_array: bool,
) -> None:
    arrays = {
        place: Formula(text, 2, 2, is_array=True) if is_array and sum(place) % 3 == 0
        else Formula(text)
        for place, text in formulas.items()
    }  # fmt: skip
    book = Book({"JOB": Grid("Job", values, arrays), "OTHER": Grid("Other", {(1, 1): 2})}, names)
    first, again = check(book), check(book)
    if not any(word in text for text in (*formulas.values(), *names.values()) for word in _ENDLESS):
        assert first == again


# ---- ordinary formulas, against LibreOffice

_NUMBERS = (
    "2",
    "7.5",
    "0.25",
    "-3",
    "1E3",
    "A1",
    "A2",
    "$A$3",
    "B1",
    "B2",
    "SUM(A1:B4)",
    "MAX(A:A)",
)
_TEXTS = ('"wall block"', '"cap"', "C1", "C2", "C3", '""', 'A1&" in"', "LEFT(C1,2)")
_RANGES = ("A1:A6", "B1:B6", "A1:B6", "A:A")


def ordinary(rng: Random, depth: int = 3) -> str:
    """Return a formula such as a user types, whose meaning all spreadsheets share."""
    if not depth or rng.random() < 0.15:
        return rng.choice(_NUMBERS)
    part = depth - 1

    def number() -> str:
        return ordinary(rng, part)

    def test() -> str:
        return rng.choice(
            (f"{number()}{rng.choice(('<', '>', '<=', '>=', '=', '<>'))}{number()}",
             f"{rng.choice(_TEXTS)}={rng.choice(_TEXTS)}", f"ISNUMBER({rng.choice(_NUMBERS[5:])})",
             f"AND({number()}>0,{number()}<9)", f"OR({number()}>5,{number()}<0)")
        )  # fmt: skip

    ranges, texts = rng.choice(_RANGES), rng.choice(_TEXTS)
    return rng.choice(
        (
            f"({number()}{rng.choice('+-*/')}{number()})",
            f"ROUND({number()},{rng.randint(-2, 4)})",
            f"ROUNDUP({number()},{rng.randint(0, 3)})",
            f"ROUNDDOWN({number()},{rng.randint(0, 3)})",
            f"CEILING(ABS({number()}),{rng.choice(('0.25', '4', '0.1'))})",
            f"MOD({number()},{rng.choice(('3', '0.5', '-4'))})",
            f"INT({number()})", f"ABS({number()})", f"-{number()}", f"{number()}%",
            f"({number()})^{rng.choice(('2', '3', '0.5'))}",
            f"IF({test()},{number()},{number()})",
            f"IFERROR({number()},{number()})",
            f"MIN({number()},{number()},{ranges})",
            f"{rng.choice(('SUM', 'AVERAGE', 'MEDIAN', 'COUNT', 'STDEV', 'PRODUCT'))}({ranges})",
            f"{rng.choice(('LARGE', 'SMALL'))}({ranges},{rng.randint(1, 5)})",
            f"COUNTIF({ranges},\"{rng.choice(('>', '<=', '<>'))}{rng.randint(-3, 9)}\")",
            f"SUMIF(A1:A6,\">{rng.randint(-3, 9)}\",B1:B6)",
            "SUMPRODUCT(A1:A6,B1:B6)", f"SUMPRODUCT((A1:A6>{number()})*1)",
            f"INDEX(A1:B6,{rng.randint(1, 6)},{rng.randint(1, 2)})",
            f"MATCH({number()},A1:A6,0)",
            f"VLOOKUP({rng.choice(('2', '7.5', 'A3'))},A1:B6,2,FALSE)",
            f"LEN({texts})", f"FIND(\"a\",{texts})", f"LEN(SUBSTITUTE({texts},\"a\",\"bb\"))",
            f"VALUE(MID(\"a{rng.randint(10, 99)}b\",2,2))", f"LEN({number()}&{texts})",
            f"YEAR(DATE(20{rng.randint(10, 40)},{rng.randint(1, 15)},{rng.randint(1, 31)}))",
            f"DAY(EDATE(45{rng.randint(100, 999)},{rng.randint(-9, 9)}))",
            f"WEEKDAY(45{rng.randint(100, 999)},{rng.randint(1, 3)})",
            f"PMT(0.0{rng.randint(1, 9)},{rng.randint(2, 60)},{number()})",
            f"CHOOSE({rng.randint(1, 3)},{number()},{number()},{number()})",
            f"SQRT(ABS({number()}))", f"LN(1+ABS({number()}))",
            f"QUARTILE({ranges},{rng.randint(0, 4)})",
        )
    )  # fmt: skip


@pytest.mark.calc
def test_ordinary_formulas_agree_with_libreoffice(tmp_path: Path) -> None:
    soffice = shutil.which("soffice")
    if soffice is None:
        pytest.skip("LibreOffice is not installed")
    is_long = os.environ.get("BASINBOOK_FUZZ") == "long"
    rng = Random() if is_long else Random(20261125)
    formulas = [ordinary(rng) for _ in range(5000 if is_long else 600)]
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in ((2, 3, "wall block"), (7.5, -1, "cap"), (-3, 0.1, "a"), (0, 12, None), (4, 4, "4")):
        sheet.append(row)
    for number, formula in enumerate(formulas, 1):
        sheet.cell(number, 8, "=" + formula)
    source = tmp_path / "ordinary.xlsx"
    book.save(source)
    done = run(
        [
            soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
            "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", tmp_path / "out", source,
        ],
        300.0,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    ours = evaluate(source)
    theirs = openpyxl.load_workbook(tmp_path / "out" / source.name, data_only=True).active
    assert theirs is not None
    differing = []
    for number, formula in enumerate(formulas, 1):
        if (sheet.title, f"H{number}") not in ours:
            # Reported as not computed: the blanks of a whole column.
            assert 'COUNTIF(A:A,"<' in formula, formula
            continue
        found, wanted = ours[sheet.title, f"H{number}"], theirs.cell(number, 8).value
        shown = found.text if isinstance(found, CellError) else found
        if isinstance(wanted, (int, float)) and isinstance(shown, (int, float)):
            # A difference of nearly equal numbers keeps few digits of either way to reckon it.
            same = math.isclose(shown, wanted, rel_tol=1e-9, abs_tol=1e-9)
        else:
            same = shown == wanted
        if not same:
            differing.append((formula, shown, wanted))
    assert not differing, "\n".join(map(str, differing[:40]))
