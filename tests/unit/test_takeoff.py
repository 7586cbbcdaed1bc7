"""Quantities of a layout, each worked out by hand from the sizes; the arithmetic stands beside.

Blocks of 16 × 4 × 8 in, four courses, glued dry; 56 × 24 in inside unless said otherwise, so
72 × 40 in outside. A course of the basin is 2 · (56 + 8) + 2 · (24 + 8) = 192 in long, whatever
way its corners go, and needs no cut: 12 blocks.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from basinbook.catalogue import call
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import CutPlan, Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.takeoff import ITEMS, base_area, item, with_breakage

CAPS: dict[str, Any] = {"cap_length": 16.0, "cap_depth": 10.0, "cap_height": 2.0}
SECOND: dict[str, Any] = {"second_wall": "yes", "second_wall_returns": "none"}


def built(**change: Any) -> Layout:
    """Floats are inches."""
    sizes: dict[str, Any] = {
        "inside_length": 56.0, "inside_width": 24.0, "block_length": 16.0, "block_height": 4.0,
        "block_depth": 8.0, "water_depth": 12.0, "freeboard": 2.0, "courses": 4, **change,
    }  # fmt: skip
    given: dict[str, Any] = {k: v * INCH if isinstance(v, float) else v for k, v in sizes.items()}
    return solve(BasinSpec(**given))


def inches(layout: Layout, label: str) -> float:
    """The item in inches, square inches, or as a count."""
    found = item(label)
    power = {kinds.LENGTH: 1, kinds.RUN: 1, kinds.AREA: 2}.get(found.kind, 0)
    return found.measure(layout) / INCH**power


def expect(layout: Layout, **values: float) -> None:
    """Items by their labels, with underscores for blanks."""
    for name, value in values.items():
        label = name.replace("_", " ").replace("On edge", "On-edge")
        assert inches(layout, label) == pytest.approx(value, abs=1e-6), label


def test_basin_alone() -> None:
    expect(
        built(),
        Courses=4,
        Wall_height=4 * 4,
        Wall_height_with_caps=16,
        Wall_thickness=8,
        Courses_needed_for_the_water=4,
        Outside_length=56 + 2 * 8,
        Outside_width=24 + 2 * 8,
        Inside_diagonal=math.sqrt(56**2 + 24**2),
        Outside_diagonal=math.sqrt(72**2 + 40**2),
        Overall_length=72,
        Overall_width=40,
        Footprint_area=72 * 40,
        # Along the middle of the walls: 2 · (72 - 8) + 2 · (40 - 8)
        Wall_run=192,
        Whole_blocks=4 * 12,
        Cut_pieces=0,
        Blocks_needed=48,
        # 48 · 1.05 = 50.4
        Blocks_to_buy=51,
        Pieces_laid=48,
        # The first course lies on the base unglued: three beds.
        Bed_length=3 * 192,
    )


def test_what_is_not_there_counts_nothing() -> None:
    none = (
        "Column pieces", "Second wall pieces", "Column side", "Column height", "Caps needed",
        "Caps to buy", "Cap cut pieces", "Cap saw cuts", "Cap overhang", "Column caps",
        "Thinnest course under a thicker one", "Shortest cap edge", "Shortest cap piece allowed",
        "Cap joints", "Cap joints over joints", "Access gap height", "Layouts not proved",
        "Mitred caps under the shortest piece", "Second wall height",
        "Pieces cut round the pipe", "Columns on walls",
        "On-edge length", "Saw cuts", "Different cut lengths", "Blocks cut up",
    )  # fmt: skip
    for label in none:
        assert inches(built(), label) == 0.0, label


def test_butted_caps() -> None:
    # Caps 10 in deep on 8 in walls reach 1 in out: a ring of 74 × 42 in, along its middle
    # 2 · (74 - 10) + 2 · (42 - 10) = 192 in, 12 caps of 16 in; 12 · 1.05 = 12.6.
    expect(
        built(**CAPS),
        Wall_height=16,
        Wall_height_with_caps=16 + 2,
        Cap_overhang=(10 - 8) / 2,
        Caps_needed=12,
        Cap_cut_pieces=0,
        Caps_to_buy=13,
        Bed_length=3 * 192 + 192,
    )


def test_mitred_caps() -> None:
    # The ring of 74 × 42 in round 54 × 22 in, 10 in wide: (74 · 42 − 54 · 22) / 10 = 192 in along
    # its middle, as butted. No side of 74 or 42 in is made of whole caps: at least 5 and 3 pieces;
    # every corner has two mitred pieces, cut with one cut each. Those of the sides of 42 in are
    # (42 − 16) / 2 = 13 in on the long edge, so 13 − 10 = 3 in on the short one.
    expect(
        built(**CAPS, cap_corner="mitred"),
        Caps_needed=2 * (5 + 3),
        Cap_cut_pieces=8,
        Cap_saw_cuts=8,
        Bed_length=3 * 192 + 192,
        Shortest_cap_edge=3,
        # A quarter of the cap
        Shortest_cap_piece_allowed=4,
    )


def test_short_edge_where_a_run_is_one_cap_mitred_at_both_ends() -> None:
    # 24 in between the walls, caps 1 in over on either side: 24 − 2 · 1 = 22 in on the short edge.
    layout = built(**{**CAPS, "cap_length": 46.0}, cap_corner="mitred")
    assert [round(c.short_edge / INCH, 6) for c in layout.caps if c.part == "left"] == [22]


def test_mitred_caps_shorter_than_the_shortest_piece_are_told() -> None:
    # 72 × 54 in inside, caps 16 × 12 in: a ring of 92 × 74 in. 74 in are three whole caps and two
    # of (74 − 48) / 2 = 13 in, 1 in on the short edge; 92 in are four and two of 14 in, 2 in short.
    job: dict[str, Any] = {
        "inside_length": 72.0, "inside_width": 54.0, "cap_length": 16.0, "cap_depth": 12.0,
        "cap_height": 2.0, "cap_corner": "mitred", "shortest_piece": 4.0,
    }  # fmt: skip
    layout = built(**job)
    expect(layout, Shortest_cap_edge=1, Shortest_cap_piece_allowed=4)
    expect(layout, Mitred_caps_under_the_shortest_piece=8)
    (note,) = (line for line in layout.advice if "mitred" in line)
    assert note.startswith("8 mitred caps have a short edge under the shortest piece of 4 in")
    assert "down to 1 in" in note
    (note,) = (line for line in built(**{**job, "shortest_piece": 1.5}).advice if "mitred" in line)
    assert note.startswith("4 mitred caps")
    assert not [n for n in built(**{**job, "shortest_piece": 1.0}).advice if "mitred" in n]


def test_given_overhang_of_caps() -> None:
    expect(built(**CAPS, cap_overhang=2.0), Cap_overhang=2)


def test_overhang_over_a_top_course_on_edge_is_over_that_course() -> None:
    # The top course is 4 in thick: caps of 10 in are (10 − 4) / 2 = 3 in over on either side.
    expect(built(**CAPS, edge_courses="4"), Cap_overhang=3)
    # The front alone: caps are laid for the thickest top course, which is flat, so that over the
    # front, where it is measured, they reach 4 in more past the thinner course.
    expect(built(**CAPS, edge_courses="4", edge_walls="front"), Cap_overhang=5)


def test_second_wall_without_returns() -> None:
    # 72 in = 4 · 16 + 8 in each course: one cut piece of 8 in, and 8 + 1/8 + 8 in don't fit into
    # a block: four blocks cut up. 4 in of pipe space and 8 in of wall behind the basin.
    expect(
        built(**SECOND),
        Overall_width=40 + 4 + 8,
        Footprint_area=72 * 52,
        Second_wall_pieces=4 * 5,
        Cut_pieces=4,
        Saw_cuts=4,
        Different_cut_lengths=1,
        Blocks_cut_up=4,
        Blocks_needed=48 + 4 * 4 + 4,
        Blocks_to_buy=72,  # 68 · 1.05 = 71.4
        Pieces_laid=48 + 20,
        Wall_run=192,
        Bed_length=3 * 192 + 3 * 72,
    )


def test_second_wall_with_returns() -> None:
    # Pipe space 16 in. Along the pieces a course is 72 + 2 · 16, or, with the returns running
    # through, (72 - 16) + 2 · (16 + 8): 104 in both ways.
    layout = built(second_wall="yes", pipe_space=16.0)
    expect(layout, Overall_width=40 + 16 + 8, Bed_length=3 * 192 + 3 * 104)
    left = built(second_wall="yes", second_wall_returns="left", pipe_space=16.0)
    expect(left, Footprint_area=72 * 64, Bed_length=3 * 192 + 3 * (72 + 16))


def test_access_gap_of_full_height() -> None:
    # 72 - 16 in of wall are left; the base goes on under the gap.
    expect(
        built(**SECOND, access_width=16.0),
        Footprint_area=72 * 52,
        Bed_length=3 * 192 + 3 * (72 - 16),
    )


def test_access_gap_of_two_courses() -> None:
    # Of the three glued courses only the second has the gap: 8 in less.
    expect(built(**SECOND, access_width=8.0, access_courses=2), Bed_length=3 * 192 + 3 * 72 - 8)


def test_lower_second_wall() -> None:
    expect(built(**SECOND, second_wall_courses=2), Bed_length=3 * 192 + 72, Courses=4)


@pytest.mark.parametrize(
    ("columns", "length", "width", "area"),
    [
        # A column of four blocks round a core has a side of 16 + 8 in.
        (1, 72, 40 + 24, 72 * 40 + 24 * 24),
        (2, 72 + 2 * 24, 40, 72 * 40 + 2 * 24 * 24),
        (3, 72 + 2 * 24, 40 + 24, 72 * 40 + 3 * 24 * 24),
    ],
)
def test_columns(columns: int, length: int, width: int, area: int) -> None:
    expect(
        built(columns=columns, column_courses=5),
        Overall_length=length,
        Overall_width=width,
        Footprint_area=area,
        Column_pieces=columns * 5 * 4,
        Column_side=24,
        Column_height=5 * 4,
        Wall_height=16,
        Pieces_laid=48 + columns * 20,
        # Four glued courses of four blocks of 16 in each
        Bed_length=3 * 192 + columns * 4 * 4 * 16,
    )


def test_column_behind_the_second_wall() -> None:
    expect(
        built(**SECOND, columns=1, column_courses=5),
        Overall_width=40 + 4 + 8 + 24,
        Footprint_area=72 * 52 + 24 * 24,
    )


def test_column_caps() -> None:
    # Caps of 26 in overhang 1 in, so the columns stand 1 in off the wall with its cap.
    layout = built(
        inside_width=40.0, columns=4, column_courses=5, column_cap_side=26.0,
        column_cap_height=2.0, **CAPS,
    )  # fmt: skip
    expect(
        layout,
        Overall_length=72 + 2 * (1 + 24),
        Footprint_area=72 * 56 + 4 * 24 * 24,
        Column_caps=4,
        # Walls 3 · (2 · 64 + 2 · 48), wall caps 2 · (74 - 10) + 2 · (58 - 10), columns, caps.
        Bed_length=3 * 224 + 224 + 4 * 4 * 4 * 16 + 4 * 26,
    )


def test_column_without_core() -> None:
    # Two blocks of 16 × 8 in make a square of 16 in.
    expect(
        built(columns=1, column_courses=5, column_core="no"),
        Column_side=16,
        Column_pieces=10,
        Footprint_area=72 * 40 + 16 * 16,
        Bed_length=3 * 192 + 4 * 2 * 16,
    )


def test_course_on_edge() -> None:
    # On edge a course is 8 in high and 4 in thick, flush with the inner face: along its pieces
    # 2 · (56 + 4) + 2 · (24 + 4) = 176 in. Overall sizes are those of the flat courses.
    expect(
        built(edge_courses="2"),
        Courses=4,
        Wall_height=4 + 8 + 4 + 4,
        On_edge_length=176,
        Wall_thickness=4,
        Thinnest_course_under_a_thicker_one=4,
        Bed_length=176 + 2 * 192,
        Outside_length=72,
        Footprint_area=72 * 40,
    )


def test_doubled_course_on_edge() -> None:
    # Two leaves of 4 in make up 8 in: each as long as a flat course.
    expect(
        built(edge_courses="2", edge_doubled="yes"),
        Wall_height=20,
        On_edge_length=2 * 192,
        Wall_thickness=8,
        Thinnest_course_under_a_thicker_one=0,
        Bed_length=2 * 192 + 2 * 192,
        Whole_blocks=3 * 12 + 2 * 12,
    )
    first = built(edge_courses="1", edge_doubled="yes")
    expect(first, On_edge_length=2 * 192, Bed_length=3 * 192)


def test_front_on_edge_beside_two_flat_courses() -> None:
    # Level 2: the front on edge is 64 in long; back and sides have two flat courses of
    # 192 - 64 = 128 in, less 4 in each where a side meets the thinner front.
    expect(
        built(edge_courses="2", edge_walls="front"),
        Wall_height=20,
        On_edge_length=64,
        Bed_length=64 + 2 * (128 - 4) + 2 * 192,
    )


def test_pipe_opening_and_loose_blocks() -> None:
    # 3 in less in course 2; the whole blocks over it in courses 3 and 4 stay loose: 2 · 16 in.
    opening: dict[str, Any] = {"opening_width": 3.0, "opening_course": 2}
    expect(built(**opening), Bed_length=3 * 192 - 3 - 2 * 16)
    # With caps the one over the pipe is loose too.
    expect(built(**opening, **CAPS), Bed_length=3 * 192 - 3 - 2 * 16 + 192 - 16)


def test_base_with_margin() -> None:
    assert base_area(built(), 6 * INCH) / INCH**2 == pytest.approx((72 + 12) * (40 + 12))
    # The column's margin lies within the basin's, but for 24 + 12 in by 24 in behind it.
    column = built(columns=1, column_courses=5)
    assert base_area(column, 6 * INCH) / INCH**2 == pytest.approx(84 * 52 + 36 * 24)


def test_metric_job() -> None:
    # 1,400 × 600 mm inside, blocks of 400 × 100 × 200 mm: 1,800 × 1,000 mm outside; a course is
    # 2 · 1,600 + 2 · 800 = 4,800 mm, 12 blocks.
    layout = solve(BasinSpec(1.4, 0.6, 0.4, 0.1, 0.2, courses=3, water_depth=0.25, freeboard=0.0))
    expected = {
        "Whole blocks": 36, "Cut pieces": 0, "Bed length": 2 * 4.8, "Wall height": 0.3,
        "Footprint area": 1.8 * 1.0, "Wall run": 4.8, "Outside diagonal": math.hypot(1.8, 1.0),
    }  # fmt: skip
    for label, value in expected.items():
        assert item(label).measure(layout) == pytest.approx(value, abs=1e-9), label
    assert base_area(layout, 0.15) == pytest.approx(2.1 * 1.3, abs=1e-9)


def _by_counting(layout: Layout) -> dict[str, float]:
    """Counts from lengths and boxes alone, not from the layout's own marks and plans."""
    block = layout.spec.block_length
    walls = [p for p in layout.pieces if p.part in ("front", "right", "back", "left")]
    columns = [p for p in layout.pieces if p.part.startswith("column")]
    short = sum(1 for p in layout.pieces if p.length < block - 1e-6)
    glued = [p for p in (*layout.pieces, *layout.caps, *layout.column_caps) if p.box.z > 0]
    return {
        "Pieces laid": len(layout.pieces),
        "Cut pieces": short,
        "Whole blocks": len(layout.pieces) - short,
        "Column pieces": len(columns),
        "Second wall pieces": len(layout.pieces) - len(walls) - len(columns),
        "Wall height": max(p.box.z + p.box.dz for p in walls),
        "Bed length": sum(p.length for p in glued if not p.loose),  # none is mitred
    }


