"""One cost model: Estimate sheet and option "As on Job" tell the same price, whatever moves.

The prices themselves are checked against a second calculation in ``test_agreement``.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import range_boundaries

from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.template import costs, demo_job, estimate, options, template_files
from basinbook.workbook.template import materials as materials_sheet
from basinbook.workbook.template.formulas import elsewhere, joined, names_in
from basinbook.workbook.template.inputs import LAYOUT
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place

TOTALS = ("Price_total", "Option_1_price")
# Markup and tax are rounded to the cent, each up or down by half of one.
_TWO_LINES = 0.0101


class Filled:
    """A filled workbook: where its names point, and its prices with some cells changed."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.book = openpyxl.load_workbook(path)

    def cell(self, name: str) -> Key:
        return place(self.book, name)

    def row_of(self, table: str, chosen: object, key: str) -> Key:
        """The cell of a column of a table in the row of a name."""
        sheet, area = place(self.book, f"{table}_name")
        names = [row[0].value for row in self.book[sheet][area]]
        _, column = place(self.book, f"{table}_{key}")
        left, top, _, _ = range_boundaries(column)
        return sheet, self.book[sheet].cell(top + names.index(chosen), left).coordinate

    def value(self, at: Key) -> Any:
        return self.book[at[0]][at[1]].value

    def named(self, name: str) -> Any:
        return self.value(self.cell(name))

    def prices(self, changed: Mapping[Key, Any]) -> tuple[Any, ...]:
        values = evaluated(self.path, changed)
        return tuple(values[self.cell(name)] for name in TOTALS)

    def lines(self, changed: Mapping[Key, Any]) -> dict[str, Any]:
        """Return price, costs and hours by label, once Estimate and Options agree on each."""
        values = evaluated(self.path, changed)
        total, option = (values[self.cell(name)] for name in TOTALS)
        same(total, option, TOTALS[0])
        rows = {str(value): at[1][1:] for at, value in values.items() if at[0] == "Options"}
        found = {"price": total}
        for column, row, label in self._rows(values):
            told = values["Options", f"C{rows[label]}"]
            same(values["Estimate", f"{column}{row}"], told, label)
            found[label] = told
        return found

    def _rows(self, values: Mapping[Key, Any]) -> Iterator[tuple[str, str, str]]:
        """Column, row and label on the Options sheet of the estimate's lines."""
        rows = {
            str(value): at[1][1:]
            for at, value in reversed(values.items())
            if at[0] == "Estimate" and at[1].startswith("A")
        }
        for line in costs.material_lines("us"):
            if not line.everywhere:
                yield "J", rows[line.item], f"{line.item}: cost"
        for task in costs.WORK:
            yield "F", rows[task.task], f"{task.task}: person-hours"
            yield "J", rows[task.task], f"{task.task}: cost"
        for spent in costs.SITE:
            yield "J", rows[spent.what], f"{spent.what}: cost"


def same(estimate: Any, option: Any, label: str) -> None:
    assert isinstance(estimate, (int, float)), (label, estimate)
    assert isinstance(option, (int, float)), (label, option)
    assert math.isclose(estimate, option, rel_tol=1e-12, abs_tol=1e-12), (label, estimate, option)


@pytest.fixture(scope="module")
def filled(demos: dict[str, Path]) -> Filled:
    return Filled(demos["us"])


@pytest.fixture(scope="module")
def found(filled: Filled) -> dict[str, float]:
    return filled.lines({})


# What is typed, some together, and the lines that it moves; "" stands for the price alone.
_TYPED: tuple[tuple[dict[str, Any], set[str]], ...] = (
    (
        {"Base_thickness": 8, "Bead_diameter": "1/2 in", "Breakage": 0.2, "Underlay": ""},
        {"Base", "Adhesive", "Wall block", "Wall cap", "Underlay", "Dig, level and tamp base"},
    ),
    ({"Base_margin": 30, "Beads": 4, "Cap": ""}, {"Base", "Adhesive", "Wall cap"}),
    (
        {"Liner": "Sheet liner 45 mil", "Liner_lap": 11, "Column_cap": "", "Adhesive_waste": 0.4},
        {"Liner", "Column cap", "Adhesive", "Set caps and column caps"},
    ),
    ({"Inside_length": 70, "Courses": 9}, {"Wall block", "Lay and glue block", "Underlay"}),
    ({"Labour_rate": 71, "Delivery": 333, "Tax_applies_to": "all"}, set()),
    ({"Markup_on_materials": 0.31, "Markup_on_labour": 0.47, "Tax_rate": 0.13}, set()),
    ({"Contingency_on_materials": 0.04, "Overhead": 0.1, "Blade_wear": 0.4}, {"Blade"}),
    ({"Contingency_on_labour_and_site": 0.1, "Smallest_job": 20_000}, set()),
    ({"Price_set_by": "margin", "Margin": 0.4}, set()),
    (
        {"Pump": "Pump 1200", "Pipe_length": 55, "Fitting_2_count": 9, "Tax_applies_to": "none"},
        set(),
    ),
)


