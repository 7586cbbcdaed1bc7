"""The overhang of the caps: equal on both faces, as given, or found within a range.

How many cuts a run needs changes at finitely many overhangs only. From each of these on, so many
cuts do up to some greater overhang: so the least number over a range is met at one of them, or
where the range begins. ``docs/setting_out.md`` has the proof.
"""

from __future__ import annotations

from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.cap_runs import Run, thresholds
from basinbook.engine.layout.parts.cap_ways import (
    LEFT_OPEN,
    NO_JOINTS,
    Round,
    fewest_caps_cut,
    rounds,
)
from basinbook.engine.layout.parts.caps import CapSizes, cap_room, clear_need, sized
from basinbook.engine.layout.parts.openings import NO_GAPS
from basinbook.engine.layout.parts.second_wall import access_gap, space
from basinbook.engine.layout.ticks import at_most, text, ticks

_MOST_TRIED: Final = 2_000
_MOST_KEPT: Final = 12


def cap_sizes(job: Job) -> CapSizes | None:
    """Return the caps' sizes, checked; None for a basin without caps."""
    spec = job.spec
    if not ticks(spec.cap_length):
        return None
    room = cap_room(job)
    if spec.cap_overhang_least is not None or spec.cap_overhang_greatest is not None:
        return _found(job, room.over, room.wall)
    outer = room.over // 2 if spec.cap_overhang is None else ticks(spec.cap_overhang)
    if outer > room.over:
        raise refuse(
            "cap_overhang",
            text(outer),
            f"{at_most(room.over)}, so that caps reach the inner face",
        )
    return sized(job, outer, _equal_row(job) if spec.cap_overhang is None else outer)


def _equal_row(job: Job) -> int:
    return (ticks(job.spec.cap_depth) - job.depth) // 2


def _found(job: Job, over: int, wall: int) -> CapSizes:
    """Return the caps with the overhang of the range that needs the fewest cuts.

    Among these the one nearest to equal overhang.
    """
    low, high = _range(job, over, wall)
    equal = over // 2
    tried = [
        (cuts, abs(outer - equal), outer, caps)
        for outer in _worth_trying(job, low, high, equal)
        if (caps := _fits(job, outer)) is not None and (cuts := plain_cuts(job, caps)) is not None
    ]
    if not tried:
        # What is wrong at the place nearest to equal overhang is told where it is laid.
        outer = min(max(equal, low), high)
        return sized(job, outer, outer)
    tried.sort(key=lambda one: one[:3])
    # Equal overhang stays among them, so that none is worse where joints are to keep off things.
    kept = tried[:_MOST_KEPT] + [one for one in tried[_MOST_KEPT:] if one[2] == equal]
    found = [caps._replace(span=(low, high), fewest=cuts) for cuts, _, _, caps in kept]
    return found[0]._replace(others=tuple(found[1:]))


