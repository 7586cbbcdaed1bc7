"""The layout solver: counts by hand, courses, openings, columns, caps, and what it refuses."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import job
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.parts.openings import NO_GAPS
from basinbook.engine.layout.parts.walls import solve_walls
from basinbook.engine.layout.results.advice import advice
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.layout.ticks import LATTICE, PER_MM, metres, text, ticks
from basinbook.engine.spec import FIELDS, INCH, BasinSpec


def spec(**change: object) -> BasinSpec:
    """56 × 24 in inside, blocks of 16 × 4 × 8 in: a size that needs no cut."""
    inches: dict[str, object] = {
        "inside_length": 56.0, "inside_width": 24.0, "block_length": 16.0,
        "block_height": 4.0, "block_depth": 8.0, "water_depth": 12.0, **change,
    }  # fmt: skip
    return BasinSpec(
        **{
            name: value * INCH if isinstance(value, float) else value
            for name, value in inches.items()
        }  # type: ignore[arg-type]
    )


def refused(**change: object) -> InputError:
    with pytest.raises(InputError) as caught:
        solve(spec(**change))
    return caught.value


def part(layout: Layout, name: str, course: int = 1) -> list[Piece]:
    return [p for p in layout.courses[course - 1].pieces if p.part == name]


def test_ticks_hold_inches_and_millimetres_exactly() -> None:
    assert ticks(INCH / 64) == 127 * LATTICE
    assert ticks(0.001) == PER_MM == 320 * LATTICE
    assert metres(ticks(1.27)) == pytest.approx(1.27, abs=1e-15)
    assert text(ticks(8.25 * INCH)) == "8.25 in (209.6 mm)"


def test_a_size_without_cuts() -> None:
    """Pinwheel: each wall is inside + 8 in: 64 = 4 × 16 and 32 = 2 × 16; 12 blocks a course."""
    layout = solve(spec(courses=4))
    assert layout.blocks.cut_pieces == 0
    assert layout.blocks.whole == layout.blocks.needed == 4 * 12
    assert layout.blocks.bars == ()
    assert layout.advice == ()


def test_a_size_with_cuts_that_fit_in_one_block() -> None:
    """A single course of 66 × 46 in inside, blocks 18 in: 82 = 4 × 18 + 10, 66 = 3 × 18 + 12."""
    layout = solve(spec(inside_length=66.0, inside_width=46.0, block_length=18.0, water_depth=2.0))
    assert len(layout.courses) == 1
    assert layout.blocks.cut_pieces == 2
    assert sorted(p.length / INCH for p in layout.pieces if not p.whole) == pytest.approx([10, 12])
    # 10 + 1/8 + 12 in don't fit into 18 in.
    assert len(layout.blocks.bars) == 2
    assert layout.blocks.saw_cuts == 2


def test_courses_follow_from_water_and_freeboard() -> None:
    """12 + 2 in of wall take 4 courses of 4 in."""
    layout = solve(spec())
    assert [course.number for course in layout.courses] == [1, 2, 3, 4]
    assert [course.z / INCH for course in layout.courses] == pytest.approx([0, 4, 8, 12])
    assert len(solve(spec(freeboard=0.0)).courses) == 3


def test_bed_joints_count_in_height() -> None:
    """Three courses of 4 in with two joints of 3/8 in are 12 3/4 in high."""
    layout = solve(spec(joint=0.375, freeboard=0.75))
    assert len(layout.courses) == 3
    assert layout.courses[2].z / INCH == pytest.approx(8.75)
    assert len(solve(spec(joint=0.375, freeboard=0.76)).courses) == 4


def test_too_few_courses_name_what_works() -> None:
    error = refused(courses=3)
    assert error.argument == "Courses"
    assert "at least 4 courses" in error.allowed
    assert "at most 10 in" in error.allowed
    assert len(solve(spec(courses=3, water_depth=10.0)).courses) == 3


def test_course_on_edge_stands_as_high_as_two_flat_ones() -> None:
    """All on edge and doubled: 2 × 4 in make the wall's 8 in, and 8 in stand for two courses."""
    layout = solve(spec(courses=3, edge_courses="2", edge_doubled="yes"))
    assert [c.height / INCH for c in layout.courses] == pytest.approx([4, 8, 4])
    assert {p.orientation for p in layout.courses[1].pieces} == {"on edge"}
    assert len(layout.courses[1].pieces) == 2 * len(layout.courses[0].pieces)
    assert {round(p.box.dz / INCH, 6) for p in layout.courses[1].pieces} == {8.0}