@pytest.mark.parametrize(
    "change",
    [
        {"inside_length": 61.0, "inside_width": 31.5, **CAPS},
        {"inside_length": 70.25, "second_wall": "yes", "pipe_space": 7.0, "columns": 3,
         "column_courses": 6},
        {"inside_width": 45.0, "edge_courses": "3", "edge_walls": "sides", "opening_width": 2.0},
    ],
)  # fmt: skip
def test_counts_of_layouts_with_cuts(change: dict[str, Any]) -> None:
    layout = built(**change)
    for label, value in _by_counting(layout).items():
        assert item(label).measure(layout) == pytest.approx(value, abs=1e-9), label
    assert item("Cut pieces").measure(layout) > 0
    lengths = sorted(p.length for p in layout.pieces if p.length < layout.spec.block_length - 1e-6)
    from_bars = sorted(length for bar in layout.blocks.bars for length in bar.lengths)
    assert from_bars == pytest.approx(lengths)


@pytest.mark.parametrize(
    ("whole", "breakage", "buy"),
    # 20 · 1.05 is 21 to the last digit; one more opens the next.
    [(20, 0.05, 21), (21, 0.05, 23), (0, 0.05, 0), (7, 0.0, 7), (100, 0.1, 110), (3, 0.5, 5)],
)
def test_breakage(whole: int, breakage: float, buy: int) -> None:
    assert with_breakage(CutPlan("block", whole, 0, 0, 0, (), breakage)) == buy


