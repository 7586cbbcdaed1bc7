"""Caps along one straight run: the fewest cuts, and joints that keep off those of the course below.

A run needs no bond with another, so it is a walk from one end to the other. A joint between caps
stands over one below where their middles are no farther apart than ``OVER``.
``docs/setting_out.md`` says why the places that are tried suffice.
"""

from __future__ import annotations

from heapq import heappop, heappush
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Choices, Rules, Steps, least_cuts
from basinbook.engine.layout.bond.tie_breaks import asymmetry
from basinbook.engine.layout.budget import Budget, remembered
from basinbook.engine.layout.ticks import LATTICE, ticks

OVER: Final = 0.00635
"""Joints whose middles are no farther apart than this stand one over the other [m]: a quarter of an
inch, which the sizes of blocks and caps take up. Our choice, no source."""

# The measure on the laid pieces [m] has a micrometre of slack: sums of lengths are rounded there.
_NEAR: Final = ticks(OVER) + LATTICE // 4
_CLEAR: Final = ticks(OVER) + LATTICE
_MORE_CUTS: Final = 4
_MOST_FREE: Final = 4
_TIES: Final = 120
_MOST_STEPS: Final = 60_000


class Run(NamedTuple):
    """A straight run of caps [ticks].

    first, last: least lengths of the pieces at its ends. mitred: whether the first and the last
    are cut at 45 degrees, and so measured on their long edge; single: least length of one that is
    the whole run with both.
    bars: stretches that no joint may begin in, their ends not counted. below: middles of the joints
    of the course below, doubled. butts: butt joints at its ends that stand over one of these.
    """

    start: int
    end: int
    first: int = 0
    last: int = 0
    mitred: tuple[bool, bool] = (False, False)
    single: int = 0
    bars: tuple[tuple[int, int], ...] = ()
    below: tuple[int, ...] = ()
    butts: int = 0

    @property
    def mitres(self) -> int:
        """How many of its ends are mitred."""
        return sum(self.mitred)


class Laid(NamedTuple):
    """A run laid: its pieces from the left, joints counted in, cuts, and joints over joints."""

    steps: Steps
    cuts: int
    over: int


def near(twice: int, below: tuple[int, ...]) -> bool:
    """Return whether a joint stands over one below; middles doubled [ticks]."""
    return any(abs(twice - one) <= 2 * _NEAR for one in below)