def test_flat_walls_beside_a_course_on_edge() -> None:
    """The front on edge; the others have two flat courses in the same level."""
    layout = solve(spec(courses=3, edge_courses="2", edge_walls="front"))
    front = part(layout, "front", 2)
    back = part(layout, "back", 2)
    assert {p.orientation for p in front} == {"on edge"}
    assert {round(p.box.z / INCH, 6) for p in back} == {4.0, 8.0}
    # Inner face flush: 8 in from the outside of the flat courses.
    assert {round((p.box.y + p.box.dy) / INCH, 6) for p in front} == {8.0}
    assert {round(p.box.dy / INCH, 6) for p in front} == {4.0}


def test_course_on_edge_must_fit_flat_courses() -> None:
    error = refused(courses=4, edge_courses="2", edge_walls="sides", block_depth=9.0)
    assert error.argument == "Courses on edge"
    assert "8 in (203.2 mm) or 12 in" in error.allowed
    solve(spec(courses=4, edge_courses="2", block_depth=9.0))


@pytest.mark.parametrize("given", ["two", "0", "1.5", "2; x"])
def test_odd_course_numbers_are_refused(given: str) -> None:
    assert refused(edge_courses=given).argument == "Courses on edge"


def test_course_on_edge_above_the_top() -> None:
    assert "courses 1 to 3" in refused(courses=3, edge_courses="4", water_depth=8.0).allowed


def test_single_blocks_on_edge_get_a_caution() -> None:
    layout = solve(spec(courses=4, edge_courses="2", block_height=3.0, water_depth=8.0))
    assert any("thinner below than above" in line for line in layout.advice)


def test_pipe_opening_is_left_bridged_and_loose_above() -> None:
    layout = solve(spec(opening_width=2.0, opening_course=2, opening_offset=20.0))
    (gap,) = layout.openings
    assert (gap.part, gap.course_from, gap.course_to) == ("back", 2, 2)
    assert gap.box.x / INCH == pytest.approx(8 + 20 - 1)
    assert gap.box.y / INCH == pytest.approx(8 + 24)
    over = [p for p in part(layout, "back", 3) if p.loose]
    assert len(over) == 1
    assert over[0].whole
    assert over[0].box.x <= gap.box.x - 4 * INCH + 1e-9
    assert over[0].box.x + over[0].box.dx >= gap.box.x + gap.box.dx + 4 * INCH - 1e-9
    assert not any(p.loose for p in layout.courses[0].pieces)
    assert any(p.loose for p in part(layout, "back", 4))


def test_opening_in_the_top_course_is_for_the_caps_to_bridge() -> None:
    layout = solve(spec(opening_width=2.0, opening_course=4))
    assert "No course of block bridges the pipe opening" in layout.advice[0]


