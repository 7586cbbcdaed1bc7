"""A course as a graph: the places where its joints may stand, and the pieces between them.

Places are walked as in ``bond.alternating``: the joint counts to the piece before it. A gap is an
edge that costs nothing. What a piece costs is given apart (``Prices``), so that one graph serves
for many prices.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import (
    Line,
    Rules,
    by_phase,
    could_bear,
    spread,
    starts,
)
from basinbook.engine.layout.bond.with_turned import lies_open

# Above all sums of prices, which count money, cuts and turned blocks in one number.
UNREACHED: Final = 1 << 90
# With so few prices the steps that have one are looked up.
FEW_PRICES: Final = 6

Prices = Mapping[int, int]
"""What a piece costs by its step (length and a joint) [ticks]; a step without one is not laid."""

GAP = 0
"""The step of an edge that is no piece. That of a turned block is below 0."""


class Graph(NamedTuple):
    """Places from left to right, edges out of each as (place, step), and joints that count.

    places: left edges of joints [ticks]. counts: whether the joint at a place counts in the bond.
    common: places of joints that run on from the course below. by_step: where each step leads from
    a place.
    """

    places: tuple[int, ...]
    edges: tuple[tuple[tuple[int, int], ...], ...]
    counts: tuple[bool, ...]
    common: frozenset[int]
    by_step: tuple[dict[int, int], ...]


def has_graph(line: Line, rules: Rules) -> bool:
    """Return whether a course's fillings are the walks of a graph.

    Not those of two leaves with spans of their own, nor where wide joints can spare a cut.
    """
    return not line.second and all(spread(span, rules) is None for span in line.spans)


@lru_cache(maxsize=512)
def course_graph(line: Line, phases: tuple[int, ...], rules: Rules) -> Graph | None:
    """Return the graph of a course with its joints at given phases; None where nothing fills it.

    Where turned blocks must lie in some stretches, a place is a place with the number of those
    that have one so far.
    """
    if not could_bear(line, rules):
        return None
    out: dict[_Place, list[tuple[_Place, int]]] = {}
    counts: dict[_Place, bool] = {}
    ask = [_Place(0, line.spans[0].start - rules.joint, 0)]
    while ask:
        place = ask.pop()
        if place in out:
            continue
        span = line.spans[place.span]
        if place.at == span.end:
            counts[place] = span.end_joint
            out[place] = []
            if place.span + 1 < len(line.spans):
                begin = line.spans[place.span + 1].start - rules.joint
                out[place].append((_Place(place.span + 1, begin, place.tied), GAP))
        else:
            counts[place] = place.at != span.start - rules.joint or span.start_joint
            out[place] = list(_from(line, place, phases, rules))
        ask += [to for to, _ in out[place]]
    end = _Place(len(line.spans) - 1, line.spans[-1].end, len(_ties(line)))
    if end not in out:
        return None
    places = sorted(out)
    places = places[: places.index(end) + 1]
    number = {place: n for n, place in enumerate(places)}
    edges = [[(number[to], step) for to, step in out[p] if to in number] for p in places]
    return _reached(places, edges, [counts[place] for place in places], line.common)


class _Place(NamedTuple):
    """A place of a span, and how many stretches have got the turned block that they must have."""

    span: int
    at: int
    tied: int


def _ties(line: Line) -> tuple[tuple[int, int], ...]:
    """Return the stretches in each of which a turned block must lie, from left to right."""
    return tuple(tie for span in line.spans for tie in span.ties)


def _from(
    line: Line, place: _Place, phases: tuple[int, ...], rules: Rules
) -> Iterator[tuple[_Place, int]]:
    """Yield where the pieces that may follow a joint lead to, with their steps."""
    span, at, joint, ties = line.spans[place.span], place.at, rules.joint, _ties(line)
    steps = [rules.pitch, *by_phase(phases, rules)[at % rules.pitch]]
    # A piece that ends at the span's end needs no phase.
    last = span.end - at
    if rules.least <= last < rules.pitch and last not in steps:
        steps.append(last)
    if rules.turned and lies_open(span, at, rules):
        steps.append(-rules.across)
    for step in steps:
        to = at + abs(step)
        if to > span.end or (to == span.end and abs(step) < span.last + joint):
            continue
        if at == span.start - joint and not starts(span, rules, abs(step)):
            continue
        if not all(_bridges(at, step, gap, rules) for gap in line.bridges):
            continue
        tied = place.tied
        if step < 0 and tied < len(ties):
            low, high = ties[tied]
            tied += low <= at + joint and to <= high + joint
        yield _Place(place.span, to, tied), step


def _bridges(at: int, step: int, gap: tuple[int, int], rules: Rules) -> bool:
    """Return whether an edge leaves the block over a gap possible: the piece there is that block.

    One piece, with its joint, holds the place a bearing left of the gap; it must be the block.
    """
    left = at + rules.joint
    if not left <= gap[0] - rules.offset < left + abs(step):
        return True
    return step == rules.pitch and left + rules.length >= gap[1] + rules.offset


def _reached(
    places: list[_Place],
    edges: list[list[tuple[int, int]]],
    counts: list[bool],
    common: frozenset[int],
) -> Graph | None:
    """Return the graph without what leads nowhere, or from nowhere."""
    goal = len(places) - 1
    to_end = [False] * len(places)
    to_end[goal] = True
    for at in range(goal - 1, -1, -1):
        to_end[at] = any(to_end[to] for to, _ in edges[at])
    from_start = [False] * len(places)
    from_start[0] = True
    for at in range(len(places)):
        if from_start[at]:
            for to, _ in edges[at]:
                from_start[to] = True
    kept = [at for at in range(len(places)) if to_end[at] and from_start[at]]
    if not kept or kept[0] != 0:
        return None
    number = {at: index for index, at in enumerate(kept)}
    edges_kept = tuple(
        tuple((number[to], step) for to, step in edges[at] if to in number) for at in kept
    )
    return Graph(
        tuple(places[at].at for at in kept),
        edges_kept,
        tuple(counts[at] for at in kept),
        common,
        tuple({step: to for to, step in out} for out in edges_kept),
    )


class PricedGraph(NamedTuple):
    """A course at prices: what its places cost at least from there on, and the edges that do.

    edges: out of each place as (to, its place, whether a joint counts there, price, step).
    """

    graph: Graph
    ahead: list[int]
    edges: list[list[tuple[int, int, bool, int, int]]]


def priced(graph: Graph, prices: Prices) -> PricedGraph:
    """Return a course at prices, without the edges that lead nowhere."""
    goal = len(graph.places) - 1
    ahead = [UNREACHED] * goal + [0]
    edges: list[list[tuple[int, int, bool, int, int]]] = [[] for _ in graph.places]
    for at in _places_at(graph, prices):
        best = UNREACHED
        for to, step in _out(graph, at, prices):
            if ahead[to] < UNREACHED:
                price = prices[step]
                edges[at].append((to, graph.places[to], graph.counts[to], price, step))
                best = min(best, price + ahead[to])
        ahead[at] = best
    return PricedGraph(graph, ahead, edges)


def _out(graph: Graph, at: int, prices: Prices) -> list[tuple[int, int]]:
    """Return the edges out of a place that have a price."""
    if len(prices) > FEW_PRICES:
        return [edge for edge in graph.edges[at] if edge[1] in prices]
    steps = graph.by_step[at]
    return [(steps[step], step) for step in prices if step in steps]


def _places_at(graph: Graph, prices: Prices) -> Iterable[int]:
    """Return the places that can be come to, but the last, from right to left.

    With many prices these are nearly all.
    """
    goal = len(graph.places) - 1
    if len(prices) > FEW_PRICES:
        return range(goal - 1, -1, -1)
    found, ask = {0}, [0]
    while ask:
        for to, _ in _out(graph, ask.pop(), prices):
            if to not in found:
                found.add(to)
                ask.append(to)
    return sorted(found - {goal}, reverse=True)


def steps_by_span(line: Line, walked: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return the steps of a walk through a course by span."""
    found: list[list[int]] = [[]]
    for step in walked:
        if step == GAP:
            found.append([])
        else:
            found[-1].append(step)
    assert len(found) == len(line.spans)
    return tuple(tuple(steps) for steps in found)
