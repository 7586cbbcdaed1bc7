"""Least blocks to buy, or least cost: the pieces of all walls together with what they are cut from.

Prices of pieces that no block can hold more of than its own price give a bound for every layout,
and lead to layouts that meet it (``stock_prices``). Where they don't meet, prices are made to
measure by a linear programme, and then all sets of pieces that could still be better are listed,
and chosen among by HiGHS. ``docs/setting_out.md`` has the proofs.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import lcm
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.problem import Chosen, Courses, Priced, Pricing, at_prices, pieces
from basinbook.engine.layout.aims.stock_prices import dual_feasible
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.results.cutting import fewest_stock

# What is aimed at comes first, then the number of cuts, then that of turned blocks: all of these
# together are less than one of the former.
TIES: Final = 1 << 30
_A_CUT: Final = 1 << 8


class Worth(NamedTuple):
    """What is to be least: a block bought, a whole piece laid, a cut piece cut and laid."""

    block: int
    whole: int
    cut: int


class Stock(NamedTuple):
    """Length of a block and width of a saw cut [ticks]; blocks that stand anyway [count]."""

    length: int
    kerf: int
    joint: int
    other: int


class Found(NamedTuple):
    """A layout with its value, and its cut pieces."""

    value: int
    cuts: int
    layout: Chosen


class Asked(NamedTuple):
    """What was found at prices: the bound before it is rounded up, and the prices.

    in_blocks: of each cut, in parts of a block of which it has ``unit``.
    """

    bound: Fraction
    found: Priced
    pricing: Pricing
    in_blocks: Sequence[int]
    unit: int


class Search:
    """One search for the least value; known: that of a layout which is at hand."""

    def __init__(
        self, budget: Budget, courses: Courses, stock: Stock, worth: Worth, known: int
    ) -> None:
        self.budget = budget
        self.courses = courses
        self.stock = stock
        self.worth = worth
        self.known = known
        self.pitch = stock.length + stock.joint
        self.cuts = sorted((s for s in courses.steps() if 0 < s < self.pitch), reverse=True)
        self.sizes = [step - stock.joint + stock.kerf for step in self.cuts]
        self.capacity = stock.length + stock.kerf
        self.best: Found | None = None
        self.bound = 0
        self.asked: list[Asked] = []

    def take(self, layout: Chosen) -> None:
        """Keep a layout that is better than the best before, or as good with fewer cuts.

        Its cut pieces are cut from the fewest blocks found.
        """
        counted, worth, stock = pieces(self.courses, layout), self.worth, self.stock
        cut = [s - stock.joint for s in self.cuts for _ in range(counted[s])]
        bars = fewest_stock(self.budget, cut, stock.length, stock.kerf).bars if cut else ()
        whole = sum(counted.values()) - len(cut)
        blocks = stock.other + whole + len(bars)
        value = worth.block * blocks + worth.whole * whole + worth.cut * len(cut)
        if self.best is None or (value, len(cut)) < self.best[:2]:
            self.best = Found(value, len(cut), layout)

    @property
    def sharpest(self) -> Asked:
        """The prices with the highest bound."""
        return max(self.asked, key=lambda asked: asked.bound)

    @property
    def least(self) -> int:
        """The least value of a layout, found or at hand."""
        return self.known if self.best is None else min(self.known, self.best.value)

    @property
    def met(self) -> bool:
        """Whether the best layout meets the bound."""
        return self.least <= self.bound

    def prices(self, in_blocks: Sequence[int], unit: int) -> dict[int, int]:
        """Return prices of steps; in_blocks: of each cut, where a block has ``unit``."""
        worth = self.worth
        found = {
            step: (worth.block * part + worth.cut * unit) * TIES + _A_CUT
            for step, part in zip(self.cuts, in_blocks, strict=True)
        }
        whole = (worth.block + worth.whole) * unit * TIES
        return {**found, self.pitch: whole, -self.courses.rules.across: whole + 1}

    def ask(self, in_blocks: Sequence[int], unit: int) -> Asked | None:
        """Look for the layout cheapest at prices; None where there is none, or at the end."""
        prices = self.prices(in_blocks, unit)
        pricing = Pricing(self.courses, prices)
        found = at_prices(self.budget, pricing)
        if found is None:
            return None
        own = Fraction(found.bound // TIES, unit) + self.worth.block * self.stock.other
        asked = Asked(own, found, pricing, in_blocks, unit)
        self.asked.append(asked)
        self.bound = max(self.bound, -(-own.numerator // own.denominator))
        if found.chosen is not None:
            self.take(found.chosen)
        return asked


def by_prices(search: Search) -> None:
    """Look for the least value, with a bound, at the prices that are known beforehand."""
    for parts in dual_feasible(search.sizes, search.capacity):
        unit = lcm(*(part.denominator for part in parts), 1)
        asked = search.ask([int(part * unit) for part in parts], unit)
        if asked is None or search.met:
            break
