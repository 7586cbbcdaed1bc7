"""Vapour pressures and evaporation against published tables, worked examples and IAPWS-IF97."""

from __future__ import annotations

import pytest
from iapws import IAPWS97

from basinbook.engine.water import evaporation as e

C = 273.15
MM_PER_DAY = 1e-3 / 86400.0
KMH = 1 / 3.6


@pytest.mark.parametrize("celsius", [1, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50])
def test_saturation_vapour_pressure_iapws(celsius: float) -> None:
    # IAPWS-IF97 (library iapws). The FAO equation is an empirical fit: 0.15 % is its own error.
    reference = IAPWS97(T=celsius + C, x=0).P * 1e6
    assert e.saturation_vapour_pressure(celsius + C) == pytest.approx(reference, rel=1.5e-3)


@pytest.mark.parametrize(("celsius", "kpa"), [(24.5, 3.075), (15.0, 1.705)])
def test_saturation_vapour_pressure_fao56_example_3(celsius: float, kpa: float) -> None:
    # FAO Irrigation and Drainage Paper 56, example 3; printed to 0.001 kPa.
    assert e.saturation_vapour_pressure(celsius + C) == pytest.approx(kpa * 1e3, abs=0.6)


@pytest.mark.parametrize(("celsius", "kpa"), [(10, 1.228), (20, 2.338), (30, 4.243), (40, 7.376)])
def test_saturation_vapour_pressure_fao56_table_2_3(celsius: float, kpa: float) -> None:
    # FAO 56, annex 2, table 2.3; from memory; printed to 0.001 kPa.
    assert e.saturation_vapour_pressure(celsius + C) == pytest.approx(kpa * 1e3, abs=0.6)


def test_vapour_pressure_fao56_example_5() -> None:
    # FAO 56, example 5 (from memory): 18 °C with 82 %, 25 °C with 54 %: mean 1.70 kPa.
    mean = (e.vapour_pressure(18 + C, 0.82) + e.vapour_pressure(25 + C, 0.54)) / 2
    assert mean == pytest.approx(1700.0, abs=5.0)


@pytest.mark.parametrize("celsius", [1, 10, 20, 30, 40, 50])
def test_latent_heat_iapws(celsius: float) -> None:
    # IAPWS-IF97, library iapws; the linear fit of FAO 56 is good to 0.05 % here.
    steam, water = IAPWS97(T=celsius + C, x=1), IAPWS97(T=celsius + C, x=0)
    assert e.latent_heat(celsius + C) == pytest.approx((steam.h - water.h) * 1e3, rel=5e-4)


def test_meyer_subramanya_example_3_1() -> None:
    # Subramanya, Engineering Hydrology, example 3.1: reservoir, water 20 °C, 40 %, wind 16 km/h
    # at 1.0 m, K = 0.36: u9 = 21.9 km/h, E = 8.97 mm/day; printed to 0.01.
    assert e.wind_at_height(16 * KMH, 1.0, 9.0) / KMH == pytest.approx(21.9, abs=0.05)
    rate = e.meyer_evaporation(20 + C, 20 + C, 0.40, 16 * KMH, 1.0, e.MEYER_DEEP)
    assert rate / MM_PER_DAY == pytest.approx(8.97, abs=0.01)


@pytest.mark.parametrize(
    ("celsius", "humidity", "wind", "mm"),
    [
        (12.5, 85, 4, 1.069), (15.8, 82, 5, 1.682), (20.7, 71, 5, 3.686), (27, 48, 5, 9.652),
        (31, 41, 7.8, 15.957), (33.5, 52, 10, 16.537), (30.6, 78, 8, 5.872), (29, 86, 5.5, 3.001),
        (28.2, 82, 5, 3.584), (28.8, 75, 4, 4.866), (18.9, 77, 3.6, 2.410), (13.7, 73, 4, 2.081),
    ],
)  # fmt: skip
def test_meyer_monthly_problem(celsius: float, humidity: float, wind: float, mm: float) -> None:
    # Subramanya, Engineering Hydrology, problem on twelve months near Delhi, K = 0.50, wind at
    # 2 m in km/h; from a published student solution. It has 4.584 mmHg where FAO 56 has
    # 0.6108 kPa (4.581 mmHg): 0.06 %, so 0.1 % is allowed.
    rate = e.meyer_evaporation(celsius + C, celsius + C, humidity / 100, wind * KMH, 2.0)
    assert rate / MM_PER_DAY == pytest.approx(mm, rel=1e-3)


@pytest.mark.parametrize("feet_per_minute", [10, 30, 100])
def test_pool_equation_inch_pound_form(feet_per_minute: float) -> None:
    # Smith, Löf and Jones (1998), ASHRAE Transactions 104(1A), equation 1:
    # W = (95 + 0.425 v) (pw − pa) / Y in lb/(h·ft²), ft/min, inHg, Btu/lb; water 28 °C, air 28 °C
    # at 50 %. Pressures and latent heat from IAPWS-IF97. The SI coefficients of the handbook are
    # rounded to three figures: 0.6 %.
    steam, water = IAPWS97(T=28 + C, x=1), IAPWS97(T=28 + C, x=0)
    inches_of_mercury = 0.5 * water.P * 1e6 / 3386.39
    btu_per_lb = (steam.h - water.h) / 2.326
    pounds = (95 + 0.425 * feet_per_minute) * inches_of_mercury / btu_per_lb
    flux = pounds * 0.45359237 / 3600 / 0.3048**2
    rate = e.pool_evaporation(28 + C, 28 + C, 0.5, feet_per_minute * 0.3048 / 60)
    assert rate * 1000 == pytest.approx(flux, rel=6e-3)


def test_pool_equation_simplified_form() -> None:
    # ASHRAE Handbook, HVAC Applications (from memory): w = 4.0e-5 · A · (pw − pa) kg/s, kPa, for
    # about 0.1 m/s; two figures are given, so 1.5 %.
    deficit = e.saturation_vapour_pressure(27 + C) - e.vapour_pressure(29 + C, 0.6)
    rate = e.pool_evaporation(27 + C, 29 + C, 0.6, 0.1)
    assert rate * 1000 == pytest.approx(4.0e-5 * deficit / 1000, rel=1.5e-2)
