"""What an edit has worked anew: what reads the edited cell, and nothing that doesn't."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from basinbook.engine.spec import GROUPS
from basinbook.workbook.template.costs import material_lines
from basinbook.workbook.template.inputs import BY_NAME
from workbook.dependents import Dependents, Key
from workbook.formula_text import formula
from workbook.places import place

LAYOUT_FUNCTIONS = (
    "TAKEOFF", "TAKEOFFTABLE", "PIECELIST", "SETTINGPLAN", "SETTINGRUNS", "COURSETABLE",
    "CUTLIST", "LAYOUTNOTES", "MODULESIZES", "BASEAREA", "WALLLOADS", "BEDJOINTLOADS",
)  # fmt: skip
# The line with the job's name, or with what is wrong with any of its inputs.
HEAD_LINE = "A2"


@pytest.fixture(scope="module")
def book(blanks: dict[str, Path]) -> Workbook:
    return openpyxl.load_workbook(blanks["us"])


@pytest.fixture(scope="module")
def dependents(book: Workbook) -> Dependents:
    return Dependents(book)


FINDINGS = ("Findings", "Order")
"""Sheets that say what stops the job."""
PRICED = {"Basin", "Job", "Estimate", "Options", "Ranges", "Quote", "Working", *FINDINGS}
"""Sheets that show a price, or what hangs on one."""


def below_the_head(found: set[Key]) -> set[Key]:
    return {(sheet, cell) for sheet, cell in found if cell != HEAD_LINE}


def sheets_of(found: set[Key]) -> set[str]:
    return {sheet for sheet, _ in below_the_head(found)}


def asked(book: Workbook, found: set[Key]) -> list[str]:
    """Formulas of these cells that call functions of the catalogue."""
    texts = [formula(book[sheet][cell].value) for sheet, cell in found]
    return [text for text in texts if "BASIN." in text]


def layouts(book: Workbook, found: set[Key]) -> list[str]:
    return [
        text
        for text in asked(book, found)
        if any(name in text for name in (*LAYOUT_FUNCTIONS, '"TAKEOFF"'))
    ]


def judged(book: Workbook, found: set[Key]) -> list[str]:
    """The topics of findings that are judged anew."""
    calls = [text for text in asked(book, found) if "BASIN.FINDINGS" in text]
    return sorted({text.split('"')[1] for text in calls})


def without_range(found: set[Key]) -> set[Key]:
    """The cells but for those of the price's range, which are worked out only while wanted."""
    return {cell for cell in found if cell[0] != "Ranges"}


@pytest.mark.parametrize(
    "name",
    ["Markup_on_materials", "Markup_on_labour", "Tax_rate", "Delivery", "Crew"],
)
def test_what_only_a_price_hangs_on_asks_for_nothing(
    book: Workbook, dependents: Dependents, name: str
) -> None:
    found = dependents.of(name)
    assert place(book, "Price_total") in found
    assert place(book, "Option_4_price") in found
    assert sheets_of(found) == PRICED
    # The findings on money alone, which answer from memory where no fact is another.
    assert judged(book, found) == ["money"]
    assert len(asked(book, without_range(below_the_head(found)))) == 1


def test_the_labour_rate_has_the_cost_of_the_layout_worked_anew_and_no_layout(
    book: Workbook, dependents: Dependents
) -> None:
    found = dependents.of("Labour_rate")
    assert layouts(book, found) == []
    assert sheets_of(found) == PRICED | {"Labour and pricing"}
    assert judged(book, found) == ["money"]
    calls = asked(book, without_range(below_the_head(found)))
    # What the layout comes to, what the nearest better size saves, and a better wall: in money too.
    wanted = {"AIMNOTE", "AIMADVICE", "WALLADVICE", "FINDINGS"}
    assert {one for one in wanted for text in calls if one in text} == wanted
    assert len(calls) == 4


@pytest.mark.parametrize("name", ["Adhesive_waste", "Beads", "Bead_diameter", "Liner_lap"])
def test_a_method_has_its_own_quantity_worked_anew_and_no_layout(
    book: Workbook, dependents: Dependents, name: str
) -> None:
    found = dependents.of(name)
    assert place(book, "Order_lines")[0] in sheets_of(found)
    assert layouts(book, found) == []
    # The steps of the setting plan speak of the lap.
    assert not sheets_of(found) & {"Water", "Losses and loads", "Cuts", "Pieces"}
    # Four of them write the owner's sheet, which has the liner among its parts, and one has the
    # outfit in a cell. The lap is measured: its target, its text on two sheets, and two answers.
    measured = 5 if name == "Liner_lap" else 0
    assert len(asked(book, without_range(below_the_head(found)))) <= 29 + measured


@pytest.mark.parametrize("name", ["Pump_hours", "Energy_price", "Wind", "Spill_head", "Voltage"])
def test_water_and_losses_stay_among_themselves(
    book: Workbook, dependents: Dependents, name: str
) -> None:
    found = dependents.of(name)
    assert found
    # The quote tells what a season takes, the owner's sheet what a week does.
    shown = {"Water", "Losses and loads", "Checks", "Quote", "Owner", "Stages", "Working", "Job",
             "Basin"}  # fmt: skip
    assert sheets_of(found) <= {*shown, *FINDINGS}
    assert set(judged(book, found)) <= {"water"}


@pytest.mark.parametrize("number", [2, 3, 4])
def test_an_option_has_no_other_worked_anew(
    book: Workbook, dependents: Dependents, number: int
) -> None:
    name = f"Option_{number}_Inside_length"
    column = place(book, name)[1][0]
    found = below_the_head(dependents.of(name))
    own = {cell for sheet, cell in found if sheet == "Options"}
    assert len(own) > 30
    # Column A has what stands before the lengths as they are read.
    assert {cell[0] for cell in own} <= {column, "A"}
    assert {cell[0] for sheet, cell in found if sheet == "Quote"} == {column, "A"}
    assert sheets_of(found) == {"Options", "Quote", "Working"}
    # Its table of quantities is the only one.
    assert sum("TAKEOFFTABLE" in text for text in layouts(book, found)) == 1


def test_the_sheets_of_the_crew_hang_on_the_layout_alone(
    book: Workbook, dependents: Dependents
) -> None:
    others = 0
    for name, given in BY_NAME.items():
        if given.group in GROUPS or name in ("Block", "Cap", "Column_cap", "Labour_rate"):
            continue
        if name in book.defined_names:
            others += 1
            found = sheets_of(dependents.of(name))
            assert not found & {"Pieces", "Cuts"}, name
    assert others > 60
    assert sheets_of(dependents.of("Inside_width")) >= {"Setting plan", "Pieces", "Cuts"}


def test_what_no_basin_is_built_without_is_one_list() -> None:
    lines = {line.chosen for line in material_lines("us") if line.required}
    assert lines == {name for name, given in BY_NAME.items() if given.required and given.rows_of}
