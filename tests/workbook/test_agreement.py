"""The workbook's numbers against the same job worked out in plain Python (``pricing``)."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import (
    column_index_from_string,
    coordinate_from_string,
    get_column_letter,
    range_boundaries,
)

from basinbook import catalogue
from basinbook.catalogue.model import CellError
from basinbook.drawings.lengths import length_text
from basinbook.engine.errors import InputError
from basinbook.engine.takeoff import ITEMS
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import evaluate
from basinbook.workbook.template.branches import GIVEN as SEVERAL
from basinbook.workbook.template.outfit import FALLING, STANDS
from workbook.edited import evaluated
from workbook.formula_text import calls, formulas
from workbook.places import SYSTEMS, place
from workbook.pricing import (
    Inputs,
    Priced,
    cents,
    effect_of,
    metres,
    one,
    price,
    read_inputs,
    shown,
)
from workbook.random_jobs import FREE_LINES, ROUND, make

# BASINBOOK_JOBS=200 makes so many.
JOBS = int(os.environ.get("BASINBOOK_JOBS", ROUND))
# Of one in so many jobs all sheets are worked out, of the others not the two longest.
_WHOLE = 9
_TRIES = 40
# Both ways take the same steps in another order: rounding of the last digits only.
_SAME = 1e-9


class Sheets:
    """Values of a recalculated workbook, found by defined name, label or cell."""

    def __init__(self, path: Path, values: Mapping[Key, Any]) -> None:
        self.values = values
        self.names = _names(path)

    def cell(self, sheet: str, at: str) -> Any:
        value = self.values.get((sheet, at))
        return "" if value is None else value

    def named(self, name: str) -> Any:
        return self.cell(*self.names[name])

    def rows(self, sheet: str, column: str, first: int = 1) -> dict[str, int]:
        """Return the first row of each text in a column."""
        found: dict[str, int] = {}
        for row in range(first, 200):
            text = self.cell(sheet, f"{column}{row}")
            if isinstance(text, str) and text:
                found.setdefault(text, row)
        return found

    def errors(self) -> list[Key]:
        return [key for key, value in self.values.items() if isinstance(value, CellError)]


@cache
def _names(path: Path) -> dict[str, tuple[str, str]]:
    book = openpyxl.load_workbook(path)
    return {name: place(book, name) for name in book.defined_names}


def agree(seen: Any, wanted: Any, where: str) -> None:
    if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        assert isinstance(seen, (int, float)), f"{where}: {seen!r}, not {wanted}"
        assert math.isclose(seen, wanted, rel_tol=_SAME, abs_tol=1e-9), f"{where}: {seen}, {wanted}"
    else:
        assert seen == wanted, f"{where}: {seen!r}, not {wanted!r}"


def check_takeoff(sheets: Sheets, wanted: Priced) -> None:
    assert len(wanted.takeoff) >= len(ITEMS) + 15
    for label, value in wanted.takeoff.items():
        name = "Qty_" + label.replace(" ", "_").replace("-", "_")
        agree(sheets.named(name), value, name)
        sheet, at = sheets.names[name]
        assert sheets.cell(sheet, f"A{at[1:]}") == label


def check_estimate(sheets: Sheets, job: Inputs, wanted: Priced) -> dict[str, int]:
    """Compare every cell of the Estimate sheet and return the row of each line."""
    head = {str(sheets.cell("Estimate", f"{c}5")).partition(",")[0]: c for c in "ABCDEFGHIJ"}
    first = sheets.rows("Estimate", "A")["Base"]
    rows = {item: first + n for n, item in enumerate(wanted.lines)}
    for item, line in wanted.lines.items():
        expected = {
            "Description": line.description,
            "Take-off": line.quantity,
            "Unit": line.unit,
            "Order quantity": line.ordered,
            "Sold in packs of": line.pack,
            "Packs": line.packs,
            "Price each": line.price,
            "Extension": line.extension,
            "Allowance": "" if line.allowance is None else line.allowance,
        }
        name = item.rpartition(" ")[0] if item.startswith("Fitting") else item
        of_water = item == "Pipe" or _is_plumbing(item)
        shown_item = "" if of_water and not line.description else name
        assert sheets.cell("Estimate", f"A{rows[item]}") == shown_item
        for title, value in expected.items():
            at = f"{head[title]}{rows[item]}"
            agree(sheets.cell("Estimate", at), value, f"Estimate!{at} {item} {title}")
    last = rows["Fitting 8"]
    for n in range(FREE_LINES):
        at = f"J{last + 1 + n}"
        used = n < len(wanted.free)
        agree(sheets.cell("Estimate", at), wanted.free[n] if used else 0, at)
        at = f"F{last + 1 + n}"
        agree(sheets.cell("Estimate", at), job.free[n][2] if used else 0, at)
    plumbing = [line.extension for item, line in wanted.lines.items() if _is_plumbing(item)]
    plumbing += wanted.free
    agree(sheets.named("Total_plumbing_and_other"), sum(plumbing), "Total_plumbing_and_other")
    tasks = sheets.rows("Estimate", "A", last)
    for row in job.tables["Labour"].values():
        quantity = wanted.work[row["name"]]
        if not quantity and row["name"] not in tasks:
            assert row["name"] == "Pump and pipe"
            continue
        at = tasks[row["name"]]
        for column, value in (
            ("C", quantity), ("D", row["unit"]), ("E", row["hours"]),
            ("F", quantity * row["hours"]), ("I", job["Labour_rate"]),
            ("J", cents(quantity * row["hours"] * job["Labour_rate"])),
        ):  # fmt: skip
            agree(sheets.cell("Estimate", f"{column}{at}"), value, f"Estimate!{column}{at}")
    agree(sheets.named("Person_hours"), wanted.hours, "Person_hours")
    agree(sheets.named("Crew_days"), wanted.hours / job["Crew"] / job["Hours_per_day"], "Crew_days")
    for name, value in wanted.summary.items():
        agree(sheets.named(name), value, name)
    return rows


def _is_plumbing(item: str) -> bool:
    parts = (
        "Spillway", "Bowl", "Bubbler", "Pump", "Bulkhead fitting", "Check valve", "Cord passage",
        "Light", "Automatic fill",
    )  # fmt: skip
    return item in parts or item.startswith("Fitting")


def check_order(sheets: Sheets, job: Inputs, wanted: Priced, rows: Mapping[str, int]) -> None:
    left, top, _, bottom = range_boundaries(sheets.names["Order_lines"][1])
    assert left == 1
    expected: list[tuple[str, str, float, str]] = [
        (item.rpartition(" ")[0] if item.startswith("Fitting") else item, line.description,
         line.ordered, line.unit)
        for item, line in wanted.lines.items()
    ]  # fmt: skip
    expected += [(item, name, quantity, unit) for item, name, quantity, unit, _ in job.free]
    # The sheet lists what is ordered without gaps; its last lines stay blank.
    expected = [line for line in expected if line[2]]
    expected += [("", "", 0, "")] * (bottom - top + 1 - len(expected))
    number = 0
    for row, (item, name, quantity, unit) in enumerate(expected, start=top):
        seen = [sheets.cell("Order", f"{column}{row}") for column in "ABCDE"]
        if not quantity:
            assert seen == ["", "", "", "", ""], f"Order row {row}"
            continue
        number += 1
        for value, right in zip(seen, (number, item, name, quantity, unit), strict=True):
            agree(value, right, f"Order row {row}")
        if item == "Wall block":
            block = job.row("Blocks", "Block")
            sizes = " x ".join(f"{block[key]:g}" for key in ("length", "height", "depth"))
            short = {"us": "in", "metric": "mm"}[job.system]
            assert sheets.cell("Order", f"F{row}") == f"{sizes} {short} actual"
    for item, line in wanted.lines.items():
        if line.description:
            taken = sheets.cell("Estimate", f"C{rows[item]}")
            assert sheets.cell("Estimate", f"F{rows[item]}") >= taken - 1e-9, item


_TARGETS = {
    "Base thickness, tamped": "Base_thickness",
    "Inside length, front": "Inside length",
    "Inside length, back": "Inside length",
    "Inside width, left": "Inside width",
    "Inside width, right": "Inside width",
    "Inside diagonal, first": "Inside diagonal",
    "Inside diagonal, second": "Inside diagonal",
    "Outside length": "Outside length",
    "Outside width": "Outside width",
    "Outside diagonal, first": "Outside diagonal",
    "Outside diagonal, second": "Outside diagonal",
    "Wall height, highest corner": "Wall height",
    "Wall height, lowest corner": "Wall height",
    "Cap overhang, front": "Cap overhang",
    "Water depth when full": "Water_depth",
}


def check_targets(sheets: Sheets, job: Inputs, wanted: Priced) -> None:
    rows = sheets.rows("Checks", "A")
    assert set(_TARGETS) <= set(rows)
    for label, source in _TARGETS.items():
        typed = source in ("Base_thickness", "Water_depth")
        si = job.length(source) / one("length", job.system) if typed else wanted.takeoff[source]
        if source == "Cap overhang" and not job["Cap"]:
            si = ""  # What the job has not is not measured.
        told = si if si == "" else length_text(si * one("length", job.system), job.system)
        agree(sheets.cell("Checks", f"B{rows[label]}"), told, f"Checks {label}")


def check_options(sheets: Sheets, job: Inputs, wanted: Priced) -> int:
    """Compare all columns of the Options sheet; return how many options can be built."""
    first = sheets.rows("Options", "A")["What follows"]
    rows = sheets.rows("Options", "A", first)
    buildable = 0
    for number, column in enumerate("CDEF", start=1):
        try:
            option = wanted if number == 1 else price(job.option(number))
        except InputError:
            option = None
        results = {} if option is None else _option_results(option)
        for label in _option_results(wanted):
            at = f"{column}{rows[label]}"
            nothing = "unknown" if label in _SUMS else ""
            agree(sheets.cell("Options", at), results.get(label, nothing), f"Options!{at} {label}")
        state = sheets.cell("Options", f"{column}{rows['Inputs']}")
        assert (state == "Inputs complete") == (option is not None), state
        buildable += option is not None
    agree(sheets.named("Option_1_price"), sheets.named("Price_total"), "Option 1")
    return buildable


_SUMS = ("Person-hours", "Materials", "Price before tax", "Price to the client")


def _option_results(option: Priced) -> dict[str, float | str]:
    found = option.takeoff
    return {
        "Courses": found["Courses"],
        "Wall height": found["Wall height"],
        "Outside length": found["Outside length"],
        "Outside width": found["Outside width"],
        "Blocks to buy": found["Blocks to buy"],
        "Pieces to lay": found["Pieces laid"],
        "Cut pieces": found["Cut pieces"],
        "Different cut lengths": found["Different cut lengths"],
        "Saw cuts, caps included": option.work["Saw cuts"],
        "Caps to lay": found["Caps needed"],
        "Caps to buy": found["Caps to buy"],
        "Column caps": found["Column caps"],
        "Base, loose": found["Base loose"],
        "Base, tamped": found["Base tamped"],
        "Adhesive cartridges": found["Cartridges"],
        "Liner fit": found["Liner fit"],
        "Water": found["Water volume"],
        "Person-hours": option.hours,
        "Materials": option.materials,
        "Price before tax": option.summary["Price_before_tax"],
        "Price to the client": option.summary["Price_total"],
    }


def check_everything(sheets: Sheets, job: Inputs, wanted: Priced) -> int:
    assert sheets.errors() == []
    assert sheets.named("Ready") is True
    check_takeoff(sheets, wanted)
    rows = check_estimate(sheets, job, wanted)
    check_order(sheets, job, wanted, rows)
    check_targets(sheets, job, wanted)
    return check_options(sheets, job, wanted)


@pytest.mark.parametrize("system", SYSTEMS)
def test_demo_job_agrees_cell_by_cell(demos: dict[str, Path], system: str) -> None:
    path = demos[system]
    job, _ = read_inputs(path, system)
    sheets = Sheets(path, evaluated(path))
    assert check_everything(sheets, job, price(job)) == 4
    prices = {sheets.named(f"Option_{n}_price") for n in range(1, 5)}
    assert len(prices) == 4


@cache
def _starters(path: Path, system: str) -> tuple[Inputs, dict[str, tuple[str, str]]]:
    return read_inputs(path, system)


@cache
def random_job(seed: int, path: Path, system: str) -> tuple[Inputs, dict[Key, Any], list[Inputs]]:
    """Return the first job of a seed that can be built, its cells, and those that can't."""
    rng = Random(seed)
    start, places = _starters(path, system)
    names = _names(path)
    refused: list[Inputs] = []
    for _ in range(_TRIES):
        typed, changed, free = make(rng, start, seed)
        tables = {
            table: {name: {**row, **changed.get((table, name), {})} for name, row in rows.items()}
            for table, rows in start.tables.items()
        }
        job = Inputs(system, {**start.typed, **typed}, tables, tuple(free))
        cells: dict[Key, Any] = {places[name]: value for name, value in typed.items()}
        for (table, name), row in changed.items():
            position = list(start.tables[table]).index(name)
            for key, value in row.items():
                sheet, area = names[f"{table}_{key}"]
                letter = area[0]
                top = int(area.partition(":")[0][1:])
                cells[sheet, f"{letter}{top + position}"] = value
        for n, line in enumerate(free):
            for column, value in zip("ABCDI", line, strict=True):
                cells["Estimate", f"{column}{_free_row(path) + n}"] = value
        try:
            price(job)
        except InputError:
            refused.append(Inputs(system, typed, {}))
            continue
        return job, cells, refused
    raise AssertionError(f"seed {seed}: none of {_TRIES} jobs can be built")


