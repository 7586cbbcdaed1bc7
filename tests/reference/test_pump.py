"""Pumps against a textbook example, closed forms, the electrical code and a reference library."""

from __future__ import annotations

import math
from collections.abc import Callable

import fluids
import pytest
from scipy.optimize import brentq

from basinbook.engine.water import pipe, pump
from outside import Check, Exhibit, judge, named

FOOT = 0.3048
INCH = 0.0254
CFS = FOOT**3
GPM = 3.785411784e-3 / 60.0
HORSEPOWER = 745.6998715822702

# A pump and a pipe for the comparison with libraries.
FLOWS, HEADS = (0.0, 2e-4, 4e-4, 6e-4, 8e-4), (3.2, 2.95, 2.4, 1.5, 0.1)
LENGTH, K_SUM, ROUGHNESS, VISCOSITY = 4.0, 5.0, 1.5e-6, 1.0e-6
# H = 4 - 2000 Q against H = 1 + c Q², fittings only.
BORE, FITTINGS = 0.025, 8.0


def _system_head(gpm: float) -> Callable[[], float]:
    def head() -> float:
        bore, flow = 6.0 * INCH, gpm * GPM
        friction = pipe.darcy_weisbach(0.02, 200.0 * FOOT, bore, pipe.velocity(flow, bore))
        return (10.0 * FOOT + friction + pipe.fitting_head(3.0, flow, bore)) / FOOT

    return head


def _hand() -> tuple[float, float]:
    """Flow and head where the straight curve meets the parabola, a quadratic solved by hand."""
    c = FITTINGS / (2.0 * 9.80665 * (math.pi / 4.0 * BORE**2) ** 2)
    flow = (-2000.0 + math.sqrt(2000.0**2 + 4.0 * c * 3.0)) / (2.0 * c)
    return flow, 4.0 - 2000.0 * flow


def _straight() -> pump.OperatingPoint:
    curve = pump.PumpCurve((0.0, 0.001, 0.0018), (4.0, 2.0, 0.4))
    return pump.operating_point(curve, pipe.PipeRun(1.0, BORE, 0.0, k_sum=FITTINGS))


def _by_libraries(lift: float, bore: float) -> float:
    """Friction of the library fluids and the root of scipy, written out here."""

    def gap(flow: float) -> float:
        speed = flow / (math.pi / 4.0 * bore**2)
        factor = fluids.friction_factor(Re=speed * bore / VISCOSITY, eD=ROUGHNESS / bore)
        i = max(n for n in range(4) if FLOWS[n] <= flow)
        slope = (HEADS[i + 1] - HEADS[i]) / (FLOWS[i + 1] - FLOWS[i])
        given = HEADS[i] + slope * (flow - FLOWS[i])
        return given - lift - (factor * LENGTH / bore + K_SUM) * speed**2 / (2.0 * 9.80665)

    return float(brentq(gap, 1e-5, 8e-4, xtol=1e-14))


def _point(lift: float, bore: float) -> Callable[[], float]:
    run = pipe.PipeRun(lift, bore, LENGTH, ROUGHNESS, K_SUM, VISCOSITY)
    return lambda: pump.operating_point(pump.PumpCurve(FLOWS, HEADS), run).flow


RUNS = [(lift, bore) for lift in (0.3, 0.9, 1.8) for bore in (0.019, 0.0254, 0.0381)]

OUTSIDE = [
    Exhibit(
        "A textbook's system curve",
        "B. R. Munson and others, Fundamentals of Fluid Mechanics, example of pump performance "
        "curves: 10 ft lift, 200 ft of 6 in pipe, f = 0.02, K = 0.5 + 1.5 + 1.0, h = 10 + 4.43 Q² "
        "in ft and ft³/s (from memory)",
        "the coefficient has three figures",
        tuple(
            Check(
                f"{gpm:.0f} gal/min",
                10.0 + 4.43 * (gpm * GPM / CFS) ** 2,
                "ft",
                _system_head(gpm),
                rel=0.002,
            )
            for gpm in (400.0, 1000.0, 1600.0)
        ),
    ),
    Exhibit(
        "The same example's operating point",
        "as there: 1600 gal/min, 66.5 ft, 84 %, 32 hp (from memory)",
        "read off a chart",
        (
            Check("head at 1600 gal/min", 66.5, "ft", _system_head(1600.0), rel=0.01),
            Check(
                "power",
                32.0,
                "hp",
                lambda: pump.hydraulic_power(1600.0 * GPM, 66.5 * FOOT, 0.84) / HORSEPOWER,
                rel=0.005,
            ),
        ),
        "the pump's curve, which is a picture",
    ),
    Exhibit(
        "A straight curve, and fittings only",
        "H = 4 - 2000 Q against H = 1 + c Q², a quadratic solved by hand",
        "the search ends there",
        (
            Check("flow", _hand()[0], "m³/s", lambda: _straight().flow, rel=1e-6),
            Check("head", _hand()[1], "m", lambda: _straight().head, rel=1e-6),
        ),
    ),
    Exhibit(
        "Operating points of a pump of five points",
        "friction factor of the library fluids and the root of scipy, written out in the test",
        "the search ends there",
        tuple(
            Check(
                f"lift {lift:g} m, bore {1000.0 * bore:g} mm",
                1e3 * _by_libraries(lift, bore),
                "L/s",
                lambda lift=lift, bore=bore: 1e3 * _point(lift, bore)(),  # type: ignore[misc]
                rel=1e-6,
            )
            for lift, bore in RUNS
        ),
    ),
    Exhibit(
        "Water horsepower",
        "Q H / 3960 in gal/min and ft, common practice in pump handbooks, no source",
        "the divisor is rounded",
        (
            Check(
                "20 gal/min, 10 ft",
                20.0 * 10.0 / 3960.0,
                "hp",
                lambda: pump.hydraulic_power(20.0 * GPM, 10.0 * FOOT) / HORSEPOWER,
                rel=0.003,
            ),
        ),
    ),
    Exhibit(
        "Continuous load of common circuits",
        "NFPA 70, 210.20(A): a rating of at least 125 % of the continuous load",
        "exact",
        (
            Check("12 A on 15 A", 1.0, "", lambda: pump.circuit_share(12.0, 15.0), rel=1e-9),
            Check("16 A on 20 A", 1.0, "", lambda: pump.circuit_share(16.0, 20.0), rel=1e-9),
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


@pytest.mark.parametrize(("lift", "bore"), RUNS)
def test_many_at_once(lift: float, bore: float) -> None:
    """Operating points of many pumps at once, against the same libraries."""
    curve = pump.PumpCurve(FLOWS, HEADS)
    found = pump.operating_flows([curve], bore, LENGTH, lift, ROUGHNESS, K_SUM, VISCOSITY)
    assert found[0] == pytest.approx(_by_libraries(lift, bore), rel=1e-6)
