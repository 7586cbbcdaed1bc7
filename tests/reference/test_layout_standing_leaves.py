"""Doubled courses on edge set out on what stands, each leaf with a run of its own.

Random basins, partly laid, whose inside size measures other than planned: overlap and closed walls
with shapely (GEOS), joints and corners from the inputs alone, the fewest cuts by an integer
programme (``layout_programme``) solved by HiGHS, to which the joints that stand are given.
``BASINBOOK_STANDING_LEAVES=400`` looks at so many basins in place of 60.
"""

from __future__ import annotations

import os
import random
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

import pytest
from shapely import Polygon, box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from layout_programme import Blocks, Course, Programme, Wall, add_wall
from means_jobs import plain_basin

WALLS = ("front", "right", "back", "left")
UNIT = 0.02
"""One unit of the programme [m]."""

_COUNT = int(os.environ.get("BASINBOOK_STANDING_LEAVES", "0")) or 60
_OFF = (-8, -4, -2, -1, 0, 1, 2, 4, 8)
_HAIR = 1e-5


class Found(NamedTuple):
    """Basins as planned and as built, and the inputs and messages of those that were refused."""

    pairs: list[tuple[Layout, Layout]]
    refused: list[tuple[BasinSpec, str]]


def _doubled(source: random.Random) -> BasinSpec | None:
    """Inputs with a doubled course of leaves with runs of their own still to lay, or None."""
    spec = plain_basin(source)
    # Larger ones take as long to plan as all others.
    if spec.courses > 4 or spec.inside_length > 1.1 or spec.inside_width > 0.8:
        return None
    courses = range(1, spec.courses + 1)
    laid = source.randint(1, spec.courses - 1)
    on_edge = sorted(source.sample(courses, source.choice([1, 1, 2, 2, 3]) % (spec.courses + 1)))
    change: dict[str, Any] = {
        "edge_courses": ", ".join(map(str, on_edge)),
        "edge_walls": source.choice(["all", "all", "front", "sides", "front and back"]),
        "edge_doubled": "yes",
        "edge_leaves": source.choice(["leaf by leaf", "together"]),
    }
    if change["edge_leaves"] == "together" or source.random() < 0.4:
        change["liner_gap"] = source.choice([0.005, 0.01, 0.015]) + spec.joint
    if source.random() < 0.4:
        name, wall = source.choice(
            [("opening", None), ("opening_2", "front"), ("opening_2", "left")]
        )
        change |= {f"{name}_width": 0.08, f"{name}_course": source.choice(courses)}
        change |= {"opening_2_wall": wall} if wall else {}
    thick = 2 * spec.block_height + spec.joint
    if not on_edge or on_edge[-1] <= laid or thick > spec.block_depth + 1e-9:
        return None
    offset = spec.joint_offset or spec.block_length / 4
    off = [source.choice(_OFF) * INCH / 16 for _ in range(2)]
    if source.random() < 0.3:
        # As much as there may be.
        most = int(8 * offset / INCH + 1e-6) * INCH / 16
        off = [source.choice([-1, 1]) * most for _ in range(2)]
    if not any(off):
        return None
    return replace(
        spec,
        **change,
        laid_courses=laid,
        laid_length=spec.inside_length + off[0],
        laid_width=spec.inside_width + off[1],
    )


@cache
def _found() -> Found:
    source, found = random.Random(64), Found([], [])
    while len(found.pairs) < _COUNT:
        spec = _doubled(source)
        if spec is None:
            continue
        try:
            planned = solve(replace(spec, laid_courses=0, laid_length=0.0, laid_width=0.0))
        except InputError:
            continue
        try:
            found.pairs.append((planned, solve(spec)))
        except InputError as error:
            found.refused.append((spec, str(error)))
    return found


def _slices(layout: Layout) -> Iterator[tuple[float, list[Piece]]]:
    heights = sorted({round(v, 9) for p in layout.pieces for v in (p.box.z, p.box.z + p.box.dz)})
    for low, high in pairwise(heights):
        cut = [p for p in layout.pieces if p.box.z < (low + high) / 2 < p.box.z + p.box.dz]
        if high - low > layout.spec.joint + 1e-6 and cut:
            yield (low + high) / 2, cut


