"""Lists of all ways to fill one course of a wall with few cuts."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache, partial, reduce
from itertools import combinations, islice, product
from math import comb, factorial, prod
from operator import itemgetter, neg, or_
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import (
    Line,
    Rules,
    Span,
    Steps,
    anchors,
    by_phase,
    closed_phases,
    joints,
    phases_of,
    spread,
    starts,
    walk,
)
from basinbook.engine.layout.bond.tie_breaks import asymmetry, orders
from basinbook.engine.layout.bond.turned_fillings import fillings_with_turned
from basinbook.engine.layout.bond.with_turned import with_turns
from basinbook.engine.layout.budget import Budget, remembered

_MOST_FILLINGS: Final = 6_000
_LISTED_PIECES: Final = 60_000
_MOST_CUTS: Final = 12
_MOST_PHASES: Final = 64
_ALL_PLACES: Final = 300
_NEAR_END: Final = 3
_KEPT_ORDERS: Final = 120
# So many arrangements of cuts are remembered for cuts of other sizes.
_MOST_ARRANGED: Final = 2_000
_PIECES_IN_A_STEP: Final = 24
_TRIED_IN_A_STEP: Final = 16


class Filling(NamedTuple):
    """One way to fill a course: steps by span, cuts, joints that count, different cut sizes."""

    steps: tuple[Steps, ...]
    cuts: int
    joints: tuple[int, ...]
    sizes: frozenset[int]


class Listed(NamedTuple):
    """The fillings of a course with up to some number of cuts, tidiest first.

    least: the fewest cuts of any filling. complete: whether none with so few cuts is left out.
    every: whether no filling has more cuts than those. leaves: the lists of two leaves in place of
    fillings of the whole course, the inner first.
    """

    fillings: tuple[Filling, ...]
    least: int
    complete: bool
    every: bool
    leaves: tuple[Listed, ...] = ()


class Allowed(NamedTuple):
    """Phases that joints may take; whole: no other phase could save a cut."""

    phases: tuple[int, ...]
    whole: bool

    @property
    def most_fillings(self) -> int:
        """How many fillings of a course to list: more where a full list is a proof."""
        return _MOST_FILLINGS if self.whole else _MOST_FILLINGS // 4


def allowed_phases(
    lines: tuple[Line, ...], rules: Rules, standing: tuple[int, ...] = ()
) -> Allowed:
    """Return the phases that the fillings are made from; standing: joints that are there.

    Those of the fixed points, and all that adding shortest pieces and joint offsets to them leads
    to, where that comes back to where it began soon enough: then no other phase can save a cut.
    Else as many sums as are practical.
    """
    fixed = anchors(lines, rules).union(standing)
    closed = closed_phases(fixed, rules)
    if closed is not None:
        return Allowed(closed, True)
    found = phases_of(fixed, rules, 1)
    deeper = phases_of(fixed, rules, 2)
    few = deeper if len(deeper) <= _MOST_PHASES else found
    if rules.turned:
        few, _ = with_turns(few, 1, rules)
    return Allowed(few, False)


@remembered(64)
def list_fillings(
    budget: Budget, line: Line, allowed: Allowed, slack: int, mirror: int, rules: Rules
) -> Listed:
    """Return the fillings of a course with up to ``slack`` more cuts than it needs."""
    found: list[tuple[tuple[int, int, int, int], Filling]] = []
    complete, limit = allowed.whole, allowed.most_fillings
    least: int | None = None
    # Two neighbouring cuts are longer than a block (see _fillings).
    most = sum(2 * (walk(span, rules) // rules.pitch) + 1 for span in line.spans)
    pieces = sum(walk(span, rules) for span in line.spans) // rules.pitch
    steps_each = 1 + pieces // _PIECES_IN_A_STEP
    leaves = 2 if line.second else 1
    every_gap = (1 << leaves * len(line.bridges)) - 1
    # The lists of each span by their cuts: of several spans they are asked for many times.
    known: list[dict[int, tuple[tuple[Steps, ...], bool]]] = [{} for _ in line.spans]
    for cuts in range(min(most, _MOST_CUTS) + 1):
        if budget.ended or (least is not None and cuts > least + slack) or len(found) > limit:
            break
        for split in _splits(cuts, len(line.spans)):
            parts: list[Sequence[Steps]] = []
            for span, count, before in zip(line.spans, split, known, strict=True):
                if count not in before or budget.ended:
                    before[count] = _fillings(budget, span, count, allowed, rules)
                steps, whole_list = before[count]
                complete = complete and whole_list
                parts.append(steps)
            if _ways(parts) > limit:
                # Of each span as many as there is room for, from all over its list.
                complete = False
                most_each = int(limit ** (1 / len(parts)))
                parts = [part[:: 1 + len(part) // most_each] for part in parts]
            if not all(parts):
                continue
            # Of a span each filling is looked at once, and only where it is of use.
            looked_at = [
                _looked_at(span, mirror, rules, count)
                for span, count in zip(line.spans, split, strict=True)
            ]
            courses, count = _courses(line, parts, looked_at, every_gap, rules), _ways(parts)
            if budget.left >= steps_each * count and len(found) + count <= limit:
                budget.left -= steps_each * count
                found += [_together(one, cuts) for one in courses if one is not None]
                continue
            for of_spans in courses:
                # As take, which would be called too often here.
                budget.left -= steps_each
                if budget.left < 0:
                    complete = False
                    break
                if of_spans is None:
                    continue
                found.append(_together(of_spans, cuts))
                if len(found) > limit:
                    complete = False
                    break
        if found and least is None:
            least = cuts

    every = complete and (least or 0) + slack >= most
    found.sort(key=itemgetter(0))
    return Listed(tuple(filling for _, filling in found), least or 0, complete, every)


def _ways(parts: Sequence[Sequence[Steps]]) -> int:
    """Return in how many ways a course can be filled, each span in its own."""
    return prod([len(part) for part in parts])


class _OfSpan(NamedTuple):
    """A filling of one span; odd: joints without a mirror image. turned: blocks so laid."""

    steps: Steps
    joints: tuple[int, ...]
    sizes: frozenset[int]
    odd: int
    turned: int


def _of_span(span: Span, mirror: int, rules: Rules, cuts: int, steps: Steps) -> _OfSpan:
    at = joints(span, steps, rules)
    odd = asymmetry(at, mirror)
    pitch = rules.pitch
    short = [step for step in steps if step < pitch]
    sizes, turned = frozenset(short), len(short) - cuts if span.turned else 0
    # A cut piece may be as long as a turned block takes.
    if turned and turned == short.count(rules.across):
        sizes -= {rules.across}
    return _OfSpan(steps, at, sizes, odd, turned)


@lru_cache(maxsize=64)
def _looked_at(span: Span, mirror: int, rules: Rules, cuts: int) -> Callable[[Steps], _OfSpan]:
    """Return what looks at a filling of a span with so many cuts, once for all lists of it."""
    return cache(partial(_of_span, span, mirror, rules, cuts))


def _courses(
    line: Line,
    parts: Sequence[Sequence[Steps]],
    looked_at: Sequence[Callable[[Steps], _OfSpan]],
    every_gap: int,
    rules: Rules,
) -> Iterator[tuple[_OfSpan, ...] | None]:
    """Yield the fillings of a course from those of its spans; None for one that leaves a gap."""
    if not every_gap:
        yield from product(
            *(list(map(seen, part)) for seen, part in zip(looked_at, parts, strict=True))
        )
        return
    over_gaps = [_over_gaps(line, number, part, rules) for number, part in enumerate(parts)]
    for filled, bridged in zip(product(*parts), product(*over_gaps), strict=True):
        if reduce(or_, bridged) == every_gap:
            yield tuple(seen(one) for seen, one in zip(looked_at, filled, strict=True))
        else:
            yield None


def _together(filled: tuple[_OfSpan, ...], cuts: int) -> tuple[tuple[int, int, int, int], Filling]:
    """Return the filling of a course from those of its spans, and how tidy it is."""
    one, at, sizes, odd, turned = filled[0]
    steps: tuple[Steps, ...] = (one,)
    for one, places, lengths, more_odd, more_turned in filled[1:]:
        steps += (one,)
        at += places
        sizes |= lengths
        odd += more_odd
        turned += more_turned
    return (cuts, turned, len(sizes), odd), Filling(steps, cuts, at, sizes)


def _splits(cuts: int, spans: int) -> Iterator[tuple[int, ...]]:
    if spans == 1:
        yield (cuts,)
        return
    for first in range(cuts + 1):
        for rest in _splits(cuts - first, spans - 1):
            yield (first, *rest)


def _over_gaps(line: Line, number: int, part: Sequence[Steps], rules: Rules) -> list[int]:
    """Return for each filling of a span, as bits, the gaps below that it has a whole block over.

    A second leaf has bits of its own: each leaf needs a block over the gap.
    """
    if not line.bridges:
        return [0] * len(part)
    span, up = line.spans[number], len(line.bridges) if 0 < line.second <= number else 0
    reach = [(high + rules.offset - rules.length, low - rules.offset) for low, high in line.bridges]
    last = max(low for _, low in reach)
    pitch, found = rules.pitch, []
    for steps in part:
        at, bridged = span.start, 0
        for step in steps:
            if at > last:
                break
            if step >= pitch:
                for which, (first, low) in enumerate(reach):
                    if first <= at <= low:
                        bridged |= 1 << which + up
            at += step
        found.append(bridged)
    return found


@remembered(256)
def _fillings(
    budget: Budget, span: Span, cuts: int, allowed: Allowed, rules: Rules
) -> tuple[tuple[Steps, ...], bool]:
    """Return the ways to fill a span with a number of cuts, and whether these are all.

    Left out are fillings with two neighbouring cut pieces that one block could replace: they
    have the more joints and cuts.
    """
    if budget.ended:
        return (), False
    most = min(allowed.most_fillings, _LISTED_PIECES // (1 + walk(span, rules) // rules.pitch))
    if span.turned and rules.turned:
        choices = by_phase(allowed.phases, rules)
        listed, every = fillings_with_turned(budget, span, cuts, choices, rules, most)
        return tuple(listed), every
    found = _every(budget, span, cuts, allowed, rules, most)
    wide = spread(span, rules) if cuts == 0 else None
    if wide is not None:
        found.append(wide)
    complete = len(found) < most and not budget.ended
    if not complete:
        found = []
    # Cuts of one length, for tidiness; and where there are too many ways, cuts near the ends.
    more: set[Steps] = set()
    for sizes in (
        _alike(span, cuts, rules) if complete else _cut_sets(budget, span, cuts, allowed, rules)
    ):
        more |= _near_ends(budget, span, sizes, rules)
    return tuple(sorted([*found, *more.difference(found)])), complete


def _every(
    budget: Budget, span: Span, cuts: int, allowed: Allowed, rules: Rules, most: int
) -> list[Steps]:
    """Return the fillings of a span with a number of cuts, all joints at allowed phases.

    So many of them at most, in falling order. From left to right; what led to no filling once is
    not tried again.
    """
    choices, pitch, joint = by_phase(allowed.phases, rules), rules.pitch, rules.joint
    begin, end = span.start - joint, span.end
    if cuts <= 1:
        endings = _endings(span, begin, cuts, choices[begin % pitch], rules)
        return [ending for ending in endings if starts(span, rules, ending[0])][:most]
    steps: tuple[int, ...] = ()
    found: list[Steps] = []
    dead: set[tuple[int, int, int]] = set()
    # Cuts that may follow a cut at a phase: not those that one block could replace with it.
    follow: dict[tuple[int, int], tuple[int, ...]] = {}
    # Endings with one cut by where they begin, and the steps of search that each takes.
    last: dict[int, tuple[list[Steps], int]] = {}

    def ways(at: int, before: int) -> tuple[int, ...]:
        key = at % pitch, before
        if key not in follow:
            cuts = choices[at % pitch]
            follow[key] = (pitch, *cuts[: bisect_left(cuts, before - pitch, key=neg)])
        return follow[key]

    # The steps so far, place, cuts left, what is to try there, and how many were found before.
    stack = [(steps, begin, cuts, iter(ways(begin, pitch)), 0)]
    while stack:
        steps, at, left, options, earlier = stack[-1]
        for step in options:
            to = at + step
            if to >= end or (not steps and not starts(span, rules, step)):
                continue
            rest = left if step == pitch else left - 1
            # A first piece that is asked for can't be replaced by one block with the next.
            before = pitch if not steps and span.begin else step
            if rest > 1:
                if (to, rest, step) in dead:
                    continue
                further = ways(to, before)
                budget.left -= 1 + len(further) // _TRIED_IN_A_STEP
                if budget.left < 0:
                    return found
                stack.append(((*steps, step), to, rest, iter(further), len(found)))
                break
            known = last.get(to)
            if known is None:
                pieces = (end - to) // pitch + 1
                endings = _endings(span, to, 1, choices[to % pitch], rules)
                known = last[to] = endings, 1 + pieces // _PIECES_IN_A_STEP
            endings, each = known
            if endings and endings[-1][0] + before <= pitch:
                endings = endings[:-1]
            if not endings:
                if (to, rest, step) in dead:
                    continue
                dead.add((to, rest, step))
            # As take, which would be called too often here.
            budget.left -= 1 + len(endings) * each
            if budget.left < 0:
                return found
            ahead = (*steps, step)
            found += [ahead + ending for ending in endings]
            if len(found) >= most:
                return found[:most]
        else:
            stack.pop()
            if steps and len(found) == earlier:
                dead.add((at, left, steps[-1]))
    return found


def _endings(span: Span, at: int, left: int, choices: Sequence[int], rules: Rules) -> list[Steps]:
    """Return the ways to fill the rest of a span with its last cut, or with none.

    The cut is what whole blocks leave over, so that only its place is free: from right to left.
    """
    pitch = rules.pitch
    whole, over = divmod(span.end - at, pitch)
    if span.end <= at:
        found: list[Steps] = []
    elif left == 0:
        found = [] if over else [(pitch,) * whole]
    elif over in choices:
        found = [
            (*(pitch,) * ahead, over, *(pitch,) * (whole - ahead)) for ahead in range(whole, -1, -1)
        ]
    else:
        found = []
    return [steps for steps in found if steps[-1] >= span.last + rules.joint]


def _near_ends(budget: Budget, span: Span, sizes: tuple[int, ...], rules: Rules) -> set[Steps]:
    """Return the fillings of a span with these cuts: near its ends where there are many places."""
    whole, odd = divmod(walk(span, rules) - sum(sizes), rules.pitch)
    if odd or whole < 0:
        return set()
    count = whole + len(sizes)
    places = tuple(range(count))
    if comb(count, len(sizes)) > _ALL_PLACES:
        places = places[:_NEAR_END] + places[-_NEAR_END:]
    each, steps = 2 + count // _PIECES_IN_A_STEP, (rules.pitch, *sorted(set(sizes)))
    may_start = [starts(span, rules, step) for step in steps]
    may_end = [step - rules.joint >= span.last for step in steps]
    # Which of them stands at a place, as numbers: the same for all sizes of which as many differ.
    cuts = tuple(map(steps.index, sizes))
    ways = comb(len(places), len(sizes)) * _orders_of(cuts)
    if count > 1 and ways <= _MOST_ARRANGED and budget.left >= each * ways:
        budget.left -= each * ways
        return {
            take(steps)
            for (first, last), arranged in _arranged(count, places, cuts)
            if may_start[first] and may_end[last]
            for take in arranged
        }
    found: set[Steps] = set()
    fits = dict(zip(steps, zip(may_start, may_end, strict=True), strict=True))
    for one in _arrangements([rules.pitch] * count, places, sizes):
        # As take, which would be called too often here.
        budget.left -= each
        if budget.left < 0:
            break
        if fits[one[0]][0] and fits[one[-1]][1]:
            found.add(tuple(one))
    return found


def _orders_of(cuts: tuple[int, ...]) -> int:
    """Return in how many orders cuts can stand, some of which are alike."""
    return factorial(len(cuts)) // prod([factorial(cuts.count(one)) for one in set(cuts)])


@lru_cache(maxsize=64)
def _arranged(
    count: int, places: tuple[int, ...], cuts: tuple[int, ...]
) -> list[tuple[tuple[int, int], list[Callable[[Steps], Steps]]]]:
    """Return what takes the steps of each arrangement from their list, by the first and last."""
    found: dict[tuple[int, int], list[Callable[[Steps], Steps]]] = {}
    for numbers in _arrangements([0] * count, places, cuts):
        found.setdefault((numbers[0], numbers[-1]), []).append(itemgetter(*numbers))
    return list(found.items())


def _arrangements(
    plain: list[int], places: tuple[int, ...], cuts: tuple[int, ...]
) -> Iterator[list[int]]:
    """Yield a row of whole blocks with cuts at some of these places, in each order."""
    few = list(islice(orders(cuts), _KEPT_ORDERS + 1))
    for chosen in combinations(places, len(cuts)):
        for order in few if len(few) <= _KEPT_ORDERS else orders(cuts):
            row = plain.copy()
            for place, cut in zip(chosen, order, strict=True):
                row[place] = cut
            yield row


def _alike(span: Span, cuts: int, rules: Rules) -> set[tuple[int, ...]]:
    """Return the sets of so many cuts of one size."""
    rest, found = walk(span, rules) % rules.pitch, set()
    for turns in range(cuts if cuts > 1 else 0):
        size, odd = divmod(rest + turns * rules.pitch, cuts)
        if not odd and rules.least <= size < rules.pitch:
            found.add((size,) * cuts)
    return found


def _cut_sets(
    budget: Budget, span: Span, cuts: int, allowed: Allowed, rules: Rules
) -> set[tuple[int, ...]]:
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
    if cuts == 3 and budget.take(len(sizes) ** 2 // _PIECES_IN_A_STEP):
        for one in sizes:
            for two in sizes:
                last = (rest - one - two) % pitch
                if min(one, two, last) >= least:
                    found.add(tuple(sorted((one, two, last), reverse=True)))
    return found
