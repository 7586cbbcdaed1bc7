"""All ways to fill one span of a course with turned blocks among the pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from basinbook.engine.layout.bond.alternating import Choices, Rules, Span, Steps, starts, walk
from basinbook.engine.layout.bond.with_turned import lies_open, turned_steps
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 6
_PIECES_IN_A_STEP: Final = 16
_MANY: Final = 200


_At = tuple[int, int, int, int, int]
"""Where a filling has come to, and what is to come: cuts, turned blocks, ties met so far.

The last is the piece before, negative for a cut one; 0 for none.
"""


def fillings_with_turned(
    budget: Budget, span: Span, cuts: int, choices: Choices, rules: Rules, most: int
) -> tuple[list[Steps], bool]:
    """Return the fillings of a span with a number of cuts, and whether these are all.

    Those with few turned blocks first, and none with many more than needed. Left out are
    neighbours that one whole block, or a cut piece in the place of another, could replace: they
    have the more joints.
    """
    ways = _Ways(budget, span, choices, rules)
    found: list[Steps] = []
    last = walk(span, rules) // rules.across
    for turned in range(len(span.ties), last + 1):
        found += ways.steps(cuts, turned, most - len(found))
        if budget.ended or len(found) >= most:
            return found, False
        if len(found) > _MANY:
            return found, turned == last
    return found, True


class _Ways:
    """The fillings of one span, from left to right; what led to none once is not tried again."""

    def __init__(self, budget: Budget, span: Span, choices: Choices, rules: Rules) -> None:
        self._budget, self._span, self._choices, self._rules = budget, span, choices, rules
        self._dead: set[_At] = set()
        self._open: dict[int, bool] = {}
        # At hand, as they are needed very often.
        self._pitch, self._across, self._least = rules.pitch, rules.across, rules.least
        self._end, self._last, self._ties = span.end, span.last + rules.joint, span.ties
        self._each = 1 + walk(span, rules) // rules.pitch // _PIECES_IN_A_STEP

    def steps(self, cuts: int, turned: int, most: int) -> list[Steps]:
        """Return the fillings with so many cuts and turned blocks, so many of them at most."""
        begin: _At = (self._span.start - self._rules.joint, cuts, turned, 0, 0)
        found: list[Steps] = []
        if not self._could_end(begin):
            return found
        steps: Steps = ()
        stack = [(steps, begin, self._moves(begin), 0)]
        budget, end, dead = self._budget, self._end, self._dead
        while stack:
            # As take, which would be called too often here.
            budget.left -= 2
            if budget.left < 0:
                return found
            steps, here, options, earlier = stack[-1]
            for step, after in options:
                if after[0] == end:
                    found.append((*steps, step))
                    if not budget.take(self._each) or len(found) >= most:
                        return found
                elif after not in dead:
                    stack.append(((*steps, step), after, self._moves(after), len(found)))
                    break
            else:
                stack.pop()
                if len(found) == earlier:
                    dead.add(here)
        return found

    def _could_end(self, here: _At) -> bool:
        """Return whether so many cuts and turned blocks can fill the rest, wherever they lie."""
        place, cuts, turned, _, _ = here
        room = self._span.end - place - turned * self._across
        if cuts == 0:
            return room >= 0 and room % self._pitch == 0
        return room >= cuts * self._least

    def _sizes(self, here: _At) -> Sequence[int]:
        """Return the cut pieces that may come next; the last one is what all else leaves over."""
        place, cuts, turned, _, _ = here
        if cuts != 1:
            return self._choices[place % self._pitch] if cuts else ()
        size = (self._span.end - place - turned * self._across) % self._pitch
        return (size,) if size >= self._least else ()

    def _moves(self, here: _At) -> Iterator[tuple[int, _At]]:
        """Yield the pieces that may come next, and where each leads."""
        place = here[0]
        is_open = self._open.get(place)
        if is_open is None:
            is_open = self._open[place] = lies_open(self._span, place, self._rules)
        sizes = self._sizes(here)
        self._budget.left -= len(sizes) // _TRIED_IN_A_STEP
        across, after_one = self._across, self._after
        if here[2] and is_open and (after := after_one(here, across, False, True)):
            yield across, after
        if after := after_one(here, self._pitch, False, False):
            yield self._pitch, after
        for size in sizes:
            # An open place makes a piece of that length a turned block.
            if size == across and is_open:
                continue
            if after := after_one(here, size, True, False):
                yield size, after

    def _after(self, here: _At, step: int, is_cut: bool, turned: bool) -> _At | None:
        """Return where a piece leads; None where it can't lie, or the rest can't be filled."""
        place, cuts, turns, met, before = here
        pitch, end, ties = self._pitch, self._end, self._ties
        to = place + step
        if to > end or (to == end and step < self._last):
            return None
        # A first piece that is asked for can't be replaced by one block with the next.
        kept = -step if is_cut else step
        if not before:
            if not starts(self._span, self._rules, step):
                return None
            if self._span.begin:
                kept = pitch
        elif step + abs(before) <= pitch and (is_cut or before < 0 or step + before == pitch):
            return None
        if met < len(ties):
            low, high = ties[met]
            if turned and low <= place + self._rules.joint and to <= high:
                met += 1
            elif to + self._across > high:
                return None
            if to == end and met < len(ties):
                return None
        cuts -= is_cut
        turns -= turned
        if to == end:
            return (to, cuts, turns, met, kept) if cuts == turns == 0 else None
        # As _could_end, which would be called too often here.
        room = end - to - turns * self._across
        if (room < cuts * self._least) if cuts else (room < 0 or room % pitch):
            return None
        return to, cuts, turns, met, kept


def ties_met(span: Span, steps: Steps, rules: Rules) -> bool:
    """Return whether a filled span has a turned block in each stretch that wants one."""
    if not span.ties:
        return True
    at, places = span.start, []
    for step, turned in zip(steps, turned_steps(span, steps, rules), strict=True):
        if turned:
            places.append(at)
        at += step
    return all(
        any(low <= at and at + rules.turned <= high for at in places) for low, high in span.ties
    )
