"""Turned blocks: whole blocks laid across back wall and second wall, into the pipe space.

Cuts against the integer programme of ``second_wall_programme``, which has basin, second wall and
returns in one and is solved by HiGHS; places with shapely (GEOS). BASINBOOK_JOBS=200 compares so
many basins.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.results.advice import NOT_PROVED
from basinbook.engine.layout.results.ties import ties, turned_blocks
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import BY_RULE, INCH, NO_TURNED, SAVING, BasinSpec
from layout_jobs import PLAIN_BASIN
from layout_programme import Blocks
from programme_basins import spec_of
from second_wall_programme import Second, least_cuts_with_second_wall

UNIT = 0.0254
"""One unit of the programme [m]."""

TINY = 1e-6
GRAIN = 1e-3 / 100
"""Inputs are rounded to less than this [m]."""
JOBS = int(os.environ.get("BASINBOOK_JOBS", "8"))


class Basin(NamedTuple):
    spec: BasinSpec
    blocks: Blocks
    length: int
    width: int
    courses: int
    second: Second


def _basin(source: random.Random) -> Basin:
    length = source.randint(6, 10)
    offset = source.randint(1, length // 3)
    blocks = Blocks(
        length=length,
        joint=source.choice([0, 0, 1]),
        shortest=source.randint(1, length // 2),
        offset=offset,
        depth=source.randint(3, length - offset),
    )
    long, wide = source.randint(length // 2, 3 * length), source.randint(length // 2, 2 * length)
    courses = source.randint(1, 3)
    past = blocks.length - blocks.depth + blocks.joint
    space = past + source.choice([0, 0, 0, 1, past])
    returns = source.choice(["both", "both", "left", "right", "none"])
    here = returns in ("both", "left"), returns in ("both", "right")
    choices = source.choice([(SAVING, SAVING), (SAVING, NO_TURNED), (NO_TURNED, SAVING)])
    # Clear of the returns, or up to the ends where there are none; in the back wall's places.
    low = blocks.joint if here[0] else -blocks.depth
    high = long - blocks.joint if here[1] else long + blocks.depth
    turned = tuple(((low, high),) if choice == SAVING else () for choice in choices)
    second = Second(
        space,
        here,
        turned,
        choices[1] == SAVING and space == past,  # type: ignore[arg-type]
    )
    spec = spec_of(
        blocks, (long, wide), courses, unit=UNIT, height=2, second_wall="yes",
        pipe_space=space * UNIT, second_wall_returns=returns, turned_walls=choices[0],
        turned_second=choices[1],
    )  # fmt: skip
    return Basin(spec, blocks, long, wide, courses, second)


def _proved(layout: Layout) -> bool:
    return not any(line.startswith(NOT_PROVED) for line in layout.advice)


def test_basins_with_turned_blocks_have_the_least_cuts() -> None:
    """Basin, second wall and returns in one: as few cuts, or the layout says it isn't proved."""
    source, open_proof = random.Random(7), 0
    for _ in range(JOBS):
        basin = _basin(source)
        least = least_cuts_with_second_wall(*basin[1:])
        if least is None:
            with pytest.raises(InputError):
                solve(basin.spec)
            continue
        layout = solve(basin.spec)
        cuts = layout.blocks.cut_pieces
        assert cuts == least or (cuts > least and not _proved(layout)), basin
        open_proof += not _proved(layout)
        assert count_cuts(basin.spec)[:2] == (cuts, layout.blocks.needed)
    assert open_proof <= JOBS // 10


REFERENCE = replace(PLAIN_BASIN, second_wall="yes", pipe_space=4 * INCH)
_BEHIND = ("second wall", "left return", "right return")


def test_second_wall_without_a_cut() -> None:
    """Where the block is as long as pipe space and depth together: proved, and 14 cuts become 6."""
    assert solve(REFERENCE).blocks.cut_pieces == 14
    one = solve(replace(REFERENCE, turned_second=SAVING))
    both = solve(replace(REFERENCE, turned_second=SAVING, turned_walls=SAVING))
    for layout in (one, both):
        assert _proved(layout)
        assert all(piece.whole for piece in layout.pieces if piece.part in _BEHIND)
        assert len(ties(layout)) == len(turned_blocks(layout)) > 0
    assert (one.blocks.cut_pieces, both.blocks.cut_pieces) == (8, 6)


def _spec(source: random.Random) -> BasinSpec:
    metric = source.random() < 0.5
    unit = 0.005 if metric else INCH / 2
    long, high, deep = source.choice(
        [(0.4, 0.1, 0.2), (0.3, 0.15, 0.2), (0.44, 0.215, 0.215)]
        if metric
        else [(16 * INCH, 4 * INCH, 8 * INCH), (12 * INCH, 4 * INCH, 8 * INCH)]
    )
    joint = source.choice([0.0, 0.0, 0.01 if metric else 3 / 8 * INCH])
    return BasinSpec(
        inside_length=source.randint(60, 240) * unit,
        inside_width=source.randint(50, 120) * unit,
        block_length=long,
        block_height=high,
        block_depth=deep,
        courses=source.randint(2, 5),
        water_depth=0.1,
        joint=joint,
        joint_offset=long / 6,
        cap_length=source.choice([0.0, long]),
        cap_depth=deep + 2 * unit,
        cap_height=0.05,
        columns=source.choice([0, 1]),
        column_courses=6,
        second_wall="yes",
        pipe_space=long - deep + joint + source.choice([0.0, 0.0, 0.1]),
        second_wall_courses=source.choice([0, 0, 3, 7]),
        second_wall_returns=source.choice(["both", "left", "none"]),
        access_width=source.choice([0.0, 0.25]),
        opening_width=source.choice([0.0, 0.05]),
        opening_course=source.randint(1, 2),
        turned_walls=source.choice([SAVING, BY_RULE, NO_TURNED]),
        turned_second=source.choice([SAVING, BY_RULE]),
    )