def fewest_run_cuts(run: Run, rules: Rules) -> int | None:
    """Return the least number of cut pieces of a run without bars; None where it can't be laid."""
    whole_run = run.end - run.start
    if all(run.mitred) and whole_run <= rules.length:
        return 1 if whole_run >= run.single else None
    walk, pitch, least = whole_run + rules.joint, rules.pitch, rules.least
    if walk < 0:
        return None
    for cuts in range(walk // least + 1):
        whole = walk // pitch
        while whole >= 0:
            left, room = walk - whole * pitch, cuts * (pitch - 1)
            room += run.mitres * pitch
            if left > room:
                break
            if left >= _least_walk(run, rules, cuts, whole):
                return cuts + run.mitres
            whole -= 1
    return None


def _least_walk(run: Run, rules: Rules, cuts: int, whole: int) -> int:
    """Return the least length of so many cut pieces beside so many whole ones, joints counted."""
    least = rules.least
    one, two = max(run.first + rules.joint, least), max(run.last + rules.joint, least)
    if run.mitres:
        # A column's end asks for no length.
        return run.first + run.last + run.mitres * rules.joint + cuts * least
    if whole > 1 or not cuts:
        return cuts * least
    if whole:
        return min(one, two) + (cuts - 1) * least
    return max(one, two) if cuts == 1 else one + two + (cuts - 2) * least


def thresholds(run: Run, rules: Rules, most: int) -> set[int]:
    """Return the walks, modulo a whole cap, from which on a run can do with so many cuts.

    most: cut pieces, without the mitred ones, up to which they are wanted.
    """
    found = {
        _least_walk(run, rules, cuts, whole) % rules.pitch
        for cuts in range(most + 1)
        for whole in (0, 1, 2)
    }
    return found | {(run.single + rules.joint) % rules.pitch} if all(run.mitred) else found


def lay_run(budget: Budget, run: Run, rules: Rules, apart: bool) -> tuple[Laid | None, bool]:
    """Return a run with the fewest cuts, and with these the fewest joints over joints below.

    apart: no joint may stand over one below, whatever it costs. None where there is no such run
    with a few cuts more than the fewest, or none was found. And whether nothing was left untried.
    """
    least = fewest_run_cuts(run, rules)
    if least is None or (apart and run.butts):
        return None, True
    sure = True
    for limit in range(least, least + (_MORE_CUTS if apart or run.bars else 0) + 1):
        found = _laid(budget, run, rules, limit, apart)
        sure = sure and found.whole_search
        if found.steps is not None:
            return Laid(found.steps, found.cuts, found.over + run.butts), sure
    return None, sure


class _Found(NamedTuple):
    """What a search came to; whole_search: whether it left nothing untried."""

    steps: Steps | None
    cuts: int
    over: int
    whole_search: bool


@remembered(1_000)
def _laid(budget: Budget, run: Run, rules: Rules, limit: int, apart: bool) -> _Found:
    """Return a run with at most so many cuts and the fewest joints over joints below."""
    if all(run.mitred) and run.end - run.start <= rules.length:
        return _Found((run.end - run.start + rules.joint,), 1, 0, True)
    with budget.part(_MOST_STEPS):
        found = _walks(budget, run, rules, limit, apart)
        whole = not budget.ended and _free(run, limit) <= _MOST_FREE
        ends = [key for key in found if key[0] == run.end]
        if not ends:
            return _Found(None, 0, 0, whole)
        last = min(ends, key=lambda key: (key[1], found[key].over))
        steps = _tidiest(budget, run, rules, found, last)
    return _Found(steps, last[1], found[last].over, whole)


class _Node(NamedTuple):
    """A place that a walk reaches: joints over joints so far, and the last steps that lead here."""

    over: int
    back: list[tuple[tuple[int, int], int]]


_Walks = dict[tuple[int, int], _Node]
"""What is known by place and number of cuts so far."""


def _walks(budget: Budget, run: Run, rules: Rules, limit: int, apart: bool) -> _Walks:
    """Return the walks with the fewest joints over joints below, from left to right."""
    pitch, joint, begin, goal = rules.pitch, rules.joint, run.start - rules.joint, run.end
    mitred_first, mitred_last = run.mitred
    choices = Choices(_phases(run, rules, limit), rules)
    zones = _zones(run, joint)
    start = (begin, 0)
    found: _Walks = {start: _Node(0, [])}
    ahead = [start]
    while ahead:
        here = heappop(ahead)
        at, used = here
        over, least = found[here].over, run.first + joint if at == begin else 0
        sizes = choices[at % pitch]
        if used == limit:
            sizes = ()
        elif not mitred_last and used + 1 == limit:
            # The last cut has to bring the walk into step with the end.
            rest = (goal - at) % pitch
            sizes = (rest,) if rest >= rules.least else ()
        if not budget.take(1 + len(sizes) // 4):
            break
        for step in (pitch, *sizes):
            to = at + step
            if to > goal or step < least or (to == goal and step < run.last + joint):
                continue
            ends = (mitred_first and at == begin) or (mitred_last and to == goal)
            cuts = used + (ends or step != pitch)
            if cuts + _rest(goal - to, run, rules) > limit:
                continue
            stands = 0
            if to != goal:
                if any(low < to < high for low, high in run.bars):
                    continue
                stands = any(low <= to <= high for low, high in zones)
                if stands and apart:
                    continue
            key = (to, cuts)
            known = found.get(key)
            if known is None:
                heappush(ahead, key)
            if known is None or over + stands < known.over:
                found[key] = _Node(over + stands, [(here, step)])
            elif over + stands == known.over:
                known.back.append((here, step))
    return found


def _zones(run: Run, joint: int) -> list[tuple[int, int]]:
    """Return from where to where a joint begins that stands over one below."""
    return [(-((joint - twice) // 2 + _NEAR), (twice - joint) // 2 + _NEAR) for twice in run.below]


def _rest(left: int, run: Run, rules: Rules) -> int:
    """Return a number of cuts that the rest of a walk can't go below."""
    if not run.mitred[1]:
        return least_cuts(left, rules)
    rest = left % rules.pitch
    return 0 if not left else 1 if not rest or rest >= run.last + rules.joint else 2


def _phases(run: Run, rules: Rules, limit: int) -> tuple[int, ...]:
    """Return the phases of joints to try: of fixed places, with shortest pieces added to them.

    And those at which two cut pieces, or the two mitred ones, are alike.
    """
    pitch, joint = rules.pitch, rules.joint
    begin = run.start - joint
    fixed = {begin, run.end, *(high for _, high in run.bars)}
    if run.first:
        fixed.add(begin + run.first + joint)
    fixed |= {-((joint - twice) // 2) + _CLEAR for twice in run.below}
    free = min(_free(run, limit), _MOST_FREE)
    found = {(at + count * rules.least) % pitch for at in fixed for count in range(free + 1)}
    rest = (run.end - begin) % pitch
    found |= {
        (begin + half // 2) % pitch for half in (rest, rest + pitch) if half % 2 == 0 and limit > 1
    }
    return tuple(sorted(found))


def _free(run: Run, limit: int) -> int:
    """Return how many cuts can stand before a joint whose place the end does not fix."""
    return max(0, limit - 1 - all(run.mitred))


def _tidiest(budget: Budget, run: Run, rules: Rules, found: _Walks, last: tuple[int, int]) -> Steps:
    """Return the walk with the fewest different lengths, then pieces, then the most symmetry.

    Of mitred runs first that with the fewest pieces.
    """
    best: tuple[tuple[int, int, int, int], Steps] | None = None
    begin = (run.start - rules.joint, 0)
    stack: list[tuple[tuple[int, int], Steps]] = [(last, ())]
    seen = 0
    while stack and seen < _TIES:
        at, steps = stack.pop()
        if at == begin:
            rank = (_rank(run, rules, steps), steps)
            best = rank if best is None else min(best, rank)
            seen += 1
            if not budget.take(1 + len(steps) // 16):
                break
            continue
        stack += [(before, (step, *steps)) for before, step in found[at].back]
    assert best is not None
    return best[1]


def _rank(run: Run, rules: Rules, steps: Steps) -> tuple[int, int, int, int]:
    at, places = run.start - rules.joint, []
    for step in steps[:-1]:
        at += step
        places.append(at)
    cut = [step for step in steps if step != rules.pitch]
    mirror = run.start + run.end - rules.joint
    odd, shortest = asymmetry(tuple(places), mirror), min(cut, default=0)
    if run.mitres:
        # Few pieces make long mitred ones, whose short edges are the longer.
        return len(steps), len(set(cut)), odd, -shortest
    return len(set(cut)), len(steps), odd, -shortest
