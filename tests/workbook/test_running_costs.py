"""What a basin costs to run, on the sheets: sums of cells that must be what the functions give."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from basinbook.catalogue import InputError, call
from basinbook.workbook.recalculation.opened import Key
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place


@pytest.fixture(params=SYSTEMS)
def path(request: pytest.FixtureRequest, demos: dict[str, Path]) -> Path:
    return demos[request.param]


@pytest.fixture
def book(path: Path) -> Workbook:
    return openpyxl.load_workbook(path)


def beside(book: Workbook, sheet: str, label: str) -> Key:
    """The cell of a result, to the right of its label."""
    (row,) = (cell.row for (cell,) in book[sheet]["A1:A200"] if cell.value == label)
    return sheet, f"B{row}"


def given(values: dict[Key, Any], book: Workbook, *names: str) -> list[Any]:
    return [values[place(book, name)] for name in names]


def or_dash(name: str, *arguments: Any) -> Any:
    try:
        return call(name, *arguments).value
    except InputError:
        return "-"


def same(found: object, expected: object, *, known: bool) -> None:
    assert found == (pytest.approx(expected, rel=1e-12) if known else "-")
    assert (expected != "-") == known


@pytest.mark.parametrize(
    ("price", "hours", "wind", "cost_known", "water_known"),
    [
        (0.16, 10, 3, True, True),
        (0, "90 min", 3, True, True),
        # How long the pump runs is unknown, and so are its cost and what it splashes.
        (0.31, None, 3, False, False),
        (None, 0, "gusty", False, False),
        (-0.1, 25, 3, False, False),
        ("dear", 10, 3, False, True),
    ],
)
def test_sums_on_the_sheets_are_what_the_functions_give(
    path: Path,
    book: Workbook,
    price: object,
    hours: object,
    wind: object,
    cost_known: bool,
    water_known: bool,
) -> None:
    typed = {"Energy_price": price, "Pump_hours": hours, "Wind": wind}
    values = dict(evaluated(path, {place(book, name): value for name, value in typed.items()}))
    pump, light, units = given(values, book, "Pump_energy", "Light_energy", "Units")
    energy = pump + light if "-" not in (pump, light) else "-"
    cost = values[beside(book, "Water", "Cost per year")]
    same(cost, or_dash("ENERGYCOST", energy, price, units), known=cost_known)
    taken = given(values, book, "Evaporation", "Water_area", "Splash", "Units")
    top_up = values[beside(book, "Losses and loads", "Top-up per week")]
    same(top_up, or_dash("TOPUPWEEK", *taken), known=water_known)
