"""All ways to fill one span of a course with turned blocks among the pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Choices, Rules, Span, Steps, starts, walk
from basinbook.engine.layout.bond.with_turned import lies_open, turned_steps
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 6
_PIECES_IN_A_STEP: Final = 16
_MANY: Final = 200


class _At(NamedTuple):
    """Where a filling has come to, and what is to come: cuts, turned blocks, ties met so far.

    before: the piece before, negative for a cut one; 0 for none.
    """

    place: int
    cuts: int
    turned: int
    met: int
    before: int


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
        self._each = 1 + walk(span, rules) // rules.pitch // _PIECES_IN_A_STEP

    def steps(self, cuts: int, turned: int, most: int) -> list[Steps]:
        """Return the fillings with so many cuts and turned blocks, so many of them at most."""
        begin = _At(self._span.start - self._rules.joint, cuts, turned, 0, 0)
        found: list[Steps] = []
        if not self._could_end(begin):
            return found
        steps: Steps = ()
        stack = [(steps, begin, self._moves(begin), 0)]
        while stack:
            if not self._budget.take(2):
                return found
            steps, here, options, earlier = stack[-1]
            for step, after in options:
                if after.place == self._span.end:
                    found.append((*steps, step))
                    if not self._budget.take(self._each) or len(found) >= most:
                        return found
                elif after not in self._dead:
                    stack.append(((*steps, step), after, self._moves(after), len(found)))
                    break
            else:
                stack.pop()
                if len(found) == earlier:
                    self._dead.add(here)
        return found

    def _could_end(self, here: _At) -> bool:
        """Return whether so many cuts and turned blocks can fill the rest, wherever they lie."""
        rules = self._rules
        room = self._span.end - here.place - here.turned * rules.across
        if here.cuts == 0:
            return room >= 0 and room % rules.pitch == 0
        return room >= here.cuts * rules.least

    def _sizes(self, here: _At) -> Sequence[int]:
        """Return the cut pieces that may come next; the last one is what all else leaves over."""
        if here.cuts != 1:
            return self._choices[here.place % self._rules.pitch] if here.cuts else ()
        room = self._span.end - here.place - here.turned * self._rules.across
        size = room % self._rules.pitch
        return (size,) if size >= self._rules.least else ()

    def _moves(self, here: _At) -> Iterator[tuple[int, _At]]:
        """Yield the pieces that may come next, and where each leads."""
        span, rules, pitch = self._span, self._rules, self._rules.pitch
        is_open = self._open.get(here.place)
        if is_open is None:
            is_open = self._open[here.place] = lies_open(span, here.place, rules)
        sizes = self._sizes(here)
        self._budget.take(len(sizes) // _TRIED_IN_A_STEP)
        if here.turned and is_open and (after := self._after(here, rules.across, False, True)):
            yield rules.across, after
        if after := self._after(here, pitch, False, False):
            yield pitch, after
        for size in sizes:
            # An open place makes a piece of that length a turned block.
            if size == rules.across and is_open:
                continue
            if after := self._after(here, size, True, False):
                yield size, after

    def _after(self, here: _At, step: int, is_cut: bool, turned: bool) -> _At | None:
        """Return where a piece leads; None where it can't lie, or the rest can't be filled."""
        span, rules, pitch = self._span, self._rules, self._rules.pitch
        to, before = here.place + step, here.before
        if to > span.end or (to == span.end and step < span.last + rules.joint):
            return None
        if not before:
            if not starts(span, rules, step):
                return None
        elif step + abs(before) <= pitch and (is_cut or before < 0 or step + before == pitch):
            return None
        met = here.met
        if met < len(span.ties):
            low, high = span.ties[met]
            if turned and low <= here.place + rules.joint and to <= high:
                met += 1
            elif to + rules.across > high:
                return None
            if to == span.end and met < len(span.ties):
                return None
        # A first piece that is asked for can't be replaced by one block with the next.
        kept = pitch if not before and span.begin else -step if is_cut else step
        after = _At(to, here.cuts - is_cut, here.turned - turned, met, kept)
        if to == span.end:
            return after if after.cuts == after.turned == 0 else None
        return after if self._could_end(after) else None


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
