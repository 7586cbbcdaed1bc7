from __future__ import annotations

import math

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import balance as b
from basinbook.engine.water import leak, levels

DAY = 86400.0


def test_rise_and_freeboard() -> None:
    rise = levels.drain_back_rise(0.012, 1.2, 1.0)
    assert rise == pytest.approx(0.010)
    assert levels.freeboard_left(0.40, 0.35, rise) == pytest.approx(0.04)
    assert levels.freeboard_left(0.40, 0.395, rise) == pytest.approx(-0.005)


def test_levels_keep_the_drained_volume() -> None:
    operating, stopped, rim = levels.water_levels(1.2, 1.0, 0.4, 0.35, 0.012)
    assert stopped.volume - operating.volume == pytest.approx(0.012)
    assert rim.to_rim == 0.0
    assert [operating.name, stopped.name, rim.name] == ["operating", "pump stopped", "rim"]


def test_spill_shows_as_a_negative_height() -> None:
    assert levels.water_levels(1.2, 1.0, 0.4, 0.395, 0.012)[1].to_rim == pytest.approx(-0.005)


@pytest.mark.parametrize(
    ("fed", "valve", "litres"),
    [
        ("from below", "no", 1 + 2 + 4 + 8),
        ("over the rim", "no", 1 + 2 + 4),
        ("from below", "yes", 2 + 4),
        ("over the rim", "yes", 2 + 4),
    ],
)
def test_what_comes_back(fed: str, valve: str, litres: float) -> None:
    assert levels.comes_back(1.0, 2.0, 4.0, 8.0, fed, valve) == pytest.approx(litres)


def test_an_unknown_pool_is_not_nothing() -> None:
    with pytest.raises(InputError, match="pool"):
        levels.comes_back(1.0, 2.0, 4.0, None, "from below")
    assert levels.comes_back(1.0, 2.0, 4.0, None, "over the rim") == 7.0
    with pytest.raises(InputError, match="from below, over the rim"):
        levels.comes_back(1.0, 2.0, 4.0, 8.0, "sideways")


def test_contents_of_bowl_and_box_of_the_issue() -> None:
    # A bowl 30 in across and 8 in deep returns some 14.7 gal; water 2.13 in deep in a
    # weir box of 18 x 10 in is 1.66 gal, where 300 mm behind its lip of 10 in gave 1.1.
    assert call("BOWLCONTENTS", 30, 8).value == pytest.approx(14.69, abs=0.01)
    assert call("WATEROVEROUTLET", "straight lip", 10, 2.13, 18).value == pytest.approx(
        1.66, abs=5e-3
    )
    assert call("WATEROVEROUTLET", "straight lip", 10, 2.13).value == pytest.approx(1.1, abs=0.02)


def test_operating_level_over_the_rim_is_refused() -> None:
    with pytest.raises(InputError, match="water_depth"):
        levels.water_levels(1.2, 1.0, 0.4, 0.41, 0.0)


def test_highest_operating_depth_fills_up_exactly() -> None:
    depth = levels.highest_operating_depth(0.4, 0.01, 0.05)
    assert levels.freeboard_left(0.4, depth, 0.01) == pytest.approx(0.05)
    with pytest.raises(InputError, match="rise"):
        levels.highest_operating_depth(0.4, 0.3, 0.2)


def test_splash_share_undoes_splash_loss() -> None:
    lost = b.splash_loss(1e-3, 0.002, 7200.0)
    area = 1.5
    assert b.splash_share(0.004 + lost / area, 0.004, area, 1e-3, 7200.0) == pytest.approx(0.002)
    with pytest.raises(InputError, match="drop_running"):
        b.splash_share(0.003, 0.004, area, 1e-3, 7200.0)


def test_top_up_adds_evaporation_and_splash() -> None:
    assert b.top_up(0.005 / DAY, 2.0, 0.003) == pytest.approx(7 * (0.010 + 0.003))
    assert b.top_up(0.005 / DAY, 2.0, 0.0, 1.0) == pytest.approx(0.010)


@pytest.mark.parametrize(
    ("drop", "verdict"), [(0.0010, "less"), (0.0060, "within"), (0.0100, "within"), (0.011, "more")]
)
def test_leak_verdict(drop: float, verdict: str) -> None:
    test = leak.leak_test(drop, 0.006, DAY, 1.2)
    assert test.uncertainty == pytest.approx(2 * math.sqrt(0.0006**2 + 4 * 0.001**2))
    assert test.threshold == pytest.approx(0.006 + test.uncertainty)
    assert test.verdict == verdict
    assert test.leak * DAY == pytest.approx((drop - 0.006) * 1.2)


def test_a_longer_test_sees_a_smaller_leak() -> None:
    one = leak.leak_test(0.010, 0.005, DAY, 1.0)
    three = leak.leak_test(0.030, 0.015, 3 * DAY, 1.0)
    assert three.leak == pytest.approx(one.leak)
    assert three.leak_uncertainty < one.leak_uncertainty


def test_a_pan_loses_more_than_the_basin() -> None:
    assert leak.leak_test(0.0, 0.010, DAY, 1.0, "pan").expected == pytest.approx(0.007)


def test_computed_evaporation_has_two_readings_and_its_own_uncertainty() -> None:
    test = leak.leak_test(0.0, 0.010, DAY, 1.0, "computed", 0.25, 0.001)
    assert test.uncertainty == pytest.approx(2 * math.sqrt(0.0025**2 + 2 * 0.001**2))


@pytest.mark.parametrize("hours", [11.0, 73.0])
def test_leak_test_time_is_bounded(hours: float) -> None:
    with pytest.raises(InputError, match="12 to 72 h"):
        leak.leak_test(0.01, 0.005, hours * 3600, 1.0)


def test_unknown_reference_is_refused() -> None:
    with pytest.raises(InputError, match="reference"):
        leak.leak_test(0.01, 0.005, DAY, 1.0, "teacup")


def test_dose_follows_the_label() -> None:
    assert b.treatment_dose(0.3, 5.0, 1.0) == pytest.approx(1.5)


def test_leak_check_speaks_the_users_units() -> None:
    text = str(call("LEAKCHECK", "1 in", "10", "1/4 in", "24").value)
    assert text.startswith("Drop 1 in; evaporation explains 0.25 in ± 0.165 in (k = 2).")
    # 0.75 in on 10 ft² is 4.675 gal
    assert "about 4.7 gal a day" in text


def test_evaporation_takes_miles_per_hour() -> None:
    five_mph = call("EVAPORATIONRATE", 77, 77, "60%", "5 mph").value
    assert five_mph == call("EVAPORATIONRATE", 77, 77, "60%", "2.2352 m/s").value


@pytest.mark.parametrize(
    ("call_arguments", "name"),
    [
        (("EVAPORATIONRATE", 20, 77, "60%", 3), "water_temperature"),
        (("EVAPORATIONRATE", 77, 77, "160%", 3), "humidity"),
        (("SPLASHLOSS", 500, "20%"), "share"),
        (("LEAKCHECK", 1, 10, 0.25, 6), "duration"),
    ],
)
def test_sheet_names_the_bad_argument(call_arguments: tuple[object, ...], name: str) -> None:
    with pytest.raises(InputError) as caught:
        call(str(call_arguments[0]), *call_arguments[1:])
    assert caught.value.argument == name
