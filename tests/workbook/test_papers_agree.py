"""What leaves the office speaks of the job: its parts, no others, and one figure for one thing.

Random complete jobs in both unit systems are worked out in a built template, and drawn, in memory.
Which parts a job has, and its take-off, come from ``pricing``, which reads no sheet.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from random import Random
from typing import Any

import pytest
from lxml import etree
from openpyxl.utils.cell import range_boundaries
from pypdf import PdfReader

from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.drawing_set import pages, write_drawings
from basinbook.drawings.elevation import elevation_views
from basinbook.drawings.lengths import length_text, length_with_unit
from basinbook.drawings.section import SectionView
from basinbook.engine.cautions import caution
from basinbook.engine.errors import InputError
from basinbook.engine.inspections import NOT_HERE
from basinbook.engine.layout.model import WALLS
from basinbook.engine.spec import FIELDS
from basinbook.workbook.recalculation.drawing_inputs import DrawingInputs, inputs_from
from basinbook.workbook.recalculation.opened import Key
from workbook.edited import evaluated
from workbook.places import SYSTEMS
from workbook.pricing import (
    LINTELS,
    Inputs,
    Priced,
    chosen_parts,
    effect_of,
    one,
    price,
    read_inputs,
)
from workbook.random_jobs import ROUND, length, make
from workbook.test_agreement import Sheets

# BASINBOOK_JOBS=200 makes so many.
JOBS = int(os.environ.get("BASINBOOK_JOBS", ROUND))
TOGETHER = 4
# Whole sets are drawn of one in so many jobs, and written as PDF and SVG of one in so many: that
# takes as long as all the rest.
WHOLE_SETS = 4
WRITTEN = 8
_TRIES = 60


@dataclass(frozen=True)
class Case:
    """A random job: what was typed, worked out twice, and what the workbook's cells then hold."""

    system: str
    job: Inputs
    wanted: Priced
    sheets: Sheets

    @cached_property
    def parts(self) -> dict[str, tuple[str, int]]:
        """The name and number of each part of the water side that the job has, by its kind."""
        chosen = chosen_parts(self.job).items()
        found = {kind: (self.job[cell], number) for kind, (cell, number) in chosen if number}
        outlets = ("Spillway", "Bowl", "Bubbler")
        return {("Outlet" if kind in outlets else kind): part for kind, part in found.items()}

    @cached_property
    def inputs(self) -> DrawingInputs:
        """What its drawings are made of."""
        return inputs_from(self._cells, "a4" if self.system == "metric" else "letter")

    def _cells(self, name: str) -> tuple[tuple[Any, ...], ...]:
        if name not in self.sheets.names:
            return ()
        sheet, area = self.sheets.names[name]
        left, top, right, bottom = range_boundaries(area)
        letters = [chr(64 + n) if n <= 26 else _letters(n) for n in range(left, right + 1)]
        return tuple(
            tuple(self.sheets.values.get((sheet, f"{letter}{row}")) for letter in letters)
            for row in range(top, bottom + 1)
        )

    def quantity(self, label: str) -> float:
        """A quantity of the take-off [m or pieces]."""
        value = self.sheets.named("Qty_" + label.replace(" ", "_").replace("-", "_"))
        return float(value)

    def written(self, label: str) -> str:
        """A length of the Take-off sheet, as words on a drawing have it."""
        return self.words(self.quantity(label) * one("length", self.system))

    def typed(self, name: str) -> str:
        """A length that was typed, as words on a drawing have it."""
        return self.words(self.job.length(name))

    def words(self, metres: float) -> str:
        return length_with_unit(metres, self.system)

    def column(self, sheet: str, letter: str, first: int = 1, last: int = 260) -> list[str]:
        """The texts in a column of a sheet."""
        return [str(self.sheets.cell(sheet, f"{letter}{row}")) for row in range(first, last)]

    @cached_property
    def steps(self) -> list[str]:
        """The steps, each with its lines joined."""
        # Below the heading, which says the same as the sheet's title.
        said = enumerate(self.column("Steps", "A"), start=1)
        start = max(row for row, text in said if text == "Steps") + 1
        found: list[str] = []
        for number, text in zip(
            self.column("Steps", "A", start), self.column("Steps", "B", start),
            strict=True,
        ):  # fmt: skip
            if number:
                found.append(text)
            elif text:
                found[-1] += f" {text}"
        return found

    @cached_property
    def wanted_of_tests(self) -> dict[str, str]:
        """What the check sheet wants of each test that applies."""
        start = self.sheets.rows("Checks", "A")["Before digging"]
        rows = zip(
            self.column("Checks", "A", start, start + 23),
            self.column("Checks", "B", start, start + 23),
            strict=True,
        )
        return {label: text for label, text in rows if text != NOT_HERE}

    @cached_property
    def section(self) -> str:
        """All that the section says, with the lines below it."""
        spec, title, outfit = self.inputs
        view = SectionView(self.wanted.layout, outfit, title.system)
        canvas = Canvas(title.paper)
        view.draw(canvas, Rect(10.0, 30.0, 270.0, 200.0), 24)
        for name in FIELDS:
            # The same input read twice: the last digits apart.
            given, read = (getattr(each, name) for each in (self.wanted.layout.spec, spec))
            assert read == (pytest.approx(given) if isinstance(given, float) else given), name
        # A name is broken into lines; each line is a text of its own.
        return " ".join([*(text.get_text() for text in canvas.figure.texts), *view.lines])

    @cached_property
    def elevations(self) -> list[str]:
        """The texts of the elevations."""
        _, title, outfit = self.inputs
        canvas = Canvas(title.paper)
        for view in elevation_views(
            self.wanted.layout, title.system, outfit.base_thickness, outfit.base_margin
        ):
            view.draw(canvas, Rect(10.0, 30.0, 270.0, 200.0), 24)
        return [text.get_text() for text in canvas.figure.texts]

    @cached_property
    def ordered(self) -> dict[str, list[tuple[str, float]]]:
        """Description and quantity of the order's lines, by item."""
        _, top, _, bottom = range_boundaries(self.sheets.names["Order_lines"][1])
        found: dict[str, list[tuple[str, float]]] = {}
        for row in range(top, bottom + 1):
            item, name, number = (self.sheets.cell("Order", f"{c}{row}") for c in "BCD")
            if item:
                found.setdefault(item, []).append((name, float(number)))
        return found

    @cached_property
    def estimated(self) -> dict[str, list[str]]:
        """Descriptions of the estimate's lines of which something is bought, by item."""
        first = self.sheets.rows("Estimate", "A")["Base"]
        found: dict[str, list[str]] = {}
        for row in range(first, first + len(self.wanted.lines)):
            item, name, number = (self.sheets.cell("Estimate", f"{c}{row}") for c in "ABF")
            if number:
                found.setdefault(item, []).append(name)
        return found


