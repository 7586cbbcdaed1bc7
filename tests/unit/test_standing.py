"""As built: courses that stand, and those that are set out on them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.takeoff import ITEMS

PLANNED = BasinSpec(
    48 * INCH, 24 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, courses=4, opening_width=3 * INCH
)


def _above(layout: Layout, laid: int) -> list[Piece]:
    return [piece for piece in layout.pieces if piece.course > laid]


def _measured(long: float, wide: float, laid: int) -> Layout:
    """The layout where the walls stand so much longer and wider than planned [in]."""
    return solve(
        replace(
            PLANNED,
            laid_courses=laid,
            laid_length=PLANNED.inside_length + long * INCH,
            laid_width=PLANNED.inside_width + wide * INCH,
        )
    )


@pytest.mark.parametrize("laid", [1, 2, 3])
def test_what_measures_as_planned_goes_on_as_planned(laid: int) -> None:
    planned, built = solve(PLANNED), _measured(0.0, 0.0, laid)
    assert built.pieces == planned.pieces
    assert built.caps == planned.caps
    above = _above(planned, laid)
    assert built.blocks.cut_pieces == sum(not piece.whole for piece in above)
    assert built.blocks.whole == sum(piece.whole for piece in above)


def _ends(layout: Layout, course: int, wall: str) -> list[tuple[float, float]]:
    """From and to of the pieces of a course along the front or the left wall."""
    along = 0 if wall == "front" else 1
    return sorted(
        (piece.box[along], piece.box[along] + piece.box[along + 3])
        for piece in layout.courses[course - 1].pieces
        if piece.part == wall
    )


@pytest.mark.parametrize(("long", "wide"), [(0.25, -0.125), (-0.5, 0.375), (0.0625, 0.0)])
@pytest.mark.parametrize("laid", [1, 2, 3])
def test_courses_on_what_stands_fill_the_measured_size_in_bond(
    long: float, wide: float, laid: int
) -> None:
    planned, built = solve(PLANNED), _measured(long, wide, laid)
    lengths = [(piece.part, piece.length, piece.whole) for piece in planned.pieces]
    standing = sum(piece.course <= laid for piece in planned.pieces)
    assert [(p.part, p.length, p.whole) for p in built.pieces][:standing] == lengths[:standing]
    assert built.spec.inside_length == pytest.approx(PLANNED.inside_length + long * INCH)
    offset = PLANNED.block_length / 4
    for wall in ("front", "left"):
        for course in range(laid, 4):
            below, above = _ends(built, course, wall), _ends(built, course + 1, wall)
            # Dry: each piece begins where the last ends.
            assert all(one[1] == pytest.approx(two[0]) for one, two in pairwise(above))
            joints = [at for _, at in below[:-1]] + [at for at, _ in below[1:]]
            for _, at in above[:-1]:
                assert all(abs(at - joint) > offset - 1e-6 for joint in joints)
    outside = built.spec.inside_length + 2 * PLANNED.block_depth
    right = max(piece.box.x + piece.box.dx for piece in _above(built, laid))
    assert right == pytest.approx(outside) or laid == 4


def test_a_piece_that_broke_is_cut_once_more() -> None:
    planned = solve(PLANNED)
    piece = next(piece for piece in planned.pieces if not piece.whole)
    again = solve(replace(PLANNED, broken=f"{piece.course}/{piece.number}"))
    # As the drawings number it.
    assert solve(replace(PLANNED, broken=f"{piece.course}.{piece.number}, ")).blocks == again.blocks
    assert again.pieces == planned.pieces
    assert again.blocks.cut_pieces == planned.blocks.cut_pieces + 1
    assert [p.length for p in again.to_lay].count(piece.length) == 1 + sum(
        p.length == piece.length for p in planned.pieces
    )


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"laid_courses": 5}, "courses 1 to 4"),
        ({"broken": "1/99"}, "course 1 has pieces 1 to"),
        ({"broken": "front"}, "such as 2.14"),
        # What spreadsheets make of 2/14 and of 1.10 in cells for numbers.
        ({"broken": "46067"}, "made a date of 2/14"),
        ({"broken": "1.1"}, "may be piece 1 or 10; give 1/1 or 1/10"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, int | str], says: str) -> None:
    with pytest.raises(InputError, match=says):
        solve(replace(PLANNED, **change))  # type: ignore[arg-type]


def test_a_size_that_cannot_be_gone_on_with_names_the_nearest_that_can() -> None:
    with pytest.raises(InputError, match="nearest that works"):
        _measured(5.0, 0.0, 2)


def test_what_a_wall_is_short_is_told_of_the_piece_that_lost_it() -> None:
    """Dry joints can take nothing: one piece a course stands half an inch less.

    In the first course of the back wall the opening at the middle is so much narrower.
    """
    built = _measured(-0.5, 0.0, 2)
    short = [piece for piece in built.pieces if piece.shorter > 1e-6]
    assert sorted((piece.course, piece.part) for piece in short) == [
        (1, "front"),
        (2, "back"),
        (2, "front"),
    ]
    assert all(piece.shorter == pytest.approx(0.5 * INCH) for piece in short)
    told = next(line for line in built.advice if "shorter than their laid pieces" in line)
    assert all(f"{piece.course}.{piece.number}" in told for piece in short)
    assert not any(piece.shorter > 1e-6 for piece in _measured(0.5, 0.0, 2).pieces)


@pytest.mark.parametrize("laid", [1, 3, 4])
def test_courses_above_the_basins_own_are_cut_for_until_they_stand(laid: int) -> None:
    """A second wall higher than the basin, and columns: all of the basin laid is not all laid."""
    spec = replace(
        PLANNED, second_wall="yes", pipe_space=8 * INCH, second_wall_courses=6, columns=2,
        column_courses=7, column_cap_side=20 * INCH, column_cap_height=2 * INCH,
    )  # fmt: skip
    built = solve(replace(spec, laid_courses=laid))
    above = _above(built, laid)
    assert {piece.part for piece in above} >= {"second wall", "column 1"}
    assert built.to_lay == tuple(above)
    assert built.blocks.cut_pieces == sum(not piece.whole for piece in above)
    assert built.blocks.whole == sum(piece.whole for piece in above)


@pytest.mark.parametrize("laid", [1, 3, 4])
def test_what_stands_is_priced_and_ordered_as_before(laid: int) -> None:
    """What is laid was bought: the job's quantities don't fall by it, a broken piece adds one."""
    spec = replace(PLANNED, second_wall="yes", pipe_space=8 * INCH, cap_length=12 * INCH,
                   cap_depth=10 * INCH, cap_height=2 * INCH, breakage=0.05)  # fmt: skip
    planned, built = solve(spec), solve(replace(spec, laid_courses=laid))
    still = "blocks still needed"
    for label, item in ITEMS.items():
        if label != still:
            assert item.measure(built) == pytest.approx(item.measure(planned), abs=1e-12), label
    needed = ITEMS["blocks needed"].measure
    assert ITEMS[still].measure(planned) == needed(planned)
    assert ITEMS[still].measure(built) < needed(built)
    again = solve(replace(spec, laid_courses=laid, broken="1/1"))
    assert needed(again) == needed(planned) + 1
    assert ITEMS[still].measure(again) == ITEMS[still].measure(built) + 1


@pytest.mark.parametrize("aim", ["blocks", "lengths"])
def test_on_what_stands_nothing_is_proved_but_the_fewest_cuts(aim: str) -> None:
    """What is still to lay has the fewest cuts found, whatever is aimed at."""
    spec = replace(PLANNED, opening_width=0.0, aim=aim, laid_courses=1)
    assert solve(spec).least
    longer = replace(spec, laid_length=PLANNED.inside_length + 0.25 * INCH)
    built = solve(longer)
    assert not built.least
    assert any(note.startswith("Not proved to ") for note in built.advice)
    assert solve(replace(longer, aim="cuts")).least
