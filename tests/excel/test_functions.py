"""The functions for Excel, run through xlwings' own code for Windows.

Its decorators, its writing of VBA, its conversion of arguments and results, and its server's
answer to a cell are the library's; Windows and Excel are stood in for (``windows_stand_ins``).
Nothing here has run in Excel.
"""

from __future__ import annotations

import datetime as dt
import inspect
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest.mock import MagicMock

import pytest
from pygments.lexers import VbNetLexer
from pygments.token import Name

from basinbook.catalogue import InputError, call, functions
from basinbook.catalogue.model import CellError, Example, Function
from basinbook.engine import kinds
from basinbook.hosts.excel.names import MAX_HELP, RESERVED, excel_name
from example_arguments import raw_arguments
from excel.windows_stand_ins import DIV_0, MISSING, Windows, cells, windows, workbook

ALL = list(functions().values())
IDS = [function.name for function in ALL]
EXAMPLES = [(function, example) for function in ALL for example in function.examples]
MODULE = "basinbook.hosts.excel.functions"
WHY = functions()["WHY"]


@pytest.fixture(scope="module")
def excel() -> Iterator[Windows]:
    with windows() as found:
        yield found


@pytest.fixture(scope="module")
def vba(excel: Windows) -> str:
    """The VBA that xlwings writes into a workbook."""
    text = io.StringIO()
    excel.udfs.generate_vba_wrapper(MODULE, excel.functions, text, workbook())
    return text.getvalue()


def in_cell(excel: Windows, function: Function, *arguments: object) -> Any:
    """What xlwings' server gives Excel for a formula in a cell."""
    server = excel.com_server.XLPython()
    return server.CallUDF(MODULE, excel_name(function), arguments, workbook(), cells((None,)))


def as_excel(value: object) -> object:
    """An argument as it comes from cells: numbers are floats, several cells a range."""
    if isinstance(value, list):
        return cells(*(tuple(_number(cell) for cell in row) for row in value))
    if value is None:
        return MISSING
    return cells((_number(value),))


def _number(value: object) -> object:
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return value


def as_cells(value: Any) -> Any:
    """A catalogue's result as Excel gets it: no blanks, a single cell or row unwrapped."""
    if not isinstance(value, list):
        return "" if value is None else value
    rows = [["" if cell is None else cell for cell in row] for row in value] or [[""]]
    if len(rows) > 1:
        return rows
    return rows[0] if len(rows[0]) > 1 else rows[0][0]


def header(vba: str, function: Function) -> list[str]:
    """The parameters of a function in the VBA text."""
    match = re.search(rf"^Function {excel_name(function)}\((.*)\)$", vba, re.MULTILINE)
    assert match is not None
    return match[1].split(", ") if match[1] else []


# --- what xlwings writes into the workbook ------------------------------------------------------


@pytest.mark.parametrize("function", ALL, ids=IDS)
def test_vba_has_the_function_with_its_arguments(vba: str, function: Function) -> None:
    found = header(vba, function)
    declared = function.all_arguments
    assert len(found) == len(declared)
    for text, argument in zip(found, declared, strict=True):
        plain = text.removeprefix("Optional ").removeprefix("ParamArray ").removesuffix("()")
        assert plain.removesuffix("_") == argument.name
        assert text.startswith("Optional ") == (not argument.required and not argument.repeats)
        assert text.startswith("ParamArray ") == argument.repeats
    assert f'{excel_name(function)} = XLPy.CallUDF("{MODULE}", "{excel_name(function)}", ' in vba


def test_vba_has_no_other_functions(vba: str) -> None:
    found = re.findall(r"^Function (\w+)", vba, re.MULTILINE)
    assert sorted(found) == sorted(excel_name(function) for function in ALL)
    assert vba.isascii()


def names(vba: str, function: Function) -> list[str]:
    """The argument names of a function in the VBA text, in lower case."""
    return [text.rpartition(" ")[2].removesuffix("()").lower() for text in header(vba, function)]


def is_keyword(word: str) -> bool:
    """Whether Pygments takes a word for more than a name, in the sister language VB.NET."""
    return next(VbNetLexer().get_tokens(word))[0] not in Name


