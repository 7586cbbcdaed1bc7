"""Where known prices leave a gap: prices made to measure, and all sets of pieces that are left.

A wall is a sum of parts: pairs of neighbouring courses, and a course by itself where their number
is odd. Parts are taken as if each could be filled without the others: a bound holds all the same,
and a choice of parts is a layout once they are put together in bond.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.chains import (
    Listed,
    Masks,
    cheapest_link,
    list_cheap,
    list_pieces,
)
from basinbook.engine.layout.aims.columns import columns
from basinbook.engine.layout.aims.courses import GAP, Graph, steps_by_span
from basinbook.engine.layout.aims.pairs import cheapest_alone
from basinbook.engine.layout.aims.problem import (
    Chosen,
    Filled,
    Pricing,
    alternate,
    weights_of,
)
from basinbook.engine.layout.aims.programme import (
    Option,
    Part,
    Programme,
    Solved,
    Unsolved,
    relaxed,
    solved,
    worth_in_blocks,
)
from basinbook.engine.layout.aims.stock import TIES, Asked, Search
from basinbook.engine.layout.aims.stock_prices import ways_to_cut
from basinbook.engine.layout.bond.alternating import Line
from basinbook.engine.layout.bond.whole_wall import Wall

_MOST_WAYS_TO_CUT: Final = 3_000
_ROUNDS: Final = 10
_UNIT: Final = 1 << 20
_MOST_OPTIONS: Final = 600
_STEPS_AN_OPTION: Final = 64

_Steps = tuple[int, ...]


class _Courses(NamedTuple):
    """One or two neighbouring courses of a wall: how often they come, from which course on.

    weights: leaves of each. repeated: whether they are all courses of the wall in turn.
    """

    lines: tuple[Line, ...]
    weights: tuple[int, ...]
    many: int
    first: int
    repeated: bool = False


def _parts(wall: Wall, repeated: bool) -> list[_Courses]:
    """Return a wall as pairs of courses from the base up, and the last where it is left over.

    repeated: where two courses take turns, as one pair that is repeated all the way.
    """
    lines = wall.lines
    pairs, odd = divmod(len(lines), 2)
    if alternate(lines) and repeated and len(lines) > 2:
        return [_Courses(lines[:2], weights_of(lines), 1, 0, True)]
    if alternate(lines):
        starts, many = [0] if pairs else [], pairs
    else:
        starts, many = list(range(0, 2 * pairs, 2)), 1
    if odd:
        starts.append(2 * pairs)
    found = []
    for at in starts:
        two = lines[at : at + 2]
        weights = tuple(line.leaves for line in two)
        found.append(_Courses(two, weights, many if len(two) == 2 else 1, at))
    return found


class _Part:
    """A part of a wall with the sets of pieces that were found for it."""

    def __init__(self, search: Search, wall: int, courses: _Courses) -> None:
        self.search = search
        self.wall = wall
        self.courses = courses
        self.leaves = courses.weights
        self.found: dict[tuple[tuple[int, int], ...], tuple[_Steps, ...]] = {}

    def cheapest(self, pricing: Pricing) -> int | None:
        """Return the least cost at prices, and keep its pieces; None for none, or at the end."""
        budget, lines = self.search.budget, self.courses.lines
        if len(lines) == 1:
            graph = pricing.graph(lines[0])
            if graph is None:
                return None
            one = cheapest_alone(budget, graph)
            self.keep((one[1],))
            return self.leaves[0] * one[0]
        pair = pricing.pair(budget, lines[0], lines[1], (self.leaves[0], self.leaves[1]))
        if pair is None:
            return None
        self.keep((pair.first, pair.second))
        return pair.cost

    def keep(self, rows: tuple[_Steps, ...]) -> bool:
        """Keep the pieces of the courses; tell whether they are new."""
        counted: Counter[int] = Counter()
        for row, leaves in zip(rows, self.leaves, strict=True):
            for step in row:
                if step != GAP:
                    counted[step] += leaves
        key = tuple(sorted(counted.items()))
        if key in self.found:
            return False
        self.found[key] = rows
        return True

    def list_all(self, pricing: Pricing, most: int) -> bool:
        """Keep all sets of pieces that cost at most ``most``; False where they are too many."""
        budget, offset = self.search.budget, self.search.courses.rules.offset
        graphs = [pricing.graph(line) for line in self.courses.lines]
        there = [graph for graph in graphs if graph is not None]
        self.found.clear()
        if len(there) == 1:
            masks = Masks([there[0].graph], offset)
            listed = list_cheap(budget, there[0], most // self.leaves[0], masks)
            for one in listed or ():
                self.keep((one.steps,))
            return listed is not None
        weights = self.leaves[0], self.leaves[1]
        pairs = columns(budget, there[0], there[1], weights, offset, most)
        for pair in pairs or ():
            self.keep((pair.first, pair.second))
        return pairs is not None

    def options(self) -> list[Option]:
        """Return the kept sets of pieces as the programme takes them."""
        search, worth, found = self.search, self.search.worth, []
        for key in self.found:
            cut = tuple((step, n) for step, n in key if 0 < step < search.pitch)
            cuts = sum(n for _, n in cut)
            whole = sum(n for _, n in key) - cuts
            value = (worth.block + worth.whole) * whole + worth.cut * cuts
            found.append(Option(value, cut))
        return found


class _Layouts:
    """The parts of all walls, and the ways to begin that are still of interest."""

    def __init__(self, search: Search, asked: Asked, repeated: bool) -> None:
        self.search = search
        self.repeated = repeated
        walls = list(asked.found.under)
        number = {wall: n for n, wall in enumerate(walls)}
        self.walls = walls
        # Of each group its ways that can be built, by number, and as numbers of walls.
        self.ways: list[list[tuple[int, tuple[int, ...]]]] = [
            [
                (n, tuple(number[group.walls[one]] for one in way))
                for n, way in enumerate(group.ways)
                if all(group.walls[one] in number for one in way)
            ]
            for group in search.courses.groups
        ]
        self.parts = [
            _Part(search, n, courses)
            for n, wall in enumerate(walls)
            for courses in _parts(wall, repeated)
        ]
        found = ways_to_cut(search.sizes, search.capacity, _MOST_WAYS_TO_CUT)
        self.ways_to_cut = found

    def without(self, walls: set[int]) -> None:
        """Leave out some walls, and the ways that have one of them."""
        self.ways = [
            [(n, way) for n, way in ways if not walls.intersection(way)] for ways in self.ways
        ]
        self.parts = [part for part in self.parts if part.wall not in walls]

    def programme(self) -> Programme:
        return Programme(
            [Part(part.wall, part.courses.many, part.options()) for part in self.parts],
            [[way for _, way in ways] for ways in self.ways],
            self.search.cuts,
            self.ways_to_cut or [],
            self.search.worth.block,
        )


def by_programme(search: Search) -> None:
    """Raise the bound, and look for a better layout, where known prices leave them apart."""
    layouts = _Layouts(search, search.sharpest, False)
    if layouts.ways_to_cut is None:
        return
    _measure(search, layouts)
    for one in (layouts, _Layouts(search, search.sharpest, True)):
        if not search.met and not search.budget.ended:
            _choose_known(search, one)
    for repeated in (False, True):
        if not search.met and not search.budget.ended:
            _choose(search, _Layouts(search, search.sharpest, repeated))


def _choose_known(search: Search, layouts: _Layouts) -> None:
    """Look for a better layout among the sets of pieces that were found at all prices so far."""
    for asked in search.asked:
        for part in layouts.parts:
            part.cheapest(asked.pricing)
    # A part that no filling was found for has walls that can't be built.
    lacking = {part.wall for part in layouts.parts if not part.found}
    layouts.without(lacking)
    options = sum(len(part.found) for part in layouts.parts)
    if not all(layouts.ways) or not search.budget.take(_STEPS_AN_OPTION * options):
        return
    found = solved(layouts.programme())
    if not isinstance(found, Unsolved):
        chosen = _layout(search, layouts, found)
        if chosen is not None:
            search.take(chosen)


def _measure(search: Search, layouts: _Layouts) -> None:
    """Ask at the prices that the sets of pieces found so far would have, while there are new.

    Half way between those and the best so far: prices that follow the programme alone swing.
    Source: P. Wentges, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer
    programming", International Transactions in Operational Research 4 (1997) 151-162.
    """
    for asked in search.asked:
        for part in layouts.parts:
            part.cheapest(asked.pricing)
    for _ in range(_ROUNDS):
        if search.budget.ended:
            return
        found = relaxed(layouts.programme())
        search.budget.take(_STEPS_AN_OPTION * len(layouts.parts))
        if found is None:
            return
        worth = {step: value / search.worth.block for step, value in found.worth.items()}
        parts = worth_in_blocks(worth, layouts.ways_to_cut or (), search.cuts, _UNIT)
        best = search.sharpest
        known = sum(len(part.found) for part in layouts.parts)
        for halves in (1, 0):
            prices = [
                (halves * old * _UNIT // best.unit + (2 - halves) * parts[step]) // 2
                for step, old in zip(search.cuts, best.in_blocks, strict=True)
            ]
            further = search.ask(prices, _UNIT)
            if further is None or search.met:
                return
            for part in layouts.parts:
                part.cheapest(further.pricing)
            if known < sum(len(part.found) for part in layouts.parts):
                break
        else:
            return


def _choose(search: Search, layouts: _Layouts) -> None:
    """List all sets of pieces that could be part of a better layout, and choose among them."""
    asked = search.sharpest
    under = [asked.found.under[wall] for wall in layouts.walls]
    limit_value = search.least
    better = limit_value - 1 - search.worth.block * search.stock.other
    limit = better * asked.unit * TIES + TIES - 1
    room = _room(layouts, under, limit)
    if not room:
        search.bound = limit_value
        return
    layouts.without(set(range(len(under))) - set(room))
    parts = []
    for wall in range(len(under)):
        own = [part for part in layouts.parts if part.wall == wall]
        if wall not in room:
            continue
        costs = [part.cheapest(asked.pricing) for part in own]
        if any(cost is None for cost in costs):
            return
        spare = (
            under[wall]
            + room[wall]
            - sum(part.courses.many * (cost or 0) for part, cost in zip(own, costs, strict=True))
        )
        for part, cost in zip(own, costs, strict=True):
            if part.list_all(asked.pricing, (cost or 0) + spare):
                continue
            if not layouts.repeated:
                return
            for one in search.asked:
                part.cheapest(one.pricing)
        parts += own
    layouts.parts = parts
    options = sum(len(part.found) for part in parts)
    if options > _MOST_OPTIONS or not search.budget.take(_STEPS_AN_OPTION * options):
        return
    found = solved(layouts.programme())
    if isinstance(found, Unsolved):
        if found.none and not layouts.repeated:
            search.bound = limit_value
        return
    chosen = _layout(search, layouts, found)
    if chosen is not None:
        search.take(chosen)
    if found.proved and not layouts.repeated:
        least = found.value + search.worth.block * search.stock.other
        search.bound = max(search.bound, min(least, limit_value))


def _room(layouts: _Layouts, under: Sequence[int], limit: int) -> dict[int, int]:
    """Return how much dearer than its bound each wall may be in a layout of at most ``limit``."""
    least = [min(sum(under[wall] for wall in way) for _, way in ways) for ways in layouts.ways]
    room: dict[int, int] = {}
    for ways, own in zip(layouts.ways, least, strict=True):
        others = sum(least) - own
        for _, way in ways:
            left = limit - others - sum(under[wall] for wall in way)
            if left >= 0:
                for wall in way:
                    room[wall] = max(room.get(wall, 0), left)
    return room


def _layout(search: Search, layouts: _Layouts, found: Solved) -> Chosen | None:
    """Return the chosen parts as a layout in bond; None where they can't be put together."""
    rows: dict[int, list[tuple[_Part, list[tuple[_Steps, ...]]]]] = {}
    for part, taken in zip(layouts.parts, found.options, strict=True):
        kept = list(part.found.values())
        picked = [kept[n] for n, many in sorted(taken.items()) for _ in range(many)]
        rows.setdefault(part.wall, []).append((part, picked))
    chosen = []
    for group, ways, taken_way in zip(search.courses.groups, layouts.ways, found.ways, strict=True):
        number, way = ways[taken_way]
        walls = []
        for wall in way:
            picked_rows = []
            for part, picked in rows[wall]:
                picked_rows.append((part, [picked.pop() for _ in range(part.courses.many)]))
            filled = _together(search, layouts.walls[wall], picked_rows)
            if filled is None:
                return None
            walls.append(filled)
        chosen.append((tuple(group.ways[number]), tuple(walls)))
    return tuple(chosen)