@cache
def _free_row(path: Path) -> int:
    """First row of the estimate whose item can be typed."""
    sheet = openpyxl.load_workbook(path)["Estimate"]
    return next(row for row in range(6, 60) if not sheet[f"A{row}"].protection.locked)


@pytest.mark.parametrize("seed", range(JOBS))
def test_random_job_agrees_cell_by_cell(blanks: dict[str, Path], seed: int) -> None:
    system = SYSTEMS[seed % 2]
    path = blanks[system]
    job, cells, _ = random_job(seed, path, system)
    unread = ("Pieces", "Sizes") if seed % _WHOLE else ()
    sheets = Sheets(path, evaluated(path, cells, unread))
    check_everything(sheets, job, price(job))


def test_working_out_in_memory_gives_what_a_recalculation_of_the_file_gives(
    blanks: dict[str, Path],
) -> None:
    path = blanks["metric"]
    _, cells, _ = random_job(1, path, "metric")
    assert evaluated(path, cells) == evaluate(path, cells)


def test_random_jobs_are_of_all_sorts(blanks: dict[str, Path]) -> None:
    """What the comparison above would miss if the generator never made it."""
    jobs = [
        random_job(seed, blanks[SYSTEMS[seed % 2]], SYSTEMS[seed % 2])[0] for seed in range(ROUND)
    ]
    counts = {
        "columns": sum(bool(job["Columns"]) for job in jobs),
        "column caps": sum(bool(job["Columns"] and job["Column_cap"]) for job in jobs),
        "second wall": sum(job["Second_wall"] == "yes" for job in jobs),
        "opening": sum(bool(job["Pipe_opening"]) for job in jobs),
        "further openings": sum(bool(job["Opening_2_width"]) for job in jobs),
        "lintels": sum(bool(job["Opening_2_lintel"]) for job in jobs),
        "on edge": sum(bool(job["Courses_on_edge"]) for job in jobs),
        "no caps": sum(not job["Cap"] for job in jobs),
        "mitred": sum(bool(job["Cap"]) and job["Cap_corners"] == "mitred" for job in jobs),
        "sheet liner": sum(job.row("Liners", "Liner")["type"] == "sheet" for job in jobs),
        "bags": sum(job.row("Bases", "Base_material")["sold_by"] == "bag" for job in jobs),
        "weight": sum(job.row("Bases", "Base_material")["sold_by"] in ("t", "ton") for job in jobs),
        "typed with a unit": sum(isinstance(job["Inside_length"], str) for job in jobs),
        "pipe by the geometry": sum(
            bool(job["Pipe"]) and job["Pipe_length"] is None for job in jobs
        ),
        "own lines": sum(bool(job.free) for job in jobs),
        "price set by margin": sum(job["Price_set_by"] == "margin" for job in jobs),
        "smallest job": sum(job["Smallest_job"] == 90_000 for job in jobs),
        "overhead": sum(bool(job["Overhead"]) for job in jobs),
        "still water": sum(effect_of(job) == "still water" for job in jobs),
        "old word, pump": sum(job["Spill_kind"] == "none" and bool(job["Pump"]) for job in jobs),
        "old word, still": sum(job["Spill_kind"] == "none" and not job["Pump"] for job in jobs),
        "typed for still water": sum(
            effect_of(job) == "still water" and bool(job["Pump"] and job["Outlet"]) for job in jobs
        ),
        **{
            f"{effect} with its outlet": sum(
                effect_of(job) == effect and bool(job["Outlet"]) for job in jobs
            )
            for effect in ("straight lip", "notch", "bowl rim", "bubbler")
        },
        **{
            part: sum(bool(job[part]) and job[f"{part}_count"] != 0 for job in jobs)
            for part in ("Bulkhead_fitting", "Check_valve", "Cord_passage", "Light")
        },
    }
    assert min(counts.values()) >= 2, counts
    blocks = {job["Block"] for job in jobs}
    assert len(blocks) == 10


