"""The round density of water against the reference equation of state, and its weight.

IAPWS-95 and IAPWS-IF97 are computed by the library iapws, at the pressure of the atmosphere.
"""

from __future__ import annotations

import pytest
from iapws import IAPWS95, IAPWS97

from basinbook.catalogue import call
from basinbook.engine import kinds
from basinbook.engine.water.volume import WATER_DENSITY, fill_time, water_volume, water_weight
from basinbook.units import from_si
from outside import Check, Exhibit, judge, named

ATMOSPHERE = 0.101325  # MPa
GALLON = 231 * 0.0254**3
POUND = 0.45359237


def _density(celsius: float) -> float:
    return float(IAPWS95(T=273.15 + celsius, P=ATMOSPHERE).rho)


OUTSIDE = [
    Exhibit(
        "Density of water",
        "IAPWS-95, W. Wagner and A. Pruß, J. Phys. Chem. Ref. Data 31 (2002) 387-535, by the "
        "library iapws",
        "one round figure stands for all temperatures, and site work asks for no more; at 4 °C, "
        "where water is densest, it is good to 0.005 %",
        (
            Check("at 4 °C", _density(4.0), "kg/m³", lambda: WATER_DENSITY, rel=5e-5),
            *(
                Check(f"at {at} °C", _density(at), "kg/m³", lambda: WATER_DENSITY, rel=2e-3)
                for at in (10.0, 15.0, 20.0)
            ),
        ),
    ),
    Exhibit(
        "Weight and volume of water",
        "231 in³ in a gallon: NIST Handbook 44, appendix C; density by IAPWS-95 at 4 °C",
        "the round density; volumes are exact",
        (
            Check(
                "a gallon",
                _density(4.0) * GALLON / POUND,
                "lb",
                lambda: from_si(water_weight(GALLON), kinds.MASS, "us"),
                rel=1e-4,
            ),
            Check(
                "a cubic foot",
                1728 / 231,
                "gal",
                lambda: float(call("WATERVOLUME", 12, 12, 12).value),
                rel=1e-12,
            ),
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


def test_round_density_in_pounds_per_cubic_foot() -> None:
    # 62.4 lb/ft³ is the trade's figure (common practice, no source); it must be ours, rounded.
    assert round(from_si(WATER_DENSITY, kinds.DENSITY, "us"), 1) == 62.4
    assert round(from_si(_density(4.0), kinds.DENSITY, "us"), 1) == 62.4


def test_weight_of_a_gallon() -> None:
    # 8.34 lb/gal, handbook figure for water (from memory); 8.35 at 4 °C by IAPWS-95.
    assert round(_density(4.0) * GALLON / POUND, 2) == 8.35
    assert round(_density(15.0) * GALLON / POUND, 2) == 8.34


def test_densest_water_by_both_formulations() -> None:
    by_97 = IAPWS97(T=277.15, P=ATMOSPHERE).rho
    assert by_97 == pytest.approx(_density(4.0), rel=1e-5)


def test_fill_time_of_a_timed_bucket() -> None:
    # 5 gal in 30 s is 10 gal/min, so 300 gal take 30 min: definition of volume flow.
    assert fill_time(300 * GALLON, 5 * GALLON / 30.0) == pytest.approx(30 * 60.0, rel=1e-12)
    assert call("FILLTIME", 300, 10).value == pytest.approx(0.5, rel=1e-12)


def test_volume_by_dimensions_in_either_system() -> None:
    # 1.2 m · 0.6 m · 0.4 m = 0.288 m³ by hand
    assert water_volume(1.2, 0.6, 0.4) == pytest.approx(0.288, rel=1e-12)
    assert call("WATERVOLUME", "1 m", "1 m", "1 m", "metric").value == pytest.approx(1000.0)
