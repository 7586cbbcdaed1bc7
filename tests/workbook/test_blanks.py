"""An unknown is never zero: each input, price, rate, weight and size of a job, left blank alone.

After each blank a price is the same as before, or unknown beside a message that names the cell, or
another one because the sheet says what a blank there stands for. No price gets smaller or larger in
silence, and nor does an order, a weight or a figure of water and loads. Of the filled demo job,
with lines of the estimator's own, the blanks of the US workbook gave when this was written:

- the same price: 118 (particulars, water and climate, weights, curves and losses of the plumbing)
- an unknown price, and the cell is named: 106 (sizes, prices, packs and steps, densities and
  factors, hours, rates, counts, what no basin is built without)
- another price, as the sheet says of a blank: 22 (no caps, no columns, no second wall, no light;
  an option's cell: as on the Job sheet)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pytest
from openpyxl.utils.cell import get_column_letter, range_boundaries

from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import evaluate
from basinbook.workbook.template import estimate
from basinbook.workbook.template.formulas import COMPLETE, UNKNOWN
from basinbook.workbook.template.inputs import BY_NAME, inputs_of
from basinbook.workbook.template.inputs.groups import FITTINGS
from basinbook.workbook.template.inputs.parts import PARTS
from basinbook.workbook.template.options import CHANGED, OPTIONS
from basinbook.workbook.template.topics import FROM_MATERIALS
from workbook.edited import Edited
from workbook.places import place

# The tables that something is chosen from, and where.
CHOICES = {
    "Blocks": ("Block",), "Caps": ("Cap",), "Column_caps": ("Column_cap",),
    "Bases": ("Base_material",), "Adhesives": ("Adhesive",), "Liners": ("Liner",),
    "Underlays": ("Underlay",), "Water_parts": tuple(part.name for part in PARTS),
    "Pumps": ("Pump",), "Pipes": ("Pipe",),
    "Fittings": tuple(given.name for given in inputs_of(FITTINGS) if given.rows_of),
}  # fmt: skip
SIZES = ("Length", "Depth", "Height", "Side", "Thickness")
WEIGHTS = ("Qty_Block_weight", "Qty_Cap_weight", "Qty_Base_weight", "Ground_weight", "Bearing")
# Nothing of price, order, weights or water is read off these.
UNREAD = (
    "Basin", "Sizes", "Findings", "Ranges", "Quote", "Ordered", "Delivery", "Setting plan",
    "Pieces", "Cuts", "Site", "Drawings", "Checks", "Stages", "Owner", "Cautions",
)  # fmt: skip
MESSAGES = ("Job_message", "Missing_price", "Missing_weight", "Order_problem", "Layout_problem")


class Blank(NamedTuple):
    """A cell that is left blank: where, words that a message must have, what a blank stands for."""

    cell: Key
    words: tuple[str, ...]
    stated: bool = False


class Job(Edited):
    """The filled job, with lines of the estimator's own."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, UNREAD)
        self.type(own_lines(self.book))
        # The verdict on loads, which tells what could not be worked out.
        self.engineer = [
            ("Losses and loads", f"B{at[1:]}")
            for (sheet, at), value in self.start.items()
            if sheet == "Losses and loads" and value == "Verdict"
        ]

    def row_of(self, table: str, chosen: object) -> int:
        sheet, area = self.cell(f"{table}_name")
        _, top, _, _ = range_boundaries(area)
        names = [row[0].value for row in self.book[sheet][area]]
        return top + names.index(chosen)

    def columns(self, table: str) -> Iterator[tuple[str, str]]:
        """The column letter and the heading of each typed column of a table, without the names."""
        start = f"{table}_"
        for name in self.book.defined_names:
            if name.startswith(start) and name != f"{start}name" and ":" in self.cell(name)[1]:
                sheet, area = self.cell(name)
                left, top, _, _ = range_boundaries(area)
                heading = str(self.book[sheet].cell(top - 1, left).value)
                yield get_column_letter(left), heading.partition(",")[0].partition(":")[0]

    def ordered(self, values: Mapping[Key, Any]) -> list[float]:
        """The quantities of the order's lines."""
        sheet, area = self.cell("Order_lines")
        left, top, _, bottom = range_boundaries(area)
        column = get_column_letter(left + 3)
        found = (values.get((sheet, f"{column}{row}")) for row in range(top, bottom + 1))
        return [quantity for quantity in found if quantity]

    def options_message(self, number: int, values: Mapping[Key, Any]) -> str:
        rows = {self.book["Options"].cell(row, 1).value: row for row in range(1, 80)}
        return str(values["Options", f"{OPTIONS[number - 1].column}{rows['Inputs']}"])


