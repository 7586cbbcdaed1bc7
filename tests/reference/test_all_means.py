"""Basins with all means of the layout together, as placed, checked with shapely (GEOS).

What has to be covered, bridged and kept apart is drawn up from the inputs, for 40 random basins, or
for as many as ``BASINBOOK_MEANS`` says: ``BASINBOOK_MEANS=300``.
"""

from __future__ import annotations

import os
from functools import cache
from itertools import pairwise
from random import Random

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.layout.model import WALLS, Layout, Opening, Piece
from basinbook.engine.layout.results.cap_joints import cap_joints
from basinbook.engine.spec_columns import IN_WALL
from column_jobs import at_heights, plan
from means_jobs import laid_with_means

BASINS = int(os.environ.get("BASINBOOK_MEANS", "40"))
TINY = 1e-7
GRAIN = 1e-3 / 320
"""Inputs are rounded to this [m]."""
SECOND = "second wall"
ENDS = ("left return", "right return")


@cache
def layouts() -> tuple[Layout, ...]:
    found: list[Layout] = []
    seed = 0
    while len(found) < BASINS:
        layout, _ = laid_with_means(Random(seed))
        seed += 1
        if layout is not None:
            found.append(layout)
    return tuple(found)


def mitred(piece: Piece, outer: Polygon) -> Polygon:
    """A mitred cap without its corners beyond the ring's diagonals."""
    b, (x0, y0, x1, y1) = piece.box, outer.bounds
    across = piece.part in ("front", "back")
    starts = abs(b.x - x0) < TINY if across else abs(b.y - y0) < TINY
    ends = abs(b.x + b.dx - x1) < TINY if across else abs(b.y + b.dy - y1) < TINY
    assert piece.mitres == starts + ends
    d = b.dy if across else b.dx
    if across:
        far, near = (b.y, b.y + d) if piece.part == "front" else (b.y + d, b.y)
        return Polygon(
            [(b.x, far), (b.x + b.dx, far), (b.x + b.dx - d * ends, near), (b.x + d * starts, near)]
        )
    far, near = (b.x, b.x + d) if piece.part == "left" else (b.x + d, b.x)
    return Polygon(
        [(far, b.y), (far, b.y + b.dy), (near, b.y + b.dy - d * ends), (near, b.y + d * starts)]
    )


def of(layout: Layout, *parts: str) -> list[Piece]:
    return [piece for piece in layout.pieces if piece.part in parts]


def holes(layout: Layout, z: float) -> list[Polygon]:
    """The openings at a height, as wide as they are, across whatever wall they are in."""
    deep = 2 * layout.spec.block_depth
    found = []
    for opening in layout.openings:
        b = opening.box
        if not b.z - TINY < z < b.z + b.dz + layout.spec.joint + TINY:
            continue
        if opening.part in ("left", "right"):
            found.append(box(b.x - deep, b.y, b.x + b.dx + deep, b.y + b.dy))
        else:
            found.append(box(b.x, b.y - deep, b.x + b.dx, b.y + b.dy + deep))
    return found


def columns(layout: Layout, z: float) -> list[Piece]:
    """The columns' blocks at a height: those that are part of a wall fill it there."""
    return [
        p for p in layout.pieces if p.part.startswith("column") and p.box.z < z < p.box.z + p.box.dz
    ]


def test_columns_are_part_of_walls_in_some() -> None:
    assert sum(layout.spec.wall_column_2 in IN_WALL for layout in layouts()) > BASINS // 20
    assert any(
        layout.spec.wall_column_2 in IN_WALL and any(cap.mitres for cap in layout.caps)
        for layout in layouts()
    )


def limit(layout: Layout) -> float:
    """How wide a joint may be: the joint, or the gap allowed behind the liner."""
    return max(layout.spec.joint, float(getattr(layout.spec, "liner_gap", 0.0)))


def test_no_two_pieces_overlap() -> None:
    """At every height the union of all pieces is as large as their sum."""
    for layout in layouts():
        ring = unary_union([plan(p) for p in layout.caps if p.part in WALLS])
        for z, pieces in at_heights([*layout.pieces, *layout.caps, *layout.column_caps]):
            shapes = [mitred(p, ring.envelope) if p.mitres else plan(p) for p in pieces]
            total = sum(shape.area for shape in shapes)
            assert unary_union(shapes).area == pytest.approx(total, rel=1e-9), (layout.spec, z)


