"""Prices of cut pieces in blocks, at which no block holds more than its own price.

Whatever the pieces of a layout, they then take at least as many blocks as their prices add up
to: a bound that adds up piece by piece, which a search for the cheapest filling can work with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

_MOST_PARTS: Final = 3


def dual_feasible(sizes: Sequence[int], capacity: int) -> Iterator[tuple[Fraction, ...]]:
    """Yield prices of pieces [blocks], the same number of each as of ``sizes``.

    sizes: what pieces take of a block, kerf counted [ticks]; capacity: what a block has.
    Equations, for x = size / capacity: x itself; u(k) = x where (k + 1) x is whole, else
    ⌊(k + 1) x⌋ / k. With each of them the prices of pieces that a block holds add up to 1 at most
    (dual feasible functions).
    Source: S. P. Fekete and J. Schepers, "New classes of fast lower bounds for bin packing
    problems", Mathematical Programming 91 (2001) 11-31.
    """
    yield tuple(Fraction(size, capacity) for size in sizes)
    for parts in range(1, _MOST_PARTS + 1):
        yield tuple(_rounded(size, capacity, parts) for size in sizes)


def _rounded(size: int, capacity: int, parts: int) -> Fraction:
    many, odd = divmod((parts + 1) * size, capacity)
    return Fraction(many, parts) if odd else Fraction(size, capacity)


def ways_to_cut(sizes: Sequence[int], capacity: int, most: int) -> list[tuple[int, ...]] | None:
    """Return how many of each size a block can hold, where no other piece has room beside them.

    sizes: in falling order [ticks, kerf counted]. None where there are more than ``most``.
    """
    found: list[tuple[int, ...]] = []
    taken = [0] * len(sizes)

    def further(index: int, room: int) -> bool:
        if index == len(sizes):
            if not sizes or room < sizes[-1]:
                found.append(tuple(taken))
            return len(found) <= most
        for count in range(room // sizes[index], -1, -1):
            taken[index] = count
            if not further(index + 1, room - count * sizes[index]):
                return False
        taken[index] = 0
        return True

    return found if further(0, capacity) else None