@pytest.mark.parametrize("function", ALL, ids=IDS)
def test_argument_names_are_no_words_of_the_language(vba: str, function: Function) -> None:
    found = names(vba, function)
    assert not {*found} & RESERVED
    assert [name for name in found if is_keyword(name)] == []
    assert len({*found}) == len(found)
    for name in [*found, excel_name(function)]:
        assert re.fullmatch(r"[a-z]\w*", name, re.IGNORECASE)
        assert len(name) <= 255  # [MS-VBAL] 3.3.5: at most 255 characters


def test_a_keyword_gets_an_underscore(vba: str) -> None:
    """The one argument named so: a length ``to`` some unit."""
    assert is_keyword("to")
    assert names(vba, functions()["CONVERTLENGTH"])[1] == "to_"


def test_why_takes_any_number_of_arguments(vba: str) -> None:
    assert header(vba, WHY) == ["function_name", "ParamArray argument()"]
    body = vba.split("Function BASIN_WHY")[1].split("End Function")[0]
    assert "argsArray = Array(function_name)" in body
    assert "For k = LBound(argument) To UBound(argument)" in body


@pytest.fixture(scope="module")
def imported(excel: Windows) -> Any:
    """A workbook after "Import Functions", with the VBA file's text."""
    book = workbook()
    component: Any = book
    component.VBProject = MagicMock()
    texts: list[str] = []
    component.VBProject.VBComponents.Import.side_effect = lambda name: texts.append(
        Path(name).read_text()
    )
    excel.udfs.import_udfs(MODULE, book)
    component.text = texts[0]
    return component


def test_import_functions_writes_one_module(imported: Any, vba: str) -> None:
    assert 'Attribute VB_Name = "xlwings_udfs"' in imported.text
    assert vba in imported.text
    assert max(len(line) for line in imported.text.splitlines()) <= 1023


@pytest.mark.parametrize("function", ALL, ids=IDS)
def test_wizard_has_category_and_help(imported: Any, function: Function) -> None:
    found = {
        shown.args[0].partition("!")[2]: shown.kwargs
        for shown in imported.Application.MacroOptions.call_args_list
    }[excel_name(function)]
    assert found["Category"] == "Basin"
    assert found["Description"] == function.summary
    assert len(found["ArgumentDescriptions"] or []) == len(function.all_arguments)
    for text, argument in zip(
        found["ArgumentDescriptions"] or [], function.all_arguments, strict=True
    ):
        assert text.startswith(argument.help[:200])
        assert len(text) <= MAX_HELP


@pytest.mark.parametrize("function", ALL, ids=IDS)
def test_functions_have_signatures_of_their_own(excel: Windows, function: Function) -> None:
    found = getattr(excel.functions, excel_name(function))
    assert callable(found)
    assert found.__name__ == excel_name(function)
    parameters = inspect.signature(found).parameters.values()
    assert [p.name.removesuffix("_") for p in parameters] == [
        a.name for a in function.all_arguments
    ]


# --- what a cell shows --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("function", "example"), EXAMPLES, ids=[f"{f.name}-{n}" for n, (f, _) in enumerate(EXAMPLES)]
)
def test_example_in_a_cell(excel: Windows, function: Function, example: Example) -> None:
    """Every declared example, its arguments in cells, gives what a direct call gives."""
    given = raw_arguments(function, example)
    expected = as_cells(call(function.name, *given).value)
    if function is WHY:
        # VBA hands over the values of what a ParamArray holds.
        found = in_cell(excel, function, *(_number(value) for value in given))
    else:
        found = in_cell(excel, function, *(as_excel(value) for value in given))
    assert found == expected
    assert type(found) is type(expected)


@pytest.mark.parametrize("function", [f for f in ALL if f.all_arguments], ids=lambda f: f.name)
def test_error_cells_show_as_an_error_with_a_reason(excel: Windows, function: Function) -> None:
    """None becomes a Null, which Excel shows as #VALUE!; the reason is in BASIN_WHY."""
    count = len(function.all_arguments)
    try:
        call(function.name, *[CellError("#DIV/0!")] * count)
    except InputError as error:
        reason = str(error)
    else:
        # A cell that explains errors, and one that hands them on with what stands beside them.
        assert function.name in (WHY.name, "JOINCELLS")
        return
    if function is WHY:
        assert in_cell(excel, function, *[DIV_0] * count) == reason
        return
    assert in_cell(excel, function, *[cells((DIV_0,))] * count) is None
    explained = in_cell(excel, WHY, excel_name(function), *[DIV_0] * count)
    # A range argument is one cell there, too.
    assert explained
    assert "#DIV/0!" in explained or "label" in explained


