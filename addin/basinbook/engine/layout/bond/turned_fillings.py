"""All ways to fill one span of a course with turned blocks among the pieces."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Final

from basinbook.engine.layout.bond.alternating import (
    Choices,
    Line,
    Rules,
    Span,
    Steps,
    starts,
    walk,
)
from basinbook.engine.layout.bond.with_turned import CUT, Needs, lies_open, turned_steps
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 16
_PIECES_IN_A_STEP: Final = 24


def fillings_with_turned(
    budget: Budget, span: Span, cuts: int, choices: Choices, rules: Rules, most: int
) -> tuple[list[Steps], bool]:
    """Return the fillings of a span with a number of cuts, and whether these are all.

    Those with few turned blocks first. Left out are neighbours that one whole block, or a cut
    piece in the place of another, could replace: they have the more joints.
    """
    ways = _Ways(budget, span, choices, rules)
    found: list[Steps] = []
    for turned in range(walk(span, rules) // rules.across + 1):
        found += islice(ways.steps(cuts, turned), most - len(found))
        if budget.ended or len(found) >= most:
            return found, False
    return found, True


class _Ways:
    """The fillings of one span, from left to right; what led to none once is not tried again."""

    def __init__(self, budget: Budget, span: Span, choices: Choices, rules: Rules) -> None:
        self._budget, self._span, self._choices, self._rules = budget, span, choices, rules
        self._needs = Needs(span, rules)
        self._dead: set[tuple[int, int, int, int]] = set()
        self._each = 1 + walk(span, rules) // rules.pitch // _PIECES_IN_A_STEP

    def steps(self, cuts: int, turned: int) -> Iterator[Steps]:
        """Yield the fillings with so many cuts and turned blocks."""
        return self._from(self._span.start - self._rules.joint, cuts, turned, 0)

    def _from(self, at: int, cuts: int, turned: int, before: int) -> Iterator[Steps]:
        """Yield the rest of a filling; before: the piece before it, negative for a cut one."""
        span, rules = self._span, self._rules
        key = at, cuts, turned, before
        if key in self._dead:
            return
        if at == span.end:
            if not cuts and not turned:
                yield ()
            return
        pitch, across = rules.pitch, rules.across
        sizes = self._choices[at % pitch] if cuts else ()
        self._budget.take(1 + len(sizes) // _TRIED_IN_A_STEP)
        is_open = lies_open(span, at, rules)
        some = False
        # An open place makes a piece of that length a turned block.
        whole = (pitch, across) if turned and is_open else (pitch,)
        for step in (*whole, *(size for size in sizes if size != across or not is_open)):
            to = at + step
            if to > span.end or self._budget.ended:
                continue
            if not before and not starts(span, rules, step):
                continue
            if to == span.end and step < span.last + rules.joint:
                continue
            lies_across = is_open and step == across
            is_cut = step != pitch and not lies_across
            together = step + abs(before)
            if before and together <= pitch and (is_cut or before < 0 or together == pitch):
                continue
            left = cuts - is_cut
            if self._needs[to] // CUT > left:
                continue
            # A first piece that is asked for can't be replaced by one block with the next.
            kept = pitch if not before and span.begin else -step if is_cut else step
            for rest in self._from(to, left, turned - lies_across, kept):
                some = True
                self._budget.take(self._each if not before else 0)
                yield (step, *rest)
        if not some and not self._budget.ended:
            self._dead.add(key)


def ties_met(line: Line, filled: tuple[Steps, ...], rules: Rules) -> bool:
    """Return whether a filled course has a turned block in each stretch that wants one."""
    if not line.ties:
        return True
    places = []
    for span, steps in zip(line.spans, filled, strict=True):
        at = span.start
        for step, turned in zip(steps, turned_steps(span, steps, rules), strict=True):
            if turned:
                places.append(at)
            at += step
    return all(
        any(low <= at and at + rules.turned <= high for at in places) for low, high in line.ties
    )
