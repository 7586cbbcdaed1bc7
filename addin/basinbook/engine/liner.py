"""The flexible liner and its underlay: size from sheet and roll, area, fit of a preformed one."""

from __future__ import annotations

from math import ceil
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError

# Room for rounding, so that a sheet as wide as its strips takes no further one.
_SLACK: Final = 1e-9


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


class Strips(NamedTuple):
    """How a sheet is made up from a roll: strips side by side, seamed where there are several.

    number; length of each [m]; seam: all seams together [m]; bought: area off the roll [m²]; waste:
    share of it that is not in the sheet [-], overlaps included.
    """

    number: int
    length: float
    seam: float
    bought: float
    waste: float


def strips(length: float, width: float, roll: float, overlap: float) -> Strips:
    """Return the strips [m] of a roll's width that make a sheet, with the least seam.

    length, width: of the sheet [m]; roll: its width [m]; overlap: of two strips at a seam [m].
    Equation: n = ⌈(W - o) / (R - o)⌉ strips, laid along either side of the sheet; the shorter seam
    is taken, then the smaller area. Source: geometry; the overlap is the maker's.
    """
    if roll <= overlap:
        raise InputError("roll", roll, "a roll wider than the overlap of a seam")

    def along(run: float, across: float) -> Strips:
        count = max(1, ceil((across - overlap) / (roll - overlap) - _SLACK))
        bought = count * roll * run
        return Strips(count, run, (count - 1) * run, bought, max(0.0, 1.0 - run * across / bought))

    return min(along(length, width), along(width, length), key=lambda s: (s.seam, s.bought))


def corner_fold(depth: float, lap: float) -> float:
    """Return how far [m] a folded corner reaches along the wall at the top, in three layers.

    depth: basin floor to top of the block wall [m]; lap: flap on the wall [m]. Equation: the spare
    square of side d + lap, folded on its diagonal, is an ear whose edge at the top is d + lap.
    Source: geometry of paper folding.
    """
    return depth + lap


def most_lap(thickness: float, beads: int, diameter: float) -> float:
    """Return the widest flap [m] that leaves the beads under a cap bare block to hold on.

    thickness: of the wall's top [m]; beads: of adhesive along the bed; diameter: of each [m]. Each
    bead is given three of its diameters, for spread and gap: common practice, no source.
    """
    return max(0.0, thickness - 3.0 * beads * diameter)


def depth_message(depth: float, wall_height: float, water_depth: float) -> str:
    """Return in words whether a preformed liner's depth goes with wall and water [m].

    Its rim must not stand above the block, and the water must stay below the rim. Source:
    geometry.
    """
    slack = 1e-6
    if depth > wall_height + slack:
        return "deeper than the wall"
    if depth < water_depth - slack:
        return "the water stands above its rim"
    return "goes with wall and water"