@pytest.mark.parametrize(("typed", "moved"), _TYPED)
def test_what_is_typed_moves_both_alike(
    filled: Filled, found: dict[str, float], typed: dict[str, Any], moved: set[str]
) -> None:
    now = filled.lines({filled.cell(name): value for name, value in typed.items()})
    changed = {
        label.partition(":")[0]
        for label, value in now.items()
        if not math.isclose(value, found[label], abs_tol=1e-6)
    }
    assert changed >= moved | {"price"}


def test_price_pack_and_hours_of_each_line_move_both_alike(
    filled: Filled, found: dict[str, float]
) -> None:
    changed: dict[Key, Any] = {}
    number, values = 0, evaluated(filled.path)
    unused = set()
    for number, line in enumerate(costs.material_lines("us")):
        chosen = values.get(filled.cell(line.chosen))
        if not chosen:
            unused.add(f"{line.item}: cost")
            continue
        changed[filled.row_of(line.table, chosen, "price")] = 11.5 + 3 * number
        if line.table == "Fittings":
            changed[filled.row_of(line.table, chosen, "bought")] = "yes"
        if line.pack:
            changed[filled.row_of(line.table, chosen, line.pack)] = 7
    for number, task in enumerate(costs.WORK, start=1):
        changed[filled.row_of("Labour", task.task, "hours")] = 2.5 + number / 3
    priced = [spent.what for spent in costs.SITE if not spent.priced]
    for number, what in enumerate(priced, start=1):
        changed[filled.row_of("Site", what, "price")] = 10.0 + number / 7
    changed[filled.cell("Haul_load")] = 0.7
    now = filled.lines(changed)
    assert len(now) == 39
    still = [name for name, value in now.items() if math.isclose(value, found[name], abs_tol=1e-6)]
    # The demo's openings need no lintel.
    assert set(still) - {"Blade: cost"} == {name for name in now if name.startswith("Lintel")}
    assert set(still) - {"Blade: cost"} <= unused


def test_the_price_of_what_no_option_changes_counts_in_both(
    filled: Filled, found: dict[str, float]
) -> None:
    """Pump, pipe and fittings, and a line of the estimator's own, each by itself in the sum."""
    (sheet, total), own = filled.cell("Total_plumbing_and_other"), 0.0
    first_free = int(total[1:]) - 1 - estimate.FREE_LINES
    changed: dict[Key, Any] = {}
    for offset in range(estimate.FREE_LINES):
        row = first_free + offset
        changed |= {(sheet, f"C{row}"): 2, (sheet, f"I{row}"): 10.0**offset}
        own += 2 * 10.0**offset
    markup, tax = filled.named("Markup_on_materials"), filled.named("Tax_rate")
    now = filled.lines(changed)
    more = own * (1 + markup) * (1 + tax)
    assert now["price"] == pytest.approx(found["price"] + more, abs=_TWO_LINES)


def test_tasks_of_the_estimators_own_count_in_both(filled: Filled, found: dict[str, float]) -> None:
    sheet, area = filled.cell("Own_hours")
    _, top, _, bottom = range_boundaries(area)
    assert bottom - top + 1 == estimate.FREE_TASKS
    changed: dict[Key, Any] = {}
    for row in range(top, bottom + 1):
        changed |= {(sheet, f"A{row}"): "Plant", (sheet, f"C{row}"): 3, (sheet, f"E{row}"): 1.5}
    hours = 3 * 1.5 * estimate.FREE_TASKS
    assert filled.named("Tax_applies_to") == "materials"
    cost = hours * filled.named("Labour_rate") * (1 + filled.named("Markup_on_labour"))
    price = filled.lines(changed)["price"]
    assert price == pytest.approx(found["price"] + cost, abs=_TWO_LINES)


