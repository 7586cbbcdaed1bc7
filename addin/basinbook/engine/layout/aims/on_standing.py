"""The courses of a wall that are still to lay, in bond with one that stands."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from basinbook.engine.layout.aims.chains import cheapest_chain
from basinbook.engine.layout.aims.courses import (
    GAP,
    UNREACHED,
    Graph,
    PricedGraph,
    course_graph,
    has_graph,
    priced,
    steps_by_span,
)
from basinbook.engine.layout.aims.pairs import cheapest_pair
from basinbook.engine.layout.aims.problem import places_of
from basinbook.engine.layout.aims.rolling import rolled
from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.bond.over_standing import none_over
from basinbook.engine.layout.bond.whole_wall import Chain, Wall, chain_of, fill_on
from basinbook.engine.layout.budget import Budget

# Cuts come first; a turned block is 1: a wall has fewer of these.
_A_CUT: Final = 1 << 16


def fewest_on(
    budget: Budget, standing: Sequence[int], lines: tuple[Line, ...], far: int, rules: Rules
) -> Chain | None:
    """Return courses with the fewest cuts found on one whose joints stand; None for none found.

    standing: left edges of its joints [ticks]. proved, of the chain: whether fewer cuts are
    impossible with all joints at the places that are looked at (see ``problem.places_of``).
    """
    if none_over(standing, lines[0], rules):
        return None
    if not all(has_graph(line, rules) for line in lines):
        return fill_on(budget, tuple(sorted(set(standing))), Wall(lines, far), rules)
    group = Group((Wall(lines, far),), ())
    places = places_of([group], rules, frozenset(standing))
    graphs = [course_graph(line._replace(leaves=1), places.phases, rules) for line in lines]
    steps = {step for graph in graphs if graph for out in graph.edges for _, step in out}
    prices = {step: _A_CUT if 0 < step < rules.pitch else int(step < 0) for step in steps}
    prices |= {GAP: 0, rules.pitch: 0}
    # Courses that are alike share one graph, and with it one list of fillings.
    of_line: dict[Line, PricedGraph] = {}
    for line, graph in zip(lines, graphs, strict=True):
        if graph is None:
            return None
        bare = line._replace(leaves=1)
        if bare not in of_line:
            of_line[bare] = priced(graph, prices)
    above = [of_line[line._replace(leaves=1)] for line in lines]
    weights = [line.leaves for line in lines]
    if any(one.ahead[0] >= UNREACHED for one in above):
        return None
    together = []
    for (one, two), leaves in zip(pairwise(above), pairwise(weights), strict=True):
        pair = cheapest_pair(budget, one, two, leaves, rules.offset)
        if pair is None:
            return None
        together.append(pair.cost)
    courses = [priced(_standing(standing), prices), *above]
    found = cheapest_chain(
        budget,
        courses,
        [1, *weights],
        [weights[0] * above[0].ahead[0], *together],
        _A_CUT,
        rules.offset,
    )
    walked, cost = found.steps, found.cost
    if walked is None:
        # Courses beside blocks on edge have too many fillings to list them all.
        rolling = rolled(budget, courses, [1, *weights], rules.offset, found.bound)
        if rolling is None:
            return None
        cost, walked = rolling
    rows = zip(lines, walked[1:], strict=True)
    chain = chain_of(lines, tuple(steps_by_span(line, row) for line, row in rows), far, rules)
    return chain._replace(proved=places.whole and found.bound >= cost)


def _standing(joints: Sequence[int]) -> Graph:
    """Return the graph of a course that is laid: one walk, from joint to joint."""
    at = tuple(sorted(joints)) or (0,)
    edges = tuple(((n + 1, GAP),) if n + 1 < len(at) else () for n in range(len(at)))
    by_step = tuple({step: to for to, step in out} for out in edges)
    return Graph(at, edges, (bool(joints),) * len(at), frozenset(), by_step)
