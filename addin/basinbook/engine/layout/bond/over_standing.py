"""Whether a course has any bond at all with one that stands: by stretches in which joints may be.

Pieces may have any length from the shortest to a whole block, so what a joint can be reached by
is a few stretches of the wall. Where these do not lead to the end, no search would find a bond.
"""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.engine.layout.bond.alternating import Line, Rules, Span, joints, spread

_Stretch = tuple[int, int]


def none_over(standing: Sequence[int], line: Line, rules: Rules) -> bool:
    """Return whether surely nothing fills a course in bond with one that stands under it.

    standing: left edges of its joints [ticks]. What a course must bridge is not looked at.
    """
    if line.common or rules.turned:
        return False
    barred = sorted((at - rules.offset, at + rules.offset) for at in standing)
    return not all(_can_fill(span, barred, rules) for span in line.spans)


def _can_fill(span: Span, barred: Sequence[_Stretch], rules: Rules) -> bool:
    begin, end, joint = span.start - rules.joint, span.end, rules.joint
    wide = spread(span, rules)
    if wide is not None and not any(_is_barred(at, barred) for at in joints(span, wide, rules)):
        return True
    if (span.start_joint and _is_barred(begin, barred)) or (
        span.end_joint and _is_barred(end, barred)
    ):
        return False
    least = max(rules.shortest, span.first) + joint
    most = rules.pitch
    if span.begin:
        least, most = max(least, span.begin + joint), span.begin + joint
    last = max(rules.shortest, span.last) + joint
    here = [(begin, begin)]
    while here:
        if any(low + max(least, last) <= end <= high + most for low, high in here):
            return True
        reached = [(low + least, min(high + most, end - 1)) for low, high in here]
        here = _clear(reached, barred)
        least, most = rules.least, rules.pitch
    return False


def _is_barred(at: int, barred: Sequence[_Stretch]) -> bool:
    return any(low < at < high for low, high in barred)


def _clear(reached: Sequence[_Stretch], barred: Sequence[_Stretch]) -> list[_Stretch]:
    """Return what is reached and not barred, as stretches from left to right."""
    found: list[_Stretch] = []
    for low, high in _joined(reached):
        at = low
        for first, last in barred:
            if first < at < last:
                at = last
            elif at <= first < high:
                found.append((at, first))
                at = last
        if at <= high:
            found.append((at, high))
    return found


def _joined(stretches: Sequence[_Stretch]) -> list[_Stretch]:
    """Return stretches in rising order, those that touch as one."""
    found: list[_Stretch] = []
    for low, high in sorted(stretches):
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(high, found[-1][1])
        elif low <= high:
            found.append((low, high))
    return found
