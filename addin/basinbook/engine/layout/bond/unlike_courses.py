"""Filling a wall whose courses are not alike: openings, blocks on edge, walls of two heights.

Each different course gets the list of its fillings with few cuts; the best chain through these
lists is found course by course, with the fillings as bits of whole numbers. Lower bounds on
pairs of courses tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from math import inf
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules, fewest, least_cuts, walk
from basinbook.engine.layout.bond.fillings import Filling, Listed, allowed_phases, list_fillings

_MOST_SLACK: Final = 5
_MOST_TIDIED: Final = 2_000


class Best(NamedTuple):
    """A chain of fillings from the base up and whether its cuts are proved least."""

    fillings: tuple[Filling, ...]
    proved: bool


def best_chain(lines: tuple[Line, ...], mirror: int, rules: Rules, room: int | None) -> Best | None:
    """Return the fillings of unlike courses, in bond, with the least cuts found.

    ``proved`` tells whether fewer cuts are proved impossible. None where no chain was found, or
    where every chain is proved to have more than ``room`` cuts.
    """
    allowed = allowed_phases(lines, rules)
    kinds = list(dict.fromkeys(lines))
    order = tuple(kinds.index(line) for line in lines)
    slack = [0] * len(kinds)
    while True:
        lists = [
            list_fillings(kind, allowed, more, mirror, rules)
            for kind, more in zip(kinds, slack, strict=True)
        ]
        chains = _Chains(kinds, lists, slack, rules)
        if room is not None and chains.bound(order) > room:
            return None
        broken = chains.broken(order)
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
            cost = min(chains.reach(order))
            short = chains.could_gain(order, cost)
            grow = [kind for kind in short if slack[kind] < _MOST_SLACK and lists[kind].complete]
            if len(grow) < len(short):
                # A proof is out of reach; one more cut each is worth a look all the same.
                grow = [kind for kind in grow if slack[kind] < 1]
            if not grow or chains.bound(order) == cost:
                return Best(chains.tidied(order), chains.bound(order) == cost)
        for kind in grow:
            slack[kind] += 1


class _Chains:
    """Chains of listed fillings, and bounds on all chains; courses are numbers of their kinds."""

    def __init__(
        self, kinds: list[Line], lists: list[Listed], slack: list[int], rules: Rules
    ) -> None:
        self._kinds, self._lists, self._rules = kinds, lists, rules
        # No filling that isn't listed has fewer cuts than this.
        self._unlisted = [
            (inf if listed.every else listed.least + more + 1)
            if listed.complete
            else min(listed.least, 3)
            for listed, more in zip(lists, slack, strict=True)
        ]
        self._reached: dict[tuple[int, ...], dict[int, int]] = {}
        self._links: dict[tuple[int, int], list[int]] = {}
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
        for number, filling in enumerate(self._lists[kind].fillings):
            cost = self._kinds[kind].leaves * filling.cuts
            if len(order) == 1:
                here[cost] = here.get(cost, 0) | 1 << number
                continue
            for total in totals:
                if before[total] & link[number]:
                    here[total + cost] = here.get(total + cost, 0) | 1 << number
                    break
        self._reached[order] = here
        return here

    def broken(self, order: tuple[int, ...]) -> set[int]:
        """Return the kinds of the shortest stretch of courses that no listed chain fills."""
        for long in range(1, len(order) + 1):
            for low in range(len(order) - long + 1):
                if not self.reach(order[low : low + long]):
                    return set(order[low : low + long])
        return set()

    def _link(self, below: int, above: int) -> list[int]:
        if (below, above) not in self._links:
            self._links[below, above] = _compatible(
                self._lists[below].fillings, self._lists[above].fillings, self._rules.offset
            )
        return self._links[below, above]

    def bound(self, order: tuple[int, ...]) -> float:
        """Return a number of cuts that no chain of these courses can go below, listed or not."""
        if order not in self._bounds:
            listed = min(self.reach(order), default=inf)
            unlisted = min(self._with_unlisted(order, at) for at in range(len(order)))
            self._bounds[order] = max(min(listed, unlisted), self._paired(order))
        return self._bounds[order]

    def _with_unlisted(self, order: tuple[int, ...], at: int) -> float:
        """Return a bound on chains with an unlisted filling in one course."""
        alone = self._kinds[order[at]].leaves * self._unlisted[order[at]]
        return self.bound(order[:at]) + alone + self.bound(order[at + 1 :])

    def _paired(self, order: tuple[int, ...]) -> int:
        # Of lists that may lack some it is known only that no filling has one or two cuts.
        alone = [min(self._lists[kind].least, 3) for kind in order]
        return _pairs([self._kinds[kind] for kind in order], alone, self._rules)

    def could_gain(self, order: tuple[int, ...], cost: int) -> set[int]:
        """Return the kinds where a filling that isn't listed could lead to fewer cuts."""
        return {kind for at, kind in enumerate(order) if self._with_unlisted(order, at) < cost}

    def tidied(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return a chain with the least cuts in which no length can be spared by itself.

        Each length in turn is forbidden, and the chain kept that then has fewer of them.
        """
        chains, best = self, self.traced(order)
        total = min(self.reach(order))
        if sum(len(listed.fillings) for listed in self._lists) > _MOST_TIDIED:
            return best
        tried: set[int] = set()
        while True:
            uses = Counter(size for filling in best for size in filling.sizes)
            left = [size for size in uses if size not in tried]
            if not left:
                return best
            size = min(left, key=lambda one: (uses[one], one))
            tried.add(size)
            without = chains._without(size)
            if min(without.reach(order), default=None) != total:
                continue
            found = without.traced(order)
            if len(_sizes(found)) < len(_sizes(best)):
                chains, best = without, found

    def _without(self, size: int) -> _Chains:
        lists = [
            listed._replace(fillings=tuple(f for f in listed.fillings if size not in f.sizes))
            for listed in self._lists
        ]
        return _Chains(self._kinds, lists, [0] * len(lists), self._rules)

    def traced(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return the chain with the least cuts, from the top taking the tidiest filling each."""
        total = min(self.reach(order))
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


def paired_bound(lines: Sequence[Line], rules: Rules) -> int:
    """Return a number of cuts that no chain of these courses can go below, quickly found."""
    alone = [sum(least_cuts(walk(span, rules), rules) for span in line.spans) for line in lines]
    return _pairs(lines, alone, rules)


def _pairs(lines: Sequence[Line], alone: Sequence[int], rules: Rules) -> int:
    """Return the bound from disjoint pairs of neighbours, each at the least of its own."""
    before = here = 0
    for index, line in enumerate(lines):
        single = here + line.leaves * alone[index]
        paired = before + _pair_bound(lines[index - 1], line, rules) if index else 0
        before, here = here, max(single, paired)
    return here


@lru_cache(maxsize=256)
def _pair_bound(below: Line, above: Line, rules: Rules) -> int:
    if len(below.spans) > 1 or len(above.spans) > 1:
        return 0
    pair = fewest((below.spans[0], above.spans[0]), (below.leaves, above.leaves), rules)
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


def _compatible(below: tuple[Filling, ...], above: tuple[Filling, ...], offset: int) -> list[int]:
    """Return for each filling above, as bits, the fillings below that it is in bond with."""
    having: dict[int, int] = {}
    for number, filling in enumerate(below):
        for at in filling.joints:
            having[at] = having.get(at, 0) | 1 << number
    every = (1 << len(below)) - 1
    places = sorted(having)
    clash: dict[int, int] = {}
    for at in {at for filling in above for at in filling.joints}:
        bits = 0
        for place in places[bisect_right(places, at - offset) : bisect_left(places, at + offset)]:
            bits |= having[place]
        clash[at] = bits
    found = []
    for filling in above:
        bits = 0
        for at in filling.joints:
            bits |= clash[at]
        found.append(every & ~bits)
    return found