def own_lines(book: openpyxl.Workbook) -> dict[Key, Any]:
    """Two lines and a task of the estimator's own, filled in."""
    total = int(place(book, "Total_plumbing_and_other")[1][1:])
    first = total - 1 - estimate.FREE_LINES
    task = range_boundaries(place(book, "Own_hours")[1])[1]
    lines = {first: ("Bowl", "Cast bowl 30", 1, "each", 240.0), first + 1: ("Light", "", 3, "", 41)}
    typed: dict[Key, Any] = {}
    for row, values in lines.items():
        typed |= {
            ("Estimate", f"{column}{row}"): value or None
            for column, value in zip("ABCDI", values, strict=True)
        }
    typed |= {("Estimate", f"{c}{task}"): v for c, v in zip("ACE", ("Plant", 4, 0.5), strict=True)}
    return typed


@pytest.fixture(scope="module")
def jobs(demos: dict[str, Path]) -> dict[str, Job]:
    return {system: Job(path) for system, path in demos.items()}


def blanks_of(job: Job) -> Iterator[Blank]:
    """Every cell that the job uses, each by itself."""
    for name, given in BY_NAME.items():
        if name not in FROM_MATERIALS and job.start.get(job.cell(name)) not in (None, ""):
            # A choice by name may be missed by what is chosen; other sheets have their own cells.
            yield Blank(job.cell(name), (given.label,), "blank" in given.help.lower())
    for option in OPTIONS[1:]:
        for name in CHANGED:
            cell = job.cell(option.cell(name))
            if job.start.get(cell) not in (None, ""):
                yield Blank(cell, (), stated=True)  # as on the Job sheet
    for table, chosen in CHOICES.items():
        names = {str(job.start.get(job.cell(name))) for name in chosen}
        names |= {
            str(job.start.get(job.cell(option.cell(name))))
            for option in OPTIONS[1:]
            for name in chosen
            if name in CHANGED
        }
        for row_name in sorted(names & {*_names(job, table)}):
            yield from _row(job, table, row_name)
    for task in _names(job, "Labour"):
        yield from _row(job, "Labour", task)
    for at, value in job.typed.items():
        if value is not None:
            yield Blank(at, (f"cell {at[1]}",))


def _names(job: Job, table: str) -> list[str]:
    sheet, area = job.cell(f"{table}_name")
    return [str(row[0].value) for row in job.book[sheet][area] if row[0].value]


def _row(job: Job, table: str, name: str) -> Iterator[Blank]:
    sheet, row = job.cell(f"{table}_name")[0], job.row_of(table, name)
    for column, heading in job.columns(table):
        cell = (sheet, f"{column}{row}")
        if job.start.get(cell) not in (None, ""):
            size = "no size on the Materials sheet"
            words = {"Kind of part": ("choose a row of the kind",), **dict.fromkeys(SIZES, (size,))}
            yield Blank(cell, words.get(heading, (heading, name)))


def is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def moved(before: Any, after: Any) -> bool:
    if is_number(before) and is_number(after):
        return not math.isclose(before, after, rel_tol=1e-12, abs_tol=1e-9)
    return bool(before != after)


