"""The second wall as built, with another inside length than planned: checked with shapely (GEOS).

Random basins with a second wall, some with a gap or an opening in it, of whose courses some are
laid. What is asked of them follows from the inputs alone.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from shapely import unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, SAVING, BasinSpec
from column_jobs import along, at_heights, plan
from means_jobs import plain_basin

_COUNT = 40
_OFF = (-8, -4, -2, -1, 1, 2, 4, 8)
_HAIR = 1e-5
_SECOND = "second wall"


def _job(source: random.Random) -> BasinSpec:
    spec = plain_basin(source)
    change: dict[str, Any] = {
        "second_wall": "yes",
        "pipe_space": spec.block_depth,
        "second_wall_returns": source.choice(("both", "left", "none")),
        "second_wall_courses": source.choice((0, 0, spec.courses + 2)),
    }
    if source.random() < 0.4:
        change |= {
            "opening_2_wall": _SECOND,
            "opening_2_width": 0.08,
            "opening_2_course": source.randint(1, spec.courses),
        }
    elif source.random() < 0.4:
        change |= {"access_width": 0.3, "access_courses": source.choice((0, 1))}
    return replace(spec, **change)


@cache
def _pairs() -> tuple[tuple[Layout, Layout], ...]:
    """Basins as planned and as built."""
    source, found = random.Random(53), list[tuple[Layout, Layout]]()
    while len(found) < _COUNT:
        spec = _job(source)
        built = replace(
            spec,
            laid_courses=source.randint(1, spec.courses - 1),
            laid_length=spec.inside_length + source.choice(_OFF) * INCH / 16,
        )
        try:
            found.append((solve(spec), solve(built)))
        except InputError:
            continue
    return tuple(found)


def _rows(layout: Layout) -> list[list[Piece]]:
    """The second wall's courses from the base up, from left to right."""
    mine = [piece for piece in layout.pieces if piece.part == _SECOND]
    return [
        sorted(pieces, key=lambda piece: piece.box.x)
        for _, pieces in at_heights(mine, layout.spec.joint + _HAIR)
    ]


def _joints(layout: Layout, row: list[Piece]) -> list[tuple[float, float]]:
    """The right edge of each piece with the left edge of the next, but over an opening."""
    z = row[0].box.z + row[0].box.dz / 2
    opened = [
        (one.box.x, one.box.x + one.box.dx)
        for one in layout.openings
        if one.part == _SECOND and one.box.z < z < one.box.z + one.box.dz
    ]
    return [
        (one[1], two[0])
        for one, two in pairwise(along(_SECOND, piece) for piece in row)
        if not any(low < (one[1] + two[0]) / 2 < high for low, high in opened)
    ]


def _to_lay(layout: Layout, row: list[Piece]) -> bool:
    return row[0].course > layout.spec.laid_courses


def test_no_two_pieces_lie_in_one_place() -> None:
    for _, built in _pairs():
        for z, pieces in at_heights([*built.pieces, *built.caps]):
            shapes = [plan(piece) for piece in pieces]
            over = sum(shape.area for shape in shapes) - unary_union(shapes).area
            assert over < 1e-9, (built.spec, z)


def test_courses_still_to_lay_have_no_wide_joint() -> None:
    """As long as before, with what is measured more or less: in laid courses it is one joint."""
    wide = closed = 0
    for planned, built in _pairs():
        more = built.spec.inside_length - planned.spec.inside_length
        for old, row in zip(_rows(planned), _rows(built), strict=True):
            joints = _joints(built, row)
            gaps = [two - one for one, two in joints]
            assert row[0].box.x == pytest.approx(old[0].box.x)
            assert along(_SECOND, row[-1])[1] == pytest.approx(along(_SECOND, old[-1])[1] + more)
            over = [gap for gap in gaps if gap > built.spec.joint + _HAIR]
            if _to_lay(built, row):
                assert not over, (built.spec, row[0].course)
                closed += 1
            elif more > 0 and len(joints) == len(row) - 1:
                assert over == pytest.approx([built.spec.joint + more]), built.spec
                wide += 1
    assert wide > _COUNT / 4
    assert closed > _COUNT


def test_joints_over_what_stands_keep_the_least_offset() -> None:
    checked = 0
    for _, built in _pairs():
        least = built.spec.joint_offset or built.spec.block_length / 4
        rows = _rows(built)
        for below, above in pairwise(rows):
            if not _to_lay(built, above):
                continue
            for over in _joints(built, above):
                for under in _joints(built, below):
                    apart = min(abs(over[0] - under[0]), abs(over[1] - under[1]))
                    assert apart > least - _HAIR, (built.spec, above[0].course)
                    checked += 1
    assert checked > 20 * _COUNT


def test_laid_pieces_keep_their_length_and_those_to_lay_are_long_enough() -> None:
    for planned, built in _pairs():
        least = (built.spec.shortest_piece or built.spec.block_length / 4) - _HAIR
        for old, row in zip(_rows(planned), _rows(built), strict=True):
            if _to_lay(built, row):
                assert all(piece.whole or piece.length > least for piece in row), built.spec
            else:
                lengths = [piece.length for piece in row]
                assert lengths == pytest.approx([piece.length for piece in old])


def test_what_is_not_proved_the_least_is_said() -> None:
    def said(layout: Layout) -> bool:
        return any(note.startswith("Not proved") for note in layout.advice)

    fresh = [built for planned, built in _pairs() if not said(planned)]
    still_open = [built for built in fresh if not built.least]
    assert still_open
    assert all(said(built) for built in still_open)


def test_a_second_wall_with_turned_blocks_is_not_told_as_the_least_at_another_length() -> None:
    """Its courses to lay keep to the nearer end, as they were cut for the length as planned."""
    source = random.Random(5)
    told = 0
    for _ in range(60):
        spec = plain_basin(source)
        spec = replace(
            spec, second_wall="yes", pipe_space=spec.block_depth, turned_second=SAVING
        )  # fmt: skip
        try:
            planned = solve(spec)
            longer = spec.inside_length + source.choice(_OFF) * INCH / 16
            built = solve(replace(spec, laid_courses=1, laid_length=longer))
        except InputError:
            continue
        if not any(piece.turned for row in _rows(planned) for piece in row):
            continue
        cuts = sum(not piece.whole for row in _rows(built)[1:] for piece in row)
        said = any(note.startswith("Not proved") and _SECOND in note for note in built.advice)
        assert said or not cuts, built.spec
        assert not (said and built.least), built.spec
        told += said
    assert told > 5