@pytest.mark.parametrize(
    ("water", "freeboard", "courses", "edge", "needed"),
    [
        # 12 + 2 in are 3.5 courses of 4 in; 12 in just three; six courses stand, four are needed.
        (12.0, 2.0, 0, "", 4),
        (12.0, 0.0, 4, "", 3),
        (12.0, 2.0, 6, "", 4),
        # With course 2 on edge the tops are at 4, 12, 16 and 20 in.
        (12.0, 0.0, 4, "2", 2),
        (12.0, 2.0, 4, "2", 3),
        # A joint of 1/2 in raises the tops to 4, 8 1/2, 13, 17 1/2.
        (12.0, 1.0, 4, "", 4),
    ],
)
def test_courses_needed_for_the_water(
    water: float, freeboard: float, courses: int, edge: str, needed: int
) -> None:
    layout = built(water_depth=water, freeboard=freeboard, courses=courses, edge_courses=edge)
    expect(layout, Courses_needed_for_the_water=needed)
    if not edge and water + freeboard == 13.0:
        jointed = built(water_depth=12.0, freeboard=1.0, courses=4, joint=0.5)
        expect(jointed, Courses_needed_for_the_water=3)


def test_a_mitred_cap_that_ends_in_a_point_is_one_under_the_shortest_piece() -> None:
    # Caps of 10 in on 8 in walls, 1 in over: 56 × 34 in inside make a ring of 74 × 52 in. Of its
    # 52 in two caps of 16 in leave 20 for two ends of 10, as long as the cap is deep: a triangle.
    # The 74 in end in two of 13, 3 in on the short edge.
    layout = built(**CAPS, inside_width=34.0, cap_corner="mitred", shortest_piece=4.0)
    ends = [c for c in layout.caps if c.mitres and c.part in ("left", "right")]
    assert [round(c.length / INCH, 6) for c in ends] == [10.0] * 4
    expect(layout, Shortest_cap_edge=0, Mitred_caps_under_the_shortest_piece=8)
    assert any("down to 0 in" in note for note in layout.advice)