def _together(
    search: Search, wall: Wall, picked: Sequence[tuple[_Part, list[tuple[_Steps, ...]]]]
) -> Filled | None:
    """Return a wall whose courses have the pieces of chosen parts, in bond; None for none found."""
    courses = search.courses
    if picked[0][0].courses.repeated:
        two = picked[0][1][0]
        steps = [steps_by_span(line, row) for line, row in zip(wall.lines, two, strict=False)]
        return Filled(0, 0, tuple(steps[n % 2] for n in range(len(wall.lines))))
    graphs: list[Graph] = []
    for line in wall.lines:
        graph = courses.graph(line)
        assert graph is not None
        graphs.append(graph)
    offset = courses.rules.offset
    masks = Masks(graphs, offset)
    levels: list[_Steps] = [()] * len(wall.lines)
    for part, rows in picked:
        for n, pair in enumerate(rows):
            for at, row in enumerate(pair):
                levels[part.courses.first + 2 * n + at] = row
    lists: dict[tuple[int, tuple[tuple[int, int], ...]], list[Listed]] = {}
    order = []
    for line, graph, row in zip(wall.lines, graphs, levels, strict=True):
        counted = Counter(step for step in row if step != GAP)
        key = wall.lines.index(line), tuple(sorted(counted.items()))
        if key not in lists:
            lists[key] = list_pieces(search.budget, graph, counted, masks)
        order.append(lists[key])
    linked = cheapest_link(search.budget, order, [1] * len(order))
    if linked is None:
        return None
    found = zip(wall.lines, linked.fillings, strict=True)
    return Filled(0, 0, tuple(steps_by_span(line, one.steps) for line, one in found))
