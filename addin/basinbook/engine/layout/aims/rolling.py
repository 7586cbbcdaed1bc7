"""A cheap filling of courses that are not alike: course by course, each with the next in view."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from basinbook.engine.layout.aims.chains import Masks
from basinbook.engine.layout.aims.courses import UNREACHED, Graph, PricedGraph
from basinbook.engine.layout.aims.pairs import Walks, cheapest_pair
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 16

_Rows = tuple[tuple[int, ...], ...]


def rolled(
    budget: Budget, courses: Sequence[PricedGraph], weights: Sequence[int], offset: int, least: int
) -> tuple[int, _Rows] | None:
    """Return the cost and the steps of courses in bond, from the base up; None for none found.

    The cheapest pair of a course and the next is found clear of the course laid before, and the
    first of the two is kept: from the base up, then from the top down if that costs more than
    ``least``. Nothing is proved but where it costs no more.
    """
    best: tuple[int, _Rows] | None = None
    for upwards in (True, False):
        rows = _rolled(budget, courses, weights, offset, upwards)
        if rows is not None and _in_bond(courses, rows, offset):
            cost = sum(
                weight * _cost(one, row)
                for one, row, weight in zip(courses, rows, weights, strict=True)
            )
            if best is None or cost < best[0]:
                best = cost, rows
        if budget.ended or (best is not None and best[0] <= least):
            break
    return best


def _rolled(
    budget: Budget, courses: Sequence[PricedGraph], weights: Sequence[int], offset: int, up: bool
) -> _Rows | None:
    order = list(range(len(courses))) if up else list(range(len(courses) - 1, -1, -1))
    rows: list[tuple[int, ...]] = []
    laid: tuple[Graph, tuple[int, ...]] | None = None
    for here, further in pairwise(order):
        one = courses[here]
        if laid is not None:
            one = _clear_of(budget, one, *laid, offset, up)
            if one.ahead[0] >= UNREACHED:
                return None
        walks = _pair(budget, one, courses[further], (weights[here], weights[further]), offset, up)
        if walks is None:
            return None
        rows.append(walks.first)
        laid = one.graph, _joints(one.graph, walks.first)
        if further == order[-1]:
            rows.append(walks.second)
    return tuple(rows if up else reversed(rows))


def _pair(
    budget: Budget,
    one: PricedGraph,
    two: PricedGraph,
    weights: tuple[int, int],
    offset: int,
    up: bool,
) -> Walks | None:
    """Return the cheapest pair, of which the first is the one that is kept."""
    if up:
        return cheapest_pair(budget, one, two, weights, offset)
    walks = cheapest_pair(budget, two, one, weights[::-1], offset)
    return walks and walks.swapped()


def _walked(graph: Graph, row: Sequence[int]) -> list[int]:
    """Return the numbers of the places that a filling comes to."""
    at, found = 0, [0]
    for step in row:
        at = graph.by_step[at][step]
        found.append(at)
    return found


def _joints(graph: Graph, row: Sequence[int]) -> tuple[int, ...]:
    return tuple(graph.places[at] for at in _walked(graph, row) if graph.counts[at])


def _cost(one: PricedGraph, row: Sequence[int]) -> int:
    price = {step: price for out in one.edges for *_, price, step in out}
    return sum(price[step] for step in row)


def _clear_of(
    budget: Budget,
    one: PricedGraph,
    laid: Graph,
    joints: Sequence[int],
    offset: int,
    above: bool,
) -> PricedGraph:
    """Return a course without the places too near to joints of a neighbour, below it or above."""
    common = one.graph.common if above else laid.common
    barred = {
        place
        for place in set(one.graph.places)
        if any(abs(place - at) < offset and (place != at or at not in common) for at in joints)
    }
    goal = len(one.ahead) - 1
    ahead = [UNREACHED] * goal + [0]
    edges: list[list[tuple[int, int, bool, int, int]]] = [[] for _ in one.edges]
    budget.take(sum(map(len, one.edges)) // _TRIED_IN_A_STEP)
    for at in range(goal - 1, -1, -1):
        for edge in one.edges[at]:
            to, place, counted, price, _ = edge
            if ahead[to] < UNREACHED and not (counted and place in barred):
                edges[at].append(edge)
                ahead[at] = min(ahead[at], price + ahead[to])
    first = one.graph.places[0]
    if one.graph.counts[0] and first in barred:
        ahead[0] = UNREACHED
    return PricedGraph(one.graph, ahead, edges)


def _in_bond(courses: Sequence[PricedGraph], rows: _Rows, offset: int) -> bool:
    """Return whether all courses are in bond: pairs forget a joint beside a narrow gap."""
    masks = Masks([one.graph for one in courses], offset)
    listed = []
    for one, row in zip(courses, rows, strict=True):
        trail = list(zip(_walked(one.graph, row)[1:], row, strict=True))
        listed.append(masks.listed(one.graph, 0, trail))
    return all(not below.joints & above.barred for below, above in pairwise(listed))