def test_courses_of_a_higher_second_wall_hold_no_water() -> None:
    layout = built(**SECOND, second_wall_courses=9)
    expect(layout, Courses_needed_for_the_water=4, Second_wall_height=9 * 4, Wall_height=4 * 4)


@pytest.mark.parametrize(
    ("change", "thickness", "under"),
    [
        # The uppermost course on edge lies under nothing thicker.
        ({"edge_courses": "4"}, 4, 0),
        # The front alone is thin.
        ({"edge_courses": "2", "edge_walls": "front"}, 4, 4),
        # All courses on edge are alike.
        ({"edge_courses": "1, 2, 3, 4"}, 4, 0),
        # Two leaves of 3 in are 6 in, under 8.
        ({"edge_courses": "2", "edge_doubled": "yes", "block_height": 3.0, "water_depth": 9.0},
         6, 6),
    ],
)  # fmt: skip
def test_courses_thinner_than_what_they_carry(
    change: dict[str, Any], thickness: float, under: float
) -> None:
    layout = built(**change)
    expect(layout, Wall_thickness=thickness, Thinnest_course_under_a_thicker_one=under)
    told = [note for note in layout.advice if "thinner below than above" in note]
    assert bool(told) == bool(under)
    if told:
        assert f"course 2 on edge is {under} in" in told[0]


