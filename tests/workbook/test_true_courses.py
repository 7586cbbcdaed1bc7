"""Sheets of jobs with a thin course or with bed joints, as a user fills them in."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from basinbook.workbook.recalculation.recalc import read_values, recalculate
from workbook.places import place, retyped

# No columns, second wall or opening; block of 18 × 4 × 8 in, caps of 24 × 12 × 2 in.
PLAIN: dict[str, object] = {
    "Columns": 0, "Second_wall": "no", "Pipe_opening": 0, "Column_cap": None, "Access_gap": 0,
    "Block_density": 130,
}  # fmt: skip


Values = Mapping[str, Mapping[str, object]]


class Job:
    """A calculated job: its cells by name, and texts by the label beside them."""

    def __init__(self, path: Path) -> None:
        recalculate(path)
        self.book: Workbook = openpyxl.load_workbook(path)
        self.values: Values = read_values(path)

    def named(self, *names: str) -> list[object]:
        places = [place(self.book, name) for name in names]
        return [self.values[sheet].get(at) for sheet, at in places]

    def beside(self, sheet: str, label: str) -> object:
        (row,) = (at[1:] for at, text in self.values[sheet].items() if text == label)
        return self.values[sheet].get(f"B{row}")


def job(demos: Mapping[str, Path], out: Path, system: str, **typed: object) -> Job:
    return Job(retyped(demos[system], out / "job.xlsx", {**PLAIN, **typed}))


def test_a_thin_course_is_weighed_as_it_is(demos: dict[str, Path], tmp_path: Path) -> None:
    # 14 in of water and 2 over: courses of 4, 8 (on edge, 4 in thick) and 4 in. By hand in
    # tests/unit/test_wall_loads.py: 108.33 lb/ft, 544 / 120 in, 0.45 · 108.33 / 42.486 = 1.147; the
    # course over the thin one balances on its edge.
    made = job(demos, tmp_path, "us", Water_depth=14, Courses_on_edge="2")
    weight, lever, sliding, overturning, thin, notes, height = made.named(
        "Wall_weight", "Half_thickness", "Sliding", "Overturning",
        "Qty_Thinnest_course_under_a_thicker_one", "Layout_notes", "Access_height",
    )  # fmt: skip
    assert weight == pytest.approx(108.333, abs=1e-3)
    assert lever == pytest.approx(544 / 120)
    assert (sliding, overturning, thin, height) == (1.14, 0, pytest.approx(4), 0)
    assert "thinner below than above: course 2" in str(notes)
    assert "no access gap" in str(made.beside("Losses and loads", "Pump through the gap"))


def test_the_verdict_has_the_cells_number(demos: dict[str, Path], tmp_path: Path) -> None:
    # The demo's walls with 5 psi of glue: less than 1.5 times the load.
    made = job(demos, tmp_path, "us", Glue_shear="5 psi")
    ratio, verdict = made.named("Box", "Load_verdict")
    assert isinstance(ratio, float)
    assert 1.0 < ratio < 1.5
    assert str(verdict).startswith("Look closer: ")
    assert f"ratio {ratio:g}, under 1.5" in str(verdict)


def test_heights_with_bed_joints(demos: dict[str, Path], tmp_path: Path) -> None:
    # Four courses of 100 mm, joints of 5: 415 mm; caps of 50 on a joint: 470.
    made = job(demos, tmp_path, "metric", Water_depth=350, Freeboard=50, Joint=5)
    wall, capped = made.named("Qty_Wall_height", "Qty_Wall_height_with_caps")
    assert wall == pytest.approx(415)
    assert capped == pytest.approx(470)
