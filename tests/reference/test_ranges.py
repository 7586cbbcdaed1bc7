"""How far a price may go, against scipy's triangle and against sums of triangles convolved."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import triang

from basinbook.engine.errors import InputError
from basinbook.engine.ranges import Part, sum_below

SHARES = (0.1, 0.5, 0.9)
CELLS = 4000


@pytest.mark.parametrize("part", [Part(0, 50, 100), Part(-20, -20, 60), Part(900, 1000, 1000)])
@pytest.mark.parametrize("share", SHARES)
def test_one_part_is_a_triangle(part: Part, share: float) -> None:
    """scipy.stats.triang, its inverse."""
    shape = (part.likely - part.low) / part.swing
    expected = triang.ppf(share, shape, loc=part.low, scale=part.swing)
    assert sum_below(share, [part]) == pytest.approx(expected, abs=1e-3 * part.swing)


def test_sums_are_those_of_the_convolved_triangles() -> None:
    """Densities of scipy.stats.triang on a grid, convolved by numpy."""
    random = np.random.default_rng(7)
    for _ in range(12):
        rows = np.sort(random.uniform(50, 2000, (int(random.integers(2, 7)), 3)))
        parts = [Part(*map(float, row)) for row in rows]
        step = sum(part.swing for part in parts) / CELLS
        density = np.ones(1)
        for part in parts:
            middles = np.arange(0, part.swing, step) + step / 2
            shape = (part.likely - part.low) / part.swing
            one = triang.pdf(middles, shape, scale=part.swing)
            density = np.convolve(density, one / one.sum())
        places = sum(part.low for part in parts) + step * (np.arange(len(density)) + len(parts) / 2)
        for share in SHARES:
            expected = float(np.interp(share, np.cumsum(density), places + step / 2))
            spread = sum(part.swing for part in parts)
            assert sum_below(share, parts) == pytest.approx(expected, abs=0.004 * spread)


def test_the_same_each_time_and_rising() -> None:
    parts = [Part(100, 120, 200), Part(40, 40, 40)]
    found = [sum_below(share / 20, parts) for share in range(21)]
    assert found == sorted(found)
    assert found[0] >= 140
    assert found[-1] <= 240
    assert sum_below(0.5, list(parts)) == found[10]


@pytest.mark.parametrize("part", [Part(2, 1, 3), Part(1, 4, 3), Part(float("nan"), 1, 2)])
def test_what_does_not_rise_is_refused(part: Part) -> None:
    with pytest.raises(InputError):
        sum_below(0.5, [part])