@pytest.mark.parametrize("seed", range(100, 108))
def test_job_that_cannot_be_built_says_so_and_gives_no_number(
    blanks: dict[str, Path], seed: int
) -> None:
    system = SYSTEMS[seed % 2]
    path = blanks[system]
    refused: list[Any] = []
    while not refused:
        refused = random_job(seed, path, system)[2]
        seed += 1000
    _, places = _starters(path, system)
    cells = {places[name]: value for name, value in refused[0].typed.items()}
    sheets = Sheets(path, evaluated(path, cells))
    assert sheets.errors() == []
    assert sheets.named("Ready") is False
    message = sheets.named("Job_message")
    assert "can't be used" in message
    for title in ("Estimate", "Take-off", "Options"):
        assert message in sheets.cell(title, "A2")
    for label in (item.label for item in ITEMS.values()):
        assert sheets.named("Qty_" + label.replace(" ", "_").replace("-", "_")) == "", label
    assert sheets.named("Price_total") == "unknown"
    assert sheets.named("Option_1_price") == "unknown"
    _, top, _, bottom = range_boundaries(sheets.names["Order_lines"][1])
    for row in range(top, bottom + 1):
        assert sheets.cell("Order", f"D{row}") == "", row


def test_lengths_are_read_as_typed() -> None:
    """The reader of lengths in ``pricing`` itself, by hand."""
    assert metres("5' 4\"", "us") == pytest.approx(64 * 0.0254, rel=1e-15)
    assert metres("5' 4 1/2\"", "metric") == pytest.approx(64.5 * 0.0254, rel=1e-15)
    assert metres("3/8", "us") == pytest.approx(0.009525, rel=1e-15)
    assert metres("1.27 m", "us") == 1.27
    assert metres("46.5 cm", "metric") == 0.465
    assert metres(350, "metric") == pytest.approx(0.35)
    assert shown(1.0, "length", "metric") == pytest.approx(1000)


