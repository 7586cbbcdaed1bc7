"""A first filling of unlike courses: all of them abreast, from left to right.

Not every chain of courses is looked at: where two courses take turns, the same two fillings are
repeated. So the result is no proof; but it is there soon, however long the lists would be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import (
    Line,
    Rules,
    Steps,
    anchors,
    by_phase,
    could_bear,
    phases_of,
    starts,
)
from basinbook.engine.layout.bond.turned_fillings import ties_met
from basinbook.engine.layout.bond.with_turned import cuts_of, fewest_from, lies_open
from basinbook.engine.layout.budget import Budget

# Few places for joints first: with many, the search goes astray more often.
_DEEPEST: Final = 1
_TRIES: Final = 2
_STEPS_A_TRY: Final = 20_000
_WITHOUT_LIMIT: Final = 1 << 40
_TRIED_IN_A_STEP: Final = 4


class _Course(NamedTuple):
    """A course, or a leaf of one, that stands for all that are filled as it is.

    weight: of a cut in it. beside: the courses, by number, that it must be in bond with, and the
    joints that it has in common with each.
    """

    line: Line
    weight: int
    beside: tuple[tuple[int, frozenset[int]], ...]


def filled_abreast(
    budget: Budget, lines: Sequence[Line], rules: Rules, standing: tuple[int, ...] = ()
) -> tuple[tuple[Steps, ...], ...] | None:
    """Return steps for each course from the base up, in bond; None where none were found.

    standing: joints of a course under the first, which is there already.
    """
    places = _places(lines)
    leaves = _leaves(lines, places)
    courses = _courses(lines, places, leaves)
    if not all(could_bear(course.line, rules) for course in courses):
        return None
    least = sum(course.weight * _need(course.line, 0, None, rules) for course in courses)
    # The first course stands for those filled as it is: these keep clear of what stands too.
    under = dict.fromkeys(leaves[0], standing)
    for depth in range(_DEEPEST + 1):
        phases = phases_of(anchors(lines, rules).union(standing), rules, depth)
        best: _Found | None = None
        limit = _WITHOUT_LIMIT
        for _ in range(_TRIES):
            with budget.part(_STEPS_A_TRY):
                found = _Abreast(budget, courses, phases, rules, under).search(limit)
            if found is None or found.cuts <= least:
                best = found or best
                break
            # Next with a third of what it has more than the least.
            best, limit = found, least + (found.cuts - least) // 3
        if best is not None and all(
            ties_met(span, steps, rules)
            for course, filled in zip(courses, best.steps, strict=True)
            for span, steps in zip(course.line.spans, filled, strict=True)
        ):
            return tuple(
                tuple(steps for leaf in leaves[place] for steps in best.steps[leaf])
                for place in places
            )
    return None


def _places(lines: Sequence[Line]) -> list[int]:
    """Return for each course the number of the one that stands for it."""
    found: list[int] = []
    for index, line in enumerate(lines):
        turns = (
            index >= 2
            and line == lines[index - 2]
            and not line.bridges
            and (index + 1 == len(lines) or lines[index + 1] == lines[index - 1])
        )
        found.append(found[index - 2] if turns else max(found, default=-1) + 1)
    return found


def _leaves(lines: Sequence[Line], places: Sequence[int]) -> list[tuple[int, ...]]:
    """Return for each place the numbers of its courses: one, or one for each leaf."""
    found: list[tuple[int, ...]] = []
    count = 0
    for line, place in zip(lines, places, strict=True):
        if place == len(found):
            found.append((count, count + 1) if line.second else (count,))
            count += len(found[-1])
    return found


def _courses(
    lines: Sequence[Line], places: Sequence[int], leaves: Sequence[tuple[int, ...]]
) -> list[_Course]:
    weights = [0] * len(leaves)
    common: dict[tuple[int, int], frozenset[int]] = {}
    for index, (line, place) in enumerate(zip(lines, places, strict=True)):
        weights[place] += line.leaves
        for pair in product(leaves[places[index - 1]], leaves[place]) if index else ():
            for key in (pair, pair[::-1]):
                common[key] = common.get(key, line.common) & line.common
    found = []
    for place, numbers in enumerate(leaves):
        line = lines[places.index(place)]
        for number in numbers:
            leaf = slice(line.second) if number == numbers[0] else slice(line.second, None)
            spans = line.spans[leaf] if line.second else line.spans
            beside = tuple((two[1], own) for two, own in common.items() if two[0] == number)
            found.append(_Course(line._replace(spans=spans, second=0), weights[place], beside))
    return found


def _need(line: Line, number: int, at: int | None, rules: Rules) -> int:
    """Return the least cuts of a line from a place in one of its spans on; None: its start."""
    span = line.spans[number]
    first = fewest_from(span, span.start - rules.joint if at is None else at, rules)
    return first + sum(
        fewest_from(span, span.start - rules.joint, rules) for span in line.spans[number + 1 :]
    )


def _bridges(line: Line, here: int, step: int, rules: Rules) -> bool:
    """Return whether a piece does its part to bridge the gaps below, where there are some."""
    if not line.bridges:
        return True
    begin = here + rules.joint
    return all(
        (step == rules.pitch and begin + rules.length >= high + rules.offset)
        or not begin <= low - rules.offset < begin + step
        for low, high in line.bridges
    )


class _Found(NamedTuple):
    """Steps by course and span, and the weighted cuts among them."""

    steps: list[tuple[Steps, ...]]
    cuts: int


def _clear(joint: int, plain: Sequence[int], shared: Sequence[int], offset: int) -> bool:
    """Return whether a joint keeps the offset from others, or stands over a shared one."""
    for at in plain:
        if -offset < at - joint < offset:
            return False
    return all(at == joint or not -offset < at - joint < offset for at in shared)


_At = tuple[int, int]
"""The span that a course has come to, and the place in it."""


class _Abreast:
    """One search: the course that lags behind gets the next piece."""

    def __init__(
        self,
        budget: Budget,
        courses: Sequence[_Course],
        phases: tuple[int, ...],
        rules: Rules,
        under: Mapping[int, Sequence[int]],
    ) -> None:
        self._budget, self._courses, self._rules = budget, courses, rules
        self._choices = by_phase(phases, rules)
        self._needs: list[dict[_At, int]] = [{} for _ in courses]
        self._ends = [course.line.spans[-1].end for course in courses]
        self._joints: list[list[int]] = [
            [course.line.spans[0].start - rules.joint] if course.line.spans[0].start_joint else []
            for course in courses
        ]
        # Of each course the joints so far of those beside it, with what it has in common with them.
        self._beside: list[list[tuple[Sequence[int], frozenset[int]]]] = [
            [
                (under.get(number, ()), frozenset()),
                *((self._joints[other], common) for other, common in course.beside),
            ]
            for number, course in enumerate(courses)
        ]

    def search(self, limit: int) -> _Found | None:
        """Return fillings with weighted cuts of at most the limit; None where none were found."""
        begin = tuple(
            (0, course.line.spans[0].start - self._rules.joint) for course in self._courses
        )
        need = sum(
            course.weight * _need(course.line, 0, None, self._rules) for course in self._courses
        )
        offset = self._rules.offset
        for which, places in enumerate(self._joints):
            if not all(_clear(at, *self._near(which, at), offset) for at in places):
                return None
        failed: dict[tuple[_At, ...], int] = {}
        trail: list[tuple[int, int, int, int]] = []
        end = tuple(
            (len(course.line.spans) - 1, end)
            for course, end in zip(self._courses, self._ends, strict=True)
        )
        stack = [(begin, limit - need, self._moves(begin, limit - need))]
        budget = self._budget
        while stack:
            # As take, which would be called too often here.
            budget.left -= 2
            if budget.left < 0:
                return None
            at, had, options = stack[-1]
            if at == end:
                return self._found(trail)
            for which, step, to, joints, spare in options:
                after = (*at[:which], to, *at[which + 1 :])
                if failed.get(after, -1) >= spare:
                    continue
                self._joints[which] += joints
                trail.append((which, at[which][0], step, len(joints)))
                stack.append((after, spare, self._moves(after, spare)))
                break
            else:
                failed[at] = max(had, failed.get(at, -1))
                stack.pop()
                if trail:
                    which, _, _, jointed = trail.pop()
                    del self._joints[which][len(self._joints[which]) - jointed :]
        return None

    def _moves(
        self, at: tuple[_At, ...], spare: int
    ) -> Iterator[tuple[int, int, _At, tuple[int, ...], int]]:
        """Yield course, step, where it leads, the joints there, and cuts to spare after it."""
        which, here = -1, _WITHOUT_LIMIT
        for index, (_, place) in enumerate(at):
            if place < here and place != self._ends[index]:
                which, here = index, place
        course, rules = self._courses[which], self._rules
        number, weight, line, pitch = at[which][0], course.weight, course.line, rules.pitch
        span, end = line.spans[number], line.spans[number].end
        spare += weight * self._need(which, at[which])
        cuts = self._choices[here % pitch]
        self._budget.left -= 1 + len(cuts) // _TRIED_IN_A_STEP
        turned = rules.across if span.turned and lies_open(span, here, rules) else 0
        first, clash, need = here == span.start - rules.joint, line.bridges, self._need
        plain, shared = self._near(which, here)
        offset = rules.offset
        for step in (pitch, turned, *cuts) if turned else (pitch, *cuts):
            to = here + step
            if to > end or (clash and not _bridges(line, here, step, rules)):
                continue
            if first and not starts(span, rules, step):
                continue
            joints: tuple[int, ...] = (to,)
            after = number, to
            if to == end:
                if step < span.last + rules.joint:
                    continue
                if not span.end_joint:
                    joints = ()
                if number + 1 < len(line.spans):
                    following = line.spans[number + 1]
                    after = number + 1, following.start - rules.joint
                    if following.start_joint:
                        joints += (after[1],)
            left = spare - weight * need(which, after)
            if step not in (pitch, turned):
                left -= weight
            if left < 0:
                continue
            for joint in joints:
                if not _clear(joint, plain, shared, offset):
                    break
            else:
                yield which, step, after, joints, left

    def _need(self, which: int, at: _At) -> int:
        """Return the least cuts of a course from a place in one of its spans on."""
        found = self._needs[which].get(at)
        if found is None:
            found = self._needs[which][at] = _need(self._courses[which].line, *at, self._rules)
        return found

    def _near(self, which: int, here: int) -> tuple[list[int], list[int]]:
        """Return the joints beside a course that one after a place could clash with.

        Those that it has in common with the course beside it apart.
        """
        low = here - self._rules.offset
        plain: list[int] = []
        shared: list[int] = []
        for joints, common in self._beside[which]:
            for at in reversed(joints):
                if at <= low:
                    break
                (shared if at in common else plain).append(at)
        return plain, shared

    def _found(self, trail: Sequence[tuple[int, int, int, int]]) -> _Found:
        found: list[list[list[int]]] = [[[] for _ in course.line.spans] for course in self._courses]
        for which, span, step, _ in trail:
            found[which][span].append(step)
        cuts = sum(
            course.weight * len(cuts_of(span, steps, self._rules))
            for course, filled in zip(self._courses, found, strict=True)
            for span, steps in zip(course.line.spans, filled, strict=True)
        )
        return _Found([tuple(tuple(steps) for steps in spans) for spans in found], cuts)