def _layouts(seed: int, count: int) -> Iterator[Layout]:
    source = random.Random(seed)
    found = 0
    while found < count:
        try:
            layout = solve(_spec(source))
        except InputError:
            continue
        if turned_blocks(layout):
            yield layout
            found += 1


def _plan(piece: Piece) -> Polygon:
    b = piece.box
    return box(b.x, b.y, b.x + b.dx, b.y + b.dy)


@pytest.mark.parametrize("seed", range(2))
def test_turned_blocks_lie_where_they_may(seed: int) -> None:
    """No overlap with anything, whole, from face to pipe space only, clear of pipe and corners."""
    for layout in _layouts(seed, JOBS // 2):
        spec = layout.spec
        inner = spec.block_depth + spec.inside_width
        behind = inner + spec.block_depth + spec.pipe_space
        pipes = [gap.box for gap in layout.openings if gap.part == "back"]
        for piece in turned_blocks(layout):
            b = piece.box
            assert piece.whole
            assert piece.length == pytest.approx(spec.block_depth)
            assert (b.dx, b.dy) == pytest.approx((spec.block_depth, spec.block_length))
            near = inner if piece.part == "back" else inner + spec.block_depth
            far = behind if piece.part == "back" else behind + spec.block_depth
            assert b.y >= near - TINY, spec
            assert b.y + b.dy <= far + TINY, spec
            for gap in pipes:
                apart = max(gap.x - b.x - b.dx, b.x - gap.x - gap.dx)
                assert apart >= INCH - GRAIN, spec
            others = [*layout.pieces, *layout.caps, *layout.column_caps]
            beside = [
                _plan(p)
                for p in others
                if p is not piece and min(p.box.z + p.box.dz, b.z + b.dz) - max(p.box.z, b.z) > TINY
            ]
            assert unary_union(beside).intersection(_plan(piece)).area < 1e-9, spec


@pytest.mark.parametrize("seed", range(2))
def test_walls_with_turned_blocks_are_whole_and_in_bond(seed: int) -> None:
    """What lies in the second wall fills its length but for gaps; joints keep the offset."""
    for layout in _layouts(seed, JOBS // 2):
        spec = layout.spec
        offset = spec.joint_offset
        for part in ("back", "second wall"):
            rows: dict[float, list[tuple[float, float]]] = {}
            for piece in layout.pieces:
                if piece.part == part and piece.stock == "block":
                    b = piece.in_wall
                    assert b.dy == pytest.approx(spec.block_depth)
                    rows.setdefault(round(b.z, 6), []).append((b.x, b.x + b.dx))
            inner = {}
            gaps = [opening.box for opening in layout.openings if opening.part == part]
            for z, row in sorted(rows.items()):
                row.sort()
                apart = [(low, start - low) for (_, low), (start, _) in pairwise(row)]
                for at, wide in apart:
                    assert wide == pytest.approx(spec.joint, abs=TINY) or any(
                        (at, wide) == pytest.approx((gap.x, gap.dx), abs=GRAIN) for gap in gaps
                    ), spec
                inner[z] = [at for at, wide in apart if wide < spec.joint + TINY]
            for (_, below), (_, above) in pairwise(sorted(inner.items())):
                assert all(abs(a - b) >= offset - GRAIN for a in above for b in below), spec


def test_turned_blocks_by_rule() -> None:
    """Every n-th course holds them, each 24 in of it at least one; the others hold none."""
    spec = replace(
        REFERENCE, inside_length=80 * INCH, courses=6, turned_second=BY_RULE, turned_every=3
    )
    layout = solve(spec)
    places: dict[int, list[float]] = {}
    for piece in turned_blocks(layout):
        places.setdefault(piece.course, []).append(piece.box.x / INCH)
    assert sorted(places) == [3, 6]
    for row in places.values():
        row.sort()
        # From return to return, 8 in to 88 in, in four equal parts of 20 in.
        assert all(any(low <= x and x + 8 <= low + 20 for x in row) for low in (8, 28, 48, 68))


def test_turned_blocks_without_room_are_refused_with_what_works() -> None:
    near = replace(REFERENCE, pipe_space=3 * INCH, turned_second=SAVING)
    with pytest.raises(InputError, match="at least 4 in") as told:
        solve(near)
    assert told.value.argument == "Pipe space"
    solve(replace(near, pipe_space=4 * INCH))
    alone = replace(REFERENCE, second_wall="no", turned_walls=SAVING)
    with pytest.raises(InputError, match=r"4 in .*past its outer face, or into the water") as told:
        solve(alone)
    assert told.value.argument == "Turned blocks in basin walls"
    # A second wall that isn't there has none either.
    assert solve(replace(REFERENCE, second_wall="no", turned_second=SAVING)).blocks.cut_pieces == 8
