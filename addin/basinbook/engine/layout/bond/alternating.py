"""Filling two courses that alternate up a wall, in bond, with the fewest cut pieces.

Positions run along the wall [ticks]; a vertical joint is known by its left edge. With the joint
counted to the piece before it, a span from ``start`` to ``end`` is a walk from start − j to end
in steps of a whole block (M = B + j) or of a cut piece (m ≤ c < M). Between two cuts all joints
have one phase modulo M. ``docs/setting_out.md`` has the rules of bond and the proofs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate
from math import gcd
from typing import Final, NamedTuple

from basinbook.engine.layout.budget import Budget, remembered


class Rules(NamedTuple):
    """Block length, joint, shortest piece and least joint offset [ticks].

    turned: what a whole block laid across the wall takes along it; 0: none is laid so.
    """

    length: int
    joint: int
    shortest: int
    offset: int
    turned: int = 0

    @property
    def pitch(self) -> int:
        """A whole block with its joint."""
        return self.length + self.joint

    @property
    def least(self) -> int:
        """The shortest piece with its joint."""
        return self.shortest + self.joint

    @property
    def across(self) -> int:
        """What a turned block takes along the wall, with its joint."""
        return self.turned + self.joint


class Span(NamedTuple):
    """A stretch to fill with pieces.

    start_joint, end_joint: whether the end abuts on something with a joint that counts in the
    bond. first, last: least length of the piece at the end, where it must reach over a corner.
    begin: length that the first piece must have, 0 for any. slack: how much wider than a joint all
    joints between whole blocks may be in place of a cut.
    turned: stretches of the wall, from and to, in which a turned block may lie wholly; ties: those
    in each of which one must, from left to right.
    """

    start: int
    end: int
    start_joint: bool = False
    end_joint: bool = False
    first: int = 0
    last: int = 0
    begin: int = 0
    slack: int = 0
    turned: tuple[tuple[int, int], ...] = ()
    ties: tuple[tuple[int, int], ...] = ()


class Line(NamedTuple):
    """One course of one wall: its spans from left to right, in leaves one behind another.

    bridges: gaps in the course below, from left to right, each of which one whole block must
    reach over, with the least joint offset as bearing at both sides. common: joints that run on
    from the course below, beside a block that stands in both. second: the first span of the second
    leaf, where two leaves have spans of their own; else 0.
    """

    spans: tuple[Span, ...]
    leaves: int = 1
    bridges: tuple[tuple[int, int], ...] = ()
    common: frozenset[int] = frozenset()
    second: int = 0


Steps = tuple[int, ...]
"""The pieces of a span from left to right, each with its joint [ticks].

