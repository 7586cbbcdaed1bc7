"""Placed pieces checked with shapely: no overlap, no gap, and the bond as it can be seen.

Shapely (GEOS) computes areas and unions; what a course must cover is drawn up from the inputs.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from functools import partial
from itertools import pairwise

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from column_jobs import at_heights, plan

TINY = 1e-9
GRAIN = 1e-3 / 320
"""Inputs are rounded to this [m]."""


def _spec(source: random.Random) -> BasinSpec:
    metric = source.random() < 0.5
    unit = 0.005 if metric else INCH / 2
    block = source.choice(
        [(0.4, 0.1, 0.2), (0.3, 0.15, 0.2), (0.45, 0.2, 0.2)]
        if metric
        else [
            (16 * INCH, 4 * INCH, 8 * INCH),
            (12 * INCH, 4 * INCH, 8 * INCH),
            (18 * INCH, 6 * INCH, 12 * INCH),
        ]
    )
    joint = source.choice([0.0, 0.0, 0.01 if metric else 3 / 8 * INCH])
    second = source.choice(["no", "yes"])
    mixed = joint == 0.0 and source.random() < 0.3
    return BasinSpec(
        inside_length=source.randint(60, 300) * unit,
        inside_width=source.randint(50, 200) * unit,
        block_length=block[0],
        block_height=block[1],
        block_depth=block[2],
        courses=source.randint(3, 6),
        water_depth=0.1,
        joint=joint,
        joint_offset=block[0] / 6,
        edge_courses="2" if mixed else "",
        edge_walls=source.choice(["all", "front", "back", "sides", "front and back"]),
        edge_doubled=source.choice(["no", "yes"]) if 2 * block[1] <= block[2] else "no",
        cap_length=source.choice([0.0, block[0]]),
        cap_depth=block[2] + 4 * unit,
        cap_height=0.05,
        cap_corner=source.choice(["butted", "mitred"]),
        columns=source.randint(0, 4),
        column_courses=source.randint(2, 8),
        column_cap_side=block[0] + block[2] + 4 * unit,
        column_cap_height=0.05,
        second_wall=second,
        pipe_space=block[0] / 2,
        second_wall_courses=source.choice([0, 4, 7]),
        second_wall_returns=source.choice(["both", "left", "right", "none"]),
        access_width=source.choice([0.0, 0.25]),
        opening_width=source.choice([0.0, 0.05]),
        opening_course=source.randint(1, 3),
    )


def _layouts(seed: int, count: int) -> Iterable[Layout]:
    source = random.Random(seed)
    found = 0
    while found < count:
        try:
            yield solve(_spec(source))
        except InputError:
            # What can't be built (sizes are drawn blindly) is for other tests.
            continue
        found += 1


def _cap(piece: Piece, outer: Polygon) -> Polygon:
    """A cap with its ends cut at 45 degrees where it reaches the ring's corners."""
    b, (x0, y0, x1, y1) = piece.box, outer.bounds
    across = piece.part in ("front", "back")
    start = abs(b.x - x0) < TINY if across else abs(b.y - y0) < TINY
    end = abs(b.x + b.dx - x1) < TINY if across else abs(b.y + b.dy - y1) < TINY
    assert piece.mitres == start + end
    d = b.dy if across else b.dx
    cut0, cut1 = d * start, d * end
    if across:
        long, short = (b.y, b.y + d) if piece.part == "front" else (b.y + d, b.y)
        return Polygon(
            [(b.x, long), (b.x + b.dx, long), (b.x + b.dx - cut1, short), (b.x + cut0, short)]
        )
    long, short = (b.x, b.x + d) if piece.part == "left" else (b.x + d, b.x)
    return Polygon(
        [(long, b.y), (long, b.y + b.dy), (short, b.y + b.dy - cut1), (short, b.y + cut0)]
    )


_slices = partial(at_heights, thicker=TINY)


