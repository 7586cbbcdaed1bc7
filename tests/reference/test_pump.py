"""Pumps against a textbook example, closed forms, the electrical code and a reference library."""

from __future__ import annotations

import math

import fluids
import pytest
from scipy.optimize import brentq

from basinbook.engine.water import pipe, pump

FOOT = 0.3048
INCH = 0.0254
CFS = FOOT**3
GPM = 3.785411784e-3 / 60.0
HORSEPOWER = 745.6998715822702


@pytest.mark.parametrize("gpm", [400.0, 1000.0, 1600.0])
def test_textbook_system_curve(gpm: float) -> None:
    """10 ft lift, 200 ft of 6 in pipe, f = 0.02, K = 0.5 + 1.5 + 1.0: h = 10 + 4.43 Q² [ft, ft³/s].

    Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, example on pump performance curves
    (from memory). The coefficient has three figures: 0.2 %.
    """
    bore, flow = 6.0 * INCH, gpm * GPM
    friction = pipe.darcy_weisbach(0.02, 200.0 * FOOT, bore, pipe.velocity(flow, bore))
    head = 10.0 * FOOT + friction + pipe.fitting_head(3.0, flow, bore)
    assert head / FOOT == pytest.approx(10.0 + 4.43 * (flow / CFS) ** 2, rel=0.002)


def test_textbook_operating_point() -> None:
    """The same example: its pump runs at 1600 gpm and 66.5 ft, and takes 32 hp at 84 % (from
    memory).

    Only that point of its pump curve is known here; the table goes through it with a fall of its
    own. The roughness is that for which f is 0.02. Reading the chart: 1 %.
    """
    curve = pump.PumpCurve(
        tuple(q * GPM for q in (1400.0, 1600.0, 1800.0)), tuple(h * FOOT for h in (74.5, 66.5, 57))
    )
    bore = 6.0 * INCH
    roughness = brentq(lambda eps: pipe.friction_factor(1600.0 * GPM, bore, eps) - 0.02, 1e-6, 1e-3)
    run = pipe.PipeRun(10.0 * FOOT, bore, 200.0 * FOOT, roughness, 3.0)
    point = pump.operating_point(curve, run)
    assert point.flow / GPM == pytest.approx(1600.0, rel=0.01)
    assert point.head / FOOT == pytest.approx(66.5, rel=0.01)
    power = pump.hydraulic_power(1600.0 * GPM, 66.5 * FOOT, 0.84)
    assert power / HORSEPOWER == pytest.approx(32.0, rel=0.005)


def test_straight_curve_and_fittings_only() -> None:
    """H = 4 - 2000 Q against H = 1 + c Q², a quadratic solved by hand."""
    bore, k = 0.025, 8.0
    c = k / (2.0 * 9.80665 * (math.pi / 4.0 * bore**2) ** 2)
    expected = (-2000.0 + math.sqrt(2000.0**2 + 4.0 * c * 3.0)) / (2.0 * c)
    curve = pump.PumpCurve((0.0, 0.001, 0.0018), (4.0, 2.0, 0.4))
    point = pump.operating_point(curve, pipe.PipeRun(1.0, bore, 0.0, k_sum=k))
    assert point.flow == pytest.approx(expected, rel=1e-6)
    assert point.head == pytest.approx(4.0 - 2000.0 * expected, rel=1e-6)


@pytest.mark.parametrize("lift", [0.3, 0.9, 1.8])
@pytest.mark.parametrize("bore", [0.019, 0.0254, 0.0381])
def test_operating_point_against_libraries(lift: float, bore: float) -> None:
    """Friction of the library fluids and the root of scipy, written out here."""
    flows, heads = (0.0, 2e-4, 4e-4, 6e-4, 8e-4), (3.2, 2.95, 2.4, 1.5, 0.1)
    length, k, roughness, viscosity = 4.0, 5.0, 1.5e-6, 1.0e-6

    def gap(flow: float) -> float:
        speed = flow / (math.pi / 4.0 * bore**2)
        factor = fluids.friction_factor(Re=speed * bore / viscosity, eD=roughness / bore)
        i = max(n for n in range(4) if flows[n] <= flow)
        slope = (heads[i + 1] - heads[i]) / (flows[i + 1] - flows[i])
        given = heads[i] + slope * (flow - flows[i])
        return given - lift - (factor * length / bore + k) * speed**2 / (2.0 * 9.80665)

    expected = brentq(gap, 1e-5, 8e-4, xtol=1e-14)
    curve = pump.PumpCurve(flows, heads)
    run = pipe.PipeRun(lift, bore, length, roughness, k, viscosity)
    assert pump.operating_point(curve, run).flow == pytest.approx(expected, rel=1e-6)
    at_once = pump.operating_flows([curve], bore, length, lift, roughness, k, viscosity)
    assert at_once[0] == pytest.approx(expected, rel=1e-6)


def test_water_horsepower() -> None:
    """Q [gpm] · H [ft] / 3960 is the water horsepower: pump handbooks; the divisor is rounded."""
    power = pump.hydraulic_power(20.0 * GPM, 10.0 * FOOT)
    assert power / HORSEPOWER == pytest.approx(20.0 * 10.0 / 3960.0, rel=0.003)


def test_continuous_load_of_common_circuits() -> None:
    """12 A on a 15 A circuit and 16 A on a 20 A circuit: NFPA 70, 210.20(A)."""
    assert pump.circuit_share(12.0, 15.0) == pytest.approx(1.0)
    assert pump.circuit_share(16.0, 20.0) == pytest.approx(1.0)
