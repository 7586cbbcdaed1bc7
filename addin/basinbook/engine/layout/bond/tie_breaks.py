"""Among fillings with as few cuts: the fewest different lengths, then the most symmetry."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import combinations, islice
from math import comb, gcd
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import (
    Pair,
    Rules,
    Span,
    Steps,
    joints,
    phases,
    walk,
    with_one_cut,
)
from basinbook.engine.layout.bond.with_turned import cuts_of, fewest, turned_steps
from basinbook.engine.layout.budget import Budget, remembered

# Beyond these, ties are left as they fall; the count of cuts never depends on them.
_ARRANGED_PIECES: Final = 3_000
_TRIES: Final = 40
_NEAR_END: Final = 3
_MOST_ORDERS: Final = 3_000
_MOST_STEPS: Final = 60_000
_PIECES_IN_A_STEP: Final = 16
_PAIRS_IN_A_STEP: Final = 32


def mirrored(span: Span, far: int) -> Span:
    """Return the mirror image of a span in a wall that ends at ``far``."""
    return span._replace(
        start=far - span.end,
        end=far - span.start,
        start_joint=span.end_joint,
        end_joint=span.start_joint,
        first=span.last,
        last=span.first,
        turned=tuple((far - high, far - low) for low, high in reversed(span.turned)),
    )


def bonded(
    budget: Budget,
    spans: tuple[Span, Span],
    weights: tuple[int, int],
    far: int,
    rules: Rules,
    tidy: bool,
) -> Pair | None:
    """Return two spans filled in bond with the least weighted number of cuts, or None.

    far: the wall's inside length; mirror images about its middle, and the same two courses the
    other way up, are solved once. tidy: among the fillings with as many cuts, take one with the
    fewest different lengths, then the most symmetrical.
    """
    unit = gcd(*weights)
    form = _form(spans, (weights[0] // unit, weights[1] // unit), far)
    if tidy:
        pair = _tidy(budget, form.spans, form.weights, far, rules)
    else:
        pair = fewest(budget, form.spans, form.weights, rules)
    if pair is None:
        return None
    first, second = (pair.second, pair.first) if form.swapped else (pair.first, pair.second)
    if form.mirrored:
        first, second = first[::-1], second[::-1]
    return Pair(pair.cost * unit, first, second, pair.proved)


def alone(budget: Budget, span: Span, far: int, rules: Rules, tidy: bool) -> Pair | None:
    """Return a course without a neighbour, twice, as ``bonded`` does with no joint offset."""
    image = mirrored(span, far)
    flipped = image < span
    form = image if flipped else span
    steps = None if span.turned else with_one_cut(form, rules)
    if steps is None:
        return bonded(budget, (span, span), (1, 1), far, rules._replace(offset=0), tidy)
    cuts = cut_sizes(form, steps, rules)
    if tidy and cuts:
        with budget.part(_MOST_STEPS):
            ranked = _ranked(budget, form, cuts, far - rules.joint, rules)
        if ranked and ranked[0].odd < asymmetry(joints(form, steps, rules), far - rules.joint):
            steps = ranked[0].steps
    if flipped:
        steps = steps[::-1]
    return Pair(2 * len(cuts), steps, steps, True)


class _Form(NamedTuple):
    """Two courses in the one form that their mirror images, and the other way up, share."""

    spans: tuple[Span, Span]
    weights: tuple[int, int]
    mirrored: bool
    swapped: bool


@lru_cache(maxsize=2_000)
def _form(spans: tuple[Span, Span], weights: tuple[int, int], far: int) -> _Form:
    images = (mirrored(spans[0], far), mirrored(spans[1], far))
    return min(
        _Form(spans, weights, False, False),
        _Form(images, weights, True, False),
        _Form((spans[1], spans[0]), (weights[1], weights[0]), False, True),
        _Form((images[1], images[0]), (weights[1], weights[0]), True, True),
    )


@remembered(2_000)
def _tidy(
    budget: Budget, spans: tuple[Span, Span], weights: tuple[int, int], far: int, rules: Rules
) -> Pair | None:
    pair = fewest(budget, spans, weights, rules)
    if pair is None:
        return None
    with budget.part(_MOST_STEPS):
        return tidiest(budget, spans, weights, pair, far - rules.joint, rules)


def cut_sizes(span: Span, steps: Steps, rules: Rules) -> tuple[int, ...]:
    """Return the cut pieces among the steps of a span, longest first."""
    return tuple(sorted(cuts_of(span, steps, rules), reverse=True))


def tidiest(
    budget: Budget,
    spans: tuple[Span, Span],
    weights: tuple[int, int],
    pair: Pair,
    mirror: int,
    rules: Rules,
) -> Pair:
    """Return a pair of the same cost with the fewest different lengths, then most symmetry.

    mirror: a joint at p has its mirror image at mirror − p. Each course keeps its number of
    turned blocks.
    """
    mine = (cut_sizes(spans[0], pair.first, rules), cut_sizes(spans[1], pair.second, rules))
    turned = (
        sum(turned_steps(spans[0], pair.first, rules)),
        sum(turned_steps(spans[1], pair.second, rules)),
    )
    sizes = [
        _size_sets(span, spans, have, count, rules)
        for span, have, count in zip(spans, mine, turned, strict=True)
    ]
    total = len({*mine[0], *mine[1]})
    plans = sorted(
        {
            (len({*one, *two}), one, two)
            for one in sizes[0]
            for two in sizes[1]
            if weights[0] * len(one) + weights[1] * len(two) == pair.cost
        }
    )
    best: tuple[int, int, Pair] = (
        total,
        asymmetry(joints(spans[0], pair.first, rules), mirror)
        + asymmetry(joints(spans[1], pair.second, rules), mirror),
        pair,
    )
    for different, one, two in plans[:_TRIES]:
        if different > best[0] or best[:2] == (different, 0):
            break
        found = _arranged(budget, spans, (one, two), turned, mirror, rules)
        if found is not None and (different, found[0]) < best[:2]:
            best = (different, found[0], pair._replace(first=found[1], second=found[2]))
    return best[2]


def _size_sets(
    span: Span, spans: tuple[Span, Span], have: tuple[int, ...], turned: int, rules: Rules
) -> set[tuple[int, ...]]:
    """Return sets of cut sizes that a span can be filled with, as many as ``have``.

    turned: number of turned blocks beside them.
    """
    total, pitch = walk(span, rules) - turned * rules.across, rules.pitch
    rest, count = total % pitch, len(have)
    found = {have}
    if count > 1:
        for turns in range(count):
            size, odd = divmod(rest + turns * pitch, count)
            if not odd and rules.least <= size < pitch:
                found.add((size,) * count)
    if count == 2:
        begin = span.start - rules.joint
        for phase in phases(spans, rules, 1):
            one = (phase - begin) % pitch
            two = (rest - one) % pitch
            if min(one, two) >= rules.least:
                found.add((max(one, two), min(one, two)))
    return {sizes for sizes in found if sum(sizes) <= total}


def _arranged(
    budget: Budget,
    spans: tuple[Span, Span],
    sizes: tuple[tuple[int, ...], tuple[int, ...]],
    turned: tuple[int, int],
    mirror: int,
    rules: Rules,
) -> tuple[int, Steps, Steps] | None:
    """Return the most symmetrical arrangement in bond of given cut sizes, where there is one."""
    below = _ranked(budget, spans[0], sizes[0], mirror, rules, turned[0])
    above = _ranked(budget, spans[1], sizes[1], mirror, rules, turned[1])
    # Joints as bits: rows are in bond where the one has no joint that clashes with the other.
    places = sorted({at for row in above for at in row.joints})
    bit = {at: 1 << index for index, at in enumerate(places)}
    masks = [sum(bit[at] for at in row.joints) for row in above]
    clash: dict[int, int] = {}
    for at in {at for row in below for at in row.joints}:
        low = bisect_right(places, at - rules.offset)
        high = bisect_left(places, at + rules.offset)
        clash[at] = ((1 << high) - 1) & ~((1 << low) - 1) if high > low else 0
    best: tuple[int, Steps, Steps] | None = None
    for row in below:
        if not budget.take(1 + len(above) // _PAIRS_IN_A_STEP):
            break
        clashes = 0
        for at in row.joints:
            clashes |= clash[at]
        for other, mask in zip(above, masks, strict=True):
            if best is not None and row.odd + other.odd >= best[0]:
                break
            if not clashes & mask:
                best = (row.odd + other.odd, row.steps, other.steps)
                break
    return best


class _Arrangement(NamedTuple):
    odd: int
    steps: Steps
    joints: tuple[int, ...]


@remembered(256)
def _ranked(
    budget: Budget,
    span: Span,
    cuts: tuple[int, ...],
    mirror: int,
    rules: Rules,
    turned: int = 0,
) -> tuple[_Arrangement, ...]:
    """Return the orders in which whole blocks and given cuts fill a span, most symmetrical first.

    turned: number of turned blocks among them. For long spans only some of them, among these the
    symmetrical ones.
    """
    cuts = (*cuts, *[rules.across] * turned)
    whole, odd = divmod(walk(span, rules) - sum(cuts), rules.pitch)
    if odd or whole < 0:
        return ()
    found = []
    count = whole + len(cuts)
    first, last = span.first + rules.joint, span.last + rules.joint
    pitch = rules.pitch
    different = list(islice(orders(cuts), _MOST_ORDERS))
    each = len(different) * (1 + count // _PIECES_IN_A_STEP)
    for places in _places(count, len(cuts)):
        if not budget.take(each):
            break
        for order in different:
            steps = [pitch] * count
            for place, size in zip(places, order, strict=True):
                steps[place] = size
            if count and (steps[0] < first or steps[-1] < last):
                continue
            if span.turned and sum(turned_steps(span, steps, rules)) != turned:
                continue
            at = joints(span, steps, rules)
            found.append(_Arrangement(asymmetry(at, mirror), tuple(steps), at))
    return tuple(sorted(found))


def _places(count: int, cuts: int) -> Iterable[tuple[int, ...]]:
    """Return places of cuts among so many pieces: all, or for long spans those that matter."""
    most = max(40, _ARRANGED_PIECES // max(1, count))
    if comb(count, cuts) <= most:
        return combinations(range(count), cuts)
    near_middle = sorted(range(count), key=lambda place: abs(2 * place - count + 1))
    if cuts == 1:
        return [(place,) for place in near_middle[:most]]
    if cuts == 2:
        return [(place, count - 1 - place) for place in range(count // 2)][:most]
    ends = [*range(_NEAR_END), *range(count - _NEAR_END, count)]
    return combinations(ends, cuts)


def orders(cuts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Yield the different orders of cuts, some of which may be alike."""
    if len(set(cuts)) < 2:
        yield cuts
        return
    if len(cuts) == 2:
        yield from ((min(cuts), max(cuts)), (max(cuts), min(cuts)))
        return
    for size in sorted(set(cuts)):
        rest = list(cuts)
        rest.remove(size)
        for tail in orders(tuple(rest)):
            yield (size, *tail)


def asymmetry(at: tuple[int, ...], mirror: int) -> int:
    """Return how many joints have no mirror image among them."""
    return len(set(at).difference(map(mirror.__sub__, at)))