@pytest.mark.parametrize(
    ("change", "argument", "works"),
    [
        ({"opening_width": 9.0}, "Pipe opening", "at most 8 in"),
        ({"opening_width": 30.0, "opening_course": 4, "inside_length": 30.0},
         "Pipe opening", "at most 22 in"),
        ({"opening_width": 2.0, "opening_offset": 3.0}, "Pipe opening position", "from 5 in"),
        ({"opening_width": 2.0, "opening_offset": 54.0}, "Pipe opening position", "to 51 in"),
        ({"opening_width": 2.0, "opening_course": 9}, "Pipe opening course", "courses 1 to 4"),
        ({"second_wall": "yes", "access_width": 80.0}, "Access gap", "at most 48 in"),
        ({"second_wall": "yes", "access_width": 9.0, "access_courses": 2}, "Access gap",
         "at most 8 in"),
        ({"second_wall": "yes", "access_width": 8.0, "access_offset": 10.0},
         "Access gap position", "from 16 in"),
        ({"second_wall": "yes", "access_width": 8.0, "access_courses": 9},
         "Access gap courses", "4 courses"),
        ({"joint_offset": 9.0}, "Least joint offset", "at most half a block"),
        ({"shortest_piece": 17.0}, "Shortest piece", "at most the block length"),
        ({"block_length": 10.0}, "Least joint offset", "at most 2 in"),
        ({"block_length": 8.0}, "Block length", "longer than deep"),
        ({"columns": 2, "column_courses": 4, "column_core": "no", "block_length": 15.0},
         "Column core", "16 in"),
        ({"columns": 4, "column_courses": 4, "inside_width": 16.0}, "Columns", "inside width"),
        ({"columns": 1, "column_courses": 4, "column_cap_side": 20.0, "column_cap_height": 2.0},
         "Column cap side", "24 in"),
        ({"cap_length": 16.0, "cap_height": 2.0}, "Cap depth", "depth"),
        ({"cap_length": 16.0, "cap_depth": 12.0}, "Cap height", "height"),
        ({"cap_length": 16.0, "cap_depth": 6.0, "cap_height": 2.0}, "Cap depth", "at least"),
        ({"cap_length": 16.0, "cap_depth": 12.0, "cap_height": 2.0, "cap_overhang": 5.0},
         "Cap overhang", "at most 4 in"),
        ({"cap_length": 10.0, "cap_depth": 12.0, "cap_height": 2.0, "cap_corner": "mitred"},
         "Cap length", "at least 12 in"),
        ({"cap_length": 16.0, "cap_depth": 14.0, "cap_height": 2.0, "second_wall": "yes"},
         "Pipe space", "at least 6 in"),
        ({"edge_courses": "2", "edge_doubled": "yes", "block_height": 5.0, "block_depth": 8.0},
         "Edge blocks doubled", "10 in"),
        ({"water_depth": 78.0, "block_height": 1.0}, "Water depth", "40 courses"),
    ],
)  # fmt: skip
def test_what_cannot_be_built_says_what_works(
    change: dict[str, object], argument: str, works: str
) -> None:
    error = refused(**change)
    assert error.argument == argument
    assert works in error.allowed


def test_a_size_without_bond_names_the_nearest_that_has_one() -> None:
    """Sides of 10 in inside: butted, or 18 in at one corner, without a piece under 12 in."""
    change: dict[str, object] = {"inside_width": 10.0, "shortest_piece": 12.0}
    error = refused(**change)
    assert error.argument == "Inside width"
    found = float(error.allowed.split("works: ")[-1].split(" in")[0])
    solve(spec(**{**change, "inside_width": found}))
    # Half an inch nearer to the wanted size there is none.
    nearer = found + (0.5 if found < 10.0 else -0.5)
    assert refused(**{**change, "inside_width": nearer}).argument == "Inside width"


def test_second_wall_with_returns_alternates() -> None:
    """Outside length 72 in; the space of 4 in takes a 4 in piece, or 12 in to the outer face."""
    layout = solve(spec(second_wall="yes"))
    for course in layout.courses:
        for name in ("left return", "right return"):
            (piece,) = part(layout, name, course.number)
            assert round(piece.length / INCH, 6) in (4.0, 12.0)
            assert piece.corner == (piece.length > 8 * INCH)
    lengths = [part(layout, "left return", c)[0].length / INCH for c in (1, 2, 3, 4)]
    assert lengths[0] == pytest.approx(lengths[2])
    assert lengths[0] + lengths[1] == pytest.approx(16.0)
    far = {round(p.box.y / INCH, 6) for p in part(layout, "second wall")}
    assert far == {24 + 16 + 4.0}


def test_narrow_pipe_space_keeps_returns_through() -> None:
    layout = solve(spec(second_wall="yes", pipe_space=2.0))
    assert all(p.corner for p in layout.pieces if p.part == "left return")
    assert any("returns run through" in line for line in layout.advice)


def test_second_wall_may_be_higher_its_returns_not() -> None:
    layout = solve(spec(second_wall="yes", second_wall_courses=6))
    assert {p.course for p in layout.pieces if p.part == "second wall"} == set(range(1, 7))
    assert {p.course for p in layout.pieces if p.part == "left return"} == set(range(1, 5))


