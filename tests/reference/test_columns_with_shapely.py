"""Columns on and at walls checked with shapely (GEOS): no overlap, bearing, overhang, joints.

What carries a block and how far a cap reaches are read off the placed boxes.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import MultiPoint, Polygon, box, unary_union
from shapely.geometry import Point

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.results.columns import column_pipe_of
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.spec_columns import COLUMN_CAPS, COLUMN_PIPES, IN_WALL, ON_WALL, WALL_COLUMNS

TINY = 1e-7
# Those that are part of a wall have a test of their own.
PLACES = [place for place in WALL_COLUMNS[2:] if place not in IN_WALL]


def _spec(source: random.Random) -> BasinSpec:
    """Return a job that mostly can be built: what is drawn blindly is refused too often."""
    long, high, deep = source.choice(
        [(16, 4, 8), (12, 4, 8), (18, 6, 12), (12, 3, 6), (15.625, 7.625, 7.625)]
    )
    joint = 0.375 if long == 15.625 else source.choice([0.0, 0.0, 0.375])
    core = long - deep + joint
    first = source.choice(["on both walls", "on both walls", "on both walls", *PLACES])
    if first == "by back wall":
        first = "by second wall"
    # No narrower than for a column over it, nor so wide that its blocks tip.
    space = min(core, deep + joint - long / 3)
    slim = first in ("on second wall", "on back wall")
    capped = source.random() < 0.6
    return BasinSpec(
        inside_length=source.randint(80, 200) / 2 * INCH,
        inside_width=source.randint(50, 100) / 2 * INCH,
        block_length=long * INCH,
        block_height=high * INCH,
        block_depth=deep * INCH,
        courses=source.randint(3, 4),
        water_depth=0.1,
        joint=joint * INCH,
        joint_offset=long / 6 * INCH,
        cap_length=source.choice([16, 18, 24]) * INCH if capped else 0.0,
        cap_depth=(deep + min(2, space / 2)) * INCH,
        cap_height=2 * INCH,
        columns=source.choice([0, 0, 2]),
        column_courses=source.randint(2, 8),
        column_cap_side=source.choice([0.0, (long + deep + 4) * INCH]),
        column_cap_height=2 * INCH,
        second_wall="yes",
        pipe_space=space * INCH,
        second_wall_returns=source.choice(["both", "none"]),
        opening_width=source.choice([0.0, 0.05]),
        wall_column_1=first,
        wall_column_1_courses=source.randint(1, 5),
        wall_column_2=source.choice(["none", "by front wall", "by left wall", "by right end"]),
        wall_column_2_courses=source.randint(1, 9),
        wall_column_laid="on end" if slim else "flat",
        wall_column_core="no" if slim else "yes",
        wall_column_reach=source.choice([None, 3 * INCH]),
        column_pipe=source.choice(COLUMN_PIPES) if first == "on both walls" else "none",
        column_pipe_course=source.choice([0, 0, 1]),
        column_cap_of=source.choice([*COLUMN_CAPS, "one piece"]),
    )


def _layouts(seed: int, count: int) -> Iterable[Layout]:
    source = random.Random(seed)
    while count:
        spec = _spec(source)
        try:
            layout = solve(spec)
        except InputError:
            continue
        count -= 1
        yield layout


def _plan(piece: Piece, grown: float = 0.0) -> Polygon:
    b = piece.box
    return box(b.x - grown, b.y - grown, b.x + b.dx + grown, b.y + b.dy + grown)


def _wall_columns(layout: Layout) -> dict[str, list[Piece]]:
    found: dict[str, list[Piece]] = {}
    for piece in (*layout.pieces, *layout.column_caps):
        if piece.part.startswith("column") and int(piece.part[7:]) > layout.spec.columns:
            found.setdefault(piece.part, []).append(piece)
    return found


@pytest.mark.parametrize("seed", range(4))
def test_no_two_pieces_overlap(seed: int) -> None:
    for layout in _layouts(seed, 10):
        every = [*layout.pieces, *layout.caps, *layout.column_caps]
        heights = sorted({round(z, 9) for p in every for z in (p.box.z, p.box.z + p.box.dz)})
        for low, high in pairwise(heights):
            middle = (low + high) / 2
            shapes = [_plan(p) for p in every if p.box.z < middle < p.box.z + p.box.dz]
            if high - low > TINY and shapes:
                total = sum(shape.area for shape in shapes)
                assert unary_union(shapes).area == pytest.approx(total, rel=1e-9), layout.spec


@pytest.mark.parametrize("seed", range(3))
def test_columns_bear_and_their_caps_reach_past_all_sides_alike(seed: int) -> None:
    seen = piped = 0
    for layout in _layouts(50 + seed, 14):
        spec = layout.spec
        walls = [p for p in layout.pieces if not p.part.startswith("column")]
        for part, pieces in _wall_columns(layout).items():
            beds = sorted({round(p.box.z, 9) for p in pieces})
            shaft = [p for p in pieces if p.box.z < beds[-1] - TINY]
            if beds[0] > TINY:
                seen += 1
                # What the walls carry: block, also where caps lie between.
                top = beds[0] - spec.joint - ((spec.cap_height + spec.joint) if layout.caps else 0)
                under = unary_union(
                    [
                        _plan(p, spec.joint / 2)
                        for p in walls
                        if abs(p.box.z + p.box.dz - top) < TINY
                    ]
                )
                share = 0.5 if spec.wall_column_reach is not None else 2 / 3
                for piece in (p for p in pieces if p.box.z < beds[0] + TINY):
                    met = _plan(piece).intersection(under)
                    assert met.area >= (share - 0.03) * _plan(piece).area, spec
                    corners = MultiPoint([c for g in _polygons(met) for c in g.exterior.coords])
                    assert corners.convex_hull.contains(_plan(piece).centroid), spec
            # Courses above: every block lies on the square below, and joints do not run on.
            if len(beds) > 1 and shaft and pieces[0].orientation:
                outline = unary_union([_plan(p, spec.joint) for p in shaft]).envelope
                last = unary_union([_plan(p) for p in pieces if p.box.z > beds[-1] - TINY])
                (x0, y0, x1, y1), (a0, b0, a1, b1) = outline.bounds, last.bounds
                grown = spec.joint
                over = (
                    x0 + grown - a0, y0 + grown - b0, a1 - x1 + grown, b1 - y1 + grown,
                )  # fmt: skip
                assert max(over) - min(over) < TINY, spec
            holes = [p for p in (*layout.caps, *pieces) if p.hole]
            if part == f"column {spec.columns + 1}" and holes:
                piped += 1
                x, y = unary_union([_plan(p) for p in shaft or pieces]).envelope.centroid.coords[0]
                pipe = Point(x, y).buffer(spec.column_pipe_size / 2 - 1e-5)
                for piece in (*layout.caps, *pieces):
                    wanted = _plan(piece).intersects(pipe) and (
                        piece.stock != "block" or piece.loose
                    )
                    if wanted and spec.column_pipe == "through the cap":
                        assert piece.hole > 0, spec
                assert not any(_plan(p).intersects(pipe) for p in (*walls, *shaft)), spec
    assert seen >= 3
    assert piped or seed


def test_a_pipe_in_a_column_stays_over_the_pipe_space_as_built() -> None:
    """Some courses laid, the walls longer or shorter than planned: its core over the pipe space,
    the pipe clear of all blocks but the loose one, caps in its way cut round it."""
    source, checked = random.Random(17), 0
    while checked < 12:
        spec = replace(_spec(source), wall_column_1="on both walls", wall_column_core="yes")
        spec = replace(spec, wall_column_laid="flat", column_pipe=source.choice(COLUMN_PIPES[1:]))
        off = [source.choice([-1, 1]) * source.randint(1, 16) * INCH / 16 for _ in range(2)]
        built = replace(
            spec,
            laid_courses=source.randint(1, spec.courses),
            laid_length=spec.inside_length + off[0],
            laid_width=spec.inside_width + off[1],
        )
        try:
            layout = solve(built)
        except InputError:
            continue
        pipe = column_pipe_of(layout)
        assert pipe is not None
        back = layout.spec.inside_width + 2 * spec.block_depth
        half = pipe.size / 2
        assert back - 1e-6 < pipe.y - half < pipe.y + half < back + spec.pipe_space + 1e-6, built
        round_it = Point(pipe.x, pipe.y).buffer(half - 1e-5)
        for piece in layout.pieces:
            loose = piece.loose and piece.part == pipe.part
            assert loose or not _plan(piece).intersects(round_it), (built, piece.name)
        for cap in layout.caps:
            through = spec.column_pipe == "through the cap"
            assert cap.hole or not through or not _plan(cap).intersects(round_it), built
        assert pipe.cut == (spec.column_pipe != "through the cap")
        checked += 1


def _polygons(shape: object) -> list[Polygon]:
    parts = getattr(shape, "geoms", [shape])
    return [part for part in parts if isinstance(part, Polygon)]


def test_counts_agree_and_columns_on_block_bond_with_it() -> None:
    checked = 0
    for layout in _layouts(99, 30):
        spec = layout.spec
        counted = count_cuts(spec)
        assert (counted.cuts, counted.blocks) == (layout.blocks.cut_pieces, layout.blocks.needed)
        first = _wall_columns(layout)[f"column {spec.columns + 1}"]
        bed = min(p.box.z for p in first)
        if layout.caps or bed < TINY or spec.wall_column_1 not in ON_WALL:
            continue
        top = bed - spec.joint
        for wall in ("back", "second wall"):
            below = [
                p.box for p in layout.pieces
                if p.part == wall and abs(p.box.z + p.box.dz - top) < TINY
            ]  # fmt: skip
            above = [p.box for p in first if p.box.z < bed + TINY]
            for b in above:
                on = [w for w in below if w.y < b.y + b.dy - TINY and b.y < w.y + w.dy - TINY]
                inner = (min(a.x for a in above) + TINY, max(a.x + a.dx for a in above) - TINY)
                for end in (b.x, b.x + b.dx):
                    if not inner[0] < end < inner[1] or b.dx < b.dy:
                        continue
                    checked += 1
                    ends = [v for w in on for v in (w.x, w.x + w.dx)]
                    assert all(
                        abs(end - v) >= spec.joint_offset - spec.joint - 1e-5 for v in ends
                    ), spec
    assert checked > 5
