"""A range in one cell is to every function what the range is."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basinbook.catalogue import call
from basinbook.catalogue.joined import joined, parted
from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.workbook.recalculation.recalc import recalculate

CELLS = (
    st.none() | st.booleans() | st.integers() | st.text(max_size=12)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from([CellError("#DIV/0!"), CellError("#N/A"), "JOINCELLS [[1]]", '{"error": 1}'])
)  # fmt: skip
LABELS: list[list[object]] = [
    ["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
    ["Block depth"], ["Water depth"], [None], ["Breakage"],
]  # fmt: skip
VALUES: list[list[object]] = [[48], [24.5], ["4' 2\""], [8], [6], [16.125], [""], [0.05]]


@given(st.lists(st.lists(CELLS, min_size=1, max_size=3), min_size=1, max_size=6))
def test_cells_come_back_as_they_were(rows: list[list[object]]) -> None:
    text = joined(rows)
    found = parted(text)
    assert found is not None
    assert parted(text) is found
    for row, wanted in zip(found, rows, strict=True):
        for cell, before in zip(row, wanted, strict=True):
            if before is None:
                assert cell == ""
                continue
            assert cell == before
            # Calc hands over 46.0 where a file has 46: one text for both.
            whole = type(before) is float and before.is_integer()
            assert type(cell) is (int if whole else type(before))


@pytest.mark.parametrize("name", ["TAKEOFFTABLE", "SETTINGPLAN", "CUTLIST", "LAYOUTNOTES"])
def test_functions_take_it_in_the_place_of_the_range(name: str) -> None:
    labels, values = (str(call("JOINCELLS", cells).value) for cells in (LABELS, VALUES))
    wanted = call(name, LABELS, VALUES)
    assert call(name, labels, values) == wanted
    # A named cell arrives as a range of one.
    assert call(name, [[labels]], [[values]]) == wanted
    assert call(name, LABELS, values) == wanted


def test_errors_and_wrong_values_are_told_alike() -> None:
    for wrong in (CellError("#DIV/0!"), "wide", -3, None):
        values = [[wrong], *VALUES[1:]]
        told = [
            call("WHY", "TAKEOFF", "Blocks to buy", *given, "us").value
            for given in ((LABELS, values), (joined(LABELS), joined(values)))
        ]
        assert told[0]
        assert told[1] == told[0]
    with pytest.raises(InputError, match="labels"):
        call("TAKEOFFTABLE", joined(LABELS), joined(VALUES[1:]))


@pytest.mark.parametrize(
    "text",
    ["JOINCELLS", "JOINCELLS ", "JOINCELLS 5", "JOINCELLS [1]", "JOINCELLS [[[1]]]",
     "JOINCELLS [[{}]]", "JOINCELLS " + "[" * 5000, 'JOINCELLS [[{"error": 5}]]',
     "joincells [[1]]"],
)  # fmt: skip
def test_what_only_looks_like_it_is_a_text(text: str) -> None:
    assert parted(text) is None
    assert call("JOINCELLS", [[text]]).value == f"JOINCELLS {json.dumps([[text]])}"


@pytest.mark.parametrize("cell", [10**5000, [1], {}, b"12", 1 + 2j, object()], ids=range(6))
def test_what_is_no_cell_is_refused(cell: object) -> None:
    with pytest.raises(InputError, match="cells"):
        call("JOINCELLS", [[1], [cell]])


def test_it_fits_into_a_cell_or_is_refused() -> None:
    # 32,767: the most characters of a cell, "Excel specifications and limits", from memory.
    assert len(str(call("JOINCELLS", [["x" * 32_751]]).value)) == 32_767
    with pytest.raises(InputError, match=r"cells: .*32,768 characters.*at most 32,767"):
        call("JOINCELLS", [["x" * 32_752]])


def test_a_workbook_may_use_it(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for label, value in zip(LABELS, VALUES, strict=True):
        sheet.append([*label, *value])
    sheet["D1"] = "=BASIN.JOINCELLS(A1:A8)"
    sheet["E1"] = "=BASIN.JOINCELLS(B1:B8)"
    asked = '=BASIN.TAKEOFF("Blocks to buy",{},{},"us")'
    sheet["F1"] = asked.format("A1:A8", "B1:B8")
    sheet["F2"] = asked.format("D1", "E1")
    book.save(path := tmp_path / "job.xlsx")
    recalculate(path)
    found = openpyxl.load_workbook(path, data_only=True).active
    assert found is not None
    assert (
        found["F2"].value
        == found["F1"].value
        == call("TAKEOFF", "Blocks to buy", LABELS, VALUES).value
    )
