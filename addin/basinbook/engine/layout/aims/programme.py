"""Choosing among listed sets of pieces with the blocks that they are cut from, by HiGHS."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

_MOST_NODES: Final = 50
# The status that HiGHS gives a programme without a solution, by ``scipy.optimize.milp``.
_INFEASIBLE: Final = 2


class Option(NamedTuple):
    """Pieces of one or two courses, leaves counted: value without cut blocks, cut pieces by size.

    value: of its whole blocks and of laying and cutting its pieces. sizes: number by size.
    """

    value: int
    sizes: tuple[tuple[int, int], ...]


class Part(NamedTuple):
    """Courses of a wall that are filled together, and how many of such a wall has."""

    wall: int
    many: int
    options: Sequence[Option]


class Programme(NamedTuple):
    """Parts of walls and, by group of walls, the ways to begin: of each its walls, by number.

    ways_to_cut: how many of each size a block can hold; sizes: in that order; block: the price of
    a block.
    """

    parts: Sequence[Part]
    ways: Sequence[Sequence[Sequence[int]]]
    sizes: Sequence[int]
    ways_to_cut: Sequence[Sequence[int]]
    block: int


class Relaxed(NamedTuple):
    """Least value where parts of options may be chosen, and what a piece of each size is worth."""

    value: float
    worth: dict[int, float]


class Solved(NamedTuple):
    """Least value of whole options, whether it is proved, and the chosen ones.

    ways: of each group the number of its way. options: of each part how often each was chosen.
    """

    value: int
    proved: bool
    ways: tuple[int, ...]
    options: tuple[Counter[int], ...]


class Unsolved(NamedTuple):
    """No choice of options; none: whether it is proved that there is none."""

    none: bool


class _Matrix:
    def __init__(self, given: Programme) -> None:
        self.costs: list[float] = []
        self.most: list[float] = []
        self.entries: list[tuple[int, int, float]] = []
        rows = len(given.ways)
        self.ways = [[self._column(0.0, 1.0) for _ in ways] for ways in given.ways]
        for group, columns in enumerate(self.ways):
            self.entries += [(group, column, 1.0) for column in columns]
        self.options: list[list[int]] = []
        first_size = rows + len(given.parts)
        number = {size: first_size + n for n, size in enumerate(given.sizes)}
        for row, part in enumerate(given.parts, start=rows):
            columns = []
            for option in part.options:
                column = self._column(float(option.value), 1000.0)
                columns.append(column)
                self.entries.append((row, column, 1.0))
                self.entries += [(number[size], column, -float(n)) for size, n in option.sizes]
            self.options.append(columns)
            for ways, own in zip(given.ways, self.ways, strict=True):
                for way, column in zip(ways, own, strict=True):
                    uses = list(way).count(part.wall)
                    if uses:
                        self.entries.append((row, column, -float(uses * part.many)))
        for way in given.ways_to_cut:
            column = self._column(float(given.block), 1000.0)
            self.entries += [
                (first_size + n, column, float(count)) for n, count in enumerate(way) if count
            ]
        self.equal = first_size
        self.low = [1.0] * rows + [0.0] * (len(given.parts) + len(given.sizes))

    def _column(self, cost: float, most: float) -> int:
        self.costs.append(cost)
        self.most.append(most)
        return len(self.costs) - 1


def relaxed(given: Programme) -> Relaxed | None:
    """Return the least value where parts of options and blocks may be taken; None for none."""
    import numpy as np
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    found = _Matrix(given)
    at, to, values = zip(*found.entries, strict=True)
    shape = (len(found.low), len(found.costs))
    matrix = coo_array((values, (at, to)), shape=shape).tocsr()
    low = np.array(found.low)
    result = linprog(
        np.array(found.costs),
        A_ub=-matrix[found.equal :],
        b_ub=-low[found.equal :],
        A_eq=matrix[: found.equal],
        b_eq=low[: found.equal],
        method="highs",
    )
    if result.x is None:
        return None
    worth = (max(0.0, -float(one)) for one in result.ineqlin.marginals)
    return Relaxed(float(result.fun), dict(zip(given.sizes, worth, strict=True)))


def solved(given: Programme) -> Solved | Unsolved:
    """Return the least value of whole options and blocks, or what is known without one."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    found = _Matrix(given)
    at, to, values = zip(*found.entries, strict=True)
    shape = (len(found.low), len(found.costs))
    matrix = coo_array((values, (at, to)), shape=shape).tocsr()
    high = [low if row < found.equal else np.inf for row, low in enumerate(found.low)]
    result = milp(
        np.array(found.costs),
        constraints=LinearConstraint(matrix, found.low, high),
        bounds=Bounds(0.0, found.most),
        integrality=np.ones(len(found.costs)),
        options={"mip_rel_gap": 0.0, "node_limit": _MOST_NODES},
    )
    if result.x is None:
        return Unsolved(none=result.status == _INFEASIBLE)
    taken = [round(value) for value in result.x]
    return Solved(
        round(result.fun),
        result.status == 0,
        tuple(next(n for n, c in enumerate(own) if taken[c]) for own in found.ways),
        tuple(
            Counter({n: taken[c] for n, c in enumerate(own) if taken[c]}) for own in found.options
        ),
    )


def worth_in_blocks(
    worth: Mapping[int, float],
    ways_to_cut: Sequence[Sequence[int]],
    sizes: Sequence[int],
    unit: int,
) -> dict[int, int]:
    """Return prices of pieces in parts of a block of which it has ``unit``; no way holds more."""
    prices = {size: int(worth.get(size, 0.0) * unit) for size in sizes}
    dearest = max(
        (sum(n * prices[size] for n, size in zip(way, sizes, strict=True)) for way in ways_to_cut),
        default=0,
    )
    if dearest > unit:
        prices = {size: price * unit // dearest for size, price in prices.items()}
    return prices
