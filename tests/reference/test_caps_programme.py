"""Caps against an integer programme: overhang free on a grid, corners, joints off joints below.

Solved by HiGHS through ``scipy.optimize.milp`` (``tests/layout_programme.py``), formulated apart
from the solver of caps.
"""

from __future__ import annotations

from math import ceil
from random import Random

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.parts.cap_runs import OVER, Run, lay_run
from basinbook.engine.layout.solver import solve
from basinbook.engine.layout.ticks import LATTICE, PER_MM, ticks
from basinbook.engine.spec import BasinSpec
from layout_programme import Caps, least_cap_cuts

UNIT = 0.02
"""A grid of 20 mm: all sizes are whole multiples of it, so that overhangs need its halves only."""


def _ring(source: Random) -> tuple[BasinSpec, Caps, range, int | None]:
    """A basin of blocks without a cut to worry about, capped with an overhang within a range."""
    length = source.choice((4, 6, 8))
    wall = source.choice((2, 4))
    depth = wall + 2
    joint = source.choice((0, 0, 1))
    shortest = source.choice((1, 2, length // 2))
    mitred = source.random() < 0.4 and shortest + depth // 2 <= length and depth <= length
    low = source.randint(0, (depth - wall) // 2)
    high = source.randint((depth - wall) // 2, depth - wall)
    second = source.random() < 0.3
    spec = BasinSpec(
        inside_length=source.randint(9, 20) * UNIT,
        inside_width=source.randint(8, 14) * UNIT,
        block_length=20 * UNIT,
        block_height=5 * UNIT,
        block_depth=wall * UNIT,
        water_depth=0.05,
        freeboard=0.0,
        courses=1,
        joint=joint * UNIT,
        shortest_piece=shortest * UNIT,
        joint_offset=0.001,
        cap_length=length * UNIT,
        cap_depth=depth * UNIT,
        cap_height=0.05,
        cap_corner="mitred" if mitred else "butted",
        cap_overhang_least=low * UNIT,
        cap_overhang_greatest=high * UNIT,
        second_wall="yes" if second else "no",
        second_wall_courses=3,
        second_wall_returns="none",
        pipe_space=0.3,
    )
    corner = max(depth, shortest + depth // 2) if mitred else depth if length >= depth else 0
    inner = range(2 * (depth - wall - high), 2 * (depth - wall - low) + 1)
    row = round(spec.inside_length / UNIT) + 2 * wall + 2 * low if second else None
    return spec, Caps(length, joint, shortest, corner), inner, row


def test_overhang_found_against_highs() -> None:
    """As few cut caps as the programme finds over every overhang of the grid."""
    source = Random(11)
    seen = saved = 0
    while seen < 60:
        spec, caps, inner, row = _ring(source)
        depth = round(spec.cap_depth / UNIT)
        size = round(spec.inside_length / UNIT), round(spec.inside_width / UNIT)
        try:
            found = solve(spec)
        except InputError:
            continue
        cuts = found.cap_cuts.cut_pieces
        mitred = spec.cap_corner == "mitred"
        least = least_cap_cuts(caps, *size, depth, inner, mitred, row)
        proved = not any(note.startswith("Not proved") for note in found.advice)
        assert cuts == least, spec
        assert proved
        saved += any("fewer than with equal overhang" in note for note in found.advice)
        seen += 1
    assert saved > 15


def _run(source: Random) -> tuple[Run, Rules]:
    """A run of some caps over a course of blocks; lengths in ticks, drawn in whole millimetres."""

    def mm(low: int, high: int) -> int:
        return ticks(source.randint(low, high) / 1000)

    length, joint = mm(200, 400), ticks(source.choice((0.0, 0.0, 0.01)))
    rules = Rules(length, joint, length // source.choice((3, 4)), 0)
    start = -mm(0, 60)
    end = source.choice((mm(600, 1100), start + 3 * (length + joint) - joint))
    block = source.choice((length + joint, mm(180, 420)))
    first = start + source.choice((block, mm(60, 300)))
    below = tuple(2 * at for at in range(first, end, block))
    mitred, least = source.random() < 0.4, rules.shortest + ticks(0.05)
    ends = (least, least) if mitred else (source.choice((0, ticks(0.12))), 0)
    return Run(start, end, *ends, (mitred, mitred), below=below), rules


def _least(run: Run, rules: Rules, apart: bool) -> tuple[int, int] | None:
    """The least cuts, then joints over joints, with the places of joints free: millimetres."""
    best: tuple[int, int] | None = None
    pitch, least = rules.pitch / PER_MM, rules.least / PER_MM
    walk, joint = (run.end - run.start) / PER_MM + rules.joint / PER_MM, rules.joint / PER_MM
    clear = OVER * 1000 + LATTICE / PER_MM
    for count in range(
        ceil(walk / pitch - 1e-9), min(int(walk / least), int(walk / pitch) + 3) + 1
    ):
        found = _with_pieces(run, count, walk, pitch, least, joint, clear, apart)
        best = min((one for one in (best, found) if one is not None), default=None)
    return best


def _with_pieces(
    run: Run, count: int, walk: float, pitch: float, least: float, joint: float, clear: float,
    apart: bool,
) -> tuple[int, int] | None:  # fmt: skip
    """The same with a given number of pieces: places after each, whole or not, over a joint or not.

    Of each joint and joint below two unknowns tell whether it keeps clear to the left or right.
    """
    inner, below = count - 1, [(at / 2 - run.start) / PER_MM + joint for at in run.below]
    places, whole, over = range(inner), range(inner, inner + count), inner + count
    unknowns = over + inner + 2 * inner * len(below)
    rows, low, high = [], [], []

    def row(terms: dict[int, float], least_sum: float, most_sum: float) -> None:
        rows.append([terms.get(one, 0.0) for one in range(unknowns)])
        low.append(least_sum)
        high.append(most_sum)

    for piece in range(count):
        step: dict[int, float] = {}
        shift = 0.0
        if piece < inner:
            step[places[piece]] = 1.0
        else:
            shift = walk
        if piece:
            step[places[piece - 1]] = -1.0
        ends = [run.first] * (piece == 0) + [run.last] * (piece == inner)
        bound = max([least, *(end / PER_MM + joint for end in ends if end)])
        row(step, bound - shift, pitch - shift)
        row({**step, whole[piece]: -(pitch - bound)}, bound - shift, np.inf)
    for at in range(inner):
        for number, middle in enumerate(below):
            left = over + inner + 2 * (at * len(below) + number)
            big = 2 * walk + 1000.0
            row({places[at]: 1.0, left: big}, -np.inf, middle - joint / 2 - clear + big)
            row({places[at]: 1.0, left + 1: -big}, middle - joint / 2 + clear - big, np.inf)
            row({left: 1.0, left + 1: 1.0, over + at: 1.0}, 1, np.inf)
    costs = np.zeros(unknowns)
    costs[list(whole)] = -1000.0
    costs[over : over + inner] = 1.0
    ends = {whole[0]} if run.mitred[0] else set()
    ends |= {whole[-1]} if run.mitred[1] else set()
    top = np.ones(unknowns)
    top[list(places)] = walk
    for one in ends:
        costs[one], top[one] = 0.0, 0.0
    if apart:
        top[over : over + inner] = 0.0
    found = milp(
        costs, constraints=LinearConstraint(np.array(rows), low, high),
        integrality=[0] * inner + [1] * (unknowns - inner), bounds=Bounds(np.zeros(unknowns), top),
    )  # fmt: skip
    if found.x is None:
        return None
    x = np.round(found.x)
    return count - int(x[list(whole)].sum()), int(x[over : over + inner].sum())


def _as_programme(run: Run, rules: Rules) -> bool:
    """Compare a run with the programme; tell whether keeping joints apart costs cuts."""
    free, apart = (lay_run(Budget(), run, rules, asked) for asked in (False, True))
    assert free[1]
    assert apart[1]
    assert (free[0] and free[0][1:]) == _least(run, rules, False), (run, rules)
    assert (apart[0] and apart[0][1:]) == _least(run, rules, True), (run, rules)
    return free[0] is not None and (apart[0] is None or apart[0].cuts > free[0].cuts)


def test_joints_off_joints_below_against_highs() -> None:
    """A single run: the fewest cuts, then the fewest joints over joints; and with none of these."""
    source = Random(12)
    seen = dearer = 0
    while seen < 20:
        run, rules = _run(source)
        if lay_run(Budget(), run, rules, False)[0] is None:
            continue
        dearer += _as_programme(run, rules)
        seen += 1
    assert dearer


def test_one_end_mitred_against_highs() -> None:
    """A run from a mitred corner to a column in its wall, to the left or to the right of it."""
    source = Random(13)
    seen = dearer = alone = 0
    while seen < 24:
        run, rules = _run(source)
        least = rules.shortest + ticks(0.05)
        if seen % 4 == 3:
            # One or two pieces between corner and column.
            run = run._replace(end=run.start + ticks(source.randint(100, 500) / 1000))
        ends = (least, 0) if seen % 2 else (0, least)
        run = run._replace(first=ends[0], last=ends[1], mitred=(bool(ends[0]), bool(ends[1])))
        if lay_run(Budget(), run, rules, False)[0] is None:
            assert _least(run, rules, False) is None, (run, rules)
            continue
        dearer += _as_programme(run, rules)
        alone += run.end - run.start <= rules.length
        seen += 1
    assert dearer
    assert alone
