"""Water balance against handbook constants and the reference library for water."""

from __future__ import annotations

import pytest
from iapws import IAPWS97

from basinbook.engine.water import balance
from basinbook.engine.water.volume import WATER_DENSITY

INCH, FOOT = 0.0254, 0.3048
GALLON = 231 * INCH**3  # NIST Handbook 44, appendix C: 231 cubic inches


def test_water_density_iapws() -> None:
    # IAPWS-IF97: densest at 4 °C, 999.97 kg/m³; the round 1000 is off by 0.003 %.
    assert pytest.approx(IAPWS97(T=277.15, P=0.101325).rho, rel=5e-5) == WATER_DENSITY


@pytest.mark.parametrize("celsius", [1, 4, 10, 20, 30, 40])
def test_water_density_is_never_exceeded(celsius: float) -> None:
    # So loads worked out with the round figure are on the cautious side, by 0.8 % at most.
    density = IAPWS97(T=celsius + 273.15, P=0.101325).rho
    assert density < WATER_DENSITY < 1.008 * density


@pytest.mark.parametrize(
    ("inches", "gallons_per_foot"), [(0.5, 0.0102), (1.0, 0.0408), (1.5, 0.0918), (2.0, 0.1632)]
)
def test_pipe_contents_handbook(inches: float, gallons_per_foot: float) -> None:
    # Contents of pipe per foot by inside diameter, handbook table; from memory; four decimals.
    contents = balance.pipe_contents(inches * INCH, FOOT) / GALLON
    assert contents == pytest.approx(gallons_per_foot, abs=6e-5)


def test_one_inch_of_water_on_a_square_foot() -> None:
    # 144 in³ / 231 in³ per gallon = 0.623 gal/ft² per inch, the usual handbook figure.
    one_inch_a_day = INCH / 86400
    topped_up = balance.top_up(one_inch_a_day, FOOT**2, 0.0, 1.0)
    assert topped_up / GALLON == pytest.approx(0.623, abs=5e-4)


def test_free_fall_in_the_first_second() -> None:
    # A body falls 16.1 ft from rest in the first second (textbook figure, from memory): the air
    # then holds one second of flow.
    assert balance.volume_in_air(0.001, 16.1 * FOOT) == pytest.approx(0.001, rel=1e-3)
