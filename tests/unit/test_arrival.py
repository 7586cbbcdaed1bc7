"""Sizes measured on arrival: by hand, and against layouts set out anew with these sizes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from basinbook.engine.arrival import (
    INSIDE_LENGTH,
    INSIDE_WIDTH,
    WALL_HEIGHT,
    WITH_CAPS,
    Effect,
    Sizes,
    effects,
)
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec

PLANK = BasinSpec(
    inside_length=64 * INCH,
    inside_width=46 * INCH,
    block_length=18 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
    cap_length=24 * INCH,
    cap_depth=12 * INCH,
    cap_height=2 * INCH,
    courses=4,
    water_depth=12 * INCH,
)


def found(spec: BasinSpec, measured: Sizes) -> dict[str, Effect]:
    return {one.what: one for one in effects(solve(spec), measured)}


def inches(metres: float) -> float:
    return round(metres / INCH, 6)


def test_the_layout_s_own_sizes_change_nothing() -> None:
    own = Sizes(18 * INCH, 4 * INCH, 8 * INCH, 24 * INCH, 12 * INCH, 2 * INCH)
    for measured in (Sizes(), own):
        for one in effects(solve(PLANK), measured):
            assert one.difference == pytest.approx(0, abs=1e-9), one.what
            assert one.least == pytest.approx(one.planned, abs=1e-9), one.what


def test_heights_by_hand() -> None:
    """Four courses of 4 1/16 in, a cap of 2 1/8 in."""
    have = found(PLANK, Sizes(block_height=4.0625 * INCH, cap_height=2.125 * INCH))
    assert inches(have[WALL_HEIGHT].most) == 4 * 4.0625
    assert inches(have[WITH_CAPS].most) == 4 * 4.0625 + 2.125
    assert have[INSIDE_LENGTH].difference == 0


def test_a_cut_piece_keeps_its_drawn_length() -> None:
    """66 in: runs of 74 in have three whole blocks and pieces cut, 46 in wide has none."""
    layout = solve(replace(PLANK, inside_length=66 * INCH))
    whole = [sum(p.whole and p.part == "front" for p in course.pieces) for course in layout.courses]
    have = {one.what: one for one in effects(layout, Sizes(block_length=18.125 * INCH))}
    # The corner piece that ends the row there belongs to a side wall, and grows across it only.
    assert inches(have[INSIDE_LENGTH].difference) == max(whole) * 0.125
    assert inches(have[INSIDE_WIDTH].difference) == 3 * 0.125


@pytest.mark.parametrize(
    "spec",
    [
        PLANK,
        replace(PLANK, inside_length=100 * INCH, joint=0.0),
        replace(
            PLANK, inside_length=1.01, inside_width=0.61, block_length=0.39, block_height=0.19,
            block_depth=0.19, joint=0.01, courses=2,
        ),
    ],
    ids=["plank", "longer", "mortar"],
)  # fmt: skip
def test_a_layout_of_that_size_and_these_pieces_has_as_many_whole_ones(spec: BasinSpec) -> None:
    """Set out anew with the measured block at the predicted size, nothing more is cut."""
    before = solve(spec)
    measured = Sizes(spec.block_length + 0.002, None, spec.block_depth + 0.001)
    have = {one.what: one for one in effects(before, measured)}
    length, width = have[INSIDE_LENGTH], have[INSIDE_WIDTH]
    # Every course has it, so that one size has these pieces.
    assert all(one.most == pytest.approx(one.least, abs=1e-9) for one in (length, width))
    anew = solve(
        replace(
            spec, inside_length=length.most, inside_width=width.most,
            block_length=measured.block_length, block_depth=measured.block_depth,
        )
    )  # fmt: skip
    assert anew.blocks.cut_pieces == before.blocks.cut_pieces
    assert anew.blocks.whole == before.blocks.whole