def judged(job: Job, blank: Blank) -> tuple[str, list[str]]:
    """Return what a blank does to the job's price or an option's, and what is wrong with that."""
    now = {**job.start, **(anew := job.after({blank.cell: None}))}
    wrong: list[str] = []
    outcomes = ["same"]

    def named(name: str) -> Any:
        return now[job.cell(name)]

    def tells(*messages: object) -> bool:
        return any(all(word in str(message) for word in blank.words) for message in messages)

    prices = [("Price_total", str(named("Job_message")))]
    prices += [(o.cell("price"), job.options_message(o.number, now)) for o in OPTIONS]
    for name, message in prices:
        before, after = job.start[job.cell(name)], named(name)
        if not moved(before, after):
            continue
        if is_number(after):
            outcomes.append("stated")
            if not blank.stated:
                wrong.append(f"{name}: {before} became {after} in silence")
            continue
        outcomes.append("unknown")
        if after != UNKNOWN or message == COMPLETE or not tells(message):
            wrong.append(f"{name}: {after!r}, but {message!r}")
    before, after = job.ordered(job.start), job.ordered(now)
    if before != after and not blank.stated:
        if after:
            wrong.append(f"the order has {after}")
        if named("Order_this_kind") not in (None, ""):
            wrong.append(f"an order that lacks lines is {named('Order_this_kind')!r}")
        if not tells(named("Order_problem"), named("Layout_problem")):
            wrong.append(f"no order, but {named('Order_problem')!r}")
    engineer = (now[cell] for cell in job.engineer)
    if tells(*(named(name) for name in MESSAGES), *engineer) or blank.stated:
        return outcomes[-1], wrong
    for name in WEIGHTS:
        if moved(job.start[job.cell(name)], named(name)):
            wrong.append(f"{name}: {named(name)!r}, and nothing is said")
    for cell, value in anew.items():
        before = job.start[cell]
        water = cell[0] in ("Water", "Losses and loads")
        if water and is_number(before) and is_number(value) and moved(before, value):
            wrong.append(f"{cell}: {before} became {value} in silence")
    return outcomes[-1], wrong


def judge_all(job: Job, blanks: Iterable[Blank]) -> Counter[str]:
    """Return how many blanks have which outcome, once nothing is wrong with any."""
    tally: Counter[str] = Counter()
    wrong = {}
    for blank in blanks:
        outcome, faults = judged(job, blank)
        tally[outcome] += 1
        if faults:
            wrong[f"{blank.cell} {blank.words}"] = faults
    assert wrong == {}
    return tally


def test_each_blank_of_the_job_is_told_and_never_a_number(jobs: dict[str, Job]) -> None:
    tally = judge_all(jobs["us"], blanks_of(jobs["us"]))
    assert tally["unknown"] > 90, tally
    assert tally["same"] > 90, tally
    assert 10 < tally["stated"] < 40, tally


def test_blanks_of_the_tables_in_the_other_units(jobs: dict[str, Job]) -> None:
    """Each third of them: what tells one unit system from the other is in the tables."""
    job = jobs["metric"]
    tables = [blank for blank in blanks_of(job) if blank.cell[0] in ("Materials", "Pump and pipe")]
    tally = judge_all(job, tables[::3])
    assert tally["unknown"] > 12, tally


def test_an_edit_of_what_hangs_on_a_cell_is_the_whole_of_it(jobs: dict[str, Job]) -> None:
    """The way of these tests to work an edit anew, against the whole workbook worked anew."""
    job = jobs["us"]
    changed: dict[Key, Any] = {job.cell("Adhesive_waste"): None, job.cell("Fitting_2_count"): None}
    whole = evaluate(job.path, {**job.typed, **changed})
    edited = {**job.start, **job.after(changed)}
    for name in ("Price_total", "Total_materials", "Option_3_price", *MESSAGES, *WEIGHTS):
        assert whole[job.cell(name)] == edited[job.cell(name)], name


def test_a_typed_zero_is_a_price_of_nothing(jobs: dict[str, Job]) -> None:
    job = jobs["us"]
    block = ("Materials", f"F{job.row_of('Blocks', job.start[job.cell('Block')])}")
    zeros = (block, job.cell("Labour_rate"), job.cell("Delivery"), job.cell("Markup_on_labour"))
    for cell in zeros:
        assert is_number(job.start[cell]), cell
        now = {**job.start, **job.after({cell: 0})}
        assert 0 < now[job.cell("Price_total")] < job.start[job.cell("Price_total")], cell
        assert now[job.cell("Job_message")] == COMPLETE
        assert now[job.cell("Missing_count")] == 0