def test_access_gap_of_full_height() -> None:
    layout = solve(spec(second_wall="yes", access_width=20.0))
    (gap,) = layout.openings
    assert (gap.part, gap.course_from, gap.course_to) == ("second wall", 1, 4)
    assert gap.box.dz / INCH == pytest.approx(16)
    for p in layout.pieces:
        if p.part == "second wall":
            assert (
                p.box.x + p.box.dx <= gap.box.x + 1e-9 or p.box.x >= gap.box.x + gap.box.dx - 1e-9
            )


def test_columns_alternate_and_stand_where_they_should() -> None:
    """Round a core: 4 blocks a course, side 16 + 8 = 24 in."""
    layout = solve(spec(columns=3, column_courses=6))
    assert layout.blocks.whole == 4 * 12 + 3 * 6 * 4
    for number in (1, 2, 3):
        boxes = [
            {(p.box.x, p.box.y, p.box.dx) for p in part(layout, f"column {number}", course)}
            for course in (1, 2, 3)
        ]
        assert boxes[0] == boxes[2]
        assert boxes[0] != boxes[1]
    left, right, behind = (
        min((p.box.x / INCH, p.box.y / INCH) for p in part(layout, f"column {n}"))
        for n in (1, 2, 3)
    )
    assert left == pytest.approx((-24, 16))
    assert right == pytest.approx((72, 16))
    assert behind == pytest.approx((24, 40))
    assert len(layout.courses) == 6


def test_column_without_core_has_two_blocks_a_course() -> None:
    layout = solve(spec(columns=1, column_courses=5, column_core="no"))
    assert len(part(layout, "column 1")) == 2
    first, second = part(layout, "column 1", 1), part(layout, "column 1", 2)
    assert first[0].box.dx == pytest.approx(16 * INCH)
    assert second[0].box.dx == pytest.approx(8 * INCH)


def test_columns_clear_the_caps() -> None:
    """Caps 12 in deep over 8 in reach 2 in past the wall, and so do the columns stand off."""
    caps = {"cap_length": 16.0, "cap_depth": 12.0, "cap_height": 2.0}
    layout = solve(spec(columns=2, column_courses=8, **caps))
    assert min(p.box.x for p in layout.pieces) / INCH == pytest.approx(-26)
    assert any("2 in (50.8 mm) off the walls" in line for line in layout.advice)
    low = solve(spec(columns=2, column_courses=3, **caps))
    assert min(p.box.x for p in low.pieces) / INCH == pytest.approx(-24)


def test_butted_caps() -> None:
    """Ring 76 × 44 in outside, 12 in deep: with corners in turn 64 = 4 × 16 and 32 = 2 × 16."""
    layout = solve(spec(cap_length=16.0, cap_depth=12.0, cap_height=2.0))
    assert layout.cap_cuts.cut_pieces == 0
    assert layout.cap_cuts.whole == 12
    assert {p.course for p in layout.caps} == {5}
    assert min(p.box.x for p in layout.caps) / INCH == pytest.approx(-2)
    assert {round(p.box.z / INCH, 6) for p in layout.caps} == {16.0}


def test_overhang_given_moves_the_ring() -> None:
    layout = solve(spec(cap_length=16.0, cap_depth=12.0, cap_height=2.0, cap_overhang=1.0))
    assert min(p.box.x for p in layout.caps) / INCH == pytest.approx(-1)


def test_mitred_caps() -> None:
    """76 in of front: ends 14 + 14 and three of 16; 44 in of side: ends of 14 and one of 16.

    Each end piece at least 12 in on its long edge, both alike, as few pieces as can be.
    """
    layout = solve(spec(cap_length=16.0, cap_depth=12.0, cap_height=2.0, cap_corner="mitred"))
    front = [p for p in layout.caps if p.part == "front"]
    assert sorted(round(p.length / INCH, 6) for p in front) == [14, 14, 16, 16, 16]
    assert sum(p.mitres for p in layout.caps) == 8
    assert layout.cap_cuts.cut_pieces == 8
    assert all(not p.whole for p in layout.caps if p.mitres)
    side = [p for p in layout.caps if p.part == "left"]
    assert sorted(round(p.length / INCH, 6) for p in side) == [14, 14, 16]


