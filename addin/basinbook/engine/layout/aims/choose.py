"""The layout of all walls that is least in what the user aims at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.courses import has_graph
from basinbook.engine.layout.aims.lengths import fewest_lengths
from basinbook.engine.layout.aims.measured_prices import by_programme
from basinbook.engine.layout.aims.problem import Chosen, Courses, Places
from basinbook.engine.layout.aims.stock import Search, Stock, Worth, by_prices
from basinbook.engine.layout.bond.alternating import Rules, walk
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.bond.whole_wall import Chain, chain_of
from basinbook.engine.layout.budget import Budget

AIM_STEPS: Final = 110_000
"""Steps of search for another aim than the cuts."""

# About as many edges as courses may have together: making them takes a microsecond each.
_MOST_EDGES: Final = 200_000

Chains = tuple[tuple[Chain, ...], ...]
"""Of each group of walls its filled walls."""


class Aimed(NamedTuple):
    """The walls that were chosen, None for those at hand; what they come to, and a bound on it."""

    chains: Chains | None
    value: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether nothing less is possible."""
        return self.value <= self.bound


def least_lengths(
    budget: Budget, groups: Sequence[Group], rules: Rules, places: Places, known: int
) -> Aimed:
    """Return the walls with the fewest different lengths; known: those of the walls at hand.

    places: where joints may stand, and nothing is said of others.
    """
    if not _can_search(groups, places, rules):
        return Aimed(None, known, 0)
    courses = Courses(groups, places, rules)
    with budget.part(AIM_STEPS):
        found = fewest_lengths(budget, courses, known)
    chains = None if found.layout is None else _chains(groups, found.layout, rules)
    return Aimed(chains, found.value, found.bound if places.whole else 0)


def least_stock(
    budget: Budget,
    groups: Sequence[Group],
    rules: Rules,
    places: Places,
    stock: Stock,
    worth: Worth,
    known: int,
) -> Aimed:
    """Return the walls that are least in blocks or in cost; known: that of the walls at hand.

    places: where joints may stand, and nothing is said of others.
    """
    if not _can_search(groups, places, rules):
        return Aimed(None, known, 0)
    search = Search(budget, Courses(groups, places, rules), stock, worth, known)
    with budget.part(AIM_STEPS):
        by_prices(search)
        if search.asked and not search.met and not budget.ended:
            by_programme(search)
    bound = search.bound if places.whole else 0
    if search.best is None or search.best.value >= known:
        return Aimed(None, known, bound)
    return Aimed(_chains(groups, search.best.layout, rules), search.best.value, bound)


def _can_search(groups: Sequence[Group], places: Places, rules: Rules) -> bool:
    """Return whether all courses have graphs, and together no larger ones than can be searched."""
    lines = {line for group in groups for wall in group.walls for line in wall.lines}
    blocks = sum(walk(span, rules) for line in lines for span in line.spans) // rules.pitch
    if (blocks + len(lines)) * len(places.phases) ** 2 > _MOST_EDGES:
        return False
    return all(has_graph(line, rules) for line in lines)


def _chains(groups: Sequence[Group], chosen: Chosen, rules: Rules) -> Chains:
    found = []
    for group, (way, walls) in zip(groups, chosen, strict=True):
        chains = []
        for number, filled in zip(way, walls, strict=True):
            wall = group.walls[number]
            assert filled.steps is not None
            chains.append(chain_of(wall.lines, filled.steps, wall.far, rules))
        found.append(tuple(chains))
    return tuple(found)
