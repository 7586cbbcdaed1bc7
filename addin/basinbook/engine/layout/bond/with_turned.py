"""Turned blocks: whole blocks laid across the wall, which take less of its length.

A turned block takes t = depth + j along the wall where it lies wholly in one of the stretches
that are open to it; it needs no cut. So what is left of a run needs no cut where it is a·M + b·t,
and one where such a sum leaves a piece over. Costs count cuts first and turned blocks second, as
two stretchers fill the length of several turned blocks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from heapq import heappop, heappush
from math import gcd
from typing import Final

from basinbook.engine.layout.bond import alternating
from basinbook.engine.layout.bond.alternating import (
    Choices,
    Line,
    Pair,
    Rules,
    Span,
    anchors,
    by_phase,
    closed_phases,
    least_cuts,
    most_free,
    phases_of,
    walk,
)
from basinbook.engine.layout.budget import Budget, remembered

CUT: Final = 1 << 16
"""Cost of a cut; that of a turned block is 1, and no course has so many."""

_MOST_TRIED: Final = 400
_DEEPEST: Final = 3
_MOST_STEPS: Final = 100_000
_A_MOVE: Final = 6
_TRIED_IN_A_STEP: Final = 2


def lies_open(span: Span, at: int, rules: Rules) -> bool:
    """Return whether a turned block after a joint at a place lies in a stretch open to it."""
    low = at + rules.joint
    high = low + rules.turned
    return any(start <= low and high <= end for start, end in span.turned)


def turned_steps(span: Span, steps: Sequence[int], rules: Rules) -> tuple[bool, ...]:
    """Return for each step of a span whether it is a turned block."""
    if not span.turned or not rules.turned:
        return (False,) * len(steps)
    at, across = span.start - rules.joint, rules.across
    found = []
    for step in steps:
        found.append(step == across and lies_open(span, at, rules))
        at += step
    return tuple(found)


def cuts_of(span: Span, steps: Sequence[int], rules: Rules) -> tuple[int, ...]:
    """Return the cut pieces among the steps of a span, in their order."""
    pitch = rules.pitch
    if not span.turned or not rules.turned:
        return tuple(step for step in steps if step < pitch)
    return tuple(
        step
        for step, turned in zip(steps, turned_steps(span, steps, rules), strict=True)
        if step < pitch and not turned
    )


class Needs(dict[int, int]):
    """What is needed at least from a place of a span to its end, in cuts and turned blocks."""

    def __init__(self, span: Span, rules: Rules) -> None:
        self._span, self._rules = span, rules

    def __missing__(self, at: int) -> int:
        """Work out what is needed from one more place."""
        found = self[at] = self._need(at)
        return found

    def _need(self, at: int) -> int:
        rules, left = self._rules, self._span.end - at
        best = CUT * least_cuts(left, rules)
        across, pitch, least = rules.across, rules.pitch, rules.least
        if not best or left < across:
            return best
        for turned in range(1, 1 + min(self._most(at), left // across)):
            if turned >= best:
                break
            # As least_cuts, which would be called too often here.
            rest = (left - turned * across) % pitch
            best = min(best, turned + CUT * (0 if rest == 0 else 1 if rest >= least else 2))
        return best

    def _most(self, at: int) -> int:
        """Return how many turned blocks there is room for from a place on."""
        rules, found = self._rules, 0
        if not rules.turned:
            return 0
        joint, across = rules.joint, rules.across
        for low, high in self._span.turned:
            room = high + joint - (low if low > at + joint else at + joint)
            if room >= across:
                found += room // across
        return found


# A course is bounded with each of its neighbours.
@lru_cache(maxsize=256)
def needs_of(span: Span, rules: Rules) -> Needs:
    """Return what is needed from places of a span; no search, so no steps are taken for it."""
    return Needs(span, rules)


def fewest_from(span: Span, at: int, rules: Rules) -> int:
    """Return a number of cuts that no filling of a span from a place on can go below."""
    if not span.turned or not rules.turned:
        return least_cuts(span.end - at, rules)
    return needs_of(span, rules)[at] // CUT


def with_turns(
    phases: Sequence[int], most: int, rules: Rules, limit: int = _MOST_TRIED
) -> tuple[tuple[int, ...], bool]:
    """Return phases with some turned blocks added or taken away, and whether these are all.

    most: number of turned blocks that a course can have.
    """
    pitch, across = rules.pitch, rules.across
    around = pitch // gcd(pitch, across)
    turns = range(around) if around <= 2 * most else range(-most, most + 1)
    if len(turns) * len(phases) > limit:
        turns = range(-1, 2)
    found = {(phase + turn * across) % pitch for phase in phases for turn in turns}
    return tuple(sorted(found)), len(turns) in (around, 2 * most + 1)


def fewest(
    budget: Budget, spans: tuple[Span, Span], weights: tuple[int, int], rules: Rules
) -> Pair | None:
    """Return two spans filled in bond with the least weighted number of cuts, or None."""
    if rules.turned and (spans[0].turned or spans[1].turned):
        return _fewest(budget, spans, weights, rules)
    return alternating.fewest(budget, spans, weights, rules)


@remembered(2_000)
def _fewest(
    budget: Budget, spans: tuple[Span, Span], weights: tuple[int, int], rules: Rules
) -> Pair | None:
    """Return the pair with the fewest cuts, then the fewest turned blocks.

    Without turned blocks where the search for one takes too long.
    """
    fixed = anchors([Line(spans)], rules)
    needs = (needs_of(spans[0], rules), needs_of(spans[1], rules))
    bound = sum(
        weight * (need[span.start - rules.joint] // CUT)
        for span, weight, need in zip(spans, weights, needs, strict=True)
    )
    most = [walk(span, rules) // min(rules.least, rules.across) for span in spans]
    closed = closed_phases(fixed, rules)
    best: Pair | None = None
    for depth in range(_DEEPEST + 1):
        phases, every = closed or (), True
        if closed is None:
            phases, every = with_turns(phases_of(fixed, rules, depth), max(most), rules)
        search = _Pairs(budget, spans, weights, by_phase(phases, rules), rules, needs)
        with budget.part(_MOST_STEPS):
            found = search.best()
            every = every and not budget.ended
        if found is not None and (best is None or found.cost < best.cost):
            best = found
        free = most_free(weights, most, best.cost - 1) if best else _DEEPEST
        if best is not None and (best.cost == bound or (every and (closed or depth >= free))):
            return best._replace(proved=True)
        if (closed is not None and every) or budget.ended:
            break
    found = best or _plain(budget, spans, weights, rules)
    budget.doubtful = found is None and not (closed is not None and every)
    return found


def _plain(
    budget: Budget, spans: tuple[Span, Span], weights: tuple[int, int], rules: Rules
) -> Pair | None:
    """Return a pair without turned blocks, whose cuts are then not proved to be the fewest."""
    one, other = (span._replace(turned=()) for span in spans)
    pair = alternating.fewest(budget, (one, other), weights, rules._replace(turned=0))
    return pair and pair._replace(proved=False)


_Place = tuple[int, int]


class _Pairs:
    """One search for a pair, the cheapest way first (A*); the span that lags gets the next piece.

    What is left needs at least what ``Needs`` tells, which never falls by more than a step costs:
    so the first way that comes to the end is the cheapest.
    """

    def __init__(
        self,
        budget: Budget,
        spans: tuple[Span, Span],
        weights: tuple[int, int],
        choices: Choices,
        rules: Rules,
        needs: tuple[Needs, Needs],
    ) -> None:
        self._budget, self._spans, self._weights = budget, spans, weights
        self._choices, self._rules, self._needs = choices, rules, needs
        self._ends = (spans[0].end, spans[1].end)

    def best(self) -> Pair | None:
        """Return the cheapest pair; None where there is none, or the budget ended before."""
        begin = tuple(span.start - self._rules.joint for span in self._spans)
        start: _Place = (begin[0], begin[1])
        spent: dict[_Place, int] = {start: 0}
        came: dict[_Place, tuple[_Place, int, int]] = {}
        ahead = [(self._need(start), 0, start)]
        done: set[_Place] = set()
        weights, needs = self._weights, self._needs
        while ahead:
            _, _, at = heappop(ahead)
            if at in done:
                continue
            if at == self._ends:
                return self._found(start, came)
            done.add(at)
            so_far = spent[at]
            for side, step, cost in self._moves(at):
                to = (at[0] + step, at[1]) if side == 0 else (at[0], at[1] + step)
                total = so_far + cost
                if to not in spent or total < spent[to]:
                    spent[to] = total
                    came[to] = at, side, step
                    left = weights[0] * needs[0][to[0]] + weights[1] * needs[1][to[1]]
                    heappush(ahead, (total + left, -to[0] - to[1], to))
            if self._budget.ended:
                return None
        return None

    def _need(self, at: _Place) -> int:
        weights, needs = self._weights, self._needs
        return weights[0] * needs[0][at[0]] + weights[1] * needs[1][at[1]]

    def _moves(self, at: _Place) -> Iterator[tuple[int, int, int]]:
        """Yield side, step and cost of each piece that may come next."""
        ends, rules = self._ends, self._rules
        side = 0 if at[1] == ends[1] or (at[0] <= at[1] and at[0] != ends[0]) else 1
        span, here, other, far = self._spans[side], at[side], at[1 - side], self._spans[1 - side]
        joint, offset, weight = rules.joint, rules.offset, self._weights[side]
        counts = (other != far.start - joint or far.start_joint) and (
            other != far.end or far.end_joint
        )
        shortest = span.first + joint if here == span.start - joint else 0
        cuts = self._choices[here % rules.pitch]
        self._budget.take(_A_MOVE + len(cuts) // _TRIED_IN_A_STEP)
        turned = rules.across if lies_open(span, here, rules) else 0
        pitch, end, last, end_counts = rules.pitch, span.end, span.last + joint, span.end_joint
        for step in (pitch, turned, *cuts):
            to = here + step
            if not step or to > end or step < shortest:
                continue
            cost = weight if step == turned else 0 if step == pitch else CUT * weight
            if to == end and step < last:
                continue
            if counts and (to != end or end_counts) and -offset < to - other < offset:
                continue
            yield side, step, cost

    def _found(self, start: _Place, came: dict[_Place, tuple[_Place, int, int]]) -> Pair:
        steps: tuple[list[int], list[int]] = ([], [])
        at = self._ends
        while at != start:
            at, side, step = came[at]
            steps[side].append(step)
        first, second = tuple(reversed(steps[0])), tuple(reversed(steps[1]))
        cost = sum(
            weight * len(cuts_of(span, filled, self._rules))
            for span, weight, filled in zip(
                self._spans, self._weights, (first, second), strict=True
            )
        )
        return Pair(cost, first, second, False)
