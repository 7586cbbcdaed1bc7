"""The cheapest filling of courses that are not alike, in bond from the base up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.courses import GAP, UNREACHED, Graph, PricedGraph
from basinbook.engine.layout.budget import Budget

_MOST_LISTED: Final = 2_000
_MOST_ARRANGED: Final = 300
_MOST_ROUNDS: Final = 12
_LINKS_IN_A_STEP: Final = 24


class Listed(NamedTuple):
    """One filling of a course: its cost, steps, joints that count and places barred to others.

    joints, barred: bits of places in a unit of length.
    """

    cost: int
    steps: tuple[int, ...]
    joints: int
    barred: int


class Masks:
    """Joints as bits, by their place."""

    def __init__(self, graphs: Sequence[Graph], offset: int) -> None:
        places = sorted({place for graph in graphs for place in graph.places})
        self._bit = {place: 1 << number for number, place in enumerate(places)}
        self._barred: dict[int, int] = {}
        for place in places:
            low, high = place - offset, place + offset
            near = (self._bit[other] for other in places if low < other < high)
            self._barred[place] = sum(near)

    def listed(self, graph: Graph, cost: int, trail: Sequence[tuple[int, int]]) -> Listed:
        """Return a filling from the numbers of the places that it comes to, and its steps."""
        joints = barred = 0
        for at in (0, *(to for to, _ in trail)):
            if graph.counts[at]:
                place = graph.places[at]
                joints |= self._bit[place]
                near = self._barred[place]
                barred |= near & ~self._bit[place] if place in graph.common else near
        return Listed(cost, tuple(step for _, step in trail), joints, barred)


def list_cheap(budget: Budget, one: PricedGraph, most: int, masks: Masks) -> list[Listed] | None:
    """Return all fillings of a course that cost at most ``most``, cheapest first.

    None where there are too many, or at the budget's end.
    """
    ahead, goal = one.ahead, len(one.ahead) - 1
    if ahead[0] > most:
        return []
    found: list[Listed] = []
    trail: list[tuple[int, int]] = []

    def further(at: int, spent: int) -> bool:
        if at == goal:
            found.append(masks.listed(one.graph, spent, trail))
            return len(found) <= _MOST_LISTED
        for to, _, _, price, step in one.edges[at]:
            if spent + price + ahead[to] > most:
                continue
            if not budget.take():
                return False
            trail.append((to, step))
            if not further(to, spent + price):
                return False
            trail.pop()
        return True

    if not further(0, 0):
        return None
    return sorted(found)


def list_pieces(
    budget: Budget, graph: Graph, steps: Mapping[int, int], masks: Masks
) -> list[Listed]:
    """Return fillings of a course with so many pieces of each step: the first of them."""
    found: list[Listed] = []
    trail: list[tuple[int, int]] = []
    left = dict(steps)
    goal = len(graph.places) - 1

    def further(at: int) -> None:
        if at == goal:
            if not any(left.values()):
                found.append(masks.listed(graph, 0, trail))
            return
        for to, step in graph.edges[at]:
            if len(found) >= _MOST_ARRANGED or not budget.take():
                return
            if step != GAP and not left.get(step, 0):
                continue
            if step != GAP:
                left[step] -= 1
            trail.append((to, step))
            further(to)
            trail.pop()
            if step != GAP:
                left[step] += 1

    further(0)
    return found


class Chained(NamedTuple):
    """What a chain of fillings costs, and the fillings from the base up."""

    cost: int
    fillings: tuple[Listed, ...]


def cheapest_link(
    budget: Budget, lists: Sequence[Sequence[Listed]], weights: Sequence[int]
) -> Chained | None:
    """Return the cheapest chain in bond with one filling of each list, from the base up.

    lists: cheapest first. None where there is none, or at the budget's end.
    """
    before: list[tuple[int, int]] = []
    trace: list[dict[int, int]] = []
    for level, (fillings, weight) in enumerate(zip(lists, weights, strict=True)):
        here: list[tuple[int, int]] = []
        came: dict[int, int] = {}
        tried = 0
        for number, one in enumerate(fillings):
            if level == 0:
                here.append((weight * one.cost, number))
                continue
            below = lists[level - 1]
            for cost, earlier in before:
                tried += 1
                if not below[earlier].joints & one.barred:
                    here.append((cost + weight * one.cost, number))
                    came[number] = earlier
                    break
        if not budget.take(1 + tried // _LINKS_IN_A_STEP):
            return None
        here.sort()
        before = here
        trace.append(came)
    if not before:
        return None
    cost, number = before[0]
    chosen: list[Listed] = []
    for level in range(len(lists) - 1, -1, -1):
        chosen.append(lists[level][number])
        number = trace[level].get(number, 0)
    return Chained(cost, tuple(reversed(chosen)))


def below_and_above(alone: Sequence[int], together: Sequence[int]) -> list[tuple[int, int]]:
    """Return of each course what those below it, and those above it, cost at least.

    From pairs of neighbours, of which no two share a course; one more entry stands for all.
    """
    up = _sums(alone, together)
    down = _sums(alone[::-1], together[::-1])
    return [(up[at], down[len(alone) - 1 - at]) for at in range(len(alone))] + [(up[-1], 0)]


def _sums(alone: Sequence[int], together: Sequence[int]) -> list[int]:
    """Return what the first 0, 1, 2.. courses cost at least."""
    found = [0]
    for at, one in enumerate(alone):
        best = found[-1] + one
        if at:
            best = max(best, found[-2] + together[at - 1])
        found.append(best)
    return found


class Cheapest(NamedTuple):
    """A chain's cost (UNREACHED for none found), a bound on it, and its steps from the base up."""

    cost: int
    bound: int
    steps: tuple[tuple[int, ...], ...] | None


def cheapest_chain(
    budget: Budget,
    courses: Sequence[PricedGraph],
    weights: Sequence[int],
    together: Sequence[int],
    unit: int,
    offset: int,
) -> Cheapest:
    """Return courses filled in bond at the least cost found, from the base up.

    together: what each course and the next cost at least. unit: the dearest price.
    Each course gets the list of all its fillings that can be part of a chain of at most some
    cost; that rises until the best chain of the lists is within it, which is then the cheapest.
    """
    alone = [weight * one.ahead[0] for one, weight in zip(courses, weights, strict=True)]
    rest = below_and_above(alone, together)
    limit = bound = rest[-1][0]
    masks = Masks([one.graph for one in courses], offset)
    best: Chained | None = None
    for _ in range(_MOST_ROUNDS):
        room: dict[int, int] = {}
        for one, weight, (below, above) in zip(courses, weights, rest[:-1], strict=True):
            own = (limit - below - above) // weight
            room[id(one)] = max(room.get(id(one), 0), own)
        lists: dict[int, list[Listed] | None] = {}
        for one in courses:
            if id(one) not in lists:
                lists[id(one)] = list_cheap(budget, one, room[id(one)], masks)
        rows = [lists[id(one)] for one in courses]
        if budget.ended or any(row is None for row in rows):
            break
        found = cheapest_link(budget, [row for row in rows if row is not None], weights)
        if found is None and budget.ended:
            # Not looked at to the end: there may be a chain within the limit.
            break
        if found is not None and (best is None or found.cost < best.cost):
            best = found
        if best is not None and best.cost <= limit:
            return Cheapest(best.cost, best.cost, tuple(one.steps for one in best.fillings))
        bound = limit
        limit = best.cost if best is not None else limit + max(unit // 2, 1)
    if best is None:
        return Cheapest(UNREACHED, bound, None)
    return Cheapest(best.cost, bound, tuple(one.steps for one in best.fillings))