def test_a_thin_course_on_top_is_beside_a_thicker_one() -> None:
    # Blocks 4 in high and 8 in deep: on edge they are 4 in thick.
    expect(
        built(edge_courses="4", courses=4),
        Thinnest_course_under_a_thicker_one=0,
        Thinnest_course_beside_a_thicker_one=4,
    )
    expect(built(edge_courses="1, 2, 3, 4", courses=4), Thinnest_course_beside_a_thicker_one=0)
    expect(built(courses=4), Thinnest_course_beside_a_thicker_one=0)


def test_every_cap_joint_over_a_joint() -> None:
    # Caps of the block's own length and depth; 64 × 46 in of 18 × 8 in block makes rings of 14
    # whole pieces in a pinwheel. The caps' is that of the odd courses, so after five courses each
    # of the 14 joints lies on one, and after four none does: those lie half a block aside or at
    # the other wall of a corner.
    same: dict[str, Any] = {
        "inside_length": 64.0, "inside_width": 46.0, "block_length": 18.0, "cap_length": 18.0,
        "cap_depth": 8.0, "cap_height": 4.0,
    }  # fmt: skip
    layout = built(**same, courses=5)
    expect(layout, Cap_joints=14, Cap_joints_over_joints=14)
    assert [n for n in layout.advice if n.startswith("All 14 cap joints stand over a joint")]
    layout = built(**same, courses=4)
    expect(layout, Cap_joints=14, Cap_joints_over_joints=0)
    assert not [n for n in layout.advice if "cap joints" in n]