def _plan(piece: Piece, grown: float = 0.0) -> Polygon:
    b = piece.box
    return box(b.x - grown, b.y - grown, b.x + b.dx + grown, b.y + b.dy + grown)


def _far(layout: Layout, wall: str) -> float:
    spec = layout.spec
    return spec.inside_length if wall in ("front", "back") else spec.inside_width


def _axis(wall: str) -> int:
    return 0 if wall in ("front", "back") else 1


def _ends(piece: Piece, layout: Layout, axis: int) -> tuple[float, float]:
    low = piece.box[axis] - layout.spec.block_depth
    return low, low + piece.box[axis + 3]


def _outer(piece: Piece, layout: Layout) -> bool:
    """Whether a piece stands in the outer leaf."""
    across = 1 - _axis(piece.part)
    low, depth = piece.box[across], layout.spec.block_depth
    far = layout.spec.inside_length if across == 0 else layout.spec.inside_width
    out = depth - low - piece.box[across + 3] if piece.part in ("front", "left") else (
        low - depth - far
    )  # fmt: skip
    return out > _HAIR


def _leaves(layout: Layout, wall: str, pieces: list[Piece]) -> list[list[Piece]]:
    """The runs of a wall in a course, the inner leaf first; each from left to right."""
    axis = _axis(wall)
    both = [
        [p for p in pieces if p.part == wall and _outer(p, layout) == outer] for outer in (0, 1)
    ]
    return [sorted(leaf, key=lambda p: p.box[axis]) for leaf in both if leaf]


def _one_side(layout: Layout, run: list[Piece]) -> bool:
    """Whether all pieces of a run keep to one corner, as one alone does."""
    wall = run[0].part
    middles = [sum(_ends(p, layout, _axis(wall))) for p in run]
    far = _far(layout, wall) + _HAIR
    return max(middles) <= far or min(middles) > far


def _opened(layout: Layout, wall: str, low: float, high: float) -> bool:
    axis = _axis(wall)
    return any(
        one.part == wall
        and low < one.box[axis] + one.box[axis + 3] / 2 - layout.spec.block_depth < high
        for one in layout.openings
    )


def test_no_overlap_and_no_gap_over_the_limit() -> None:
    """Widest joint: that of the job or the gap behind the liner, in laid courses with what the
    wall is longer or shorter."""
    for planned, built in _found().pairs:
        spec, t = built.spec, built.spec.block_depth
        off = max(abs(_far(built, wall) - _far(planned, wall)) for wall in WALLS)
        x, y = t + spec.inside_length, t + spec.inside_width
        for z, pieces in _slices(built):
            plans = [_plan(p) for p in pieces]
            over = sum(one.area for one in plans) - unary_union(plans).area
            assert over < 1e-9, (spec, z)
            stood = {p.part for p in pieces if p.orientation == "on edge"}
            double = 2 * spec.block_height + spec.joint
            front, right, back, left = (double if wall in stood else t for wall in WALLS)
            ring = box(t - left, t - front, x + right, y + back) - box(t, t, x, y)
            laid = min(p.course for p in pieces) <= spec.laid_courses
            for one in built.openings:
                b = one.box
                if b.z < z < b.z + b.dz:
                    # In a laid course it may be so much wider.
                    lengthwise, more = one.part in ("front", "back"), off * laid
                    x_more, y_more = more * lengthwise, more * (not lengthwise)
                    low, high = b.x - x_more, b.x + b.dx + x_more
                    ring -= box(low, b.y - y_more, high, b.y + b.dy + y_more)
            wide = max(spec.joint, spec.liner_gap)
            # A run at one side is wide where it butts, or short of the other wall's face.
            alone = any(
                _one_side(built, run) for wall in WALLS for run in _leaves(built, wall, pieces)
            )
            half = (wide + off * laid * (1 + alone)) / 2 + _HAIR
            bare = ring - unary_union([_plan(p, half) for p in pieces])
            assert bare.area < 1e-8, (spec, z, bare.wkt)
            # Nor does anything lie out of the walls; a laid opening may be narrower.
            if not (laid and built.openings):
                out = unary_union(plans) - ring.buffer(_HAIR, join_style="mitre")
                assert out.area < 1e-8, (spec, z)


