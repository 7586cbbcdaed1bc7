"""Mitred caps, cap joints and sections of walls against shapely, on random basins."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from random import Random

import pytest
from shapely import LineString, MultiPolygon, Polygon, box, union_all

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import WALLS, Layout, Piece
from basinbook.engine.layout.results.cap_joints import OVER, cap_joints
from basinbook.engine.layout.results.strips import wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.takeoff import item
from basinbook.engine.water import loads
from layout_jobs import realistic_job


@cache
def random_layouts() -> tuple[Layout, ...]:
    """Basins with caps, and nothing else, of a size that is laid out quickly."""
    found = []
    for seed in range(300):
        spec = replace(
            realistic_job(Random(seed)), opening_width=0.0, second_wall="no", columns=0, courses=0
        )
        if not spec.cap_length or max(spec.inside_length, spec.inside_width) > 3.0:
            continue
        try:
            found.append(solve(spec))
        except InputError:
            continue
    return tuple(found)


def plan(piece: Piece) -> Polygon:
    b = piece.box
    return box(b.x, b.y, b.x + b.dx, b.y + b.dy)


def test_middle_and_short_edge_of_mitred_caps() -> None:
    """A mitred cap is its box without what lies beyond the ring's diagonals at the corners."""
    seen = 0
    for layout in random_layouts():
        ring = [cap for cap in layout.caps if cap.part in WALLS]
        if not any(cap.mitres for cap in ring):
            continue
        seen += 1
        x0, y0, x1, y1 = union_all([plan(cap) for cap in ring]).bounds
        depth, far = layout.spec.cap_depth, 100.0
        least = []
        for cap in ring:
            # What a wall's caps keep: the trapezium between the diagonals from the outer corners.
            keep = {
                "front": [(x0, y0), (x1, y0), (x1 - far, y0 + far), (x0 + far, y0 + far)],
                "back": [(x0, y1), (x1, y1), (x1 - far, y1 - far), (x0 + far, y1 - far)],
                "left": [(x0, y0), (x0, y1), (x0 + far, y1 - far), (x0 + far, y0 + far)],
                "right": [(x1, y0), (x1, y1), (x1 - far, y1 - far), (x1 - far, y0 + far)],
            }[cap.part]
            shape = plan(cap).intersection(_wedge(keep))
            assert cap.middle_length == pytest.approx(shape.area / depth, abs=1e-6)
            if cap.mitres:
                along = 0 if cap.part in ("front", "back") else 1
                inner = {"front": y0 + depth, "back": y1 - depth,
                         "left": x0 + depth, "right": x1 - depth}[cap.part]  # fmt: skip
                ends = [
                    point[along] for point in shape.exterior.coords
                    if abs(point[1 - along] - inner) < 1e-6
                ]  # fmt: skip
                short = max(ends) - min(ends)
                assert cap.short_edge == pytest.approx(short, abs=1e-6)
                least.append(short)
        assert item("Shortest cap edge").measure(layout) == pytest.approx(min(least), abs=1e-6)
    assert seen > 20


def _wedge(points: list[tuple[float, float]]) -> Polygon:
    """The part of a shape between two diagonals: cut where they cross, or it is no simple shape."""
    (ax, ay), (bx, by), c, d = points
    crossing = LineString([(bx, by), c]).intersection(LineString([(ax, ay), d]))
    if crossing.is_empty:
        return Polygon(points)
    return Polygon([(ax, ay), (bx, by), (crossing.x, crossing.y)])


def joints(pieces: list[Piece], joint: float) -> list[Polygon]:
    """The rooms between neighbours that face each other over a joint, as long as they face."""
    found = []
    for one, two in combinations(pieces, 2):
        a, b = one.box, two.box
        for first, second in ((a, b), (b, a)):
            gap = second.x - first.x - first.dx
            low, high = max(a.y, b.y), min(a.y + a.dy, b.y + b.dy)
            if abs(gap - joint) < 1e-4 and high - low > 0.01:
                middle = first.x + first.dx + gap / 2
                found.append(box(middle - 1e-4, low, middle + 1e-4, high))
            gap = second.y - first.y - first.dy
            low, high = max(a.x, b.x), min(a.x + a.dx, b.x + b.dx)
            if abs(gap - joint) < 1e-4 and high - low > 0.01:
                middle = first.y + first.dy + gap / 2
                found.append(box(low, middle - 1e-4, high, middle + 1e-4))
    # Where one piece faces two, the joint along them is one.
    lines = {upright(s): [t for t in found if upright(t) == upright(s)] for s in found}
    reach = joint / 2 + 2e-4
    merged = [union_all([t.buffer(reach, join_style="mitre") for t in same])
              for same in lines.values()]  # fmt: skip
    return [
        part.buffer(-reach, join_style="mitre")
        for shape in merged
        for part in getattr(shape, "geoms", [shape])
    ]


