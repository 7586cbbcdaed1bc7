from __future__ import annotations

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.water import evaporation as e

C = 273.15


def test_more_humid_air_takes_less_water() -> None:
    rates = [e.meyer_evaporation(295, 295, humidity, 2.0) for humidity in (0.2, 0.5, 0.8)]
    assert rates == sorted(rates, reverse=True)
    assert e.meyer_evaporation(295, 295, 1.0, 2.0) == 0.0


def test_warm_moist_air_over_cold_water_takes_none() -> None:
    assert e.meyer_evaporation(C + 5, C + 30, 0.9, 2.0) == 0.0
    assert e.pool_evaporation(C + 5, C + 30, 0.9, 2.0) == 0.0


def test_pool_evaporation_is_proportional_to_activity() -> None:
    quiet, lively = (e.pool_evaporation(295, 295, 0.5, 0.1, factor) for factor in (0.5, 1.5))
    assert lively == pytest.approx(3 * quiet)


def test_wind_is_unchanged_at_its_own_height() -> None:
    assert e.wind_at_height(3.0, 2.0, 2.0) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("wind", "inside"), [(0.04, False), (0.05, True), (0.15, True), (2, False)]
)
def test_status_says_where_the_pool_equation_is_extrapolated(wind: float, inside: bool) -> None:
    meyer, quiet, pool = e.estimates(295, 295, 0.5, wind)
    assert quiet.rate == pytest.approx(0.74 * pool.rate)
    assert (pool.status == e.WITHIN) is inside
    assert quiet.status == pool.status
    assert "scatter" in meyer.status


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ((272.0, 295, 0.5, 2.0), "water_temperature"),
        ((295, 324.0, 0.5, 2.0), "air_temperature"),
        ((295, 295, 1.2, 2.0), "humidity"),
        ((295, 295, 0.5, 16.0), "wind"),
        ((295, 295, 0.5, -0.1), "wind"),
        ((295, 295, 0.5, 2.0, 0.2), "wind_height"),
        ((295, 295, 0.5, 2.0, 2.0, 0.6), "coefficient"),
    ],
)
def test_out_of_range_is_refused_by_name(arguments: tuple[float, ...], name: str) -> None:
    with pytest.raises(InputError) as caught:
        e.meyer_evaporation(*arguments)
    assert caught.value.argument == name


def test_activity_is_bounded() -> None:
    with pytest.raises(InputError, match=r"activity.*0\.5 to 1\.5"):
        e.pool_evaporation(295, 295, 0.5, 0.1, 2.0)


def test_freezing_and_fifty_degrees_are_the_ends() -> None:
    assert e.saturation_vapour_pressure(C) == pytest.approx(610.8)
    e.saturation_vapour_pressure(C + 50)
    for kelvin in (C - 0.1, C + 50.1, float("nan")):
        with pytest.raises(InputError, match="0 to 50 °C"):
            e.saturation_vapour_pressure(kelvin)
