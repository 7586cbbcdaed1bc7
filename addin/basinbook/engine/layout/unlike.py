"""Filling a wall whose courses are not alike: openings, blocks on edge, walls of two heights.

Each different course gets the list of its fillings with few cuts; the best chain through these
lists is found course by course, with the fillings as bits of whole numbers. Lower bounds on
pairs of courses tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, islice, product
from math import comb, gcd, inf, prod
from typing import Final, NamedTuple

from basinbook.engine.layout.bond import (
    Line,
    Rules,
    Span,
    Steps,
    asymmetry,
    by_phase,
    fewest,
    joints,
    least_cuts,
    orders,
    phases_of,
    walk,
)

_MOST_FILLINGS: Final = 12_000
_LISTED_PIECES: Final = 60_000
_MOST_CUTS: Final = 12
_MOST_SLACK: Final = 5
_MOST_PHASES: Final = 48
_ALL_PLACES: Final = 300
_NEAR_END: Final = 3


class Filling(NamedTuple):
    """One way to fill a course: steps by span, cuts, joints that count, different cut sizes."""

    steps: tuple[Steps, ...]
    cuts: int
    joints: tuple[int, ...]
    sizes: frozenset[int]


class Listed(NamedTuple):
    """The fillings of a course with up to some number of cuts, tidiest first.

    least: the fewest cuts of any filling. complete: whether none with so few cuts is left out.
    every: whether no filling has more cuts than those.
    """

    fillings: tuple[Filling, ...]
    least: int
    complete: bool
    every: bool


class Allowed(NamedTuple):
    """Phases that joints may take; whole: no other phase could save a cut."""

    phases: tuple[int, ...]
    whole: bool

    @property
    def most_fillings(self) -> int:
        """How many fillings of a course to list: more where a full list is a proof."""
        return _MOST_FILLINGS if self.whole else _MOST_FILLINGS // 4


class Best(NamedTuple):
    """A chain of fillings from the base up and whether its cuts are proved least."""

    fillings: tuple[Filling, ...]
    proved: bool


def best_chain(lines: tuple[Line, ...], mirror: int, rules: Rules, room: int | None) -> Best | None:
    """Return the fillings of unlike courses, in bond, with the least cuts found.

    ``proved`` tells whether fewer cuts are proved impossible. None where no chain was found, or
    where every chain is proved to have more than ``room`` cuts.
    """
    allowed = _allowed(lines, rules)
    kinds = list(dict.fromkeys(lines))
    order = tuple(kinds.index(line) for line in lines)
    slack = [0] * len(kinds)
    while True:
        lists = [
            _listed(kind, allowed, more, mirror, rules)
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
            if not grow or chains.bound(order) == cost:
                return Best(chains.traced(order), chains.bound(order) == cost)
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


def _allowed(lines: tuple[Line, ...], rules: Rules) -> Allowed:
    """Return the phases that the fillings are made from.

    Where all lengths are multiples of one that is not too small, all its multiples: then no
    other phase can save a cut. Else the anchors and as many sums of constants as are practical.
    """
    anchors, ends = set(), set()
    for line in lines:
        for span in line.spans:
            anchors |= {span.start - rules.joint, span.end, span.start + span.first}
            ends |= {span.end - span.last - rules.joint}
        if line.bridge is not None:
            anchors.add(line.bridge[1] + rules.offset)
            ends.add(line.bridge[0] - rules.offset - rules.joint)
    unit = gcd(rules.pitch, rules.least, rules.offset, *anchors, *ends)
    if rules.pitch // unit <= _MOST_PHASES:
        return Allowed(tuple(range(0, rules.pitch, unit)), True)
    found = phases_of(anchors, rules, 1)
    deeper = phases_of(anchors, rules, 2)
    return Allowed(deeper if len(deeper) <= _MOST_PHASES else found, False)


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


@lru_cache(maxsize=4096)
def _pair_bound(below: Line, above: Line, rules: Rules) -> int:
    if len(below.spans) > 1 or len(above.spans) > 1:
        return 0
    pair = fewest((below.spans[0], above.spans[0]), (below.leaves, above.leaves), rules)
    return pair.cost if pair is not None and pair.proved else 0


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


@lru_cache(maxsize=512)
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


@lru_cache(maxsize=2048)
def _listed(line: Line, allowed: Allowed, slack: int, mirror: int, rules: Rules) -> Listed:
    """Return the fillings of a course with up to ``slack`` more cuts than it needs."""
    found: list[Filling] = []
    complete, limit = allowed.whole, allowed.most_fillings
    least: int | None = None
    # Two neighbouring cuts are longer than a block (see _fillings).
    most = sum(2 * (walk(span, rules) // rules.pitch) + 1 for span in line.spans)
    for cuts in range(min(most, _MOST_CUTS) + 1):
        if (least is not None and cuts > least + slack) or len(found) > limit:
            break
        for split in _splits(cuts, len(line.spans)):
            parts = []
            for span, count in zip(line.spans, split, strict=True):
                steps, whole_list = _fillings(span, count, allowed, rules)
                complete = complete and whole_list
                parts.append(steps)
            if prod(len(part) for part in parts) > limit:
                # Of each span as many as there is room for, from all over its list.
                complete = False
                most_each = int(limit ** (1 / len(parts)))
                parts = [part[:: 1 + len(part) // most_each] for part in parts]
            for steps in product(*parts):
                if line.bridge is not None and not _bridges(line, steps, rules):
                    continue
                at = [joints(span, one, rules) for span, one in zip(line.spans, steps, strict=True)]
                sizes = frozenset(step for one in steps for step in one if step != rules.pitch)
                found.append(Filling(steps, cuts, tuple(p for some in at for p in some), sizes))
                if len(found) > limit:
                    complete = False
                    break
        if found and least is None:
            least = cuts

    def rank(filling: Filling) -> tuple[int, int, int]:
        odd = sum(
            asymmetry(span, steps, mirror, rules)
            for span, steps in zip(line.spans, filling.steps, strict=True)
        )
        return filling.cuts, len(filling.sizes), odd

    every = complete and (least or 0) + slack >= most
    return Listed(tuple(sorted(found, key=rank)), least or 0, complete, every)


def _splits(cuts: int, spans: int) -> Iterator[tuple[int, ...]]:
    if spans == 1:
        yield (cuts,)
        return
    for first in range(cuts + 1):
        for rest in _splits(cuts - first, spans - 1):
            yield (first, *rest)


def _bridges(line: Line, steps: tuple[Steps, ...], rules: Rules) -> bool:
    """Return whether a whole block reaches over the gap below with its bearings."""
    assert line.bridge is not None
    low, high = line.bridge[0] - rules.offset, line.bridge[1] + rules.offset
    for span, row in zip(line.spans, steps, strict=True):
        at = span.start
        for step in row:
            if step == rules.pitch and at <= low and at + rules.length >= high:
                return True
            at += step
    return False


@lru_cache(maxsize=8192)
def _fillings(
    span: Span, cuts: int, allowed: Allowed, rules: Rules
) -> tuple[tuple[Steps, ...], bool]:
    """Return the ways to fill a span with a number of cuts, and whether these are all.

    Left out are fillings with two neighbouring cut pieces that one block could replace: they
    have the more joints and cuts.
    """
    most = min(allowed.most_fillings, _LISTED_PIECES // (1 + walk(span, rules) // rules.pitch))
    found = set(islice(_every(span, cuts, allowed, rules), most))
    complete = len(found) < most
    if not complete:
        found = set()
    # Cuts of one length, for tidiness; and where there are too many ways, cuts near the ends.
    for sizes in _alike(span, cuts, rules) if complete else _cut_sets(span, cuts, allowed, rules):
        found |= _near_ends(span, sizes, rules)
    return tuple(sorted(found)), complete


def _every(span: Span, cuts: int, allowed: Allowed, rules: Rules) -> Iterator[Steps]:
    """Yield the fillings of a span with a number of cuts, all joints at allowed phases."""
    choices, pitch, joint = by_phase(allowed.phases, rules), rules.pitch, rules.joint
    stack: list[tuple[int, int, Steps]] = [(span.start - joint, cuts, ())]
    while stack:
        at, left, steps = stack.pop()
        if at == span.end:
            if left == 0 and (not steps or steps[-1] >= span.last + joint):
                yield steps
            continue
        options = [pitch]
        if left:
            before = steps[-1] if steps and steps[-1] != pitch else pitch
            options += [step for step in choices(at) if step + before > pitch]
        for step in options:
            to = at + step
            rest = left - (step != pitch)
            if (
                to <= span.end
                and (steps or step >= span.first + joint)
                and least_cuts(span.end - to, rules) <= rest
            ):
                stack.append((to, rest, (*steps, step)))


def _near_ends(span: Span, sizes: tuple[int, ...], rules: Rules) -> set[Steps]:
    whole, odd = divmod(walk(span, rules) - sum(sizes), rules.pitch)
    if odd or whole < 0:
        return set()
    count = whole + len(sizes)
    places = list(range(count))
    if comb(count, len(sizes)) > _ALL_PLACES:
        places = places[:_NEAR_END] + places[-_NEAR_END:]
    found = set()
    for chosen in combinations(places, len(sizes)):
        for order in orders(sizes):
            steps = [rules.pitch] * count
            for place, size in zip(chosen, order, strict=True):
                steps[place] = size
            first, last = steps[0] - rules.joint, steps[-1] - rules.joint
            if first >= span.first and last >= span.last:
                found.add(tuple(steps))
    return found


def _alike(span: Span, cuts: int, rules: Rules) -> set[tuple[int, ...]]:
    """Return the sets of so many cuts of one size."""
    rest, found = walk(span, rules) % rules.pitch, set()
    for turns in range(cuts if cuts > 1 else 0):
        size, odd = divmod(rest + turns * rules.pitch, cuts)
        if not odd and rules.least <= size < rules.pitch:
            found.add((size,) * cuts)
    return found


def _cut_sets(span: Span, cuts: int, allowed: Allowed, rules: Rules) -> set[tuple[int, ...]]:
    """Return the sets of cut sizes to try: ends of zones at allowed phases, or all alike."""
    rest, pitch, least = walk(span, rules) % rules.pitch, rules.pitch, rules.least
    if cuts == 0:
        return {()} if rest == 0 else set()
    if cuts == 1:
        return {(rest,)} if rest >= least else set()
    found = _alike(span, cuts, rules)
    begin = span.start - rules.joint
    sizes = {(phase - begin) % pitch for phase in allowed.phases}
    if cuts == 2:
        for one in sizes:
            two = (rest - one) % pitch
            if min(one, two) >= least:
                found.add((max(one, two), min(one, two)))
    if cuts == 3:
        for one in sizes:
            for two in sizes:
                last = (rest - one - two) % pitch
                if min(one, two, last) >= least:
                    found.add(tuple(sorted((one, two, last), reverse=True)))
    return found
