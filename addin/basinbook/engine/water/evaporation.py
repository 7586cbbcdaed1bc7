"""Evaporation from open water by two published methods, and the vapour pressures they need."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError, check_choice

ZERO_CELSIUS: Final = 273.15
# NIST Special Publication 811 (2008), appendix B: conventional millimetre of mercury.
MMHG: Final = 133.3224
DAY: Final = 86400.0
_KMH: Final = 1000.0 / 3600.0
_WATER_DENSITY: Final = 1000.0

COLDEST: Final = ZERO_CELSIUS
WARMEST: Final = ZERO_CELSIUS + 50.0
STRONGEST_WIND: Final = 15.0
LOWEST_WIND_HEIGHT: Final = 0.5
HIGHEST_WIND_HEIGHT: Final = 500.0

# Meyer's coefficient: 0.36 for large deep waters, 0.50 for small shallow ones.
MEYER_DEEP: Final = 0.36
MEYER_SHALLOW: Final = 0.50
# Smith, Löf and Jones (1998): undisturbed pools lost 74 % of what the pool equation gives.
QUIET_POOL: Final = 0.74
# ASHRAE Handbook, HVAC Applications: air velocities that the pool equation is given for.
POOL_WIND: Final = (0.05, 0.15)

METHODS: Final = ("meyer", "pool")
WITHIN: Final = "within the method's range"


@dataclass(frozen=True)
class Estimate:
    """One method's evaporation: level drop rate [m/s] and the status of the figure, in words."""

    method: str
    rate: float
    status: str


def saturation_vapour_pressure(temperature: float) -> float:
    """Return the saturation vapour pressure [Pa] over liquid water at a temperature [K].

    Equation: e = 610.8 · exp(17.27 · t / (t + 237.3)), t in °C.
    Validity: 0 to 50 °C (the source tabulates 1 to 48.5 °C); raises InputError outside.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 11.
    """
    _check("temperature", temperature, COLDEST, WARMEST, "0 to 50 °C")
    celsius = temperature - ZERO_CELSIUS
    return 610.8 * math.exp(17.27 * celsius / (celsius + 237.3))


def vapour_pressure(temperature: float, humidity: float) -> float:
    """Return the vapour pressure [Pa] of air at a temperature [K] and relative humidity [0..1].

    Equation: e = RH · es(T). Validity: 0 to 50 °C; raises InputError outside.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 10.
    """
    _check("humidity", humidity, 0.0, 1.0, "0 to 1")
    return humidity * saturation_vapour_pressure(temperature)


def latent_heat(temperature: float) -> float:
    """Return the latent heat of vaporisation [J/kg] of water at a temperature [K].

    Equation: λ = 2.501 − 0.002361 · t [MJ/kg], t in °C. Validity: 0 to 50 °C; raises InputError
    outside.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, annex 3, equation 3-1.
    """
    _check("temperature", temperature, COLDEST, WARMEST, "0 to 50 °C")
    return 2.501e6 - 2361.0 * (temperature - ZERO_CELSIUS)


def wind_at_height(wind: float, height: float, wanted: float) -> float:
    """Return the wind [m/s] at a wanted height [m] from that measured at another height [m].

    Equation: u2 = u1 · (z2 / z1)^(1/7). Validity: heights 0.5 to 500 m over open ground, wind to
    15 m/s; raises InputError outside.
    Source: Subramanya, Engineering Hydrology, section 3.4 (one-seventh power law).
    """
    allowed = "0.5 to 500 m"
    _check("wind_height", height, LOWEST_WIND_HEIGHT, HIGHEST_WIND_HEIGHT, allowed)
    _check("wanted", wanted, LOWEST_WIND_HEIGHT, HIGHEST_WIND_HEIGHT, allowed)
    _check("wind", wind, 0.0, STRONGEST_WIND, "0 to 15 m/s")
    return wind * float((wanted / height) ** (1.0 / 7.0))


def meyer_evaporation(
    water_temperature: float,
    air_temperature: float,
    humidity: float,
    wind: float,
    wind_height: float = 2.0,
    coefficient: float = MEYER_SHALLOW,
) -> float:
    """Return the evaporation [m/s] from open water by Meyer's formula.

    water_temperature, air_temperature: [K]; humidity: relative, 0..1; wind: [m/s] at
    wind_height [m]; coefficient: 0.36 large deep water to 0.50 small shallow water.
    Equation: E = K · (es − ea) · (1 + u9 / 16), E in mm/day, vapour pressures in mmHg, u9 the
    wind at 9 m in km/h. Where the air holds more vapour than the water gives, 0.
    Validity: means of a day or longer; liquid water 0 to 50 °C; wind to 15 m/s. Single days
    scatter: see the docs. Raises InputError outside.
    Source: Meyer (1915), Trans. ASCE 79; as given in Subramanya, Engineering Hydrology, ch. 3.
    """
    _check("coefficient", coefficient, MEYER_DEEP, MEYER_SHALLOW, "0.36 to 0.50")
    deficit = _deficit(water_temperature, air_temperature, humidity)
    wind_at_nine = wind_at_height(wind, wind_height, 9.0)
    daily_mm = coefficient * deficit / MMHG * (1.0 + wind_at_nine / _KMH / 16.0)
    return daily_mm / 1000.0 / DAY


