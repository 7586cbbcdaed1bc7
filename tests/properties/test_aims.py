"""Prices of pieces: bounds that hold, and walls that are the cheapest at them."""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

import pytest

from basinbook.engine.layout.aims.chains import Cheapest, below_and_above, cheapest_chain
from basinbook.engine.layout.aims.courses import PricedGraph
from basinbook.engine.layout.aims.problem import Courses, Pricing, places_of
from basinbook.engine.layout.aims.stock_prices import dual_feasible, ways_to_cut
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.bond.whole_wall import Wall, chain_of, fill
from basinbook.engine.layout.budget import Budget


def _rules(source: random.Random, turned: bool) -> Rules:
    length = source.randint(6, 10)
    shortest, offset = source.randint(1, length // 2), source.randint(1, length // 3)
    across = source.randint(shortest, length - 1) if turned else 0
    return Rules(length, source.choice([0, 0, 1]), shortest, offset, across)


def _wall(source: random.Random, rules: Rules) -> Wall:
    """A wall whose corners change hands, with a gap and stretches open to turned blocks."""
    far, depth = source.randint(rules.length, 4 * rules.length), source.randint(2, 4)
    begins, joint = source.random() < 0.5, rules.joint
    low = source.randint(0, far)
    stretch = ((low, source.randint(low, far)),) if rules.turned else ()
    lines = []
    for course in range(source.randint(1, 4)):
        own = begins == (course % 2 == 0)
        ends = (-depth, far + depth) if own else (joint, far - joint)
        reach = depth if own else 0
        lines.append(Line((Span(*ends, not own, not own, reach, reach, turned=stretch),)))
    margin, wide = joint + rules.shortest, source.randint(1, rules.length)
    if (
        source.random() < 0.4
        and far > wide + 2 * margin
        and wide <= rules.length - 2 * rules.offset
    ):
        at, row = source.randint(margin, far - margin - wide), source.randrange(len(lines))
        (span,) = lines[row].spans
        left = span._replace(end=at, end_joint=False, last=0)
        right = span._replace(start=at + wide, start_joint=False, first=0)
        lines[row] = Line((left, right))
        if row + 1 < len(lines):
            lines[row + 1] = lines[row + 1]._replace(bridges=((at, at + wide),))
    return Wall(tuple(lines), far)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_a_wall_at_a_price_for_each_cut_has_the_fewest_cuts(seed: int, turned: bool) -> None:
    """The same least number by two searches that share nothing but the rules of bond."""
    source = random.Random(seed)
    for _ in range(20):
        rules = _rules(source, turned)
        wall = _wall(source, rules)
        courses = Courses([Group((wall,), ((0,),))], places_of([Group((wall,), ())], rules), rules)
        prices = {step: 0 if step < 0 or step == rules.pitch else 1 for step in courses.steps()}
        found = Pricing(courses, prices).filled(Budget(), wall) if prices else None
        chain = fill(Budget(), wall, rules)
        if chain is None or found is None or found.steps is None:
            assert (chain is None) == (found is None or found.steps is None), wall
            continue
        assert found.bound <= chain.cuts, wall
        if found.bound == found.cost and chain.proved:
            assert found.cost == chain.cuts, wall
        built = chain_of(wall.lines, found.steps, wall.far, rules)
        assert built.cuts == found.cost


def test_no_way_to_cut_a_block_holds_more_than_its_price() -> None:
    source = random.Random(4)
    for _ in range(50):
        capacity = source.randint(20, 200)
        sizes = sorted(
            source.sample(range(capacity // 5, capacity + 1), source.randint(1, 6)), reverse=True
        )
        ways = ways_to_cut(sizes, capacity, 10_000)
        assert ways is not None
        for way in ways:
            held = sum(n * size for n, size in zip(way, sizes, strict=True))
            assert capacity - sizes[-1] < held <= capacity
        assert max(Counter(ways).values()) == 1
        for prices in dual_feasible(sizes, capacity):
            worth = (sum(n * p for n, p in zip(way, prices, strict=True)) for way in ways)
            assert max(worth) <= Fraction(1)


@pytest.mark.parametrize("seed", [2, 5])
def test_a_bound_on_a_chain_holds_wherever_its_search_ends(seed: int) -> None:
    """Also in the middle of putting courses together, when no chain is found any more."""
    source, dearer = random.Random(seed), 0
    for _ in range(60):
        rules = _rules(source, bool(seed % 2))
        wall = _wall(source, rules)
        group = Group((wall,), ((0,),))
        courses = Courses([group], places_of([group], rules), rules)
        pricing = Pricing(courses, {step: 3 + min(abs(step), 7) for step in courses.steps()})
        chain = _Chain.of(pricing, wall)
        if chain is None:
            continue
        whole = chain.cheapest(_MANY)
        if whole.cost == chain.paired:
            # What pairs of courses cost is known beforehand.
            continue
        dearer += 1
        assert whole.bound == whole.cost
        assert all(chain.cheapest(steps).bound <= whole.cost for steps in range(0, 3_000, 7))
    assert dearer > 0


_MANY = 10_000_000


class _Chain(NamedTuple):
    """The courses of a wall at prices; paired: what they cost at least by pairs of neighbours."""

    courses: list[PricedGraph]
    together: list[int]
    paired: int
    dearest: int
    offset: int

    @staticmethod
    def of(pricing: Pricing, wall: Wall) -> _Chain | None:
        """Return the courses of a wall; None where two of them have no bond."""
        budget = Budget(_MANY)
        courses = [pricing.graph(line) for line in wall.lines]
        pairs = [pricing.pair(budget, *two, (1, 1)) for two in pairwise(wall.lines)]
        there = [one for one in courses if one is not None]
        cost = [pair.cost for pair in pairs if pair is not None]
        if len(there) < len(courses) or len(cost) < len(pairs):
            return None
        paired = below_and_above([one.ahead[0] for one in there], cost)[-1][0]
        dearest = max(pricing.prices.values())
        return _Chain(there, cost, paired, dearest, pricing.courses.rules.offset)

    def cheapest(self, steps: int) -> Cheapest:
        """Return the cheapest chain found in so many steps."""
        weights, budget = [1] * len(self.courses), Budget(steps)
        return cheapest_chain(
            budget, self.courses, weights, self.together, self.dearest, self.offset
        )
