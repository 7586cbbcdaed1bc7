"""Loads of walls whose courses are not alike, worked out by hand; and how ratios are rounded.

One course of 8 × 4 in on edge between two flat ones, caps of 12 × 2 in, 130 lb/ft³, 14 in of
water: sections 8 · 4 + 4 · 8 + 8 · 4 + 12 · 2 = 32 + 32 + 32 + 24 = 120 in², and that by 130 / 144
108.33 lb/ft. Full thickness would be 8 · 16 + 24 = 152 in² and 137.2 lb/ft.
"""

from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.strips import wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.water import loads
from basinbook.engine.water.loads import Band, JointLoad, StripCourse, WallStrip

POUND_PER_FOOT = 4.4482216152605 / 0.3048
DENSITY = 130 * 0.45359237 / 0.3048**3
# Water of 1000 kg/m³ weighs 62.428 lb/ft³.
WATER = 62.428

LABELS = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
          ["Block depth"], ["Water depth"], ["Freeboard"], ["Courses on edge"],
          ["Cap length"], ["Cap depth"], ["Cap height"]]  # fmt: skip
VALUES = [[64], [46], [18], [4], [8], [14], [2], ["2"], [24], [12], [2]]


def built(**change: object) -> Layout:
    """Lengths in metres."""
    sizes: dict[str, object] = {
        "inside_length": 64 * INCH, "inside_width": 46 * INCH, "block_length": 18 * INCH,
        "block_height": 4 * INCH, "block_depth": 8 * INCH, "water_depth": 14 * INCH,
        "edge_courses": "2", "cap_length": 24 * INCH, "cap_depth": 12 * INCH,
        "cap_height": 2 * INCH,
    }  # fmt: skip
    return solve(BasinSpec(**{**sizes, **change}))  # type: ignore[arg-type]


def joints(layout: Layout, wall: int = 0) -> tuple[JointLoad, ...]:
    return loads.strip_loads(wall_strips(layout)[wall], layout.spec.water_depth, DENSITY, 0.45)


@pytest.mark.parametrize("wall", range(4))
def test_true_weight_and_lever_of_the_lowest_joint(wall: int) -> None:
    first = joints(built(), wall)[0]
    assert first.weight / POUND_PER_FOOT == pytest.approx(120 / 144 * 130, rel=1e-6)
    # Inner faces flush: centres 4, 2, 4 and (caps, 2 in over on either side) 4 in from there;
    # the outer edge is at 8: (32 · 4 + 32 · 6 + 32 · 4 + 24 · 4) / 120 = 544 / 120.
    assert first.lever / INCH == pytest.approx(544 / 120, rel=1e-6)
    # Thrust 62.428 · (14 / 12)² / 2 = 42.486 lb/ft: 0.45 · 108.33 / 42.486 = 1.147, not 1.453.
    assert first.sliding == pytest.approx(0.45 * 108.333 / 42.486, rel=1e-4)
    moment = WATER * (14 / 12) ** 3 / 6
    assert first.overturning == pytest.approx(108.333 * 544 / 120 / 12 / moment, rel=1e-4)


def test_joints_of_a_thin_course_tip_about_its_own_edge() -> None:
    _, second, third = joints(built())
    # Under course 2 the joint is 4 in wide. Above: 32 in² at 2 in from its edge, 32 and 24 at 0.
    assert second.weight / POUND_PER_FOOT == pytest.approx(88 / 144 * 130, rel=1e-6)
    assert second.lever / INCH == pytest.approx(64 / 88, rel=1e-6)
    moment = WATER * (10 / 12) ** 3 / 6
    assert second.overturning == pytest.approx(88 / 144 * 130 * 64 / 88 / 12 / moment, rel=1e-4)
    assert second.overturning is not None
    assert second.overturning < 0.8
    assert not second.pressed
    assert second.shear == pytest.approx(second.thrust / (4 * INCH))
    # Under course 3 the wide course and the cap balance on that edge: nothing is left to resist.
    assert third.lever == pytest.approx(0, abs=1e-9)
    assert third.overturning == pytest.approx(0, abs=1e-6)


def test_a_course_that_tips_by_itself_has_a_ratio_of_zero() -> None:
    # Block 3 in high on edge under 8 in: its centre is 4 in out, the edge at 3.
    layout = built(block_height=3 * INCH, water_depth=12 * INCH)
    third = joints(layout)[2]
    assert third.lever / INCH == pytest.approx(-1, rel=1e-6)
    assert third.overturning == 0.0


def test_caps_that_lie_outward_shorten_the_lever() -> None:
    # All flat: 4 courses of 32 in², and caps of 24 in² 4 in out on the outer side: from −8 − 4 to
    # the inner face their centre is 6 in from there, 2 from the outer edge.
    even = joints(built(edge_courses=""))[0]
    outward = joints(built(edge_courses="", cap_overhang=4 * INCH))[0]
    assert even.lever / INCH == pytest.approx(4)
    assert outward.lever / INCH == pytest.approx((128 * 4 + 24 * 2) / 152)