@pytest.mark.parametrize("seed", range(6))
def test_no_two_pieces_overlap(seed: int) -> None:
    """At every height, the union of all pieces is as large as their sum."""
    for layout in _layouts(seed, 8):
        ring = unary_union([plan(p) for p in layout.caps if p.part != "second wall"])
        for z, pieces in _slices([*layout.pieces, *layout.caps, *layout.column_caps]):
            shapes = [_cap(p, ring.envelope) if p.mitres else plan(p) for p in pieces]
            total = sum(shape.area for shape in shapes)
            assert unary_union(shapes).area == pytest.approx(total, rel=1e-9), (layout.spec, z)


@pytest.mark.parametrize("seed", range(6))
def test_no_gap_in_basin_walls(seed: int) -> None:
    """Pieces grown by half a joint cover the walls, grown alike, except for the opening."""
    for layout in _layouts(100 + seed, 8):
        spec = layout.spec
        t, half = spec.block_depth, spec.joint / 2
        inner = box(t, t, t + spec.inside_length, t + spec.inside_width)
        walls = [p for p in layout.pieces if p.part in ("front", "right", "back", "left")]
        for z, pieces in _slices(walls):
            # Thickness of each wall at this height: leaves of on-edge blocks with a joint between.
            thick = {}
            for part in ("front", "right", "back", "left"):
                mine = [p.box for p in pieces if p.part == part]
                across = part in ("front", "back")
                low = min(b.y if across else b.x for b in mine)
                high = max(b.y + b.dy if across else b.x + b.dx for b in mine)
                thick[part] = high - low
            assert min(thick.values()) > 0
            x0, y0, x1, y1 = inner.bounds
            outer = box(
                x0 - thick["left"], y0 - thick["front"], x1 + thick["right"], y1 + thick["back"]
            )
            grown = outer.buffer(half, join_style="mitre")
            wanted = grown.difference(inner.buffer(-half, join_style="mitre"))
            for gap in layout.openings:
                b = gap.box
                if gap.part == "back" and b.z < z < b.z + b.dz:
                    wanted = wanted.difference(
                        box(b.x + half, b.y - 0.05, b.x + b.dx - half, b.y + b.dy + 0.05)
                    )
            covered = unary_union([plan(p, half) for p in pieces])
            assert covered.symmetric_difference(wanted).area < 1e-8, (spec, z)


@pytest.mark.parametrize("seed", range(4))
def test_no_gap_in_second_wall_and_caps(seed: int) -> None:
    seen = 0
    for layout in _layouts(200 + seed, 10):
        spec = layout.spec
        t, half = spec.block_depth, spec.joint / 2
        long, wide = spec.inside_length + 2 * t, spec.inside_width + 2 * t
        if layout.caps:
            ring = [p for p in layout.caps if p.part != "second wall"]
            hull = unary_union([plan(p) for p in ring]).envelope
            hole = hull.buffer(-spec.cap_depth, join_style="mitre")
            if spec.cap_corner == "mitred":
                # Mitres close; the other joints are left open.
                open_joints = (len(ring) - 4) * spec.joint * spec.cap_depth
                area = sum(_cap(p, hull).area for p in ring) + open_joints
                assert area == pytest.approx(hull.area - hole.area, rel=1e-9), spec
            else:
                covered = unary_union([plan(p, half) for p in ring])
                wanted = hull.buffer(half, join_style="mitre").difference(
                    hole.buffer(-half, join_style="mitre")
                )
                assert covered.symmetric_difference(wanted).area < 1e-8, spec
        far = wide + spec.pipe_space
        parts = ("second wall", "left return", "right return")
        for z, pieces in _slices([p for p in layout.pieces if p.part in parts]):
            seen += 1
            wanted = box(0, far, long, far + t)
            if any(p.part == "left return" for p in pieces):
                wanted = wanted.union(box(0, wide + spec.joint, t, far))
            if any(p.part == "right return" for p in pieces):
                wanted = wanted.union(box(long - t, wide + spec.joint, long, far))
            wanted = wanted.buffer(half, join_style="mitre")
            for gap in layout.openings:
                b = gap.box
                if gap.part == "second wall" and b.z < z < b.z + b.dz:
                    wanted = wanted.difference(
                        box(b.x + half, b.y - half, b.x + b.dx - half, b.y + b.dy + half)
                    )
            covered = unary_union([plan(p, half) for p in pieces])
            assert covered.symmetric_difference(wanted).area < 1e-8, (spec, z)
    assert seen


