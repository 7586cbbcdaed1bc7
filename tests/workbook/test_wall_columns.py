"""A column at a wall, typed into a workbook as a user does: what is laid, bought and told."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from workbook.test_true_courses import job


def test_a_typed_column_is_laid_bought_and_told(demos: Mapping[str, Path], tmp_path: Path) -> None:
    """By hand: block of 18 x 4 x 8 in makes a column of 26 in, four of them a course."""
    made = job(
        demos, tmp_path, "us", Wall_column_1="by front wall", Wall_column_1_courses=4,
        Column_cap="Column cap 30 x 30",
    )  # fmt: skip
    assert made.named("Qty_Column_pieces", "Qty_Column_side", "Qty_Column_caps") == [
        16, pytest.approx(26), 1,
    ]  # fmt: skip
    steps = [str(value) for value in made.values["Steps"].values()]
    assert any("Column by front wall (column 1): 4 rows" in text for text in steps)
    assert any('one on the column, 2\' 6" square, 2" past the column' in text for text in steps)
    (row,) = (at[1:] for at, text in made.values["Order"].items() if text == "Column cap")
    assert 1 in [made.values["Order"].get(f"{letter}{row}") for letter in "BCDEF"]


def test_a_typed_column_in_a_wall_interlocks_is_bought_and_told(
    demos: Mapping[str, Path], tmp_path: Path
) -> None:
    """By hand: three blocks of its own a course in the wall, four over it; caps end at it."""
    made = job(
        demos, tmp_path, "us", Wall_column_1="in left wall", Wall_column_1_courses=8,
        Column_cap="Column cap 30 x 30", Cap_corners="butted", Least_joint_offset=4,
    )  # fmt: skip
    courses, pieces, side = made.named("Qty_Courses", "Qty_Column_pieces", "Qty_Column_side")
    assert (pieces, side) == (3 * courses + 4 * (8 - courses), pytest.approx(26))
    plan = [str(value) for value in made.values["Setting plan"].values()]
    steps = [str(value) for value in made.values["Steps"].values()]
    assert any("Column in left wall (column 1): 8 rows" in text for text in steps)
    assert any("column 1 stands in the gap" in text for text in plan)
