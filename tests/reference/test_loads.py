"""Hydrostatics and wall stability against textbook examples and model codes.

Worked examples with g = 9.81 m/s² or a round weight of water differ from standard gravity by
0.03 % and more; each tolerance says so.
"""

from __future__ import annotations

import pytest

from basinbook.engine import cautions
from basinbook.engine.water import loads

FOOT = 0.3048
POUND_FORCE = 4.4482216152605
G = 9.80665


def density(kn_per_m3: float) -> float:
    """Return the density [kg/m³] that weighs so many kN/m³, so that the examples' weights hold."""
    return kn_per_m3 * 1e3 / G


def test_force_on_a_dam_essential_university_physics() -> None:
    # Wolfson, Essential University Physics (4th ed.), chapter 15, problem 44: 1500 m wide, water
    # 95 m deep: 66.4 GN; three figures, g = 9.81: 0.1 %.
    assert loads.wall_force(95.0, 1500.0) == pytest.approx(66.4e9, rel=1e-3)


def test_force_on_a_dam_college_physics() -> None:
    # OpenStax College Physics, example "What force must a dam withstand?" (from memory): 500 m
    # wide, 80.0 m deep: 1.57e10 N; three figures, g = 9.80: 0.4 %.
    assert loads.wall_force(80.0, 500.0) == pytest.approx(1.57e10, rel=4e-3)


def test_force_on_a_dam_in_feet() -> None:
    # Calculus problem, 80 ft long and 20 ft deep: 500 tons with water of 62.5 lb/ft³, which is
    # 0.11 % over 62.43.
    tons = loads.wall_force(20 * FOOT, 80 * FOOT) / POUND_FORCE / 2000
    assert tons == pytest.approx(500.0, rel=1.2e-3)


def test_feet_of_water_per_psi() -> None:
    # Handbook: 2.31 ft of water is 1 lb/in² (from memory); three figures: 0.2 %.
    psi = loads.water_pressure(2.31 * FOOT) / POUND_FORCE * 0.0254**2
    assert psi == pytest.approx(1.0, rel=2e-3)


def test_rectangular_dam_sarkar_14_1() -> None:
    # B. K. Sarkar, Strength of Materials, problem 14.1, p. 325: rectangular dam 2 m thick of 2.5
    # times water's weight, water to the top; greatest height without tension 3.16 m =
    # √(30 · (4/3 − 1)); friction 0.5: factor against sliding 1.58. Three figures: 0.3 %.
    height = 3.1623
    weight = loads.wall_weight(2.0, height, 2500.0)
    thrust, moment = loads.wall_thrust(height), loads.water_moment(height)
    assert loads.sliding_ratio(weight, 0.5, thrust) == pytest.approx(1.58, rel=3e-3)
    under = loads.bearing_pressure(weight, moment, 2.0)
    assert under.eccentricity == pytest.approx(2.0 / 6, rel=1e-4)
    assert under.least == pytest.approx(0.0, abs=1e-3 * under.greatest)


def test_joint_table_gives_the_same_dam() -> None:
    # The same dam as one course: middle third just kept a little below that height, not above.
    for height, pressed in ((3.15, True), (3.17, False)):
        (joint,) = loads.joint_loads(2.0, height, 1, height, 2500.0, 0.5)
        assert joint.pressed is pressed


