"""Loss coefficients of fittings: published low, typical and high values, each with its source.

They fill the rows of the workbook's table, where the user edits them. The spread is real: for
one fitting, published values differ by more than a factor of two.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fitting:
    """A fitting and its loss coefficients K [-], referred to the velocity in the pipe."""

    name: str
    low: float
    typical: float
    high: float
    source: str


_M = "Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, table of loss coefficients"
_P = "Perry's Chemical Engineers' Handbook, table of additional friction loss"
# The equivalent lengths of Crane TP-410 with fT = 0.023 for 1 in pipe.
_C = "Crane Technical Paper 410 (from memory), 1 in pipe"

FITTINGS: tuple[Fitting, ...] = (
    Fitting("Entrance, flush and sharp", 0.5, 0.5, 0.5, f"{_C}: 0.5"),
    Fitting("Entrance, projecting pipe", 0.78, 0.8, 1.0, f"{_C}: 0.78; 0.8 and 1.0 as "
            "values in use, no source"),
    Fitting("Foot valve with strainer", 0.8, 1.7, 15.0, f"{_C}: 75 fT = 1.7; {_P}: 15; 0.8 as the "
            "lower value in use, no source"),
    Fitting("90° elbow", 0.69, 0.9, 1.5, f"{_C}: 30 fT = 0.69; {_P}: 0.75; {_M}, threaded: 1.5; "
            "0.9 between them"),
    Fitting("90° elbow, long radius", 0.2, 0.45, 0.7, f"{_M}: flanged 0.2, threaded 0.7; {_P}: "
            "0.45"),
    Fitting("45° elbow", 0.2, 0.35, 0.4, f"{_M}: 0.2 and 0.4; {_P}: 0.35"),
    Fitting("Tee, flow straight through", 0.2, 0.4, 0.9, f"{_M}: flanged 0.2, threaded 0.9; {_P}: "
            "0.4"),
    Fitting("Tee, flow into the branch", 1.0, 1.4, 2.0, f"{_M}: flanged 1.0, threaded 2.0; {_C}: "
            "60 fT = 1.4"),
    Fitting("Ball valve, full bore, open", 0.05, 0.07, 0.1, f"{_M}: 0.05; {_C}: 3 fT = 0.07; 0.1 "
            "as the upper value in use"),
    Fitting("Gate valve, open", 0.15, 0.17, 0.2, f"{_M}: 0.15; {_P}: 0.17; {_C}: 8 fT = 0.18"),
    Fitting("Swing check valve", 2.0, 2.3, 3.0, f"{_M} and {_P}: 2.0; {_C}: 100 fT = 2.3; 3.0 as "
            "the upper value in use"),
    Fitting("Coupling or union", 0.04, 0.06, 0.08, f"{_P}: 0.04; {_M}: 0.08"),
    Fitting("Barbed adapter", 0.3, 0.5, 1.0, "Common practice, no source"),
    Fitting("Outlet into the basin or bowl", 1.0, 1.0, 1.0, "Velocity head lost at the outlet; "
            f"{_C}: 1.0"),
)  # fmt: skip
