"""Layouts that many cells, options and edits ask for are laid out once, and as they would anew."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout import solver
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.size_advice import module_sizes
from basinbook.engine.spec import BasinSpec

INCH = 0.0254
DEMO = BasinSpec(
    inside_length=64 * INCH, inside_width=46 * INCH, block_length=18 * INCH,
    block_height=4 * INCH, block_depth=8 * INCH, water_depth=14 * INCH, freeboard=2 * INCH,
    cap_length=24 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH,
    opening_width=6 * INCH, opening_course=3,
)  # fmt: skip


@pytest.fixture(autouse=True)
def _forget() -> None:
    for cached in (solver._solve, solver._built, solver._counted, module_sizes):
        cached.cache_clear()


def _outcome(spec: BasinSpec, find: object) -> object:
    assert callable(find)
    try:
        return find(spec)
    except InputError as error:
        return str(error)


def test_water_and_breakage_share_one_layout() -> None:
    for change in (
        {}, {"water_depth": 13 * INCH}, {"freeboard": 1 * INCH}, {"breakage": 0.1}, {"courses": 4},
    ):  # fmt: skip
        solver.solve(replace(DEMO, **change))  # type: ignore[arg-type]
    assert solver._built.cache_info().misses == 1
    # One course more is another layout.
    solver.solve(replace(DEMO, water_depth=16 * INCH))
    assert solver._built.cache_info().misses == 2


def test_a_shared_layout_is_what_the_spec_alone_would_give() -> None:
    rng = Random(11)
    refused = 0
    for _ in range(60):
        spec = replace(
            DEMO,
            inside_length=rng.randrange(160, 400) * INCH / 4,
            inside_width=rng.randrange(120, 300) * INCH / 4,
            water_depth=rng.choice((0.05, 0.2, 0.31, 0.43)),
            freeboard=rng.choice((0.0, 0.05)),
            courses=rng.choice((0, 0, 3, 5)),
            breakage=rng.choice((0.0, 0.05, 0.13)),
            edge_courses=rng.choice(("", "", "2", "9")),
            second_wall=rng.choice(("yes", "no")),
            columns=rng.choice((0, 2)),
            column_courses=6,
        )
        shared = _outcome(spec, solver.solve)
        assert shared == _outcome(spec, solver._laid_out)
        refused += isinstance(shared, str)
    assert 3 <= refused <= 40


def test_sizes_near_a_new_length_are_mostly_those_near_the_one_before(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    planned: list[BasinSpec] = []
    plan = solver.planned

    def noted(budget: Budget, spec: BasinSpec, *more: bool) -> object:
        planned.append(spec)
        return plan(budget, spec, *more)

    monkeypatch.setattr(solver, "planned", noted)
    module_sizes(DEMO)
    first = len(planned)
    module_sizes(replace(DEMO, inside_length=DEMO.inside_length + INCH / 16))
    again = len(planned) - first
    assert 0 < again <= first / 5
    # The water stands in the list, but no block hangs on it.
    module_sizes(replace(DEMO, water_depth=13 * INCH))
    assert len(planned) == first + again


def test_sizes_counted_once_are_those_counted_anew() -> None:
    near = replace(DEMO, inside_length=DEMO.inside_length + INCH)
    module_sizes(DEMO)
    shared = module_sizes(near)
    for cached in (solver._counted, module_sizes):
        cached.cache_clear()
    assert module_sizes(near) == shared