def test_doubled_leaves_weigh_and_glue_without_the_joint_between() -> None:
    # Two leaves of 3.5 in and 1 in between make 8 in thick, 7 in of which carry.
    layout = built(
        block_height=3.5 * INCH, joint=1 * INCH, edge_doubled="yes", water_depth=10 * INCH,
        cap_length=0.0, cap_depth=0.0, cap_height=0.0,
    )  # fmt: skip
    first, second, *_ = joints(layout)
    assert (first.weight - second.weight) / POUND_PER_FOOT == pytest.approx(8 * 3.5 / 144 * 130)
    assert second.shear == pytest.approx(second.thrust / (7 * INCH))
    # The joint's underside is at 3.5 in, its course's bed at 4.5: the water counts from below.
    assert second.water / INCH == pytest.approx(10 - 3.5)
    assert second.height / INCH == pytest.approx(4.5)


def test_one_wall_on_edge_is_found_out() -> None:
    # The front alone on edge beside two flat courses; back and sides are even.
    layout = built(edge_walls="front")
    walls = [joints(layout, wall) for wall in range(4)]
    assert [len(found) for found in walls] == [3, 4, 4, 4]
    worst = loads.least_favourable(walls)
    assert [joint.course for joint in worst] == [1, 2, 2, 3]
    assert worst[0].weight == walls[0][0].weight < walls[1][0].weight
    assert worst[1].overturning == walls[0][1].overturning
    # The joint halfway up course 2 is one of the other three walls only.
    assert worst[2].overturning == walls[1][2].overturning
    found = loads.wall_load(worst)
    assert found.overturning == (walls[0][2].overturning, 3)


def test_the_worst_joint_need_not_be_the_lowest() -> None:
    # A base course 8 in thick and 2 high under one 2 in thick and 8 high, water to the top:
    # 0.5 · 32 / 10² against 0.5 · 16 / 8².
    strip = WallStrip(
        (StripCourse(1, 0.0, 2.0, (Band(0, 8.0),)), StripCourse(2, 2.0, 8.0, (Band(0, 2.0),))),
        None,
    )
    found = loads.wall_load(loads.strip_loads(strip, 10.0, 1000.0, 0.5))
    assert found.sliding == (pytest.approx(0.5 * 16 / (8**2 / 2)), 2)


def test_an_even_layout_is_what_courseloads_gives() -> None:
    layout = built(edge_courses="", courses=4)
    plain = loads.joint_loads(
        8 * INCH, 4 * INCH, 4, 14 * INCH, DENSITY, 0.45, 0.0, 1.0, 12 * INCH, 2 * INCH
    )
    for wall in range(4):
        for one, other in zip(joints(layout, wall), plain, strict=True):
            for name in ("height", "water", "thrust", "weight", "lever", "sliding", "overturning"):
                assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-6), name
            assert one.pressed is other.pressed


def test_no_water_is_a_message() -> None:
    dry = loads.strip_loads(loads.even_strip(0.2, 0.1, 2), 0.0, 2000.0, 0.5)
    with pytest.raises(InputError, match="water_depth"):
        loads.wall_load(dry)


def test_functions_of_the_sheet() -> None:
    found = call("WALLLOADS", LABELS, VALUES, 130, 0.45).value
    assert isinstance(found, list)
    (row,) = found
    assert row[:2] == [pytest.approx(108.333, abs=1e-3), pytest.approx(544 / 120)]
    assert row[2:] == [1.14, 1, 0.0, 3, None, None]
    table = call("BEDJOINTLOADS", LABELS, VALUES, 130, 0.45, "", "", 4).value
    assert isinstance(table, list)
    assert [line[3] for line in table] == [1.14, 1.64, 26.23, ""]
    assert [line[4] for line in table] == [2.47, 0.79, 0.0, ""]


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [
        (1.345, 1.34), (1.3499, 1.34), (1.499999, 1.49), (1.5, 1.5), (1.4999999999999998, 1.5),
        (4.35, 4.35), (0.999, 0.99), (0.0, 0.0), (26.236, 26.23),
    ],
)  # fmt: skip
def test_ratios_are_rounded_down(ratio: float, shown: float) -> None:
    assert loads.rounded_down(ratio) == shown


@pytest.mark.parametrize("weight", [100.0, 119.97, 128.5, 128.571, 128.572, 140.0])
def test_cell_and_text_show_one_number(weight: float) -> None:
    # 0.35 · weight / 30: at 128.571 just under 1.5, which the cell must not show.
    cell = call("SLIDINGRATIO", weight, 0.35, 30).value
    assert isinstance(cell, float)
    exact = 0.35 * weight / 30
    assert exact - 0.01 < cell <= exact
    # What a sheet shows with two decimals is that number too.
    assert float(f"{cell:.2f}") == cell


def test_no_ratio_on_a_sheet_is_rounded_up() -> None:
    # 120 lb/ft · 4.49 in / 40 lb·ft/ft / 12 = 1.1225; 89 / 66 = 1.348; 1345 / 1000.
    assert call("OVERTURNINGRATIO", 120, 4.49, 40).value == 1.12
    assert call("BONDSHEARRATIO", 89, 66, 12, 1).value == 1.34
    assert call("BEARINGRATIO", 1345, 1000).value == 1.34
    table = call("COURSELOADS", 8, 4, 4, 14, 130, 0.45).value
    assert isinstance(table, list)
    # 0.45 · 128 / 144 · 130 / 42.486 = 1.2239
    assert table[0][3] == 1.22
