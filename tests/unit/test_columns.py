"""Columns on and at walls: counts worked by hand, the pipe, caps in pieces, and refusals.

Counts marked "by hand" were worked on paper for the block of 12 x 4 x 8 in and the basin below.
"""

from __future__ import annotations

import re
from dataclasses import fields, replace
from functools import partial
from itertools import product
from typing import Any

import pytest

from basinbook import catalogue
from basinbook.engine.errors import InputError
from basinbook.engine.inspections import inspections
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.results.column_loads import least_push, slenderest
from basinbook.engine.layout.results.schedule import runs
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.outfit import BOWL, LIP, Outfit
from basinbook.engine.spec import FIELDS, INCH, BasinSpec
from basinbook.engine.steps import steps
from basinbook.engine.suggest import fall
from basinbook.engine.takeoff import item
from basinbook.units import tape_words

PLAIN = BasinSpec(
    48 * INCH, 24 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=12 * INCH, courses=4,
    second_wall="yes", pipe_space=4 * INCH,
)  # fmt: skip
CAPPED = replace(PLAIN, cap_length=24 * INCH, cap_depth=10 * INCH, cap_height=2 * INCH)
ON_BOTH: dict[str, Any] = {"wall_column_1": "on both walls", "wall_column_1_courses": 3}


def inches(length: float) -> float:
    return round(length / INCH, 6)


def laid(spec: BasinSpec, **change: Any) -> Layout:
    return solve(replace(spec, **change))


def column(layout: Layout) -> list[Piece]:
    return [piece for piece in layout.pieces if piece.part == "column 1"]


def plan(pieces: list[Piece] | tuple[Piece, ...]) -> tuple[float, ...]:
    boxes = [piece.box for piece in pieces]
    return tuple(
        inches(size)
        for size in (
            min(b.x for b in boxes), min(b.y for b in boxes),
            max(b.x + b.dx for b in boxes), max(b.y + b.dy for b in boxes),
        )
    )  # fmt: skip


def test_a_column_on_both_walls_has_its_core_over_the_pipe_space() -> None:
    """By hand: 12 + 8 = 20 in = 8 + 4 + 8 in of walls and pipe space; core 12 − 8 = 4 in."""
    layout = laid(CAPPED, **ON_BOTH, wall_column_1_at=24 * INCH)
    pieces = column(layout)
    assert len(pieces) == 12
    assert all(piece.whole for piece in pieces)
    # From the back wall's inner face at 8 + 24 in to the second wall's outer face 20 in behind.
    assert plan(pieces) == (22, 32, 42, 52)
    # The blocks turn: in the front the joint is 12 in from the left, then 8 in.
    joints = [
        [inches(p.box.x) for p in pieces if p.course == course and p.box.x > 23 * INCH
         and inches(p.box.y) == 32]
        for course in sorted({piece.course for piece in pieces})
    ]  # fmt: skip
    assert joints in ([[34], [30], [34]], [[30], [34], [30]])
    # On caps: 4 courses of 4 in and 2 in of cap.
    assert sorted({inches(piece.box.z) for piece in pieces}) == [18, 22, 26]
    without = solve(CAPPED)
    assert layout.blocks.needed == without.blocks.needed + 12
    assert (layout.caps, layout.blocks.cut_pieces) == (without.caps, without.blocks.cut_pieces)


def test_it_stands_by_the_pipe_and_moves_where_the_bond_asks_for_it() -> None:
    capped = laid(CAPPED, **ON_BOTH, opening_width=3 * INCH, opening_offset=15 * INCH)
    assert plan(column(capped))[0] == 8 + 15 - 10
    # On block the middle of the wall does not do, half an inch more neither, but 25 in.
    bare = laid(PLAIN, **ON_BOTH)
    assert plan(column(bare))[0] == 8 + 25 - 10
    assert any("column 1 stands 25 in" in note for note in bare.advice)
    with pytest.raises(InputError, match=r"Wall column 1 position.*nearest that works: 21 in"):
        laid(PLAIN, **ON_BOTH, wall_column_1_at=20 * INCH)


