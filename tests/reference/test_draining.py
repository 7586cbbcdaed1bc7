"""Emptying times against a textbook's tank and a library's integration."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from fluids.friction import friction_factor
from scipy.integrate import quad

from basinbook.engine.water.draining import siphon_flow, siphon_time
from basinbook.engine.water.pipe import SMOOTH, PipeRun, water_viscosity
from outside import Check, Exhibit, judge, named

FOOT = 0.3048
G = 9.80665
# A hole without losses is a hose without length: only the speed is lost.
JET = PipeRun(0.0, 0.5 / 12 * FOOT, 0.0, k_sum=1.0)
TANK = math.pi / 4 * (3 * FOOT) ** 2
VISCOSITY = water_viscosity(293.15)


def _tank(last: float) -> Callable[[], float]:
    return lambda: siphon_time(TANK, 4 * FOOT, last * FOOT, 0.0, JET) / 60


def _speed(head: float, bore: float, run: float) -> float:
    """Speed [m/s] by repeated friction factors of the library fluids."""
    speed = math.sqrt(2 * G * head / 1.8)
    for _ in range(60):
        factor = friction_factor(Re=speed * bore / VISCOSITY, eD=SMOOTH / bore)
        speed = math.sqrt(2 * G * head / (factor * run / bore + 1.8))
    return speed


def _by_library(bore: float, run: float, below: float) -> float:
    """Minutes to lower 1.9 m² of water from 0.43 to 0.025 m, by scipy's quadrature."""

    def slowness(level: float) -> float:
        return 1.9 / (math.pi / 4 * bore**2 * _speed(level + below, bore, run))

    return float(quad(slowness, 0.025, 0.43, epsrel=1e-4, limit=200)[0]) / 60


def _ours(bore: float, run: float, below: float) -> Callable[[], float]:
    hose = PipeRun(0.0, bore, run, k_sum=1.8)
    return lambda: siphon_time(1.9, 0.43, 0.025, -below, hose) / 60


HOSES = [(0.016, 7.5, 0.6), (0.016, 15.0, 0.0), (0.019, 7.5, 0.3), (0.025, 10.0, 1.5)]
OUTSIDE = [
    Exhibit(
        "Discharge of water from a tank",
        "Çengel and Cimbala, Fluid Mechanics, chapter 5, worked example: a tank 3 ft across and 4 "
        "ft high, a jet of 0.5 in at its bottom, no losses (from memory)",
        "half a unit of the last printed digit, and our steps",
        (
            Check("from 4 to 2 ft", 12.6, "min", _tank(2.0), abs=0.06),
            Check("all of it", 43.1, "min", _tank(0.0), abs=0.1),
        ),
    ),
    Exhibit(
        "Siphoning from a tank",
        "Çengel and Cimbala, Fluid Mechanics, chapter 5, worked example: a siphon of 5 mm with its "
        "end 0.75 m under the surface, no losses (from memory)",
        "half a unit of the last printed digit",
        (
            Check(
                "speed at the end",
                3.84,
                "m/s",
                lambda: (
                    siphon_flow(0.75, PipeRun(0.0, 0.005, 0.0, k_sum=1.0))
                    / (math.pi / 4 * 0.005**2)
                ),
                abs=6e-3,
            ),
            Check(
                "time for 4 L",
                53.1,
                "s",
                lambda: 0.004 / siphon_flow(0.75, PipeRun(0.0, 0.005, 0.0, k_sum=1.0)),
                abs=0.15,
            ),
        ),
    ),
    Exhibit(
        "Emptying by siphon through a hose",
        "friction factors by the library fluids, falling head integrated by scipy.integrate.quad",
        "our steps: half a hundredth, where the flow turns laminar at the end",
        tuple(
            Check(
                f"hose {1000 * bore:g} mm, {run:g} m, end {below:g} m under the floor",
                _by_library(bore, run, below),
                "min",
                _ours(bore, run, below),
                rel=5e-3,
            )
            for bore, run, below in HOSES
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])
