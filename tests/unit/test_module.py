"""Module advice: which sizes are looked at, how they are ranked, and that they hold."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.layout.size_advice import (
    Liner,
    module_lengths,
    module_sizes,
    rank,
    stepped_lengths,
)
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.takeoff import with_breakage

WANTED = BasinSpec(
    inside_length=61 * INCH,
    inside_width=37.5 * INCH,
    block_length=12 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
)


def _inches(sizes: tuple[float, ...]) -> list[float]:
    return [round(size / INCH, 4) for size in sizes]


def test_lengths_at_which_a_16_by_8_block_closes() -> None:
    # m/2 = 8: multiples of 8, less 8 and less 16, are all multiples of 8.
    spec = replace(WANTED, block_length=16 * INCH)
    assert _inches(module_lengths(60 * INCH, 16 * INCH, spec)) == [48, 56, 60, 64, 72]


def test_lengths_at_which_a_12_by_8_block_closes() -> None:
    # m/2 = 6: 6n, 6n - 8 and 6n - 16 are 0, 4 and 2 beyond multiples of 6.
    lengths = module_lengths(61 * INCH, 6 * INCH, WANTED)
    assert _inches(lengths) == [56, 58, 60, 61, 62, 64, 66]


def test_lengths_with_mortar_joints_are_nominal_and_one_joint() -> None:
    # Openings in modular masonry are whole multiples of the half unit and one joint (NAVEDTRA
    # 14045, table 4-3: a wall's actual length is its nominal length less one joint).
    joint = 3 / 8
    spec = replace(
        WANTED, block_length=(16 - joint) * INCH, block_depth=(8 - joint) * INCH, joint=joint * INCH
    )
    lengths = module_lengths(60 * INCH, 9 * INCH, spec)
    assert _inches(lengths) == [56 + joint, 60, 64 + joint]


def test_lengths_with_courses_on_edge() -> None:
    # On edge the wall is 4 in thick, doubled 8 in: 6n - 4 and 6n - 8 are 2 and 4 beyond 6n.
    spec = replace(WANTED, block_depth=12 * INCH, edge_courses="2")
    assert _inches(module_lengths(60 * INCH, 6 * INCH, spec)) == [54, 56, 58, 60, 62, 64, 66]
    doubled = replace(spec, edge_doubled="yes")
    assert _inches(module_lengths(60 * INCH, 6 * INCH, doubled)) == [54, 56, 58, 60, 62, 64, 66]
    plain = replace(spec, edge_courses="")
    assert _inches(module_lengths(60 * INCH, 6 * INCH, plain)) == [54, 60, 66]


def test_stepped_lengths() -> None:
    assert _inches(stepped_lengths(60 * INCH, 1 * INCH, 0.5 * INCH)) == [59, 59.5, 60, 60.5, 61]


def test_best_size_is_the_nearest_without_cuts() -> None:
    # 12 in block in an 8 in wall: with one corner block a run is I + 8, so 64 and 40 (72 and 48:
    # six and four blocks) close without a cut, and no size nearer to 61 × 37.5 does.
    best = module_sizes(WANTED)[0]
    assert _inches((best.inside_length, best.inside_width)) == [64, 40]
    assert best.cuts == 0


def test_sizes_stand_by_cuts_then_distance() -> None:
    sizes = module_sizes(WANTED, count=500)
    keys = [
        (
            s.cuts,
            round(
                hypot(s.inside_length - WANTED.inside_length, s.inside_width - WANTED.inside_width),
                5,
            ),
        )
        for s in sizes
    ]
    assert keys == sorted(keys)
    assert len({(s.inside_length, s.inside_width) for s in sizes}) == len(sizes)
    assert (WANTED.inside_length, WANTED.inside_width) in [
        (s.inside_length, s.inside_width) for s in sizes
    ]


def test_numbers_are_those_of_the_layout() -> None:
    for size in module_sizes(WANTED, count=40, block_price=5.25)[::5]:
        layout = solve(
            replace(WANTED, inside_length=size.inside_length, inside_width=size.inside_width)
        )
        assert size.cuts == sum(not piece.whole for piece in layout.pieces)
        assert size.blocks == with_breakage(layout.blocks)
        assert size.cost == pytest.approx(5.25 * size.blocks)
        assert size.water == pytest.approx(
            size.inside_length * size.inside_width * WANTED.water_depth
        )


def test_count_limits_the_list() -> None:
    assert module_sizes(WANTED, count=3) == module_sizes(WANTED, count=9)[:3]


def test_span_of_nothing_gives_the_wanted_size_alone() -> None:
    (only,) = module_sizes(WANTED, span=0.0)
    assert (only.inside_length, only.inside_width) == (61 * INCH, 37.5 * INCH)


def test_sizes_keep_to_the_range_of_the_inputs() -> None:
    small = replace(WANTED, inside_width=0.25)
    assert all(s.inside_width >= 0.2 for s in module_sizes(small, count=500))


def test_liner_is_checked_against_each_size() -> None:
    liner = Liner(64 * INCH, 40 * INCH, INCH / 4)
    sizes = module_sizes(WANTED, count=500, liner=liner)
    fits = [s for s in sizes if s.liner_fit == "fits"]
    assert {tuple(_inches((s.inside_length, s.inside_width))) for s in fits} == {(64, 40)}
    assert all(s.liner_fit for s in sizes)
    assert all(s.liner_fit is None for s in module_sizes(WANTED))


def test_sizes_that_cannot_be_laid_out_are_left_out() -> None:
    # A joint offset of more than half a block can't be kept at any size: the reason is given.
    with pytest.raises(InputError, match="Least joint offset"):
        module_sizes(replace(WANTED, joint_offset=0.4))
    good = (64 * INCH, 40 * INCH)
    found = rank(WANTED, [good, (0.001, 0.001)], count=5)
    assert [(s.inside_length, s.inside_width) for s in found] == [good]


@pytest.mark.parametrize(
    ("given_in", "argument"),
    [({"span": -0.1}, "span"), ({"step": -0.1}, "step"), ({"block_price": -1.0}, "block_price"),
     ({"count": 0}, "count"), ({"step": 0.0001}, "step"), ({"span": 14.0}, "span")],
)  # fmt: skip
def test_refused(given_in: dict[str, float], argument: str) -> None:
    with pytest.raises(InputError) as caught:
        module_sizes(WANTED, **given_in)  # type: ignore[arg-type]
    assert caught.value.argument == argument


LABELS = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"], ["Block depth"]]
VALUES = [[61], [37.5], [12], [4], [8]]


def test_sheet_function_fills_its_rows() -> None:
    table = call("MODULESIZES", LABELS, VALUES, None, 2, None, 4).value
    assert isinstance(table, list)
    assert [row[2] for row in table] == [0, 0, "", ""]
    assert len(call("MODULESIZES", LABELS, VALUES, None, 5, None, 3).value) == 3  # type: ignore[arg-type]


def test_sheet_function_wants_both_sizes_of_a_liner() -> None:
    with pytest.raises(InputError) as caught:
        call("MODULESIZES", LABELS, VALUES, None, 2, None, None, 64)
    assert caught.value.argument == "liner_width"


@settings(max_examples=25, deadline=None)
@given(
    st.integers(200, 600), st.integers(120, 400), st.integers(30, 90), st.integers(10, 40),
    st.integers(0, 1),
)  # fmt: skip
def test_lengths_are_whole_half_modules(
    wanted: int, span: int, block: int, depth: int, joint: int
) -> None:
    # In whole centimetres by hand: one of the three runs is a whole number of half modules.
    spec = replace(
        WANTED, block_length=block / 100, block_depth=depth / 100, joint=joint / 100
    )  # fmt: skip
    for size in module_lengths(wanted / 100, span / 100, spec):
        assert abs(size - wanted / 100) <= span / 100 + 1e-5
        if abs(size - wanted / 100) < 1e-9:
            continue
        twice = round(size * 200)
        module = block + joint
        runs = (twice - 2 * joint, twice + 2 * depth, twice + 4 * depth + 2 * joint)
        assert any(run % module == 0 for run in runs)
