"""Basins with turned blocks, mixed courses and several openings, as jobs and as programmes.

Made up by a seeded generator; every size is a whole number of inches.
"""

from __future__ import annotations

from random import Random
from typing import Any, NamedTuple

from basinbook.engine.layout.aims.stock import Worth
from basinbook.engine.layout.model import WALLS
from basinbook.engine.spec import INCH, NO_TURNED, SAVING, BasinSpec
from layout_programme import Blocks, Hole, Programme
from programme_basins import hole_fields, hole_in, spec_of
from second_wall_programme import Second, programme_with_second_wall

# In parts of money: a block, laying a piece, cutting and laying one.
PRICES = Worth(585, 337, 717)
KERF = 0.1
_PIPE_CLEAR = 1
"""Turned blocks keep so far from a pipe [units]: an inch, which a unit is here."""


class Basin(NamedTuple):
    spec: BasinSpec
    blocks: Blocks
    size: tuple[int, int]
    courses: int
    second: Second
    fixed: dict[tuple[str, int], tuple[int, ...]]
    upper: set[int]
    holes: dict[str, tuple[Hole, ...]]

    def programme(self) -> Programme:
        return programme_with_second_wall(
            self.blocks, *self.size, self.courses, self.second, self.fixed, self.upper, self.holes
        )

    @property
    def on_edge(self) -> int:
        """How many blocks stand on edge between flat ones: whole, wherever the others lie."""
        return sum(len(lows) for (_, row), lows in self.fixed.items() if row not in self.upper)


def _blocks(source: Random) -> tuple[Blocks, int, int]:
    """Return a block, its height, and how many flat courses it is as high as on edge."""
    while True:
        length, joint = source.randint(6, 9), source.choice([0, 0, 1])
        offset, courses = source.randint(1, length // 4), source.choice([2, 2, 3])
        height = source.randint(1, 3)
        depth = courses * (height + joint) - joint
        if max(3, height) <= depth <= length - offset:
            shortest = source.randint(1, length // 3)
            return Blocks(length, joint, shortest, offset, depth), height, courses


def basin_with_means(source: Random) -> Basin:
    """Return a basin with second wall; mixed courses, turned blocks and openings in most."""
    blocks, height, high = _blocks(source)
    long, joint = blocks.length, blocks.joint
    size = source.randint(2 * long, 3 * long), source.randint(long, 2 * long)
    kinds = source.choice(["flat, mixed", "mixed, flat", "flat, flat", "flat, mixed, flat"])
    levels = kinds.split(", ")
    first_row: list[int] = []
    upper: set[int] = set()
    rows = 0
    for kind in levels:
        first_row.append(rows)
        upper |= {rows + sub for sub in range(1, high) if kind == "mixed"}
        rows += high if kind == "mixed" else 1
    fields: dict[str, Any] = {"course_pattern": kinds}
    fixed: dict[tuple[str, int], tuple[int, ...]] = {}
    clear = joint + max(blocks.shortest, blocks.offset)
    if "mixed" in levels:
        low = source.randint(clear, size[0] - long - clear)
        wall = source.choice(["front", "back"])
        fields |= {"place_1_wall": wall, "place_1_middle": (low + long / 2) * INCH}
        for kind, row in zip(levels, first_row, strict=True):
            if kind == "mixed":
                fixed |= {(wall, row + sub): (low,) for sub in range(high)}
    holes: dict[str, tuple[Hole, ...]] = {}
    upper_row = max(upper, default=0)
    for number in range(1, source.randint(1, 4) + 1):
        wall = "back" if number == 1 else source.choice(WALLS)
        hole = _hole(source, blocks, size[wall in ("left", "right")], levels, first_row)
        there = [(one.low, one.high) for one in holes.get(wall, ())]
        there += [(low - clear, low + long + clear) for low in fixed.get((wall, upper_row), ())]
        if hole is None or any(
            low < _reach(hole)[1] and _reach(hole)[0] < high for low, high in there
        ):
            continue
        holes[wall] = (*holes.get(wall, ()), hole)
        fields |= hole_fields(number, wall, hole, first_row.index(hole.first) + 1, INCH)
    past = long - blocks.depth + joint
    space = past + source.choice([0, 0, 0, 1, past])
    returns = source.choice(["both", "both", "left", "right", "none"])
    here = returns in ("both", "left"), returns in ("both", "right")
    choices = source.choice([(SAVING, SAVING), (SAVING, NO_TURNED), (NO_TURNED, SAVING)])
    # Clear of the returns, or up to the ends where there are none; in the back wall's places.
    ends = (
        joint if here[0] else -blocks.depth,
        size[0] - joint if here[1] else size[0] + blocks.depth,
    )
    free = _without(
        ends, [(h.low - _PIPE_CLEAR, h.high + _PIPE_CLEAR) for h in holes.get("back", ())]
    )
    turned = tuple(free if choice == SAVING else () for choice in choices)
    second = Second(space, here, turned, choices[1] == SAVING and space == past)  # type: ignore[arg-type]
    spec = spec_of(
        blocks, size, len(levels), unit=INCH, height=height, kerf=KERF * INCH, second_wall="yes",
        pipe_space=space * INCH, second_wall_returns=returns, turned_walls=choices[0],
        turned_second=choices[1], block_price=PRICES.block / 1000,
        cut_cost=(PRICES.cut - PRICES.whole) / 1000, laying_cost=PRICES.whole / 1000, **fields,
    )  # fmt: skip
    return Basin(spec, blocks, size, rows, second, fixed, upper, holes)


def _hole(
    source: Random, blocks: Blocks, inside: int, levels: list[str], first_row: list[int]
) -> Hole | None:
    """An opening in one flat course; None for none."""
    flat = [row for row, kind in zip(first_row, levels, strict=True) if kind == "flat"]
    for _ in range(10):
        hole = hole_in(source, blocks, inside, first_row[-1] + 1)
        if hole is not None and hole.first in flat and hole.last == hole.first:
            return hole
    return None


def _reach(hole: Hole) -> tuple[int, int]:
    """Return from where to where an opening and its lintel reach."""
    return hole.lintel or (hole.low, hole.high)


def _without(whole: tuple[int, int], taken: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    found, low = [], whole[0]
    for start, end in [*sorted(taken), (whole[1], whole[1])]:
        if low < start:
            found.append((low, start))
        low = max(low, end)
    return tuple(found)
