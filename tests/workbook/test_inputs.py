"""Inputs are declared once: cells, names, limits, lists and echoes of all sheets follow."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.cell import Cell
from openpyxl.workbook import Workbook

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.spec import FIELDS, GROUPS
from basinbook.units import one_system, to_si
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import evaluate
from basinbook.workbook.template.input_cells import limits
from basinbook.workbook.template.inputs import BY_NAME, INPUTS, LAYOUT
from basinbook.workbook.template.inputs.groups import BRANCHES, TOPICS
from basinbook.workbook.template.inputs.parts import PARTS
from basinbook.workbook.template.options import CHANGED, OPTIONS
from basinbook.workbook.template.topics import FROM_MATERIALS
from workbook.places import SYSTEMS, place

PART_COUNTS = {part.count for part in PARTS}
TYPED = [given for given in INPUTS if given.name not in FROM_MATERIALS]


@pytest.fixture(scope="module", params=SYSTEMS)
def system(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def book(system: str, blanks: dict[str, Path]) -> Workbook:
    return openpyxl.load_workbook(blanks[system])


def cell_of(book: Workbook, name: str) -> Cell:
    sheet, at = place(book, name)
    found = book[sheet][at]
    assert isinstance(found, Cell), name
    return found


def cells(book: Workbook) -> list[tuple[Cell, Input]]:
    """Every cell that an input is typed in, those of the options among them."""
    own = [(cell_of(book, given.name), given) for given in TYPED]
    for option in OPTIONS[1:]:
        own += [(cell_of(book, option.cell(name)), BY_NAME[name]) for name in CHANGED]
    return own


def rules(cell: Cell) -> list[Any]:
    found = cell.parent.data_validations.dataValidation
    return [rule for rule in found if cell.coordinate in rule.sqref and rule.type]


def hints(cell: Cell) -> list[tuple[str, str]]:
    found = cell.parent.data_validations.dataValidation
    return [
        (rule.promptTitle or "", rule.prompt)
        for rule in found
        if cell.coordinate in rule.sqref and rule.showInputMessage and rule.prompt
    ]


def test_every_input_has_one_cell_on_its_sheet_with_its_start(book: Workbook, system: str) -> None:
    seen = set()
    for given in TYPED:
        cell = cell_of(book, given.name)
        assert cell.parent.title == given.sheet, given.name
        assert not cell.protection.locked, given.name
        assert cell.value == given.start(system), given.name
        seen.add((given.sheet, cell.coordinate))
    assert len(seen) == len(TYPED)


def test_sheets_by_topic_are_short_enough_for_a_page(book: Workbook) -> None:
    """Notes of 9 points are printed at 7 and more: fitted to the page's width alone.

    Widths of columns: 7 pixels a character and 5 of padding, 96 to the inch (ECMA-376 part 1,
    18.3.1.13); papers ANSI Letter and ISO 216 A4.
    """
    for title in TOPICS:
        sheet = book[title]
        page = sheet.page_setup
        assert (page.fitToWidth, page.fitToHeight) == (1, 1), title
        short, long = {"1": (8.5, 11.0), "9": (8.27, 11.69)}[str(page.paperSize)]
        room = [
            72 * (side - sum(margins))
            for side, margins in (
                (short, (sheet.page_margins.left, sheet.page_margins.right)),
                (long, (sheet.page_margins.top, sheet.page_margins.bottom)),
            )
        ]
        across = sum(0.75 * int(7 * one.width + 5) for one in sheet.column_dimensions.values())
        down = sum(sheet.row_dimensions[row].height or 13.2 for row in range(1, sheet.max_row + 1))
        scale = min(room[0] / across, room[1] / down)
        assert 9.0 * scale >= 7.0, (title, scale)


def test_layout_inputs_are_all_there_by_group() -> None:
    assert sorted(given.label for given in LAYOUT) == sorted(f.label for f in FIELDS.values())
    groups = [given.group for given in LAYOUT]
    assert groups == sorted(groups, key=GROUPS.index)


def test_limits_taken_from_an_argument_are_of_its_kind() -> None:
    borrowed = [given for given in INPUTS if given.like]
    assert len(borrowed) > 20
    for given in borrowed:
        assert (given.low, given.high) == (None, None), given.name
        name, _, argument = given.like.partition(".")
        (declared,) = (a for a in function(name).arguments if a.name == argument)
        assert declared.kind in (given.kind, kinds.RATIO), given.name
        assert None not in limits(given), given.name


def test_every_input_with_limits_or_choices_has_its_rule_on_every_sheet(
    book: Workbook, system: str
) -> None:
    counted: dict[str, int] = {}
    for cell, given in cells(book):
        low, high = limits(given)
        found = rules(cell)
        where = f"{cell.parent.title}!{cell.coordinate} {given.name}"
        if given.choices or given.rows_of:
            assert [rule.type for rule in found] == ["list"], where
        elif low is None or high is None or given.kind is kinds.LENGTH:
            assert found == [], where
        else:
            (rule,) = found
            counted[rule.type] = counted.get(rule.type, 0) + 1
            if rule.type == "custom":
                # Text stays allowed: it may name a unit.
                assert rule.formula1.startswith(f"OR(ISTEXT({cell.coordinate})"), where
                ends = rule.formula1.replace(")", "").split("AND(")[1].split(",")
                least, most = (float(part.split("=")[1]) for part in ends)
            else:
                least, most = float(rule.formula1), float(rule.formula2)
            assert math.isclose(to_si(least, given.kind, system), low, abs_tol=1e-9), where
            assert math.isclose(to_si(most, given.kind, system), high, rel_tol=1e-8), where
    assert set(counted) == {"whole", "decimal", "custom"}
    assert min(counted.values()) >= 5, counted


def told(book: Workbook, help: str) -> str:
    """What helps, with its lengths in the units of the workbook."""
    return one_system(help, str(cell_of(book, "Units").value))


def test_what_a_label_leaves_open_is_shown_on_its_cell(book: Workbook) -> None:
    """Longest title and text: ECMA-376 part 1, 18.3.1.32, promptTitle and prompt."""
    counted = 0
    for cell, given in cells(book):
        where = f"{cell.parent.title}!{cell.coordinate} {given.name}"
        found = hints(cell)
        if not given.help:
            assert found == [], where
            continue
        ((title, text),) = found
        assert len(title) <= 32, where
        assert len(text) <= 255, where
        assert text.endswith(told(book, given.help)), where
        assert title == given.label or text.startswith(given.label), where
        counted += 1
    assert counted > 150


def test_what_a_label_leaves_open_is_printed_beside_its_cell(book: Workbook) -> None:
    """In its row, maybe in a formula that has something else for a job without it.

    Not on the quote, which the client reads; numbers of parts have theirs with the part.
    """
    seen = 0
    for given in TYPED:
        cell = cell_of(book, given.name)
        if not given.help or given.sheet == "Quote" or given.name in PART_COUNTS:
            continue
        row = " ".join(str(beside.value) for beside in cell.parent[cell.row])
        assert told(book, given.help) in row.replace('""', '"'), given.name
        seen += 1
    assert seen > 150


# Something of each sheet: what is typed, and what stands beside it (below it on Options).
_ECHOES = (
    ("Inside_length", "4' 2\"", "4' 2\""),
    ("Inside_length", "1.27 m", "4' 2\""),
    ("Inside_length", "0.1 m", "allowed: "),
    ("Inside_length", "wide", "not a length"),
    ("Bead_diameter", "3 in", "allowed: "),
    ("Spill_size", "1' 6\"", "1' 6\""),
    ("Spill_head", 200, "allowed: "),
    ("Leak_drop", "1/2", '1/2"'),
    ("Leak_drop", "a bit", "not a length"),
    ("Pump_width", "7 in", '7"'),
    ("Sizes_span", "5 m", "allowed: "),
    ("Option_2_Inside_length", "5' 3\"", "5' 3\""),
    ("Option_3_Inside_width", 9999, "allowed: "),
    ("Option_4_Water_depth", "deep", "not a length"),
)


def test_lengths_of_every_sheet_are_echoed_as_read(blanks: dict[str, Path]) -> None:
    path = blanks["us"]
    book = openpyxl.load_workbook(path)
    rounds: list[dict[str, tuple[object, str]]] = []
    for name, typed, echo in _ECHOES:
        free = next((each for each in rounds if name not in each), None)
        if free is None:
            rounds.append(free := {})
        free[name] = (typed, echo)
    for each in rounds:
        changed: dict[Key, Any] = {place(book, name): typed for name, (typed, _) in each.items()}
        values = evaluate(path, changed)
        for name, (typed, echo) in each.items():
            cell = cell_of(book, name)
            down, right = (1, 0) if name.startswith("Option_") else (0, 2)
            beside = cell.offset(down, right).coordinate
            seen = str(values[cell.parent.title, beside])
            assert seen.startswith(echo), (name, typed, seen)


def test_every_length_has_an_echo(book: Workbook) -> None:
    sheets = set()
    for cell, given in cells(book):
        if given.kind is kinds.LENGTH:
            below = cell.parent.title == "Options" or given.group == BRANCHES
            echo = cell.offset(1, 0) if below else cell.offset(0, 2)
            assert f"BASIN.READLENGTH({cell.coordinate}" in str(echo.value), given.name
            sheets.add(cell.parent.title)
    assert sheets == {
        "Basin", *TOPICS, "Water", "Losses and loads", "Sizes", "Options", "Delivery", "Site",
    }  # fmt: skip