@pytest.mark.parametrize("system", SYSTEMS)
def test_single_calls_give_what_the_catalogue_gives(demos: dict[str, Path], system: str) -> None:
    """Cells with one call on plain cells, names and literals, against the call by itself."""
    path = demos[system]
    sheets = Sheets(path, evaluated(path))
    compared, names = 0, set()
    for sheet, at, text in formulas(openpyxl.load_workbook(path)):
        found = [call for call in calls(text)[0] if call.name.upper().startswith("BASIN.")]
        if len(found) != 1 or not _bare(text, found[0]):
            continue
        try:
            arguments = [_argument(sheets, sheet, part) for part in found[0].texts]
        except KeyError:
            continue  # an argument is a formula of its own
        value = sheets.cell(sheet, at)
        if value in ("", "-"):
            continue
        wanted = catalogue.call(found[0].name, *arguments).value
        table = wanted if isinstance(wanted, list) else [[wanted]]
        column, row = coordinate_from_string(at)
        for down, line in enumerate(table):
            for right, cell in enumerate(line):
                letter = get_column_letter(column_index_from_string(column) + right)
                seen = sheets.cell(sheet, f"{letter}{row + down}")
                agree(seen, "" if cell is None else cell, f"{sheet}!{at} {text} {down} {right}")
        compared += 1
        names.add(found[0].name)
    assert compared >= 45
    assert len(names) >= 25


