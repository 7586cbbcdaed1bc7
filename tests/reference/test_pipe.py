"""Pipe friction, pipe sizes, water and fittings against tables, standards and libraries.

All friction factors at once are compared with the library fluids one by one, laminar to fully
rough, 2,480 pairs of Re and ε/D.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import fluids
import numpy as np
import pytest
from iapws import IAPWS97
from scipy.optimize import brentq

from basinbook.engine.water import fittings, pipe
from outside import Check, Exhibit, judge, named

FOOT = 0.3048
INCH = 0.0254
GPM = 3.785411784e-3 / 60.0
ROOM = 1.0e-6  # m²/s, a round viscosity

# Exhibit I: ft per 100 ft of the pipes that we have too; the last row of a pipe has most figures.
FRICTION = {
    "1": {1: 0.07, 2: 0.28, 3: 0.60, 4: 1.01, 5: 1.52, 6: 2.14, 7: 2.89, 8: 3.63, 9: 4.57,
          10: 5.50},
    "1-1/4": {2: 0.07, 3: 0.16, 4: 0.25, 5: 0.39, 6: 0.55, 7: 0.76, 8: 0.97, 9: 1.21, 10: 1.46,
              11: 1.77, 12: 2.09, 13: 2.42, 14: 2.74, 15: 3.06, 16: 3.49, 17: 3.93, 18: 4.37,
              19: 4.81, 20: 5.23},
    "1-1/2": {3: 0.07, 4: 0.12, 5: 0.18, 6: 0.25, 7: 0.36, 8: 0.46, 9: 0.58, 10: 0.70, 11: 0.84,
              12: 1.01, 13: 1.17, 14: 1.33, 15: 1.45, 16: 1.65, 17: 1.86, 18: 2.07, 19: 2.28,
              20: 2.46, 25: 3.75, 30: 5.22},
    "2": {6: 0.07, 7: 0.10, 8: 0.14, 9: 0.17, 10: 0.21, 11: 0.25, 12: 0.30, 13: 0.35, 14: 0.39,
          15: 0.44, 16: 0.50, 17: 0.56, 18: 0.62, 19: 0.68, 20: 0.74, 25: 1.10, 30: 1.54, 35: 2.05,
          40: 2.62, 45: 3.27, 50: 3.98},
    "3": {15: 0.07, 16: 0.08, 17: 0.09, 18: 0.10, 19: 0.11, 20: 0.12, 25: 0.16, 30: 0.23, 35: 0.30,
          40: 0.39, 45: 0.48, 50: 0.58, 60: 0.81, 70: 1.08, 80: 1.38, 90: 1.73, 100: 2.09},
}  # fmt: skip
ROWS = [(size, gpm, printed) for size, rows in FRICTION.items() for gpm, printed in rows.items()]
ILLINOIS = (
    "Illinois Administrative Code, title 77, part 906, appendix A, exhibit I: friction loss in "
    "schedule 40 plastic pipe, C = 150, ft per 100 ft"
)
OTHER_PIPES = "the columns of 4 in and more, which are no pipes of ours"


def _follows(size: str, gpm: float, printed: float) -> bool:
    """Whether a row follows the power 1.852 through the last row of its pipe: no figure of ours."""
    last = max(FRICTION[size])
    expected = FRICTION[size][last] * (gpm / last) ** 1.852
    return abs(printed - expected) <= 0.005 + 0.003 * printed


def _bore(size: str) -> float:
    return pipe.PIPES[f"sch40 {size}"].inside_diameter


def _hazen(size: str, gpm: float) -> Callable[[], float]:
    return lambda: pipe.pipe_head_hazen_williams(gpm * GPM, _bore(size), 100.0)


def _darcy(size: str, gpm: float) -> Callable[[], float]:
    return lambda: pipe.pipe_head(gpm * GPM, _bore(size), 100.0)


def _nfpa(gpm: float, bore: float) -> float:
    psi = 4.52 * gpm**1.85 / (140.0**1.85 * bore**4.87)
    return 100.0 * psi * 144.0 / 62.4


def _factor(reynolds: float, relative: float) -> Callable[[], float]:
    bore = 0.025
    flow = reynolds * ROOM / bore * math.pi / 4.0 * bore**2
    return lambda: pipe.friction_factor(flow, bore, relative * bore, ROOM)


def _colebrook(reynolds: float, relative: float) -> float:
    def gap(factor: float) -> float:
        root = math.sqrt(factor)
        return 1.0 / root + 2.0 * math.log10(relative / 3.7 + 2.51 / (reynolds * root))

    return float(brentq(gap, 1e-3, 1.0, xtol=1e-15))


def _prandtl(reynolds: float) -> float:
    def gap(factor: float) -> float:
        root = math.sqrt(factor)
        return 1.0 / root - 2.0 * math.log10(reynolds * root) + 0.8

    return float(brentq(gap, 1e-3, 1.0, xtol=1e-15))


FACTORS = [(4e3, 0.001), (1e4, 1e-5), (2e4, 0.02), (1e5, 0.001), (5e5, 0.0001), (1e6, 0.01)]
POTTER = {0: 1.792, 5: 1.519, 10: 1.308, 15: 1.141, 20: 1.007, 30: 0.804, 40: 0.661}
DIN_8062 = {20: 1.5, 25: 1.9, 32: 2.4, 40: 3.0, 50: 3.7, 63: 4.7, 75: 5.6}
SIZES = {"1/2": 0.5, "3/4": 0.75, "1": 1.0, "1-1/4": 1.25, "1-1/2": 1.5, "2": 2.0, "2-1/2": 2.5,
         "3": 3.0}  # fmt: skip


def _fitting(name: str) -> fittings.Fitting:
    return next(row for row in fittings.FITTINGS if row.name == name)


def _end(what: str, name: str, end: str, value: float) -> Check:
    return Check(
        f"{what}: {end} of {name}", value, "", lambda: getattr(_fitting(name), end), abs=1e-9
    )


def _within(what: str, name: str, value: float) -> Check:
    """The value of our range that comes nearest: none off means that it lies in the range."""

    def nearest() -> float:
        row = _fitting(name)
        return min(max(value, row.low), row.high)

    return Check(f"{what}: {name}", value, "", nearest, abs=1e-9)


_EL, _LONG, _EL45 = "90° elbow", "90° elbow, long radius", "45° elbow"
_RUN, _BRANCH = "Tee, flow straight through", "Tee, flow into the branch"
_BALL, _GATE, _SWING = "Ball valve, full bore, open", "Gate valve, open", "Swing check valve"
_FLUSH, _PROJECTING = "Entrance, flush and sharp", "Entrance, projecting pipe"
_OUT, _FOOT, _UNION = (
    "Outlet into the basin or bowl",
    "Foot valve with strainer",
    "Coupling or union",
)
_RANGE = (
    "the value lies in our range of low to high, or is its end; where it does, the nearest value "
    "of the range is the value itself"
)


def _columns(name: str, what: str, **values: float) -> list[Check]:
    """Rows of one column of a table by nominal size, such as s1_2 for 1/2 in."""
    sizes = {
        "s1_2": "1/2",
        "s3_4": "3/4",
        "s1": "1",
        "s1_1_4": "1-1/4",
        "s1_1_2": "1-1/2",
        "s2": "2",
    }
    return [_within(f"{what}, {sizes[key]} in", name, value) for key, value in values.items()]


def _hooper(entry: str, name: str, what: str = "") -> list[Check]:
    """At 5 ft/s, water of 20 °C."""
    found = []
    for size in ("1/2", "3/4", "1", "1-1/2", "2"):
        bore = _bore(size) / INCH
        reynolds = 5.0 * FOOT * _bore(size) / 1.004e-6
        value = round(fluids.fittings.Hooper2K(bore, reynolds, name=entry), 2)
        found.append(_within(f"{what or entry.lower()}, {size} in", name, value))
    return found


OUTSIDE = [
    Exhibit(
        "Friction in plastic pipe by Hazen and Williams",
        f"{ILLINOIS}; the rows that follow Q^1.852 through the last row of their pipe",
        "half a unit of the last figure, and 0.5 % for bores that are rounded to 0.001 in",
        tuple(
            Check(
                f"{size} in, {gpm} gal/min", printed, "ft", _hazen(size, gpm), abs=0.005, rel=0.005
            )
            for size, gpm, printed in ROWS
            if _follows(size, gpm, printed)
        ),
        f"{OTHER_PIPES}; the other rows are in the next table",
    ),
    Exhibit(
        "The same table: rows that depart from their own pipe's curve",
        f"{ILLINOIS}; the rows that do not follow Q^1.852 through the last row of their pipe",
        "the table departs from the formula it names by up to 8 % here, most of it high between "
        "whole fives, as if read from a straight line; and half a unit of the last figure",
        tuple(
            Check(
                f"{size} in, {gpm} gal/min", printed, "ft", _hazen(size, gpm), abs=0.005, rel=0.08
            )
            for size, gpm, printed in ROWS
            if not _follows(size, gpm, printed)
        ),
        OTHER_PIPES,
    ),
    Exhibit(
        "Friction in plastic pipe by Darcy and Weisbach",
        f"{ILLINOIS}; of each pipe the row nearest 1.3 m/s",
        "Hazen and Williams fitted their formula to flows near 1 m/s; C = 150 is a round figure, "
        "±5, and that is ±6 % of the head",
        tuple(
            Check(
                f"{size} in, {gpm} gal/min", FRICTION[size][gpm], "ft", _darcy(size, gpm), rel=0.06
            )
            for size, gpm in (("1", 10), ("1-1/4", 20), ("1-1/2", 30), ("2", 50), ("3", 100))
        ),
        "rows far from 1.3 m/s, where the two formulas part: at 1 in and 1 gal/min ours is "
        "38 % more",
    ),
    Exhibit(
        "Hazen and Williams of the standard on sprinklers",
        "NFPA 13, p = 4.52 Q^1.85 / (C^1.85 d^4.87), psi per ft (from memory)",
        "C = 140, 62.4 lb/ft³; its powers are rounded from 1.852 and 4.8704",
        tuple(
            Check(
                f"{bore} in, {gpm} gal/min",
                _nfpa(gpm, bore),
                "ft per 100 ft",
                lambda gpm=gpm, bore=bore: pipe.pipe_head_hazen_williams(  # type: ignore[misc]
                    gpm * GPM, bore * INCH, 100.0, 140.0
                ),
                rel=0.01,
            )
            for bore in (0.622, 1.049, 2.067)
            for gpm in (1.0, 5.0, 20.0, 60.0)
        ),
    ),
    Exhibit(
        "Friction factor on the printed chart",
        "DOE Fundamentals Handbook, DOE-HDBK-1012/3-92, Fluid Flow, example on the Moody chart",
        "read from a chart to the width of a line",
        (Check("Re = 40,000, ε/D = 0.01", 0.04, "", _factor(4e4, 0.01), rel=0.03),),
    ),
    Exhibit(
        "Friction factor by Colebrook",
        "C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133-156: 1/√f = -2 log(ε/3.7D + "
        "2.51/(Re √f)), solved here by scipy's brentq",
        "both solve one equation to the last digits",
        tuple(
            Check(
                f"Re = {re:,.0f}, ε/D = {eps:g}",
                _colebrook(re, eps),
                "",
                _factor(re, eps),
                rel=1e-9,
            )
            for re, eps in FACTORS
        ),
    ),
    Exhibit(
        "Friction factor of a smooth pipe",
        "Prandtl's law of smooth pipes, 1/√f = 2 log(Re √f) - 0.8, in L. F. Moody, Trans. ASME 66 "
        "(1944) 671-684, solved here by scipy's brentq; Blasius 1913, f = 0.316/Re^0.25",
        "Prandtl's 0.8 is 2 log 2.51 = 0.799 rounded; Blasius is a fit from 4,000 to 100,000",
        (
            *(
                Check(f"Prandtl, Re = {re:,.0f}", _prandtl(re), "", _factor(re, 0.0), rel=5e-4)
                for re in (5e3, 2e4, 8e4, 1e6)
            ),
            *(
                Check(f"Blasius, Re = {re:,.0f}", 0.316 / re**0.25, "", _factor(re, 0.0), rel=0.03)
                for re in (5e3, 2e4, 8e4)
            ),
        ),
    ),
    Exhibit(
        "Bores of schedule 40 plastic pipe",
        "ASTM D1785, outside diameters and least walls, by the library fluids (schedule 40D1785)",
        "all are whole thousandths of an inch",
        tuple(
            Check(
                f"{size} in",
                fluids.nearest_pipe(NPS=nominal, schedule="40D1785")[1] / INCH,
                "in",
                lambda size=size: _bore(size) / INCH,  # type: ignore[misc]
                abs=1e-6,
            )
            for size, nominal in SIZES.items()
        ),
    ),
    Exhibit(
        "Bores of PN 16 plastic pipe",
        "DIN 8062, uPVC pipes, dimensions, series for 16 bar at 20 °C: mean outside diameter less "
        "twice the least wall",
        "printed to 0.1 mm",
        tuple(
            Check(
                f"{outside} mm, wall {wall:g} mm",
                outside - 2.0 * wall,
                "mm",
                lambda outside=outside: (
                    1000.0  # type: ignore[misc]
                    * pipe.PIPES[f"pn16 {outside}"].inside_diameter
                ),
                abs=1e-6,
            )
            for outside, wall in DIN_8062.items()
        ),
        "sizes over 75 mm, which no basin pipe has",
    ),
    Exhibit(
        "Viscosity of water",
        "IAPWS-97 and its formulation of viscosity, by the library iapws, at one atmosphere",
        "the fixed density, 998.2 kg/m³, costs up to 0.5 %",
        tuple(
            Check(
                f"at {celsius:g} °C",
                IAPWS97(T=273.15 + celsius, P=0.101325).nu * 1e6,
                "mm²/s",
                lambda celsius=celsius: pipe.water_viscosity(273.15 + celsius) * 1e6,  # type: ignore[misc]
                rel=0.006,
            )
            for celsius in (1.0, 10.0, 20.0, 30.0)
        ),
    ),
    Exhibit(
        "Viscosity of water in a textbook",
        "M. C. Potter, D. C. Wiggert and B. H. Ramadan, Mechanics of Fluids, 4th ed., table B.1",
        "its figures are older than the formulation of IAPWS, and ours has a fixed density, 0.6 % "
        "off at 40 °C",
        tuple(
            Check(
                f"at {celsius} °C",
                printed,
                "mm²/s",
                lambda celsius=celsius: pipe.water_viscosity(273.15 + celsius) * 1e6,  # type: ignore[misc]
                rel=0.011,
            )
            for celsius, printed in POTTER.items()
        ),
        "50 °C and more, which is refused",
    ),
    Exhibit(
        "Loss coefficients: the whole of a textbook's table that our fittings have",
        "B. R. Munson and others, Fundamentals of Fluid Mechanics, table 8.2; outlet: figure 8.25",
        _RANGE,
        (
            _end("regular, flanged", _EL, "low", 0.3),
            _within("regular, threaded", _EL, 1.5),
            _end("flanged", _LONG, "low", 0.2),
            _within("threaded", _LONG, 0.7),
            _within("long radius, flanged", _EL45, 0.2),
            _within("regular, threaded", _EL45, 0.4),
            _within("line flow, flanged", _RUN, 0.2),
            _end("line flow, threaded", _RUN, "high", 0.9),
            _within("branch flow, flanged", _BRANCH, 1.0),
            _within("branch flow, threaded", _BRANCH, 2.0),
            _end("union, threaded", _UNION, "high", 0.08),
            _end("gate, fully open", _GATE, "low", 0.15),
            _within("swing check, forward flow", _SWING, 2.0),
            _end("ball valve, fully open", _BALL, "low", 0.05),
            _within("exit", _OUT, 1.0),
        ),
        "return bends, globe and angle valves, and valves partly closed, which we do not have",
    ),
    Exhibit(
        "Loss coefficients by size, 1/2 to 2 in",
        "J. B. Rishel and others, HVAC Pump Handbook, 2nd ed., McGraw-Hill 2006, "
        "tables 3.7 to 3.12",
        _RANGE,
        (
            _within("square-edged inlet", _FLUSH, 0.50),
            _end("inward-projecting pipe", _PROJECTING, "high", 1.0),
            _end("regular screwed, 1/2 in", _EL, "high", 2.10),
            *_columns(
                _EL, "regular screwed", s3_4=1.70, s1=1.50, s1_1_4=1.30, s1_1_2=1.20, s2=1.00
            ),
            *_columns(_EL, "regular flanged", s1=0.43, s1_1_4=0.40, s1_1_2=0.39, s2=0.37),
            _end("screwed, 3/4 in", _LONG, "high", 0.85),
            *_columns(_LONG, "screwed", s1=0.76, s1_1_4=0.65, s1_1_2=0.53, s2=0.43),
            *_columns(_LONG, "flanged", s1_1_4=0.37, s1_1_2=0.35, s2=0.31),
            *_columns(
                _EL45, "screwed", s1_2=0.36, s3_4=0.35, s1=0.33, s1_1_4=0.32, s1_1_2=0.31, s2=0.30
            ),
            *_columns(_EL45, "long radius flanged", s1=0.21, s1_1_4=0.20, s1_1_2=0.18),
            _end("long radius flanged, 2 in", _EL45, "low", 0.17),
            _within("screwed, all sizes", _RUN, 0.90),
            *_columns(_RUN, "flanged", s1=0.27, s1_1_4=0.25, s1_1_2=0.23, s2=0.20),
            _end("screwed, 1/2 in", _BRANCH, "high", 2.40),
            *_columns(_BRANCH, "screwed", s3_4=2.10, s1=1.90, s1_1_4=1.70, s1_1_2=1.60, s2=1.40),
            *_columns(_BRANCH, "flanged", s1=1.00, s1_1_4=0.94, s1_1_2=0.90),
            _end("flanged, 2 in", _BRANCH, "low", 0.83),
            _end("screwed, 1/2 in", _GATE, "high", 0.32),
            *_columns(_GATE, "screwed", s3_4=0.28, s1=0.24, s1_1_4=0.22, s1_1_2=0.20, s2=0.17),
            _end("3/4 in", _BALL, "high", 0.11),
            *_columns(_BALL, "open", s1=0.10, s1_1_4=0.09, s1_1_2=0.09, s2=0.08),
            _end("screwed, 1/2 in", _SWING, "high", 5.6),
            *_columns(_SWING, "screwed", s3_4=3.7, s1=3.0, s1_1_4=2.7, s1_1_2=2.5, s2=2.3),
            _within("flanged, all sizes", _SWING, 2.0),
        ),
        "sizes over 2 in, which no basin pipe has (elbows there go down to 0.21), bell mouths, "
        "globe, angle and butterfly valves, which we do not have",
    ),
    Exhibit(
        "Loss coefficients of pumping stations",
        "R. L. Sanks and others, Pumping Station Design, appendix B, tables B-6 and B-7, of a copy "
        "without its title page",
        _RANGE,
        (
            _within("sharp-edged entrance", _FLUSH, 0.5),
            _within("projecting entrance", _PROJECTING, 0.8),
            _within("exits", _OUT, 1.0),
            _within("foot valve, poppet, least", _FOOT, 5.0),
            _within("foot valve, poppet, most", _FOOT, 14.0),
            _end("least", _SWING, "low", 0.6),
            _within("swing, most", _SWING, 2.2),
        ),
        "elbows, tees and gate valves, which are for pipe of 12 in (an elbow 0.25); the foot valve "
        "with a hinged disc, whose figure the copy does not show clearly",
    ),
    Exhibit(
        "Loss coefficients of chemical engineers",
        "Perry's Chemical Engineers' Handbook, table 6-4 (from memory)",
        _RANGE,
        (
            _within("standard", _EL, 0.75),
            _within("long radius", _LONG, 0.45),
            _within("standard", _EL45, 0.35),
            _within("run through, branch blanked", _RUN, 0.4),
            _within("branching flow", _BRANCH, 1.0),
            _end("coupling", _UNION, "low", 0.04),
            _within("gate, open", _GATE, 0.17),
            _within("swing", _SWING, 2.0),
            _end("foot valve", _FOOT, "high", 15.0),
        ),
        "what we do not have",
    ),
    Exhibit(
        "Loss coefficients by the method of two constants, 1/2 to 2 in",
        "W. B. Hooper, Chem. Eng. 88 (24 August 1981) 96-100, by the library fluids, at 5 ft/s in "
        "water of 20 °C",
        _RANGE,
        (
            *_hooper("Elbow, 90°, Standard (R/D = 1), Screwed", _EL),
            *_hooper("Elbow, 90°, Standard (R/D = 1), Flanged/welded", _EL),
            *_hooper("Elbow, 90°, Long-radius (R/D = 1.5), All types", _LONG),
            *_hooper("Elbow, 45°, Standard (R/D = 1), All types", _EL45),
            *_hooper("Elbow, Used as, Standard, Screwed", _BRANCH, "tee used as elbow, screwed"),
            *_hooper("Tee, Run, Screwed", _RUN, "tee run through, screwed"),
            *_hooper("Valve, Gate, Full line size, Beta = 1", _GATE),
            *_hooper("Valve, Check, Swing", _SWING),
        ),
        "what we do not have",
    ),
    Exhibit(
        "Entrances by textbooks",
        "D. C. Rennels and H. M. Hudson, Pipe Flow, Wiley 2012; D. S. Miller, Internal Flow "
        "Systems, 1990, by the library fluids; a projecting pipe of schedule 40, 1 in",
        _RANGE,
        (
            _end(
                "flush, Rennels", _FLUSH, "high", round(fluids.entrance_sharp(method="Rennels"), 3)
            ),
            _within("flush, Miller", _FLUSH, round(fluids.entrance_sharp(method="Miller"), 3)),
            _end(
                "thick-walled, Rennels",
                _PROJECTING,
                "low",
                round(fluids.entrance_distance(Di=1.049, t=0.133, l=2.1, method="Rennels"), 3),
            ),
        ),
        "Miller's, Idelchik's and Harris's figures for the projecting pipe, 0.53, 0.50 and 0.46: "
        "they take a thick wall for a flush entrance",
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


def test_friction_factors_against_the_library() -> None:
    """All at once against the library fluids one by one, laminar to fully rough."""
    reynolds = np.concatenate([np.linspace(1.0, 2039.0, 20), np.geomspace(2041.0, 1e8, 60)])
    relative = np.concatenate([[0.0], np.geomspace(1e-6, 0.05, 30)])
    found = pipe.friction_factors(reynolds[:, None], relative[None, :])
    expected = [[fluids.friction_factor(Re=re, eD=eps) for eps in relative] for re in reynolds]
    np.testing.assert_allclose(found, expected, rtol=1e-10)