def test_no_number_is_no_price_either(jobs: dict[str, Job]) -> None:
    """Text, a negative price, and a pack or weight of nothing."""
    job = jobs["us"]
    row = job.row_of("Blocks", job.start[job.cell("Block")])
    columns = {heading: column for column, heading in job.columns("Blocks")}
    for heading, value in (("Price each", "5,85 or so"), ("Price each", -1),
                           ("Sold in packs of", "a pallet"), ("Sold in packs of", 0)):  # fmt: skip
        now = {**job.start, **job.after({("Materials", f"{columns[heading]}{row}"): value})}
        assert now[job.cell("Price_total")] == UNKNOWN
        assert f"{heading}" in now[job.cell("Missing_price")]
        assert "can't be used: give a number" in now[job.cell("Missing_price")]
        assert now[job.cell("Job_message")] == now[job.cell("Missing_price")]
        ordered = job.ordered(now)
        assert any(ordered) == (heading == "Price each")
    now = {**job.start, **job.after({("Materials", f"{columns['Weight']}{row}"): 0})}
    assert now[job.cell("Qty_Block_weight")] == UNKNOWN
    assert now[job.cell("Missing_weight")].startswith("Weight of")
    assert now[job.cell("Job_message")] == COMPLETE


def test_what_is_not_needed_may_lack_a_price(jobs: dict[str, Job]) -> None:
    """A column cap that is chosen, of a job without columns."""
    job = jobs["us"]
    row = job.row_of("Column_caps", job.start[job.cell("Column_cap")])
    blank: dict[Key, Any] = {("Materials", f"{column}{row}"): None for column in "DE"}
    changed: dict[Key, Any] = {job.cell("Columns"): 0, **blank}
    now = {**job.start, **job.after(changed)}
    assert is_number(now[job.cell("Price_total")])
    assert now[job.cell("Job_message")] == COMPLETE
    assert now[job.cell("Missing_weight")] == ""


def test_lifting_without_a_weight_says_so(jobs: dict[str, Job]) -> None:
    job = jobs["us"]
    names = {"One block": "Blocks", "One cap": "Caps", "One column cap": "Column_caps"}
    chosen = {"Blocks": "Block", "Caps": "Cap", "Column_caps": "Column_cap"}
    for label, table in names.items():
        (row,) = (
            at[1:] for (sheet, at), value in job.start.items()
            if sheet == "Take-off" and value == label
        )  # fmt: skip
        columns = {heading: column for column, heading in job.columns(table)}
        place_of = job.row_of(table, job.start[job.cell(chosen[table])])
        for weight in (None, 0):
            after = job.after({("Materials", f"{columns['Weight']}{place_of}"): weight})
            assert after["Take-off", f"B{row}"] == "no weight on the Materials sheet"


def test_lines_of_the_estimators_own_are_whole_or_unknown(jobs: dict[str, Job]) -> None:
    """A third line: nothing typed is nothing; a name, quantity or price alone is not."""
    job = jobs["us"]
    row = max(int(at[1:]) for _, at in job.typed if at.startswith("I")) + 1
    before = job.start[job.cell("Price_total")]
    for column, value in {"A": "Plants", "B": "24 of them", "C": 3, "I": 12.5}.items():
        now = {**job.start, **job.after({("Estimate", f"{column}{row}"): value})}
        assert now[job.cell("Price_total")] == UNKNOWN, column
        assert f"cell {'I' if column == 'C' else 'C'}{row}" in now[job.cell("Job_message")]
        assert any(job.ordered(now)) == (column == "C"), column
    nothing: dict[Key, Any] = {("Estimate", f"A{row}"): "Plants", ("Estimate", f"C{row}"): 0}
    now = {**job.start, **job.after(nothing)}
    assert now[job.cell("Price_total")] == before
