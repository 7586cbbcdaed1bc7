"""Blocks on edge between flat ones: the courses beside them, and openings clear of them."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.engine.layout.between import clear_of_corner
from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.checked_inputs import Row
from basinbook.engine.layout.parts.openings import Gap, cut_out


def with_blocks(lines: Sequence[Line], rows: Sequence[Row], rules: Rules) -> tuple[Line, ...]:
    """Return the courses of a wall that break off beside the blocks on edge between them.

    The joints beside such a block run through all flat courses that it is as high as.
    """
    found = []
    for line, row in zip(lines, rows, strict=True):
        beside: set[int] = set()
        for low in row.between:
            line = cut_out(line, low, low + rules.length, 1, rules)
            beside |= {low - rules.joint, low + rules.length}
        found.append(line._replace(common=frozenset(beside)) if row.upper and beside else line)
    return tuple(found)


def stand_in_the_way(rows: Sequence[Row], gaps: Sequence[Gap], rules: Rules) -> bool:
    """Return whether a block on edge stands in an opening, beside it too near, or right over it.

    Beside it there is room for a piece, and over it for a whole block with its bearing.
    """
    clear = clear_of_corner(rules)
    for gap in gaps:
        low, high = gap.lintel or (gap.low, gap.high)
        near, far = min(low, gap.low) - clear, max(high, gap.high) + clear
        for row in rows[gap.first : gap.last + 2]:
            if any(begin < far and near < begin + rules.length for begin in row.between):
                return True
    return False
