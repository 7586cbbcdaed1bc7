"""Making one user-defined function of xlwings out of one function of the catalogue.

An argument reaches the catalogue as rows of cells. A result goes back as rows of cells, too: that
is what xlwings' server hands to Excel. A refused argument must show as #VALUE!, so that IFERROR
and the cells after it know that there is no number; xlwings turns exceptions into text, and its
own way to errors is none. A cell shows #VALUE! where the function returns Null, which is what
COM makes of None.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from datetime import datetime
from typing import Any, Final

import xlwings
from xlwings import conversion

from basinbook.catalogue import call
from basinbook.catalogue.model import Cell, CellError, Function, Table
from basinbook.engine.errors import InputError
from basinbook.hosts.excel.names import argument_name, excel_name, help_text
from basinbook.hosts.function_help import CATEGORY, argument_help

_EXPLAINS: Final = "WHY"
_ERRORS: Final = frozenset(
    ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"),
)
_VALUE_ERROR: Final = None


class CellRows(conversion.Accessor):
    """Reads an argument as rows of plain cells, by xlwings' own stages but for the first.

    xlwings reads ``Range.Value``, which rounds cells in a currency format to four decimals and
    gives dates as dates; ``Value2`` gives every number as it is.
    """

    @staticmethod
    def reader(options: dict[str, Any]) -> Any:
        """Return the stages that an argument goes through."""
        accessor: Any = conversion.ValueAccessor
        stages = accessor.reader({**options, "ndim": 2, "err_to_str": True})
        stages.insert_stage(_fetch, replace=conversion.ReadValueFromRangeStage)
        return stages.append_stage(_plain_cells)


def user_defined(function: Function) -> Callable[..., object]:
    """Return a Python function that xlwings can offer to Excel, with xlwings' marks on it."""

    def run(*given: object) -> object:
        return answer(function, given)

    run.__name__ = run.__qualname__ = excel_name(function)
    run.__doc__ = help_text(function.summary)
    # xlwings reads both: the names and defaults are the catalogue's, and a type would make it
    # convert.
    run.__signature__ = signature(function)  # type: ignore[attr-defined]
    run.__annotations__ = {}
    marked: Any = xlwings.ret(convert="raw")(run)
    for argument in function.all_arguments:
        marked = xlwings.arg(
            argument_name(argument), convert=CellRows, doc=help_text(argument_help(argument))
        )(marked)
    # Last, since the other marks would put the category back to xlwings' own.
    offered: Callable[..., object] = xlwings.func(category=CATEGORY)(marked)
    return offered


def answer(function: Function, given: tuple[object, ...]) -> list[list[Cell]]:
    """Call a function with arguments from Excel; return rows of cells, at least one."""
    arguments = list(given)
    # Optional arguments left out at the end arrive as None.
    while arguments and arguments[-1] is None:
        arguments.pop()
    try:
        value = call(function.name, *arguments).value
    except InputError as error:
        return [[str(error) if function.name == _EXPLAINS else _VALUE_ERROR]]
    except Exception as error:  # a text in the place of a number would hide it from IFERROR
        unforeseen = f"{type(error).__name__}: {error}"
        return [[unforeseen if function.name == _EXPLAINS else _VALUE_ERROR]]
    return _rows(value)


def signature(function: Function) -> inspect.Signature:
    """Return the signature: optional arguments default to None, a repeated one is variable."""
    kind = inspect.Parameter
    return inspect.Signature(
        [
            kind(argument_name(argument), kind.VAR_POSITIONAL)
            if argument.repeats
            else kind(
                argument_name(argument),
                kind.POSITIONAL_OR_KEYWORD,
                default=kind.empty if argument.required else None,
            )
            for argument in function.all_arguments
        ]
    )


def _fetch(context: Any) -> None:
    if context.range is not None:
        context.value = context.range.api.Value2


def _plain_cells(context: Any) -> None:
    context.value = [[_cell(value) for value in row] for row in context.value]


def _cell(value: object) -> object:
    if isinstance(value, datetime):
        return _serial(value)
    return CellError(value) if isinstance(value, str) and value in _ERRORS else value


def _serial(moment: datetime) -> float:
    """Return a date worked out inside a formula as the number that a cell holds for it."""
    from openpyxl.utils.datetime import to_excel

    return float(to_excel(moment))  # type: ignore[no-untyped-call]


def _rows(value: Cell | Table) -> list[list[Cell]]:
    rows = value if isinstance(value, list) else [[value]]
    filled: list[list[Cell]] = [["" if cell is None else cell for cell in row] for row in rows]
    return filled if filled and filled[0] else [[""]]
