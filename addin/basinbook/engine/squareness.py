"""Diagonals: the target, and what two measured ones say about the corners."""

from __future__ import annotations

from math import hypot, sqrt

from basinbook.engine.errors import InputError

_MISREAD = 0.02


def diagonal(length: float, width: float) -> float:
    """Return the diagonal [m] of a rectangle of a length and a width [m].

    Equation: D = √(L² + W²). Source: theorem of Pythagoras.
    """
    return hypot(length, width)


def out_of_square(length: float, width: float, first: float, second: float) -> float:
    """Return how far [m] the back stands to one side of where square corners put it.

    length, width: measured sides [m]; first, second: the two measured diagonals [m], first from
    the front left to the back right corner. Above zero the back has shifted to the right.
    Equation: of a parallelogram, D₁² − D₂² = 4 · L · s, so s = (D₁² − D₂²) / (4 · L)
    (law of cosines).
    Validity: opposite sides alike. Raises InputError where no parallelogram with about those sides
    has such diagonals: D₁² + D₂² = 2 · (L² + W²) (parallelogram law), to a fiftieth of the
    diagonal, which is a tape read wrongly and no wall out of true.
    Source: Euclidean geometry; that equal diagonals prove square corners is common practice.
    """
    expected, found = hypot(length, width), sqrt((first**2 + second**2) / 2.0)
    if abs(found - expected) > _MISREAD * expected:
        raise InputError(
            "first_diagonal",
            first,
            "the two diagonals don't belong to these sides; measure all four again",
        )
    shift = (first**2 - second**2) / (4.0 * length)
    if abs(shift) > width:
        raise InputError(
            "first_diagonal",
            first,
            "the two diagonals differ by more than these sides allow; measure again",
        )
    return shift
