"""Drawings made in a second process are those that are made in the first."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from basinbook import beside
from basinbook.drawings import drawing_set
from basinbook.drawings.drawing_set import drawing_files
from basinbook.engine.layout.solver import solve
from basinbook.workbook.recalculation import redraw
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.template import demo_files
from workbook.places import retyped

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")


def _noted(path: Path, work: Callable[..., object]) -> Callable[..., object]:
    """The same work, which notes the process that does it."""

    def noted(*inputs: object) -> object:
        with path.open("a") as file:
            file.write(f"{os.getpid()}\n")
        return work(*inputs)

    return noted


def _processes(path: Path) -> set[int]:
    found = {int(line) for line in path.read_text().split()}
    path.unlink()
    return found


@needs_fork
def test_recalculation_draws_the_same_in_either_process(
    demos: dict[str, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = retyped(demos["us"], tmp_path / "job.xlsx", {"Inside_width": 30})
    log, made = tmp_path / "log", {}
    monkeypatch.setattr(redraw, "redraw", _noted(log, redraw.redraw))
    for forked in (False, True):
        monkeypatch.setattr(beside, "_has_room", lambda forked=forked: forked)
        out = tmp_path / f"{forked}.xlsx"
        redraw._kept.clear()
        recalculate(path, out=out, early=(redraw.redrawing,))
        made[forked] = out.read_bytes()
        assert (os.getpid() in _processes(log)) is not forked
    assert made[True] == made[False] != path.read_bytes()
    # What was drawn from other values does not count.
    out = tmp_path / "other.xlsx"
    redraw._kept.clear()
    recalculate(path, out=out, early=(lambda package, _: redraw.redrawing(package, lambda _: {}),))
    assert len(_processes(log)) == 2
    assert out.read_bytes() == made[False]


@needs_fork
@pytest.mark.parametrize("forked", [True, False])
def test_pictures_drawn_before_are_kept_whichever_process_drew_them(
    demos: dict[str, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, forked: bool
) -> None:
    """For the same inputs only, and of no more than a few."""
    path = retyped(demos["us"], tmp_path / "job.xlsx", {"Inside_width": 31})
    other = retyped(demos["us"], tmp_path / "other.xlsx", {"Inside_width": 31, "Job_revision": 7})
    redraw._kept.clear()
    monkeypatch.setattr(beside, "_has_room", lambda: forked)
    first = recalculate(path, out=tmp_path / "first.xlsx", early=(redraw.redrawing,))
    assert first.pictures == 7
    monkeypatch.setattr(drawing_set, "page_pngs", None)
    again = recalculate(path, out=tmp_path / "again.xlsx", early=(redraw.redrawing,))
    assert again.out.read_bytes() == first.out.read_bytes()
    with pytest.raises(TypeError):
        recalculate(other, early=(redraw.redrawing,))
    (kept,) = redraw._kept
    for number in range(redraw._MOST_KEPT):
        redraw._keep(str(number), {})
    assert kept not in redraw._kept
    assert len(redraw._kept) == redraw._MOST_KEPT


@needs_fork
def test_demo_draws_its_set_in_a_second_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = tmp_path / "log"
    monkeypatch.setattr(demo_files, "_set", _noted(log, demo_files._set))
    monkeypatch.setattr(beside, "_has_room", lambda: True)
    demo_files.make_demo(tmp_path / "demo")
    assert os.getpid() not in _processes(log)
    (book,) = (tmp_path / "demo").glob("*.xlsx")
    inputs = drawing_inputs(book)
    expected = drawing_files(solve(inputs.spec), inputs.title, inputs.outfit)
    written = {path.name: path.read_bytes() for path in (tmp_path / "demo/drawings").iterdir()}
    assert written == expected