def test_joint_table_halfway_up_the_same_dam() -> None:
    # The same dam in two courses, by hand: over the upper joint stands half the weight, against
    # a quarter of the thrust and an eighth of the moment. Below, where
    # h² = 10 m², overturning is W · 1 m / M = 2 · 2.5 · 6 / h² = 3, sliding the book's 1.58.
    height = 10**0.5
    lower, upper = loads.joint_loads(2.0, height / 2, 2, height, 2500.0, 0.5, 50e3)
    assert lower.sliding == pytest.approx(1.58, rel=3e-3)
    assert lower.overturning == pytest.approx(3.0, rel=1e-9)
    assert (lower.pressed, upper.pressed) == (True, True)
    for found, times in (
        (upper.weight / lower.weight, 1 / 2),
        (upper.thrust / lower.thrust, 1 / 4),
    ):
        assert found == pytest.approx(times, rel=1e-9)
    assert upper.sliding == pytest.approx(2 * 1.58, rel=3e-3)
    assert upper.overturning == pytest.approx(4 * 3.0, rel=1e-9)
    # Shear in the glue of the upper joint: 1000 · 9.80665 · 10 / 2 / 4 N/m on 2 m.
    assert lower.shear is None
    assert upper.shear == pytest.approx(6129.15625, rel=1e-9)
    assert upper.bond == pytest.approx(50e3 / 6129.15625, rel=1e-9)


def test_dam_sarkar_14_3() -> None:
    # B. K. Sarkar, Strength of Materials, problem 14.3, p. 327: dam 6 m high, 1 m wide at top, 4 m
    # at the base, masonry 22.4 kN/m³, water 5.5 m deep at 10 kN/m³. W = 336 kN/m, 1.4 m from the
    # water face; P = 151.25 kN/m; e = 1.4 + 151.25 / 336 · 5.5 / 3 − 2 = 0.2253 m;
    # stresses 84 · (1 ± 6 · 0.2253 / 4) = 112.4 and 55.6 kN/m².
    weight = (1.0 + 4.0) / 2 * 6.0 * 22.4e3
    moment = weight * (1.4 - 2.0) + loads.water_moment(5.5, density(10.0))
    under = loads.bearing_pressure(weight, moment, 4.0)
    assert under.greatest == pytest.approx(112.4e3, abs=50.0)
    assert under.least == pytest.approx(55.6e3, abs=50.0)


def test_retaining_wall_sarkar_14_12() -> None:
    # B. K. Sarkar, Strength of Materials, problem 14.12, p. 340: wall 6 m high, 1.5 m and 3.5 m
    # wide, 22.5 kN/m³; soil of 16 kN/m³ and 30°, so pressed like a liquid of 16 / 3 kN/m³.
    # W = 337.5 at 1.3167 m, P = 96 kN/m; e = 1.3167 + 96 / 337.5 · 2 − 1.75 = 0.1356 m;
    # 96.43 · (1 ± 6 · 0.1356 / 3.5) = 118.8 and 74.0 kN/m².
    moment = 337.5e3 * (1.3167 - 1.75) + loads.water_moment(6.0, density(16 / 3))
    under = loads.bearing_pressure(337.5e3, moment, 3.5)
    assert loads.wall_thrust(6.0, density(16 / 3)) == pytest.approx(96e3, rel=1e-6)
    assert under.greatest == pytest.approx(118.8e3, abs=100.0)
    assert under.least == pytest.approx(74.0e3, abs=100.0)


def test_masonry_dam_course_example() -> None:
    # University course unit on retaining walls, example 9.1 continued: W = 582.4 kN/m at
    # 5 − 1.782 m from the toe, water 7.5 m deep at 10 kN/m³: P = 281.25 kN/m, moment 703.125;
    # friction 0.6: 1.243 against sliding and 2.67 against overturning. Its sliding figure is
    # printed 1.243 from 349.44 / 281.25 = 1.2425.
    thrust, moment = loads.wall_thrust(7.5, density(10)), loads.water_moment(7.5, density(10))
    assert thrust == pytest.approx(281.25e3, rel=1e-9)
    assert moment == pytest.approx(703.125e3, rel=1e-9)
    assert loads.sliding_ratio(582.4e3, 0.6, thrust) == pytest.approx(1.243, abs=1e-3)
    assert loads.overturning_ratio(582.4e3, 5 - 1.782, moment) == pytest.approx(2.67, abs=5e-3)