def _range(job: Job, over: int, wall: int) -> tuple[int, int]:
    """Return the range of overhangs past the outer face, as far as caps and walls leave it."""
    spec = job.spec
    if spec.cap_overhang is not None:
        raise refuse(
            "cap_overhang",
            text(ticks(spec.cap_overhang)),
            "leave it blank, or leave least and greatest cap overhang blank",
        )
    low = ticks(spec.cap_overhang_least or 0.0)
    high = over if spec.cap_overhang_greatest is None else ticks(spec.cap_overhang_greatest)
    if low > over:
        raise refuse(
            "cap_overhang_least",
            text(low),
            f"{at_most(over)}, so that caps reach the inner face",
        )
    if low > high:
        raise refuse("cap_overhang_least", text(low), f"at most the greatest, {text(high)}")
    high = min(high, over)
    low = max(low, over - (min(job.length, job.width) - 1) // 2)
    if spec.second_wall == "yes":
        high = min(high, ticks(spec.cap_depth) - job.depth, space(job) + job.depth - wall)
        clear = ticks(spec.cap_depth) - job.depth - space(job)
        low = max(low, clear) if low <= clear <= high else low
    return min(low, max(high, 0)), max(high, 0)


def _fits(job: Job, outer: int) -> CapSizes | None:
    """Return the caps with an overhang, or None where they don't fit."""
    try:
        caps = sized(job, outer, outer)
    except InputError:
        return None
    if job.spec.second_wall == "yes" and space(job) < clear_need(job, caps):
        return None
    return caps


def plain_cuts(job: Job, caps: CapSizes) -> int | None:
    """Return the least cut caps on basin and second wall, where joints keep off nothing."""
    total = 0
    try:
        for one in _plain_rounds(job, caps):
            fewest = fewest_caps_cut(one, caps.rules)
            if fewest is None:
                return None
            total += fewest
    except InputError:
        return None
    return total


def _worth_trying(job: Job, low: int, high: int, equal: int) -> list[int]:
    """Return the overhangs from which on a run can do with fewer cuts, and the plain ones."""
    found = {low, high, *(outer for outer in (0, equal) if low <= outer <= high)}
    ends = [_runs(job, outer) for outer in (low, high)]
    rules, before, after = ends[0][0], ends[0][1], ends[1][1]
    for first, last in zip(before, after, strict=True):
        walks = [run.end - run.start + rules.joint for run in (first, last)]
        grows = (walks[1] - walks[0]) // (high - low) if high > low else 0
        if not grows:
            continue
        for phase in thresholds(first, rules, _most_cuts(first, rules)):
            walk = walks[0] + (phase - walks[0]) % rules.pitch
            while walk <= walks[1] and len(found) < _MOST_TRIED:
                found.add(low - (walks[0] - walk) // grows)
                walk += rules.pitch
    return sorted(outer for outer in found if low <= outer <= high)


def _plain_rounds(job: Job, caps: CapSizes) -> tuple[Round, ...]:
    """Return the runs with no thought for joints below; a row that stops at the gap has two."""
    gap = access_gap(job) if job.spec.cap_gaps == LEFT_OPEN else None
    return rounds(job, caps, NO_JOINTS, NO_GAPS, (gap,) if gap else ())


def _runs(job: Job, outer: int) -> tuple[Rules, list[Run]]:
    caps = sized(job, outer, outer)
    return caps.rules, [run for one in _plain_rounds(job, caps) for run in one.runs]


def _most_cuts(run: Run, rules: Rules) -> int:
    """Return how many cuts a run can need, of those beside mitred end pieces.

    Where a shortest piece is at most half a cap, two do in any run with room for three caps.
    """
    if 2 * rules.least <= rules.pitch and run.end - run.start >= 5 * rules.pitch:
        return 2
    return max(2, min(8, (run.end - run.start) // rules.least))


def equal_caps(job: Job) -> CapSizes | None:
    """Return the caps with equal overhang on both faces; None where they don't fit."""
    try:
        return sized(job, cap_room(job).over // 2, _equal_row(job))
    except InputError:
        return None


def overhang_notes(job: Job, caps: CapSizes, cuts: int, equal: int | None) -> tuple[str, ...]:
    """Return which overhang was found, and what it saves.

    cuts: cut caps with it; equal: with equal overhang on both faces, None where none can be laid.
    """
    if caps.span is None:
        return ()
    over = cap_room(job).over
    outer, (low, high) = over - caps.inner, caps.span
    line = "0, in line with the wall" if outer == 0 else text(outer)
    found = (
        f"Cap overhang found between {text(low)} and {text(high)}: {line}, with "
        f"{cuts or 'no'} cut cap{'' if cuts == 1 else 's'}"
    )
    against = f"with equal overhang on both faces ({text(over // 2)})"
    if equal is None:
        return (f"{found}; {against} they can't be laid.",)
    return (f"{found}: {_saved(equal - cuts)} {against}.",)


def _saved(count: int) -> str:
    return f"{abs(count)} {'fewer' if count > 0 else 'more'} than" if count else "as many as"