def test_caps_over_the_second_wall_lie_in_a_row() -> None:
    """72 in with 2 in of overhang at both ends: 76 = 4 × 16 + 12."""
    layout = solve(spec(cap_length=16.0, cap_depth=12.0, cap_height=2.0, second_wall="yes"))
    row = [p for p in layout.caps if p.part == "second wall"]
    assert sorted(round(p.length / INCH, 6) for p in row) == [12, 16, 16, 16, 16]


def test_the_same_inputs_are_solved_once() -> None:
    assert solve(spec()) is solve(spec())


def test_layout_needs_no_numpy() -> None:
    """Hosts with a bare Python must load the solver."""
    code = (
        "import sys; from basinbook.engine.layout.solver import solve; "
        "print([m for m in ('numpy', 'scipy', 'pint', 'pandas') if m in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_breakage_is_carried_not_counted() -> None:
    plain, broken = solve(spec()), solve(replace(spec(), breakage=0.1))
    assert broken.blocks.needed == plain.blocks.needed
    assert broken.blocks.breakage == pytest.approx(0.1)


def test_a_wall_that_is_not_proved_is_named() -> None:
    work = job(spec())
    walls = solve_walls(Budget(), work, NO_GAPS)
    assert walls is not None
    assert advice(work, None, walls, None, NO_GAPS, (), 0, True) == ()
    walls = walls._replace(back=walls.back._replace(proved=False))
    (text_found,) = advice(work, None, walls, None, NO_GAPS, (), 0, True)
    assert text_found.startswith("Not proved to have the least number of cuts: back.")


def test_a_gap_without_a_place_moves_off_the_centre_where_it_must() -> None:
    """A short wall: at its centre no bond leaves a block over the gap; typed, it is refused."""
    spec = BasinSpec(
        inside_length=26 * INCH, inside_width=28.75 * INCH, block_length=18 * INCH,
        block_height=4 * INCH, block_depth=8 * INCH, water_depth=16 * INCH,
        opening_width=3 * INCH, opening_course=3,
    )  # fmt: skip
    moved = solve(spec)
    middle = moved.openings[0].box.x + moved.openings[0].box.dx / 2.0 - spec.block_depth
    assert middle != pytest.approx(spec.inside_length / 2.0)
    assert abs(middle - spec.inside_length / 2.0) < 8.0 * INCH
    assert "not in the centre" in moved.advice[0]
    with pytest.raises(InputError, match="nearest that works"):
        solve(replace(spec, opening_offset=spec.inside_length / 2.0))


WORDS = [name for name, field in FIELDS.items() if field.choices]


@pytest.mark.parametrize("name", WORDS)
def test_a_word_that_is_no_choice_is_refused_with_those_allowed(name: str) -> None:
    """Such a word was taken for one of the choices, "every n-th course" for turned blocks."""
    for ask in (solve, count_cuts):
        change: dict[str, Any] = {name: "Where they save"}
        with pytest.raises(InputError) as caught:
            ask(replace(spec(), **change))
        assert caught.value.argument == FIELDS[name].label
        assert caught.value.value == "Where they save"
        assert all(word in caught.value.allowed for word in FIELDS[name].choices)


NUMBERS = [name for name, field in FIELDS.items() if field.kind is kinds.COUNT]


@pytest.mark.parametrize("name", NUMBERS)
def test_a_number_out_of_range_is_refused_with_those_allowed(name: str) -> None:
    """Five columns ended in a traceback."""
    least, most = int(FIELDS[name].low or 0), int(FIELDS[name].high or 0)
    for ask in (solve, count_cuts):
        for number in (least - 1, most + 1):
            change: dict[str, Any] = {name: number}
            with pytest.raises(InputError) as caught:
                ask(replace(spec(), **change))
            assert caught.value.argument == FIELDS[name].label
            assert caught.value.value == number
            assert f"from {least} to {most}" in caught.value.allowed
