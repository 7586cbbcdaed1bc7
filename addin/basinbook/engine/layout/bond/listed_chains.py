"""Chains through the listed fillings of unlike courses, and bounds on all chains, listed or not.

The best chain is found course by course, with the fillings as bits of whole numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from copy import copy
from math import inf
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.bond.course_bounds import pair_bound
from basinbook.engine.layout.bond.fillings import Filling, Listed
from basinbook.engine.layout.bond.links import compatible, tidiest_bit
from basinbook.engine.layout.bond.two_leaves import Between, between, leaf_chosen
from basinbook.engine.layout.budget import Budget

_MOST_TIDIED: Final = 2_000
_TIDY_STEPS: Final = 100_000
_LINKS_IN_A_STEP: Final = 16


class Known(NamedTuple):
    """What lists of one wall that have not grown need not have worked out again.

    links: by the kinds below and above and how many more cuts their lists go to, with the steps
    that they took. pairs: least cuts of two neighbouring kinds.
    """

    links: dict[tuple[int, int, int, int], tuple[list[int], int]]
    pairs: dict[tuple[int, int], int]


class Chains:
    """Chains of listed fillings, and bounds on all chains; courses are numbers of their kinds."""

    def __init__(
        self,
        budget: Budget,
        kinds: list[Line],
        lists: list[Listed],
        slack: list[int],
        mirror: int,
        rules: Rules,
        known: Known | None = None,
        thrifty: bool = False,
    ) -> None:
        self._budget = budget
        self._thrifty = thrifty
        self._slack = tuple(slack)
        self._known = known or Known({}, {})
        self._kinds, self._lists, self._mirror, self._rules = kinds, lists, mirror, rules
        # No filling that isn't listed has fewer cuts than this.
        self._unlisted = [
            kind.leaves
            * (
                (inf if listed.every else listed.least + more + 1)
                if listed.complete
                else surely(listed)
            )
            for kind, listed, more in zip(kinds, lists, slack, strict=True)
        ]
        # Cuts that a course has at least; of lists that may lack some it is known only that no
        # filling has one or two.
        self._alone = [
            kind.leaves * surely(listed) for kind, listed in zip(kinds, lists, strict=True)
        ]
        self._ends: dict[tuple[int, ...], tuple[int, int]] = {}
        # Of each kind the fillings to use, as bits; links stay those of all of them.
        self._usable = [(1 << len(listed.fillings)) - 1 for listed in lists]
        self._reached: dict[tuple[int, ...], dict[int, int]] = {}
        self._leaves = [
            tuple((1 << len(leaf.fillings)) - 1 for leaf in listed.leaves) for listed in lists
        ]
        self._between: dict[tuple[int | None, int, int | None], Between] = {}
        self._links: dict[tuple[int, int], list[int]] = {}
        self._groups: dict[tuple[int | None, int], list[tuple[int, int, int]]] = {}
        self._bounds: dict[tuple[tuple[int, ...], bool], float] = {}

    def reach(self, order: tuple[int, ...]) -> dict[int, int]:
        """Return total cuts of a chain -> the last course's fillings with it, as bits.

        Each filling is listed at the least total that leads to it.
        """
        if order in self._reached:
            return self._reached[order]
        kind = order[-1]
        if self._leaves[kind]:
            self._reached[order] = self._over_leaves(order, None)
            return self._reached[order]
        if len(order) > 1 and self._leaves[order[-2]]:
            self._reached[order] = self._over_leaves(order[:-1], kind)
            return self._reached[order]
        before = self.reach(order[:-1]) if len(order) > 1 else {}
        totals = sorted(before.items())
        groups = self._grouped(order[-2] if before else None, kind)
        usable = self._usable[kind]
        # As take, which would be called too often here.
        budget = self._budget
        budget.left -= 1 + usable.bit_count() * (1 + len(totals)) // _LINKS_IN_A_STEP
        if budget.left < 0:
            return {}
        here: dict[int, int] = {}
        if len(order) == 1:
            totals = [(0, 1)]
        for cost, in_bond, own in groups if totals else ():
            bits = own & usable
            if not bits:
                continue
            for total, ends in totals:
                if ends & in_bond:
                    here[total + cost] = here.get(total + cost, 0) | bits
                    break
        self._reached[order] = here
        return here

    def _grouped(self, below: int | None, kind: int) -> list[tuple[int, int, int]]:
        """Return a kind's fillings that cost as much and are in bond with the same ones below.

        As weighted cuts, those below, and those of the group as bits. None: for nothing below.
        """
        key = below, kind
        if key not in self._groups:
            leaves = self._kinds[kind].leaves
            found: dict[tuple[int, int], int] = {}
            fillings = self._lists[kind].fillings
            link = [1] * len(fillings) if below is None else self._link(below, kind)
            bit = 1
            for filling, in_bond in zip(fillings, link, strict=True):
                if in_bond:
                    alike = leaves * filling.cuts, in_bond
                    found[alike] = found.get(alike, 0) | bit
                bit <<= 1
            self._groups[key] = [(cost, in_bond, own) for (cost, in_bond), own in found.items()]
        return self._groups[key]

    def _over_leaves(self, order: tuple[int, ...], above: int | None) -> dict[int, int]:
        """Return what ``reach`` does for a course over two leaves; None: for nothing over them."""
        before = self.reach(order[:-1]) if len(order) > 1 else {0: 1}
        links = self._by_leaves(order, above)
        here: dict[int, int] = {}
        usable = 1 if above is None else self._usable[above]
        count = usable.bit_count()
        if not self._budget.take(1 + count * (1 + len(before)) // _LINKS_IN_A_STEP):
            return {}
        for number in range(usable.bit_length()):
            if not usable >> number & 1:
                continue
            totals = [
                total + cuts
                for cuts, below in links.costs[number].items()
                for total, bits in before.items()
                if bits & below
            ]
            if totals:
                total = min(totals)
                if above is not None:
                    cuts = self._lists[above].fillings[number].cuts
                    total += self._kinds[above].leaves * cuts
                here[total] = here.get(total, 0) | 1 << number
        return here

    def _by_leaves(self, order: tuple[int, ...], above: int | None) -> Between:
        """Return the fillings of two leaves at the end of a chain that its neighbours allow."""
        below = order[-2] if len(order) > 1 else None
        key = below, order[-1], above
        if key not in self._between:
            self._between[key] = between(
                self._budget,
                None if below is None else self._lists[below].fillings,
                self._lists[order[-1]].leaves,
                self._leaves[order[-1]],
                None if above is None else self._lists[above].fillings,
                self._rules.offset,
            )
        return self._between[key]

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
        link = self._links.get((below, above))
        if link is None:
            link = self._links[below, above] = self._linked(below, above)
        return link

    def _linked(self, below: int, above: int) -> list[int]:
        """Return what is in bond; what was known is charged as if it were worked out anew."""
        budget = self._budget
        key = below, above, self._slack[below], self._slack[above]
        link, steps = self._known.links.get(key, ([], 0))
        if steps and steps <= budget.left:
            budget.take(steps)
            return link
        before = budget.left
        link = compatible(
            budget,
            self._lists[below].fillings,
            self._lists[above].fillings,
            self._rules.offset,
            self._kinds[above].common,
        )
        if not budget.ended:
            self._known.links[key] = link, before - budget.left
        return link

    def bound(self, order: tuple[int, ...]) -> float:
        """Return a number of cuts that no chain of these courses can go below, listed or not."""
        return self._bound(order, last=True)

    def _bound(self, order: tuple[int, ...], last: bool) -> float:
        """Return what ``bound`` does, by where a filling is the last that isn't listed, or first.

        What is beyond it is a listed chain.
        """
        found = self._bounds.get((order, last))
        if found is None:
            found = self._paired(order)
            best = self._listed(order)
            if best > found and not self._budget.ended:
                rough = [(self._roughly_unlisted(order, at), at) for at in range(len(order))]
                for low, at in sorted(rough):
                    if best <= max(found, low):
                        break
                    ahead, behind = order[:at], order[at + 1 :]
                    rest = (
                        self._bound(ahead, last) + self._listed(behind)
                        if last
                        else self._listed(ahead) + self._bound(behind, last)
                    )
                    best = min(best, self._unlisted[order[at]] + rest)
                found = max(best, found)
            self._bounds[order, last] = found
        return found

    def _listed(self, order: tuple[int, ...]) -> float:
        """Return the least cuts of a listed chain of these courses."""
        return min(self.reach(order), default=inf) if order else 0

    def _roughly_unlisted(self, order: tuple[int, ...], at: int) -> float:
        """Return what ``_with_unlisted`` can't be below, quickly found."""
        return self._paired(order[:at]) + self._unlisted[order[at]] + self._paired(order[at + 1 :])

    def _with_unlisted(self, order: tuple[int, ...], at: int) -> float:
        """Return a bound on chains with an unlisted filling in one course."""
        ahead, behind = order[:at], order[at + 1 :]
        return self._bound(ahead, True) + self._unlisted[order[at]] + self._bound(behind, False)

    def _paired(self, order: tuple[int, ...]) -> int:
        """Return a number of cuts that no chain can go below, from pairs of neighbours."""
        return self._paired_ends(order)[1]

    def _paired_ends(self, order: tuple[int, ...]) -> tuple[int, int]:
        """Return what ``_paired`` tells of a chain without its last course, and with it."""
        found = self._ends.get(order)
        if found is None:
            last = self._alone[order[-1]] if order else 0
            if len(order) < 2:
                found = 0, last
            else:
                before, here = self._paired_ends(order[:-1])
                found = here, max(here + last, before + self._pair(*order[-2:]))
            self._ends[order] = found
        return found

    def _pair(self, below: int, above: int) -> int:
        """Return a number of cuts that a pair of neighbours has at least."""
        pairs = self._known.pairs
        if (below, above) not in pairs or self._budget.ended:
            lines = self._kinds[below], self._kinds[above]
            pairs[below, above] = pair_bound(self._budget, *lines, self._mirror, self._rules)
        return pairs[below, above]

    def could_gain(self, order: tuple[int, ...], cost: int) -> set[int]:
        """Return the kinds where a filling that isn't listed could lead to fewer cuts."""
        return {
            kind
            for at, kind in enumerate(order)
            if not (self._thrifty and self._roughly_unlisted(order, at) >= cost)
            and self._with_unlisted(order, at) < cost
        }

    def tidied(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return a chain with the least cuts in which no length can be spared by itself.

        Each length in turn is forbidden, and the chain kept that then has fewer of them.
        """
        with self._budget.part(_TIDY_STEPS):
            return self._tidied(order)

    def _tidied(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        chains, best = self, self.traced(order)
        total = self.least(order)
        each = [one for listed in self._lists for one in (listed, *listed.leaves)]
        if sum(len(listed.fillings) for listed in each) > _MOST_TIDIED:
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

    def _without(self, size: int) -> Chains:
        fewer = copy(self)
        fewer._usable = [
            usable & ~_having(listed.fillings, size)
            for listed, usable in zip(self._lists, self._usable, strict=True)
        ]
        fewer._leaves = [
            tuple(
                bits & ~_having(leaf.fillings, size)
                for leaf, bits in zip(listed.leaves, usable, strict=True)
            )
            for listed, usable in zip(self._lists, self._leaves, strict=True)
        ]
        fewer._reached, fewer._bounds, fewer._between = {}, {}, {}
        return fewer

    def traced(self, order: tuple[int, ...]) -> tuple[Filling, ...]:
        """Return the chain with the least cuts, from the top taking the tidiest filling each."""
        total = self.least(order)
        bits = self.reach(order)[total]
        found: list[Filling] = []
        used: set[int] = set()
        above: tuple[int | None, int] = None, 0
        for index in range(len(order) - 1, -1, -1):
            kind, low = order[index], order[: index + 1]
            if self._leaves[kind]:
                filling, total, bits = self._traced_leaves(low, *above, total, used)
            else:
                number = tidiest_bit(bits, self._lists[kind].fillings, used)
                filling = self._lists[kind].fillings[number]
                total -= self._kinds[kind].leaves * filling.cuts
                above = kind, number
                if index and not self._leaves[order[index - 1]]:
                    bits = self.reach(low[:-1])[total] & self._link(order[index - 1], kind)[number]
            used |= filling.sizes
            found.append(filling)
        return tuple(reversed(found))

    def _traced_leaves(
        self, order: tuple[int, ...], above: int | None, number: int, total: int, used: set[int]
    ) -> tuple[Filling, int, int]:
        """Return two leaves under a filling, the total below them, and the filling there."""
        before = self.reach(order[:-1]) if len(order) > 1 else {0: 1}
        links = self._by_leaves(order, above)
        for cuts, below in sorted(links.costs[number].items()):
            bits = before.get(total - cuts, 0) & below
            if not bits:
                continue
            low = tidiest_bit(bits, self._lists[order[-2]].fillings, used) if order[:-1] else 0
            leaves = self._lists[order[-1]].leaves
            filling = leaf_chosen(links, leaves, self._leaves[order[-1]], number, low, cuts)
            return filling, total - cuts, 1 << low
        raise AssertionError


def _having(fillings: Sequence[Filling], size: int) -> int:
    """Return as bits the fillings that have a cut of some size."""
    return sum([1 << number for number, one in enumerate(fillings) if size in one.sizes])


def surely(listed: Listed) -> int:
    """Return cuts that a course surely has, whose list may lack some fillings."""
    return sum(min(leaf.least, 3) for leaf in listed.leaves or (listed,))


def _sizes(chain: tuple[Filling, ...]) -> frozenset[int]:
    return frozenset().union(*(filling.sizes for filling in chain))
