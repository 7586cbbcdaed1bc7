"""Blocks on edge as built, with other inside sizes than planned: checked with shapely (GEOS).

Random basins with blocks on edge at typed, mirrored and evenly spaced places, openings and a second
wall. What is asked of laid courses and of those over them follows from the inputs alone.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from shapely import box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from means_jobs import plain_basin

_COUNT = 24
_OFF = (-8, -4, -2, -1, 1, 2, 4, 8)
_HAIR = 1e-5
WALLS = ("front", "right", "back", "left")


def _mixed(source: random.Random) -> BasinSpec:
    spec = plain_basin(source)
    wall = source.choice(WALLS)
    far = spec.inside_width if wall in ("left", "right") else spec.inside_length
    courses = range(1, spec.courses + 1)
    mixed = sorted(source.sample(courses, source.randint(1, max(1, spec.courses // 2))))
    change: dict[str, Any] = {"mixed_courses": ", ".join(map(str, mixed))}
    if source.random() < 0.5:
        change |= {"mixed_number": source.randint(1, 2), "mixed_walls": "all"}
    else:
        change |= {
            "place_1_wall": wall,
            "place_1_middle": round(source.uniform(0.2, 0.8) * far / (INCH / 2)) * INCH / 2,
            "mixed_mirrored": source.choice(("yes", "no")),
        }
    if source.random() < 0.4:
        change |= {"opening_width": 0.08, "opening_course": source.choice(courses)}
    if source.random() < 0.3:
        change |= {"second_wall": "yes", "pipe_space": spec.block_depth}
    return replace(spec, **change)


@cache
def _pairs() -> tuple[tuple[Layout, Layout], ...]:
    """Basins as planned and as built."""
    source, found = random.Random(31), list[tuple[Layout, Layout]]()
    while len(found) < _COUNT:
        spec = _mixed(source)
        long, wide = (source.choice(_OFF) * INCH / 16 for _ in range(2))
        built = replace(
            spec,
            laid_courses=source.randint(1, spec.courses - 1),
            laid_length=spec.inside_length + long,
            laid_width=spec.inside_width + wide,
        )
        try:
            found.append((solve(spec), solve(built)))
        except InputError:
            continue
    return tuple(found)


def _slices(layout: Layout) -> Iterator[list[Piece]]:
    heights = sorted({round(v, 9) for p in layout.pieces for v in (p.box.z, p.box.z + p.box.dz)})
    for low, high in pairwise(heights):
        cut = [p for p in layout.pieces if p.box.z < (low + high) / 2 < p.box.z + p.box.dz]
        if high - low > layout.spec.joint + 1e-6 and cut:
            yield cut


def _sizes(layout: Layout, wall: str) -> tuple[int, float]:
    """Axis of a wall and its inside length [m]."""
    spec = layout.spec
    return (
        (0, spec.inside_length) if wall in ("front", "back") else (1, spec.inside_width)
    )  # fmt: skip


def _ends(piece: Piece, layout: Layout, axis: int) -> tuple[float, float]:
    low = piece.box[axis] - layout.spec.block_depth
    return low, low + piece.box[axis + 3]


def test_no_two_pieces_lie_in_one_place() -> None:
    for _, built in _pairs():
        for pieces in _slices(built):
            plans = [box(p.box.x, p.box.y, p.box.x + p.box.dx, p.box.y + p.box.dy) for p in pieces]
            over = sum(plan.area for plan in plans) - unary_union(plans).area
            assert over < 1e-9, built.spec


def test_the_wall_is_closed_but_for_one_wide_joint_at_the_middle_of_laid_courses() -> None:
    wide = 0
    for planned, built in _pairs():
        joint = built.spec.joint
        for pieces in _slices(built):
            laid = min(p.course for p in pieces) <= built.spec.laid_courses
            for wall in WALLS:
                axis, far = _sizes(built, wall)
                more = far - _sizes(planned, wall)[1]
                if any(one.part == wall for one in built.openings):
                    continue
                ends = sorted(_ends(p, built, axis) for p in pieces if p.part == wall)
                gaps = [two[0] - one[1] for one, two in pairwise(ends)]
                over = [gap for gap in gaps if gap > joint + _HAIR]
                assert min(gaps, default=0.0) > -_HAIR, (built.spec, wall)
                assert len(over) <= (laid and more > 0), (built.spec, wall, gaps)
                if over:
                    assert over[0] == pytest.approx(joint + more, abs=_HAIR)
                wide += len(over)
    assert wide


def test_laid_pieces_keep_their_length_and_their_distance_from_the_nearer_corner() -> None:
    """Only next to the middle of a wall that measures short does one stand elsewhere, or shorter;
    what those lost is what the wall is short, less the joint."""
    short = 0
    for planned, built in _pairs():
        laid = built.spec.laid_courses
        for wall in WALLS:
            axis, before = _sizes(planned, wall)
            more = _sizes(built, wall)[1] - before
            for old, new in zip(planned.courses[:laid], built.courses[:laid], strict=True):
                ones, others = (
                    sorted(
                        (p for p in course.pieces if p.part == wall),
                        key=lambda p: (p.box.z, p.box[axis]),
                    )
                    for course in (old, new)
                )
                assert [p.length for p in ones] == pytest.approx([p.length for p in others])
                lost: dict[float, float] = {}
                for one, other in zip(ones, others, strict=True):
                    low, high = _ends(one, planned, axis)
                    moved = more if (low + high) / 2 > before / 2 + 1e-9 else 0.0
                    stays = _ends(other, built, axis)[0] == pytest.approx(low + moved, abs=1e-6)
                    assert stays or more < 0
                    row = round(other.box.z, 6)
                    lost[row] = lost.get(row, 0.0) + other.shorter
                    if other.orientation == "on edge":
                        assert stays
                        assert other.shorter < 1e-9
                assert all(
                    one <= max(0.0, -more - built.spec.joint) + 1e-6 for one in lost.values()
                )
                short += any(lost.values())
    assert short


def test_blocks_on_edge_still_to_lay_are_where_they_are_asked_for() -> None:
    """Typed ones by the nearer corner, evenly spaced ones anew, mirrored ones about the middle."""
    checked = 0
    for planned, built in _pairs():
        spec, long = built.spec, built.spec.block_length
        for wall in WALLS:
            axis, far = _sizes(built, wall)
            before = _sizes(planned, wall)[1]
            asked = set()
            if spec.mixed_number:
                clear = (far - spec.mixed_number * long) / (spec.mixed_number + 1)
                asked = {clear * n + long * (n - 0.5) for n in range(1, spec.mixed_number + 1)}
            elif spec.place_1_wall == wall:
                at = spec.place_1_middle or 0.0
                at += (far - before) * (at > before / 2)
                asked = {at, far - at} if spec.mixed_mirrored == "yes" else {at}
            for course in built.courses[spec.laid_courses :]:
                stand = {
                    round(sum(_ends(p, built, axis)) / 2, 5)
                    for p in course.pieces
                    if p.part == wall and p.orientation == "on edge"
                }
                if str(course.number) in spec.mixed_courses.split(", "):
                    assert sorted(stand) == pytest.approx(sorted(asked), abs=2e-5), spec
                    checked += len(stand)
    assert checked > _COUNT


def test_joints_over_what_stands_keep_the_least_offset() -> None:
    """From both edges of each joint of the laid courses, blocks on edge among the pieces."""
    checked = 0
    for _, built in _pairs():
        spec = built.spec
        offset = spec.joint_offset or spec.block_length / 4
        rows = list(_slices(built))
        for below, above in pairwise(rows):
            if min(p.course for p in above) <= spec.laid_courses:
                continue
            for wall in WALLS:
                axis = 0 if wall in ("front", "back") else 1
                both = [
                    [
                        (end, start)
                        for (_, end), (start, _) in pairwise(
                            sorted(_ends(p, built, axis) for p in row if p.part == wall)
                        )
                        # Wider than this is an opening.
                        if start - end < 0.06
                    ]
                    for row in (below, above)
                ]
                shared = {id(p) for p in below} & {id(p) for p in above}
                beside = {
                    round(edge, 6)
                    for p in above
                    if id(p) in shared
                    for edge in _ends(p, built, axis)
                }
                for over in both[1]:
                    if any(round(edge, 6) in beside for edge in over):
                        continue
                    for under in both[0]:
                        apart = min(abs(over[0] - under[0]), abs(over[1] - under[1]))
                        assert apart > offset - _HAIR, (spec, wall, over)
                        checked += 1
    assert checked > 10 * _COUNT


def test_a_place_that_is_gone_at_the_measured_size_is_refused_with_the_nearest_that_works() -> None:
    spec = BasinSpec(
        48 * INCH, 46 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, courses=4, water_depth=4 * INCH,
        mixed_courses="3", place_1_wall="front", place_1_middle=12 * INCH, laid_courses=1,
    )  # fmt: skip
    crowded = replace(spec, place_2_wall="front", place_2_middle=27 * INCH, laid_length=47 * INCH)
    assert solve(replace(crowded, laid_courses=0, laid_length=0.0))
    with pytest.raises(InputError, match=r"Measured inside length: '47 in.*nearest that works"):
        solve(crowded)


@cache
def _leaves() -> tuple[Layout, ...]:
    """Basins as built: on laid courses of two leaves, each with a run of its own, flat ones."""
    source, found = random.Random(8), list[Layout]()
    while len(found) < 10:
        spec = plain_basin(source)
        laid = source.randint(1, spec.courses - 1)
        on_edge = source.sample(range(1, laid + 1), source.randint(1, laid))
        apart = source.random() < 0.7
        spec = replace(
            spec,
            edge_courses=", ".join(map(str, sorted(on_edge))),
            edge_doubled="yes",
            edge_leaves="leaf by leaf" if apart else "",
            liner_gap=0.0 if apart else 0.01,
            laid_courses=laid,
            laid_length=spec.inside_length + source.choice(_OFF) * INCH / 16,
            laid_width=spec.inside_width + source.choice(_OFF) * INCH / 16,
        )
        try:
            found.append(solve(spec))
        except InputError:
            continue
    return tuple(found)


def _joints(
    pieces: list[Piece], layout: Layout, wall: str
) -> list[tuple[float, float, float, float]]:
    """Both edges of each joint of a wall in a slice, and from where to where across the wall."""
    axis = 0 if wall in ("front", "back") else 1
    by_leaf: dict[tuple[float, float], list[Piece]] = {}
    for piece in pieces:
        if piece.part == wall:
            out, thick = piece.box[1 - axis], piece.box[4 - axis]
            by_leaf.setdefault((round(out, 6), round(out + thick, 6)), []).append(piece)
    return [
        (one[1], two[0], *across)
        for across, mine in by_leaf.items()
        for one, two in pairwise(sorted(_ends(p, layout, axis) for p in mine))
    ]


def test_flat_courses_go_on_over_leaves_with_runs_of_their_own() -> None:
    """No overlap; joints apart from those of both leaves."""
    checked = 0
    for built in _leaves():
        spec, rows = built.spec, list(_slices(built))
        offset = spec.joint_offset or spec.block_length / 4
        for pieces in rows:
            plans = [box(p.box.x, p.box.y, p.box.x + p.box.dx, p.box.y + p.box.dy) for p in pieces]
            assert sum(one.area for one in plans) - unary_union(plans).area < 1e-9, spec
        for below, above in pairwise(rows):
            if above[0].course <= spec.laid_courses:
                continue
            for wall in WALLS:
                under = _joints(below, built, wall)
                for end, start, near, far in _joints(above, built, wall):
                    for low, high, inner, outer in under:
                        if near < outer - 1e-6 and inner < far - 1e-6:
                            apart = min(abs(end - low), abs(start - high))
                            assert apart > offset - _HAIR, (spec, wall, end)
                            checked += 1
    assert checked > 100
