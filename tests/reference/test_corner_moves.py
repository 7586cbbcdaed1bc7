"""Corners of a measured rectangle against scipy's least squares and a rope of 3, 4 and 5."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from basinbook.engine.corner_moves import CORNERS, CornerMoves, Measured, corner_moves
from basinbook.engine.errors import InputError
from outside import Check, Exhibit, judge, named

_ENDS = ((0, 1), (2, 3), (0, 2), (1, 3), (0, 3), (1, 2))


def _lengths(corners: np.ndarray) -> np.ndarray:
    return np.array([np.hypot(*(corners[b] - corners[a])) for a, b in _ENDS])


def _rope() -> CornerMoves:
    """3 by 4 m; the back right corner 60 mm right of its place, the six lengths without error."""
    measured = Measured(3.0, 3.06, 4.0, np.hypot(4.0, 0.06), np.hypot(4.0, 3.06), 5.0)
    return corner_moves(3.0, 4.0, measured, 0.006)


OUTSIDE = [
    Exhibit(
        "Corners of a rope of 3, 4 and 5 m, one of them 60 mm out",
        "Theorem of Pythagoras, by hand",
        "The lengths are made from the corners; only the search for the least squares is not exact",
        (
            Check(
                "Move of the back right corner to the right",
                -60.0,
                "mm",
                lambda: _rope().moves[3].right * 1000.0,
                abs=0.001,
            ),
            Check(
                "Move of the back left corner, which is right",
                0.0,
                "mm",
                lambda: _rope().moves[2].far * 1000.0,
                abs=0.001,
            ),
        ),
    )
]


CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


def test_rope() -> None:
    assert [CORNERS[place] for place in _rope().to_move] == ["back right"]
    assert not corner_moves(3.0, 4.0, Measured(3, 3, 4, 4, 5, 5), 0.006).to_move


def _cases() -> list[tuple[np.ndarray, np.ndarray]]:
    """Corners of basins that are out by up to 40 mm, and their lengths read to a millimetre."""
    draw = np.random.default_rng(5)
    found = []
    for _ in range(40):
        length, width = draw.uniform(0.6, 5.0, 2)
        true = np.array([[0, 0], [length, 0], [0, width], [length, width]])
        corners = true + draw.uniform(-0.04, 0.04, (4, 2))
        found.append((true, np.round(_lengths(corners), 3)))
    return found


def test_residuals_are_those_of_scipy() -> None:
    for true, read in _cases():
        ours = corner_moves(true[1, 0], true[2, 1], Measured(*read), 0.006)
        # All eight coordinates free: the least squares don't hang on where the rectangle lies.
        fit = least_squares(
            lambda at, read=read: read - _lengths(at.reshape(4, 2)),
            true.ravel(),
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
        )
        assert ours.residuals == pytest.approx(fit.fun, abs=2e-8)
        assert ours.misfit == pytest.approx(np.sqrt(2.0 * fit.cost), abs=2e-8)
        # The corners that fit best, moved as told, are the rectangle that is wanted.
        stand = true - np.array([[move.right, move.back] for move in ours.moves])
        assert _lengths(stand) == pytest.approx(read - fit.fun, abs=2e-7)


def test_what_is_left_alone_is_within_the_tolerance() -> None:
    tolerance, moved = 0.02, set()
    for true, read in _cases():
        ours = corner_moves(true[1, 0], true[2, 1], Measured(*read), tolerance)
        stand = true.copy()
        for place, move in enumerate(ours.moves):
            if place not in ours.to_move:
                stand[place] -= (move.right, move.back)
        moved.add(len(ours.to_move))
        if ours.to_move:
            assert np.abs(_lengths(stand) - _lengths(true)).max() <= tolerance + 1e-6
    assert len(moved) > 1


def test_fewest_corners_move() -> None:
    """Of a rectangle with one corner out, that corner alone moves, whichever it is."""
    true = np.array([[0, 0], [1.6, 0], [0, 1.2], [1.6, 1.2]])
    for place in range(4):
        corners = true.copy()
        corners[place] += (0.03, -0.02)
        found = corner_moves(1.6, 1.2, Measured(*_lengths(corners)), 0.006)
        assert found.to_move == (place,)
        assert found.moves[place] == pytest.approx((-0.03, 0.02), abs=1e-8)


def test_a_length_that_was_read_wrongly() -> None:
    found = corner_moves(3.0, 4.0, Measured(3, 3, 4, 4, 5.1, 5), 0.006)
    assert not found.agree
    # By hand: small changes e of the six lengths agree where 3 e1 + 3 e2 + 4 e3 + 4 e4 - 5 e5
    # - 5 e6 = 0; divided by 10 that has length 1, so 0.1 in a diagonal leaves 0.1 * 5 / 10.
    assert found.misfit == pytest.approx(0.05, abs=0.001)
    with pytest.raises(InputError, match="measure all six again"):
        corner_moves(3.0, 4.0, Measured(3, 3, 4, 4, 6, 5), 0.006)