def test_the_pipe_comes_out_at_the_front_beside_one_cut_piece() -> None:
    """By hand: in the front 8 in, a gap as wide as the core of 4 in, and the end of a block, 8."""
    layout = laid(CAPPED, **ON_BOTH, wall_column_1_at=24 * INCH, column_pipe="out at the front")
    (cut,) = [piece for piece in column(layout) if not piece.whole]
    assert (inches(cut.length), inches(cut.box.z), cut.loose) == (8, 26, True)
    assert [piece.loose for piece in column(layout)].count(True) == 1
    front = [p.box for p in column(layout) if p.course == cut.course and inches(p.box.y) == 32]
    spans = sorted((inches(b.x), inches(b.x + b.dx)) for b in front)
    assert spans == [(22, 30), (34, 42)]
    assert layout.blocks.cut_pieces == solve(CAPPED).blocks.cut_pieces + 1
    assert count_cuts(layout.spec).cuts == layout.blocks.cut_pieces
    assert count_cuts(layout.spec).blocks == layout.blocks.needed
    # Two inches of gap leave 12 − 2 in; the block over it then bears on both sides of the gap.
    low = laid(
        CAPPED, **ON_BOTH, wall_column_1_at=24 * INCH, column_pipe="out at the front",
        column_pipe_course=2, column_gap=2 * INCH,
    )  # fmt: skip
    (cut,) = [piece for piece in column(low) if not piece.whole]
    assert (inches(cut.length), inches(cut.box.z)) == (10, 22)


def test_the_pipe_goes_up_through_caps_that_are_cut_round_it() -> None:
    """By hand: caps of 12 in leave no gap over 4 in of pipe space, those of 10 in leave 2 in."""
    up = {**ON_BOTH, "column_pipe": "through the cap", "column_cap_side": 24 * INCH,
          "column_cap_height": 2 * INCH}  # fmt: skip
    narrow = laid(CAPPED, **up)
    wide = laid(CAPPED, **up, cap_depth=12 * INCH)
    assert not any(cap.hole for cap in narrow.caps)
    met = [cap for cap in wide.caps if cap.hole]
    assert {cap.part for cap in met} == {"back", "second wall"}
    assert {round(inches(cap.hole), 2) for cap in met} == {1.31}
    for layout in (narrow, wide):
        (cap,) = layout.column_caps
        assert (cap.hole, cap.loose) == (met[0].hole, True)
        assert plan([cap]) == (20, 30, 44, 54)
        (loose,) = [piece for piece in column(layout) if piece.loose]
        assert loose.whole
        assert inches(loose.box.z) == 26


@pytest.mark.parametrize(
    ("made", "change", "pieces", "cut", "over"),
    [
        # By hand: rows of 12 + 12, three of 8 in deep: 24 in, 2 in past 20 in on four sides.
        ("blocks", {}, 6, 0, 2),
        # Rows of 18 + 6, two of 12 in deep; four of 12 in cut round the middle cost two more.
        ("wall caps", {"cap_length": 18 * INCH, "cap_depth": 12 * INCH}, 4, 2, 2),
        # Two caps of 24 x 12 in need no cut.
        ("wall caps", {"cap_depth": 12 * INCH}, 2, 0, 2),
        # Flush with the column, rows of 20 in, two of 10 in deep.
        ("wall caps", {"column_cap_overhang": 0.0}, 2, 2, 0),
        # Round a pipe: four of 12 in by 10 in make 22 in and leave 2 in open in the middle.
        ("wall caps", {"column_cap_overhang": INCH, "column_pipe": "through the cap"}, 4, 4, 1),
    ],
)
def test_caps_of_several_pieces_reach_past_four_sides_alike(
    made: str, change: dict[str, Any], pieces: int, cut: int, over: int
) -> None:
    layout = laid(CAPPED, **ON_BOTH, wall_column_1_at=24 * INCH, column_cap_of=made, **change)
    top = max(p.box.z for p in (*column(layout), *layout.column_caps))
    found = [p for p in (*column(layout), *layout.column_caps) if p.box.z > top - 1e-9]
    assert (len(found), sum(not p.whole for p in found)) == (pieces, cut)
    assert plan(found) == (22 - over, 32 - over, 42 + over, 52 + over)
    without = laid(CAPPED, **{k: v for k, v in change.items() if k.startswith("cap_")})
    if made == "blocks":
        assert layout.blocks.whole == without.blocks.whole + 12 + pieces
    else:
        assert layout.cap_cuts.cut_pieces == without.cap_cuts.cut_pieces + cut
        assert layout.cap_cuts.whole == without.cap_cuts.whole + pieces - cut


def test_two_blocks_on_end_make_a_column_as_thick_as_the_wall() -> None:
    """By hand: two of 4 x 8 in beside each other are 8 in square and 12 in high."""
    layout = laid(
        CAPPED, wall_column_1="on second wall", wall_column_1_courses=2, wall_column_laid="on end",
        wall_column_core="no",
    )  # fmt: skip
    assert plan(column(layout)) == (28, 44, 36, 52)
    assert sorted({inches(p.box.z) for p in column(layout)}) == [18, 30]
    assert {p.orientation for p in column(layout)} == {"on end"}


