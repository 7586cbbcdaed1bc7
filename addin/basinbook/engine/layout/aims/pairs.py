"""The cheapest filling of a course, or of two neighbouring courses in bond, at given prices."""

from __future__ import annotations

from heapq import heappop, heappush
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.courses import UNREACHED, PricedGraph
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 8
_PLACES_IN_A_STEP: Final = 4


class Walks(NamedTuple):
    """What two courses cost together, weighted, and the steps of each (with those over gaps)."""

    cost: int
    first: tuple[int, ...]
    second: tuple[int, ...]

    def swapped(self) -> Walks:
        """Return the same courses the other way up."""
        return Walks(self.cost, self.second, self.first)


def cheapest_alone(budget: Budget, one: PricedGraph) -> tuple[int, tuple[int, ...]]:
    """Return the cost and the steps of the cheapest filling of one course; there must be one."""
    ahead = one.ahead
    budget.take(len(ahead) // _PLACES_IN_A_STEP)
    at, walked = 0, []
    while at < len(ahead) - 1:
        for to, _, _, price, step in one.edges[at]:
            if price + ahead[to] == ahead[at]:
                walked.append(step)
                at = to
                break
    return ahead[0], tuple(walked)


def cheapest_pair(
    budget: Budget, one: PricedGraph, two: PricedGraph, weights: tuple[int, int], offset: int
) -> Walks | None:
    """Return two neighbouring courses filled in bond at the least weighted cost.

    The course that lags behind gets the next piece, so that a new joint has to keep its distance
    from the last joint of the other only. (Beside a gap narrower than the offset a joint before
    it is forgotten: then the cost may be too low, never too high.) A* with what each course
    costs by itself as the bound, which never goes down by more than a piece costs: the first pair
    that arrives is the cheapest. None where there is none, or at the budget's end.
    Source: P. E. Hart, N. J. Nilsson and B. Raphael, "A formal basis for the heuristic
    determination of minimum cost paths", IEEE Transactions on Systems Science and Cybernetics 4
    (1968) 100-107.
    """
    budget.take((len(one.ahead) + len(two.ahead)) // _PLACES_IN_A_STEP)
    ends = len(one.ahead) - 1, len(two.ahead) - 1
    wide = ends[1] + 1
    goal = ends[0] * wide + ends[1]
    sides = (one, two)
    places = one.graph.places, two.graph.places
    counts = one.graph.counts, two.graph.counts
    common, further_by = two.graph.common, (wide, 1)
    spent = {0: 0}
    before: dict[int, tuple[int, int, int]] = {}
    # Of equal costs the pair that is further comes first.
    heap = [(weights[0] * one.ahead[0] + weights[1] * two.ahead[0], 0, 0)]
    done: set[int] = set()
    while heap:
        _, _, state = heappop(heap)
        if state in done:
            continue
        done.add(state)
        if state == goal:
            return _walked(spent[state], before, state)
        at = divmod(state, wide)
        behind = at[0] != ends[0] and places[0][at[0]] <= places[1][at[1]]
        side = 0 if behind or at[1] == ends[1] else 1
        mine, here, other = sides[side], at[side], at[1 - side]
        still = places[1 - side][other] if counts[1 - side][other] else None
        weight, by = weights[side], further_by[side]
        base, ahead = spent[state], mine.ahead
        rest = base + weights[1 - side] * sides[1 - side].ahead[other]
        out = mine.edges[here]
        budget.left -= 1 + len(out) // _TRIED_IN_A_STEP
        if budget.left < 0:
            return None
        for to, place, counted, price, step in out:
            if counted and still is not None:
                apart = place - still
                if -offset < apart < offset and (apart or still not in common):
                    continue
            further = state + (to - here) * by
            paid = weight * price
            cost = base + paid
            if cost < spent.get(further, UNREACHED):
                spent[further] = cost
                before[further] = state, side, step
                heappush(heap, (rest + paid + weight * ahead[to], -further, further))
    return None


def _walked(cost: int, before: dict[int, tuple[int, int, int]], state: int) -> Walks:
    walks: tuple[list[int], list[int]] = ([], [])
    while state in before:
        state, side, step = before[state]
        walks[side].append(step)
    return Walks(cost, tuple(walks[0][::-1]), tuple(walks[1][::-1]))
