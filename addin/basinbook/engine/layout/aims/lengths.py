"""The fewest different lengths of cut pieces: sets of lengths that all walls can be filled with."""

from __future__ import annotations

from itertools import combinations
from math import comb
from typing import Final, NamedTuple

from basinbook.engine.layout.aims.problem import Chosen, Courses, Pricing, at_prices, pieces
from basinbook.engine.layout.bond.alternating import walk
from basinbook.engine.layout.budget import Budget

_MOST_SETS: Final = 20_000
_STEPS_A_SET: Final = 4
_STEPS_A_TRY: Final = 200
# That of a turned block is 1: a layout has fewer of these.
_A_CUT: Final = 1 << 16


class Fewest(NamedTuple):
    """The fewest lengths found, a bound, and the layout that has them; None where that is known."""

    value: int
    bound: int
    layout: Chosen | None


def fewest_lengths(budget: Budget, courses: Courses, known: int) -> Fewest:
    """Return the fewest different lengths, and among these layouts one with the fewest cuts found.

    known: lengths of a layout that is at hand. Sets of so many lengths are tried, smaller ones
    first; of one size all, as far as the budget goes. A set can only do where what whole blocks
    leave of each course is a sum of its lengths.
    """
    whole = courses.rules.pitch
    cuts = sorted(step for step in courses.steps() if 0 < step < whole)
    uncut = {whole: 0, -courses.rules.across: 1}
    for many in range(known + 1):
        best: tuple[int, Chosen] | None = None
        if comb(len(cuts), many) > _MOST_SETS:
            return Fewest(known, many, None)
        tried = _Sums(courses)
        for lengths in combinations(cuts, many):
            if not budget.take(_STEPS_A_SET):
                break
            if not tried.may_do(lengths):
                continue
            budget.take(_STEPS_A_TRY)
            pricing = Pricing(courses, {**uncut, **dict.fromkeys(lengths, _A_CUT)})
            found = at_prices(budget, pricing)
            if found is None:
                continue
            if found.chosen is None:
                # A bound without a layout: it is open whether this set does.
                return Fewest(known, many, None) if best is None else Fewest(many, many, best[1])
            counted = pieces(courses, found.chosen)
            own = sum(counted[step] for step in lengths)
            if best is None or own < best[0]:
                best = own, found.chosen
            if own == 0:
                break
        if best is not None:
            return Fewest(many, many, best[1])
        if budget.ended:
            return Fewest(known, many, None)
    return Fewest(known, known, None)


class _Sums:
    """Which sums of lengths leave a course to whole blocks."""

    def __init__(self, courses: Courses) -> None:
        rules = courses.rules
        self._pitch, self._across = rules.pitch, rules.across
        # Of each way its courses' walks, and whether turned blocks may lie there.
        self._ways = []
        for group in courses.groups:
            walks = [
                frozenset(
                    (walk(span, rules), bool(rules.turned and span.turned))
                    for line in set(wall.lines)
                    for span in line.spans
                )
                for wall in group.walls
            ]
            ways = {frozenset().union(*(walks[number] for number in way)) for way in group.ways}
            self._ways.append(ways)
        self._known: dict[tuple[int, tuple[int, ...]], bool] = {}

    def may_do(self, lengths: tuple[int, ...]) -> bool:
        """Return whether some way of each group has only walks that the lengths can make up."""
        turned = (*lengths, self._across)
        return all(
            any(
                all(self._fills(walked, turned if open_ else lengths) for walked, open_ in way)
                for way in ways
            )
            for ways in self._ways
        )

    def _fills(self, walked: int, lengths: tuple[int, ...]) -> bool:
        """Return whether whole blocks and some of the lengths add up to a walk."""
        key = walked, lengths
        known = self._known.get(key)
        if known is None:
            if not lengths:
                known = walked % self._pitch == 0
            else:
                *rest, last = lengths
                known = any(self._fills(left, tuple(rest)) for left in range(walked, -1, -last))
            self._known[key] = known
        return known