def test_walls_are_covered() -> None:
    """No gap over the limit: pieces grown by half a joint cover the walls but for the openings.

    Where blocks stand on edge in a course, walls are thinner, and have recesses behind single ones:
    there the inner face is covered. Elsewhere the walls are, over their whole thickness.
    """
    full = faces = 0
    for layout in layouts():
        spec, half = layout.spec, limit(layout) / 2 + GRAIN
        t = spec.block_depth
        inner = box(t, t, t + spec.inside_length, t + spec.inside_width)
        for z, pieces in at_heights(of(layout, *WALLS), spec.joint + TINY):
            whole = not any("on edge" in p.orientation for p in pieces)
            outer = inner.buffer(t if whole else 0.01, join_style="mitre")
            # On edge a corner may be as open as the thinner wall leaves it.
            want = outer.difference(inner) if whole else _faces(inner)
            have = unary_union([plan(p, half) for p in (*pieces, *columns(layout, z))])
            left = want.difference(unary_union([have, *holes(layout, z)]))
            assert left.area < 1e-8, (spec, z, left.wkt)
            full, faces = full + whole, faces + (not whole)
    assert full > 2 * BASINS
    assert faces


def _faces(inner: Polygon) -> Polygon:
    x0, y0, x1, y1 = inner.bounds
    thin = 0.01
    return unary_union(
        [box(x0, y0 - thin, x1, y0), box(x0, y1, x1, y1 + thin),
         box(x0 - thin, y0, x0, y1), box(x1, y0, x1 + thin, y1)]
    )  # fmt: skip


def test_second_wall_and_returns_are_covered() -> None:
    """The second wall over its length, and its returns where there are, but for the gaps."""
    seen = 0
    for layout in layouts():
        spec, half = layout.spec, limit(layout) / 2 + GRAIN
        if spec.second_wall != "yes":
            continue
        long, wide = (
            size + 2 * spec.block_depth for size in (spec.inside_length, spec.inside_width)
        )
        near = wide + spec.pipe_space
        returns = {"both": (True, True), "left": (True, False), "right": (False, True)}.get(
            spec.second_wall_returns, (False, False)
        )
        tops = [p.box.z + p.box.dz for p in of(layout, *ENDS)]
        for z, pieces in at_heights(of(layout, SECOND), spec.joint + TINY):
            want = [box(0, near, long, near + spec.block_depth)]
            if z < max(tops, default=0.0):
                want += [
                    box(x, wide + spec.joint, x + spec.block_depth, near)
                    for x, here in zip((0.0, long - spec.block_depth), returns, strict=True)
                    if here
                ]
            others = [p for p in of(layout, *WALLS, *ENDS) if p.box.z < z < p.box.z + p.box.dz]
            have = unary_union([plan(p, half) for p in (*pieces, *others, *columns(layout, z))])
            left = unary_union(want).difference(unary_union([have, *holes(layout, z)]))
            assert left.area < 1e-8, (spec, z, left.wkt)
            seen += 1
    assert seen > BASINS


Joint = tuple[float, int, int]
"""Its middle along the wall [m], and the pieces at its sides."""


def joints_in(pieces: list[Piece], axis: int, widest: float) -> list[Joint]:
    """The joints between pieces that lie end to end, at one height of one wall."""
    rows: dict[float, list[Piece]] = {}
    found = []
    turned = [piece for piece in pieces if "turned" in piece.orientation]
    for piece in pieces:
        if piece not in turned:
            rows.setdefault(_row(piece, axis), []).append(piece)
    # Turned blocks lie among the others, in each of two leaves behind each other.
    for row in rows.values() or [[]]:
        row = [*row, *turned]
        ordered = sorted(row, key=lambda p: p.box[axis])
        for one, two in pairwise(ordered):
            end, start = one.box[axis] + one.box[axis + 3], two.box[axis]
            if start - end < widest + TINY:
                found.append(((start + end) / 2, id(one), id(two)))
    return found


def _row(piece: Piece, axis: int) -> float:
    """Where the leaf of a piece lies across the wall; flat blocks are alike whatever beside."""
    return round(piece.box[1 - axis], 6) if "on edge" in piece.orientation else -1.0


def test_joints_keep_apart() -> None:
    """Joints of a course keep the least offset from those of the course below, wall by wall.

    A block on edge that stands through several courses has its own joints in all of them.
    """
    seen = 0
    for layout in layouts():
        spec = layout.spec
        offset = (spec.joint_offset or spec.block_length / 4) - (limit(layout) - spec.joint) / 2
        for wall in (*WALLS, SECOND):
            axis = 1 if wall in ("left", "right") else 0
            rows = [
                joints_in(pieces, axis, limit(layout))
                for _, pieces in at_heights(of(layout, wall), spec.joint + TINY)
            ]
            for below, above in pairwise(rows):
                for at, *ones in below:
                    for other, *twos in above:
                        if not {*ones} & {*twos}:
                            assert abs(at - other) >= offset - GRAIN, (spec, wall, at, other)
                            seen += 1
    assert seen > 20 * BASINS


