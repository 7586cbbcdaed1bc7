"""Choosing among listed sets of pieces with the blocks that they are cut from, by HiGHS."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from basinbook.engine.integer_programme import IntegerProgramme

_MOST_NODES: Final = 50


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


class _Written(NamedTuple):
    """A programme as it is solved, and its unknowns: of ways by group, of options by part.

    equal: how many rows, the first ones, are equations.
    """

    programme: IntegerProgramme
    ways: list[list[int]]
    options: list[list[int]]
    equal: int


def _written(given: Programme) -> _Written:
    programme = IntegerProgramme()
    ways = [[programme.unknown(0.0, 1.0) for _ in group] for group in given.ways]
    options = []
    of_part: list[dict[int, float]] = []
    of_size: dict[int, dict[int, float]] = {size: {} for size in given.sizes}
    for part in given.parts:
        columns = [programme.unknown(float(option.value), 1000.0) for option in part.options]
        options.append(columns)
        row = dict.fromkeys(columns, 1.0)
        for column, option in zip(columns, part.options, strict=True):
            for size, number in option.sizes:
                of_size[size][column] = -float(number)
        for group, own in zip(given.ways, ways, strict=True):
            for way, column in zip(group, own, strict=True):
                if uses := list(way).count(part.wall):
                    row[column] = -float(uses * part.many)
        of_part.append(row)
    for way in given.ways_to_cut:
        column = programme.unknown(float(given.block), 1000.0)
        for size, count in zip(given.sizes, way, strict=True):
            if count:
                of_size[size][column] = float(count)
    for own in ways:
        programme.row(dict.fromkeys(own, 1.0), 1.0, 1.0)
    for row in of_part:
        programme.row(row, 0.0, 0.0)
    for size in given.sizes:
        programme.row(of_size[size], 0.0)
    return _Written(programme, ways, options, len(ways) + len(of_part))


def relaxed(given: Programme) -> Relaxed | None:
    """Return the least value where parts of options and blocks may be taken; None for none."""
    import numpy as np
    from scipy.optimize import linprog

    found = _written(given)
    matrix = found.programme.matrix()
    low = np.array([least for _, least, _ in found.programme.rows])
    result = linprog(
        np.array(found.programme.costs),
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
    written = _written(given)
    found = written.programme.solve(_MOST_NODES)
    taken = found.values
    if not taken:
        return Unsolved(none=found.proved)
    return Solved(
        round(found.cost),
        found.proved,
        tuple(next(n for n, c in enumerate(own) if taken[c]) for own in written.ways),
        tuple(
            Counter({n: taken[c] for n, c in enumerate(own) if taken[c]}) for own in written.options
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