More than a block and joint is a whole block with a wider joint (see ``Span.slack``).
"""


class Pair(NamedTuple):
    """Two spans filled in bond: weighted cuts, steps of each, and whether proved least."""

    cost: int
    first: Steps
    second: Steps
    proved: bool


GIVEN_UP: Final = -1
_MOST_STEPS: Final = 100_000
_STEPS_OF_A_PROOF: Final = 4_000
_MOST_PHASES: Final = 64
_TRIED_IN_A_STEP: Final = 8
_SORTED_IN_A_STEP: Final = 16
_DEEPEST: Final = 6
# Where so many free zones give no filling at all, the wall is taken to have none.
_DEEPEST_EMPTY: Final = 3


def least_cuts(left: int, rules: Rules) -> int:
    """Return a number of cuts that no filling of ``left`` (joint counted in) can go below."""
    rest = left % rules.pitch
    return 0 if rest == 0 else 1 if rest >= rules.least else 2


def walk(span: Span, rules: Rules) -> int:
    """Return what the steps of a span add up to: its length and one joint [ticks]."""
    return span.end - span.start + rules.joint


def joints(span: Span, steps: Sequence[int], rules: Rules) -> tuple[int, ...]:
    """Return the joints of a filled span that count in the bond, butted ends among them."""
    begin = span.start - rules.joint
    at = tuple(accumulate(steps, initial=begin))
    found = at[0 if span.start_joint else 1 : None if span.end_joint else -1]
    if span.slack and max(steps, default=0) > rules.pitch:
        # A wide joint has two edges that joints below and above must keep clear of.
        found += tuple(place + rules.pitch for place in at[:-2])
    return found


def starts(span: Span, rules: Rules, step: int) -> bool:
    """Return whether a span may begin with a piece."""
    long = step - rules.joint
    return long >= span.first and span.begin in (0, long)


def could_bear(line: Line, rules: Rules) -> bool:
    """Return whether a course of one leaf has a place left of each gap below for a block to bear.

    Not where it begins or ends, or is open, less than the bearing before the gap.
    """
    return all(
        any(span.start <= low - rules.offset < span.end for span in line.spans)
        for low, _ in line.bridges
    )


def spread(span: Span, rules: Rules) -> Steps | None:
    """Return whole blocks with all joints between them widened alike, where these fill a span."""
    if not span.slack:
        return None
    count, rest = divmod(walk(span, rules), rules.pitch)
    if count < 2 or not rest or -(-rest // (count - 1)) > span.slack:
        return None
    wide, more = divmod(rest, count - 1)
    if rules.length < max(span.first, span.last) or (span.begin not in (0, rules.length)):
        return None
    steps = [rules.pitch + wide + (number < more) for number in range(count - 1)]
    return (*steps, rules.pitch)


def least_of(span: Span, rules: Rules) -> int:
    """Return a number of cuts that no filling of a span can go below."""
    return least_cuts(walk(span, rules), rules) if spread(span, rules) is None else 0


def with_one_cut(span: Span, rules: Rules) -> Steps | None:
    """Return the steps of a span that needs no bond, where one cut or none is enough; else None.

    The cut is made as far to the right as the least lengths of the end pieces allow.
    """
    whole, rest = divmod(walk(span, rules), rules.pitch)
    if whole < 0 or 0 < rest < rules.least:
        return None
    steps = [rules.pitch] * whole
    if rest:
        steps.insert(whole if rest >= span.last + rules.joint else whole - 1, rest)
    if steps and (steps[0] < span.first + rules.joint or steps[-1] < span.last + rules.joint):
        return None
    return tuple(steps)


def phases(spans: Iterable[Span], rules: Rules, depth: int) -> tuple[int, ...]:
    """Return the phases that joints need to take: anchors plus up to ``depth`` constants."""
    return phases_of(anchors([Line(tuple(spans))], rules), rules, depth)


def anchors(lines: Iterable[Line], rules: Rules) -> set[int]:
    """Return the fixed places that joints of these courses can be reckoned from."""
    found = set()
    for line in lines:
        for span in line.spans:
            found |= {span.start - rules.joint, span.end}
            if span.first:
                found.add(span.start + span.first)
            if span.begin:
                found.add(span.start + span.begin)
            wide = spread(span, rules)
            if wide is not None:
                found.update(joints(span, wide, rules))
            found.update(low - rules.joint for low, _ in span.turned)
        found |= {high + rules.offset for _, high in line.bridges}
    return found


def phases_of(fixed: Iterable[int], rules: Rules, depth: int) -> tuple[int, ...]:
    """Return the phases of fixed places plus up to ``depth`` shortest pieces and joint offsets."""
    pitch, least, offset = rules.pitch, rules.least, rules.offset
    found = {
        (anchor + i * least + k * offset) % pitch
        for anchor in fixed
        for i in range(depth + 1)
        for k in range(depth + 1 - i)
    }
    return tuple(sorted(found))


def grain(rules: Rules) -> int:
    """Return the largest length that all pieces and joint offsets are whole multiples of."""
    found = gcd(rules.pitch, rules.least, rules.offset)
    return gcd(found, rules.across) if rules.turned else found


def closed_phases(fixed: Iterable[int], rules: Rules) -> tuple[int, ...] | None:
    """Return the phases that shortest pieces, joint offsets and turned blocks lead to.

    None where that doesn't come back to where it began soon enough.
    """
    pitch, step = rules.pitch, grain(rules)
    if pitch // step > _MOST_PHASES:
        return None
    found = {(anchor + turn) % pitch for anchor in fixed for turn in range(0, pitch, step)}
    return tuple(sorted(found)) if len(found) <= _MOST_PHASES else None


# The courses of a wall are filled from the same phases many times.
@lru_cache(maxsize=16)
def by_phase(allowed: tuple[int, ...], rules: Rules) -> Choices:
    """Return the cut pieces that end at one of the allowed phases, longest first."""
    return Choices(allowed, rules)


class Choices(dict[int, tuple[int, ...]]):
    """Cut pieces by the phase of where they start."""

    def __init__(self, allowed: tuple[int, ...], rules: Rules) -> None:
        self._allowed, self._pitch, self._least = allowed, rules.pitch, rules.least

    def __missing__(self, phase: int) -> tuple[int, ...]:
        """Work out the cut pieces from one more phase."""
        sizes = {(to - phase) % self._pitch for to in self._allowed}
        longest_first = sorted(sizes, reverse=True)
        found = self[phase] = tuple(size for size in longest_first if size >= self._least)
        return found


def search(
    spans: tuple[Span, Span],
    weights: tuple[int, int],
    choices: tuple[Choices, Choices],
    rules: Rules,
    limit: int,
    budget: Budget,
) -> tuple[Steps, Steps] | int:
    """Fill both spans from left to right in bond with weighted cuts of at most ``limit``.

    The span that lags behind gets the next piece, so that a new joint has to keep its distance
    from the last joint of the other span only. Returns the steps, or the least cost above the
    limit that was met (a huge number where there is none), or GIVEN_UP at the budget's end.
    """
    pitch, joint, offset, least = rules.pitch, rules.joint, rules.offset, rules.least
    begin = (spans[0].start - joint, spans[1].start - joint)
    ends = (spans[0].end, spans[1].end)
    beyond = 1 << 60
    need = [weights[side] * least_cuts(ends[side] - begin[side], rules) for side in (0, 1)]
    if sum(need) > limit:
        return sum(need)
    failed: dict[tuple[int, int], int] = {}
    trail: list[tuple[int, int]] = []

    def moves(at: tuple[int, int], spare: int) -> Iterator[tuple[int, int, int]]:
        nonlocal beyond
        side = 0 if at[1] == ends[1] or (at[0] <= at[1] and at[0] != ends[0]) else 1
        span, here, other, far = spans[side], at[side], at[1 - side], spans[1 - side]
        counts = (other != far.start - joint or far.start_joint) and (
            other != far.end or far.end_joint
        )
        weight, end = weights[side], ends[side]
        shortest = span.first + joint if here == begin[side] else 0
        # As least_cuts and take, which are called too often here.
        left = (ends[1 - side] - other) % pitch
        rest = 0 if left == 0 else weights[1 - side] * (1 if left >= least else 2)
        cuts = choices[side][here % pitch]
        budget.left -= 1 + len(cuts) // _TRIED_IN_A_STEP
        if beyond + spare - limit <= weight + rest > spare:
            # No cut can be spared, nor does one tell of a lesser cost above the limit.
            cuts = ()
        for step in (pitch, *cuts):
            to = here + step
            if to > end or step < shortest:
                continue
            if to == end:
                if step < span.last + joint:
                    continue
                if counts and span.end_joint and -offset < to - other < offset:
                    continue
            elif counts and -offset < to - other < offset:
                continue
            spent = 0 if step == pitch else weight
            left = (end - to) % pitch
            over = spent + rest + (0 if left == 0 else weight if left >= least else 2 * weight)
            if over > spare:
                beyond = min(beyond, limit - spare + over)
                continue
            yield side, step, spare - spent

    stack = [(begin, limit, moves(begin, limit))]
    while stack:
        budget.left -= 1
        if budget.left < 0:
            return GIVEN_UP
        at, spare, options = stack[-1]
        if at == ends:
            steps: tuple[list[int], list[int]] = ([], [])
            for side, step in trail:
                steps[side].append(step)
            return tuple(steps[0]), tuple(steps[1])
        for side, step, left in options:
            to = (at[0] + step, at[1]) if side == 0 else (at[0], at[1] + step)
            if failed.get(to, -1) >= left:
                continue
            trail.append((side, step))
            stack.append((to, left, moves(to, left)))
            break
        else:
            failed[at] = max(spare, failed.get(at, -1))
            stack.pop()
            if trail:
                trail.pop()
    return beyond


@remembered(2_000)
def fewest(
    budget: Budget, spans: tuple[Span, Span], weights: tuple[int, int], rules: Rules
) -> Pair | None:
    """Return two spans filled in bond with the least weighted number of cuts.

    None where no filling exists, or where none was found before the budget's end. See
    ``docs/setting_out.md`` for why the phases suffice.
    """
    most = [walk(span, rules) // rules.least for span in spans]
    bound = sum(
        weight * least_cuts(walk(span, rules), rules)
        for span, weight in zip(spans, weights, strict=True)
    )
    every = sum(weight * count for weight, count in zip(weights, most, strict=True))
    best: Pair | None = None
    depth, sure = 0, True
    while True:
        found_phases = phases(spans, rules, depth)
        budget.take(len(found_phases) ** 2 // _SORTED_IN_A_STEP)
        choices = by_phase(found_phases, rules)
        limit, top = bound, best.cost - 1 if best else every
        while limit <= top:
            with budget.part(_MOST_STEPS):
                found = search(spans, weights, (choices, choices), rules, limit, budget)
            if not isinstance(found, int):
                best = Pair(limit, *found, proved=limit == bound)
                break
            if found == GIVEN_UP:
                # Too long a search: from here on any filling is welcome, without a proof.
                sure = False
                found = min(2 * limit + 1, top) if best is None and limit < top else top + 1
            limit = found
        if best is None and budget.ended:
            last = _last_try(budget, spans, weights, (choices, choices), rules, every, depth)
            if last is None:
                return None
            best, sure = Pair(every, *last, proved=False), False
        if best is not None and not sure:
            cost = sum(
                weight * len([step for step in steps if step != rules.pitch])
                for weight, steps in zip(weights, (best.first, best.second), strict=True)
            )
            return best._replace(cost=cost, proved=cost == bound)
        needed = most_free(weights, most, best.cost - 1 if best else every)
        if best is not None and (best.proved or depth >= needed):
            return best._replace(proved=True)
        if depth >= min(needed, _DEEPEST if best else _DEEPEST_EMPTY):
            budget.doubtful = best is None and not (
                sure and (depth >= needed or _no_pair(spans, weights, rules, every))
            )
            return best
        depth = min(needed, _DEEPEST) if best else depth + 1


def _no_pair(spans: tuple[Span, Span], weights: tuple[int, int], rules: Rules, limit: int) -> bool:
    """Return whether spans have no filling in bond wherever joints may be; False for not known.

    Steps of its own, so that what is found elsewhere stays the same.
    """
    closed = closed_phases(anchors([Line(spans)], rules), rules)
    if closed is None:
        return False
    choices = by_phase(closed, rules)
    found = search(spans, weights, (choices, choices), rules, limit, Budget(_STEPS_OF_A_PROOF))
    return isinstance(found, int) and found != GIVEN_UP


def _last_try(
    budget: Budget,
    spans: tuple[Span, Span],
    weights: tuple[int, int],
    choices: tuple[Choices, Choices],
    rules: Rules,
    limit: int,
    depth: int,
) -> tuple[Steps, Steps] | None:
    """Return what ``search`` finds on the budget's reserve; None for nothing.

    depth: of the phases that the choices are made from.
    """

    def any_pair() -> tuple[Steps, Steps] | None:
        found = search(spans, weights, choices, rules, limit, budget)
        return None if isinstance(found, int) else found

    return budget.last_try((spans, weights, rules, depth), any_pair)


def most_free(weights: tuple[int, int], most: list[int], cost: int) -> int:
    """Return how many zones between cuts can be free to shift at a weighted cost."""
    best = 0
    for first in range(min(most[0], cost // weights[0]) + 1):
        second = min(most[1], (cost - first * weights[0]) // weights[1])
        best = max(best, max(0, first - 1) + max(0, second - 1))
    return best
