"""The flexible liner and its underlay: size from sheet, area, and the fit of a preformed one."""

from __future__ import annotations


def sheet_dimension(inside: float, depth: float, lap: float) -> float:
    """Return one dimension [m] of a liner cut from sheet.

    inside: clear inside dimension [m]; depth: from basin floor to top of the block wall [m];
    lap: flap that lies on the wall under the caps, at each side [m].
    Equation: S = I + 2 · d + 2 · lap (the sheet runs down, across and up again: common practice,
    no source).
    """
    return inside + 2.0 * depth + 2.0 * lap


def sheet_area(length: float, width: float, depth: float, lap: float) -> float:
    """Return the area [m²] of the sheet for an inside length and width [m].

    depth, lap: [m], as in ``sheet_dimension``. Equation: A = S(length) · S(width). Source: geometry
    of a rectangle.
    """
    return sheet_dimension(length, depth, lap) * sheet_dimension(width, depth, lap)


def fit_gap(inside: float, nominal: float) -> float:
    """Return inside minus nominal size [m]: above zero the liner hangs, below zero it bunches.

    Source: definition.
    """
    return inside - nominal


def fit_message(length_gap: float, width_gap: float, tolerance: float) -> str:
    """Return in words whether a preformed liner fits walls that leave these gaps [m].

    A preformed liner wants its nominal inside size exactly (common practice, no source), so
    either gap may at the most be the tolerance [m], up or down.
    """
    slack = 1e-6
    faults = [
        f"{name} {'too large' if gap > 0 else 'too small'} for the liner"
        for name, gap in (("length", length_gap), ("width", width_gap))
        if abs(gap) > tolerance + slack
    ]
    return "; ".join(faults) if faults else "fits"
