"""Vapour pressures and evaporation against published tables, worked examples and IAPWS-IF97."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from iapws import IAPWS97

from basinbook.engine.water import evaporation as e
from outside import Check, Exhibit, judge, named

C = 273.15
MM_PER_DAY = 1e-3 / 86400.0
KMH = 1 / 3.6
FAO = "Allen et al. (1998), FAO Irrigation and Drainage Paper 56"
# As quoted in tests of public programs, which name the example and its page.
QUOTED = "numbers of the examples as quoted in the tests of a public program"


def _es(celsius: float) -> Callable[[], float]:
    return lambda: e.saturation_vapour_pressure(celsius + C) / 1e3


def _mean_es(warmest: float, coldest: float) -> Callable[[], float]:
    return lambda: (_es(warmest)() + _es(coldest)()) / 2


def _ea(warmest: float, least: float, coldest: float, most: float) -> Callable[[], float]:
    """Vapour pressure by the day's extremes: humid when cold, dry when warm."""
    return lambda: (
        (e.vapour_pressure(coldest + C, most) + e.vapour_pressure(warmest + C, least)) / 2e3
    )


def _latent(celsius: float) -> Callable[[], float]:
    return lambda: e.latent_heat(celsius + C) / 1e6


def _latent_iapws(celsius: float) -> float:
    steam, water = (IAPWS97(T=celsius + C, x=share) for share in (1, 0))
    return float(steam.h - water.h) / 1e3


def _meyer_mm() -> float:
    rate = e.meyer_evaporation(20 + C, 20 + C, 0.40, 16 * KMH, 1.0, e.MEYER_DEEP)
    return rate / MM_PER_DAY


def _pool_flux(feet_per_minute: float) -> Callable[[], float]:
    velocity = feet_per_minute * 0.3048 / 60
    return lambda: e.pool_evaporation(28 + C, 28 + C, 0.5, velocity) * 1000 * 3600


def _inch_pound(feet_per_minute: float) -> float:
    """W = (95 + 0.425 v)(pw - pa)/Y, lb/(h·ft²), ft/min, inHg, Btu/lb; here in kg/(h·m²)."""
    inches = 0.5 * float(IAPWS97(T=28 + C, x=1).P) * 1e6 / 3386.39
    btu_per_lb = _latent_iapws(28) * 1e3 / 2.326
    pounds = (95 + 0.425 * feet_per_minute) * inches / btu_per_lb
    return pounds * 0.45359237 / 0.3048**2


def _simple_pool() -> float:
    deficit = e.saturation_vapour_pressure(27 + C) - e.vapour_pressure(29 + C, 0.6)
    return e.pool_evaporation(27 + C, 29 + C, 0.6, 0.1) * 1000 / (deficit / 1e3) * 1e5


# Old tables over water in mmHg: measured, not by the exponential that we use.
MMHG = [(5, 6.543), (10, 9.209), (15, 12.788), (20, 17.535), (25, 23.756), (30, 31.824),
        (35, 42.175), (40, 55.324), (45, 71.88), (50, 92.51)]  # fmt: skip
TEMPERATURES = (1, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50)