def pool_evaporation(
    water_temperature: float,
    air_temperature: float,
    humidity: float,
    wind: float,
    activity: float = 1.0,
) -> float:
    """Return the evaporation [m/s] from open water by the pool equation.

    water_temperature, air_temperature: [K]; humidity: relative, 0..1; wind: air velocity at the
    water [m/s]; activity: factor on the result, 0.5 quiet water to 1.5 much disturbed.
    Equation: w = (pw − pa) · (0.089 + 0.0782 · V) / Y · activity, w in kg/(s·m²), vapour
    pressures in kPa, latent heat Y in kJ/kg; divided by 1000 kg/m³. Where the air holds more
    vapour than the water gives, 0.
    Validity: given for air velocities of 0.05 to 0.15 m/s (indoor pools); beyond them it is an
    extrapolation (see ``estimates``). Raises InputError outside 0 to 50 °C, wind 0 to 15 m/s.
    Source: ASHRAE Handbook, HVAC Applications, natatoriums; Smith, Löf and Jones (1998), ASHRAE
    Transactions 104(1A), equation 1 (after Carrier, 1918).
    """
    _check("activity", activity, 0.5, 1.5, "0.5 to 1.5")
    _check("wind", wind, 0.0, STRONGEST_WIND, "0 to 15 m/s")
    deficit = _deficit(water_temperature, air_temperature, humidity)
    flux = deficit * (0.089 + 0.0782 * wind) / latent_heat(water_temperature) * activity
    return flux / _WATER_DENSITY


def by_method(
    water_temperature: float,
    air_temperature: float,
    humidity: float,
    wind: float,
    wind_height: float,
    method: str,
) -> float:
    """Return the evaporation [m/s] by "meyer" or by "pool", which takes the wind as measured.

    Arguments, equations, validity, errors and sources: those of ``meyer_evaporation`` and
    ``pool_evaporation``. Raises InputError for another method.
    """
    check_choice("method", method, METHODS)
    if method == "pool":
        return pool_evaporation(water_temperature, air_temperature, humidity, wind)
    return meyer_evaporation(water_temperature, air_temperature, humidity, wind, wind_height)


def estimates(
    water_temperature: float,
    air_temperature: float,
    humidity: float,
    wind: float,
    wind_height: float = 2.0,
) -> tuple[Estimate, ...]:
    """Return the evaporation [m/s] by each method, with the status of each figure.

    Three figures: Meyer, the pool equation for quiet water, and the pool equation as it stands.
    Equations, validity, errors and sources: those of ``meyer_evaporation`` and
    ``pool_evaporation``, which takes the wind as it was measured.

    Arguments as in ``meyer_evaporation``. The spread between the methods is the honest measure
    of how well evaporation is known without a measurement.
    """
    meyer = meyer_evaporation(water_temperature, air_temperature, humidity, wind, wind_height)
    pool = pool_evaporation(water_temperature, air_temperature, humidity, wind)
    low, high = POOL_WIND
    status = WITHIN if low <= wind <= high else "extrapolated: given for air of 0.05 to 0.15 m/s"
    return (
        Estimate("Meyer, small shallow water", meyer, "for means over days; single days scatter"),
        Estimate("Pool equation, quiet water (74 %)", QUIET_POOL * pool, status),
        Estimate("Pool equation", pool, status),
    )


def _deficit(water_temperature: float, air_temperature: float, humidity: float) -> float:
    """Return how far the air's vapour pressure is below that at the water [Pa], at least 0."""
    _check("water_temperature", water_temperature, COLDEST, WARMEST, "0 to 50 °C")
    _check("air_temperature", air_temperature, COLDEST, WARMEST, "0 to 50 °C")
    at_water = saturation_vapour_pressure(water_temperature)
    return max(0.0, at_water - vapour_pressure(air_temperature, humidity))


def _check(argument: str, value: float, low: float, high: float, allowed: str) -> None:
    # Room for rounding where a limit was typed in another unit.
    slack = 1e-9 * max(1.0, abs(high))
    if not low - slack <= value <= high + slack:
        raise InputError(argument, value, f"allowed is {allowed}")
