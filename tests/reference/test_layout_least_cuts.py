"""The layout solver's number of cuts against an integer programme solved by HiGHS.

``layout_programme`` is formulated apart from the solver: positions on a grid, every course
modelled, corners as unknowns. All sizes are whole units, so the least number of cuts on the
grid is the least of all (the conditions are difference constraints with whole constants).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from itertools import combinations_with_replacement
from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, milp

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.whole_wall import Wall as Courses
from basinbook.engine.layout.bond.whole_wall import fill
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.model import CutPlan
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.layout.ticks import LATTICE
from basinbook.engine.spec import BasinSpec
from layout_programme import Blocks, Wall, least_basin_cuts, least_run_cuts
from programme_basins import UNIT, gap_fields, on_edge, pipe_gap, spec_of


def _blocks(source: random.Random, thin: bool = False) -> Blocks:
    length = source.randint(6, 10)
    offset = source.randint(1, length // 3)
    return Blocks(
        length=length,
        joint=source.choice([0, 0, 1]),
        shortest=source.randint(1, length // 2),
        offset=offset,
        depth=source.randint(2, 3) if thin else source.randint(2, length - offset),
    )


class Run(NamedTuple):
    blocks: Blocks
    wall: Wall
    start: bool
    end: bool
    depths: list[int]
    leaves: list[int]


def _run(source: random.Random, across: bool) -> Run:
    blocks = _blocks(source)
    inside = source.randint(blocks.length // 2, 4 * blocks.length)
    courses = source.randint(1, 5)
    depths, leaves = [blocks.depth] * courses, [1] * courses
    if source.random() < 0.3:
        for number in source.sample(range(courses), source.randint(1, courses)):
            depths[number] = source.randint(1, blocks.depth)
            leaves[number] = source.choice([1, 2])
    gap = None
    if source.random() < 0.3:
        width = source.randint(1, blocks.length - 2 * blocks.offset)
        margin = blocks.joint + blocks.shortest
        if inside - width >= 2 * margin:
            low = source.randint(margin, inside - margin - width)
            gap = (source.randrange(courses), low, low + width)
    turned = _stretches(source, blocks, inside) if across else ()
    begin = source.random() < 0.5, source.random() < 0.5
    return Run(blocks, Wall(inside, gap, turned), *begin, depths, leaves)


def _stretches(source: random.Random, blocks: Blocks, inside: int) -> tuple[tuple[int, int], ...]:
    """Where a block may lie across a wall: all of it, clear of its corners, or of a pipe too."""
    low, high = source.choice(((-blocks.depth, inside + blocks.depth), (0, inside)))
    if source.random() < 0.5:
        return ((low, high),)
    pipe = source.randint(0, inside)
    return ((low, pipe), (pipe + source.randint(1, 3), high))


def _runs(seed: int, count: int, across: bool = False) -> Iterator[Run]:
    source = random.Random(seed)
    for _ in range(count):
        yield _run(source, across)


def _lines(run: Run) -> tuple[Line, ...]:
    """The run as the solver takes it, in ticks of which one unit is the lattice."""
    u, joint = LATTICE, run.blocks.joint
    lines = []
    for number, (depth, leaves) in enumerate(zip(run.depths, run.leaves, strict=True)):
        start, end = run.start == (number % 2 == 0), run.end == (number % 2 == 0)
        low = -depth if start else joint
        high = run.wall.inside + (depth if end else -joint)
        spans: tuple[Span, ...] = (
            Span(
                low * u, high * u, not start, not end, depth * u if start else 0,
                depth * u if end else 0,
            ),
        )  # fmt: skip
        bridges: tuple[tuple[int, int], ...] = ()
        if run.wall.gap is not None:
            course, left, right = run.wall.gap
            if course == number:
                (span,) = spans
                spans = (
                    span._replace(end=left * u, end_joint=False, last=0),
                    span._replace(start=right * u, start_joint=False, first=0),
                )
            elif course == number - 1:
                bridges = ((left * u, right * u),)
        open_to = tuple((low * u, high * u) for low, high in run.wall.turned)
        spans = tuple(span._replace(turned=open_to) for span in spans)
        lines.append(Line(spans, leaves, bridges))
    return tuple(lines)


def _rules(blocks: Blocks) -> Rules:
    sizes = (blocks.length, blocks.joint, blocks.shortest, blocks.offset, blocks.depth)
    return Rules(*(size * LATTICE for size in sizes))


@pytest.mark.parametrize("seed", range(11))
def test_runs_have_the_least_cuts(seed: int) -> None:
    """Twenty random walls each: plain, with openings, courses on edge or doubled."""
    for run in _runs(seed, 20):
        chain = fill(Budget(), Courses(_lines(run), run.wall.inside * LATTICE), _rules(run.blocks))
        assert (None if chain is None else chain.cuts) == least_run_cuts(*run), run


@pytest.mark.parametrize("seed", range(100, 102))
def test_runs_with_turned_blocks_have_the_least_cuts(seed: int) -> None:
    """Twenty random walls each, as above, with whole blocks that may lie across the wall."""
    for run in _runs(seed, 20, across=True):
        chain = fill(Budget(), Courses(_lines(run), run.wall.inside * LATTICE), _rules(run.blocks))
        assert (None if chain is None else chain.cuts) == least_run_cuts(*run), run


class Basin(NamedTuple):
    spec: BasinSpec
    blocks: Blocks
    length: int
    width: int
    depths: list[int]
    leaves: list[int]
    gap: tuple[int, int, int] | None


def _basin(source: random.Random) -> Basin:
    """A basin whose block is three units high; on edge it is three units thick, doubled six."""
    blocks = _blocks(source)
    length = source.randint(blocks.length // 2, 3 * blocks.length)
    width = source.randint(blocks.length // 2, 2 * blocks.length)
    courses = source.randint(1, 4)
    edge = on_edge(source, blocks, courses)
    gap = pipe_gap(source, blocks, length, courses)
    spec = spec_of(
        blocks, (length, width), courses, height=edge.height, kerf=0.1 * UNIT,
        **edge.fields, **gap_fields(gap),
    )  # fmt: skip
    return Basin(spec, blocks, length, width, edge.depths, edge.leaves, gap)


@pytest.mark.parametrize("seed", range(12))
def test_basins_have_the_least_cuts_and_stock(seed: int) -> None:
    """Five random basins each, over all ways to begin at the corners."""
    source = random.Random(1000 + seed)
    for _ in range(5):
        basin = _basin(source)
        least = least_basin_cuts(*basin[1:])
        if least is None:
            with pytest.raises(InputError):
                solve(basin.spec)
            continue
        layout = solve(basin.spec)
        assert layout.blocks.cut_pieces == least, basin
        assert count_cuts(basin.spec)[:2] == (least, layout.blocks.needed)
        if least:
            assert len(layout.blocks.bars) == _least_stock(layout.blocks, basin), basin


def _least_stock(plan: CutPlan, basin: Basin) -> int:
    """Fewest blocks for the layout's cut pieces: all ways to cut a block, chosen by HiGHS."""
    grain = UNIT / 120
    pieces = Counter(round(length / grain) for bar in plan.bars for length in bar.lengths)
    lengths = sorted(pieces)
    room, kerf = basin.blocks.length * 120, 12
    ways = [
        Counter(way)
        for many in range(1, room // (lengths[0] + kerf) + 2)
        for way in combinations_with_replacement(lengths, many)
        if sum(way) + (many - 1) * kerf <= room
    ]
    matrix = np.array([[way[length] for way in ways] for length in lengths], dtype=float)
    found = milp(
        np.ones(len(ways)),
        constraints=LinearConstraint(matrix, [pieces[length] for length in lengths], np.inf),
        integrality=np.ones(len(ways)),
    )
    assert found.status == 0
    return round(found.fun)
