"""The functions for Excel where there is no Windows: plain Python functions."""

from __future__ import annotations

import pytest

from basinbook.catalogue import Result, functions
from basinbook.hosts.excel import adapter
from basinbook.hosts.excel import functions as plain


@pytest.mark.parametrize(
    ("result", "expected"),
    [([], [[""]]), ([[]], [[""]]), ([[1.0, None]], [[1.0, ""]]), (None, [[""]]), (True, [[True]])],
)
def test_rows_of_a_result(
    monkeypatch: pytest.MonkeyPatch, result: object, expected: object
) -> None:
    monkeypatch.setattr(adapter, "call", lambda *_: Result(result))  # type: ignore[arg-type]
    assert adapter.answer(functions()["PACKS"], (1.0,)) == expected


def test_a_fault_of_ours_is_an_error_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> object:
        raise ZeroDivisionError("no")

    monkeypatch.setattr(adapter, "call", fail)
    assert adapter.answer(functions()["PACKS"], (1.0,)) == [[None]]
    assert adapter.answer(functions()["WHY"], ("PACKS", 1.0)) == [["ZeroDivisionError: no"]]


def test_module_can_be_imported_anywhere() -> None:
    """Without Windows, xlwings' decorators leave plain functions."""
    assert not hasattr(plain.BASIN_WATERVOLUME, "__xlfunc__")  # type: ignore[attr-defined]
    found = plain.BASIN_WATERVOLUME([[48.0]], [[24.0]], [[16.0]])  # type: ignore[attr-defined]
    assert found == [[pytest.approx(18432 / 231)]]
