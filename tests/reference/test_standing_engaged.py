"""Columns that are part of a wall as built, with other inside sizes than planned: with shapely.

Random basins with such columns, openings, a second wall and caps, some of whose courses are laid,
and which measure a little longer or shorter. What is asked of them follows from the inputs and from
the basin as planned. ``BASINBOOK_STANDING_COLUMNS=300`` looks at so many.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from shapely import box, unary_union

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import WALLS, Layout, Piece
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import COST, CUTS, INCH, BasinSpec
from basinbook.engine.spec_columns import IN_WALL
from column_jobs import GRAIN, along, at_heights, engaged, plan, with_column
from means_jobs import means_of, plain_basin, with_means, without

_COUNT = int(os.environ.get("BASINBOOK_STANDING_COLUMNS", "0")) or 110
_OFF = (-12, -8, -4, -2, -1, 0, 1, 2, 4, 8, 12)
_HAIR = 1e-5
_SHORT = -1e-9

Pair = tuple[Layout, Layout]


def _job(source: random.Random) -> BasinSpec | None:
    """A basin with a column in a wall, with few other means or with all; None for no such basin."""
    if source.random() < 0.8:
        small = [source.randint(60, 130) / 2 * INCH for _ in range(2)]
        spec = replace(with_column(source), inside_length=small[0], inside_width=small[1])
        # The aim cost wants prices, which are not given.
        return spec if spec.aim != COST and _has_bond(spec) else None
    spec = plain_basin(source)
    means = means_of(source, spec)
    # Means are only given up: what has no such column now will have none.
    while _in_walls(found := with_means(spec, means)):
        try:
            count_cuts(replace(found, aim=CUTS), hints=False)
        except InputError as error:
            means = without(means, error)
        else:
            return found
    return None


def _in_walls(spec: BasinSpec) -> bool:
    return any(getattr(spec, f"wall_column_{slot}") in IN_WALL for slot in (1, 2, 3))


def _has_bond(spec: BasinSpec) -> bool:
    try:
        # Whether there is one does not hang on the aim, and this is sooner told.
        return bool(count_cuts(replace(spec, aim=CUTS), hints=False).blocks)
    except InputError:
        return False


@cache
def pairs() -> tuple[Pair, ...]:
    """Basins as planned and as built; few of those that can be planned have no bond as built."""
    source, found, refused = random.Random(47), list[Pair](), list[str]()
    while len(found) < _COUNT:
        spec = _job(source)
        if spec is None:
            continue
        measured = [source.choice(_OFF) * INCH / 16 for _ in range(2)]
        built = replace(
            spec,
            laid_courses=source.randint(1, spec.courses),
            laid_length=spec.inside_length + measured[0],
            laid_width=spec.inside_width + measured[1],
        )
        try:
            planned = solve(spec)
        except InputError:
            continue
        try:
            found.append((planned, solve(built)))
        except InputError as error:
            refused.append(str(error))
    assert all(message.startswith("Measured inside") for message in refused), refused
    assert len(refused) < _COUNT / 6, refused
    return tuple(found)


def off(pair: Pair, wall: str) -> float:
    """What a wall measures more than planned."""
    (one, two) = (layout.spec for layout in pair)
    if wall in ("left", "right"):
        return two.inside_width - one.inside_width
    return two.inside_length - one.inside_length


def sizes(layout: Layout, wall: str) -> tuple[float, float]:
    """Where a wall begins and ends along it: between the corners, the second wall as a whole."""
    spec = layout.spec
    if wall == "second wall":
        return 0.0, spec.inside_length + 2 * spec.block_depth
    inside = spec.inside_width if wall in ("left", "right") else spec.inside_length
    return spec.block_depth, spec.block_depth + inside


def test_no_two_pieces_lie_in_one_place() -> None:
    """At every height the union of all pieces is as large as their sum; mitred caps are boxes."""
    for _, built in pairs():
        caps = [cap for cap in built.caps if not cap.mitres]
        for z, pieces in at_heights([*built.pieces, *caps, *built.column_caps]):
            total = sum(plan(p).area for p in pieces)
            assert total - unary_union([plan(p) for p in pieces]).area < 1e-9, (built.spec, z)


def rows_of(layout: Layout, wall: str) -> Iterator[tuple[float, list[Piece]]]:
    """By height: what lies along a wall from left to right, blocks of columns across it too."""
    end = sizes(layout, wall)[1]
    blocks = [p for _, at, found in engaged(layout) if at == wall for p in found]
    # The returns of the second wall run through at its ends, by turns.
    parts = {wall, "left return", "right return"} if wall == "second wall" else {wall}
    mine = [p for p in layout.pieces if p.part in parts]
    top = max(p.box.z + p.box.dz for p in mine)
    s = layout.spec
    t, far = s.block_depth, s.inside_width + 2 * s.block_depth + s.pipe_space
    strip = {
        "front": box(0, 0, end + t, t),
        "back": box(0, t + s.inside_width, end + t, 2 * t + s.inside_width),
        "left": box(0, 0, t, end + t),
        "right": box(t + s.inside_length, 0, 2 * t + s.inside_length, end + t),
        "second wall": box(0, far, end, far + t),
    }[wall]
    for z, pieces in at_heights([*mine, *blocks], layout.spec.joint + _HAIR):
        if z < top:
            row = [p for p in pieces if plan(p).intersection(strip).area > 1e-6]
            yield z, sorted(row, key=lambda p: along(wall, p))


def openings_at(layout: Layout, wall: str, z: float) -> list[tuple[float, float]]:
    found = []
    for one in layout.openings:
        b = one.box
        if one.part == wall and b.z < z < b.z + b.dz:
            found.append((b.y, b.y + b.dy) if wall in ("left", "right") else (b.x, b.x + b.dx))
    return found


def test_walls_are_closed_but_for_one_wide_joint_in_laid_courses() -> None:
    wide = 0
    for pair in pairs():
        built = pair[1]
        joint = built.spec.joint
        for _, wall, _ in engaged(built):
            more = off(pair, wall)
            for z, row in rows_of(built, wall):
                laid = min(p.course for p in row) <= built.spec.laid_courses
                open_ = openings_at(built, wall, z)
                ends = [along(wall, p) for p in row]
                gaps = [
                    two[0] - one[1]
                    for one, two in pairwise(ends)
                    if not any(low < (one[1] + two[0]) / 2 < high for low, high in open_)
                ]
                start, end = sizes(built, wall)
                assert ends[0][0] < start + joint + _HAIR, built.spec
                assert ends[-1][1] > end - joint - _HAIR, built.spec
                over = [gap for gap in gaps if gap > joint + _HAIR]
                assert min(gaps, default=0.0) > _SHORT, (built.spec, wall, z, gaps)
                if open_ and laid:
                    continue
                assert len(over) <= (laid and more > 0), (built.spec, wall, z, gaps, more)
                if over:
                    assert over[0] == pytest.approx(joint + more, abs=_HAIR)
                wide += len(over)
    assert wide > _COUNT / 3


def test_columns_stand_as_they_were_set_out_and_keep_to_the_nearer_corner() -> None:
    moved = 0
    for pair in pairs():
        planned, built = pair
        for (_, wall, ones), (_, _, others) in zip(engaged(planned), engaged(built), strict=True):
            more, (start, end) = off(pair, wall), sizes(planned, wall)
            whole = unary_union([plan(p) for p in ones]).bounds
            low, high = (whole[1], whole[3]) if wall in ("left", "right") else (whole[0], whole[2])
            by = more if low + high > start + end + 1e-9 else 0.0
            assert len(ones) == len(others), built.spec
            for one, other in zip(ones, others, strict=True):
                assert one.length == other.length
                assert other.whole
                assert along(wall, other)[0] == pytest.approx(along(wall, one)[0] + by, abs=1e-7)
                assert one.box.z == other.box.z
            moved += by != 0.0
    assert moved > _COUNT / 10


def test_laid_pieces_keep_their_length_and_their_distance_from_a_corner() -> None:
    """Only in a wall that measures short does one stand elsewhere, or shorter."""
    for pair in pairs():
        planned, built = pair
        for wall in WALLS:
            more = off(pair, wall)
            for old, new in zip(
                planned.courses[: built.spec.laid_courses], built.courses, strict=False
            ):
                ones, others = (
                    sorted(
                        (p for p in course.pieces if p.part == wall),
                        key=lambda p: (p.box.z, along(wall, p)),
                    )
                    for course in (old, new)
                )
                assert [p.length for p in ones] == pytest.approx([p.length for p in others])
                sides = []
                for one, other in zip(ones, others, strict=True):
                    by = along(wall, other)[0] - along(wall, one)[0]
                    if abs(by) < 1e-7:
                        sides.append(0)
                    elif abs(by - more) < 1e-7:
                        sides.append(1)
                    else:
                        assert more < 0, (built.spec, wall, by, more)
                if len({p.box.z for p in ones}) == 1 and more > 0:
                    assert sides == sorted(sides), built.spec


def test_joints_over_what_stands_keep_the_least_offset() -> None:
    """From both edges of each joint of the laid courses, blocks of columns among the pieces."""
    checked = 0
    for pair in pairs():
        built = pair[1]
        spec = built.spec
        least = spec.joint_offset or spec.block_length / 4
        for _, wall, _ in engaged(built):
            rows = [(z, row) for z, row in rows_of(built, wall)]
            turns = not any("do not interlock" in note for note in built.advice)
            for (low, below), (high, above) in pairwise(rows):
                if min(p.course for p in above) <= spec.laid_courses:
                    continue
                both = []
                for z, whole in ((low, below), (high, above)):
                    # Returns too short to take turns run through in every course, which is said.
                    row = [p for p in whole if p.part == wall or turns or "return" not in p.part]
                    open_ = openings_at(built, wall, z)
                    both.append(
                        [
                            (one[1], two[0])
                            for one, two in pairwise(along(wall, p) for p in row)
                            if not any(a < (one[1] + two[0]) / 2 < b for a, b in open_)
                        ]
                    )
                for over in both[1]:
                    for under in both[0]:
                        apart = min(abs(over[0] - under[0]), abs(over[1] - under[1]))
                        assert apart > least - _HAIR, (spec, wall, over)
                        checked += 1
    assert checked > 10 * _COUNT


def test_pieces_still_to_lay_are_no_shorter_than_the_shortest() -> None:
    for _, built in pairs():
        spec = built.spec
        least = (spec.shortest_piece or spec.block_length / 4) - GRAIN
        for _, wall, _ in engaged(built):
            for p in built.to_lay:
                if p.part == wall:
                    assert p.length > least, (spec, p)


def test_a_column_at_the_middle_has_the_wide_joint_beside_it() -> None:
    """By hand: front of 72 in, column of 12 + 8 in from 26 to 46, which keeps to the left."""
    spec = BasinSpec(
        72 * INCH, 48 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=12 * INCH, courses=4,
        wall_column_1="in front wall", wall_column_1_courses=4, laid_courses=2,
    )  # fmt: skip
    built = solve(replace(spec, laid_length=72.5 * INCH))
    for z, row in rows_of(built, "front"):
        ends = [[(at / INCH) - 8 for at in along("front", p)] for p in row]
        wide = [one[1] for one, two in pairwise(ends) if two[0] - one[1] > 0.01]
        assert all(46 - 1e-6 < at < 46 + 12 for at in wide)
        assert len(wide) == (z < 8 * INCH)
        across = [one for one in ends if one[1] - one[0] == pytest.approx(8)]
        assert any(one[0] == pytest.approx(26) or one[1] == pytest.approx(46) for one in across)


def test_columns_whose_caps_would_meet_are_refused_with_the_nearest_that_works() -> None:
    spec = BasinSpec(
        96 * INCH, 48 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=8 * INCH, courses=3,
        wall_column_1="in front wall", wall_column_1_courses=4, wall_column_1_at=34 * INCH,
        wall_column_2="in front wall", wall_column_2_courses=4, wall_column_2_at=62 * INCH,
        column_cap_of="one piece", column_cap_side=28 * INCH, column_cap_height=2 * INCH,
        laid_courses=1,
    )  # fmt: skip
    assert solve(replace(spec, laid_length=96.5 * INCH)).to_lay
    with pytest.raises(InputError, match=r"it would stand in column 1.*nearest that works: 96 in"):
        solve(replace(spec, laid_length=95.75 * INCH))