def test_layouts_not_proved_are_counted_by_their_notes() -> None:
    layout = replace(built(), advice=("Not proved to cut", "Columns stand off", "Not proved to"))
    expect(layout, Layouts_not_proved=2)


def test_every_item_is_a_number_on_the_barest_basin() -> None:
    layout = built(courses=1, water_depth=1.0, freeboard=0.0)
    assert all(found.measure(layout) >= 0.0 for found in ITEMS.values())
    assert inches(layout, "Bed length") == 0.0


def test_unknown_item_is_refused_with_the_labels() -> None:
    assert item(" bed LENGTH ").label == "Bed length"
    with pytest.raises(InputError, match="allowed are Courses, Wall height"):
        item("Bricks")


@pytest.mark.parametrize("system", ["us", "metric"])
def test_table_is_the_items_one_by_one(system: str) -> None:
    labels = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
              ["Block depth"], ["Second wall"]]  # fmt: skip
    values = [["61 in"], ["31 1/2 in"], ["16 in"], ["4 in"], ["8 in"], ["yes"]]
    table = call("TAKEOFFTABLE", labels, values, system).value
    assert isinstance(table, list)
    assert [row[0] for row in table] == [found.label for found in ITEMS.values()]
    for label, quantity, unit in table:
        alone = call("TAKEOFF", label, labels, values, system)
        assert quantity == pytest.approx(alone.value, rel=1e-12), label
        assert unit == alone.unit, label
