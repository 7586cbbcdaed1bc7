from __future__ import annotations

from itertools import pairwise

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import loads

INCH = 0.0254
PSI = 4.4482216152605 / INCH**2


def test_thrust_is_the_sum_of_the_pressure_table() -> None:
    depth = 0.4
    table = loads.pressure_table(depth, 8)
    step = depth / 8
    # The trapezium rule is exact for a straight line.
    total = sum((a[1] + b[1]) / 2 * step for a, b in pairwise(table))
    assert total == pytest.approx(loads.wall_thrust(depth))
    assert table[0] == (0.0, 0.0)


def test_twice_the_depth_gives_eight_times_the_moment() -> None:
    assert loads.water_moment(0.6) == pytest.approx(8 * loads.water_moment(0.3))
    assert loads.wall_thrust(0.6) == pytest.approx(4 * loads.wall_thrust(0.3))


def test_joints_from_the_base_up() -> None:
    joints = loads.joint_loads(0.2, 0.15, 4, 0.4, 2100.0, 0.6, 50e3, 0.5, 0.25, 0.05)
    assert [joint.course for joint in joints] == [1, 2, 3, 4]
    first, top = joints[0], joints[-1]
    assert first.thrust == pytest.approx(loads.wall_thrust(0.4))
    assert first.weight == pytest.approx(loads.wall_weight(0.2, 0.6, 2100.0, 0.25, 0.05))
    # Course 1 lies on the base by friction; the least glued joint is that under course 2.
    second = joints[1]
    assert (first.shear, first.bond) == (None, None)
    assert second.shear == pytest.approx(second.thrust / 0.1)
    assert second.bond == pytest.approx(50e3 / second.thrust * 0.1)
    # No water stands above the top joint at 0.45 m.
    assert (top.thrust, top.sliding, top.overturning, top.bond) == (0.0, None, None, None)
    assert top.pressed


def test_the_least_glued_joint_is_under_course_2() -> None:
    # 18 in of water, 8 in of wall in courses of 4, 5 psi on 20 %: under course 2 stand 14 in,
    # 62.428 · (14 / 12)² / 2 / (12 · 8 · 0.2) = 2.2128 psi, and 5 / 2.2128 = 2.2596; under course
    # 1, which is not glued, it would be 1.37.
    table = call("COURSELOADS", 8, 4, 5, 18, 130, 0.45, "5 psi", 0.2).value
    assert isinstance(table, list)
    assert [line[6] for line in table[:2]] == [None, 2.25]
    joints = loads.joint_loads(8 * INCH, 4 * INCH, 5, 18 * INCH, 2080.0, 0.45, 5 * PSI, 0.2)
    assert loads.wall_load(joints).bond == (pytest.approx(2.26, abs=0.005), 2)


def test_density_is_that_of_the_block() -> None:
    # 46 lb in 18 · 4 · 8 / 1728 = 1/3 ft³ are 138 lb/ft³, not 130.
    assert call("BLOCKDENSITY", 46, 18, 4, 8).value == pytest.approx(138.0)


def test_pressure_under_the_toe() -> None:
    # 14 in of water, 4 courses of 8 in and a cap of 12 × 2 in at 130 lb/ft³:
    # 137.22 lb/ft, 16.52 lb·ft/ft, e = 1.445 in, pressed 3 · (4 − 1.445) = 7.666 in:
    # 2 · 137.22 · 12 / 7.666 = 429.6 lb/ft².
    labels = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
              ["Block depth"], ["Water depth"], ["Freeboard"], ["Cap length"], ["Cap depth"],
              ["Cap height"]]  # fmt: skip
    values = [[64], [46], [18], [4], [8], [14], [2], [24], [12], [2]]
    assert call("TOEPRESSURE", labels, values, 130).value == pytest.approx(429.6, abs=0.1)
    with pytest.raises(InputError, match="outside the base"):
        loads.toe_pressure(1000.0, 0.1, 101.0, 0.2)


def test_without_an_allowable_there_is_no_bond_ratio() -> None:
    assert loads.joint_loads(0.2, 0.15, 2, 0.3, 2100.0, 0.6)[0].bond is None


def test_water_over_the_wall_is_refused() -> None:
    with pytest.raises(InputError, match="water_depth"):
        loads.joint_loads(0.2, 0.15, 2, 0.31, 2100.0, 0.6)


@pytest.mark.parametrize("moment", [0.0, 500.0, 1666.0, 1667.0, 3000.0, 4900.0])
def test_ground_carries_the_whole_load_where_it_acts(moment: float) -> None:
    vertical, width = 10e3, 1.0
    under = loads.bearing_pressure(vertical, moment, width)
    assert (under.greatest + under.least) / 2 * under.contact == pytest.approx(vertical)
    # Centroid of the trapezium, from the pressed edge.
    high, low = under.greatest, under.least
    centroid = under.contact / 3 * (high + 2 * low) / (high + low)
    assert width / 2 - centroid == pytest.approx(moment / vertical, abs=1e-12)


def test_the_side_of_the_moment_does_not_matter() -> None:
    one, other = (loads.bearing_pressure(10e3, moment, 1.0) for moment in (-2000.0, 2000.0))
    assert one == other


def test_a_load_outside_the_base_is_refused() -> None:
    with pytest.raises(InputError, match="outside the base"):
        loads.bearing_pressure(10e3, 5000.0, 1.0)


def test_load_spreads_with_depth() -> None:
    shallow = loads.spread_pressure(500.0, 0.6, 0.4)
    deep = loads.spread_pressure(500.0, 0.6, 0.4, 0.2)
    assert shallow == pytest.approx(500.0 * 9.80665 / 0.24)
    assert deep == pytest.approx(shallow * 0.24 / (0.8 * 0.6))


def test_no_drive_gives_a_message_not_a_number() -> None:
    for name, act in (
        ("thrust", lambda: loads.sliding_ratio(100.0, 0.5, 0.0)),
        ("moment", lambda: loads.overturning_ratio(100.0, 0.1, 0.0)),
        ("shear", lambda: loads.bond_ratio(100.0, 0.0)),
        ("pressure", lambda: loads.bearing_ratio(100.0, 0.0)),
        ("glued_share", lambda: loads.bond_shear(100.0, 0.2, 0.0)),
        ("vertical", lambda: loads.bearing_pressure(0.0, 1.0, 1.0)),
        ("steps", lambda: loads.pressure_table(1.0, 0)),
    ):
        with pytest.raises(InputError) as caught:
            act()
        assert caught.value.argument == name


def test_course_loads_show_blanks_where_no_water_stands() -> None:
    table = call("COURSELOADS", 8, 6, 3, 12, 135, 0.5, "10 psi").value
    assert isinstance(table, list)
    assert table[2][3:5] == [None, None]
    assert table[2][6] is None
