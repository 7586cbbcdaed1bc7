"""Flow divided between branches: whole worked examples of textbooks."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from basinbook.engine.water.manifold import BOWL, Branch, Split, branch_share, split
from basinbook.engine.water.pipe import PipeRun
from basinbook.engine.water.pump import PumpCurve
from outside import Check, Exhibit, judge, named

HOUR = 3600.0
G = 9.81


def _pipe(height: float, k: float, bore: float, length: float, rough: float, nu: float) -> Branch:
    """A branch that ends in a reservoir: a rim so wide that the water over it counts for nothing.

    The books count no loss into the reservoir, or have it in their K: ours is taken off again.
    """
    return Branch(BOWL, 500.0, height, PipeRun(0.0, bore, length, rough, k - 1.0, nu))


_NONE = PipeRun(0.0, 1.0, 0.0)
# White: three pipes between two points, 20.3 m of head; bore, length and roughness in m, m³/h.
_WHITE = (
    ((0.08, 100.0, 0.24e-3), 62.5),
    ((0.06, 150.0, 0.12e-3), 25.9),
    ((0.04, 80.0, 0.20e-3), 11.4),
)


def _white(pipe: tuple[float, float, float]) -> Callable[[], float]:
    return lambda: branch_share(_pipe(0.0, 0.0, *pipe, 1.02e-6), 20.3).flow * HOUR


def _two_pipes() -> Split:
    """5.6 kW of a pump's 8 kW lift water by 8 m through two pipes of 36 m."""
    flows = [0.0200 + 0.0005 * step for step in range(50)]
    curve = PumpCurve((0.0, *flows), (40.0, *(5600.0 / (998.0 * G * flow) for flow in flows)))
    nu = 1.002e-3 / 998.0
    return split(curve, _NONE, [_pipe(8.0, 0.0, bore, 36.0, 0.045e-3, nu) for bore in (0.04, 0.08)])


def _shower_and_cistern() -> Split:
    """200 kPa, 5 m of 1.5 cm copper pipe, then a shower 2 m up and a cistern 1 m up."""
    head = 200000.0 / (998.0 * G)
    # Mains hold their pressure: a table that falls by no more than it must.
    mains = PumpCurve((0.0, 0.001, 0.002), (head + 2e-9, head + 1e-9, head))
    nu, bore, rough = 1.004e-6, 0.015, 1.5e-6
    return split(
        mains,
        PipeRun(0.0, bore, 5.0, rough, 0.0, nu),
        [
            _pipe(2.0, 24.7, bore, 6.0, rough, nu),
            _pipe(1.0, 26.9, bore, 1.0, rough, nu),
        ],
    )


_CENGEL = "Çengel and Cimbala, Fluid Mechanics: Fundamentals and Applications, 2006"
OUTSIDE = [
    Exhibit(
        "Three pipes in parallel",
        "White, Fluid Mechanics, example after 6.17, the three pipes of that example in parallel",
        "Worked with a chart of the friction factor: 0.5 %",
        (
            *(
                Check(
                    f"{100 * pipe[0]:g} cm, {pipe[1]:g} m", flow, "m³/h", _white(pipe), rel=0.005
                )
                for pipe, flow in _WHITE
            ),
            Check(
                "together", 99.8, "m³/h", lambda: sum(_white(pipe)() for pipe, _ in _WHITE),
                rel=0.005,
            ),
        ),
    ),
    Exhibit(
        "A pump on two pipes in parallel between two reservoirs",
        f"{_CENGEL}, example 8-7; its results from memory, its data and equations as worked anew "
        "in a public companion to the book",
        "Printed to three or four figures: 0.5 %",
        (
            Check("together", 0.0300, "m³/s", lambda: _two_pipes().flow, rel=0.005),
            Check("4 cm", 0.00415, "m³/s", lambda: _two_pipes().shares[0].flow, rel=0.005),
            Check("8 cm", 0.0259, "m³/s", lambda: _two_pipes().shares[1].flow, rel=0.005),
            Check("4 cm, velocity", 3.30, "m/s", lambda: _two_pipes().shares[0].velocity,
                  rel=0.005),
            Check("8 cm, velocity", 5.15, "m/s", lambda: _two_pipes().shares[1].velocity,
                  rel=0.005),
            Check("head of the pump", 19.1, "m", lambda: _two_pipes().head, rel=0.005),
        ),
    ),
    Exhibit(
        "A shower and a cistern on one pipe from the mains",
        f"{_CENGEL}, example on a shower and the flushing of a toilet, part b",
        "Printed to two figures: half of the last one",
        (
            Check("together", 0.00090, "m³/s", lambda: _shower_and_cistern().flow, abs=5e-6),
            Check("shower", 0.00042, "m³/s", lambda: _shower_and_cistern().shares[0].flow,
                  abs=5e-6),
            Check("cistern", 0.00048, "m³/s", lambda: _shower_and_cistern().shares[1].flow,
                  abs=5e-6),
        ),
    ),
]  # fmt: skip
_CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", _CHECKS)
def test_outside(name: str) -> None:
    judge(*_CHECKS[name])
