"""The least blocks, lengths and cost of a layout against an integer programme solved by HiGHS.

``aim_programme`` is formulated apart from the engine: positions on a grid, every course modelled,
corners as unknowns, all ways to cut up a block. The grid is the lattice on which all sizes of a
basin lie; the engine looks for joints there. ``BASINBOOK_AIMS=200`` compares so many larger basins.
"""

from __future__ import annotations

import os
import random
from dataclasses import replace
from math import gcd
from typing import NamedTuple

from aim_programme import aim_at_cost, aim_at_lengths
from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.stock import Worth
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BLOCKS, COST, CUTS, LENGTHS, BasinSpec
from layout_programme import Blocks, Programme, basin_programme

UNIT = 0.02
"""One unit of the programme [m]."""

_LONG = int(os.environ.get("BASINBOOK_AIMS", "0"))
_COUNT = _LONG or 10
# In parts of money: a block, laying a piece, cutting and laying one.
_PRICES = Worth(585, 337, 717)


class Basin(NamedTuple):
    spec: BasinSpec
    blocks: Blocks
    sizes: tuple[int, int]
    depths: list[int]
    leaves: list[int]
    gap: tuple[int, int, int] | None
    kerf: float

    def programme(self) -> Programme:
        return basin_programme(self.blocks, *self.sizes, self.depths, self.leaves, self.gap)


def _basin(source: random.Random) -> Basin | None:
    """A basin that lies on no coarser grid than that of units; None for one that does."""
    long = source.randint(6, 10)
    offset = source.randint(1, long // 3)
    blocks = Blocks(
        length=long,
        joint=source.choice([0, 0, 1]),
        shortest=source.randint(1, long // 2),
        offset=offset,
        depth=source.randint(2, long - offset),
    )
    most = 3 if _LONG else 2
    length, width = source.randint(long // 2, most * long), source.randint(long // 2, 2 * long)
    courses = source.randint(1, 4 if _LONG else 3)
    depths, leaves, edge, height, doubled = [blocks.depth] * courses, [1] * courses, "", 1, "no"
    if source.random() < 0.4:
        chosen = sorted(source.sample(range(courses), source.randint(1, courses)))
        doubled = "yes" if blocks.depth >= 2 + blocks.joint and source.random() < 0.5 else "no"
        leaf = 2 if doubled == "yes" else 1
        height = (blocks.depth - (leaf - 1) * blocks.joint) // leaf
        for number in chosen:
            depths[number], leaves[number] = leaf * height + (leaf - 1) * blocks.joint, leaf
        edge = ", ".join(str(number + 1) for number in chosen)
    gap = None
    wide = source.randint(1, max(1, blocks.length - 2 * blocks.offset))
    margin = blocks.joint + blocks.shortest
    if source.random() < 0.4 and length - wide >= 2 * margin:
        low = source.randint(margin, length - margin - wide)
        gap = (source.randrange(courses), low, low + wide)
    kerf = source.choice([0.0, 0.1, 1.0])
    sizes = (long, blocks.joint, blocks.shortest, offset, blocks.depth, length, width, *depths)
    if gcd(*sizes) > 1:
        return None
    spec = BasinSpec(
        inside_length=length * UNIT,
        inside_width=width * UNIT,
        block_length=long * UNIT,
        block_height=height * UNIT,
        block_depth=blocks.depth * UNIT,
        courses=courses,
        water_depth=UNIT,
        freeboard=0.0,
        joint=blocks.joint * UNIT,
        joint_offset=offset * UNIT,
        shortest_piece=blocks.shortest * UNIT,
        kerf=kerf * UNIT,
        edge_courses=edge,
        edge_doubled=doubled,
        opening_width=(gap[2] - gap[1]) * UNIT if gap else 0.0,
        opening_course=gap[0] + 1 if gap else 1,
        opening_offset=(gap[1] + gap[2]) / 2 * UNIT if gap else None,
        block_price=_PRICES.block / 1000,
        cut_cost=(_PRICES.cut - _PRICES.whole) / 1000,
        laying_cost=_PRICES.whole / 1000,
    )
    return Basin(spec, blocks, (length, width), depths, leaves, gap, kerf)


def _value(layout: Layout, aim: str) -> int:
    """Return what a layout comes to in one of the aims."""
    plan = layout.blocks
    if aim == LENGTHS:
        return plan.different_lengths
    if aim == BLOCKS:
        return plan.needed
    return _PRICES.block * plan.needed + _PRICES.whole * plan.whole + _PRICES.cut * plan.cut_pieces


def _least(basin: Basin, aim: str) -> int | None:
    """Return the least value by the programme; raises where its time is over."""
    programme = basin.programme()
    if aim == LENGTHS:
        aim_at_lengths(programme, basin.blocks)
    elif aim == BLOCKS:
        aim_at_cost(programme, basin.blocks, basin.kerf, Worth(1, 0, 0))
    else:
        aim_at_cost(programme, basin.blocks, basin.kerf, _PRICES)
    return programme.least()


def test_layouts_are_least_in_each_aim_or_say_that_it_is_open() -> None:
    """No layout is better than the programme's, none that is proved worse; few are open."""
    source = random.Random(11)
    compared, still_open, late = 0, 0, 0
    while compared < 3 * _COUNT:
        basin = _basin(source)
        if basin is None:
            continue
        try:
            plain = solve(replace(basin.spec, aim=CUTS))
        except InputError:
            assert basin.programme().least() is None, basin
            continue
        for aim in (BLOCKS, LENGTHS, COST):
            layout = solve(replace(basin.spec, aim=aim))
            found = _value(layout, aim)
            assert found <= _value(plain, aim), (aim, basin)
            compared += 1
            still_open += not layout.least
            try:
                least = _least(basin, aim)
            except TimeoutError:
                late += 1
                continue
            assert least is not None, (aim, basin)
            assert found >= least, (aim, basin)
            assert found == least or not layout.least, (aim, basin)
    assert still_open <= compared / 10
    assert late <= compared / 10
