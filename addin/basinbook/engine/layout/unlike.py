"""Filling a wall whose courses are not alike: openings, blocks on edge, walls of two heights.

Each different course gets the list of its fillings with few cuts; the best chain through these
lists is found course by course, with the fillings as bits of whole numbers. Lower bounds on
pairs of courses tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, product
from math import comb, gcd
from typing import Final, NamedTuple

from basinbook.engine.layout.bond import (
    Line,
    Rules,
    Span,
    Steps,
    asymmetry,
    fewest,
    joints,
    orders,
    phases_of,
    walk,
)

_MOST_FILLINGS: Final = 4_000
_MOST_SLACK: Final = 2
_MOST_PHASES: Final = 48
_ALL_PLACES: Final = 300
_NEAR_END: Final = 3


class Filling(NamedTuple):
    """One way to fill a course: steps by span, cuts, and joints that count."""

    steps: tuple[Steps, ...]
    cuts: int
    joints: tuple[int, ...]


class Listed(NamedTuple):
    """The fillings of a course with up to some number of cuts, tidiest first.

    least: the fewest cuts of any filling. complete: whether none with so few cuts is left out.
    """

    fillings: tuple[Filling, ...]
    least: int
    complete: bool


class Allowed(NamedTuple):
    """Phases that joints may take; whole: no other phase could save a cut."""

    phases: tuple[int, ...]
    whole: bool


class Best(NamedTuple):
    """A chain of fillings from the base up and whether its cuts are proved least."""

    fillings: tuple[Filling, ...]
    proved: bool


def best_chain(lines: tuple[Line, ...], mirror: int, rules: Rules) -> Best | None:
    """Return the fillings of unlike courses, in bond, with the least cuts found.

    ``proved`` tells whether fewer cuts are proved impossible. None where no chain was found.
    """
    allowed = _allowed(lines, rules)
    kinds = list(dict.fromkeys(lines))
    slack = dict.fromkeys(kinds, 0)
    best: tuple[int, Best] | None = None
    while True:
        listed = {kind: _listed(kind, allowed, slack[kind], mirror, rules) for kind in kinds}
        if not all(lists.fillings for lists in listed.values()):
            return None
        chain = _chain([listed[line] for line in lines], lines, rules)
        cost = None if chain is None else _cost(lines, chain)
        if chain is not None and cost is not None and (best is None or cost < best[0]):
            best = (cost, Best(chain, False))
        short = _could_gain(lines, listed, slack, None if best is None else best[0], rules)
        if best is not None and not short:
            least = _bound(lines, listed, rules)
            proved = best[0] == least or all(lists.complete for lists in listed.values())
            return best[1]._replace(proved=proved)
        grow = [kind for kind in short if slack[kind] < _MOST_SLACK]
        if not grow:
            return None if best is None else best[1]
        for kind in grow:
            slack[kind] += 1


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


def _cost(lines: tuple[Line, ...], chain: tuple[Filling, ...]) -> int:
    return sum(line.leaves * filling.cuts for line, filling in zip(lines, chain, strict=True))


def _could_gain(
    lines: tuple[Line, ...],
    listed: dict[Line, Listed],
    slack: dict[Line, int],
    cost: int | None,
    rules: Rules,
) -> set[Line]:
    """Return the courses where a filling with more cuts than listed could give a better chain."""
    if cost is None:
        return set(lines)
    found = set()
    for index, line in enumerate(lines):
        more = line.leaves * (listed[line].least + slack[line] + 1)
        rest = _bound(lines[:index], listed, rules) + _bound(lines[index + 1 :], listed, rules)
        if more + rest < cost:
            found.add(line)
    return found


def _bound(lines: tuple[Line, ...], listed: dict[Line, Listed], rules: Rules) -> int:
    """Return a number of cuts that no chain of these courses can go below.

    Courses are taken in disjoint pairs of neighbours, each at the least of its own.
    """
    before, here = 0, 0
    for index, line in enumerate(lines):
        # Lists have all fillings of one or two cuts only, so more is known just as "over two".
        alone = here + line.leaves * min(listed[line].least, 3)
        paired = before + _pair_bound(lines[index - 1], line, rules) if index else 0
        before, here = here, max(alone, paired)
    return here


@lru_cache(maxsize=4096)
def _pair_bound(below: Line, above: Line, rules: Rules) -> int:
    if len(below.spans) > 1 or len(above.spans) > 1:
        return 0
    pair = fewest((below.spans[0], above.spans[0]), (below.leaves, above.leaves), rules)
    return pair.cost if pair is not None and pair.proved else 0


def _chain(
    lists: list[Listed], lines: tuple[Line, ...], rules: Rules
) -> tuple[Filling, ...] | None:
    """Return the chain of fillings with the fewest cuts among those listed."""
    reached: list[dict[int, int]] = []
    links: list[list[int]] = []
    for index, (line, lists_here) in enumerate(zip(lines, lists, strict=True)):
        here: dict[int, int] = {}
        link = (
            _compatible(lists[index - 1].fillings, lists_here.fillings, rules.offset)
            if index
            else []
        )
        for number, filling in enumerate(lists_here.fillings):
            cost = line.leaves * filling.cuts
            if index == 0:
                here[cost] = here.get(cost, 0) | 1 << number
                continue
            for total in sorted(reached[-1]):
                if reached[-1][total] & link[number]:
                    here[total + cost] = here.get(total + cost, 0) | 1 << number
                    break
        if not here:
            return None
        reached.append(here)
        links.append(link)
    return _traced(lists, lines, reached, links)


def _traced(
    lists: list[Listed],
    lines: tuple[Line, ...],
    reached: list[dict[int, int]],
    links: list[list[int]],
) -> tuple[Filling, ...]:
    """Walk back from the top course, taking the tidiest filling that leads to the least cost."""
    total = min(reached[-1])
    bits = reached[-1][total]
    found: list[Filling] = []
    used: set[int] = set()
    for index in range(len(lines) - 1, -1, -1):
        number = _tidiest_bit(bits, lists[index].fillings, used)
        filling = lists[index].fillings[number]
        used |= _sizes(filling)
        found.append(filling)
        total -= lines[index].leaves * filling.cuts
        if index:
            bits = reached[index - 1][total] & links[index][number]
    return tuple(reversed(found))


def _tidiest_bit(bits: int, fillings: tuple[Filling, ...], used: set[int]) -> int:
    best: tuple[int, int] | None = None
    for _ in range(64):
        if not bits:
            break
        number = (bits & -bits).bit_length() - 1
        bits &= bits - 1
        rank = (len(_sizes(fillings[number]) - used), number)
        if best is None or rank < best:
            best = rank
    assert best is not None
    return best[1]


def _sizes(filling: Filling) -> set[int]:
    whole = max(max(steps) for steps in filling.steps)
    return {step for steps in filling.steps for step in steps if step != whole}


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
    complete = allowed.whole
    least: int | None = None
    for cuts in range(0, 7):
        if least is not None and cuts > least + slack:
            break
        for split in _splits(cuts, len(line.spans)):
            parts = []
            for span, count in zip(line.spans, split, strict=True):
                steps, whole_list = _fillings(span, count, allowed, rules)
                complete = complete and whole_list
                parts.append(steps)
            for steps in product(*parts):
                if line.bridge is not None and not _bridges(line, steps, rules):
                    continue
                at = [joints(span, one, rules) for span, one in zip(line.spans, steps, strict=True)]
                found.append(Filling(steps, cuts, tuple(sorted({p for some in at for p in some}))))
                if len(found) > _MOST_FILLINGS:
                    complete = False
                    break
        if found and least is None:
            least = cuts

    def rank(filling: Filling) -> tuple[int, int, int]:
        odd = sum(
            asymmetry(span, steps, mirror, rules)
            for span, steps in zip(line.spans, filling.steps, strict=True)
        )
        return filling.cuts, len(_sizes(filling)), odd

    return Listed(tuple(sorted(found, key=rank)), least or 0, complete)


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
    """Return the ways to fill a span with a number of cuts, and whether these are all."""
    total, pitch = walk(span, rules), rules.pitch
    found: set[Steps] = set()
    complete = cuts <= 3
    for sizes in _cut_sets(span, cuts, allowed, rules):
        whole, odd = divmod(total - sum(sizes), pitch)
        if odd or whole < 0:
            continue
        count = whole + cuts
        places = list(range(count))
        if comb(count, cuts) > _ALL_PLACES:
            places = places[:_NEAR_END] + places[-_NEAR_END:]
            complete = False
        for chosen in combinations(places, cuts):
            for order in orders(sizes):
                steps = [pitch] * count
                for place, size in zip(chosen, order, strict=True):
                    steps[place] = size
                if steps and (
                    steps[0] < span.first + rules.joint or steps[-1] < span.last + rules.joint
                ):
                    continue
                found.add(tuple(steps))
    return tuple(sorted(found)), complete


def _cut_sets(span: Span, cuts: int, allowed: Allowed, rules: Rules) -> set[tuple[int, ...]]:
    """Return the sets of cut sizes to try: ends of zones at allowed phases, or all alike."""
    rest, pitch, least = walk(span, rules) % rules.pitch, rules.pitch, rules.least
    if cuts == 0:
        return {()} if rest == 0 else set()
    if cuts == 1:
        return {(rest,)} if rest >= least else set()
    found: set[tuple[int, ...]] = set()
    for turns in range(cuts):
        size, odd = divmod(rest + turns * pitch, cuts)
        if not odd and least <= size < pitch:
            found.add((size,) * cuts)
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
