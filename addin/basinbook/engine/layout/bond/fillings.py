"""Lists of all ways to fill one course of a wall with few cuts."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, islice, product
from math import comb, gcd, prod
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import (
    Line,
    Rules,
    Span,
    Steps,
    by_phase,
    joints,
    least_cuts,
    phases_of,
    walk,
)
from basinbook.engine.layout.bond.tie_breaks import asymmetry, orders

_MOST_FILLINGS: Final = 6_000
_LISTED_PIECES: Final = 60_000
_MOST_CUTS: Final = 12
_MOST_PHASES: Final = 64
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


def allowed_phases(lines: tuple[Line, ...], rules: Rules) -> Allowed:
    """Return the phases that the fillings are made from.

    Those of the fixed points, and all that adding shortest pieces and joint offsets to them leads
    to, where that comes back to where it began soon enough: then no other phase can save a cut.
    Else as many sums as are practical.
    """
    anchors = set()
    for line in lines:
        for span in line.spans:
            anchors |= {span.start - rules.joint, span.end}
            if span.first:
                anchors.add(span.start + span.first)
        if line.bridge is not None:
            anchors.add(line.bridge[1] + rules.offset)
    step = gcd(rules.pitch, rules.least, rules.offset)
    closed = {
        (anchor + turn) % rules.pitch
        for anchor in anchors
        for turn in (range(0, rules.pitch, step) if rules.pitch // step <= _MOST_PHASES else ())
    }
    if closed and len(closed) <= _MOST_PHASES:
        return Allowed(tuple(sorted(closed)), True)
    found = phases_of(anchors, rules, 1)
    deeper = phases_of(anchors, rules, 2)
    return Allowed(deeper if len(deeper) <= _MOST_PHASES else found, False)


@lru_cache(maxsize=64)
def list_fillings(line: Line, allowed: Allowed, slack: int, mirror: int, rules: Rules) -> Listed:
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


@lru_cache(maxsize=256)
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
