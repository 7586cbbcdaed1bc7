"""Whether a course has any bond with one that stands: all whole lengths are tried."""

from __future__ import annotations

import random

from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.over_standing import none_over
from basinbook.engine.layout.bond.whole_wall import Wall, fill_on
from basinbook.engine.layout.budget import Budget


def _some_filling(span: Span, standing: list[int], rules: Rules) -> bool:
    """Try all joints at whole places from left to right."""
    joint, begin = rules.joint, span.start - rules.joint

    def clear(at: int) -> bool:
        return all(abs(at - other) >= rules.offset for other in standing)

    if (span.start_joint and not clear(begin)) or (span.end_joint and not clear(span.end)):
        return False
    reached, ask = {begin}, [begin]
    while ask:
        here = ask.pop()
        for length in range(rules.shortest, rules.length + 1):
            to = here + length + joint
            if here == begin and (length < span.first or span.begin not in (0, length)):
                continue
            if to == span.end and length >= span.last:
                return True
            if to < span.end and clear(to) and to not in reached:
                reached.add(to)
                ask.append(to)
    return False


def _case(source: random.Random) -> tuple[Span, list[int], Rules]:
    length = source.randint(4, 12)
    rules = Rules(
        length, source.randint(0, 2), source.randint(1, length // 2), source.randint(1, length // 2)
    )
    start = source.randint(-length, 2)
    end = start + source.randint(rules.shortest, 4 * length)
    span = Span(
        start,
        end,
        start_joint=source.random() < 0.5,
        end_joint=source.random() < 0.5,
        first=source.choice([0, source.randint(1, length)]),
        last=source.choice([0, source.randint(1, length)]),
        begin=source.choice([0, 0, 0, source.randint(rules.shortest, length)]),
    )
    standing = sorted(source.sample(range(start - 2, end + 3), source.randint(1, 5)))
    return span, standing, rules


def test_stretches_tell_whether_there_is_a_bond() -> None:
    source, found = random.Random(3), [0, 0]
    for _ in range(3000):
        span, standing, rules = _case(source)
        there = _some_filling(span, standing, rules)
        assert none_over(standing, Line((span,)), rules) is not there, (span, standing, rules)
        found[there] += 1
    assert min(found) > 300


def test_two_leaves_of_one_course_are_filled_wherever_there_is_a_bond() -> None:
    source, filled = random.Random(4), 0
    for _ in range(150):
        span, standing, rules = _case(source)
        outer = span._replace(start=span.start - 1, end=span.end + 1, start_joint=False)
        line = Line((span, outer), second=1)
        chain = fill_on(Budget(), tuple(standing), Wall((line,), span.end), rules)
        there = all(_some_filling(leaf, standing, rules) for leaf in line.spans)
        assert (chain is not None) is there, (line, standing, rules)
        filled += there
    assert filled > 20


def test_what_is_lent_goes_first_and_is_not_owed() -> None:
    budget = Budget(100)
    with budget.at_least(500):
        budget.take(400)
    assert budget.left == 100
    with budget.at_least(500):
        budget.take(450)
    assert budget.left == 50
    with budget.at_least(20):
        budget.take(30)
    assert budget.left == 20
    budget.take(30)
    with budget.at_least(40):
        assert not budget.ended
    assert budget.left == -10