def _joints(pieces: list[Piece], wall: str, spec: BasinSpec) -> list[float]:
    """Middles of the joints on a line just outside the inner face of a wall, corners included."""
    line = {
        "front": spec.block_depth - 1e-6,
        "left": spec.block_depth - 1e-6,
        "back": spec.block_depth + spec.inside_width + 1e-6,
        "right": spec.block_depth + spec.inside_length + 1e-6,
    }[wall]
    found = []
    for piece in pieces:
        b = piece.box
        if wall in ("front", "back") and b.y < line < b.y + b.dy:
            found.append((b.x, b.x + b.dx))
        if wall in ("left", "right") and b.x < line < b.x + b.dx:
            found.append((b.y, b.y + b.dy))
    found.sort()
    return [
        (end + start) / 2
        for (_, end), (start, _) in pairwise(found)
        if start - end < spec.joint + 1e-6
    ]


@pytest.mark.parametrize("seed", range(6))
def test_joints_keep_their_offset_on_all_four_walls(seed: int) -> None:
    """Rule of bond, read off the placed boxes.

    The butt joints at the corners are included, but where some walls stand on edge beside flat
    ones: there a wall butts for several flat courses.
    """
    for layout in _layouts(300 + seed, 8):
        spec = layout.spec
        mixed = bool(spec.edge_courses) and spec.edge_walls != "all"
        walls = [p for p in layout.pieces if p.part in ("front", "right", "back", "left")]
        for wall in ("front", "right", "back", "left"):
            size = spec.inside_length if wall in ("front", "back") else spec.inside_width
            ends = (spec.block_depth, spec.block_depth + size)
            # Within a corner there may be the joint between two leaves of the crossing wall.
            rows = [
                [at for at in _joints(pieces, wall, spec) if ends[0] - 1e-6 < at < ends[1] + 1e-6]
                for _, pieces in _slices(walls)
            ]
            if mixed:
                rows = [
                    [at for at in row if all(abs(at - end) > spec.joint + 1e-6 for end in ends)]
                    for row in rows
                ]
            for below, above in pairwise(rows):
                # A wall on edge shows the same joints at each height of the flat ones beside it.
                if mixed and below == above:
                    continue
                for at in below:
                    for other in above:
                        assert abs(at - other) >= spec.joint_offset - GRAIN, (spec, wall)


@pytest.mark.parametrize("seed", range(4))
def test_corners_interlock_and_openings_are_bridged(seed: int) -> None:
    """Each corner changes hands from course to course; a whole block lies over the opening."""
    bridged = 0
    for layout in _layouts(400 + seed, 8):
        spec = layout.spec
        t = spec.block_depth
        long, wide = spec.inside_length + 2 * t, spec.inside_width + 2 * t
        walls = [p for p in layout.pieces if p.part in ("front", "right", "back", "left")]
        if not spec.edge_courses:
            for x, y in ((t / 2, t / 2), (long - t / 2, t / 2), (t / 2, wide - t / 2)):
                owners = [
                    next(
                        p.part in ("front", "back")
                        for p in pieces
                        if p.box.x < x < p.box.x + p.box.dx and p.box.y < y < p.box.y + p.box.dy
                    )
                    for _, pieces in _slices(walls)
                ]
                assert all(one != other for one, other in pairwise(owners))
        for gap in layout.openings:
            top = gap.box.z + gap.box.dz + spec.joint
            over = [
                p
                for p in layout.pieces
                if p.part == gap.part
                and abs(p.box.z - top) < 1e-6
                and p.box.x <= gap.box.x - spec.joint_offset + 1e-6
                and p.box.x + p.box.dx >= gap.box.x + gap.box.dx + spec.joint_offset - 1e-6
            ]
            if any(p.part == gap.part and abs(p.box.z - top) < 1e-6 for p in layout.pieces):
                assert len(over) in (1, 2)
                assert all(p.whole for p in over)
                assert gap.part != "back" or all(p.loose for p in over)
                bridged += 1
    assert bridged
