"""The walls that are least in what the user aims at, once those with the fewest cuts are known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.aims.choose import AIM_STEPS, Aimed, least_lengths, least_stock
from basinbook.engine.layout.aims.problem import Places, places_of
from basinbook.engine.layout.aims.stock import Stock, Worth
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.bond.corner_choice import Group
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, Job, edge_leaves, refuse
from basinbook.engine.layout.parts.both_walls import Both, apart, room_for_both, tails_of
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.placed_pieces import Placed, wall_pieces
from basinbook.engine.layout.parts.second_wall import (
    SecondWall,
    second_group,
    second_of,
    second_wall_pieces,
)
from basinbook.engine.layout.parts.turned import Tails, open_back
from basinbook.engine.layout.parts.walls import Walls, basin_group
from basinbook.engine.layout.results.cutting import fewest_stock
from basinbook.engine.layout.ticks import ticks
from basinbook.engine.spec import BLOCKS, CUTS, FIELDS, LENGTHS, BasinSpec

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
    whole = _between(work)
    cut: list[int] = []
    for course, leaves in rows:
        for piece in course:
            if piece.whole:
                whole += leaves
            else:
                cut += [piece.length] * leaves
    return Pieces(whole, cut)


def _between(work: Job) -> int:
    """Return how many blocks stand on edge between flat ones, whatever fills the rest."""
    leaves = edge_leaves(work.spec)
    return sum(len(row.between) * leaves for own in work.walls for row in own if not row.upper)


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
    if work.spec.aim == CUTS:
        chains = [*walls, *(second.chains.values() if second else ())]
        return Chosen(walls, second, all(chain.proved for chain in chains))
    search = _Search(budget, work, gaps, behind, of_columns)
    # The number of cuts is not what is aimed at: nothing is told of its proof.
    walls = Walls(*(chain._replace(proved=True) for chain in walls))
    if second is not None:
        second = SecondWall(
            {n: chain._replace(proved=True) for n, chain in second.chains.items()}, second.stacked
        )
    best = Both(walls, second)
    known = search.value(best)
    with budget.part(AIM_STEPS):
        groups = search.groups(second is not None)
        rules = work.block
        if any(wall.turned for group in groups for wall in group.walls):
            rules = rules._replace(turned=work.depth)
        places = places_of(groups, rules)
        free = search.least(groups, rules, places, known)
        if free.both is not None and not search.clash(free.both):
            best, known = free.both, free.value
        elif free.both is not None:
            # A bound all the same: each wall without regard to the other's turned blocks.
            for kept in apart(work):
                if known <= free.bound or budget.ended:
                    break
                # At the same places: where they keep clear of is no place for joints.
                found = search.least(search.groups(True, *kept), rules, places, known)
                if found.both is not None:
                    best, known = found.both, found.value
    proved = known <= free.bound and all(piece.whole for piece in of_columns)
    return Chosen(*best, proved)


def aim_value(budget: Budget, work: Job, counted: Pieces, of_columns: Sequence[Placed]) -> int:
    """Return what pieces of walls come to in what is aimed at: of cost in parts of money."""
    cut = counted.cut
    if work.spec.aim == CUTS:
        return len(cut)
    if work.spec.aim == LENGTHS:
        return len(set(cut))
    worth, kerf = _worth(work.spec), ticks(work.spec.kerf)
    bars = fewest_stock(budget, cut, work.block.length, kerf).bars if cut else ()
    return (
        worth.block * (len(of_columns) + counted.whole + len(bars))
        + worth.whole * counted.whole
        + worth.cut * len(cut)
    )


class _Found(NamedTuple):
    """Walls better than those at hand, None for none; what they come to, and a bound on it."""

    both: Both | None
    value: int
    bound: int


class _Search(NamedTuple):
    """What the searches of one layout share."""

    budget: Budget
    job: Job
    gaps: BasinGaps
    behind: tuple[Gap, ...]
    of_columns: Sequence[Placed]

    def value(self, both: Both) -> int:
        """Return what walls come to in what is aimed at."""
        counted = wall_pieces_counted(self.job, *both)
        return aim_value(self.budget, self.job, counted, self.of_columns)

    def groups(self, second: bool, of_second: Tails = (), of_back: Tails = ()) -> list[Group]:
        """Return the walls as they are to be filled.

        of_second, of_back: what turned blocks of the other wall keep clear of.
        """
        work = self.job
        groups = [basin_group(work, self.gaps, open_back(work, self.gaps[BACK], of_second))]
        if second:
            groups.append(second_group(work, self.behind, of_back))
        return groups

    def least(self, groups: list[Group], rules: Rules, places: Places, known: int) -> _Found:
        """Return the walls that are least; known: what those at hand come to."""
        if self.job.spec.aim == LENGTHS:
            found = least_lengths(self.budget, groups, rules, places, known)
        else:
            found = self._by_stock(groups, rules, places, known)
        if found.chains is None:
            return _Found(None, known, found.bound)
        walls, *more = found.chains
        second = second_of(self.job, self.behind, more[0]) if more else None
        return _Found(Both(Walls(*walls), second), found.value, found.bound)

    def _by_stock(self, groups: list[Group], rules: Rules, places: Places, known: int) -> Aimed:
        work = self.job
        worth, between = _worth(work.spec), _between(work)
        stock = Stock(
            rules.length, ticks(work.spec.kerf), rules.joint, len(self.of_columns) + between
        )
        # Laying what stands anyway is no part of the search.
        laid = worth.whole * between
        found = least_stock(self.budget, groups, rules, places, stock, worth, known - laid)
        return found._replace(value=found.value + laid, bound=found.bound + laid)

    def clash(self, both: Both) -> bool:
        """Return whether turned blocks of back wall and second wall meet in the pipe space."""
        work = self.job
        if both.second is None or room_for_both(work):
            return False
        back = wall_pieces(work, BACK, both.walls[BACK], self.gaps[BACK])
        second = second_wall_pieces(work, both.second, self.behind)
        return any(
            one.meets(other, work.block.joint)
            for one in tails_of(back)
            for other in tails_of(second)
        )


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