OUTSIDE = [
    Exhibit(
        "Saturation vapour pressure by the steam tables",
        "IAPWS-IF97, by the library iapws",
        "the equation of FAO 56 is a fit: 0.15 % is its own error",
        tuple(
            Check(f"at {at} °C", float(IAPWS97(T=at + C, x=0).P) * 1e3, "kPa", _es(at), rel=1.5e-3)
            for at in TEMPERATURES
        ),
    ),
    Exhibit(
        "Saturation vapour pressure by measured tables",
        "Smithsonian Meteorological Tables and Handbook of Chemistry and Physics, vapour pressure "
        "of water (from memory)",
        "the fit's own 0.15 %, and half a unit of the last digit",
        tuple(
            Check(f"at {at} °C", mmhg, "mmHg", lambda at=at: _es(at)() * 1e3 / e.MMHG, rel=1.5e-3)
            for at, mmhg in MMHG
        ),
        "the degrees in between",
    ),
    Exhibit(
        "Vapour pressure, worked examples",
        f"{FAO}, examples 3, 4, 5, 17, 18 and 20; {QUOTED}",
        "half a unit of the last printed digit, and rounding of a mean of rounded values",
        (
            Check("example 3: at 24.5 °C", 3.075, "kPa", _es(24.5), abs=6e-4),
            Check("example 3: at 15 °C", 1.705, "kPa", _es(15.0), abs=6e-4),
            Check("example 3: mean of the two", 2.39, "kPa", _mean_es(24.5, 15.0), abs=5e-3),
            Check("example 4: at 19.5 °C", 2.267, "kPa", _es(19.5), abs=6e-4),
            Check("example 5: at 18 °C", 2.064, "kPa", _es(18.0), abs=6e-4),
            Check("example 5: at 25 °C", 3.168, "kPa", _es(25.0), abs=6e-4),
            Check(
                "example 5: 18 °C with 82 %, 25 °C with 54 %",
                1.70,
                "kPa",
                _ea(25.0, 0.54, 18.0, 0.82),
                abs=5e-3,
            ),
            Check(
                "example 17: mean at 34.8 and 25.6 °C", 4.42, "kPa", _mean_es(34.8, 25.6), abs=5e-3
            ),
            Check(
                "example 18: mean at 21.5 and 12.3 °C", 1.997, "kPa", _mean_es(21.5, 12.3), abs=1e-3
            ),
            Check(
                "example 18: 12.3 °C with 84 %, 21.5 °C with 63 %",
                1.409,
                "kPa",
                _ea(21.5, 0.63, 12.3, 0.84),
                abs=1e-3,
            ),
            Check("example 20: at 14.8 °C", 1.68, "kPa", _es(14.8), abs=5e-3),
        ),
        "the parts of the examples on radiation, soil heat and crops, which we do not work out",
    ),
    Exhibit(
        "Latent heat by the steam tables",
        "IAPWS-IF97, by the library iapws",
        "the linear fit of FAO 56, annex 3, is good to 0.05 % here",
        tuple(
            Check(f"at {at} °C", _latent_iapws(at), "MJ/kg", _latent(at), rel=5e-4)
            for at in (1, 10, 20, 30, 40, 50)
        ),
    ),
    Exhibit(
        "Latent heat, worked example",
        f"{FAO}, example 13: 0.33 MJ/(m²·day) are 0.13 mm/day; {QUOTED}",
        "half a unit of the last printed digit",
        (
            Check(
                "mm of water for 0.33 MJ/m²", 0.13, "mm", lambda: 0.33 / _latent(20.0)(), abs=5e-3
            ),
        ),
    ),
    Exhibit(
        "Wind at another height, by the logarithmic profile",
        f"{FAO}, equation 47, example 14: 3.2 m/s at 10 m are 2.4 m/s at 2 m over grass; {QUOTED}",
        "the one-seventh power law, which Meyer's formula is used with, is another profile: 8 %",
        (Check("3.2 m/s at 10 m", 2.4, "m/s", lambda: e.wind_at_height(3.2, 10.0, 2.0), rel=0.08),),
    ),
    Exhibit(
        "Evaporation by Meyer's formula, worked example",
        "Subramanya, Engineering Hydrology, example 3.1: reservoir of 250 ha, water 20 °C "
        "(17.54 mmHg), humidity 40 %, wind 16 km/h at 1.0 m, K = 0.36",
        "half a unit of the last printed digit; evaporation 0.01 mm, as the example rounds on the "
        "way",
        (
            Check(
                "saturation pressure", 17.54, "mmHg", lambda: _es(20.0)() * 1e3 / e.MMHG, abs=6e-3
            ),
            Check(
                "vapour pressure of the air",
                7.02,
                "mmHg",
                lambda: e.vapour_pressure(20 + C, 0.40) / e.MMHG,
                abs=6e-3,
            ),
            Check(
                "wind at 9 m",
                21.9,
                "km/h",
                lambda: e.wind_at_height(16 * KMH, 1.0, 9.0) / KMH,
                abs=0.05,
            ),
            Check("evaporation", 8.97, "mm/day", _meyer_mm, abs=0.01),
            Check("volume in 7 days", 156_975, "m³", lambda: _meyer_mm() * 7 * 2500, rel=1.2e-3),
        ),
    ),
    Exhibit(
        "Pool equation in its inch-pound form",
        "Smith, Löf and Jones (1998), ASHRAE Transactions 104(1A), equation 1; pressure and latent "
        "heat of water at 28 °C by IAPWS-IF97, air 28 °C at 50 %",
        "the coefficients in metric units are rounded to three figures: 0.6 %",
        tuple(
            Check(f"air of {at} ft/min", _inch_pound(at), "kg/(h·m²)", _pool_flux(at), rel=6e-3)
            for at in (10, 30, 100)
        ),
    ),
    Exhibit(
        "Pool equation, simplified",
        "ASHRAE Handbook, HVAC Applications: w = 4.0e-5 A (pw - pa) kg/s, kPa, about 0.1 m/s (from "
        "memory)",
        "two figures are given: 1.5 %",
        (Check("coefficient", 4.0, "1e-5 kg/(s·m²·kPa)", _simple_pool, rel=1.5e-2),),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])
