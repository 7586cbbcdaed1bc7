"""Columns that are part of a wall, and caps that end at them, checked with shapely (GEOS).

What is to be covered and kept apart is drawn up from the inputs. That a column in a wall has one
block across it in each course, by turns at the left and the right: common practice, no source.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from shapely import box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import WALLS, Layout
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import COST, CUTS
from column_jobs import GRAIN, TINY, along, at_heights, engaged, plan, strip, with_column

BASINS = 60


@cache
def layouts() -> tuple[Layout, ...]:
    source, found = random.Random(11), list[Layout]()
    tried = 0
    while len(found) < BASINS:
        tried += 1
        assert tried < 12 * BASINS, "hardly any job can be built"
        spec = with_column(source)
        if spec.aim == COST:  # Of which the prices are not given.
            continue
        try:
            # Most can't be built, whatever the aim is: told sooner without looking for what would
            # work.
            count_cuts(replace(spec, aim=CUTS), hints=False)
        except InputError:
            continue
        found.append(solve(spec))
    return tuple(found)


def test_no_two_pieces_overlap() -> None:
    """At every height the union of all pieces is as large as their sum."""
    for layout in layouts():
        for z, pieces in at_heights([*layout.pieces, *layout.caps, *layout.column_caps]):
            total = sum(plan(p).area for p in pieces)
            area = unary_union([plan(p) for p in pieces]).area
            assert area == pytest.approx(total, rel=1e-9), (layout.spec, z)


def test_wall_and_column_cover_the_wall_together() -> None:
    """No gap over a joint in the wall's strip, but for openings."""
    for layout in layouts():
        half = layout.spec.joint / 2 + GRAIN
        for _, wall, _ in engaged(layout):
            want = strip(layout, wall)
            mine = [p for p in layout.pieces if p.part == wall]
            top = max(p.box.z + p.box.dz for p in mine)
            for z, pieces in at_heights(list(layout.pieces), layout.spec.joint + TINY):
                if z > top:
                    continue
                holes = [
                    box(b.x - 1, b.y, b.x + b.dx + 1, b.y + b.dy)
                    if opening.part in ("left", "right")
                    else box(b.x, b.y - 1, b.x + b.dx, b.y + b.dy + 1)
                    for opening in layout.openings
                    if opening.part == wall and (b := opening.box).z < z < b.z + b.dz
                ]
                left = want.difference(unary_union([*(plan(p, half) for p in pieces), *holes]))
                assert left.area < 1e-8, (layout.spec, wall, z, left.wkt)


def test_every_course_reaches_into_the_wall_by_turns_left_and_right() -> None:
    """Whole blocks only; one a course lies across the wall, and the next course has it opposite."""
    seen = 0
    for layout in layouts():
        for part, wall, blocks in engaged(layout):
            assert all(p.whole for p in blocks), layout.spec
            want, sides = strip(layout, wall), []
            top = max(p.box.z + p.box.dz for p in layout.pieces if p.part == wall)
            square = unary_union([plan(p) for p in blocks]).envelope
            side = layout.spec.block_length + layout.spec.block_depth + layout.spec.joint
            assert square.area == pytest.approx(side**2)
            for z, course in at_heights(blocks, layout.spec.joint + TINY):
                if z > top:
                    assert len(course) == 4, layout.spec
                    continue
                assert len(course) == 3, (layout.spec, part)
                (through,) = [p for p in course if plan(p).intersection(want).area > 1e-6]
                met = plan(through).intersection(want)
                # Over the wall's whole thickness, and out of it.
                assert met.area == pytest.approx(layout.spec.block_depth**2), layout.spec
                middle = sum(along(wall, through)) / 2
                whole = square.centroid.y if wall in ("left", "right") else square.centroid.x
                sides.append(middle < whole)
            assert all(one != other for one, other in pairwise(sides)), layout.spec
            seen += len(sides) > 1
    assert seen > BASINS / 2


def test_joints_of_wall_and_column_keep_the_least_offset() -> None:
    """First rule of bond, through the column too, up to its first course over the wall."""
    checked = 0
    for layout in layouts():
        spec = layout.spec
        for part, wall, blocks in engaged(layout):
            want = strip(layout, wall)
            mine = [p for p in layout.pieces if p.part == wall]
            top = max(p.box.z + p.box.dz for p in mine)
            rows: list[list[float]] = []
            others = [p for _, at, found in engaged(layout) if at == wall for p in found]
            for z, pieces in at_heights([*mine, *others], spec.joint + TINY):
                row = [p for p in pieces if plan(p).intersection(want).area > 1e-6]
                if z > top:
                    if not any(p in blocks for p in row):
                        continue
                    row = [p for p in row if p.part == part]
                ends = sorted(along(wall, p) for p in row)
                rows.append(
                    [
                        (a[1] + b[0]) / 2
                        for a, b in pairwise(ends)
                        if b[0] - a[1] < spec.joint + TINY
                    ]
                )
                if z > top:
                    break
            for below, above in pairwise(rows):
                for joint in above:
                    checked += 1
                    assert all(
                        abs(joint - one) >= spec.joint_offset - 2 * GRAIN for one in below
                    ), (spec, wall, joint)  # fmt: skip
    assert checked > 5 * BASINS


def test_caps_end_at_the_column_and_cover_the_wall_beside_it() -> None:
    ended = 0
    for layout in layouts():
        half = layout.spec.joint / 2 + GRAIN
        joint = layout.spec.joint + TINY
        for _, wall, blocks in engaged(layout):
            caps = [p for p in layout.caps if p.part == wall]
            if not caps:
                continue
            ended += 1
            shaft = unary_union([plan(p) for p in blocks]).envelope
            want = strip(layout, wall).difference(shaft.buffer(joint, join_style="mitre"))
            have = unary_union(
                [plan(p, half) for p in layout.caps]
                + [plan(p, joint) for _, _, more in engaged(layout) for p in more]
            )
            assert want.difference(have).area < 1e-8, layout.spec
            assert not any(plan(p).intersection(shaft).area > 1e-9 for p in layout.caps)
            top = max(p.box.z + p.box.dz for p in blocks)
            assert top > max(p.box.z + p.box.dz for p in caps), layout.spec
            least = layout.spec.cap_length / 4 - GRAIN
            assert min(p.length for p in caps) >= min(least, layout.spec.cap_length), layout.spec
    assert ended > BASINS / 3


def test_counts_agree_with_what_is_laid() -> None:
    """Counting alone gives the same as the laid pieces; caps add up to their plan."""
    for layout in layouts():
        counted = count_cuts(layout.spec)
        assert (counted.cuts, counted.blocks) == (layout.blocks.cut_pieces, layout.blocks.needed)
        blocks = [p for p in (*layout.pieces, *layout.column_caps) if p.stock == "block"]
        assert layout.blocks.cut_pieces == sum(not p.whole for p in blocks)
        assert layout.cap_cuts.cut_pieces == sum(
            not p.whole for p in (*layout.caps, *layout.column_caps) if p.stock == "cap"
        )
        ends = {p.part for p in layout.caps}
        assert ends <= {*WALLS, "second wall"}