def upright(shape: Polygon) -> bool:
    x0, y0, x1, y1 = shape.bounds
    return y1 - y0 > x1 - x0


def test_cap_joints_over_joints_of_butted_caps() -> None:
    """Joints of caps drawn in plan over those of the uppermost course, the same way and near."""
    seen = over = 0
    for layout in random_layouts():
        ring = [cap for cap in layout.caps if cap.part in WALLS]
        if layout.spec.edge_courses or any(cap.mitres for cap in ring):
            continue
        seen += 1
        walls = [piece for piece in layout.pieces if piece.part in WALLS]
        highest = max(piece.box.z for piece in walls)
        gap = layout.spec.joint
        below = joints([p for p in walls if p.box.z == highest], gap)
        above = joints(ring, gap)
        near = [
            cap for cap in above
            if any(upright(cap) == upright(block) and _apart(cap, block) <= OVER + 1e-6 + 1e-6
                   and cap.buffer(OVER + 1e-6).intersects(block) for block in below)
        ]  # fmt: skip
        found = cap_joints(layout)
        assert found == (len(above), len(near)), layout.spec
        over += bool(found.over)
    assert seen > 20
    assert over > 3


def _apart(one: Polygon, two: Polygon) -> float:
    """How far two thin strips of one direction stand apart across it."""
    axis = 0 if upright(one) else 1
    centres = [(shape.centroid.x, shape.centroid.y)[axis] for shape in (one, two)]
    return float(abs(centres[0] - centres[1]))


def test_weight_and_lever_of_the_walls_true_sections() -> None:
    """Area and centre of the pieces' sections above each joint, about the contact's outer edge."""
    density, seen, thin = 2000.0, 0, 0
    for layout in random_layouts()[:60]:
        for part, strip in zip(WALLS, wall_strips(layout), strict=True):
            found = loads.strip_loads(strip, layout.spec.water_depth, density, 0.5)
            pieces = [p for p in (*layout.pieces, *layout.caps) if p.part == part]
            sections = {_section(piece, layout) for piece in pieces}
            for joint, course in zip(found, strip.courses, strict=True):
                above = union_all([box(*s) for s in sections if s[1] >= course.bed - 1e-6])
                assert joint.weight == pytest.approx(density * 9.80665 * above.area, rel=1e-6)
                edge = _contact_edge(sections, course.bed, layout.spec.joint)
                assert joint.lever == pytest.approx(edge - above.centroid.x, abs=1e-6)
                seen += 1
            thin += len({course.thickness for course in strip.courses}) > 1
    assert seen > 200
    assert thin > 3


Section = tuple[float, float, float, float]


def _section(piece: Piece, layout: Layout) -> Section:
    """A piece across its wall: from the wall's inner face outward, and its height."""
    spec, b = layout.spec, piece.box
    near, size = (b.y, b.dy) if piece.part in ("front", "back") else (b.x, b.dx)
    if piece.part in ("front", "left"):
        low, high = spec.block_depth - near - size, spec.block_depth - near
    else:
        inside = spec.inside_width if piece.part == "back" else spec.inside_length
        low, high = near - spec.block_depth - inside, near - spec.block_depth - inside + size
    return round(low, 7), round(b.z, 7), round(high, 7), round(b.z + b.dz, 7)


def _contact_edge(sections: set[Section], bed: float, joint: float) -> float:
    upper = union_all([box(*s) for s in sections if abs(s[1] - bed) < 1e-6])
    low = [s for s in sections if abs(s[3] + joint - bed) < 1e-6]
    if not low:
        return float(upper.bounds[2])
    # Both courses' shadows on the bed.
    shadow = [box(s[0], 0, s[2], 1) for s in low]
    above = [box(s[0], 0, s[2], 1) for s in sections if abs(s[1] - bed) < 1e-6]
    touching: Polygon | MultiPolygon = union_all(shadow).intersection(union_all(above))
    return float(touching.bounds[2])
