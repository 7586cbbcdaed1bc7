"""Pump × pipe × height sweep of 10,000 cases against a loop over the reference library.

Run: python tests/benchmarks/bench_pump_sweep.py. Both sides run here, one after the other, on the
same cases; the loop takes its friction factors from fluids and its root from scipy.
"""

from __future__ import annotations

import math
import time

import fluids
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from basinbook.engine.water import pipe, pump

LENGTH, K_SUM, ROUGHNESS, VISCOSITY, GRAVITY = 4.0, 6.0, 1.5e-6, 1.0e-6, 9.80665


def pumps(count: int) -> list[pump.PumpCurve]:
    """Return invented pumps of rising size, five points each."""
    curves = []
    for size in np.linspace(1.0, 3.0, count):
        flows = np.array([0.0, 0.25, 0.5, 0.75, 1.0]) * 6e-4 * size
        heads = np.array([1.0, 0.94, 0.78, 0.5, 0.05]) * 2.5 * size
        curves.append(pump.PumpCurve(tuple(flows.tolist()), tuple(heads.tolist())))
    return curves


def loop(
    curves: list[pump.PumpCurve], bores: NDArray[np.float64], lifts: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the same flows, case by case, by fluids and scipy."""
    found = np.full((len(curves), len(bores), len(lifts)), np.nan)
    for index in np.ndindex(found.shape):
        flows, heads = curves[index[0]].flows, curves[index[0]].heads
        bore, lift = float(bores[index[1]]), float(lifts[index[2]])
        area = math.pi / 4.0 * bore**2

        def gap(
            flow: float,
            flows: tuple[float, ...] = flows,
            heads: tuple[float, ...] = heads,
            bore: float = bore,
            lift: float = lift,
            area: float = area,
        ) -> float:
            speed = flow / area
            factor = 0.0
            if flow > 0.0:
                factor = fluids.friction_factor(Re=speed * bore / VISCOSITY, eD=ROUGHNESS / bore)
            lost = (factor * LENGTH / bore + K_SUM) * speed**2 / (2.0 * GRAVITY)
            return float(np.interp(flow, flows, heads)) - lift - lost

        if gap(flows[0]) > 0.0 >= gap(flows[-1]):
            found[index] = brentq(gap, flows[0], flows[-1], xtol=1e-13)
    return found


def main() -> None:
    """Print the times, their ratio and how far the two sides differ."""
    curves = pumps(10)
    bores = np.array([row.inside_diameter for row in pipe.PIPES.values()])[:20]
    lifts = np.linspace(0.1, 6.0, 50)
    start = time.perf_counter()
    at_once = pump.operating_flows(
        curves, bores[:, None], LENGTH, lifts[None, :], ROUGHNESS, K_SUM, VISCOSITY
    )
    swept = time.perf_counter() - start
    start = time.perf_counter()
    one_by_one = loop(curves, bores, lifts)
    looped = time.perf_counter() - start
    both = ~np.isnan(at_once) & ~np.isnan(one_by_one)
    same = np.array_equal(np.isnan(at_once), np.isnan(one_by_one))
    worst = float(np.max(np.abs(at_once[both] / one_by_one[both] - 1.0)))
    print(f"{at_once.size:,} cases, {int(both.sum()):,} with an operating point")
    print(f"sweep {swept:.3f} s, loop over fluids and scipy {looped:.3f} s")
    print(f"ratio {looped / swept:.0f}, largest difference {worst:.1e}, same gaps: {same}")


if __name__ == "__main__":
    main()