def test_joints_and_pieces_to_lay_are_within_the_limits() -> None:
    """In a run all gaps are a joint; of an inner leaf of whole blocks all alike, up to the liner's
    gap. In laid ones a joint, and one at the middle with what the wall is longer."""
    spread = own = wide = 0
    for _, built in _found().pairs:
        spec = built.spec
        shortest = spec.shortest_piece or spec.block_length / 4
        for wall in WALLS:
            for _, pieces in _slices(built):
                to_lay = min(p.course for p in pieces) > spec.laid_courses
                for leaf in _leaves(built, wall, pieces):
                    ends = [_ends(p, built, _axis(wall)) for p in leaf]
                    gaps = [
                        two[0] - one[1]
                        for one, two in pairwise(ends)
                        if not _opened(built, wall, one[1], two[0])
                        or two[0] - one[1] < spec.joint + _HAIR
                    ]
                    if not to_lay:
                        over = [
                            gap for gap in gaps if gap > max(spec.joint, spec.liner_gap) + _HAIR
                        ]
                        assert len(over) <= 1
                        assert min(gaps, default=0.0) > -_HAIR
                        wide += len(over)
                        continue
                    own += leaf[0].orientation == "on edge"
                    for piece, (low, high) in zip(leaf, ends, strict=True):
                        assert high - low == pytest.approx(piece.length, abs=_HAIR)
                        assert shortest - _HAIR < piece.length < spec.block_length + _HAIR
                        assert piece.whole == (piece.length > spec.block_length - _HAIR)
                    if all(abs(gap - spec.joint) < _HAIR for gap in gaps):
                        continue
                    # No run is opened but as a whole, so its gaps are alike between openings.
                    assert not _outer(leaf[0], built)
                    assert max(gaps) < spec.liner_gap + _HAIR
                    spread += 1
    assert own > 4 * _COUNT
    assert spread
    assert wide


def test_laid_pieces_stay_and_corners_go_on_as_they_were_planned() -> None:
    """Laid pieces keep their length and their distance from the nearer corner, but those next to
    the middle of a wall that is short; runs of all courses and leaves end at corners as planned."""
    turned = 0
    for planned, built in _found().pairs:
        spec = built.spec
        for wall in WALLS:
            axis, before = _axis(wall), _far(planned, wall)
            more = _far(built, wall) - before
            for old, new in zip(planned.courses, built.courses, strict=True):
                if not more:
                    continue
                beds = sorted({round(p.box.z, 6) for p in old.pieces if p.part == wall})
                for bed in beds:
                    ones, others = (
                        [p for p in course.pieces if abs(p.box.z - bed) < _HAIR]
                        for course in (old, new)
                    )
                    runs = _leaves(planned, wall, ones), _leaves(built, wall, others)
                    for one, other in zip(*runs, strict=True):
                        first, last = _ends(one[0], planned, axis), _ends(one[-1], planned, axis)
                        to = _ends(other[0], built, axis), _ends(other[-1], built, axis)
                        if _one_side(planned, one) and new.number <= spec.laid_courses:
                            # All of it keeps to one of the corners.
                            by = to[0][0] - first[0]
                            assert more < 0 or min(abs(by), abs(by - more)) < _HAIR, spec
                            continue
                        assert to[0][0] == pytest.approx(first[0], abs=_HAIR), spec
                        assert to[1][1] == pytest.approx(last[1] + more, abs=_HAIR), spec
                        turned += new.number > spec.laid_courses
                        if new.number <= spec.laid_courses:
                            _same_pieces(planned, built, one, other, more)
    assert turned > 10 * _COUNT


