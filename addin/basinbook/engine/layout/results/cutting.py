"""Cutting pieces from whole blocks: the fewest blocks, with the saw kerf counted, exactly.

All lengths are whole ticks (see ``fewest_stock``), so that no rounding can decide whether a
piece fits. The problem is one-dimensional cutting stock, which is bin packing with items of few
different sizes. A fast path in plain Python proves most answers; HiGHS decides the others.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.integer_programme import IntegerProgramme
from basinbook.engine.layout.budget import Budget, remembered

Bars = tuple[tuple[int, ...], ...]


class CutStock(NamedTuple):
    """Pieces by the block they are cut from, and whether no fewer blocks are proved to do."""

    bars: Bars
    proved: bool


_Counts = tuple[tuple[int, int], ...]

# Steps of the search before HiGHS takes over, two of which last as long as one of the budget.
_SEARCH_STEPS: Final = 100_000
_IN_A_STEP: Final = 2
# The search calls itself once a bar and once a length: keep clear of Python's limit.
_SEARCH_DEPTH: Final = 400
# The largest programme that is given to HiGHS, and the nodes that it may branch to: some tenths of
# a second; an arc lasts as long as so many steps of the budget.
_MOST_ARCS: Final = 4_000
_STEPS_AN_ARC: Final = 64
_MOST_NODES: Final = 50


def fewest_stock(budget: Budget, pieces: Sequence[int], stock: int, kerf: int) -> CutStock:
    """Return the pieces as they are cut from the fewest possible blocks of one length.

    pieces: lengths to cut [ticks, each from 1 to ``stock``], in any order. stock: length of a
    whole block [ticks]. kerf: width that a saw cut takes away [ticks, 0 or more]. A tick is any
    unit of length in which all of these are whole numbers; the layout has its own.
    Gives one tuple of piece lengths [ticks] per block, longest first, and the blocks in falling
    order, and whether fewer are proved impossible. The answer does not depend on the order of
    ``pieces``.

    Equation: k pieces l₁ … lₖ come from one block of length S with kerf c if and only if
    Σl + (k − 1)·c ≤ S. Every piece but the last is parted by a cut whose kerf lies between it
    and the next. If the last piece then ends at the block's own end it needs no cut; otherwise
    one more cut ends it, whose kerf may run off the block's end. So neither case asks for more
    length, and adding c on both sides gives bin packing: items l + c, capacity S + c.

    Limits: exact for every job that can be proved within the budget, else the best plan found;
    sizes of real jobs (60 pieces of up to 6 lengths) take less than a millisecond as a rule.
    Raises InputError for a length out of range.
    Source: lower bound L2 and dominance of maximal fillings: S. Martello and P. Toth, Knapsack
    Problems (Wiley 1990), chapter 8. Arc-flow model: J. M. Valério de Carvalho, "Exact solution
    of bin-packing problems using column generation and branch-and-bound", Annals of Operations
    Research 86 (1999) 629-659.
    """
    _check(pieces, stock, kerf)
    return _fewest(budget, _counted(pieces), stock, kerf)


def saw_cuts(bars: Iterable[Sequence[int]], stock: int, kerf: int) -> int:
    """Return how many saw cuts part the pieces of all ``bars`` [ticks] from their blocks.

    stock, kerf: as in ``fewest_stock`` [ticks]. Equation: a block with k pieces takes k − 1
    cuts if Σl + (k − 1)·c = S, so that the last piece keeps the block's own end, and k if not.
    Raises InputError for a bar longer than the stock. Source: see ``fewest_stock``.
    """
    cuts = 0
    for bar in bars:
        left = stock + kerf - sum(bar) - len(bar) * kerf
        if left < 0:
            raise InputError("bars", tuple(bar), f"its pieces and kerfs must fit into {stock}")
        cuts += len(bar) - (1 if bar and left == 0 else 0)
    return cuts


def fewest_bound(pieces: Sequence[int], stock: int, kerf: int) -> int:
    """Return a number of blocks [count] that no cut plan can go below; arguments as above.

    Equation: the bound L2, which is at least the volume bound ⌈Σ(l + c) / (S + c)⌉.
    Raises InputError for a length out of range.
    Source: S. Martello and P. Toth, Knapsack Problems (Wiley 1990), section 8.3.2.
    """
    _check(pieces, stock, kerf)
    items = [(size + kerf, count) for size, count in _counted(pieces)]
    return _l2(items, stock + kerf)


def _check(pieces: Sequence[int], stock: int, kerf: int) -> None:
    if stock < 1:
        raise InputError("stock", stock, "give a length of at least 1")
    if kerf < 0:
        raise InputError("kerf", kerf, "give 0 or more")
    for piece in pieces:
        if not 1 <= piece <= stock:
            raise InputError("pieces", piece, f"a piece must be from 1 to {stock} long")


def _counted(pieces: Iterable[int]) -> _Counts:
    return tuple(sorted(Counter(pieces).items(), reverse=True))


@remembered(4096)
def _fewest(budget: Budget, counts: _Counts, stock: int, kerf: int) -> CutStock:
    items = [(size + kerf, count) for size, count in counts]
    capacity = stock + kerf
    bound = _l2(items, capacity)
    bins = _best_fit_decreasing(items, capacity)
    budget.take(1 + len(items) ** 2 // _SEARCH_DEPTH + len(bins))
    proved = len(bins) == bound
    if not proved:
        found = _search(budget, items, capacity, bound, len(bins))
        if found is None:
            found = _by_arc_flow(budget, items, capacity, bound, len(bins))
        bins, proved = found.bins or bins, found.proved
    bars = (tuple(sorted((w - kerf for w in b), reverse=True)) for b in bins)
    return CutStock(tuple(sorted(bars, reverse=True)), proved)


def _l2(items: Sequence[tuple[int, int]], capacity: int) -> int:
    """Martello and Toth's L2 for (size, count) items; its K = 0 is the volume bound."""
    best = 0
    for least in {0, *(size for size, _ in items if 2 * size <= capacity)}:
        alone = halves = halves_volume = small_volume = 0
        for size, count in items:
            if size > capacity - least:
                alone += count
            elif 2 * size > capacity:
                halves += count
                halves_volume += size * count
            elif size >= least:
                small_volume += size * count
        overflow = small_volume - (halves * capacity - halves_volume)
        best = max(best, alone + halves + max(0, -(-overflow // capacity)))
    return best


def _best_fit_decreasing(items: Sequence[tuple[int, int]], capacity: int) -> list[list[int]]:
    bins: list[list[int]] = []
    # What each bin has left, and its number.
    room: list[tuple[int, int]] = []
    for size, count in items:
        for _ in range(count):
            best = bisect_left(room, (size, 0))
            if best < len(room):
                left, number = room.pop(best)
            else:
                left, number = capacity, len(bins)
                bins.append([])
            bins[number].append(size)
            insort(room, (left - size, number))
    return bins


class Packing(NamedTuple):
    """Bins of item sizes, none where no better ones were found than known, and whether proved."""

    bins: list[list[int]]
    proved: bool


class _StepsUsedUpError(Exception):
    """The search has used up its steps without a proof."""


class _Search:
    """Bin by bin, the largest item left goes into the next bin, filled up in every maximal way.

    Only maximal fillings need to be looked at: an item moved from a later bin into free room
    never makes things worse. What a bin wastes comes off the slack that ``bins`` bins leave, and
    rests of the job that have failed once are not tried again.
    """

    def __init__(self, sizes: Sequence[int], capacity: int, steps: int) -> None:
        self.sizes = sizes
        self.capacity = capacity
        self.steps = steps
        self.failed: dict[tuple[int, ...], int] = {}

    def pack(self, left: tuple[int, ...], bins: int) -> list[list[int]] | None:
        """Return a packing of ``left`` (count per size) into ``bins`` bins, or None."""
        if not any(left):
            return []
        if self.failed.get(left, 0) >= bins:
            return None
        slack = bins * self.capacity - sum(s * n for s, n in zip(self.sizes, left, strict=True))
        fillings: list[tuple[int, tuple[int, ...]]] = []
        if slack >= 0:
            first = next(index for index, count in enumerate(left) if count)
            start = [0] * len(left)
            start[first] = 1
            self._fill(left, start, first, self.capacity - self.sizes[first], slack, fillings)
            fillings.sort(key=lambda filling: (filling[0], [-n for n in filling[1]]))
        for _, taken in fillings:
            rest = self.pack(tuple(a - b for a, b in zip(left, taken, strict=True)), bins - 1)
            if rest is not None:
                sizes = zip(self.sizes, taken, strict=True)
                return [[size for size, count in sizes for _ in range(count)], *rest]
        self.failed[left] = bins
        return None

    def _fill(
        self,
        left: tuple[int, ...],
        taken: list[int],
        index: int,
        room: int,
        slack: int,
        fillings: list[tuple[int, tuple[int, ...]]],
    ) -> None:
        self.steps -= 1
        if self.steps < 0:
            raise _StepsUsedUpError
        if index == len(left):
            spare = (s for s, n, t in zip(self.sizes, left, taken, strict=True) if n > t)
            if room <= slack and all(size > room for size in spare):
                fillings.append((room, tuple(taken)))
            return
        size = self.sizes[index]
        already = taken[index]
        for more in range(min(left[index] - already, room // size), -1, -1):
            taken[index] = already + more
            self._fill(left, taken, index + 1, room - more * size, slack, fillings)
        taken[index] = already


def _search(
    budget: Budget, items: Sequence[tuple[int, int]], capacity: int, bound: int, found: int
) -> Packing | None:
    """Return a best packing, with no bins if none is better than ``found``; None if unproved."""
    steps = min(_SEARCH_STEPS, _IN_A_STEP * budget.left)
    if found + len(items) > _SEARCH_DEPTH or steps < 0:
        return None
    search = _Search([size for size, _ in items], capacity, steps)
    job = tuple(count for _, count in items)
    try:
        for bins in range(bound, found):
            packing = search.pack(job, bins)
            if packing is not None:
                return Packing(packing, True)
    except _StepsUsedUpError:
        return None
    finally:
        budget.take(-(-(steps - search.steps) // _IN_A_STEP))
    return Packing([], True)


def _by_arc_flow(
    budget: Budget, items: Sequence[tuple[int, int]], capacity: int, bound: int, found: int
) -> Packing:
    """Return what HiGHS finds, where its programme is small enough."""
    arcs = every_arc(items, capacity, _MOST_ARCS)
    if arcs is None or not budget.take(len(arcs) * _STEPS_AN_ARC):
        return Packing([], False)
    return solve_arc_flow(items, capacity, bound, found, arcs)


Arcs = list[tuple[int, int, int]]


def solve_arc_flow(
    items: Sequence[tuple[int, int]],
    capacity: int,
    bound: int,
    most: int,
    arcs: Arcs,
    nodes: int = _MOST_NODES,
) -> Packing:
    """Return the items, as (size, count) in falling order, in the fewest bins, by HiGHS.

    bound, most: numbers of bins known to be too few or just enough, and enough. Sizes and
    capacity in ticks (kerf included). arcs: see ``every_arc``. nodes: where the search stops, with
    the best packing found and no proof.
    Equation: a bin is a path from 0 to the capacity over places where an item can end, its arcs
    being items in falling order of size and one arc for the waste; least number of paths such
    that each size is used as often as it is wanted.
    Source: Valério de Carvalho, see ``fewest_stock``.
    """
    places = sorted({0, capacity, *(head for _, head, _ in arcs)})
    row_of = {place: row for row, place in enumerate(places)}
    programme = IntegerProgramme()
    passing: list[dict[int, float]] = [{} for _ in places]
    used: list[dict[int, float]] = [{} for _ in items]
    # One unknown for each item arc, one of waste from every place but the last, then the bins.
    waste = [(place, capacity) for place in places if 0 < place < capacity]
    for tail, head in [*((tail, head) for tail, head, _ in arcs), *waste]:
        column = programme.unknown(0.0, most)
        passing[row_of[tail]][column] = -1.0
        passing[row_of[head]][column] = 1.0
    bins = programme.unknown(1.0, most, bound)
    passing[row_of[0]][bins], passing[row_of[capacity]][bins] = 1.0, -1.0
    for column, (_, _, kind) in enumerate(arcs):
        used[kind][column] = 1.0
    for terms in passing:
        programme.row(terms, 0.0, 0.0)
    for terms, (_, count) in zip(used, items, strict=True):
        programme.row(terms, count, count)
    found = programme.solve(nodes)
    if not found.values:
        return Packing([], False)
    return Packing(_paths(arcs, found.values, capacity, round(found.cost)), found.proved)


def every_arc(items: Sequence[tuple[int, int]], capacity: int, most: int) -> Arcs | None:
    """Return all (from, to, item) that bins filled in falling order of size can use.

    None where there are more than ``most``.
    """
    arcs: list[tuple[int, int, int]] = []
    ends = {0}
    for kind, (size, count) in enumerate(items):
        fresh = set(ends)
        for _ in range(count):
            fresh = {place + size for place in fresh if place + size <= capacity}
            before = {place - size for place in fresh}
            arcs += [(place, place + size, kind) for place in sorted(before)]
            ends |= fresh
            if not fresh:
                break
            if len(arcs) > most:
                return None
    return list(dict.fromkeys(arcs))


def _paths(
    arcs: Sequence[tuple[int, int, int]], flow: Sequence[int], capacity: int, bins: int
) -> list[list[int]]:
    """Split a flow into bins of item sizes; the rest of a path without an item is waste."""
    out: dict[int, list[list[int]]] = {}
    for (tail, head, _), amount in zip(arcs, flow, strict=False):
        if amount:
            out.setdefault(tail, []).append([head, amount])
    packed: list[list[int]] = []
    for _ in range(bins):
        place = 0
        sizes: list[int] = []
        while place < capacity and out.get(place):
            head, amount = out[place][-1]
            if amount == 1:
                out[place].pop()
            else:
                out[place][-1][1] -= 1
            sizes.append(head - place)
            place = head
        packed.append(sizes)
    return packed
