"""Back wall and second wall with turned blocks in both: what is proved of the back wall alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest

from basinbook.engine.layout.bond.corner_choice import mirror_image
from basinbook.engine.layout.bond.whole_wall import Filled, fill, floor
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, job
from basinbook.engine.layout.parts.both_walls import tails_of
from basinbook.engine.layout.parts.openings import basin_gaps
from basinbook.engine.layout.parts.second_wall import second_wall_pieces, solve_second_wall
from basinbook.engine.layout.parts.turned import open_back
from basinbook.engine.layout.parts.walls import (
    basin_group,
    proved_least,
    solve_walls,
    solved_walls,
)
from basinbook.engine.layout.results.advice import NOT_PROVED
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BY_RULE, INCH, SAVING, BasinSpec

SPEC = BasinSpec(
    inside_length=50 * INCH, inside_width=26 * INCH, block_length=16 * INCH,
    block_height=4 * INCH, block_depth=8 * INCH, courses=4, water_depth=12 * INCH,
    second_wall="yes", pipe_space=8 * INCH, turned_walls=SAVING, turned_second=SAVING,
    opening_width=2 * INCH, opening_course=2,
)  # fmt: skip


def test_what_is_proved_of_the_walls_alone_holds_when_they_are_filled() -> None:
    """Not so few cuts are proved as the walls can have, and never more."""
    proved = 0
    for inches in range(38, 58, 3):
        work = job(replace(SPEC, inside_length=inches * INCH))
        gaps, budget = basin_gaps(work), Budget()
        second = solve_second_wall(budget, work, ())
        assert second is not None
        walls, chosen = solved_walls(
            budget, work, gaps, tails_of(second_wall_pieces(work, second, ()))
        )
        alone = solve_walls(Budget(), work, gaps)
        if walls is None or chosen is None or alone is None:
            continue
        beside, least = (sum(chain.cuts for chain in found) for found in (walls, alone))
        assert not proved_least(budget, work, gaps, chosen, least + 1)
        if proved_least(budget, work, gaps, chosen, beside):
            assert beside == least
            proved += 1
    assert proved > 2


def test_by_rule_nothing_is_proved_of_stretches_that_may_cost_more() -> None:
    """Open stretches that are cut up by the second wall's blocks take fewer turned blocks."""
    spec = replace(
        SPEC, inside_length=52 * INCH, inside_width=36.5 * INCH, block_length=18 * INCH,
        block_height=6 * INCH, block_depth=12 * INCH, courses=5, joint_offset=3 * INCH,
        pipe_space=0.2024, second_wall_courses=6, second_wall_returns="none",
        opening_width=0.0, turned_walls=BY_RULE, turned_second=BY_RULE,
    )  # fmt: skip
    assert any(NOT_PROVED in text and "back" in text for text in solve(spec).advice)
    alone = solve(replace(spec, turned_second="none"))
    beside = solve(spec)
    cuts = [
        sum(not piece.whole for piece in layout.pieces if piece.part == "back")
        for layout in (alone, beside)
    ]
    assert cuts[0] > cuts[1]


def test_a_wall_and_its_mirror_image_have_as_many_cuts() -> None:
    rng = Random(3)
    for _ in range(6):
        offset = rng.choice((None, 20 * INCH))
        work = job(replace(SPEC, inside_length=rng.randint(44, 60) * INCH, opening_offset=offset))
        gaps = basin_gaps(work)
        block = work.block._replace(turned=work.depth)
        walls = basin_group(work, gaps, open_back(work, gaps[BACK], ())).walls[8:12]
        for wall in walls:
            image = mirror_image(wall, block)
            assert mirror_image(image, block) == wall
            assert floor(Budget(), image, block) == floor(Budget(), wall, block)
        if offset is None:
            # The opening is in the middle: a wall that runs through at its right end is the
            # mirror image of the one that does so at its left end.
            assert mirror_image(walls[1], block) == walls[2]


def test_a_filled_wall_mirrored_fills_its_mirror_image() -> None:
    rng, turned = Random(5), 0
    for _ in range(8):
        offset = rng.choice((None, 20 * INCH))
        work = job(replace(SPEC, inside_length=rng.randint(44, 60) * INCH, opening_offset=offset))
        gaps = basin_gaps(work)
        block = work.block._replace(turned=work.depth)
        for wall in basin_group(work, gaps, open_back(work, gaps[BACK], ())).walls[8:12]:
            chain = fill(Budget(), wall, block)
            assert chain is not None
            image, there = chain.mirrored(wall.far), mirror_image(wall, block)
            assert image.mirrored(wall.far) == chain
            other = fill(Budget(), there, block)
            assert other is not None
            assert other.cuts == image.cuts or not (other.proved and image.proved)
            for line, course in zip(there.lines, image.courses, strict=True):
                edges = [(span.start, span.end) for span in line.spans]
                assert _runs(course, block.joint) == edges
                for piece in course:
                    if piece.turned:
                        turned += 1
                        assert any(
                            low <= piece.at and piece.end <= high
                            for span in line.spans
                            for low, high in span.turned
                        )
    assert turned


def _runs(course: Sequence[Filled], joint: int) -> list[tuple[int, int]]:
    """Return from where to where pieces stand a joint apart."""
    found: list[tuple[int, int]] = []
    for piece in course:
        if found and piece.at == found[-1][1] + joint:
            found[-1] = found[-1][0], piece.end
        else:
            found.append((piece.at, piece.end))
    return found


@pytest.mark.parametrize(
    ("walls", "second"), [(SAVING, BY_RULE), (BY_RULE, SAVING), (BY_RULE, BY_RULE)]
)
def test_by_rule_no_wall_by_itself_is_a_bound_of_both(walls: str, second: str) -> None:
    """So a layout in which they are in each other's way is not proved, whatever its cuts."""
    spec = replace(SPEC, inside_length=46 * INCH)
    assert not any(NOT_PROVED in text for text in solve(spec).advice)
    ruled = replace(spec, turned_walls=walls, turned_second=second)
    assert any(NOT_PROVED in text and "second wall" in text for text in solve(ruled).advice)
