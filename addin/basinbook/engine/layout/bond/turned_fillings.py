"""All ways to fill one span of a course with turned blocks among the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from basinbook.engine.layout.bond.alternating import Choices, Rules, Span, Steps, starts, walk
from basinbook.engine.layout.bond.with_turned import lies_open, turned_steps
from basinbook.engine.layout.budget import Budget

_TRIED_IN_A_STEP: Final = 6
_PIECES_IN_A_STEP: Final = 16
_A_PLACE: Final = 3
_ADDED_IN_A_STEP: Final = 16
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
    """The fillings of one span, from left to right; what may follow is worked out once a place."""

    def __init__(self, budget: Budget, span: Span, choices: Choices, rules: Rules) -> None:
        self._budget, self._span, self._choices, self._rules = budget, span, choices, rules
        self._known: dict[_At, list[Steps] | None] = {}
        self._open: dict[int, bool] = {}
        self._most: dict[int, int] = {}
        # At hand, as they are needed very often.
        self._pitch, self._across, self._least = rules.pitch, rules.across, rules.least
        self._end, self._last, self._ties = span.end, span.last + rules.joint, span.ties
        # Beside a longer cut piece no other piece is too much.
        self._plain = rules.pitch - min(rules.least, rules.across)
        self._each = 1 + walk(span, rules) // rules.pitch // _PIECES_IN_A_STEP

    def steps(self, cuts: int, turned: int, most: int) -> list[Steps]:
        """Return the fillings with so many cuts and turned blocks, so many of them at most."""
        begin: _At = (self._span.start - self._rules.joint, cuts, turned, 0, 0)
        found: list[Steps] = []
        if not self._could_be(begin[0], cuts, turned, 0):
            return found
        # The piece that leads to a place, the place, what may come there, what was found with it,
        # and how much of that is wanted at most.
        stack = [(0, begin, iter(self._moves(begin)), found, most)]
        budget, end, known = self._budget, self._end, self._known
        while stack:
            led, here, options, ways, wanted = stack[-1]
            if budget.left >= 0 and len(ways) < wanted:
                for step, after in options:
                    if after[0] == end:
                        ways.append((step,))
                    else:
                        rests = known.get(after)
                        if rests is None:
                            rests = known[after] = self._endings(after)
                        if rests is None:
                            some: list[Steps] = []
                            moves = iter(self._moves(after))
                            stack.append((step, after, moves, some, wanted - len(ways)))
                            break
                        ways += [(step, *rest) for rest in rests]
                    if len(ways) >= wanted:
                        del ways[wanted:]
                        break
            if stack[-1][3] is not ways:
                continue
            stack.pop()
            known[here] = ways
            # As take, which would be called too often here.
            budget.left -= _A_PLACE + len(ways) // _ADDED_IN_A_STEP
            if stack:
                stack[-1][3].extend([(led, *rest) for rest in ways])
        budget.left -= self._each * len(found)
        return found

    def _endings(self, here: _At) -> list[Steps] | None:
        """Return the ways to end with whole blocks and one cut at most; None for more to place."""
        place, cuts, turned, met, before = here
        if turned or cuts > 1:
            return None
        pitch, least = self._pitch, self._last
        whole, size = divmod(self._end - place, pitch)
        if met < len(self._ties):
            return []
        if not cuts:
            return [(pitch,) * whole] if pitch >= least else []
        # Where the cut is the last piece first, as all other lists begin with whole blocks.
        return [
            (*(pitch,) * ahead, size, *(pitch,) * (whole - ahead))
            for ahead in range(whole, -1, -1)
            if (size if ahead == whole else pitch) >= least
            and (ahead or size + abs(before) > pitch)
            # An open place makes a piece of that length a turned block.
            and not (size == self._across and self._is_open(place + ahead * pitch))
        ]

    def _is_open(self, place: int) -> bool:
        found = self._open.get(place)
        if found is None:
            found = self._open[place] = lies_open(self._span, place, self._rules)
        return found

    def _most_turned(self, place: int) -> int:
        """Return how many turned blocks there is room for from a place on."""
        found = self._most.get(place)
        if found is None:
            span, joint, across, found = self._span, self._rules.joint, self._across, 0
            # Two that one block could replace have such a one, or a longer cut, between them;
            # not where the first piece is asked for, which none replaces.
            alike = 2 * across == self._pitch and not span.begin
            apart = self._pitch if alike else across
            for low, high in span.turned:
                room = high - across - max(low - joint, place)
                if room >= 0:
                    found += 1 + room // apart
            self._most[place] = found
        return found

    def _could_be(self, place: int, cuts: int, turned: int, met: int) -> bool:
        """Return whether so many cuts and turned blocks can fill the rest, wherever they lie.

        met: ties that have their turned block already.
        """
        room = self._end - place - turned * self._across
        if cuts > 1:
            if room < cuts * self._least:
                return False
        elif room < 0 or (room % self._pitch < self._least if cuts else room % self._pitch):
            return False
        return len(self._ties) - met <= turned <= (turned and self._most_turned(place))

    def _moves(self, here: _At) -> list[tuple[int, _At]]:
        """Return the pieces that may come next, and where each leads."""
        place, cuts, turns, met, before = here
        pitch, across, end, ties, could_be = (
            self._pitch, self._across, self._end, self._ties, self._could_be
        )  # fmt: skip
        is_open, least_turned = self._is_open(place), len(self._ties) - met
        pieces = [(pitch, 0, 0)]
        if turns and is_open:
            pieces.insert(0, (across, 0, 1))
        if cuts == 1:
            # The last cut is what all else leaves over.
            sizes: Sequence[int] = ((end - place - turns * across) % pitch,)
        else:
            sizes = self._choices[place % pitch] if cuts else ()
        self._budget.left -= len(sizes) // _TRIED_IN_A_STEP
        # An open place makes a piece of that length a turned block.
        pieces += [(size, 1, 0) for size in sizes if size != across or not is_open]
        found = []
        for step, cut, turned in pieces:
            to = place + step
            if to > end or (to == end and step < self._last):
                continue
            if not before:
                if not starts(self._span, self._rules, step):
                    continue
            elif step + abs(before) <= pitch and (cut or before < 0 or step + before == pitch):
                continue
            now_met = met
            if least_turned:
                low, high = ties[met]
                if turned and low <= place + self._rules.joint and to <= high:
                    now_met += 1
                elif to + across > high:
                    continue
            if to == end:
                if cuts != cut or turns != turned or now_met < len(ties):
                    continue
            elif not could_be(to, cuts - cut, turns - turned, now_met):
                continue
            # What can make no next piece too much is as good as a whole block, and so is a first
            # piece that is asked for: one block can't replace it with the next.
            kept = pitch
            if (before or not self._span.begin) and (turned or step <= self._plain):
                kept = -step if cut else step
            found.append((step, (to, cuts - cut, turns - turned, now_met, kept)))
        return found


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
