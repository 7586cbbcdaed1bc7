"""The setting plan by runs against the placed pieces."""

from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.engine.layout.results.schedule import runs
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec

SPEC = BasinSpec(
    inside_length=66 * INCH, inside_width=43 * INCH, block_length=16 * INCH,
    block_height=6 * INCH, block_depth=8 * INCH, water_depth=14 * INCH, cap_length=24 * INCH,
    cap_depth=12 * INCH, cap_height=2 * INCH, columns=2, column_courses=5, second_wall="yes",
    opening_width=5 * INCH, opening_course=2,
)  # fmt: skip


def test_every_piece_is_in_one_run() -> None:
    layout = solve(SPEC)
    found = runs(layout)
    for course in layout.courses:
        numbers = [n for run in found for n in run.numbers
                   if run.course == course.number and "cap" not in run.part]  # fmt: skip
        assert sorted(numbers) == sorted(p.number for p in course.pieces)
    assert sum(run.whole for run in found if "cap" not in run.part) == layout.blocks.whole
    assert sum(run.cut for run in found if "cap" not in run.part) == layout.blocks.cut_pieces


def test_lengths_add_up_to_the_wall() -> None:
    """A run's pieces fill outside or inside length, whichever its corners give, less a gap."""
    layout = solve(SPEC)
    gap = SPEC.opening_width
    inside, thick = SPEC.inside_length, SPEC.block_depth
    allowed = {inside, inside + thick, inside + 2 * thick}
    for run in runs(layout):
        if run.part == "front":
            assert any(run.total == pytest.approx(x) for x in allowed)
        if run.part == "back":
            less = gap if run.course == SPEC.opening_course else 0.0
            assert any(run.total == pytest.approx(x - less) for x in allowed)
        listed = sum(many * length for many, length, *_ in run.lengths)
        alike = sum(letter.isdigit() for letter in run.part) or 1
        assert alike * listed == pytest.approx(run.total)


def test_too_few_rows_are_said() -> None:
    labels = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
              ["Block depth"]]  # fmt: skip
    values = [[64], [46], [18], [4], [8]]
    table = call("SETTINGRUNS", labels, values, 3, "us").value
    assert isinstance(table, list)
    assert len(table) == 3
    assert "more rows" in str(table[2][7])
    padded = call("SETTINGRUNS", labels, values, 200, "us").value
    assert isinstance(padded, list)
    assert len(padded) == 200
    assert padded[-1] == [""] * 10


def test_a_gap_stands_where_it_is_left_open() -> None:
    layout = solve(SPEC)
    (back,) = (r for r in runs(layout) if r.part == "back" and r.course == SPEC.opening_course)
    gaps = [length for many, length, *_ in back.lengths if not many]
    assert gaps == [pytest.approx(SPEC.opening_width)]
    others = [r for r in runs(layout) if r.part == "back" and r.course != SPEC.opening_course]
    assert all(many for run in others for many, *_ in run.lengths)
