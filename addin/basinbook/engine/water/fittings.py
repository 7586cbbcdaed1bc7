"""Loss coefficients of fittings: published low, typical and high values, each with its source.

They fill the rows of the workbook's table, where the user edits them. The spread is real: for
one fitting, published values differ several times over, by size and by how it is joined. The
ranges are for pipe of 1/2 to 2 in.
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


_H = "Rishel and others, HVAC Pump Handbook, 2nd ed. 2006"
_M = "Munson and others, Fundamentals of Fluid Mechanics"
_T = f"{_M}, table 8.2"
_P = "Perry's Chemical Engineers' Handbook, table 6-4 (from memory)"
_S = "Sanks, Pumping Station Design, tables B-6 and B-7"
_K = "Hooper, Chem. Eng., 24 August 1981"
_R = "Rennels and Hudson, Pipe Flow, 2012"

FITTINGS: tuple[Fitting, ...] = (
    Fitting("Entrance, flush and sharp", 0.5, 0.5, 0.57, f"{_H}, table 3.7: 0.50; {_S}: 0.5; {_R}: "
            "0.57"),
    Fitting("Entrance, projecting pipe", 0.57, 0.8, 1.0, f"{_S}: 0.8; {_H}, table 3.7: 1.0, less "
            f"with a thick wall; {_R}: down to 0.57 for a wall of a twentieth of the bore, as "
            "plastic pipe has"),
    Fitting("Foot valve with strainer", 0.8, 5.0, 15.0, f"{_S}: poppet 5 to 14; {_P}: 15; 0.8, "
            "wide open: common practice, no source. A slow flow opens it only in part"),
    Fitting("90° elbow", 0.3, 0.9, 2.1, f"{_T}: flanged 0.3, threaded 1.5; {_H}, table 3.8, "
            "screwed: 2.1 at 1/2 in, 1.7 at 3/4 in, 1.5 at 1 in, 1.2 at 1-1/2 in, 1.0 at 2 in; "
            f"{_P}: 0.75; 0.9 between them, for smooth plastic elbows"),
    Fitting("90° elbow, long radius", 0.2, 0.45, 0.85, f"{_T}: flanged 0.2, threaded 0.7; {_H}, "
            f"table 3.8, screwed: 0.85 at 3/4 in, 0.43 at 2 in; {_P}: 0.45"),
    Fitting("45° elbow", 0.17, 0.35, 0.54, f"{_T}: threaded 0.4; {_H}, table 3.9: screwed 0.36 at "
            f"1/2 in, long radius flanged 0.17 at 2 in; {_P}: 0.35; {_K}: 0.54 at 1/2 in"),
    Fitting("Tee, flow straight through", 0.15, 0.4, 0.9, f"{_T}: flanged 0.2, threaded 0.9; {_P}: "
            f"0.4; {_K}: 0.15 at 2 in"),
    Fitting("Tee, flow into the branch", 0.83, 1.4, 2.4, f"{_T}: flanged 1.0, threaded 2.0; {_H}, "
            "table 3.10: screwed 2.4 at 1/2 in, 1.9 at 1 in, 1.4 at 2 in, flanged 0.83 at 2 in"),
    Fitting("Ball valve, full bore, open", 0.05, 0.09, 0.11, f"{_T}: 0.05; {_H}, table 3.12: 0.11 "
            "at 3/4 in, 0.09 at 1-1/2 in"),
    Fitting("Gate valve, open", 0.15, 0.2, 0.32, f"{_T}: 0.15; {_P}: 0.17; {_H}, table 3.11, "
            "screwed: 0.32 at 1/2 in, 0.24 at 1 in, 0.20 at 1-1/2 in"),
    Fitting("Swing check valve", 0.6, 2.5, 5.6, f"{_S}: 0.6 to 2.2; {_T}: 2; {_H}, table 3.12, "
            "screwed: 5.6 at 1/2 in, 3.7 at 3/4 in, 3.0 at 1 in, 2.5 at 1-1/2 in, 2.3 at 2 in"),
    Fitting("Coupling or union", 0.04, 0.06, 0.08, f"{_P}: 0.04; {_T}: 0.08"),
    Fitting("Barbed adapter", 0.3, 0.5, 1.0, "Common practice, no source"),
    Fitting("Outlet into the basin or bowl", 1.0, 1.0, 1.0, "Velocity head lost at the outlet; "
            f"{_M}, figure 8.25: 1.0"),
)  # fmt: skip
