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

from aim_programme import aim_at_cost, aim_at_lengths, value_of
from basinbook.engine.errors import InputError
from basinbook.engine.layout.aims.stock import Worth
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BLOCKS, COST, CUTS, LENGTHS, BasinSpec
from layout_programme import Blocks, Programme, basin_programme
from programme_basins import UNIT, gap_fields, on_edge, pipe_gap, spec_of

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
    edge = on_edge(source, blocks, courses)
    gap = pipe_gap(source, blocks, length, courses)
    kerf = source.choice([0.0, 0.1, 1.0])
    sizes = (long, blocks.joint, blocks.shortest, offset, blocks.depth, length, width, *edge.depths)
    if gcd(*sizes) > 1:
        return None
    spec = spec_of(
        blocks, (length, width), courses, height=edge.height, kerf=kerf * UNIT,
        block_price=_PRICES.block / 1000, cut_cost=(_PRICES.cut - _PRICES.whole) / 1000,
        laying_cost=_PRICES.whole / 1000, **edge.fields, **gap_fields(gap),
    )  # fmt: skip
    return Basin(spec, blocks, (length, width), edge.depths, edge.leaves, gap, kerf)


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
            found = value_of(layout, aim, _PRICES)
            assert found <= value_of(plain, aim, _PRICES), (aim, basin)
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
