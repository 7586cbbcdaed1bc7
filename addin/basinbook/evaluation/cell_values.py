"""Values on their way between the workbook, the ``formulas`` library and the catalogue."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
import schedula
from formulas.functions import Array
from formulas.ranges import Ranges
from formulas.tokens.operand import Error, XlError

from basinbook.catalogue import model
from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Value
from basinbook.evaluation.formula_tree import NotComputed

EMPTY: Final = schedula.EMPTY
ERRORS: Final[dict[str, Any]] = dict(Error.errors)


def to_library(value: Value) -> Any:
    """Return a cell's value as the library wants it."""
    if value is None:
        return EMPTY
    if isinstance(value, CellError):
        return ERRORS.get(value.text) or XlError(value.text)
    return value


def from_library(value: Any) -> Value:
    """Return the library's value as ours."""
    if value is EMPTY:
        return None
    if isinstance(value, XlError):
        return CellError(str(value))
    plain: Value = value.item() if isinstance(value, np.generic) else value
    return plain


def as_result(value: Any) -> Any:
    """Return a formula's result as a cell can hold it; raises NotComputed."""
    if value is EMPTY:
        return 0
    if isinstance(value, (np.generic, np.ndarray)):
        value = value.item()
    if isinstance(value, complex) or (isinstance(value, float) and not math.isfinite(value)):
        return ERRORS["#NUM!"]
    if value is None:
        return ""
    if not isinstance(value, (bool, int, float, str)):
        raise NotComputed("the result is nothing that a cell can hold")
    return value


def is_text(value: Any) -> bool:
    """Return whether a value is a text; the library's blank and errors are strings to Python."""
    return isinstance(value, str) and not isinstance(value, schedula.Token)


def single(value: Any) -> Any:
    """Return the one value of a one-cell reference or array; None where there are more."""
    value = value.value if isinstance(value, Ranges) else value
    if isinstance(value, np.ndarray):
        return value.ravel()[0] if value.size == 1 else None
    return value


def as_argument(value: Any) -> object:
    """Return an argument as the catalogue wants it: one value, or a tuple of row tuples."""
    value = value.value if isinstance(value, Ranges) else value
    if not isinstance(value, np.ndarray):
        return from_library(value)
    if value.size == 1:
        return from_library(value.ravel()[0])
    rows = value if value.ndim == 2 else value.reshape(-1, 1)
    return tuple(tuple(from_library(item) for item in row) for row in rows)


def from_catalogue(value: model.Cell | model.Table) -> Any:
    """Return what the catalogue gave: one value, or an array of a table's cells."""
    if not isinstance(value, list):
        return "" if value is None else value
    columns = max((len(row) for row in value), default=0)
    if not columns:
        return ""
    table = np.empty((len(value), columns), object)
    table.fill("")
    for index, row in enumerate(value):
        table[index, : len(row)] = ["" if item is None else item for item in row]
    return table.view(Array)


def spread(result: Any, rows: int, columns: int, *, pad_blank: bool) -> Any:
    """Fit an array formula's result to its cells: what is over is cut.

    With ``pad_blank`` the cells beyond the result are blank. Otherwise, as in a spreadsheet, one
    row or column is repeated, and other cells beyond the result show #N/A.
    """
    table = np.asarray(result, object)
    table = table.reshape(1, -1) if table.ndim < 2 else table
    if not pad_blank or table.size == 1:
        if table.shape[0] == 1:
            table = np.repeat(table, rows, axis=0)
        if table.shape[1] == 1:
            table = np.repeat(table, columns, axis=1)
    filled = np.empty((rows, columns), object)
    filled.fill("" if pad_blank else ERRORS["#N/A"])
    height, width = min(rows, table.shape[0]), min(columns, table.shape[1])
    filled[:height, :width] = table[:height, :width]
    return filled