def _letters(number: int) -> str:
    return chr(64 + (number - 1) // 26) + chr(65 + (number - 1) % 26)


@cache
def _starters(path: Path, system: str) -> tuple[Inputs, dict[str, tuple[str, str]]]:
    return read_inputs(path, system)


@cache
def job_of(seed: int, path: Path) -> tuple[Inputs, Priced, dict[Key, Any]]:
    """The first job of a seed that can be built, worked out, and what is typed for it by cell."""
    system = SYSTEMS[seed % 2]
    rng = Random(10_000 + seed)
    start, places = _starters(path, system)
    for _ in range(_TRIES):
        typed, _, _ = make(rng, start, seed)
        size = 25.4 if system == "metric" else 1.0
        if rng.random() < 0.4:
            typed["Joint"] = rng.choice(["3/8 in", "10 mm", "3 mm"])
        if rng.random() < 0.3:
            typed["Cap_overhang"] = length(rng, system, 0.0, 1.5 * size)
        typed = {name: value for name, value in typed.items() if not name.startswith("Option_")}
        typed["Sizes_listed"] = "no"  # Dozens of layouts more.
        if rng.random() < 0.3:
            edge = rng.choice(["1", "2", "3", "4", "2, 4"])
            typed |= {"Courses_on_edge": edge, "Walls_on_edge": "all"}
        if not typed["Fitting_6"]:
            typed["Fitting_6_count"] = None  # A number of nothing stops the order.
        job = Inputs(system, {**start.typed, **typed}, start.tables)
        try:
            wanted = price(job)
        except InputError:
            continue
        return job, wanted, {places[name]: value for name, value in typed.items()}
    raise AssertionError(f"seed {seed}: none of {_TRIES} jobs can be built")


# Nothing here looks at these, and they take most of the time.
_UNREAD = ("Pieces", "Cuts", "Options", "Sizes", "Losses and loads")


def case_of(seed: int, path: Path) -> Case:
    """That job, worked out in the template."""
    job, wanted, cells = job_of(seed, path)
    return Case(job.system, job, wanted, Sheets(path, evaluated(path, cells, _UNREAD)))


_OUTLETS = {"straight lip": "spillway lip", "notch": "notch", "bowl rim": "bowl",
            "bubbler": "bubbler"}  # fmt: skip


def _named(job: Inputs, number: int) -> str:
    use = job[f"Opening_{number}_for"]
    return f"Opening {number} ({use})" if use else f"Opening {number}"


def wanted_steps(case: Case) -> list[str]:
    """The titles of the steps, from what was typed."""
    job, layout, parts = case.job, case.wanted.layout, case.parts
    courses = int(case.wanted.takeoff["Courses"])
    edge = sorted({p.course for p in layout.pieces if p.orientation == "on edge"})
    preformed = job.row("Liners", "Liner")["type"] == "preformed"
    columns = job["Columns"] or 0
    outlet = _OUTLETS.get(effect_of(job), "").capitalize()
    in_order = [
        ("Base", True),
        ("First course", True),
        (f"Courses 2 to {courses}" if courses > 2 else "Course 2", courses > 1),
        (f"Course{'s' if len(edge) > 1 else ''} {' and '.join(map(str, edge))}", bool(edge)),
        ("Pipe opening", bool(job["Pipe_opening"])),
        *((_named(job, number), bool(job[f"Opening_{number}_width"])) for number in (2, 3)),
        ("Second wall", job["Second_wall"] == "yes"),
        ("Access gap", job["Second_wall"] == "yes" and bool(job["Access_gap"])),
        ("Columns" if columns > 1 else "Column", bool(columns)),
        ("Underlay", bool(job["Underlay"])),
        ("Preformed liner" if preformed else "Sheet liner", True),
        ("Bulkhead fitting", "Bulkhead fitting" in parts),
        ("Cord passage", "Cord passage" in parts),
        ("Caps", bool(job["Cap"])),
        ("Column caps", bool(columns and job["Column_cap"])),
        ("Pump", "Pump" in parts),
        ("Pipe", "Pipe" in parts),
        ("Check valve", "Check valve" in parts),
        (outlet, "Outlet" in parts),
        ("Light", "Light" in parts),
        ("Automatic fill", "Automatic fill" in parts),
        ("Filling", True),
        ("Leak test", True),
    ]
    return [title for title, there in in_order if there]


def check_steps_are_those_of_the_job(case: Case) -> None:
    assert [step.partition(":")[0] for step in case.steps] == wanted_steps(case), case.job
    words = " ".join(case.steps)
    assert bool(re.search(r"\bpumps?\b", words, re.IGNORECASE)) == ("Pump" in case.parts)
    for name in ("Base_material", "Adhesive", "Liner", "Underlay"):
        assert not case.job[name] or case.job[name] in words, name
    for kind, (name, number) in case.parts.items():
        text = f"{number} × {name}" if number > 1 and kind not in ("Pump", "Pipe") else name
        assert text in words, kind


def check_tests_are_those_of_the_job(case: Case) -> None:
    job, parts = case.job, case.parts
    columns = bool(job["Columns"])
    wanted = {
        "Before digging": True, "Base": True, "Blocks": True,
        "Blocks on edge": any(p.orientation == "on edge" for p in case.wanted.layout.pieces),
        "Pipe opening": bool(job["Pipe_opening"]),
        "Second wall": job["Second_wall"] == "yes",
        "Access gap": job["Second_wall"] == "yes" and bool(job["Access_gap"]),
        "Further openings": bool(job["Opening_2_width"]),
        "Columns": columns, "Underlay": bool(job["Underlay"]), "Liner": True,
        "Bulkhead fitting": "Bulkhead fitting" in parts,
        "Cord passage": "Cord passage" in parts, "Caps": bool(job["Cap"]),
        "Column caps": columns and bool(job["Column_cap"]), "First filling": True,
        "Leak test": True, "Pump": "Pump" in parts, "Check valve": "Check valve" in parts,
        "Moving water": effect_of(job) != "still water", "Light": "Light" in parts,
        "Automatic fill": "Automatic fill" in parts, "Hand-over": True,
    }  # fmt: skip
    assert set(case.wanted_of_tests) == {label for label, there in wanted.items() if there}
    said = " ".join(case.wanted_of_tests.values())
    assert ("ground-fault" in said) == ("Pump" in parts or "Light" in parts)
    assert bool(re.search(r"\bpump\b", said)) <= ("Pump" in parts)
    rows = case.sheets.rows("Checks", "A")
    base = case.sheets.cell("Checks", f"B{rows['Base thickness, tamped']}")
    assert base == length_text(job.length("Base_thickness"), case.system)
    overhang = case.sheets.cell("Checks", f"B{rows['Cap overhang, front']}")
    assert (overhang != "") == bool(job["Cap"])


def check_the_section_names_the_parts_of_the_job(case: Case) -> None:
    job, parts, said = case.job, case.parts, case.section
    preformed = job.row("Liners", "Liner")["type"] == "preformed"
    effect = effect_of(job)
    here = {
        r"\bpump \(": "Pump" in parts,
        r"\bpipe up to\b": "Pipe" in parts and effect in _OUTLETS,
        r"\bpipe back into\b": "Pipe" in parts and effect == "circulation",
        r"\bflexible sheet liner\b": not preformed,
        r"\bliner flap\b": not preformed,
        r"\bpreformed liner \(": preformed,
        r"\bon underlay\b": bool(job["Underlay"]),
        r"\btamped base of\b": True,
        r"(?<!column )\bcap \d": bool(job["Cap"]),
        r"\bsecond wall\b": job["Second_wall"] == "yes",
        r"\bpipe opening\b": bool(job["Pipe_opening"]),
        r"\bcheck valve \(": "Check valve" in parts,
        r"\bbulkhead fitting \(": "Bulkhead fitting" in parts,
        r"\blight \(": "Light" in parts,
        r"\bautomatic fill \(": "Automatic fill" in parts,
        r"\bcord passage \(": "Cord passage" in parts,
        r"ground-fault": "Pump" in parts or "Light" in parts,
    }
    for pattern, there in here.items():
        assert bool(re.search(pattern, said)) == there, f"{pattern} {said} {job.typed}"
    for kind, (name, _) in parts.items():
        assert kind == "Pipe" or name.replace(" ", "") in said.replace(" ", ""), name


def check_order_and_estimate_buy_what_the_job_has(case: Case) -> None:
    job, parts = case.job, case.parts
    materials = {
        "Base": "Base_material", "Wall block": "Block", "Wall cap": "Cap",
        "Adhesive": "Adhesive", "Liner": "Liner", "Underlay": "Underlay",
    }  # fmt: skip
    wanted = {item: job[cell] for item, cell in materials.items() if job[cell]}
    if job["Columns"] and job["Column_cap"]:
        wanted["Column cap"] = job["Column_cap"]
    for over, chosen in LINTELS.items():
        if case.quantity(f"Lintel over {over}"):
            wanted[f"Lintel, {over}"] = job[chosen]
    outlet = {"bowl rim": "Bowl", "bubbler": "Bubbler"}.get(effect_of(job), "Spillway")
    for kind, (name, _) in parts.items():
        wanted[outlet if kind == "Outlet" else kind] = name
    assert case.sheets.named("Order_problem") == "Inputs complete", job.typed
    ordered = {item: rows[0][0] for item, rows in case.ordered.items() if item != "Fitting"}
    assert ordered == wanted
    estimated = {item: rows[0] for item, rows in case.estimated.items() if item != "Fitting"}
    assert estimated == wanted
    moves = effect_of(job) != "still water"
    assert moves or "Fitting" not in case.ordered
    ((_, blocks),) = case.ordered["Wall block"]
    assert blocks >= case.quantity("Blocks to buy")


def check_power_is_cautioned_where_there_is_some(case: Case) -> None:
    start = caution("electricity").text
    powered = "Pump" in case.parts or "Light" in case.parts
    for sheet in ("Base and parts", "Estimate", "Steps", "Checks", "Water"):
        shown = any(text.startswith(start) for text in case.column(sheet, "A"))
        assert shown == powered, sheet


def check_one_thing_has_one_figure(case: Case) -> None:
    """Heights, lengths and counts on Take-off, setting plan, elevations and section."""
    job, layout, steps = case.job, case.wanted.layout, " ".join(case.steps)
    courses, high = int(case.quantity("Courses")), case.written("Wall height")
    assert f"wall: {courses} course{'s' if courses > 1 else ''}, {high} high" in case.section
    depth, free = case.typed("Water_depth"), _free(case)
    assert f"water {depth} deep, freeboard {free}" in case.section
    assert f"Filling: {depth} deep, which leaves {free} to the top of the block." in steps
    assert f"water level {depth}" in case.elevations
    sizes = [case.written(f"Inside {name}") for name in ("length", "width", "diagonal")]
    assert "Inside {} by {} clear, {} corner to corner both ways.".format(*sizes) in steps
    base = case.typed("Base_thickness"), case.typed("Base_margin")
    assert f"{base[0]} thick" in case.section
    assert f"tamped in thin lifts to {base[0]}." in steps
    for text in (case.section, steps):
        reach = f"{base[1]} beyond" if job.length("Base_margin") else "flush with"
        assert f"{reach} the blocks" in text
    top = case.quantity("Wall height with caps") * one("length", case.system)
    assert any(length_text(top, case.system) == text for text in case.elevations)
    if layout.caps:
        over = case.written("Cap overhang")
        assert f"Caps: over the basin, {over} " in steps, job.typed
        assert f"overhang {over} outside" in case.section
        assert case.wanted_of_tests["Caps"].startswith(f"Overhang {over}")
    if job["Columns"]:
        side, tall = case.written("Column side"), case.written("Column height")
        assert f"{side} square, {tall} high" in steps
    check_counts(case)


def _free(case: Case) -> str:
    wall = case.quantity("Wall height") * one("length", case.system)
    return case.words(wall - case.job.length("Water_depth"))


def check_counts(case: Case) -> None:
    """Compare the counts on the setting plan and the cut list with those of the take-off."""
    sheet, whole, cut, capped, row = "Setting plan", 0, 0, Counter[str](), 6
    while isinstance(case.sheets.cell(sheet, f"A{row}"), (int, float)):
        here, there = (int(case.sheets.cell(sheet, f"{c}{row}") or 0) for c in "FG")
        wall = str(case.sheets.cell(sheet, f"B{row}"))
        if "more rows" in str(case.sheets.cell(sheet, f"H{row}")):
            return
        if wall.startswith("cap, "):
            capped["column caps" if wall.startswith("cap, column") else "caps"] += here + there
        else:
            whole, cut = whole + here, cut + there
        row += 1
    assert (whole, cut) == (case.quantity("Whole blocks"), case.quantity("Cut pieces"))
    lintels = sum(case.quantity(f"Lintel over {over}") for over in LINTELS)
    assert whole + cut + lintels == case.quantity("Pieces laid")
    assert capped["caps"] == len(case.wanted.layout.caps)
    assert capped["column caps"] == case.quantity("Column caps")
    walls = [p.course for p in case.wanted.layout.pieces if p.part in WALLS]
    assert max(walls) == case.quantity("Courses")


def check_whole_sets_are_drawn_and_name_nothing_else(case: Case) -> None:
    _, title, outfit = case.inputs
    drawn = pages(case.wanted.layout, title, outfit)
    words = {page.name: " ".join(t.get_text() for t in page.figure.texts) for page in drawn}
    for name, said in words.items():
        if name == "Section":
            continue
        for pattern in (r"\bpump\b", r"\bliner\b", r"\bspillway\b", r"\bpipe\b(?! opening)"):
            if pattern.startswith(r"\bpipe") and case.job["Second_wall"] == "yes":
                said = said.replace("pipe space", "")
            assert not re.search(pattern, said), f"{name}: {pattern}"


def check_files_say_what_was_drawn(case: Case, folder: Path) -> None:
    _, title, outfit = case.inputs
    drawn = pages(case.wanted.layout, title, outfit)
    write_drawings(case.wanted.layout, title, outfit, folder)
    reader = PdfReader(folder / "drawings.pdf")
    assert len(reader.pages) == len(drawn)
    for page, written in zip(drawn, reader.pages, strict=True):
        wanted = Counter(t.get_text().strip() for t in page.figure.texts if t.get_text().strip())
        file = folder / f"drawing-{page.name.lower().replace(' ', '-')}.svg"
        root = etree.parse(file).getroot()
        texts = root.iter("{http://www.w3.org/2000/svg}text")
        assert Counter("".join(node.itertext()).strip() for node in texts) == wanted
        printed = re.sub(r"\s", "", written.extract_text())
        missing = [text for text in wanted if re.sub(r"\s", "", text) not in printed]
        assert missing == [], page.name


@pytest.mark.parametrize("first", range(0, JOBS, TOGETHER))
def test_papers_speak_of_the_job(blanks: dict[str, Path], tmp_path: Path, first: int) -> None:
    for seed in range(first, first + TOGETHER):
        case = case_of(seed, blanks[SYSTEMS[seed % 2]])
        check_steps_are_those_of_the_job(case)
        check_tests_are_those_of_the_job(case)
        check_the_section_names_the_parts_of_the_job(case)
        check_order_and_estimate_buy_what_the_job_has(case)
        check_power_is_cautioned_where_there_is_some(case)
        check_one_thing_has_one_figure(case)
        # Of seeds next to each other, so that both unit systems are among them.
        if seed % WHOLE_SETS == first // TOGETHER % 2:
            check_whole_sets_are_drawn_and_name_nothing_else(case)
            if first // TOGETHER % (WRITTEN // WHOLE_SETS * 2) < 2:
                check_files_say_what_was_drawn(case, tmp_path)


def test_the_jobs_are_of_all_sorts(blanks: dict[str, Path]) -> None:
    """What the comparisons would miss if no job had it."""
    found: Counter[str] = Counter()
    for seed in range(ROUND):
        job, _, _ = job_of(seed, blanks[SYSTEMS[seed % 2]])
        found[effect_of(job)] += 1
        found.update(kind for kind, (_, number) in chosen_parts(job).items() if number)
        found[job.row("Liners", "Liner")["type"]] += 1
        found[job["Cap_corners"] if job["Cap"] else "no caps"] += 1
        found["joint"] += bool(job["Joint"])
        found["overhang"] += bool(job["Cap"]) and job["Cap_overhang"] is not None
        found["no underlay"] += not job["Underlay"]
        for name in ("Columns", "Pipe_opening", "Courses_on_edge"):
            found[name] += bool(job[name])
        found[f"second wall {job['Second_wall']}"] += 1
    assert min(found.values()) >= 2, found
    assert len(found) >= 26, found
