"""Rhythm, bond, first pieces, mixed courses and leaves: what is laid, told and refused."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.look_cost import look_words
from basinbook.engine.layout.results.schedule import OTHERS, runs
from basinbook.engine.layout.results.strips import thinnest
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH
from basinbook.engine.steps import steps
from basinbook.engine.takeoff import ITEMS
from layout_jobs import PLAIN_BASIN

PLAIN = replace(PLAIN_BASIN, water_depth=8 * INCH)
MIXED = {"course_pattern": "flat, mixed, flat", "courses": 3}


def built(**changes: Any) -> Layout:
    return solve(replace(PLAIN, **changes))


def kinds(layout: Layout, part: str = "front") -> list[set[str]]:
    return [
        {piece.orientation for piece in course.pieces if piece.part == part}
        for course in layout.courses
    ]


def test_a_pattern_repeats_up_the_wall() -> None:
    layout = built(course_pattern="Flat,  on edge", courses=4)
    assert kinds(layout) == [{"flat"}, {"on edge"}, {"flat"}, {"on edge"}]
    same = built(edge_courses="2, 4")
    assert [p[:7] for p in layout.pieces] == [p[:7] for p in same.pieces]
    assert layout.fewest_cuts is not None
    assert same.fewest_cuts is None


def test_blocks_on_edge_stand_where_they_are_asked_for() -> None:
    """Middles 15 in and, mirrored, 48 - 15 in from the inside left corner, 8 in from the outer."""
    layout = built(**MIXED, place_1_middle=15 * INCH, mixed_mirrored="yes")
    edge = [p for p in layout.pieces if p.orientation == "on edge"]
    middles = [(p.box.x + p.box.dx / 2) / INCH - 8 for p in edge]
    assert sorted(middles) == pytest.approx([15, 33])
    assert all(p.part == "front" and p.whole and p.box.dz == pytest.approx(8 * INCH) for p in edge)
    assert kinds(layout) == [{"flat"}, {"flat", "on edge"}, {"flat"}]
    assert kinds(layout, "back") == [{"flat"}] * 3
    assert layout.blocks.whole == sum(p.whole for p in layout.pieces)


def test_single_blocks_on_edge_thin_the_wall_and_doubled_ones_fill_it() -> None:
    single = built(**MIXED, place_1_middle=24 * INCH)
    assert thinnest(single) == pytest.approx(4 * INCH)
    assert any("on its inner part only there" in note for note in single.advice)
    double = built(**MIXED, place_1_middle=24 * INCH, edge_doubled="yes")
    assert thinnest(double) == pytest.approx(8 * INCH)
    assert not any("thinner" in note for note in double.advice)
    words = " ".join(steps(double, Outfit(), lambda length: f"{length / INCH:g} in"))
    assert "Course 2: blocks on edge between flat ones in the front, 8 in high, two" in words


def test_evenly_spaced_blocks_leave_equal_runs() -> None:
    """Two of 12 in in 60 in of clear wall leave three runs of 12 in."""
    layout = built(**MIXED, inside_length=60 * INCH, mixed_number=2, mixed_walls="front and back")
    for part in ("front", "back"):
        edge = [p for p in layout.pieces if p.orientation == "on edge" and p.part == part]
        starts = sorted(p.box.x / INCH - 8 for p in edge)
        assert starts == pytest.approx([12, 36])


def test_the_setting_plan_tells_what_stands_between() -> None:
    layout = built(**MIXED, place_1_middle=15 * INCH, mixed_mirrored="yes", edge_doubled="yes")
    rows = [run for run in runs(layout) if (run.course, run.part) == (2, "front")]
    flat = [run for run in rows if run.orientation == "flat"]
    assert len(flat) == 2
    for run in flat:
        between = [group for group in run.lengths if group[0] == OTHERS]
        assert [group[1] for group in between] == pytest.approx([12 * INCH, 12 * INCH])
    edge = [run for run in rows if run.orientation == "on edge"]
    assert [run.note for run in edge] == ["inner leaf", "outer leaf"]


def test_first_pieces_at_the_left_of_front_and_back() -> None:
    layout = built(start_odd=6 * INCH, start_even=11 * INCH)
    for course in layout.courses:
        for part in ("front", "back"):
            first = min((p for p in course.pieces if p.part == part), key=lambda p: p.box.x)
            assert first.length / INCH == pytest.approx(6 if course.number % 2 else 11)
    assert layout.fewest_cuts == built().blocks.cut_pieces < layout.blocks.cut_pieces
    more = layout.blocks.cut_pieces - layout.fewest_cuts
    assert layout.advice[0].startswith(f"The look costs {more} cut pieces more")


def test_what_a_look_costs_is_blank_where_it_is_not_worked_out() -> None:
    costs = ITEMS["cuts for the look"].measure
    look: dict[str, Any] = {"start_odd": 6 * INCH, "start_even": 11 * INCH}
    assert costs(built()) == 0
    more = costs(built(**look))
    assert more is not None
    assert more > 0
    for change in ({"aim": "blocks"}, {"laid_courses": 1}):
        assert costs(built(**look, **change)) is None
        assert costs(built(**change)) == 0


def test_an_inner_leaf_spreads_over_wider_joints() -> None:
    """Along 46 in there are five blocks and 2 in over, which four joints share: 1/2 in each."""
    layout = built(
        inside_length=46 * INCH, course_pattern="flat, on edge, flat", courses=3,
        edge_doubled="yes", liner_gap=0.5 * INCH,
    )  # fmt: skip
    inner = [run for run in runs(layout) if run.note.startswith("inner leaf")]
    wide = [run for run in inner if "0.5 in" in run.note]
    assert wide
    assert all(run.cut == 0 for run in wide)
    without = built(
        inside_length=46 * INCH, course_pattern="flat, on edge, flat", courses=3,
        edge_doubled="yes",
    )  # fmt: skip
    assert layout.blocks.cut_pieces < without.blocks.cut_pieces


REFUSED: tuple[tuple[dict[str, Any], str, str], ...] = (
    ({"course_pattern": "flat, tall"}, "Pattern of courses", "tall is none of flat, on edge"),
    ({"course_pattern": "flat, on edge", "edge_courses": "3"}, "Courses on edge", "give 2, 4"),
    ({"mixed_courses": "2", "edge_courses": "2"}, "Mixed courses", "leave it out of one"),
    ({"mixed_courses": "9", "mixed_number": 1}, "Mixed courses", "courses 1 to 4"),
    ({"mixed_courses": "2"}, "Blocks on edge a wall", "give at least 1, or a place"),
    ({"mixed_number": 1}, "Mixed courses", "say which courses"),
    ({**MIXED, "place_1_middle": 0.6, "place_1_courses": "3"}, "Place 1 courses", "mixed are 2"),
    ({**MIXED, "place_1_middle": 6 * INCH}, "Place 1 middle", "from 9 in (228.6 mm) to 39 in"),
    ({**MIXED, "mixed_number": 3}, "Blocks on edge a wall", "at most 1 in a wall of 24 in"),
    (
        {**MIXED, "place_1_middle": 15 * INCH, "place_2_middle": 20 * INCH},
        "Place 2 middle", "at least 15 in (381 mm) from it",
    ),
    (
        {"course_pattern": "mixed", "courses": 2, "place_1_middle": 24 * INCH},
        "Pattern of courses", "lay a flat course between",
    ),
    ({**MIXED, "mixed_number": 1, "block_depth": 7 * INCH}, "Pattern of courses", "or 8 in"),
    ({"bond": "half"}, "Bond of courses", "what works: third, least offset"),
    ({"start_odd": 2 * INCH}, "Start of odd courses", "from the shortest piece of 3 in"),
    ({"liner_gap": 0.02, "joint": 0.021}, "Gap behind the liner", "more than the joint"),
)  # fmt: skip


@pytest.mark.parametrize(("changes", "argument", "says"), REFUSED)
def test_what_can_not_be_built_is_refused(
    changes: dict[str, Any], argument: str, says: str
) -> None:
    with pytest.raises(InputError) as error:
        built(**changes)
    assert error.value.argument == argument
    assert says in error.value.allowed


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({**MIXED, "place_1_middle": 10 * INCH}, "place_1_middle"),
        ({"start_odd": 12 * INCH, "start_even": 4 * INCH}, "start_even"),
    ],
)
def test_what_is_said_to_work_does(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as error:
        built(**changes)
    found = re.search(r"works: ([\d.]+) in", error.value.allowed)
    assert found is not None
    assert built(**changes | {field: float(found[1]) * INCH})


def test_leaves_end_alike_at_a_wall_of_one_piece() -> None:
    """Where the side walls lie flat, no leaf of front or back reaches into their corner blocks."""
    layout = built(
        inside_length=87 * INCH, inside_width=30.5 * INCH, block_length=16 * INCH,
        edge_courses="1", edge_walls="front and back", edge_doubled="yes",
        edge_leaves="leaf by leaf", joint_offset=16 / 6 * INCH, liner_gap=0.01,
    )  # fmt: skip
    for one, other in combinations([piece.box for piece in layout.pieces], 2):
        shared = [
            min(a + da, b + db) - max(a, b)
            for a, da, b, db in zip(one[:3], one[3:], other[:3], other[3:], strict=True)
        ]
        assert min(shared) < 1e-9


@pytest.mark.parametrize(("asked", "fewest"), [(5, 5), (6, 5), (8, 5)])
def test_a_look_costs_for_certain_only_what_is_proved(asked: int, fewest: int) -> None:
    """That it costs nothing was said of a search that had found nothing."""
    assert "(not proved)" in look_words(asked, fewest, proved=False)
    assert "(not proved)" not in look_words(asked, fewest, proved=True)
