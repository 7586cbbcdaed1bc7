"""Filling a wall whose courses are not alike: openings, blocks on edge, walls of two heights.

Each different course gets the list of its fillings with few cuts; the best chain through these
lists is found course by course, with the fillings as bits of whole numbers. Lower bounds on
pairs of courses tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from copy import copy
from itertools import pairwise
from math import inf
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.abreast import filled_abreast
from basinbook.engine.layout.bond.alternating import (
    Line,
    Rules,
    Steps,
    anchors,
    least_of,
    phases_of,
)
from basinbook.engine.layout.bond.fillings import (
    Allowed,
    Filling,
    Listed,
    allowed_phases,
    list_fillings,
)
from basinbook.engine.layout.bond.with_turned import fewest, fewest_from
from basinbook.engine.layout.budget import Budget

_MOST_SLACK: Final = 5
_MOST_TIDIED: Final = 2_000
_TIDY_STEPS: Final = 100_000
_LINKS_IN_A_STEP: Final = 16
_JOINTS_IN_A_STEP: Final = 36
_NEAR_AT_ONCE: Final = 1_000
_BITS_OF_A_JOINT: Final = 2_000


class Best(NamedTuple):
    """The pieces of all courses from the base up, by spans, and what the cuts are at least."""

    steps: tuple[tuple[Steps, ...], ...]
    bound: int


def best_chain(
    budget: Budget, lines: tuple[Line, ...], mirror: int, rules: Rules, room: int | None
) -> Best | None:
    """Return the fillings of unlike courses, in bond, with the least cuts found.

    ``bound`` tells below which number cuts are proved impossible. None where no chain was found, or
    where every chain is proved to have more than ``room`` cuts; at the budget's end, where none
    was found before it.
    """
    allowed = allowed_phases(lines, rules)
    kinds = list(dict.fromkeys(lines))
    order = tuple(kinds.index(line) for line in lines)
    slack = [0] * len(kinds)
    best: _Chains | None = None
    while True:
        lists = [
            list_fillings(budget, kind, allowed, more, mirror, rules)
            for kind, more in zip(kinds, slack, strict=True)
        ]
        chains = _Chains(budget, kinds, lists, slack, rules)
        if chains.reach(order) and not budget.ended:
            best = chains
        bound = chains.bound(order)
        broken = chains.broken(order)
        short = set() if broken else chains.could_gain(order, chains.least(order))
        if budget.ended:
            if best is not None:
                return Best(_steps(best.traced(order)), 0)
            with budget.last_try():
                return _any_chain(budget, lines, mirror, rules)
        if room is not None and bound > room:
            return None
        if broken:
            # Only more cuts in these courses can help; the others stay short lists.
            grow = [
                kind
                for kind in broken
                if not lists[kind].every and (lists[kind].complete or slack[kind] < 1)
            ]
            if not grow:
                return None
        else:
            grow = [kind for kind in short if slack[kind] < _MOST_SLACK and lists[kind].complete]
            if len(grow) < len(short):
                # A proof is out of reach; one more cut each is worth a look all the same.
                grow = [kind for kind in grow if slack[kind] < 1]
            if not grow or bound == chains.least(order):
                return Best(_steps(chains.tidied(order)), int(bound))
        for kind in grow:
            slack[kind] += 1


def _any_chain(budget: Budget, lines: tuple[Line, ...], mirror: int, rules: Rules) -> Best | None:
    """Return some fillings in bond, as soon as there are any."""
    steps = filled_abreast(budget, lines, rules)
    if steps is not None:
        return Best(steps, 0)
    kinds = list(dict.fromkeys(lines))
    order = tuple(kinds.index(line) for line in lines)
    few = Allowed(phases_of(anchors(lines, rules), rules, 1), False)
    slack = [0] * len(kinds)
    while not budget.ended:
        lists = [
            list_fillings(budget, kind, few, more, mirror, rules)
            for kind, more in zip(kinds, slack, strict=True)
        ]
        chains = _Chains(budget, kinds, lists, slack, rules)
        if chains.reach(order):
            return Best(_steps(chains.traced(order)), 0)
        grow = [kind for kind in chains.broken(order) if slack[kind] < 2]
        if not grow:
            return None
        for kind in grow:
            slack[kind] += 1
    return None


def _steps(chain: tuple[Filling, ...]) -> tuple[tuple[Steps, ...], ...]:
    return tuple(filling.steps for filling in chain)


class _Chains:
    """Chains of listed fillings, and bounds on all chains; courses are numbers of their kinds."""

    def __init__(
        self,
        budget: Budget,
        kinds: list[Line],
        lists: list[Listed],
        slack: list[int],
        rules: Rules,
    ) -> None:
        self._budget = budget
        self._kinds, self._lists, self._rules = kinds, lists, rules
        # No filling that isn't listed has fewer cuts than this.
        self._unlisted = [
            (inf if listed.every else listed.least + more + 1)
            if listed.complete
            else min(listed.least, 3)
            for listed, more in zip(lists, slack, strict=True)
        ]
        # Of each kind the numbers of the fillings to use; links stay those of all of them.
        self._usable: list[Sequence[int]] = [range(len(listed.fillings)) for listed in lists]
        self._reached: dict[tuple[int, ...], dict[int, int]] = {}
        self._links: dict[tuple[int, int], list[int]] = {}
        self._pairs: dict[tuple[int, int], int] = {}
        self._bounds: dict[tuple[int, ...], float] = {(): 0}

    def reach(self, order: tuple[int, ...]) -> dict[int, int]:
        """Return total cuts of a chain -> the last course's fillings with it, as bits.

        Each filling is listed at the least total that leads to it.
        """
        if order in self._reached:
            return self._reached[order]
        kind = order[-1]
        before = self.reach(order[:-1]) if len(order) > 1 else {}
        totals = sorted(before)
        link = self._link(order[-2], kind) if before else []
        here: dict[int, int] = {}
        fillings, usable = self._lists[kind].fillings, self._usable[kind]
        if not self._budget.take(1 + len(usable) * (1 + len(totals)) // _LINKS_IN_A_STEP):
            return {}
        leaves = self._kinds[kind].leaves
        for number in usable:
            cost = leaves * fillings[number].cuts
            if len(order) == 1:
                here[cost] = here.get(cost, 0) | 1 << number
                continue
            for total in totals:
                if before[total] & link[number]:
                    here[total + cost] = here.get(total + cost, 0) | 1 << number
                    break
        self._reached[order] = here
        return here

    def least(self, order: tuple[int, ...]) -> int:
        """Return the least cuts of a listed chain; there must be one."""
        return min(self.reach(order), default=0)

    def broken(self, order: tuple[int, ...]) -> set[int]:
        """Return the kinds of the shortest stretch of courses that no listed chain fills."""
        if self.reach(order):
            return set()
        for long in range(1, len(order) + 1):
            for low in range(len(order) - long + 1):
                if not self.reach(order[low : low + long]):
                    return set(order[low : low + long])
        return set()

    def _link(self, below: int, above: int) -> list[int]:
        if (below, above) not in self._links:
            self._links[below, above] = _compatible(
                self._budget,
                self._lists[below].fillings,
                self._lists[above].fillings,
                self._rules.offset,
                self._kinds[above].common,
            )
        return self._links[below, above]

    def bound(self, order: tuple[int, ...]) -> float:
        """Return a number of cuts that no chain of these courses can go below, listed or not."""
        if order not in self._bounds:
            listed, paired = min(self.reach(order), default=inf), self._paired(order)
            if listed > paired and not self._budget.ended:
                unlisted = min(self._with_unlisted(order, at) for at in range(len(order)))
                paired = max(min(listed, unlisted), paired)
            self._bounds[order] = paired
        return self._bounds[order]

    def _with_unlisted(self, order: tuple[int, ...], at: int) -> float:
        """Return a bound on chains with an unlisted filling in one course."""
        alone = self._kinds[order[at]].leaves * self._unlisted[order[at]]
        return self.bound(order[:at]) + alone + self.bound(order[at + 1 :])

    def _paired(self, order: tuple[int, ...]) -> float:
        # Of lists that may lack some it is known only that no filling has one or two cuts.
        alone = [self._kinds[kind].leaves * min(self._lists[kind].least, 3) for kind in order]
        return _pairs(alone, [self._pair(*two) for two in pairwise(order)])

    def _pair(self, below: int, above: int) -> int:
        """Return a number of cuts that a pair of neighbours has at least."""
        if (below, above) not in self._pairs or self._budget.ended:
            lines = self._kinds[below], self._kinds[above]
            self._pairs[below, above] = _pair_bound(self._budget, *lines, self._rules)
        return self._pairs[below, above]

    def could_gain(self, order: tuple[int, ...], cost: int) -> set[int]:
        """Return the kinds where a filling that isn't listed could lead to fewer cuts."""
        return {kind for at, kind in enumerate(order) if self._with_unlisted(order, at) < cost}

    def tidied(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return a chain with the least cuts in which no length can be spared by itself.

        Each length in turn is forbidden, and the chain kept that then has fewer of them.
        """
        with self._budget.part(_TIDY_STEPS):
            return self._tidied(order)

    def _tidied(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        chains, best = self, self.traced(order)
        total = self.least(order)
        if sum(len(listed.fillings) for listed in self._lists) > _MOST_TIDIED:
            return best
        tried: set[int] = set()
        while not self._budget.ended:
            uses = Counter(size for filling in best for size in filling.sizes)
            left = [size for size in uses if size not in tried]
            if not left:
                break
            size = min(left, key=lambda one: (uses[one], one))
            tried.add(size)
            without = chains._without(size)
            if min(without.reach(order), default=None) != total:
                continue
            found = without.traced(order)
            if len(_sizes(found)) < len(_sizes(best)):
                chains, best = without, found
        return best

    def _without(self, size: int) -> _Chains:
        fewer = copy(self)
        fewer._usable = [
            [number for number in usable if size not in listed.fillings[number].sizes]
            for listed, usable in zip(self._lists, self._usable, strict=True)
        ]
        fewer._reached, fewer._bounds = {}, {(): 0}
        return fewer

    def traced(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return the chain with the least cuts, from the top taking the tidiest filling each."""
        total = self.least(order)
        bits = self.reach(order)[total]
        found: list[Filling] = []
        used: set[int] = set()
        for index in range(len(order) - 1, -1, -1):
            kind = order[index]
            number = _tidiest_bit(bits, self._lists[kind].fillings, used)
            filling = self._lists[kind].fillings[number]
            used |= filling.sizes
            found.append(filling)
            total -= self._kinds[kind].leaves * filling.cuts
            if index:
                bits = self.reach(order[:index])[total] & self._link(order[index - 1], kind)[number]
        return tuple(reversed(found))


def alone_bound(lines: Sequence[Line], rules: Rules) -> int:
    """Return a number of cuts that no chain goes below, from each course by itself."""
    return sum(line.leaves * _alone(line, rules) for line in lines)


def paired_bound(budget: Budget, lines: Sequence[Line], rules: Rules) -> int:
    """Return a number of cuts that no chain of these courses can go below, quickly found."""
    alone = [line.leaves * _alone(line, rules) for line in lines]
    return _pairs(alone, [_pair_bound(budget, *two, rules) for two in pairwise(lines)])


def _alone(line: Line, rules: Rules) -> int:
    return sum(
        fewest_from(span, span.start - rules.joint, rules) if span.turned else least_of(span, rules)
        for span in line.spans
    )


def _pairs(alone: Sequence[int], together: Sequence[int]) -> int:
    """Return the bound from disjoint pairs of neighbours, each at the least of its own.

    alone: cuts of each course at least. together: of each and the next.
    """
    before, here = 0, alone[0] if alone else 0
    for single, pair in zip(alone[1:], together, strict=True):
        before, here = here, max(here + single, before + pair)
    return here


def _pair_bound(budget: Budget, below: Line, above: Line, rules: Rules) -> int:
    if len(below.spans) > 1 or len(above.spans) > 1:
        return 0
    if budget.ended:
        return 0
    pair = fewest(budget, (below.spans[0], above.spans[0]), (below.leaves, above.leaves), rules)
    return pair.cost if pair is not None and pair.proved else 0


def _sizes(chain: tuple[Filling, ...]) -> frozenset[int]:
    return frozenset().union(*(filling.sizes for filling in chain))


def _tidiest_bit(bits: int, fillings: tuple[Filling, ...], used: set[int]) -> int:
    best: tuple[int, int] | None = None
    for _ in range(64):
        if not bits:
            break
        number = (bits & -bits).bit_length() - 1
        bits &= bits - 1
        rank = (len(fillings[number].sizes - used), number)
        if best is None or rank < best:
            best = rank
    assert best is not None
    return best[1]


def _compatible(
    budget: Budget,
    below: tuple[Filling, ...],
    above: tuple[Filling, ...],
    offset: int,
    common: frozenset[int],
) -> list[int]:
    """Return for each filling above, as bits, the fillings below that it is in bond with.

    common: joints that run on from the course below, each of which may stand over itself.
    """
    having: dict[int, int] = {}
    for number, filling in enumerate(below):
        for at in filling.joints:
            having[at] = having.get(at, 0) | 1 << number
    every = (1 << len(below)) - 1
    places = sorted(having)
    joints = sum(len(filling.joints) for filling in (*below, *above))
    budget.take(1 + joints * (1 + len(below) // _BITS_OF_A_JOINT) // _JOINTS_IN_A_STEP)
    clash: dict[int, int] = {}
    looked_at = 0
    for at in {at for filling in above for at in filling.joints}:
        bits = 0
        near = places[bisect_right(places, at - offset) : bisect_left(places, at + offset)]
        looked_at += len(near)
        if looked_at > _NEAR_AT_ONCE:
            if not budget.take(looked_at // _JOINTS_IN_A_STEP):
                return [0] * len(above)
            looked_at = 0
        for place in near:
            if place != at or at not in common:
                bits |= having[place]
        clash[at] = bits
    found = []
    for filling in above:
        bits = 0
        for at in filling.joints:
            bits |= clash[at]
        found.append(every & ~bits)
    return found
