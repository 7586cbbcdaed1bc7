"""Cut plans against published examples, optima known by construction, and an integer programme.

"By construction" means: the pieces come from cutting up full
blocks without waste, so the number of blocks cut up is the least there can be.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from basinbook.engine.layout.results.cutting import (
    fewest_bound,
    saw_cuts,
)
from cut_plans import by_arc_flow, fewest_bars
from outside import Check, Exhibit, judge, named

# OR-Library, binpack1, instance u120_00.
U120_00 = [
    42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73,
    49, 70, 59, 23, 57, 72, 74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38,
    82, 30, 35, 39, 57, 84, 62, 50, 55, 27, 30, 36, 20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84,
    37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70, 23, 42, 87, 43, 84, 60, 55, 49, 78,
    73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60, 42, 43, 43, 39,
]  # fmt: skip

# Length of a raw, orders by length, published least number of raws (None: none printed).
PUBLISHED: dict[str, tuple[int, dict[int, int], int | None]] = {
    "Chvátal": (100, {45: 97, 36: 610, 31: 395, 14: 211}, 453),
    "Fourer, Gay and Kernighan": (110, {20: 48, 45: 35, 50: 24, 55: 10, 75: 8}, 47),
    # Widths of 17, 21, 22.5, 24 and 29.5 from 94, doubled to be whole numbers.
    "Heipcke": (188, {34: 150, 42: 96, 45: 48, 48: 108, 59: 227}, 161),
    "Falkenauer, u120_00": (150, dict(Counter(U120_00)), 48),
    "Perron and Furnon": (100, {48: 1, 42: 2, 36: 3, 30: 2, 27: 1, 24: 1, 19: 1}, 4),
    "Winston": (17, {3: 25, 5: 20, 9: 15}, None),
}
SOURCES = {
    "Chvátal": "V. Chvátal, Linear Programming, 1983, ch. 13: raws of 100 in, finals of 45, 36, 31 "
    "and 14 in; orders found again in the NEOS Guide, relaxed optimum 452 1/4 from memory",
    "Fourer, Gay and Kernighan": "R. Fourer, D. M. Gay and B. W. Kernighan, AMPL, 2nd ed., "
    "2003, sec. 14.4: rolls of 110 in; orders found again in the book's file cut.dat, optimum "
    "from memory",
    "Heipcke": "S. Heipcke, parallel models, cutting stock: relaxed optimum 160.95, 161 rolls; "
    "orders by the printed usage of each pattern",
    "Falkenauer, u120_00": "J. E. Beasley, OR-Library, binpack1, u120_00; E. Falkenauer, "
    "Journal of Heuristics 2 (1996) 5-30; optimum 48 proved: M. Delorme, M. Iori and S. Martello, "
    "Optimization Letters 12 (2018) 235-250 (from memory)",
    "Perron and Furnon": "L. Perron and V. Furnon, OR-Tools, lesson on bin packing (from memory); "
    "no fewer by volume",
}


def _spread(demand: dict[int, int]) -> list[int]:
    return [length for length, count in demand.items() for _ in range(count)]


def _patterns(lengths: Sequence[int], demand: Sequence[int], stock: int, kerf: int) -> np.ndarray:
    """Every way to fill one block: k pieces with k - 1 kerfs between them, none over demand."""
    rows: list[list[int]] = []

    def grow(index: int, taken: list[int], used: int) -> None:
        if index == len(lengths):
            if any(taken):
                rows.append(taken)
            return
        count, end = 0, used
        while count <= demand[index] and end <= stock + kerf:
            grow(index + 1, [*taken, count], end)
            count, end = count + 1, end + lengths[index] + kerf

    grow(0, [], 0)
    return np.array(rows)


def integer_programme(pieces: Sequence[int], stock: int, kerf: int) -> int:
    """Least number of blocks by covering demand with fillings (not the model of the engine)."""
    counts = Counter(pieces)
    lengths = sorted(counts)
    demand = [counts[length] for length in lengths]
    patterns = _patterns(lengths, demand, stock, kerf)
    result = milp(
        np.ones(len(patterns)),
        constraints=LinearConstraint(patterns.T, demand, np.inf),
        bounds=Bounds(0, max(demand)),
        integrality=np.ones(len(patterns)),
        options={"mip_rel_gap": 0.0, "time_limit": 60},
    )
    assert result.status == 0
    return round(result.fun)


def _check(bars: Sequence[Sequence[int]], pieces: Sequence[int], stock: int, kerf: int) -> None:
    assert Counter(piece for bar in bars for piece in bar) == Counter(pieces)
    assert all(sum(bar) + (len(bar) - 1) * kerf <= stock for bar in bars)


@cache
def _fewest(name: str) -> float:
    stock, demand, _ = PUBLISHED[name]
    pieces = _spread(demand)
    bars = fewest_bars(pieces, stock, 0)
    _check(bars, pieces, stock, 0)
    return float(len(bars))


@cache
def _programme(name: str) -> float:
    stock, demand, _ = PUBLISHED[name]
    return float(integer_programme(_spread(demand), stock, 0))


@cache
def _family(m: int) -> float:
    """With ε = 1 % of the block; 9m blocks are full to the brim, so 9m is the optimum."""
    pieces = [51] * 6 * m + [27] * 6 * m + [26] * 6 * m + [23] * 12 * m
    assert sum(pieces) == 9 * m * 100
    return float(len(fewest_bars(pieces, 100, 0)))


WHOLE = "a number of raws is right or wrong"
OUTSIDE = [
    *(
        Exhibit(
            f"Least number of raws: {name}",
            source,
            WHOLE,
            (
                Check(
                    f"{sum(PUBLISHED[name][1].values())} pieces",
                    float(PUBLISHED[name][2] or 0),
                    "raws",
                    lambda name=name: _fewest(name),  # type: ignore[misc]
                    abs=1e-9,
                ),
            ),
        )
        for name, source in SOURCES.items()
    ),
    Exhibit(
        "Least number of raws by an integer programme",
        "covering of the orders by patterns, solved by HiGHS in scipy; the orders above, and W. L. "
        "Winston, Operations Research, Woodco: 25, 20 and 15 boards of 3, 5 and 9 ft from 17 ft",
        WHOLE,
        tuple(
            Check(
                name,
                _programme(name),
                "raws",
                lambda name=name: _fewest(name),  # type: ignore[misc]
                abs=1e-9,
            )
            for name in PUBLISHED
            if "u120" not in name
        ),
        "u120_00, which has too many patterns",
    ),
    Exhibit(
        "The family on which first fit decreasing needs 11/9 of the optimum",
        "D. S. Johnson, A. Demers, J. D. Ullman, M. R. Garey and R. L. Graham, SIAM Journal on "
        "Computing 3 (1974) 299-325 (from memory); 9 m by construction",
        WHOLE,
        tuple(
            Check(
                f"m = {m}",
                9.0 * m,
                "raws",
                lambda m=m: _family(m),  # type: ignore[misc]
                abs=1e-9,
            )
            for m in (1, 2, 5)
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


def _triplets(bins: int, seed: int) -> list[int]:
    """Falkenauer's class "t": three items fill a bin of 1000 exactly; optimum = items / 3."""
    source = random.Random(seed)
    items: list[int] = []
    for _ in range(bins):
        first = source.randint(380, 490)
        second = source.randint(250, (1000 - first) // 2 - 1)
        items += [first, second, 1000 - first - second]
    return items


@pytest.mark.parametrize("seed", range(3))
def test_triplets(seed: int) -> None:
    # E. Falkenauer, Journal of Heuristics 2 (1996) 5-30, class "t"; optimum by construction.
    pieces = _triplets(12, seed)
    bars = fewest_bars(pieces, 1000, 0)
    _check(bars, pieces, 1000, 0)
    assert len(bars) == 12


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("kerf", [0, 3])
def test_blocks_cut_up_without_waste(seed: int, kerf: int) -> None:
    # Optimum by construction: whole blocks parted at random with a saw of that kerf.
    source = random.Random(seed)
    pieces: list[int] = []
    blocks = source.randint(3, 15)
    for _ in range(blocks):
        parts = source.randint(2, 4)
        grid = 240 + kerf
        ends = sorted(source.sample(range(30, 220, 10), parts - 1))
        lengths = [b - a for a, b in zip([0, *ends], [*ends, grid], strict=True)]
        pieces += [length - kerf for length in lengths]
    assert sum(pieces) + (len(pieces) - blocks) * kerf == 240 * blocks
    bars = fewest_bars(pieces, 240, kerf)
    assert len(bars) == blocks
    # Every block is used to its end, so each needs one cut less than it has pieces.
    assert saw_cuts(bars, 240, kerf) == len(pieces) - blocks


def _random_job(source: random.Random) -> tuple[list[int], int, int]:
    # Stock of 8 to 18 in and kerfs of 0 to 1/4 in, in 1/16 in; 2 to 6 lengths, up to 60 pieces.
    stock = source.choice([128, 192, 256, 288])
    kerf = source.choice([0, 1, 2, 4])
    lengths = source.sample(range(stock // 5, stock), source.randint(2, 6))
    return [source.choice(lengths) for _ in range(source.randint(2, 60))], stock, kerf


@pytest.mark.parametrize("group", range(10))
def test_random_jobs_against_integer_programme(group: int) -> None:
    source = random.Random(1000 + group)
    for _ in range(24):
        pieces, stock, kerf = _random_job(source)
        bars = fewest_bars(pieces, stock, kerf)
        _check(bars, pieces, stock, kerf)
        best = integer_programme(pieces, stock, kerf)
        assert len(bars) == best, (pieces, stock, kerf)
        assert fewest_bound(pieces, stock, kerf) <= best


def test_arc_flow_against_integer_programme() -> None:
    # The fast path seldom needs HiGHS, so its model is checked by itself too.
    source = random.Random(7)
    for _ in range(40):
        pieces, stock, kerf = _random_job(source)
        items = [(length + kerf, count) for length, count in sorted(Counter(pieces).items())[::-1]]
        bins = by_arc_flow(items, stock + kerf, 0, len(pieces)).bins
        _check([[size - kerf for size in b] for b in bins], pieces, stock, kerf)
        assert len(bins) == integer_programme(pieces, stock, kerf)
