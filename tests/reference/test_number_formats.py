"""Number formats against the standard that defines them and against a reference library."""

from __future__ import annotations

import datetime as dt

import formulas
import pytest

from basinbook.evaluation.number_format import format_value

# ECMA-376 part 1, section 18.8.31 "numFmts" (first edition: part 4, section 3.8.31), found again
# with its format codes; the worked examples for decimal places, thousands and fractions are from
# memory.
ECMA = [
    (1234.59, "####.#", "1234.6"),
    (8.9, "#.000", "8.900"),
    (0.631, "0.#", "0.6"),
    (12, "#.0#", "12.0"),
    (1234.568, "#.0#", "1234.57"),
    (44.398, "???.???", " 44.398"),
    (102.65, "???.???", "102.65 "),
    (2.8, "???.???", "  2.8  "),
    (5.25, "# ???/???", "5 1/4"),
    (5.3, "# ???/???", "5 3/10"),
    (12000, "#,###", "12,000"),
    (12000, "#,", "12"),
    (12200000, "0.0,,", "12.2"),
]


@pytest.mark.parametrize(("value", "code", "expected"), ECMA)
def test_examples_of_the_standard(value: float, code: str, expected: str) -> None:
    """ECMA-376 part 1, section 18.8.31, worked examples (from memory)."""
    assert format_value(value, code).text == expected


# The PyPI library `formulas` has its own TEXT function; these are codes that it knows. Left out
# are values below 1 with thousands (it prints "0,.25") and halves (it rounds them to even).
CODES = ["0", "0.0", "0.00", "#,##0", "#,##0.00", "0%", "0.0%", "$#,##0.00", '0.0 "in"', "0.00E+00"]


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("value", [1.0, 7.126, 42.0, 999.94, 1234.5678, 12345678.9])
def test_agrees_with_a_reference_library(value: float, code: str) -> None:
    text = formulas.get_functions()["TEXT"]
    assert format_value(value, code).text == str(text(value, code))


@pytest.mark.parametrize("code", ["yyyy-mm-dd", "d mmm yyyy", "dddd", "mmmm yy", "hh:mm:ss"])
def test_dates_agree_with_a_reference_library(code: str) -> None:
    text = formulas.get_functions()["TEXT"]
    # Serial 46086 is 5 March 2026 (day 1 is 1 January 1900, with the usual leap day of 1900).
    moment = dt.datetime(2026, 3, 5, 14, 7, 30)
    serial = 46086 + (14 * 3600 + 7 * 60 + 30) / 86400
    assert format_value(moment, code).text == str(text(serial, code))
