"""The layout of all walls that is least in what the user aims at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.courses import has_graph
from basinbook.engine.layout.aims.lengths import fewest_lengths
from basinbook.engine.layout.aims.measured_prices import by_programme
from basinbook.engine.layout.aims.problem import Chosen, Courses, Places, places_of
from basinbook.engine.layout.aims.stock import Search, Stock, Worth, by_prices
from basinbook.engine.layout.bond.alternating import Rules, walk
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.bond.whole_wall import Chain, chain_of
from basinbook.engine.layout.budget import Budget

AIM_STEPS: Final = 80_000
"""Steps of search for another aim than the cuts."""

# About as many edges as courses may have together: making them takes a microsecond each.
_MOST_EDGES: Final = 200_000

Chains = tuple[tuple[Chain, ...], ...]
"""Of each group of walls its filled walls."""


class Aimed(NamedTuple):
    """The walls that were chosen, None for those with the fewest cuts; whether proved the least."""

    chains: Chains | None
    proved: bool


def least_lengths(budget: Budget, groups: Sequence[Group], rules: Rules, known: int) -> Aimed:
    """Return the walls with the fewest different lengths; known: those of the fewest cuts."""
    places = places_of(groups, rules)
    if not _can_search(groups, places, rules):
        return Aimed(None, known == 0)
    courses = Courses(groups, places, rules)
    with budget.part(AIM_STEPS):
        found = fewest_lengths(budget, courses, known)
    proved = found.value == 0 or (places.whole and found.value == found.bound)
    chains = None if found.layout is None else _chains(groups, found.layout, rules)
    return Aimed(chains, proved)


def least_stock(
    budget: Budget, groups: Sequence[Group], rules: Rules, stock: Stock, worth: Worth, known: int
) -> Aimed:
    """Return the walls that are least in blocks or in cost; known: that of the fewest cuts."""
    places = places_of(groups, rules)
    if not _can_search(groups, places, rules):
        return Aimed(None, False)
    search = Search(budget, Courses(groups, places, rules), stock, worth)
    with budget.part(AIM_STEPS):
        by_prices(search)
        if search.best is not None and not search.met and not budget.ended:
            by_programme(search)
    if search.best is None or search.best.value >= known:
        return Aimed(None, places.whole and known <= search.bound)
    return Aimed(_chains(groups, search.best.layout, rules), places.whole and search.met)


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
            lines, far = group.walls[number]
            assert filled.steps is not None
            chains.append(chain_of(lines, filled.steps, far, rules))
        found.append(tuple(chains))
    return tuple(found)
