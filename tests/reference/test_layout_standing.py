"""Courses set out on what stands against an integer programme solved by HiGHS, and with shapely.

``layout_programme`` takes the joints of the last laid course as given, and each wall's corners as
they go on changing. ``BASINBOOK_STANDING=40`` compares so many basins. Overlap, gaps and
joints of what is placed are checked with shapely (GEOS) on ten times as many.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from layout_programme import Blocks, Course, Programme, Wall, add_wall

UNIT = 0.02
"""One unit of the programme [m]."""

_COUNT = int(os.environ.get("BASINBOOK_STANDING", "0")) or 6


def _basin(source: random.Random) -> tuple[BasinSpec, Blocks]:
    long = source.randint(6, 10)
    blocks = Blocks(
        length=long,
        joint=source.choice([0, 1]),
        shortest=source.randint(1, long // 2),
        offset=source.randint(2, long // 3),
        depth=source.randint(2, long - long // 3),
    )
    spec = BasinSpec(
        inside_length=source.randint(long // 2, 3 * long) * UNIT,
        inside_width=source.randint(long // 2, 2 * long) * UNIT,
        block_length=long * UNIT,
        block_height=UNIT,
        block_depth=blocks.depth * UNIT,
        courses=source.randint(2, 4),
        water_depth=UNIT,
        freeboard=0.0,
        joint=blocks.joint * UNIT,
        joint_offset=blocks.offset * UNIT,
        shortest_piece=blocks.shortest * UNIT,
        kerf=0.0,
    )
    return spec, blocks


def _least(layout: Layout, blocks: Blocks) -> int | None:
    """The fewest cuts of the courses above those laid, wall by wall; None where there is none."""
    laid, total = layout.spec.laid_courses, 0
    for wall in ("front", "right", "back", "left"):
        along = 0 if wall in ("front", "back") else 1
        size = layout.spec.inside_length if along == 0 else layout.spec.inside_width
        far = round(size / UNIT)
        ends = sorted(
            (
                round(piece.box[along] / UNIT) - blocks.depth,
                round((piece.box[along] + piece.box[along + 3]) / UNIT) - blocks.depth,
            )
            for piece in layout.courses[laid - 1].pieces
            if piece.part == wall
        )
        joints = {at for one, two in pairwise(ends) for at in (one[1], two[0] - blocks.joint)}
        start, end = ends[0][0] < 0, ends[-1][1] > far
        joints |= ({0} if not start else set()) | ({far - blocks.joint} if not end else set())
        courses = [
            Course((None, start == (n % 2 == 1)), (None, end == (n % 2 == 1)), blocks.depth)
            for n in range(len(layout.courses) - laid)
        ]
        programme = Programme()
        add_wall(programme, blocks, Wall(far), courses, joints)
        least = programme.least()
        if least is None:
            return None
        total += least
    return total


def test_courses_on_what_stands_have_the_fewest_cuts_or_say_that_it_is_open() -> None:
    source = random.Random(5)
    compared = still_open = 0
    while compared < _COUNT:
        spec, blocks = _basin(source)
        off = [source.choice([-1, 0, 1]) * UNIT for _ in range(2)]
        try:
            solve(spec)
        except InputError:
            continue
        changed = replace(
            spec,
            laid_courses=source.randint(1, spec.courses - 1),
            laid_length=max(0.2, spec.inside_length + off[0]),
            laid_width=max(0.2, spec.inside_width + off[1]),
        )
        try:
            layout = solve(changed)
        except InputError:
            continue
        least = _least(layout, blocks)
        assert least is not None, changed
        assert layout.blocks.cut_pieces >= least, changed
        measured = [layout.spec.inside_length, layout.spec.inside_width]
        as_planned = [spec.inside_length, spec.inside_width]
        if layout.least and all(a != b for a, b in zip(measured, as_planned, strict=True)):
            assert layout.blocks.cut_pieces == least, changed
        compared += 1
        still_open += not layout.least
    assert still_open <= _COUNT / 10


def _plan(piece: Piece, grown: float = 0.0) -> Polygon:
    b = piece.box
    return box(b.x - grown, b.y - grown, b.x + b.dx + grown, b.y + b.dy + grown)


def _standing(source: random.Random) -> tuple[Layout, Layout] | None:
    """A basin as planned and as built, with other inside sizes or with blocks on edge between."""
    spec, _ = _basin(source)
    changed: dict[str, Any] = {}
    if source.random() < 0.4:
        # Blocks on edge are two courses high.
        height = spec.block_depth / 2 - spec.joint / 2
        if height <= 0:
            return None
        course = source.randint(1, spec.courses)
        spec = replace(
            spec,
            block_height=height,
            mixed_courses=str(course),
            mixed_number=source.randint(1, 2),
            mixed_walls=source.choice(["front", "all", "sides"]),
        )
    if not spec.mixed_courses or source.random() < 0.7:
        off = [source.choice([-1, -0.5, 0, 0.5, 1]) * UNIT for _ in range(2)]
        changed = {
            "laid_length": max(0.2, spec.inside_length + off[0]),
            "laid_width": max(0.2, spec.inside_width + off[1]),
        }
    laid = source.randint(1, spec.courses - 1)
    try:
        return solve(spec), solve(replace(spec, laid_courses=laid, **changed))
    except InputError:
        return None


@cache
def _pairs() -> tuple[tuple[Layout, Layout], ...]:
    source, found = random.Random(21), list[tuple[Layout, Layout]]()
    while len(found) < 10 * _COUNT:
        pair = _standing(source)
        if pair is not None:
            found.append(pair)
    assert any(built.spec.mixed_courses for _, built in found)
    assert any(plan.spec.inside_length != built.spec.inside_length for plan, built in found)
    return tuple(found)


def _slices(layout: Layout) -> Iterator[tuple[float, list[Piece]]]:
    heights = sorted({round(v, 9) for p in layout.pieces for v in (p.box.z, p.box.z + p.box.dz)})
    for low, high in pairwise(heights):
        cut = [p for p in layout.pieces if p.box.z < (low + high) / 2 < p.box.z + p.box.dz]
        if high - low > layout.spec.joint + 1e-6 and cut:
            yield (low + high) / 2, cut


def test_what_continues_from_what_stands_has_no_overlap_and_no_gap_over_the_limit() -> None:
    """Widest joint: that of the job, in laid courses with what the wall is longer or shorter."""
    for planned, built in _pairs():
        spec, t = built.spec, built.spec.block_depth
        inner = box(t, t, t + spec.inside_length, t + spec.inside_width)
        off = max(
            abs(spec.inside_length - planned.spec.inside_length),
            abs(spec.inside_width - planned.spec.inside_width),
        )
        for z, pieces in _slices(built):
            total = sum(_plan(p).area for p in pieces)
            laid = min(p.course for p in pieces) <= spec.laid_courses
            over = total - unary_union([_plan(p) for p in pieces]).area
            assert over <= 1e-9, (spec, z)
            # Blocks on edge are as thick as a block is high, flush inside.
            thick = spec.block_height if any(p.orientation == "on edge" for p in pieces) else t
            ring = inner.buffer(thick, join_style="mitre").difference(inner)
            half = (spec.joint + off * laid) / 2 + 1e-5
            left = ring.difference(unary_union([_plan(p, half) for p in pieces]))
            assert left.area < 1e-8, (spec, z, left.wkt)


def test_laid_pieces_stay_and_the_joints_over_them_keep_apart() -> None:
    """Lengths as laid; no joint over what stands within the least offset of one below it."""
    checked = 0
    for planned, built in _pairs():
        spec, laid = built.spec, built.spec.laid_courses
        for before, after in zip(planned.courses[:laid], built.courses[:laid], strict=True):
            assert sorted(p.length for p in before.pieces) == pytest.approx(
                sorted(p.length for p in after.pieces)
            )
        for wall in ("front", "right", "back", "left"):
            axis = 0 if wall in ("front", "back") else 1
            rows = []
            for _, pieces in _slices(built):
                mine = sorted((p for p in pieces if p.part == wall), key=lambda p: p.box[axis])
                rows.append(
                    [
                        (one.box[axis] + one.box[axis + 3], two.box[axis], one, two)
                        for one, two in pairwise(mine)
                    ]
                )
            for below, above in pairwise(rows):
                for end, start, *ones in below:
                    for over, to, *twos in above:
                        if {*map(id, ones)} & {*map(id, twos)} or twos[0].course <= laid:
                            continue
                        # Of a widened joint both edges count.
                        apart = min(abs(over - end), abs(to - start))
                        assert apart >= spec.joint_offset - 1e-5, (spec, wall, over)
                        checked += 1
    assert checked > 20 * _COUNT