def test_columns_stand_by_walls_and_ends_anywhere_along_them() -> None:
    """By hand: caps of 10 in on walls of 8 reach 1 in past them; so far stand columns off."""
    layout = laid(
        CAPPED, wall_column_1="by front wall", wall_column_1_courses=6,
        wall_column_1_at=10 * INCH, wall_column_2="by left end", wall_column_2_courses=5,
        wall_column_3="by right end", wall_column_3_courses=5,
    )  # fmt: skip
    found = {
        part: plan([p for p in layout.pieces if p.part == part])
        for part in ("column 1", "column 2", "column 3")
    }
    assert found == {
        "column 1": (8, -21, 28, -1), "column 2": (-21, 38, -1, 58), "column 3": (65, 38, 85, 58),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"wall_column_1": "on second wall"}, "on end without a core .8 in .* on both walls"),
        ({"wall_column_1": "on both walls", "second_wall": "no"}, "there is no second wall"),
        ({"wall_column_1": "by back wall"}, "by second wall"),
        ({**ON_BOTH, "second_wall_courses": 6}, "give 4 second wall courses"),
        ({**ON_BOTH, "pipe_space": 6 * INCH}, "Pipe space.*bear with 58%.*at most 4 in"),
        ({**ON_BOTH, "wall_column_1_courses": 0}, "Wall column 1 courses.*at least 1"),
        ({**ON_BOTH, "column_pipe": "through the cap", "column_pipe_size": 0.15}, "at most 4 in"),
        ({"wall_column_1": "by front wall", "column_pipe": "through the cap"}, "on both walls"),
        ({"column_pipe": "through the cap"}, "on both walls"),
        ({**ON_BOTH, "column_cap_of": "blocks", "column_cap_overhang": INCH}, "give 2 in"),
        ({**ON_BOTH, "column_cap_of": "wall caps", "cap_length": 0.0}, "wall caps' sizes"),
        ({"wall_column_1": "by front wall", "wall_column_2": "by front wall",
          "wall_column_2_courses": 3}, "stand in column 1; they need 20 in"),
        ({"wall_column_1": "by left end", "wall_column_1_at": INCH}, "blank for a column by left"),
        ({**ON_BOTH, "wall_column_1_at": 60 * INCH}, "from 0 in .* to 48 in"),
        ({**ON_BOTH, "opening_width": 3 * INCH, "service_cap": "over the pipe opening"},
         "column 1 stands on that cap"),
        ({"wall_column_1": "on back wall", "wall_column_1_courses": 1, "wall_column_laid": "on end",
          "wall_column_core": "no", "second_wall_courses": 8, "column_cap_side": 18 * INCH,
          "column_cap_height": 2 * INCH}, "cap would stand in the second wall"),
    ],
)  # fmt: skip
def test_what_can_t_stand_is_refused_with_what_works(change: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        laid(CAPPED, **{"wall_column_1_courses": 3, **change})


def test_what_columns_add_stands_on_plan_cut_list_steps_and_checks() -> None:
    spec = replace(
        CAPPED, **ON_BOTH, cap_depth=12 * INCH, opening_width=3 * INCH,
        column_pipe="through the cap", column_cap_side=24 * INCH, column_cap_height=2 * INCH,
    )  # fmt: skip
    layout = solve(spec)
    given = {
        FIELDS[each.name].label: inches(value) if isinstance(value, float) else value
        for each in fields(spec)
        if (value := getattr(spec, each.name)) != each.default
    }
    inputs = ([[label] for label in given], [[value] for value in given.values()])
    cuts = catalogue.call("CUTLIST", *inputs).text()
    assert "column cap\t24\t1\tround the pipe, 1 5/16 across\tcolumn 1" in cuts
    assert cuts.count("round the pipe") == 2
    assert "round the pipe" in catalogue.call("SETTINGRUNS", *inputs).text()
    said = steps(layout, Outfit(pipe="Pipe 1 in"), partial(tape_words, system="us"))
    assert [text.partition(":")[0] for text in said][-6:] == [
        "Caps", "Column on both walls (column 1)", "Pipe in column 1", "Column caps", "Pipe",
        "Filling", "Leak test",
    ][-6:]  # fmt: skip
    assert any("keep the front block whole for its fitting" in text for text in said)
    assert all(len(text) <= 255 for text in said)
    found = dict(inspections(layout, Outfit(), partial(tape_words, system="us")))
    assert found["Columns"].endswith("""middle from the inside left: column 1 2' 0\"""")
    # On the walls nothing more of the base is covered; caps of one piece are bought as such.
    assert item("Footprint area").measure(layout) == item("Footprint area").measure(solve(CAPPED))
    assert item("Column caps").measure(layout) == 1
    assert item("Pieces cut round the pipe").measure(layout) == 3
    assert item("Column height").measure(layout) == pytest.approx(30 * INCH)


def test_caps_of_wall_caps_are_bought_as_wall_caps_and_those_of_block_as_block() -> None:
    """By hand: two caps of 24 x 12 in, or six blocks; no column cap is bought."""
    for made, more in (("wall caps", "Caps needed"), ("blocks", "Blocks needed")):
        plain = laid(CAPPED, **ON_BOTH, wall_column_1_at=24 * INCH, cap_depth=12 * INCH)
        capped = replace(plain.spec, column_cap_of=made)
        assert item("Column caps").measure(solve(capped)) == 0
        grown = item(more).measure(solve(capped)) - item(more).measure(plain)
        assert grown == {"wall caps": 2, "blocks": 6}[made]


def test_the_pipe_s_outlet_sets_fall_and_lift() -> None:
    """By hand: out at the front of the third course on caps at 18 in: its bed is at 26 in."""
    out = laid(CAPPED, **ON_BOTH, column_pipe="out at the front")
    assert inches(fall(out, LIP)) == 26 - 12
    up = laid(CAPPED, **ON_BOTH, column_pipe="through the cap")
    assert inches(fall(up, BOWL)) == 30 - 12


def test_columns_are_pushed_as_they_stand_and_from_the_base_with_the_wall() -> None:
    """By hand: 12 blocks of 384 in³ on walls of 2 x 20 x 8 x 16 in; weight 1 N/m³."""
    layout = laid(PLAIN, **ON_BOTH, wall_column_1_at=22 * INCH)
    cubic, push = INCH**3, 200 * 4.4482216152605
    own = 12 * 384 * cubic * 10 * INCH / (push * 12 * INCH)
    whole = (12 * 384 + 2 * 20 * 8 * 16) * cubic * 10 * INCH / (push * 28 * INCH)
    assert least_push(layout, 1.0) == pytest.approx(min(own, whole))
    assert slenderest(layout) == (pytest.approx(12 / 20), 4.0)
    slim = laid(
        PLAIN, wall_column_1="on second wall", wall_column_1_courses=7, wall_column_laid="on end",
        wall_column_core="no",
    )  # fmt: skip
    # Seven of 12 in on 8 in of side.
    assert slenderest(slim) == (pytest.approx(84 / 8), 10.0)


def test_a_recess_behind_a_block_on_edge_carries_nothing() -> None:
    """By hand: on edge a block is 4 in thick; a block across it bears with 4 of 12 in there."""
    mixed = replace(
        CAPPED, mixed_courses="4", place_1_wall="back", place_1_middle=24 * INCH, **ON_BOTH,
        wall_column_1_at=24 * INCH,
    )  # fmt: skip
    with pytest.raises(InputError, match=r"Wall column 1 position.*bear too little"):
        solve(mixed)
    assert plan(column(solve(replace(mixed, edge_doubled="yes"))))[0] == 22


ENGAGED: dict[str, Any] = {
    "second_wall": "no", "wall_column_1": "in front wall", "wall_column_1_courses": 6,
    "inside_length": 72 * INCH,
}  # fmt: skip


def test_a_column_in_a_wall_has_one_block_across_it_by_turns() -> None:
    """By hand: 12 + 8 = 20 in from the wall's inner face at 8 in out to 12 in before the wall."""
    layout = laid(PLAIN, **ENGAGED)
    pieces = column(layout)
    # Three of its own in the four courses of the wall, four in two over it.
    assert (len(pieces), all(piece.whole for piece in pieces)) == (4 * 3 + 2 * 4, True)
    middle = 8 + 36
    assert plan(pieces) == (middle - 10, -12, middle + 10, 8)
    across = [
        (p.course, inches(p.box.x))
        for p in pieces
        if inches(p.box.y + p.box.dy) == 8 and p.course <= 4
    ]
    assert [x for _, x in sorted(across)] in ([34, 46, 34, 46], [46, 34, 46, 34])


@pytest.mark.parametrize(("first", "x"), [("left block", 34), ("right block", 46)])
def test_the_first_block_across_the_wall_is_the_one_asked_for(first: str, x: float) -> None:
    layout = laid(PLAIN, **ENGAGED, wall_column_first=first)
    (across,) = [p for p in column(layout) if p.course == 1 and inches(p.box.y + p.box.dy) == 8]
    assert inches(across.box.x) == x


@pytest.mark.parametrize("aim", ["blocks", "lengths"])
@pytest.mark.parametrize(("long", "at"), [(50, 14), (53, 14), (53, 23), (46, 26)])
def test_blank_the_first_block_that_is_better_in_the_aim_is_taken(
    aim: str, long: float, at: float
) -> None:
    """Also where the other leaves fewer cuts, and nothing better than either is proved."""
    spec = BasinSpec(
        long * INCH, 22 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, courses=3, water_depth=0.05,
        freeboard=0.0, joint_offset=2 * INCH, wall_column_1="in back wall",
        wall_column_1_at=at * INCH, wall_column_1_courses=4, aim=aim,
    )  # fmt: skip
    taken = count_cuts(spec)
    both = [
        count_cuts(replace(spec, wall_column_first=first))
        for first in ("left block", "right block")
    ]
    least = min(getattr(one, aim) for one in both)
    assert getattr(taken, aim) == least
    assert taken.proved == all(one.proved for one in both)


def test_blank_the_better_first_block_is_taken() -> None:
    for change in ({}, {"wall_column_1_at": 30 * INCH}, {"wall_column_1_at": 26.5 * INCH}):
        both = [
            laid(PLAIN, **{**ENGAGED, **change}, wall_column_first=first).blocks.cut_pieces
            for first in ("left block", "right block")
        ]
        assert laid(PLAIN, **{**ENGAGED, **change}).blocks.cut_pieces == min(both)


def test_wall_caps_end_at_the_column_and_are_bought_as_cut() -> None:
    """By hand: front caps run through from 1 in outside the corner to the column: 34 + 1 in.

    That is one cap of 24 in and one of 11. Where side caps of 10 in ran through, 25 in were left:
    24 in and a piece of 1 in, which is too short, so two cuts.
    """
    layout = laid(CAPPED, **ENGAGED)
    front = sorted((p for p in layout.caps if p.part == "front"), key=lambda p: p.box.x)
    assert [inches(p.length) for p in front] in ([24, 11, 11, 24], [11, 24, 24, 11],
                                                 [24, 11, 24, 11], [11, 24, 11, 24])  # fmt: skip
    assert inches(front[0].box.x) == -1
    assert {34.0, 54.0} <= {inches(v) for p in front for v in (p.box.x, p.box.x + p.box.dx)}
    assert layout.cap_cuts.cut_pieces == sum(not p.whole for p in layout.caps)
    assert sum(not p.whole for p in front) == 2


def test_a_column_at_a_free_end_of_the_second_wall_is_in_line_with_it() -> None:
    layout = laid(
        CAPPED, wall_column_1="in second wall", wall_column_1_courses=5,
        wall_column_1_at=2 * INCH, second_wall_returns="none",
    )  # fmt: skip
    assert plan(column(layout))[0] == 0
    caps = [p for p in layout.caps if p.part == "second wall"]
    assert inches(min(p.box.x for p in caps)) == 20


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"wall_column_1_courses": 3}, "Wall column 1 courses.*at least the wall's 4"),
        ({"wall_column_1_courses": 4}, "Wall column 1 courses.*at least 5.*over the caps"),
        ({"wall_column_1_at": 4 * INCH}, "Wall column 1 position.*from 13 in .* to 59 in"),
        ({"wall_column_laid": "on edge"}, "Wall columns laid.*flat"),
        ({"wall_column_core": "no"}, "Wall column core.*yes"),
        ({"wall_column_1": "in second wall"}, "there is no second wall"),
        ({"wall_column_1": "in back wall", "second_wall": "yes"}, "in second wall"),
        ({"edge_courses": "2", "edge_doubled": "yes"}, "Wall column 1.*lay it flat"),
        ({"inside_length": 24 * INCH}, "no room for a column of 20 in"),
        ({"wall_column_2": "in front wall", "wall_column_2_courses": 6}, "Wall column 1 position"),
        ({"opening_2_wall": "front", "opening_2_width": 4 * INCH, "opening_2_course": 2},
         "Wall column 1 position.*at most .* or at least"),
        ({"column_pipe": "through the cap"}, "on both walls"),
        ({"joint_offset": 5 * INCH}, "Least joint offset.*at most 4 in"),
    ],
)  # fmt: skip
def test_a_column_that_can_t_be_in_a_wall_is_refused(change: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        laid(CAPPED, **{**ENGAGED, **change})


def test_setting_plan_and_steps_tell_of_a_column_in_a_wall() -> None:
    layout = laid(CAPPED, **ENGAGED)
    said = steps(layout, Outfit(pipe="Pipe 1 in"), partial(tape_words, system="us"))
    (told,) = [text for text in said if text.startswith("Column in front wall")]
    assert "left and right by turns" in told
    assert len(told) <= 255
    notes = {(run.course, run.part): run.note for run in runs(layout)}
    assert notes[1, "front"] == "column 1 stands in the gap"
    assert notes[1, "back"] == ""
    assert notes[5, "cap, front"] == "column 1 stands in the gap"
    # It covers the base outside the wall only: 20 by 12 in more.
    grown = item("Footprint area").measure(layout) - item("Footprint area").measure(
        laid(CAPPED, second_wall="no", inside_length=72 * INCH)
    )
    assert grown == pytest.approx(20 * 12 * INCH**2)


def test_two_columns_in_one_place_of_a_wall_of_one_course_are_refused() -> None:
    """One no higher than the wall, the other over it."""
    one = BasinSpec(
        72 * INCH, 48 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=2 * INCH, courses=1,
        wall_column_1="in front wall", wall_column_1_courses=1,
        wall_column_2="in front wall", wall_column_2_courses=3,
    )  # fmt: skip
    with pytest.raises(InputError, match=r"Wall column 1 position.*another column stands there"):
        solve(one)


def test_mitred_caps_end_square_at_a_column_with_long_pieces_at_the_corners() -> None:
    """By hand: from the corner at -1 in to the column at 38 in are 39 = 16 + 16 + 7 in."""
    layout = solve(
        BasinSpec(
            96 * INCH, 60 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=12 * INCH, courses=5,
            wall_column_1="in front wall", wall_column_1_courses=7, wall_column_1_at=40 * INCH,
            cap_length=16 * INCH, cap_depth=10 * INCH, cap_height=2 * INCH, cap_corner="mitred",
        )
    )  # fmt: skip
    blocks = [p.box for p in layout.pieces if p.part == "column 1"]
    assert min(box.x for box in blocks) == pytest.approx(38 * INCH)
    front = sorted((p for p in layout.caps if p.part == "front"), key=lambda p: p.box.x)
    row = [(p.box.x / INCH, p.length / INCH, p.mitres) for p in front if p.box.x < 38 * INCH]
    assert row == [pytest.approx(one) for one in ((-1, 16, 1), (15, 16, 0), (31, 7, 0))]
    # Walls without a column have both end pieces alike.
    for part in ("back", "left", "right"):
        ends = [p.length for p in layout.caps if p.part == part and p.mitres]
        assert ends[0] == pytest.approx(ends[1])


def _refusal(spec: BasinSpec) -> str:
    try:
        solve(spec)
    except InputError as error:
        return str(error)
    return ""


def test_a_pipe_space_named_in_a_refusal_is_not_refused_for_the_same_column() -> None:
    """Metric columns on both walls: what is said to serve does."""
    named = hopeless = 0
    for block, depth in ((0.4, 0.2), (0.4, 0.3), (0.6, 0.3), (0.3, 0.15), (0.45, 0.2)):
        for space, cap in product((0.1, 0.2, 0.3, 0.4), (0.0, 0.3, 0.35)):
            spec = BasinSpec(
                2.0, 1.2, block, 0.1, depth, water_depth=0.25, courses=4, second_wall="yes",
                pipe_space=space, wall_column_1_at=1.0, cap_length=0.4 if cap else 0.0,
                cap_depth=cap, cap_height=0.05 if cap else 0.0, **ON_BOTH,
            )  # fmt: skip
            said = _refusal(spec)
            hopeless += said.startswith("Wall column 1:") and "and of at least" in said
            most = re.search(r"give at most .* in \(([0-9.]+) mm\)", said)
            if not said.startswith("Pipe space:") or most is None:
                continue
            named += 1
            then = _refusal(replace(spec, pipe_space=float(most[1]) / 1000.0))
            # Nothing, or another matter with the nearest that works for it.
            assert not then or "would do" in then or "that works" in then, said
    assert named > 10
    assert hopeless > 5
