from __future__ import annotations

import numpy as np
import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import pipe, pump

FLOWS, HEADS = (0.0, 2e-4, 4e-4, 6e-4, 8e-4), (3.2, 2.95, 2.4, 1.5, 0.2)
CURVE = pump.PumpCurve(FLOWS, HEADS)
RUN = pipe.PipeRun(1.0, 0.0254, 3.0, k_sum=5.0)
SHEET_FLOWS = ((0,), (400,), (800,), (1200,), (None,))
SHEET_HEADS = ((10,), (9,), ("7 ft",), (3,), ("",))
SYSTEM = (3, 1.049, 10, 6)


def test_curve_goes_through_its_points() -> None:
    assert [CURVE.head_at(q) for q in FLOWS] == pytest.approx(HEADS)
    assert CURVE.head_at(1e-4) == pytest.approx((3.2 + 2.95) / 2.0)


def test_both_curves_give_the_same_head_at_the_operating_point() -> None:
    point = pump.operating_point(CURVE, RUN)
    assert point.head == pytest.approx(pipe.total_head(point.flow, RUN), rel=1e-8)
    assert point.head == pytest.approx(CURVE.head_at(point.flow))


def test_more_lift_length_or_fittings_mean_less_flow() -> None:
    def flow(**changed: float) -> float:
        values = {"static_lift": 1.0, "diameter": 0.0254, "length": 3.0, "k_sum": 5.0, **changed}
        return pump.operating_point(CURVE, pipe.PipeRun(**values)).flow

    assert flow() > flow(static_lift=1.5)
    assert flow() > flow(length=6.0)
    assert flow() > flow(k_sum=10.0)
    assert flow() < flow(diameter=0.030)


def test_sweep_agrees_with_one_by_one_and_has_gaps_where_curves_never_meet() -> None:
    other = pump.PumpCurve((0.0, 3e-4, 7e-4), (2.0, 1.6, 0.5))
    bores, lifts = np.array([0.016, 0.0254, 0.05]), np.array([0.1, 0.8, 1.9, 2.5, 3.5])
    found = pump.operating_flows(
        [CURVE, other], bores[:, None], 3.0, lifts[None, :], roughness=1e-5, k_sum=4.0
    )
    assert found.shape == (2, 3, 5)
    gaps = 0
    for index, flow in np.ndenumerate(found):
        run = pipe.PipeRun(float(lifts[index[2]]), float(bores[index[1]]), 3.0, 1e-5, 4.0)
        curve = (CURVE, other)[index[0]]
        if np.isnan(flow):
            gaps += 1
            with pytest.raises(InputError):
                pump.operating_point(curve, run)
        else:
            assert flow == pytest.approx(pump.operating_point(curve, run).flow, rel=1e-8)
    assert 0 < gaps < found.size / 2


@pytest.mark.parametrize(
    ("flows", "heads", "argument", "words"),
    [
        ((0.0, 1e-3), (3.0, 1.0), "flows", "at least three points"),
        ((0.0, 1e-3, 2e-3), (3.0, 1.0), "heads", "one for each of 3 flows"),
        ((0.0, 2e-3, 1e-3), (3.0, 2.0, 1.0), "flows", "rising order"),
        ((0.0, 1e-3, 1e-3), (3.0, 2.0, 1.0), "flows", "rising order"),
        ((0.0, 1e-3, 2e-3), (3.0, 3.1, 1.0), "heads", "must fall"),
        ((0.0, 1e-3, 2e-3), (3.0, 3.0, 1.0), "heads", "must fall"),
        ((-1e-3, 1e-3, 2e-3), (3.0, 2.0, 1.0), "flows", "below zero"),
        ((0.0, 1e-3, 2e-3), (3.0, 2.0, -1.0), "heads", "below zero"),
    ],
)
def test_bad_tables(
    flows: tuple[float, ...], heads: tuple[float, ...], argument: str, words: str
) -> None:
    with pytest.raises(InputError, match=words) as error:
        pump.PumpCurve(flows, heads)
    assert error.value.argument == argument


@pytest.mark.parametrize("lift", [3.2, 3.3, 50.0])
def test_a_lift_over_the_shutoff_head_is_an_error(lift: float) -> None:
    with pytest.raises(InputError, match="below the system curve") as error:
        pump.operating_point(CURVE, pipe.PipeRun(lift, 0.0254, 3.0))
    assert error.value.argument == "static_lift"


def test_a_table_that_ends_too_early_is_an_error() -> None:
    short = pump.PumpCurve(FLOWS[:3], HEADS[:3])
    with pytest.raises(InputError, match="ends before the pump curve meets") as error:
        pump.operating_point(short, pipe.PipeRun(0.1, 0.05, 1.0))
    assert error.value.argument == "flows"


def test_a_valve_with_the_found_k_gives_the_wanted_flow() -> None:
    wanted = 4e-4
    found = pump.match(CURVE, RUN, wanted)
    assert found.throttle_k is not None
    throttled = pipe.PipeRun(1.0, 0.0254, 3.0, k_sum=5.0 + found.throttle_k)
    assert pump.operating_point(CURVE, throttled).flow == pytest.approx(wanted, rel=1e-8)


