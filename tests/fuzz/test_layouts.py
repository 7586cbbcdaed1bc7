"""Layouts of any basin end: in a layout, or in an InputError that names what to change.

Within the limits of time and memory, never with another error; and what is not proved says so.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond import alternating, fillings, whole_wall
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.schedule import runs
from basinbook.engine.layout.size_advice import module_sizes
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.takeoff import ITEMS
from fuzz_limits import limited
from layout_jobs import extreme_job, realistic_job

# A layout takes two seconds at most on an idle machine: a guard against what has no end.
_SECONDS = 30.0


def _ends(spec: BasinSpec) -> Layout | None:
    with limited(_SECONDS):
        try:
            layout = solve(spec)
        except InputError:
            return None
        counted = count_cuts(spec)
        assert counted[:2] == (layout.blocks.cut_pieces, layout.blocks.needed)
        assert counted.proved or any(note.startswith("Not proved") for note in layout.advice)
        assert sum(run.whole + run.cut for run in runs(layout)) == (
            len(layout.pieces) + len(layout.caps) + len(layout.column_caps)
        )
        for item in ITEMS.values():
            item.measure(layout)
    return layout


@given(st.integers(0, 10**9))
def test_realistic_jobs(seed: int) -> None:
    _ends(realistic_job(Random(seed)))


@given(st.integers(0, 10**9))
def test_inputs_anywhere_in_their_ranges(seed: int) -> None:
    _ends(extreme_job(Random(seed)))


@settings(max_examples=max(1, settings.default.max_examples // 5))
@given(st.integers(0, 10**9))
def test_size_advice(seed: int) -> None:
    spec = realistic_job(Random(seed))
    with limited(_SECONDS):
        try:
            assert module_sizes(spec, count=5)
        except InputError:
            return


def _opening(length: float, width: float, **more: float | int | str) -> BasinSpec:
    return BasinSpec(
        inside_length=length * INCH,
        inside_width=width * INCH,
        block_length=18 * INCH,
        block_height=4 * INCH,
        block_depth=8 * INCH,
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    "spec",
    [
        # Ran for more than 25 minutes.
        _opening(
            66.5, 110.5, courses=12, shortest_piece=1.25 * INCH, opening_width=7.25 * INCH,
            opening_course=2, opening_offset=8 * INCH,
        ),
        # A second wall with columns and an opening: more than four minutes.
        _opening(
            131.25, 88.5, courses=14, shortest_piece=2.125 * INCH, joint=3 / 8 * INCH,
            second_wall="yes", access_width=7 * INCH, access_courses=3, columns=3,
            column_courses=16, opening_width=5.5 * INCH, opening_course=3,
        ),
        # The largest basin of the smallest blocks.
        BasinSpec(
            15.0, 15.0, 0.05, 0.02, 0.05, courses=40, water_depth=0.1, freeboard=0.0, joint=0.03,
            shortest_piece=0.001, joint_offset=0.0, kerf=0.0,
        ),
        BasinSpec(
            14.987, 14.993, 0.1, 0.05, 0.05, courses=40, water_depth=0.1, freeboard=0.0,
            joint=0.0031, shortest_piece=0.0007, kerf=0.0, opening_width=0.04, opening_course=20,
            second_wall="yes", second_wall_courses=40, access_width=0.04, access_courses=20,
        ),
    ],
    ids=["opening near a corner", "second wall", "smallest blocks", "many courses"],
)  # fmt: skip
def test_what_once_ran_on(spec: BasinSpec) -> None:
    _ends(spec)


def test_what_is_cut_short_says_so() -> None:
    """And repeats: nothing of what was solved before or after changes it."""
    spec = _opening(
        66.5, 110.5, courses=12, shortest_piece=1.25 * INCH, opening_width=7.25 * INCH,
        opening_course=2, opening_offset=8.25 * INCH,
    )  # fmt: skip
    layout = solve(spec)
    assert any(note.startswith("Not proved") for note in layout.advice)
    for searched in (whole_wall._fill, alternating.fewest, fillings.list_fillings):
        searched.cache_clear()
    # Another layout that shares some of its walls; then the same again, past the cache of layouts.
    solve(replace(spec, courses=10))
    assert solve(replace(spec, breakage=0.1)).courses == layout.courses
