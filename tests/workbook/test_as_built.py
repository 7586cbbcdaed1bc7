"""A job with courses laid on other sizes than planned: its papers are of what is built."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbook.test_true_courses import Job, job

LAID = {"Courses_laid": 2, "Measured_inside_length": "5' 4 1/2\"", "Measured_inside_width": 46.25}


@pytest.fixture(scope="module")
def built(demos: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> Job:
    return job(demos, tmp_path_factory.mktemp("built"), "us", Liner="Sheet liner 45 mil", **LAID)


def number(job: Job, name: str) -> float:
    (value,) = job.named(name)
    assert isinstance(value, int | float), name
    return value


def test_check_sheet_liner_and_water_are_of_the_measured_size(built: Job) -> None:
    """By hand: 64.5 x 46.25 in; the sheet goes down 20 in, across and up, and 6 in over each wall;
    64.5 · 46.25 · 17 / 231 gal."""
    assert built.beside("Checks", "Inside length, front") == "5' 4 1/2\""
    assert built.beside("Checks", "Inside width, right") == "3' 10 1/4\""
    assert built.beside("Stages", "Inside: length") == "5' 4 1/2\""
    assert number(built, "Qty_Liner_length") == pytest.approx(64.5 + 2 * 20 + 2 * 6)
    assert number(built, "Qty_Liner_width") == pytest.approx(46.25 + 2 * 20 + 2 * 6)
    assert number(built, "Qty_Water_volume") == pytest.approx(64.5 * 46.25 * 17 / 231)


def test_no_other_size_or_block_is_advised_once_courses_are_laid(built: Job) -> None:
    assert built.beside("Basin", "Nearest better size") == "Courses are laid: the inside size stays"
    assert built.beside("Basin", "Better block or courses") == (
        "Courses are laid: block and courses stay"
    )
    (note,) = built.named("Aim_note")
    assert str(note).endswith("; of what is still to lay")
