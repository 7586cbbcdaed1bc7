"""Basins with several openings and lintels: cuts against HiGHS, places against shapely.

The integer programme is that of ``layout_programme``. BASINBOOK_BASINS sets how many random basins
are compared (docs/setting_out.md has the figures of a long run).
"""

from __future__ import annotations

import os
import random
from dataclasses import replace
from typing import Any, NamedTuple

import pytest
from shapely import box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Opening, Piece
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import BasinSpec
from layout_programme import Blocks, Hole, least_basin_cuts
from programme_basins import UNIT, hole_fields, hole_in, spec_of

BASINS = int(os.environ.get("BASINBOOK_BASINS", "70"))
_GROUPS = 7


class Basin(NamedTuple):
    spec: BasinSpec
    blocks: Blocks
    length: int
    width: int
    courses: int
    holes: dict[str, tuple[Hole, ...]]


def _basin(source: random.Random) -> Basin:
    """A basin of flat courses with two to four openings at places given."""
    length = source.randint(6, 9)
    offset = source.randint(1, length // 4)
    blocks = Blocks(
        length,
        source.choice([0, 0, 1]),
        source.randint(1, length // 4),
        offset,
        source.randint(2, length - offset),
    )
    inside = source.randint(2 * length, 5 * length), source.randint(length, 3 * length)
    courses = source.randint(2, 4)
    holes: dict[str, tuple[Hole, ...]] = {}
    fields: dict[str, Any] = {}
    for number in range(1, source.randint(2, 4) + 1):
        # Often two in one wall, where they meet.
        wall = "back" if number == 1 or source.random() < 0.5 else source.choice(WALLS)
        before = holes.get(wall, ())
        hole = hole_in(source, blocks, inside[wall in ("left", "right")], courses)
        if hole and any(h.low < hole.high and hole.low < h.high for h in before):
            # One over another seldom has a bond: another place is drawn once.
            hole = hole_in(source, blocks, inside[wall in ("left", "right")], courses)
        if hole is None:
            continue
        holes[wall] = (*before, hole)
        fields |= hole_fields(number, wall, hole, hole.first + 1, UNIT)
    spec = spec_of(blocks, inside, courses, kerf=0.1 * UNIT, **fields)
    return Basin(spec, blocks, *inside, courses, holes)


def _not_proved(layout: Layout) -> bool:
    return any(note.startswith("Not proved to have the least") for note in layout.advice)


@pytest.mark.parametrize("group", range(_GROUPS))
def test_basins_with_several_openings_have_the_least_cuts(group: int) -> None:
    """Same least number of cuts, or said to be not proved, and the same basins refused."""
    source = random.Random(7_000 + group)
    built = refused = several = open_proof = 0
    for _ in range(BASINS // _GROUPS):
        basin = _basin(source)
        least = least_basin_cuts(
            basin.blocks,
            basin.length,
            basin.width,
            [basin.blocks.depth] * basin.courses,
            [1] * basin.courses,
            holes=basin.holes,
        )
        if least is None:
            refused += 1
            with pytest.raises(InputError):
                solve(basin.spec)
            continue
        built += 1
        several += max(map(len, basin.holes.values()), default=0) > 1
        layout = solve(basin.spec)
        if _not_proved(layout):
            open_proof += 1
            assert layout.blocks.cut_pieces >= least, basin
        else:
            assert layout.blocks.cut_pieces == least, basin
        assert count_cuts(basin.spec).cuts == layout.blocks.cut_pieces
        _check_places(layout)
    assert built
    print(f"built {built}, refused {refused}, two in a wall {several}, not proved {open_proof}")


@pytest.mark.parametrize("seed", range(3))
def test_openings_in_the_second_wall_beside_the_access_gap(seed: int) -> None:
    source = random.Random(seed)
    found = 0
    while found < 4:
        spec = replace(
            _basin(source).spec,
            second_wall="yes",
            pipe_space=4 * UNIT,
            second_wall_courses=source.randint(3, 5),
            access_width=2 * UNIT,
            access_courses=source.randint(0, 2),
            opening_2_wall="second wall",
            opening_2_offset=None,
            opening_3_wall="second wall",
            opening_3_offset=None,
        )
        try:
            layout = solve(spec)
        except InputError:
            continue
        behind = [o for o in layout.openings if o.part == "second wall"]
        if len(behind) < 2:
            continue
        found += 1
        _check_places(layout, (*WALLS, "second wall"))


def _along(piece: Piece | Opening) -> tuple[float, float]:
    start, size = (
        (piece.box.y, piece.box.dy)
        if piece.part in ("left", "right")
        else (piece.box.x, piece.box.dx)
    )
    return start, start + size


def _check_places(layout: Layout, walls: tuple[str, ...] = WALLS) -> None:
    """The face of each wall: pieces and openings don't overlap, and fill it but for joints."""
    spec = layout.spec
    half = spec.joint / 2
    for wall in walls:
        pieces = [p for p in layout.pieces if p.part == wall]
        faces = [
            box(low - half, p.box.z - half, high + half, p.box.z + p.box.dz + half)
            for p in pieces
            for low, high in [_along(p)]
        ]
        gaps = [
            box(low + half, o.box.z - half, high - half, o.box.z + o.box.dz + half)
            for o in layout.openings
            if o.part == wall
            for low, high in [_along(o)]
        ]
        together = unary_union([*faces, *gaps])
        assert together.area == pytest.approx(sum(face.area for face in [*faces, *gaps]))
        inside = spec.inside_width if wall in ("left", "right") else spec.inside_length
        clear = box(
            spec.block_depth + half,
            -half,
            spec.block_depth + inside - half,
            max(p.box.z + p.box.dz for p in pieces) + half,
        )
        assert clear.difference(together.buffer(1e-9)).area == pytest.approx(0.0, abs=1e-9)
        for opening in layout.openings:
            if opening.part == wall:
                _check_over(layout, pieces, opening)


def _check_over(layout: Layout, pieces: list[Piece], opening: Opening) -> None:
    """A whole block or the lintel lies over an opening, and bears on pieces at both sides."""
    low, high = _along(opening)
    top = opening.box.z + opening.box.dz
    over = [p for p in pieces if abs(p.box.z - top - layout.spec.joint) < 1e-6]
    if not over:
        assert opening.over == ""
        return
    bearing = layout.spec.joint_offset - 1e-6
    (across,) = [
        p for p in over if _along(p)[0] <= low - bearing and _along(p)[1] >= high + bearing
    ]
    assert across.whole
    assert across.loose == (opening.part in WALLS)
    assert across.stock == opening.over
    if across.stock == LINTEL:
        assert across.length == pytest.approx(opening.lintel_length)
    for start, end in ((low - bearing, low), (high, high + bearing)):
        beside = [p for p in pieces if abs(p.box.z + p.box.dz - top) < 1e-6]
        covered = sum(max(0.0, min(end, b) - max(start, a)) for a, b in map(_along, beside))
        assert covered >= end - start - layout.spec.joint - 1e-6
