"""Mixed courses and leaves of their own, as placed, checked with shapely.

Shapely (GEOS) computes areas and unions; what a course must cover is drawn up from the inputs.
``BASINBOOK_LOOKS=300`` looks at so many basins in place of 12.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Any

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec

TINY = 1e-6
GRAIN = 1e-3 / 320
"""Inputs are rounded to this [m]."""
_IN_A_TEST = 6
_TESTS = -(-int(os.environ.get("BASINBOOK_LOOKS", "12")) // _IN_A_TEST)
_WALLS = ("front", "right", "back", "left")


def _spec(source: random.Random, mixed: bool) -> BasinSpec:
    """A block on edge is as high as two flat courses, and two are as thick as the wall."""
    long, high, deep, joint = source.choice(
        [(12.0, 4.0, 8.0, 0.0), (16.0, 4.0, 8.0, 0.0), (15.625, 3.5, 7.5, 0.5)]
    )
    length, width = source.randint(80, 130) / 2, source.randint(60, 90) / 2
    given: dict[str, Any] = {
        "course_pattern": source.choice(["flat, on edge, flat", "on edge, flat"])
    }
    if mixed:
        given["course_pattern"] = source.choice(["flat, mixed, flat", "mixed, flat"])
        wall = source.choice(_WALLS)
        far = length if wall in ("front", "back") else width
        given |= {
            "place_1_wall": wall,
            "place_1_middle": source.randint(20, max(20, round(2 * far) - 20)) / 2 * INCH,
            "place_2_wall": source.choice(_WALLS),
            "place_2_middle": source.choice([None, width / 2 * INCH]),
            "mixed_mirrored": source.choice(["no", "yes"]),
            # Behind single blocks there is a recess, which is reckoned without joints.
            "edge_doubled": "yes" if joint else source.choice(["no", "yes"]),
        }
    else:
        given |= {
            "edge_doubled": "yes",
            "edge_leaves": source.choice(["together", "leaf by leaf", "leaf by leaf"]),
            "liner_gap": source.choice([0.0, 0.75, 1.0]) * INCH,
        }
    return BasinSpec(
        inside_length=length * INCH,
        inside_width=width * INCH,
        block_length=long * INCH,
        block_height=high * INCH,
        block_depth=deep * INCH,
        courses=source.randint(2, 4),
        water_depth=0.05,
        freeboard=0.0,
        joint=joint * INCH,
        opening_width=source.choice([0.0, 0.0, 2 * INCH]),
        opening_course=1,
        **given,
    )


def _layouts(seed: int, count: int) -> Iterator[Layout]:
    source, found = random.Random(seed), 0
    while found < count:
        try:
            yield solve(_spec(source, found % 2 == 0))
        except InputError:
            # What can't be built (places are drawn blindly) is for other tests.
            continue
        found += 1


def _plan(piece: Piece, grown: float = 0.0) -> Polygon:
    b = piece.box
    return box(b.x - grown, b.y - grown, b.x + b.dx + grown, b.y + b.dy + grown)


def _slices(layout: Layout) -> Iterable[tuple[float, list[Piece]]]:
    pieces = [piece for piece in layout.pieces if piece.part in _WALLS]
    heights = sorted({round(z, 9) for p in pieces for z in (p.box.z, p.box.z + p.box.dz)})
    for low, high in pairwise(heights):
        cut = [p for p in pieces if p.box.z < (low + high) / 2 < p.box.z + p.box.dz]
        # Through a bed joint only blocks on edge are cut.
        if high - low > layout.spec.joint + TINY and cut:
            yield (low + high) / 2, cut


def _inner(spec: BasinSpec) -> Polygon:
    t = spec.block_depth
    return box(t, t, t + spec.inside_length, t + spec.inside_width)


def _wide_joints(pieces: list[Piece], spec: BasinSpec) -> list[tuple[float, Polygon]]:
    """Joints between blocks on edge of a row that are wider than the joint, and what they cover."""
    found = []
    for part in _WALLS:
        axis = 0 if part in ("front", "back") else 1
        rows: dict[float, list[Piece]] = {}
        for piece in pieces:
            if piece.part == part and piece.orientation == "on edge":
                rows.setdefault(round(piece.box[1 - axis], 6), []).append(piece)
        for row in rows.values():
            for one, two in pairwise(sorted(row, key=lambda piece: piece.box[axis])):
                end, begin = one.box[axis] + one.box[axis + 3], two.box[axis]
                across = one.box[1 - axis], one.box[1 - axis] + one.box[4 - axis]
                if spec.joint + TINY < begin - end < 0.0305:
                    ends, sides = (end, begin), across
                    xs, ys = (ends, sides) if axis == 0 else (sides, ends)
                    found.append((begin - end, box(xs[0], ys[0], xs[1], ys[1])))
    return found


@pytest.mark.parametrize("seed", range(_TESTS))
def test_pieces_cover_the_walls_and_no_two_overlap(seed: int) -> None:
    """But for openings, for what blocks on edge are thinner than the wall, and wide joints."""
    between_flat = 0
    for layout in _layouts(seed, _IN_A_TEST):
        spec, half = layout.spec, layout.spec.joint / 2
        leaves = 2 if spec.edge_doubled == "yes" else 1
        thick = leaves * spec.block_height + (leaves - 1) * spec.joint
        inner = _inner(spec)
        ring = inner.buffer(spec.block_depth, join_style="mitre").difference(inner)
        for z, pieces in _slices(layout):
            union = unary_union([_plan(p) for p in pieces])
            assert union.area == pytest.approx(sum(_plan(p).area for p in pieces), rel=1e-9)
            assert union.difference(ring).area < 1e-9
            wide = _wide_joints(pieces, spec)
            assert all(width <= spec.liner_gap + GRAIN for width, _ in wide)
            grown = unary_union(
                [_plan(p, half) for p in pieces] + [shape.buffer(half) for _, shape in wide]
            )
            missing = ring.difference(grown)
            edge = [p for p in pieces if p.orientation == "on edge"]
            flat = [p for p in pieces if p.orientation == "flat"]
            between = [p for p in edge if flat]
            behind = sum(p.length for p in between) / leaves * (spec.block_depth - thick)
            open_ = sum(
                o.box.dx * o.box.dy - spec.joint * o.box.dy
                for o in layout.openings
                if o.box.z < z < o.box.z + o.box.dz
            )
            assert missing.area == pytest.approx(behind + open_, abs=1e-7), (spec, z)
            between_flat += len(between)
    assert between_flat


def _joints(
    pieces: list[Piece], part: str, spec: BasinSpec, out: float
) -> list[tuple[float, bool]]:
    """Middles of the joints of a wall at a distance from its inner face, and whether beside a
    block on edge among flat ones."""
    axis = 0 if part in ("front", "back") else 1
    face = {
        "front": spec.block_depth - out,
        "left": spec.block_depth - out,
        "back": spec.block_depth + spec.inside_width + out,
        "right": spec.block_depth + spec.inside_length + out,
    }[part]
    mine = [p for p in pieces if p.box[1 - axis] < face < p.box[1 - axis] + p.box[4 - axis]]
    mine.sort(key=lambda piece: piece.box[axis])
    found = []
    for one, two in pairwise(mine):
        end, begin = one.box[axis] + one.box[axis + 3], two.box[axis]
        if begin - end < 0.0305:
            found.append(((end + begin) / 2, one.orientation != two.orientation))
    return found


@pytest.mark.parametrize("seed", range(_TESTS))
def test_joints_keep_their_offset_at_both_faces(seed: int) -> None:
    """Beside a block on edge the joint runs on through the flat courses that it is as high as."""
    for layout in _layouts(100 + seed, _IN_A_TEST):
        spec = layout.spec
        offset = spec.block_length / 4
        for part in _WALLS:
            size = spec.inside_length if part in ("front", "back") else spec.inside_width
            low, high = spec.block_depth, spec.block_depth + size
            for out in (TINY, spec.block_depth - TINY):
                rows = [
                    [(at, beside) for at, beside in _joints(pieces, part, spec, out)
                     if low - TINY < at < high + TINY]
                    for _, pieces in _slices(layout)
                ]  # fmt: skip
                for below, above in pairwise(rows):
                    for at, beside in below:
                        for other, also in above:
                            if beside and also and abs(at - other) < TINY:
                                continue
                            # Of a wide joint the edges keep the offset, so its middle does.
                            assert abs(at - other) >= offset - GRAIN, (spec, part, at, other)
