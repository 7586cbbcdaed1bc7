"""Numbers of cuts that no filling of unlike courses can go below, from each course and from pairs.

They are quickly found, and tell when no filling outside the lists can lead to fewer cuts.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from basinbook.engine.layout.bond.alternating import Line, Rules, least_of, spread
from basinbook.engine.layout.bond.tie_breaks import bonded
from basinbook.engine.layout.bond.two_leaves import leaves_of
from basinbook.engine.layout.bond.with_turned import fewest, fewest_from
from basinbook.engine.layout.budget import Budget


def alone_bound(lines: Sequence[Line], rules: Rules) -> int:
    """Return a number of cuts that no chain goes below, from each course by itself."""
    return sum(line.leaves * _alone(line, rules) for line in lines)


def paired_bound(budget: Budget, lines: Sequence[Line], mirror: int, rules: Rules) -> int:
    """Return a number of cuts that no chain of these courses can go below, quickly found."""
    each = {line: line.leaves * _alone(line, rules) for line in dict.fromkeys(lines)}
    alone = [each[line] for line in lines]
    return _pairs(alone, [pair_bound(budget, *two, mirror, rules) for two in pairwise(lines)])


def _alone(line: Line, rules: Rules) -> int:
    return sum(
        fewest_from(span, span.start - rules.joint, rules) if span.turned else least_of(span, rules)
        for span in line.spans
    )


def _pairs(alone: Sequence[int], together: Sequence[int]) -> int:
    """Return the bound from disjoint pairs of neighbours, each at the least of its own.

    alone: cuts of each course at least. together: of each and the next.
    """
    before, here = 0, alone[0] if alone else 0
    for single, pair in zip(alone[1:], together, strict=True):
        before, here = here, max(here + single, before + pair)
    return here


def pair_bound(budget: Budget, below: Line, above: Line, mirror: int, rules: Rules) -> int:
    """Return a number of cuts that two neighbouring courses have at least, or 0.

    Nothing is known of courses of several spans, nor over one that stands, which has none. Of two
    leaves each is taken with the neighbour in turn, and the other by itself.
    """
    best = 0
    for low in leaves_of(below) if below.second else (below,):
        for high in leaves_of(above) if above.second else (above,):
            if len(low.spans) != 1 or len(high.spans) != 1 or budget.ended:
                return best
            spans = low.spans[0], high.spans[0]
            if any(spread(span, rules) is not None for span in spans):
                continue
            weights = low.leaves, high.leaves
            ends_alike = not any(span.begin or span.ties for span in spans)
            if ends_alike and any(span.turned for span in spans):
                # As many as the mirror image has, or the same two the other way up.
                pair = bonded(budget, spans, weights, mirror + rules.joint, rules, tidy=False)
            else:
                pair = fewest(budget, spans, weights, rules)
            if pair is not None and pair.proved:
                both = [(below, low), (above, high)]
                rest = sum(
                    _alone(line, rules) - _alone(leaf, rules)
                    for line, leaf in both
                    if line is not leaf
                )
                best = max(best, pair.cost + rest)
    return best