def test_base_width_without_tension() -> None:
    # Example 8.11 of an irrigation engineering textbook (its published Scilab companion): dam 6 m
    # high, 1.5 m wide at top, 20 kN/m³, water to the top at 9.81 kN/m³, no uplift: base of
    # 3.77 m for no tension; maximum stress 2 W / b, factor against sliding with friction 0.6
    # 0.6 · 316.2 / 176.58 = 1.074. Base width to three figures: 0.5 %.
    base = 3.774
    block, wedge = 1.5 * 6 * 20e3, (base - 1.5) / 2 * 6 * 20e3
    weight = block + wedge
    arm = (block * (base - 0.75) + wedge * (base - 1.5) * 2 / 3) / weight
    moment = weight * (base / 2 - arm) + loads.water_moment(6.0, density(9.81))
    under = loads.bearing_pressure(weight, moment, base)
    assert under.greatest == pytest.approx(2 * weight / base, rel=5e-3)
    assert under.least == pytest.approx(0.0, abs=5e-3 * under.greatest)
    thrust = loads.wall_thrust(6.0, density(9.81))
    assert loads.sliding_ratio(weight, 0.6, thrust) == pytest.approx(1.074, rel=2e-3)


def test_cantilever_wall_das() -> None:
    # Das, Principles of Foundation Engineering (7th ed.), example 8.1 (from memory): base 4 m,
    # ΣV = 470.45 kN/m, resisting moment 1128.98, overturning 379.25 kN·m/m: factor 2.98,
    # e = 0.406 m, pressures 189.2 and 45.9 kN/m². 0.3 % for its rounded steps.
    assert loads.overturning_ratio(470.45, 1128.98 / 470.45, 379.25) == pytest.approx(
        2.98, abs=0.01
    )
    about_middle = 470.45 * 2 - (1128.98 - 379.25)
    under = loads.bearing_pressure(470.45, about_middle, 4.0)
    assert under.eccentricity == pytest.approx(0.406, abs=1e-3)
    assert under.greatest == pytest.approx(189.2, rel=3e-3)
    assert under.least == pytest.approx(45.9, rel=3e-3)


def test_partly_lifted_base() -> None:
    # Worked example of a square crane base, published on the web (a weak source, but its
    # arithmetic stands): 2687.5 kN, 4200 kN·m, 7 m × 7 m: e = 1.563 m, pressed 5.811 m,
    # 132.2 kPa. Rounded steps: 0.1 %.
    under = loads.bearing_pressure(2687.5 / 7, 4200 / 7, 7.0)
    assert under.eccentricity == pytest.approx(1.563, rel=1e-3)
    assert under.contact == pytest.approx(5.811, rel=1e-3)
    assert under.greatest == pytest.approx(132.2, rel=1e-3)
    assert not under.middle_third


@pytest.mark.parametrize(
    ("soil", "psf", "friction"),
    [
        ("bedrock", 12000, 0.70), ("foliated rock", 4000, 0.35), ("gravel", 3000, 0.35),
        ("sand", 2000, 0.25), ("clay", 1500, None),
    ],
)  # fmt: skip
def test_presumptive_soil_values(soil: str, psf: float, friction: float | None) -> None:
    # International Building Code (2012), table 1806.2; 1 lb/ft² is 0.0479 kPa there.
    assert loads.SOILS[soil].bearing == pytest.approx(psf * 47.9, rel=1e-3)
    assert loads.SOILS[soil].friction == friction


def test_code_limits() -> None:
    # IBC (2009) 105.2: 4 ft (1219 mm); IRC (2009) R404.4: 24 in (610 mm), factor 1.5.
    assert pytest.approx(1.219, abs=5e-4) == loads.PERMIT_HEIGHT
    assert pytest.approx(0.610, abs=5e-4) == loads.DESIGN_DEPTH
    assert loads.LEAST_STABILITY_RATIO == 1.5


def test_load_constant() -> None:
    # DHHS (NIOSH) Publication 94-110: 23 kg, 51 lb; the two differ by 0.6 %.
    assert pytest.approx(51 * 0.45359237, rel=1e-2) == cautions.LOAD_CONSTANT
