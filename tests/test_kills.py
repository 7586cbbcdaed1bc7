"""Each writing command, killed at every step and at any moment: the old files or the new ones.

BASINBOOK_FUZZ=long kills more often at random moments, and makes demo and templates for real.
"""

from __future__ import annotations

import io
import os
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pytest

import kills
import order_book
from basinbook.cli import main
from basinbook.drawings.drawing_set import write_drawings
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.workbook.template import demo_files, template_files
from basinbook.workbook.template.template_files import NAMES, template_folder
from drawing_jobs import OUTFIT, SIMPLE

LONG = os.environ.get("BASINBOOK_FUZZ") == "long"
MOMENTS = 12 if LONG else 2
LITTER = ".basinbook-write-"

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs Unix processes"),
    # What a second core makes of a command is killed too.
    pytest.mark.usefixtures("all_cores"),
]


@dataclass(frozen=True)
class Case:
    """A command and the files it finds; ``folder`` is the one that everything lies in."""

    work: Callable[[], object]
    steps: int
    """The fewest steps that its writer has."""
    quick: bool = False
    """Whether a whole run takes so little that each kill is followed by one."""


def job(path: Path) -> Path:
    """A workbook with a formula whose value is out of date."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"], sheet["A2"] = 48, "=BASIN.WATERVOLUME(A1,24,16)"
    book.save(path)
    return path


def old(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(f"the old {name}".encode())


def command(*words: object) -> Callable[[], object]:
    return lambda: main([str(word) for word in words])


def drawn(folder: Path) -> Callable[[], object]:
    layout = solve(SIMPLE)
    title = TitleBlock("Pond court", "2026-03-05", "A", "us", "letter")

    def work() -> None:
        write_drawings(layout, title, OUTFIT, folder, force=True)

    return work


def recalc_in_place(folder: Path) -> Case:
    return Case(command("recalc", job(folder / "job.xlsx")), 8, quick=True)


def recalc_through_a_link(folder: Path) -> Case:
    job(folder / "real.xlsx")
    (folder / "job.xlsx").symlink_to("real.xlsx")
    return Case(command("recalc", folder / "job.xlsx"), 8, quick=True)


def recalc_out(folder: Path) -> Case:
    old(folder, "out.xlsx")
    out = folder / "out.xlsx"
    return Case(command("recalc", job(folder / "job.xlsx"), "--out", out, "--force"), 8, quick=True)


def convert(folder: Path) -> Case:
    old(folder, "job_excel.xlsx")
    return Case(command("convert", job(folder / "job.xlsx"), "--to", "excel", "--force"), 8)


def new(folder: Path) -> Case:
    old(folder, "job.xlsx")
    return Case(command("new", folder / "job.xlsx", "--force"), 8)


def changes(folder: Path) -> Case:
    old(folder, "list.csv")
    blank = template_folder() / NAMES["us"]
    return Case(command("changes", blank, blank, "--out", folder / "list.csv", "--force"), 8)


def addin_build(folder: Path) -> Case:
    old(folder, "functions.oxt")
    return Case(command("addin", "build", "calc", "--out", folder / "functions.oxt", "--force"), 8)


def order_over_an_order(folder: Path) -> Case:
    source = order_book.make(folder / "job.xlsx")
    main(["order", str(source)])
    for path in folder.glob("Order*"):
        path.write_bytes(b"an older order")
    return Case(command("order", source, "--force"), 25)


def order_into_a_new_folder(folder: Path) -> Case:
    source = order_book.make(folder / "job.xlsx")
    return Case(command("order", source, "--out", folder / "sent" / "first", "--force"), 15)


def draw(folder: Path) -> Case:
    old(folder, "drawings.pdf", "drawing-plan-1.svg", "the user's own.pdf", "photos/site.png")
    return Case(drawn(folder), 40)


def draw_into_a_new_folder(folder: Path) -> Case:
    return Case(drawn(folder / "drawings"), 15)


def templates(folder: Path) -> Case:
    old(folder, *NAMES.values(), "notes.txt")
    return Case(command("templates", folder, "--force"), 25)


def demo(folder: Path) -> Case:
    old(folder, "Fernbank courtyard basin.xlsx", "order/older order.pdf", "my notes.txt")
    return Case(command("demo", "--out", folder, "--force"), 25)


def demo_into_a_new_folder(folder: Path) -> Case:
    return Case(command("demo", "--out", folder / "demo", "--force"), 15)


CASES = [
    recalc_in_place, recalc_through_a_link, recalc_out, convert, new, changes, addin_build,
    order_over_an_order, order_into_a_new_folder, draw, draw_into_a_new_folder, templates, demo,
    demo_into_a_new_folder,
]  # fmt: skip


@pytest.fixture(autouse=True)
def quick_content(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand-ins for what takes long to work out; the writing is the real one."""
    if LONG:
        return

    def make_workbook(path: Path, system: str, *_: object, **__: object) -> None:
        shutil.copy(template_folder() / NAMES[system], path)

    def made(work: Path, _: Path) -> str:
        for name in ("Fernbank courtyard basin.xlsx", "order/order.eml", "pictures/Job-1.png"):
            (work / name).parent.mkdir(exist_ok=True)
            (work / name).write_bytes(name.encode() * 9)
        return "done"

    monkeypatch.setattr(template_files, "make_workbook", make_workbook)
    monkeypatch.setattr(demo_files, "_made", made)