def test_a_hundred_and_sixty_blocks_take_two_people_less_than_a_day(filled: Filled) -> None:
    """With few cuts, at the hours that the template starts with. Common practice, no source."""
    typed = {
        "Inside_length": 64, "Inside_width": 46, "Courses": 11, "Water_depth": 30, "Columns": 0,
        "Second_wall": "no", "Pipe_opening": "", "Courses_on_edge": "",
    }  # fmt: skip
    values = evaluated(filled.path, {filled.cell(name): value for name, value in typed.items()})
    assert 150 <= values[filled.cell("Qty_Pieces_laid")] <= 170
    assert values[filled.cell("Qty_Cut_pieces")] <= 8
    assert values[filled.cell("Person_hours")] < 2 * 8
    assert 0.5 < values[filled.cell("Crew_days")] < 1


def test_a_task_typed_into_the_labour_table_is_refused_by_both(filled: Filled) -> None:
    at = filled.row_of("Labour", costs.WORK[3].task, "name")
    changed = {at: "Something else"}
    assert filled.prices(changed) == ("unknown", "unknown")
    message = evaluated(filled.path, changed)[filled.cell("Job_message")]
    assert message == "Labour: put tasks of your own on the Estimate sheet"


def test_the_order_of_the_labour_table_does_not_matter(
    filled: Filled, found: dict[str, float]
) -> None:
    """As after sorting or moving its rows."""
    first, other = costs.WORK[1].task, costs.WORK[3].task
    changed: dict[Key, Any] = {}
    for key in ("name", "hours", "unit"):
        a, b = (filled.row_of("Labour", task, key) for task in (first, other))
        changed |= {a: filled.value(b), b: filled.value(a)}
    assert filled.lines(changed) == pytest.approx(found, rel=1e-12)


def test_a_task_added_to_the_model_is_in_both(
    tmp_path: Path, found: dict[str, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One more line of ``costs.WORK``, and workbooks built anew, is all that it takes."""
    added = costs.WorkLine("Seal the corners", ("corner", "corner"), (0.5, 0.5), "4*Qty_Courses")
    work = (*costs.WORK, added)
    for module in (costs, estimate, options):
        monkeypatch.setattr(module, "WORK", work)
    (labour,) = (table for table in materials_sheet.TABLES if table.name == "Labour")
    rows = (*labour.us, (added.task, added.hours[0], added.unit[0]))
    tables = tuple(
        dataclasses.replace(table, us=rows) if table is labour else table
        for table in materials_sheet.TABLES
    )
    monkeypatch.setattr(materials_sheet, "TABLES", tables)
    path = template_files.make_workbook(tmp_path / "more.xlsx", "us", demo_job.DEMO_US).out
    more = Filled(path)
    courses = evaluated(path)[more.cell("Qty_Courses")]
    cost = 4 * courses * 0.5 * more.named("Labour_rate") * (1 + more.named("Markup_on_labour"))
    assert cost > 100
    price = more.lines({})["price"]
    assert price == pytest.approx(found["price"] + cost, abs=_TWO_LINES)


@pytest.mark.parametrize("system", SYSTEMS)
def test_lines_of_every_option_hang_on_nothing_that_an_option_changes(system: str) -> None:
    ranges = {joined("Job_labels"), joined("Job_values")}
    own = {*options.MATERIALS, *ranges, *(given.name for given in LAYOUT)}
    for line in costs.material_lines(system):
        names = names_in(line.cost)
        changes = any(name in own or name.startswith("Qty_") for name in names)
        hangs = changes or line.chosen in ("Base_material", "Adhesive", "Underlay", "Column_cap")
        assert line.everywhere != hangs, line.item


def test_names_stand_elsewhere_but_not_in_quotes_nor_within_names() -> None:
    moved = elsewhere('IF(Cap="Cap","",Cap_length*INDEX(Caps_name,Cap))', {"Cap": "D7"})
    assert moved == 'IF(D7="Cap","",Cap_length*INDEX(Caps_name,D7))'
    assert names_in('A_b&"C d"&E') == {"A_b", "E"}
