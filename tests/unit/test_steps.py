"""Steps and inspections speak of what a job has, with the sizes typed, and of nothing else."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from basinbook import catalogue
from basinbook.engine.inspections import INSPECTIONS, NOT_HERE, inspections
from basinbook.engine.layout.results.strips import overhangs
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.steps import steps
from basinbook.engine.takeoff import item
from basinbook.units import tape_words
from drawing_jobs import FULL_METRIC, FULL_US, OUTFIT

PLAIN = BasinSpec(64 * INCH, 46 * INCH, 18 * INCH, 4 * INCH, 8 * INCH)
CAPPED = replace(PLAIN, cap_length=16 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH)
STILL = Outfit(
    liner="Sheet 45 mil", liner_type="sheet", liner_lap=5 * INCH, adhesive="Tube 28 oz",
    base_material="Stone dust", base_thickness=6 * INCH, base_margin=8 * INCH,
)  # fmt: skip
FULL = replace(
    OUTFIT, fittings=3, check_valve="Swing check", check_valves=1, light="Lamp 5 W", lights=2,
    automatic_fill="Float valve", automatic_fills=1, cord_passage="Gland", cord_passages=1,
)  # fmt: skip
IN = partial(tape_words, system="us")
MM = partial(tape_words, system="metric")


def titles(spec: BasinSpec, outfit: Outfit) -> list[str]:
    return [text.partition(":")[0] for text in steps(solve(spec), outfit, IN)]


def test_a_plain_still_basin_has_few_steps() -> None:
    assert titles(PLAIN, Outfit()) == [
        "First course", "Courses 2 to 4", "Filling", "Leak test",
    ]  # fmt: skip
    words = " ".join(steps(solve(PLAIN), Outfit(), IN))
    for part in ("pump", "pipe", "opening", "liner", "base", "glue", "cap", "column", "second"):
        assert part not in words.lower()


def test_base_and_liner_are_as_typed() -> None:
    words = " ".join(steps(solve(CAPPED), STILL, IN))
    assert 'Stone dust under basin, 8" beyond the blocks, tamped in thin lifts to 6"' in words
    assert "Sheet liner: let Sheet 45 mil hang loose" in words
    assert 'a flap of 5" on the wall under the caps; keep the rest of the top bare' in words
    assert "underlay" not in words.lower()
    assert "150 mm beyond" in " ".join(
        steps(solve(PLAIN), replace(STILL, base_margin=0.15), MM)
    )  # fmt: skip


def test_a_preformed_liner_has_no_flap() -> None:
    shell = replace(STILL, liner="Shell", liner_type="preformed", liner_lap=0.0)
    words = " ".join(steps(solve(CAPPED), shell, IN))
    assert "then let Shell down level" in words
    assert "flap" not in words


@pytest.mark.parametrize(("spec", "write"), [(FULL_US, IN), (FULL_METRIC, MM)])
def test_a_job_with_everything_has_every_step_in_the_order_of_work(
    spec: BasinSpec, write: partial[str]
) -> None:
    found = [text.partition(":")[0] for text in steps(solve(spec), FULL, write)]
    assert found == [
        "Base", "First course", "Courses 2 to 6", "Course 3", "Pipe opening", "Second wall",
        "Access gap", "Columns", "Underlay", "Sheet liner", "Bulkhead fitting", "Cord passage",
        "Caps", "Column caps", "Pump", "Pipe", "Check valve", "Spillway lip", "Light",
        "Automatic fill",
        "Filling", "Leak test",
    ]  # fmt: skip


def test_sizes_in_the_steps_are_those_of_the_layout() -> None:
    layout = solve(FULL_METRIC)
    words = " ".join(steps(layout, FULL, MM))
    opening = next(o for o in layout.openings if o.part == "back")
    gap = next(o for o in layout.openings if o.part == "second wall")
    left = max(p.box.x + p.box.dx for p in layout.pieces if p.part == "left")
    middle = (opening.box.x + opening.box.dx / 2 - left) * 1000
    high = max(p.box.z + p.box.dz for p in layout.pieces if p.part == "second wall") * 1000
    assert f"keep 100 mm open in course 2 of the back wall, its middle {middle:.0f} mm" in words
    assert f"leave {gap.box.dx * 1000:.0f} mm free, {high:.0f} mm high, in courses 1 to 6" in words
    assert f"7 rows of block, {high:.0f} mm high, with 100 mm of pipe space" in words
    columns = {p.part for p in layout.pieces if p.part.startswith("column")}
    assert f"Columns: {len(columns)} of 8 rows, 600 mm square, 800 mm high" in words
    assert "beside the side walls and behind the second wall" in words
    assert "Caps: over the basin, 25 mm past the outer face, 25 mm" in words
    assert "650 mm square, 25 mm past the column" in words


@pytest.mark.parametrize(
    ("effect", "pipe"),
    [
        ("straight lip", "through the pipe opening up to the spillway lip."),
        ("notch", "through the pipe opening up to the notch."),
        ("bowl rim", "through the pipe opening up to the bowl."),
        ("bubbler", "through the pipe opening up to the bubbler."),
        ("circulation", "from the pump back into the basin."),
    ],
)
def test_the_pipe_runs_where_the_water_goes(effect: str, pipe: str) -> None:
    spec = replace(PLAIN, opening_width=4 * INCH)
    words = " ".join(steps(solve(spec), replace(FULL, effect=effect), IN))
    assert pipe in words
    assert 'Pipe opening: keep 4" open in course 1' in words
    assert "A whole block bridges" in words


def test_overhangs_are_those_over_the_top_course() -> None:
    # By hand: caps of 12 in on a wall of 8 in reach 2 in past both faces.
    for over in overhangs(solve(CAPPED)).values():
        assert over == pytest.approx((2 * INCH, 2 * INCH))
    given = replace(CAPPED, cap_overhang=1 * INCH)
    for over in overhangs(solve(given)).values():
        assert over == pytest.approx((1 * INCH, 3 * INCH))
    # A top course on edge is 4 in thick: caps of 12 in reach 4 in past it on both sides.
    edge = replace(CAPPED, courses=3, water_depth=8 * INCH, edge_courses="3")
    layout = solve(edge)
    for over in overhangs(layout).values():
        assert over == pytest.approx((4 * INCH, 4 * INCH))
    assert item("Cap overhang").measure(layout) == pytest.approx(4 * INCH)
    assert 'Overhang 4";' in dict(inspections(layout, STILL, IN))["Caps"]


def test_overhangs_that_differ_are_told_wall_by_wall() -> None:
    # Of a front on edge in the top course, 4 in of the 8 in are left out at its outer face.
    spec = replace(
        CAPPED, courses=3, water_depth=8 * INCH, edge_courses="3", edge_walls="front",
    )  # fmt: skip
    words = " ".join(steps(solve(spec), STILL, IN))
    assert '6" (front) and 2" (right, back and left) past the outer face, 2" over' in words


def test_each_inspection_keeps_its_row() -> None:
    full = replace(FULL_US, opening_2_width=4 * INCH, opening_2_wall="left")
    everything = inspections(solve(full), FULL, IN)
    nothing = inspections(solve(PLAIN), Outfit(), IN)
    labels = [each.label for each in INSPECTIONS]
    assert [label for label, _ in everything] == [label for label, _ in nothing] == labels
    assert NOT_HERE not in dict(everything).values()
    here = [label for label, wanted in nothing if wanted != NOT_HERE]
    assert here == ["Before digging", "Blocks", "First filling", "Leak test", "Hand-over"]


@pytest.mark.parametrize(
    ("label", "changes"),
    [
        ("Bulkhead fitting", {"bulkhead": ""}),
        ("Pump", {"pump": ""}),
        ("Light", {"light": ""}),
        ("Underlay", {"underlay": ""}),
        ("Check valve", {"check_valve": ""}),
        ("Automatic fill", {"automatic_fill": ""}),
        ("Cord passage", {"cord_passage": ""}),
        ("Base", {"base_thickness": 0.0}),
        ("Moving water", {"effect": "still water"}),
    ],
)
def test_a_part_that_is_not_there_is_not_inspected(label: str, changes: dict[str, object]) -> None:
    layout = solve(FULL_US)
    there = dict(inspections(layout, FULL, IN))
    gone = dict(inspections(layout, replace(FULL, **changes), IN))  # type: ignore[arg-type]
    assert there[label] != NOT_HERE
    assert gone[label] == NOT_HERE


def test_ground_fault_protection_is_tested_where_there_is_power() -> None:
    layout = solve(FULL_US)
    powered = replace(STILL, light="Lamp", lights=1)
    assert "ground-fault" in dict(inspections(layout, powered, IN))["Light"]
    assert "ground-fault" not in str(inspections(layout, STILL, IN))


def test_lines_are_no_wider_than_asked_and_numbered_once() -> None:
    given = {
        "Inside length": 64, "Inside width": 46, "Block length": 18, "Block height": 4,
        "Block depth": 8,
    }  # fmt: skip
    parts = {"Liner": "Sheet 45 mil " * 9, "Liner type": "sheet", "Pump": "P" * 130}
    arguments = [
        tuple((each,) for each in side)
        for pairs in (given, parts)
        for side in (pairs.keys(), pairs.values())
    ]
    whole = catalogue.call("SETTINGSTEPS", *arguments).value
    lines = catalogue.call("SETTINGSTEPS", *arguments, 60, 40).value
    assert isinstance(whole, list)
    assert isinstance(lines, list)
    assert len(lines) == 40
    assert max(len(str(text)) for _, text in lines) <= 60
    numbers = [number for number, _ in lines if number not in ("", None)]
    assert numbers == list(range(1, len(whole) + 1))
    joined = "".join(str(text) for _, text in lines if text)
    assert joined.replace(" ", "") == "".join(str(t) for _, t in whole).replace(" ", "")