def _bare(text: str, call: Any) -> bool:
    """Whether the cell shows the call's value as it is, when it shows one."""
    inside = f"{call.name}({','.join(call.texts)})"
    frames = (
        f"={inside}",
        f'=IFERROR(IF(Layout_problem="Inputs complete",{inside},""),"")',
        f'=IFERROR(IF(Layout_problem="Inputs complete",{inside},""),"unknown")',
        f'=IFERROR(IF(Water_depth<>"",{inside},""),"")',
        f'=IFERROR({inside},"-")',
        f'=IFERROR(IF(Runs,{inside},"-"),"-")',
        f'=IFERROR(IF({FALLING},{inside},"-"),"-")',
        f'=IFERROR(IF({FALLING},{inside},0),"-")',
        f'=IFERROR(IF({STANDS},0,{inside}),"-")',
        # The demo has one outlet alone.
        f'=IFERROR(IF({STANDS},0,{inside}+IF({SEVERAL},Branch_contents,0)),"-")',
        f'=IFERROR(IF(ISNUMBER(Flow_wanted),{inside},"-"),"-")',
        f'=IFERROR(IF(OR(Runs,Outfit_light<>""),{inside},"-"),"-")',
        f'=IFERROR(IF(Access_height=0,"no access gap on the Job sheet",'
        f'IF(ISNUMBER(Access_height),{inside},"-")),"-")',
        f'=IFERROR(IF(Runs,IFERROR({inside},""),""),"-")',
        f'=IFERROR(IF(Outfit_light<>"",{inside},"-"),"-")',
        f'=IFERROR({inside},"")',
    )
    return text.replace(" ", "") in {frame.replace(" ", "") for frame in frames}


def _argument(sheets: Sheets, sheet: str, text: str) -> Any:
    """Return the value of an argument: a literal, a cell or a name; KeyError for anything else."""
    if not text:
        return None
    if text.startswith('"') and text.endswith('"') and text.count('"') == 2:
        return text[1:-1]
    try:
        return float(text)
    except ValueError:
        pass
    title, area = sheets.names[text] if text in sheets.names else (sheet, text.replace("$", ""))
    try:
        left, top, right, bottom = range_boundaries(area)
    except (ValueError, TypeError) as error:
        raise KeyError(text) from error
    letters = [get_column_letter(column) for column in range(left, right + 1)]
    rows = [
        [sheets.values.get((title, f"{c}{r}")) for c in letters] for r in range(top, bottom + 1)
    ]
    return rows[0][0] if len(rows) == len(letters) == 1 else rows
