"""All sets of pieces for two neighbouring courses that cost little more than the cheapest."""

from __future__ import annotations

from collections import defaultdict
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.courses import UNREACHED, PricedGraph
from basinbook.engine.layout.aims.pairs import Walks
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 8
_MOST_LABELS: Final = 40_000
# Pieces of one length in a course are fewer.
_BITS: Final = 16

_State = tuple[int, int]
_Trail = tuple["_Trail", int, int] | None


class _Move(NamedTuple):
    to: _State
    side: int
    step: int
    price: int


def columns(
    budget: Budget,
    one: PricedGraph,
    two: PricedGraph,
    weights: tuple[int, int],
    offset: int,
    most: int,
) -> list[Walks] | None:
    """Return a filling for each set of pieces of two courses that costs at most ``most``.

    Of both courses together, leaves counted. None where they are too many, or at the budget's end.
    """
    moves = _states(budget, (one, two), weights, offset, most)
    goal = len(one.ahead) - 1, len(two.ahead) - 1
    if budget.ended or goal not in moves:
        return None if budget.ended else []
    order = sorted(moves, key=sum)
    ahead = dict.fromkeys(order, UNREACHED)
    ahead[goal] = 0
    for state in reversed(order):
        for to, _, _, price in moves[state]:
            ahead[state] = min(ahead[state], price + ahead.get(to, UNREACHED))
    sizes = sorted({step for out in (*one.edges, *two.edges) for *_, step in out})
    bit = {step: 1 << (_BITS * number) for number, step in enumerate(sizes)}
    labels: dict[_State, dict[int, tuple[int, _Trail]]] = defaultdict(dict)
    labels[0, 0][0] = 0, None
    made = 0
    for state in order:
        here = labels.pop(state, {})
        if state == goal:
            return [_walks(cost, trail) for cost, trail in here.values()]
        for to, side, step, price in moves[state]:
            rest = ahead.get(to, UNREACHED) + price
            more = weights[side] * bit[step]
            for key, (cost, trail) in here.items():
                if cost + rest <= most and key + more not in labels[to]:
                    labels[to][key + more] = cost + price, (trail, side, step)
                    made += 1
        if made > _MOST_LABELS or not budget.take(len(here)):
            return None
    return []


def _states(
    budget: Budget,
    sides: tuple[PricedGraph, PricedGraph],
    weights: tuple[int, int],
    offset: int,
    most: int,
) -> dict[_State, list[_Move]]:
    """Return the states that a filling of at most that cost may go through, with their moves.

    See ``pairs.cheapest_pair`` for what a state is.
    """
    ends = len(sides[0].ahead) - 1, len(sides[1].ahead) - 1
    one, two = sides[0].graph, sides[1].graph
    found: dict[_State, list[_Move]] = {}
    spent: dict[int, dict[_State, int]] = defaultdict(dict)
    spent[0][0, 0] = 0
    for places in range(sum(ends) + 1):
        for state, cost in spent.pop(places, {}).items():
            i, j = state
            side = 0 if j == ends[1] or (i != ends[0] and one.places[i] <= two.places[j]) else 1
            here, there = state[side], state[1 - side]
            other, weight = sides[1 - side], weights[side]
            still, checked = other.graph.places[there], other.graph.counts[there]
            ahead = sides[side].ahead
            rest = cost + weights[1 - side] * other.ahead[there]
            moves = found[state] = []
            out = sides[side].edges[here]
            budget.left -= 1 + len(out) // _TRIED_IN_A_STEP
            if budget.left < 0:
                return found
            for to, place, counted, price, step in out:
                if checked and counted:
                    apart = place - still
                    if -offset < apart < offset and (apart or still not in two.common):
                        continue
                paid = weight * price
                if rest + paid + weight * ahead[to] > most:
                    continue
                further = (to, j) if side == 0 else (i, to)
                moves.append(_Move(further, side, step, paid))
                bucket = spent[further[0] + further[1]]
                bucket[further] = min(bucket.get(further, UNREACHED), cost + paid)
    return found


def _walks(cost: int, trail: _Trail) -> Walks:
    steps: tuple[list[int], list[int]] = ([], [])
    while trail is not None:
        trail, side, step = trail
        steps[side].append(step)
    return Walks(cost, tuple(steps[0][::-1]), tuple(steps[1][::-1]))
