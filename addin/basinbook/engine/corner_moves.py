"""Four measured sides and two diagonals: where the corners stand, and which of them to move."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from functools import lru_cache
from math import atan2, cos, hypot, sin, sqrt
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.squareness import diagonal

if TYPE_CHECKING:
    from numpy.typing import NDArray

CORNERS: Final = ("front left", "front right", "back left", "back right")
# The ends of each measured length, by their places in CORNERS, in the order of ``Measured``.
_ENDS: Final = ((0, 1), (2, 3), (0, 2), (1, 3), (0, 3), (1, 2))
# Sides that may be held: the corner that stays, and the other that gives the line.
_HELD: Final = ((0, 1), (1, 0), (0, 2), (1, 3), (2, 0), (3, 1), (2, 3), (3, 2))
_STEPS: Final = 50
# So far, as a share of the diagonal, lengths that were read rightly never are from each other.
_MISREAD: Final = 0.02
_TINY: Final = 1e-9


@dataclass(frozen=True)
class Measured:
    """What was measured of a rectangle [m]; the first diagonal is front left to back right."""

    front: float
    back: float
    left: float
    right: float
    first_diagonal: float
    second_diagonal: float


class Move(NamedTuple):
    """How far [m] a corner is to be moved: to the right and to the back, below zero against it."""

    right: float
    back: float

    @property
    def far(self) -> float:
        """Its length [m]."""
        return hypot(self.right, self.back)


@dataclass(frozen=True)
class CornerMoves:
    """What the measured lengths say of the four corners, in the order of ``CORNERS``.

    moves: from where each stands to where it belongs; to_move: the places of those to be moved;
    targets, residuals: of each measured length, in their order, what it should be and how far the
    measured one lies over that by the fitted corners [m]; within: of each, whether it is within
    the tolerance; misfit: root of the sum of the squared residuals [m]; agree: whether that is
    within the tolerance, or else a length was read wrongly.
    """

    moves: tuple[Move, ...]
    to_move: tuple[int, ...]
    targets: tuple[float, ...]
    residuals: tuple[float, ...]
    within: tuple[bool, ...]
    misfit: float
    agree: bool


@lru_cache(maxsize=64)
def corner_moves(length: float, width: float, measured: Measured, tolerance: float) -> CornerMoves:
    """Return which corners of a rectangle to move, how far, and how well the lengths agree.

    length, width: targets, along front and left side [m]; tolerance: largest difference of a
    side or diagonal [m].
    Equations: the corners are those whose distances have the least sum of squared differences
    from the six measured lengths, Gauss-Newton from the target; six lengths of four corners in a
    plane leave one over, which the residuals share. The rectangle of the targets is then laid on
    one of the four sides, held at one end: on that which leaves the fewest corners to move, then
    the least greatest move, then the front. Corners within half the tolerance of their place stay:
    with them no length is out by more than the tolerance (triangle inequality).
    Raises InputError where the lengths can't belong together, to a fiftieth of the diagonal.
    Source: least squares; Euclidean geometry; that a crew holds one side is common practice.
    """
    across = diagonal(length, width)
    targets = (length, length, width, width, across, across)
    found = astuple(measured)
    corners, residuals = _fitted(length, width, found)
    misfit = sqrt(sum(each * each for each in residuals))
    if misfit > _MISREAD * max(found):
        raise InputError(
            "first_diagonal",
            measured.first_diagonal,
            "sides and diagonals don't belong together; measure all six again",
        )
    limit = tolerance / 2.0 + _TINY
    ways = [_laid(length, width, corners, held) for held in _HELD]
    moves = min(
        ways,
        key=lambda way: (
            sum(move.far > limit for move in way),
            round(max(move.far for move in way), 6),
        ),
    )
    within = tuple(
        abs(one - target) <= tolerance + _TINY for one, target in zip(found, targets, strict=True)
    )
    stands = all(within)
    return CornerMoves(
        moves=moves,
        to_move=tuple(n for n, move in enumerate(moves) if move.far > limit and not stands),
        targets=targets,
        residuals=residuals,
        within=within,
        misfit=misfit,
        agree=misfit <= tolerance + _TINY,
    )


def _fitted(
    length: float, width: float, measured: tuple[float, ...]
) -> tuple[list[tuple[float, float]], tuple[float, ...]]:
    """Return the corners that fit the measured lengths best, and measured less fitted lengths.

    The front left corner lies in the origin and the front right on the x axis: five unknowns.
    """
    import numpy as np

    def corners(unknown: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.array([[0.0, 0.0], [unknown[0], 0.0], unknown[1:3], unknown[3:5]])

    scale = measured[0] / length
    unknown = np.array([length, 0.0, width, length, width]) * scale
    # Places of each corner's x and y among the unknowns, None for those that are held.
    places = ((None, None), (0, None), (1, 2), (3, 4))
    for _ in range(_STEPS):
        at = corners(unknown)
        slopes, apart = np.zeros((6, 5)), np.zeros(6)
        for row, (one, other) in enumerate(_ENDS):
            step = at[other] - at[one]
            distance = max(float(np.hypot(*step)), _TINY)
            apart[row] = measured[row] - distance
            for corner, sign in ((one, -1.0), (other, 1.0)):
                for axis, place in enumerate(places[corner]):
                    if place is not None:
                        slopes[row, place] += sign * step[axis] / distance
        change = np.linalg.lstsq(slopes, apart, rcond=None)[0]
        unknown = unknown + change
        if float(np.max(np.abs(change))) < _TINY * length:
            break
    at = corners(unknown)
    left = (
        size - float(np.hypot(*(at[other] - at[one])))
        for size, (one, other) in zip(measured, _ENDS, strict=True)
    )
    return [(float(x), float(y)) for x, y in at], tuple(left)


def _laid(
    length: float, width: float, corners: list[tuple[float, float]], held: tuple[int, int]
) -> tuple[Move, ...]:
    """Return the moves onto the target that is laid on a side, at the held one of its ends."""
    wanted = ((0.0, 0.0), (length, 0.0), (0.0, width), (length, width))
    stays, line = held
    ahead = [wanted[line][axis] - wanted[stays][axis] for axis in (0, 1)]
    found = [corners[line][axis] - corners[stays][axis] for axis in (0, 1)]
    turn = atan2(ahead[1], ahead[0]) - atan2(found[1], found[0])
    moves = []
    for (x, y), (to_x, to_y) in zip(corners, wanted, strict=True):
        dx, dy = x - corners[stays][0], y - corners[stays][1]
        here_x = wanted[stays][0] + dx * cos(turn) - dy * sin(turn)
        here_y = wanted[stays][1] + dx * sin(turn) + dy * cos(turn)
        moves.append(Move(to_x - here_x, to_y - here_y))
    return tuple(moves)
