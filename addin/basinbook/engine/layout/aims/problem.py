"""The walls of a layout that are chosen together, and what they come to at given prices."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from math import gcd
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.chains import below_and_above, cheapest_chain
from basinbook.engine.layout.aims.courses import (
    FEW_PRICES,
    GAP,
    UNREACHED,
    Graph,
    PricedGraph,
    Prices,
    course_graph,
    priced,
    steps_by_span,
)
from basinbook.engine.layout.aims.pairs import Walks, cheapest_alone, cheapest_pair
from basinbook.engine.layout.aims.rolling import rolled
from basinbook.engine.layout.bond.alternating import Line, Rules, Steps, anchors, grain, phases_of
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.bond.whole_wall import Wall
from basinbook.engine.layout.budget import Budget

# Of the lattice, and of the sums from each fixed point: more take too long.
_MOST_OF_LATTICE: Final = 24
_MOST_PHASES: Final = 64
_EDGES_IN_A_STEP: Final = 16
# With few prices whole lists of fillings are short, and tell whether there is any chain at all.
_STEPS_A_CHAIN: Final = 200
_STEPS_FOR_FEW: Final = 2_000


class Places(NamedTuple):
    """Phases that joints may take; whole: whether these are all places of the lattice."""

    phases: tuple[int, ...]
    whole: bool


def places_of(
    groups: Sequence[Group], rules: Rules, standing: frozenset[int] = frozenset()
) -> Places:
    """Return the phases that joints may take in all walls; standing: joints that are there.

    The lattice that all fixed points, shortest pieces, joint offsets and blocks lie on, where it
    has few phases; else what shortest pieces and offsets lead to from each fixed point, where
    that comes back soon enough; else as many sums as are practical.
    """
    lines = {line for group in groups for wall in group.walls for line in wall.lines}
    fixed = anchors(lines, rules) | standing
    pitch, origin = rules.pitch, min(fixed)
    own = grain(rules)
    step = gcd(own, *(anchor - origin for anchor in fixed))
    if pitch // step <= _MOST_OF_LATTICE:
        return Places(tuple(range(origin % step, pitch, step)), True)
    if pitch // own <= _MOST_PHASES:
        closed = {(anchor + turn) % pitch for anchor in fixed for turn in range(0, pitch, own)}
        if len(closed) <= _MOST_PHASES:
            return Places(tuple(sorted(closed)), True)
    found = phases_of(fixed, rules, 1)
    return Places(found, False)


class Courses:
    """The walls of all groups as graphs."""

    def __init__(self, groups: Sequence[Group], places: Places, rules: Rules) -> None:
        self.groups = groups
        self.rules = rules
        self.places = places
        self._graphs: dict[Line, Graph | None] = {}

    def graph(self, line: Line) -> Graph | None:
        """Return the graph of a course; None where nothing fills it."""
        bare = line._replace(leaves=1)
        if bare not in self._graphs:
            self._graphs[bare] = course_graph(bare, self.places.phases, self.rules)
        return self._graphs[bare]

    def edges(self) -> int:
        """Return how many edges the graphs of all courses have together."""
        return sum(len(out) for graph in self._graphs.values() if graph for out in graph.edges)

    def steps(self) -> set[int]:
        """Return all steps that some course can take."""
        found: set[int] = set()
        for line in {line for group in self.groups for wall in group.walls for line in wall.lines}:
            graph = self.graph(line)
            if graph is not None:
                found |= {step for out in graph.edges for _, step in out}
        return found - {GAP}


class Filled(NamedTuple):
    """A wall filled at some prices: cost, a bound on it, and the steps of each course by span."""

    cost: int
    bound: int
    steps: tuple[tuple[Steps, ...], ...] | None


class Pricing:
    """All courses at some prices; what was worked out once is kept."""

    def __init__(self, courses: Courses, prices: Prices) -> None:
        self.courses = courses
        self.prices = {**prices, GAP: 0}
        self._graphs: dict[Line, PricedGraph | None] = {}
        self._pairs: dict[object, Walks | None] = {}

    def graph(self, line: Line) -> PricedGraph | None:
        """Return a course at these prices; None where nothing fills it."""
        bare = line._replace(leaves=1)
        if bare not in self._graphs:
            graph = self.courses.graph(bare)
            found = None if graph is None else priced(graph, self.prices)
            self._graphs[bare] = None if found is None or found.ahead[0] >= UNREACHED else found
        return self._graphs[bare]

    def pair(
        self, budget: Budget, below: Line, above: Line, weights: tuple[int, int]
    ) -> Walks | None:
        """Return two neighbouring courses filled in bond at the least cost; None for none.

        The other way up they cost the same, where no joint runs through both.
        """
        one, two = below._replace(leaves=1), above._replace(leaves=1)
        swapped = not two.common and (two, weights[1]) < (one, weights[0])
        if swapped:
            one, two, weights = two, one, weights[::-1]
        key = one, two, weights
        if key not in self._pairs:
            graphs = self.graph(one), self.graph(two)
            if graphs[0] is None or graphs[1] is None:
                return None
            offset = self.courses.rules.offset
            found = cheapest_pair(budget, graphs[0], graphs[1], weights, offset)
            if budget.ended:
                return None
            self._pairs[key] = found
        walks = self._pairs[key]
        return walks.swapped() if walks is not None and swapped else walks

    def filled(self, budget: Budget, wall: Wall) -> Filled | None:
        """Return a wall filled at the least cost found; None where there is none."""
        lines = wall.lines
        graphs = [self.graph(line) for line in lines]
        there = [graph for graph in graphs if graph is not None]
        if len(there) < len(graphs):
            return None
        if len(lines) == 1:
            one = cheapest_alone(budget, there[0])
            cost = one[0] * lines[0].leaves
            return Filled(cost, cost, (steps_by_span(lines[0], one[1]),))
        if alternate(lines):
            pair = self.pair(budget, lines[0], lines[1], weights_of(lines))
            if pair is None:
                return None
            rows = steps_by_span(lines[0], pair.first), steps_by_span(lines[1], pair.second)
            return Filled(pair.cost, pair.cost, tuple(rows[n % 2] for n in range(len(lines))))
        pairs = [self.pair(budget, *two, leaves_of(two)) for two in pairwise(lines)]
        together = [pair.cost for pair in pairs if pair is not None]
        if len(together) < len(pairs):
            return None
        weights = [line.leaves for line in lines]
        offset = self.courses.rules.offset
        alone = [weight * one.ahead[0] for one, weight in zip(there, weights, strict=True)]
        bound = below_and_above(alone, together)[-1][0]
        rolling = rolled(budget, there, weights, offset, bound)
        cost = UNREACHED if rolling is None else rolling[0]
        steps = None if rolling is None else rolling[1]
        if cost > bound:
            # Where a chain takes longer, what its pairs cost is a bound all the same.
            few = len(self.prices) <= FEW_PRICES
            with budget.part(_STEPS_FOR_FEW if few else _STEPS_A_CHAIN):
                dearest = max(self.prices.values())
                found = cheapest_chain(budget, there, weights, together, dearest, offset)
            bound = found.bound
            if found.cost < cost:
                cost, steps = found.cost, found.steps
        if bound >= UNREACHED:
            return None
        if steps is None:
            return Filled(cost, bound, None)
        filled = (steps_by_span(line, row) for line, row in zip(lines, steps, strict=True))
        return Filled(cost, bound, tuple(filled))


def leaves_of(two: tuple[Line, Line]) -> tuple[int, int]:
    """Return the leaves of two courses."""
    return two[0].leaves, two[1].leaves


def alternate(lines: Sequence[Line]) -> bool:
    """Return whether two courses take turns, so that the best pair, repeated, is the best wall."""
    return all(
        line == lines[index % 2] and len(line.spans) == 1 and not line.bridges and not line.common
        for index, line in enumerate(lines)
    )


def weights_of(lines: Sequence[Line]) -> tuple[int, int]:
    """Return the leaves of the odd and of the even courses."""
    return sum(line.leaves for line in lines[::2]), sum(line.leaves for line in lines[1::2])


Chosen = tuple[tuple[tuple[int, ...], tuple[Filled, ...]], ...]
"""Of each group its way and the walls of that, filled."""


class Priced(NamedTuple):
    """All groups at some prices: a bound below, and the cheapest layout; None where none is known.

    under: the bound of each wall.
    """

    bound: int
    chosen: Chosen | None
    under: dict[Wall, int]


def at_prices(budget: Budget, pricing: Pricing) -> Priced | None:
    """Return the layout that is cheapest at prices; None where there is none, or at the end."""
    if len(pricing.prices) > FEW_PRICES:
        budget.take(pricing.courses.edges() // _EDGES_IN_A_STEP)
    known: dict[Wall, Filled | None] = {}
    chosen: list[tuple[tuple[int, ...], tuple[Filled, ...]]] = []
    bound = 0
    for group in pricing.courses.groups:
        best: tuple[int, tuple[int, ...], tuple[Filled, ...]] | None = None
        low: int | None = None
        for way in group.ways:
            walls = []
            for number in way:
                wall = group.walls[number]
                if wall not in known:
                    known[wall] = pricing.filled(budget, wall)
                one = known[wall]
                if one is None:
                    break
                walls.append(one)
            else:
                cost = sum(one.cost for one in walls)
                least = sum(one.bound for one in walls)
                low = least if low is None else min(low, least)
                if all(one.steps is not None for one in walls) and (best is None or cost < best[0]):
                    best = cost, way, tuple(walls)
        if low is None or budget.ended:
            return None
        bound += low
        if best is not None:
            chosen.append((best[1], best[2]))
    under = {wall: one.bound for wall, one in known.items() if one is not None}
    complete = len(chosen) == len(pricing.courses.groups)
    return Priced(bound, tuple(chosen) if complete else None, under)


def pieces(courses: Courses, chosen: Chosen) -> Counter[int]:
    """Return how many pieces of each step a layout has, leaves counted."""
    found: Counter[int] = Counter()
    for group, (way, walls) in zip(courses.groups, chosen, strict=True):
        for number, filled in zip(way, walls, strict=True):
            assert filled.steps is not None
            for line, spans in zip(group.walls[number].lines, filled.steps, strict=True):
                for steps in spans:
                    for step in steps:
                        found[step] += line.leaves
    return found