def test_openings_are_bridged() -> None:
    """A whole block or lintel over each opening bears on both sides, where there is a course."""
    seen = 0
    for layout in layouts():
        spec = layout.spec
        bearing = spec.joint_offset or spec.block_length / 4
        for opening in layout.openings:
            over = _over(layout, opening)
            if not over:
                continue
            axis = 1 if opening.part in ("left", "right") else 0
            low, high = opening.box[axis], opening.box[axis] + opening.box[axis + 3]
            bears = [
                p
                for p in over
                if p.box[axis] <= low - bearing + GRAIN
                and p.box[axis] + p.box[axis + 3] >= high + bearing - GRAIN
            ]
            assert bears, (spec, opening)
            assert all(p.whole for p in bears)
            seen += 1
    assert seen > BASINS // 5


def _over(layout: Layout, opening: Opening) -> list[Piece]:
    """The pieces of its wall that lie over an opening."""
    top = opening.box.z + opening.box.dz + layout.spec.joint
    axis = 1 if opening.part in ("left", "right") else 0
    low, high = opening.box[axis], opening.box[axis] + opening.box[axis + 3]
    return [
        p
        for p in of(layout, opening.part)
        if abs(p.box.z - top) < TINY
        and p.box[axis] < high - TINY
        and p.box[axis] + p.box[axis + 3] > low + TINY
    ]


def test_no_piece_is_shorter_than_the_shortest() -> None:
    for layout in layouts():
        spec = layout.spec
        for pieces, whole in ((layout.pieces, spec.block_length), (layout.caps, spec.cap_length)):
            least = spec.shortest_piece or whole / 4
            for piece in pieces:
                if piece.whole or piece.part.startswith("column") or piece.hole:
                    continue
                assert piece.length >= least - GRAIN, (spec, piece)
                if piece.mitres and spec.cap_short_edge == "on the short edge":
                    assert piece.short_edge >= least - GRAIN, (spec, piece)


def test_caps_cover_the_walls() -> None:
    """The ring covers all walls' tops, its joints off those below where that is asked for."""
    rings = rows = apart = 0
    for layout in layouts():
        spec = layout.spec
        ring = [p for p in layout.caps if p.part in WALLS]
        if not ring:
            continue
        rings += 1
        shapes = unary_union([plan(p) for p in ring])
        tops = _tops(layout, *WALLS)
        # A column in a wall goes on with a bed as high as that of the caps.
        standing = [plan(p, spec.joint + TINY) for p in columns(layout, ring[0].box.z + 2 * TINY)]
        grown = [plan(p, spec.joint / 2 + GRAIN) for p in ring]
        # Turned blocks reach into the pipe space, no farther than the caps have to.
        face = box(0, 0, spec.inside_length + 2 * spec.block_depth,
                   spec.inside_width + 2 * spec.block_depth)  # fmt: skip
        bare = unary_union([plan(p) for p in tops]).intersection(face)
        left = bare.difference(unary_union([*grown, *standing, *holes(layout, ring[0].box.z)]))
        assert left.area < 1e-8, (spec, left.wkt)
        if not standing:
            assert len(getattr(shapes, "geoms", [shapes])) >= 1
        if spec.cap_joints == "always apart":
            apart += 1
            assert cap_joints(layout).over == 0, spec
        rows += _row_is_bridged(layout)
    assert rings > BASINS // 2
    assert apart
    assert rows


def _tops(layout: Layout, *parts: str) -> list[Piece]:
    """The pieces in the top course of each wall."""
    found = []
    for part in parts:
        mine = of(layout, part)
        top = max(p.box.z + p.box.dz for p in mine)
        found += [p for p in mine if p.box.z + p.box.dz > top - TINY]
    return found


def _row_is_bridged(layout: Layout) -> bool:
    """Check the row over an access gap of full height; False where there is none."""
    spec = layout.spec
    row = [p.box for p in layout.caps if p.part == SECOND]
    gaps = [
        o.box for o in layout.openings
        if o.part == SECOND and o.number == 0 and not _over(layout, o)
    ]  # fmt: skip
    if not row or not gaps or spec.cap_gaps == "as they fall":
        return False
    low, high = gaps[0].x, gaps[0].x + gaps[0].dx
    if spec.cap_gaps == "open over the access gap":
        assert all(b.x + b.dx <= low + TINY or b.x >= high - TINY for b in row), spec
        return True
    bearing = spec.cap_bearing or spec.joint_offset or spec.block_length / 4
    over = [b for b in row if b.x <= low - bearing + GRAIN and b.x + b.dx >= high + bearing - GRAIN]
    assert len(over) == 1, spec
    return True
