"""The walls that are least in what the user aims at, once those with the fewest cuts are known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.aims.choose import Aimed, least_lengths, least_stock
from basinbook.engine.layout.aims.stock import Stock, Worth
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job, edge_leaves, refuse
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.second_wall import SecondWall, second_group, second_of
from basinbook.engine.layout.parts.walls import Walls, basin_group
from basinbook.engine.layout.results.cutting import fewest_stock
from basinbook.engine.layout.ticks import ticks
from basinbook.engine.spec import BLOCKS, CUTS, FIELDS, LENGTHS, NO_TURNED, BasinSpec

# Money is added up in whole parts of this size, so that no rounding can decide.
_PARTS_OF_MONEY = 1000
_PRICES = ("block_price", "cut_cost", "laying_cost")


class Chosen(NamedTuple):
    """The walls to build, and whether they are proved to be the least in what is aimed at."""

    walls: Walls
    second: SecondWall | None
    proved: bool


class Pieces(NamedTuple):
    """Whole blocks [count], and lengths of all cut pieces [ticks], leaves counted."""

    whole: int
    cut: list[int]


def wall_pieces_counted(work: Job, walls: Walls, second: SecondWall | None) -> Pieces:
    """Return the pieces of block of the basin's walls, second wall and returns."""
    rows = [
        (course, row.alike)
        for chain, own in zip(walls, work.walls, strict=True)
        for course, row in zip(chain.courses, own, strict=True)
    ]
    if second is not None:
        rows += [(course, 1) for chain in second.chains.values() for course in chain.courses]
    leaves = edge_leaves(work.spec)
    whole = sum(len(row.between) * leaves for own in work.walls for row in own if not row.upper)
    cut: list[int] = []
    for course, leaves in rows:
        for piece in course:
            if piece.whole:
                whole += leaves
            else:
                cut += [piece.length] * leaves
    return Pieces(whole, cut)


def aimed(
    budget: Budget,
    work: Job,
    gaps: BasinGaps,
    behind: tuple[Gap, ...],
    walls: Walls,
    second: SecondWall | None,
    of_columns: Sequence[Placed],
) -> Chosen:
    """Return the walls that are least in what is aimed at, in place of those with fewest cuts.

    gaps: openings in the four walls; behind: those in the second wall. of_columns: the blocks of
    columns; with cut pieces among these nothing is proved, as they could share a block with others.
    Where nothing better was found, or is known to be there, the walls stay as they are: so ties go
    to the fewest cuts.
    """
    aim = work.spec.aim
    chains = [*walls, *(second.chains.values() if second else ())]
    if aim == CUTS:
        return Chosen(walls, second, all(chain.proved for chain in chains))
    if work.spec.turned_walls != NO_TURNED or work.spec.turned_second != NO_TURNED:
        # Those of back wall and second wall have to keep clear of each other.
        return Chosen(walls, second, False)
    counted = wall_pieces_counted(work, walls, second)
    groups = [basin_group(work, gaps)]
    if second is not None:
        groups.append(second_group(work, behind))
    if aim == LENGTHS:
        found = least_lengths(budget, groups, work.block, len(set(counted.cut)))
    else:
        found = _by_stock(budget, work, groups, counted, of_columns)
    # The number of cuts is not what is aimed at: nothing is told of its proof.
    if found.chains is not None:
        walls = Walls(*found.chains[0])
        if second is not None:
            second = second_of(work, behind, found.chains[1])
    else:
        walls = Walls(*(chain._replace(proved=True) for chain in walls))
        if second is not None:
            second = SecondWall({n: c._replace(proved=True) for n, c in second.chains.items()})
    return Chosen(walls, second, found.proved and all(piece.whole for piece in of_columns))


def _by_stock(
    budget: Budget, work: Job, groups: list[Group], counted: Pieces, of_columns: Sequence[Placed]
) -> Aimed:
    worth = _worth(work.spec)
    kerf = ticks(work.spec.kerf)
    columns = len(of_columns)
    stock = Stock(work.block.length, kerf, work.block.joint, columns)
    bars = fewest_stock(budget, counted.cut, stock.length, kerf).bars if counted.cut else ()
    known = (
        worth.block * (columns + counted.whole + len(bars))
        + worth.whole * counted.whole
        + worth.cut * len(counted.cut)
    )
    return least_stock(budget, groups, work.block, stock, worth, known)


def _worth(spec: BasinSpec) -> Worth:
    if spec.aim == BLOCKS:
        return Worth(1, 0, 0)
    for name in _PRICES:
        # A price that is left blank is unknown, and none of them is nothing.
        if not getattr(spec, name) > 0:
            raise refuse(
                "aim",
                spec.aim,
                f"with {FIELDS[name].label} above 0, or aim at cuts, blocks or lengths",
            )
    block, cut, lay = (
        round(money * _PARTS_OF_MONEY)
        for money in (spec.block_price, spec.cut_cost + spec.blade_wear, spec.laying_cost)
    )
    return Worth(block, lay, lay + cut)