def _same_pieces(
    planned: Layout, built: Layout, one: list[Piece], other: list[Piece], more: float
) -> None:
    axis, before = _axis(one[0].part), _far(planned, one[0].part)
    assert [p.length for p in one] == pytest.approx([p.length for p in other])
    for old, new in zip(one, other, strict=True):
        low, high = _ends(old, planned, axis)
        moved = more if (low + high) / 2 > before / 2 + 1e-9 else 0.0
        stays = _ends(new, built, axis)[0] == pytest.approx(low + moved, abs=1e-6)
        assert stays or more < 0
    assert sum(p.shorter for p in other) <= max(0.0, -more - built.spec.joint) + 1e-6


class Joint(NamedTuple):
    """Where a joint begins and ends along its wall, and whether that is in a laid course."""

    low: float
    high: float
    laid: bool


def _joints(layout: Layout, wall: str, pieces: list[Piece]) -> list[Joint]:
    """The joints of all leaves of a wall in a course, with those where they butt."""
    spec, axis, found = layout.spec, _axis(wall), list[Joint]()
    laid = pieces[0].course <= spec.laid_courses
    for leaf in _leaves(layout, wall, pieces):
        ends = [_ends(p, layout, axis) for p in leaf]
        for (_, low), (high, _) in pairwise(ends):
            if high - low < 0.06:
                found.append(Joint(low, high, laid))
        # Where other walls lie flat, several courses butt at one block on edge.
        if spec.edge_walls == "all":
            reach = spec.block_height if _outer(leaf[0], layout) else 0.0
            low, high, far = ends[0][0], ends[-1][1], _far(layout, wall)
            if low > -reach - _HAIR:
                found.append(Joint(low - spec.joint, low, laid))
            if high < far + reach + _HAIR:
                found.append(Joint(high, high + spec.joint, laid))
    return found


def _rows(layout: Layout, wall: str) -> list[list[Piece]]:
    """The pieces of a wall by its courses of them, from the base up."""
    beds: dict[float, list[Piece]] = {}
    for piece in layout.pieces:
        if piece.part == wall:
            beds.setdefault(round(piece.box.z, 6), []).append(piece)
    return [beds[z] for z in sorted(beds)]


def test_joints_of_neighbouring_courses_keep_the_least_offset_of_both_leaves() -> None:
    """Both edges of each joint, of each leaf, from those of each leaf below; butted ends too."""
    checked = 0
    for _, built in _found().pairs:
        spec = built.spec
        offset = spec.joint_offset or spec.block_length / 4
        for wall in WALLS:
            for rows in pairwise(_rows(built, wall)):
                below, above = (_joints(built, wall, row) for row in rows)
                for over in above:
                    for under in below:
                        if over.laid:
                            continue
                        apart = min(abs(over.low - under.low), abs(over.high - under.high))
                        assert apart > offset - _HAIR, (spec, wall, over, under)
                        checked += 1
    assert checked > 60 * _COUNT


def test_what_is_not_proved_is_told() -> None:
    told = 0
    for planned, built in _found().pairs:
        said = any(note.startswith("Not proved") for note in built.advice)
        assert said or built.least or not planned.least, built.spec
        assert not (said and built.least), built.spec
        told += said
    assert told < _COUNT / 3


def test_a_refused_size_is_told_with_one_that_works() -> None:
    """Both as it is told in inches; where the other size is what is wrong next, that is told."""
    worked = other = 0
    for spec, message in _found().refused:
        start = r"Measured inside (length|width).*?; "
        named = re.search(start + r"nearest that works: ([\d.]+) in", message)
        then = r"([\d.]+) in \([^)]*\) would do by itself, but then Measured inside (length|width)"
        alone = re.search(start + then, message)
        if named:
            assert solve(replace(spec, **{f"laid_{named[1]}": float(named[2]) * INCH})), message
            worked += 1
        elif alone:
            changed = replace(spec, **{f"laid_{alone[1]}": float(alone[2]) * INCH})
            with pytest.raises(InputError, match=f"Measured inside {alone[3]}"):
                solve(changed)
            other += 1
        else:
            # Nothing near works: what else to change is told.
            assert "take down a course, or give a smaller least joint offset" in message
    assert worked
    assert worked + other > 0.8 * len(_found().refused)


