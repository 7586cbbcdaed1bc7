"""Filling a wall whose courses are not alike: openings, blocks on edge, walls of two heights.

Each different course gets the list of its fillings with few cuts; the best chain through these
lists is found course by course, with the fillings as bits of whole numbers. Lower bounds on
pairs of courses tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.abreast import filled_abreast
from basinbook.engine.layout.bond.alternating import Line, Rules, Steps, anchors, phases_of
from basinbook.engine.layout.bond.fillings import (
    Allowed,
    Filling,
    Listed,
    allowed_phases,
    list_fillings,
)
from basinbook.engine.layout.bond.listed_chains import Chains, Known
from basinbook.engine.layout.bond.two_leaves import leaves_of
from basinbook.engine.layout.budget import Budget

_MOST_SLACK: Final = 5
# More than any wall has.
_MOST_CUTS: Final = 1 << 30
_ANY_STEPS: Final = 60_000
_STANDS: Final = Line(())
"""A course that stands: there is nothing to fill in it."""


class Best(NamedTuple):
    """The pieces of all courses from the base up, by spans, and what the cuts are at least.

    No pieces where it is proved that there is no room for so many cuts.
    """

    steps: tuple[tuple[Steps, ...], ...]
    bound: int


def best_chain(
    budget: Budget,
    lines: tuple[Line, ...],
    mirror: int,
    rules: Rules,
    room: int | None,
    thrifty: bool,
    standing: tuple[int, ...] = (),
) -> Best | None:
    """Return the fillings of unlike courses, in bond, with the least cuts found.

    thrifty: leave out bounds that can tell nothing. What is charged for these decides what layouts
    come to at the budget's end: so plain layouts stay as they were with them. standing: joints of
    a course under the first, which is there already.

    ``bound`` tells below which number cuts are proved impossible; where it is more than ``room``,
    no pieces are sought. None where no chain was found, or none before the budget's end.
    """

    def last_try() -> Best | None:
        return budget.last_try(
            (lines, mirror, rules, standing),
            lambda: _any_chain(budget, lines, mirror, rules, standing),
        )

    # Lists would stay empty, but take their time.
    if budget.ended:
        return last_try()
    allowed = allowed_phases(lines, rules, standing)
    kinds, order = _kinds(lines, standing)
    slack = [0] * len(kinds)
    best: Chains | None = None
    known = Known({}, {})
    # A leaf is chosen by its neighbours alone, where these are no leaves themselves.
    apart = not any(one.second and other.second for one, other in pairwise(lines))
    while True:
        lists = [
            _listed(budget, kind, allowed, more, mirror, rules, apart)
            if kind.spans
            else _there(standing)
            for kind, more in zip(kinds, slack, strict=True)
        ]
        chains = Chains(budget, kinds, lists, slack, mirror, rules, known, thrifty)
        if chains.reach(order) and not budget.ended:
            best = chains
        # Where no chain was found a bound only tells whether there is room for any.
        useless = thrifty and room is None and not chains.reach(order)
        bound = 0 if useless else chains.bound(order)
        broken = chains.broken(order)
        short = set() if broken else chains.could_gain(order, chains.least(order))
        if budget.ended:
            if best is not None:
                return Best(_steps(best.traced(order), lines), 0)
            return last_try()
        if room is not None and bound > room:
            budget.doubtful = False
            return Best((), int(min(bound, _MOST_CUTS)))
        if broken:
            # Only more cuts in these courses can help; the others stay short lists.
            grow = [
                kind
                for kind in broken
                if not lists[kind].every and (lists[kind].complete or slack[kind] < 1)
            ]
            if not grow:
                stuck = [lists[kind] for kind in broken]
                # What is not listed may be in bond all the same.
                budget.doubtful = not all(listed.complete and listed.every for listed in stuck)
                if not thrifty or all(listed.complete for listed in stuck):
                    return None
                with budget.part(_ANY_STEPS):
                    return _any_chain(budget, lines, mirror, rules, standing)
        else:
            grow = [kind for kind in short if slack[kind] < _MOST_SLACK and lists[kind].complete]
            if len(grow) < len(short):
                # A proof is out of reach; one more cut each is worth a look all the same.
                grow = [kind for kind in grow if slack[kind] < 1]
            if not grow or bound == chains.least(order):
                return Best(_steps(chains.tidied(order), lines), int(bound))
        for kind in grow:
            slack[kind] += 1


def _any_chain(
    budget: Budget, lines: tuple[Line, ...], mirror: int, rules: Rules, standing: tuple[int, ...]
) -> Best | None:
    """Return some fillings in bond, as soon as there are any."""
    steps = filled_abreast(budget, lines, rules, standing)
    if steps is not None:
        return Best(steps, 0)
    kinds, order = _kinds(lines, standing)
    few = Allowed(phases_of(anchors(lines, rules).union(standing), rules, 1), False)
    slack = [0] * len(kinds)
    while not budget.ended:
        lists = [
            list_fillings(budget, kind, few, more, mirror, rules)
            if kind.spans
            else _there(standing)
            for kind, more in zip(kinds, slack, strict=True)
        ]
        chains = Chains(budget, kinds, lists, slack, mirror, rules)
        if chains.reach(order):
            return Best(_steps(chains.traced(order), lines), 0)
        grow = [kind for kind in chains.broken(order) if slack[kind] < 2]
        if not grow:
            return None
        for kind in grow:
            slack[kind] += 1
    return None


def _kinds(
    lines: tuple[Line, ...], standing: tuple[int, ...]
) -> tuple[list[Line], tuple[int, ...]]:
    """Return the courses that differ, and of each its number among them, from what stands up."""
    every = (_STANDS, *lines) if standing else lines
    kinds = list(dict.fromkeys(every))
    return kinds, tuple(kinds.index(line) for line in every)


def _there(standing: tuple[int, ...]) -> Listed:
    """Return the only filling of a course that stands: nothing is cut for it any more."""
    return Listed((Filling((), 0, standing, frozenset()),), 0, True, True)


def _listed(
    budget: Budget,
    line: Line,
    allowed: Allowed,
    slack: int,
    mirror: int,
    rules: Rules,
    apart: bool,
) -> Listed:
    """Return the fillings of a course; apart: of each of two leaves by itself."""
    if not line.second or not apart:
        return list_fillings(budget, line, allowed, slack, mirror, rules)
    inner, outer = (
        list_fillings(budget, leaf, allowed, slack, mirror, rules) for leaf in leaves_of(line)
    )
    return Listed(
        (),
        inner.least + outer.least,
        inner.complete and outer.complete,
        inner.every and outer.every,
        (inner, outer),
    )


def _steps(chain: tuple[Filling, ...], lines: tuple[Line, ...]) -> tuple[tuple[Steps, ...], ...]:
    """Return the steps of a chain, of the courses that are to fill."""
    return tuple(filling.steps for filling in chain[-len(lines) :])
