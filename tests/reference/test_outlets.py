"""Holes, spouts and bubblers against printed tests, curves and tables, and general libraries."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from scipy.integrate import quad

from basinbook.engine.water import outlets
from outside import Check, Exhibit, judge, named

INCH, FOOT = 0.0254, 0.3048
GPM = 3.785411784e-3 / 60.0
G = 9.80665

# Coefficients of a sharp round hole of 0.196 in², by head in feet.
_BOVEY = {1: 0.620, 2: 0.613, 4: 0.608, 6: 0.607, 8: 0.606, 10: 0.605, 12: 0.604, 14: 0.604,
          16: 0.603, 18: 0.603, 20: 0.603}  # fmt: skip
_BOVEY_HOLE = math.sqrt(4.0 * 0.196 / math.pi) * INCH

# gal/min by distance thrown in inches, over a drop of 13 in, by inside diameter in inches.
_THROWN = {
    2.0: {14: 44, 16: 50, 18: 57, 20: 63, 22: 69, 24: 75, 26: 82, 28: 88, 30: 94, 32: 100, 34: 107,
          36: 113},
    2.5: {18: 88, 20: 98, 22: 108, 24: 118, 26: 128, 28: 137, 30: 147, 32: 157, 34: 167, 36: 177},
    3.0: {18: 127, 20: 141, 22: 156, 24: 170, 26: 184, 28: 198, 30: 212, 32: 226, 34: 240,
          36: 255},
}  # fmt: skip

# gal/min and height in inches, by inside diameter in inches.
_RISERS = {
    2: ((30.22, 2.393), (40.26, 4.048), (50.65, 6.092), (61.32, 8.734), (81.68, 15.21),
        (101.77, 23.12), (119.76, 30.06), (139.55, 40.26), (156.51, 49.87), (173.88, 60.0)),
    3: ((42.88, 1.515), (50.98, 1.753), (60.59, 2.129), (71.32, 2.638), (80.78, 3.143),
        (95.06, 4.128), (105.60, 5.015), (150.38, 10.205), (214.18, 20.17), (376.42, 60.0)),
}  # fmt: skip


def _hole(feet: float) -> Callable[[], float]:
    return lambda: outlets.orifice_coefficient(feet * FOOT, _BOVEY_HOLE)


def _thrown(gpm: float, bore: float) -> Callable[[], float]:
    return lambda: outlets.spout_throw(gpm * GPM, bore * INCH, 13.0 * INCH) / INCH


def _riser(height: float, bore: float) -> Callable[[], float]:
    return lambda: outlets.riser_flow(height * INCH, bore * INCH).flow / GPM


def _large_hole(head: float, bore: float) -> float:
    """Flow of a round hole in a wall, each strip with the head that it has [m³/s]."""
    radius = bore / 2.0

    def strip(up: float) -> float:
        return 2.0 * math.sqrt(radius**2 - up**2) * math.sqrt(2.0 * G * (head - up))

    flow = float(quad(strip, -radius, radius)[0])
    return flow * outlets.orifice_coefficient(head, bore)


def _flow_of_hole(head: float, bore: float) -> Callable[[], float]:
    return lambda: outlets.orifice_flow(head, bore).flow / GPM


def _critical(depth: float, bore: float) -> float:
    """Flow at which a depth is critical in a round channel: Q² T = g A³ [m³/s]."""
    half = math.acos(1.0 - 2.0 * depth / bore)
    wet = bore**2 / 4.0 * (half - math.sin(half) * math.cos(half))
    return math.sqrt(G * wet**3 / (bore * math.sin(half)))


def _spout_depth(depth: float, bore: float) -> Callable[[], float]:
    flow = _critical(depth, bore)
    return lambda: outlets.spout_depth(flow, bore).head / depth


def _jet(height: float, bore: float) -> float:
    return math.pi / 4.0 * (bore * INCH) ** 2 * math.sqrt(2.0 * G * height * INCH) / GPM


OUTSIDE = [
    Exhibit(
        "Coefficient of discharge of a sharp round hole, by head",
        "H. T. Bovey's tests, in Encyclopaedia Britannica, 11th ed., 1911, vol. 14, Hydraulics, "
        "table of coefficients of discharge for sharp-edged orifices, column circular",
        "Our coefficient is fitted to other tests, of holes of 1 to 3 in: 1 %",
        tuple(
            Check(f"0.196 in², {head} ft", value, "", _hole(head), rel=0.01)
            for head, value in _BOVEY.items()
        ),
        "holes that are not round, which we have not",
    ),
    Exhibit(
        "Upright hole with a head of little more than its size, each strip by itself",
        "integral of the velocity over the hole with scipy, times the same coefficient; as "
        "Encyclopaedia Britannica, 11th ed., Hydraulics, sec. 40",
        "We take the head at the middle: 1 % at a head of one diameter",
        tuple(
            Check(
                f"{bore / INCH:g} in, head {head / INCH:g} in",
                _large_hole(head, bore) / GPM,
                "gal/min",
                _flow_of_hole(head, bore),
                rel=0.01 if head < 1.5 * bore else 0.003,
            )
            for bore in (INCH, 3.0 * INCH)
            for head in (bore, 2.0 * bore)
        ),
    ),
    Exhibit(
        "Distance that a level pipe running full throws its water over a drop of 13 in",
        "New Mexico State University, Guide A-104, Estimating Water Flow from Pipes, table 1",
        "Printed in whole gal/min: 0.5 gal/min and 0.5 %",
        tuple(
            Check(
                f"{bore:g} in, {gpm} gal/min",
                float(far),
                "in",
                _thrown(gpm, bore),
                rel=0.005 + 0.5 / gpm,
            )
            for bore, row in _THROWN.items()
            for far, gpm in row.items()
        ),
        "pipes over 3 in; throws under 14 in of 2 in pipe and 18 in of the others, where so "
        "little water does not fill a level pipe with a free end: ours is up to 12 % farther",
    ),
    Exhibit(
        "Flow of an upright pipe by the height of the water over it",
        "U.S. Bureau of Reclamation, Water Measurement Manual, 3rd ed., fig. 14-12 (Stock 1955), "
        "as read off into the data of the package vertPipeFlow of W. H. Asquith, 2 and 3 in",
        "The curves lie within 6 % of the equations printed beside them; between welling over and "
        "jet, from 0.37 to 1.4 diameters, the curve through both is ours",
        tuple(
            Check(f"{bore} in, {height:g} in", gpm, "gal/min", _riser(height, bore), rel=0.06)
            for bore, curve in _RISERS.items()
            for gpm, height in curve
        ),
        "pipes of 4 to 12 in; two points off the ends of the curves",
    ),
    Exhibit(
        "Flow of an upright pipe that jets, by Torricelli",
        "continuity and v²/2g, without losses",
        "Bos 1989 gives the jet's equation ±10 %, and losses take a part",
        tuple(
            Check(
                f"{bore} in, {height} in",
                _jet(height, bore),
                "gal/min",
                _riser(height, bore),
                rel=0.10,
            )
            for bore in (2, 4)
            for height in (12, 36, 60)
        ),
    ),
    Exhibit(
        "Depth at the free end of a level round channel over the critical depth",
        "0.75, S. Dey, Journal of Hydraulic Engineering, 1998, and others' tests (from memory); "
        "critical flow Q² T = g A³ worked out in the test",
        "Measured ratios scatter from 0.71 to 0.77: 6 %",
        tuple(
            Check(
                f"{bore:g} in, critical depth {share:g} of the bore",
                0.75,
                "",
                _spout_depth(share * bore * INCH, bore * INCH),
                rel=0.06,
            )
            for bore in (3.0, 6.0)
            for share in (0.3, 0.5, 0.7)
        ),
    ),
]
_CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", _CHECKS)
def test_outside(name: str) -> None:
    judge(*_CHECKS[name])