def test_no_valve_makes_a_small_pump_larger() -> None:
    assert pump.match(CURVE, RUN, 7.5e-4).throttle_k is None
    beyond = pump.match(CURVE, RUN, 9e-4)
    assert beyond.given is None
    assert beyond.needed > 1.0


@pytest.mark.parametrize(
    ("attempt", "argument"),
    [
        (lambda: CURVE.head_at(9e-4), "flow"),
        (lambda: pump.match(CURVE, RUN, 0.0), "wanted_flow"),
        (lambda: pump.hydraulic_power(1e-3, 1.0, 0.0), "efficiency"),
        (lambda: pump.circuit_current(100.0, 0.0), "voltage"),
        (lambda: pump.circuit_current(100.0, 120.0, 0.0), "power_factor"),
        (lambda: pump.circuit_share(5.0, 0.0), "circuit_rating"),
    ],
)
def test_impossible_cases_give_an_error_not_a_number(attempt: object, argument: str) -> None:
    with pytest.raises(InputError) as error:
        attempt()  # type: ignore[operator]
    assert error.value.argument == argument


def test_sheet_reads_tables_with_units_and_blank_rows() -> None:
    found = call("PUMPPOINT", SHEET_FLOWS, SHEET_HEADS, *SYSTEM)
    metric_flows = tuple((f"{q} gph",) for q in (0, 400, 800, 1200))
    metric_heads = tuple((f"{h} ft",) for h in (10, 9, 7, 3))
    metric = call(
        "PUMPPOINT",
        metric_flows,
        metric_heads,
        "3 ft",
        "1.049 in",
        "10 ft",
        6,
        None,
        None,
        "metric",
    )
    assert isinstance(found.value, float)
    assert isinstance(metric.value, float)
    assert metric.value == pytest.approx(found.value * 3.785411784)
    assert metric.unit == "L/h"


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (600, ("40 % over the wanted 600 gal/h", "throttle", "K = 14.6")),
        (800, ("suits",)),
        (1000, ("16 % under the wanted 1,000 gal/h", "the pump gives 5 ft", "larger pipe")),
        (2000, ("beyond the pump's table",)),
    ],
)
def test_advice(wanted: float, words: tuple[str, ...]) -> None:
    text = str(call("PUMPADVICE", wanted, SHEET_FLOWS, SHEET_HEADS, *SYSTEM).value)
    assert all(word in text for word in words), text


def test_advice_where_lift_takes_most_of_the_head() -> None:
    text = str(call("PUMPADVICE", 750, SHEET_FLOWS, SHEET_HEADS, 8, 2, 5, 3).value)
    assert "larger pump" in text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((SHEET_FLOWS, SHEET_HEADS, 12, 1, 10, 6), ("static_lift", "12 ft", "more head")),
        ((SHEET_FLOWS, SHEET_HEADS, 1, 4, 1, 1), ("flows", "1,200 gal/h", "table ends")),
        ((SHEET_FLOWS[:3], SHEET_HEADS, *SYSTEM), ("heads", "as many")),
        (((400, None, 800), (9, 8, 7), *SYSTEM), ("flows", "a blank")),
        (((0, "fast", 800), (9, 8, 7), *SYSTEM), ("flows", "'fast'")),
        (((0, 400, 800), (7, 8, 6), *SYSTEM), ("heads", "8 ft", "must fall")),
    ],
)
def test_sheet_errors_name_the_cell_in_the_users_units(
    arguments: tuple[object, ...], words: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as error:
        call("PUMPPOINT", *arguments)
    assert all(word in str(error.value) for word in words), str(error.value)


def test_spread_between_low_and_high_coefficients() -> None:
    low = call("PUMPPOINT", SHEET_FLOWS, SHEET_HEADS, 3, 1.049, 10, 4).value
    high = call("PUMPPOINT", SHEET_FLOWS, SHEET_HEADS, 3, 1.049, 10, 9).value
    assert isinstance(low, float)
    assert isinstance(high, float)
    spread = call("KSPREAD", SHEET_FLOWS, SHEET_HEADS, 4, 9, 3, 1.049, 10).value
    assert spread == pytest.approx(low / high - 1.0, rel=1e-4)
    with pytest.raises(InputError, match="k_low"):
        call("KSPREAD", SHEET_FLOWS, SHEET_HEADS, 9, 4, 3, 1.049, 10)


def test_circuit_note_says_when_it_is_too_much() -> None:
    assert "another circuit is needed" in str(call("CIRCUITNOTE", 13, 15).value)
    for load in (1, 13):
        text = str(call("CIRCUITNOTE", load, 15).value)
        assert "licensed electrician" in text
        assert "local code" in text


def test_energy_and_cost() -> None:
    assert call("PUMPENERGY", 100, 24).value == pytest.approx(876.0)
    assert call("ENERGYCOST", 876, 0.2).value == pytest.approx(175.2)