def test_what_is_typed_as_a_planned_size_is_told_is_the_planned_size() -> None:
    """510 mm are 20.079 in to a thousandth: no hair of a joint is laid for that."""
    spec = BasinSpec(
        0.51, 0.96, 0.4, 0.1, 0.21, courses=2, water_depth=0.1, joint_offset=0.1,
        edge_courses="2", edge_doubled="yes", edge_leaves="leaf by leaf", laid_courses=1,
    )  # fmt: skip
    planned, typed = solve(spec), solve(replace(spec, laid_length=20.079 * INCH))
    assert typed.pieces == planned.pieces
    assert solve(replace(spec, laid_length=20.1 * INCH)).pieces != planned.pieces


def _small(source: random.Random) -> tuple[BasinSpec, Blocks] | None:
    """A basin in whole units with doubled courses, and its blocks."""
    long, joint = source.randint(6, 9), source.choice([0, 0, 1])
    height, offset = source.randint(1, 2), source.randint(2, 3)
    depth = 2 * height + joint
    if depth > long - offset:
        return None
    blocks = Blocks(long, joint, source.randint(1, long // 2), offset, depth)
    kinds = source.choice(
        [["flat", "on edge"], ["flat", "on edge", "flat"], ["on edge", "flat", "on edge"]]
    )
    spec = BasinSpec(
        inside_length=source.randint(long, 3 * long) * UNIT,
        inside_width=source.randint(long // 2, 2 * long) * UNIT,
        block_length=long * UNIT,
        block_height=height * UNIT,
        block_depth=depth * UNIT,
        courses=len(kinds),
        water_depth=UNIT,
        freeboard=0.0,
        joint=joint * UNIT,
        joint_offset=offset * UNIT,
        shortest_piece=blocks.shortest * UNIT,
        kerf=0.1 * UNIT,
        course_pattern=", ".join(kinds),
        edge_doubled="yes",
        edge_leaves="leaf by leaf",
        laid_courses=1,
    )
    return spec, blocks


def _least(layout: Layout, blocks: Blocks) -> int | None:
    """The fewest cuts of all courses to lay by the programme; None where there are none."""
    spec, total, one = layout.spec, 0, round(layout.spec.block_height / UNIT)
    for wall in WALLS:
        far = round(_far(layout, wall) / UNIT)
        below, *above = _rows(layout, wall)
        courses = []
        for row in above:
            leaves = _leaves(layout, wall, row)
            owners = []
            for leaf, reach in zip(leaves, (0, one), strict=False):
                low, high = (
                    _ends(leaf[0], layout, _axis(wall)),
                    _ends(leaf[-1], layout, _axis(wall)),
                )
                starts = low[0] / UNIT < -reach - 0.5
                owners.append(((None, starts), (None, high[1] / UNIT > far + reach + 0.5)))
            course = Course(*owners[0], one if len(leaves) > 1 else blocks.depth)
            if len(leaves) > 1:
                outer = Course(*owners[1], one, shift=one + blocks.joint)
                course = replace(course, outer=outer)
            courses.append(course)
        standing = {
            at / UNIT
            for joint in _joints(layout, wall, below)
            for at in (joint.low, joint.high - spec.joint)
        }
        programme = Programme()
        add_wall(programme, blocks, Wall(far), courses, standing)
        least = programme.least()
        if least is None:
            return None
        total += least
    return total


def test_leaves_on_what_stands_have_the_fewest_cuts_or_say_that_it_is_open() -> None:
    source = random.Random(12)
    compared = still_open = 0
    while compared < 4:
        found = _small(source)
        if found is None:
            continue
        spec, blocks = found
        changed = replace(
            spec,
            laid_length=spec.inside_length + source.choice([-1, 1]) * UNIT,
            laid_width=spec.inside_width + source.choice([-1, 1]) * UNIT,
        )
        try:
            layout = solve(changed)
        except InputError:
            continue
        least = _least(layout, blocks)
        assert least is not None, changed
        assert layout.blocks.cut_pieces >= least, changed
        assert layout.blocks.cut_pieces == least or not layout.least, changed
        compared += 1
        still_open += not layout.least
    assert still_open <= 1