@pytest.mark.parametrize("make", CASES)
def test_killed_at_every_step(make: Callable[[Path], Case], tmp_path: Path) -> None:
    folder, copies = tmp_path / "folder", tmp_path / "copies"
    folder.mkdir()
    copies.mkdir()
    case = make(folder)
    before = kills.tree(folder)
    left, done = kills.at_every_step(case.work, folder, copies, whole=case.quick)
    assert len(left) >= case.steps
    print(f"{make.__name__}: {len(left)} kills")
    check(left, before, done)
    # Old and new are both met, or the kills did not reach the renames.
    assert any(one.looked == before for one in left)
    assert any(one.looked == done for one in left)


@pytest.mark.parametrize("make", CASES)
def test_killed_at_any_moment(make: Callable[[Path], Case], tmp_path: Path) -> None:
    folder, copies = tmp_path / "folder", tmp_path / "copies"
    folder.mkdir()
    copies.mkdir()
    case = make(folder)
    before = kills.tree(folder)
    left, done = kills.at_any_moment(case.work, folder, copies, MOMENTS)
    assert len(left) == MOMENTS
    for one in left:
        whole(one.killed, before)
        assert one.after.keys() == done.keys()
        for name, data in settled(one.killed).items():
            if data == before.get(name):
                continue
            same_kind(name, data)


def check(left: list[kills.Left], before: kills.Tree, done: kills.Tree) -> None:
    for one in left:
        assert one.after == done
        assert one.looked in (before, done)
        for name, data in settled(one.killed).items():
            assert data in (before.get(name), done.get(name)), name
        whole(one.killed, before)


def settled(tree: kills.Tree) -> kills.Tree:
    """The user's files, without what lies in folders of a killed run."""
    return {name: data for name, data in tree.items() if not name.startswith(LITTER)}


def whole(tree: kills.Tree, before: kills.Tree) -> None:
    """No file of the user is missing, and what is new can be opened."""
    assert before.keys() <= tree.keys()
    for name, data in settled(tree).items():
        if data != before.get(name):
            same_kind(name, data)


def same_kind(name: str, data: bytes) -> None:
    if name.endswith((".xlsx", ".oxt")) and not data.startswith(b"Fernbank"):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert archive.testzip() is None
    elif name.endswith(".svg"):
        assert data.rstrip().endswith(b"</svg>")
    elif name.endswith(".pdf"):
        assert data.rstrip().endswith(b"%%EOF")
