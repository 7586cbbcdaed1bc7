"""What a search left out proves nothing: not that there is no bond, nor the fewest cuts."""

from __future__ import annotations

from functools import partial

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.abreast import filled_abreast
from basinbook.engine.layout.bond.whole_wall import Wall, fill, floor
from basinbook.engine.layout.budget import Budget, remembered
from basinbook.engine.layout.checked_inputs import job
from basinbook.engine.layout.parts.openings import basin_gaps
from basinbook.engine.layout.parts.walls import basin_group
from basinbook.engine.layout.solver import as_built, count_cuts, solve
from basinbook.engine.spec import INCH, BasinSpec

MM = 0.001
NOT_PROVED = "Not proved to have the least number of cuts"
# The lists of fillings of its walls with the opening lack some.
OPENING = BasinSpec(
    inside_length=195 * INCH,
    inside_width=32 * INCH,
    block_length=11.625 * INCH,
    block_height=4 * INCH,
    block_depth=7 * INCH,
    courses=4,
    water_depth=6 * INCH,
    joint=0.375 * INCH,
    shortest_piece=6 * INCH,
    edge_courses="1, 2, 3",
    opening_width=1 * INCH,
    opening_course=1,
    opening_offset=126 * INCH,
)
# There is a layout, which few steps come to; many look for one with fewer cuts, and find none.
MORTAR = BasinSpec(
    inside_length=65 * INCH,
    inside_width=126.875 * INCH,
    block_length=18 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
    courses=8,
    water_depth=22.1875 * INCH,
    joint=0.375 * INCH,
    joint_offset=6 * INCH,
    shortest_piece=6 * INCH,
    opening_width=2.4375 * INCH,
    opening_course=6,
    opening_offset=(65 - 2.4375) / 2 * INCH,
)
# By hand: a return of 105 mm that runs through is 295 mm, more than a block of 290. Its piece over
# the corner is at least 190 mm, so that the other is at most 105; and it ends at least 72.5 mm
# before that of the next course, at 105: it would be shorter than 36.25 mm.
SECOND = BasinSpec(
    inside_length=3880 * MM,
    inside_width=2485 * MM,
    block_length=290 * MM,
    block_height=120 * MM,
    block_depth=190 * MM,
    courses=8,
    water_depth=585 * MM,
    shortest_piece=36.25 * MM,
    second_wall="yes",
    second_wall_courses=5,
    second_wall_returns="left",
    pipe_space=105 * MM,
    access_width=140 * MM,
    access_courses=4,
    access_offset=2120 * MM,
)


def _walls(spec: BasinSpec) -> list[Wall]:
    work = job(as_built(spec))
    return list(basin_group(work, basin_gaps(work)).walls)


def test_no_listed_filling_is_no_proof_that_there_is_none() -> None:
    """One wall has a filling that its lists lack: so other ways to begin it stay open."""
    block = job(as_built(OPENING)).block
    lacking = 0
    for wall in _walls(OPENING):
        budget = Budget()
        known = floor(budget, wall, block)
        chain, whole = budget.nothing_left_out(partial(fill, budget, wall, block))
        if known.least is None or chain is not None or whole:
            continue
        assert not budget.ended
        lacking += filled_abreast(Budget(), wall.lines, block) is not None
    assert lacking
    assert any(note.startswith(NOT_PROVED) for note in solve(OPENING).advice)


def test_what_is_remembered_stays_doubtful() -> None:
    asked = []

    @remembered(4)
    def leaves_out(budget: Budget, what: str) -> None:
        asked.append(what)
        budget.doubtful = what == "some"

    @remembered(4)
    def asks(budget: Budget, what: str) -> None:
        leaves_out(budget, what)

    for what, whole in (("some", False), ("none", True), ("some", False), ("none", True)):
        budget = Budget()
        for _ in range(2):
            assert budget.nothing_left_out(partial(asks, budget, what))[1] is whole
    assert asked == ["some", "none"]
    budget = Budget()
    asks(budget, "some")
    assert budget.nothing_left_out(lambda: asks(budget, "none"))[1]
    assert budget.doubtful


def test_bond_that_nothing_was_left_out_for_does_not_exist() -> None:
    """Whole courses of 21 in inside width: 4.5 in pieces, joints 8 in apart."""
    none = BasinSpec(
        inside_length=48 * INCH,
        inside_width=21 * INCH,
        block_length=16 * INCH,
        block_height=4 * INCH,
        block_depth=8 * INCH,
        courses=4,
        water_depth=12 * INCH,
        shortest_piece=4.5 * INCH,
        joint_offset=8 * INCH,
    )
    with pytest.raises(InputError, match="no bond exists"):
        solve(none)


def test_bond_of_a_return_that_cannot_be_does_not_exist() -> None:
    with pytest.raises(InputError, match="no bond of the second wall and its returns exists"):
        solve(SECOND)


def test_bond_that_was_not_sought_everywhere_was_only_not_found() -> None:
    assert count_cuts(as_built(MORTAR), Budget(30_000), hints=False).cuts
    with pytest.raises(InputError, match="was found in the limit of search"):
        solve(MORTAR)
