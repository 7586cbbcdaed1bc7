"""What kind of value there is."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue.model import CellError
from basinbook.evaluation.areas import Reference
from basinbook.evaluation.book import Value
from basinbook.evaluation.here import Here
from basinbook.evaluation.run import Run
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import NA, Given, as_rows, is_number, number

_ERROR_NUMBERS: Final = (
    "#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A",
)  # fmt: skip


@standard("ISBLANK", "e")
def _is_blank(value: Value) -> bool:
    return value is None


@standard("ISERROR", "e")
def _is_error(value: Value) -> bool:
    return isinstance(value, CellError)


@standard("ISERR", "e")
def _is_other_error(value: Value) -> bool:
    return isinstance(value, CellError) and value != NA


@standard("ISNA", "e")
def _is_na(value: Value) -> bool:
    return value == NA


@standard("ISNUMBER", "e")
def _is_number(value: Value) -> bool:
    return is_number(value)


@standard("ISTEXT", "e")
def _is_text(value: Value) -> bool:
    return isinstance(value, str)


@standard("ISNONTEXT", "e")
def _is_no_text(value: Value) -> bool:
    return not isinstance(value, str)


@standard("ISLOGICAL", "e")
def _is_logical(value: Value) -> bool:
    return isinstance(value, bool)


@standard("ISEVEN", "w")
def _is_even(value: int) -> bool:
    return value % 2 == 0


@standard("ISODD", "w")
def _is_odd(value: int) -> bool:
    return value % 2 == 1


@standard("ISREF", "a")
def _is_reference(value: Given | Reference) -> bool:
    return isinstance(value, Reference)


@standard("NA", "")
def _na() -> CellError:
    return NA


@standard("N", "v")
def _n(value: Value) -> float:
    return 0 if isinstance(value, str) else number(value)


@standard("T", "v")
def _t(value: Value) -> str:
    return value if isinstance(value, str) else ""


@standard("ERROR.TYPE", "e")
def _error_type(value: Value) -> Value:
    if not isinstance(value, CellError) or value.text not in _ERROR_NUMBERS:
        return NA
    return _ERROR_NUMBERS.index(value.text) + 1


@standard("TYPE", "a", needs_place=True)
def _type(run: Run, here: Here, argument: Given | Reference) -> int:
    value = run.value(argument, here)
    if isinstance(value, list):
        return 64 if len(as_rows(value)) else 0
    if isinstance(value, CellError):
        return 16
    if isinstance(value, bool):
        return 4
    return 2 if isinstance(value, str) else 1


@standard("GESTEP", "n|n")
def _gestep(value: float, step: float = 0.0) -> int:
    return int(value >= step)