@pytest.mark.parametrize("blank", [MISSING, None, ""], ids=["missing", "blank", "empty text"])
def test_left_out_is_blank(excel: Windows, blank: object) -> None:
    weight = functions()["WATERWEIGHT"]
    # 10 gal of 231 in³ at 62.4 lb/ft³, NIST Handbook 44, appendix C; 1000 kg/m³ in the engine.
    assert in_cell(excel, weight, 10.0, blank, blank) == pytest.approx(83.45, abs=0.01)
    argument = blank if blank is MISSING else cells((blank,))
    assert in_cell(excel, weight, cells((10.0,)), argument) == in_cell(excel, weight, 10.0)


def test_required_left_blank_is_an_error(excel: Windows) -> None:
    assert in_cell(excel, functions()["WATERVOLUME"], cells((None,)), 24.0, 16.0) is None
    assert "inside_length" in in_cell(excel, WHY, "WATERVOLUME", None, 24.0, 16.0)


def test_several_cells_for_one_are_refused(excel: Windows) -> None:
    two = cells((48.0,), (50.0,))
    assert in_cell(excel, functions()["WATERVOLUME"], two, 24.0, 16.0) is None
    assert "give one cell" in in_cell(excel, WHY, "WATERVOLUME", ((48.0,), (50.0,)), 24.0, 16.0)


def test_too_many_arguments_are_refused(excel: Windows) -> None:
    assert "at most 4" in in_cell(excel, WHY, "WATERVOLUME", 1.0, 2.0, 3.0, "us", 5.0)


def test_arguments_worked_out_in_the_formula(excel: Windows) -> None:
    """``BASIN_WATERVOLUME(A1*2, ...)`` hands over numbers, not a range."""
    # 48 · 24 · 16 in³ is 18,432 in³; a US gallon is 231 in³ (NIST Handbook 44, appendix C).
    volume = in_cell(excel, functions()["WATERVOLUME"], 48.0, 24.0, 16.0)
    assert volume == pytest.approx(18432 / 231)


def test_dates_are_the_numbers_that_cells_hold(excel: Windows) -> None:
    """1 March 2026 is day 46,082 of the 1900 date system: 46,023 for 1 January, and 59 more."""
    read = excel.udfs.conversion.read
    accessor = excel.functions.user_defined.__globals__["CellRows"]
    assert read(None, dt.datetime(2026, 3, 1), {"convert": accessor}) == [[46082.0]]


def test_currency_cells_keep_their_digits(excel: Windows) -> None:
    """Only Value2 is asked for: the stand-in has no Value, which would round to four decimals."""
    price = 0.123456
    cost = functions()["ENERGYCOST"]
    direct = call("ENERGYCOST", 100.0, price).value
    assert in_cell(excel, cost, cells((100.0,)), cells((price,))) == direct


def test_array_in_cells(excel: Windows) -> None:
    steps = 4
    table = in_cell(excel, functions()["PRESSURETABLE"], 24.0, float(steps))
    assert [len(row) for row in table] == [len(table[0])] * (steps + 1)


def test_texts_in_tables_are_short_enough() -> None:
    """Excel refuses a table with a text of more than 255 characters (xlwings issue 456)."""
    long = []
    for function, example in EXAMPLES:
        value = call(function.name, *raw_arguments(function, example)).value
        rows = value if isinstance(value, list) else []
        long += [(function.name, cell) for row in rows for cell in row if len(str(cell)) > 255]
    for place in functions()["CAUTIONS"].arguments[0].choices:
        rows = call("CAUTIONS", place).value
        assert isinstance(rows, list)
        long += [("CAUTIONS", cell) for row in rows for cell in row if len(str(cell)) > 255]
    assert long == []


def test_range_arguments_never_follow_optional_ones() -> None:
    """Python, and so VBA, takes no required argument after an optional one."""
    for function in ALL:
        optional = [not argument.required for argument in function.all_arguments]
        assert optional == sorted(optional)
        assert all(a.kind is not kinds.RANGE or a.required for a in function.arguments)
