"""What a user waits for: whole commands, each in a new process, two installations in turn.

Used by run_all.py. Both sides do the same work on the same workbook, and each on a workbook of
its own templates; processor time is that of the process and its children.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
import time
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final

import openpyxl

from benchmarks.bench_recalc import RECALC

DEMO: Final = "Fernbank courtyard basin.xlsx"
_TIMEOUT: Final = 300


@dataclass(frozen=True)
class Side:
    """An installation to measure: its name in the tables and its Python."""

    name: str
    python: Path

    def basinbook(self, *arguments: str) -> list[str]:
        """Return the command line of a command."""
        return [str(self.python), "-m", "basinbook.cli", *arguments]


@dataclass(frozen=True)
class Figures:
    """Medians of one piece of work on one side."""

    processor: float
    "[s], user and system"
    wall: float
    "[s]"


@dataclass(frozen=True)
class Work:
    """One row: prepares a folder (not timed), then gives the command line to time in it."""

    name: str
    prepare: Callable[[Side, Path], list[str]]


def environment(checkout: Path, folder: Path, python: str) -> Path:
    """Install a checkout into an environment of its own and return its Python."""
    subprocess.run([python, "-m", "venv", str(folder)], check=True)
    inside = folder / "bin" / "python"
    install = [str(inside), "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    subprocess.run([*install, str(checkout)], check=True)
    return inside


def works(sides: list[Side], folder: Path) -> list[Work]:
    """Return all rows, with the workbooks that they need made by each side in the folder."""
    for side in sides:
        run(side.basinbook("demo", "--out", str(folder / side.name)), folder)
        # One input typed anew, so that every drawing changes.
        with_number(folder / side.name / DEMO, "Inside_width", 47, folder / f"{side.name}.xlsx")
    common = folder / f"{sides[0].name}.xlsx"

    def own(side: Side) -> Path:
        return folder / f"{side.name}.xlsx"

    def plain(source: Callable[[Side], Path]) -> Callable[[Side, Path], list[str]]:
        def prepare(side: Side, scratch: Path) -> list[str]:
            shutil.copy(source(side), scratch / "job.xlsx")
            return [str(side.python), "-c", RECALC, "job.xlsx", "values"]

        return prepare

    def drawn(
        source: Callable[[Side], Path], *, twice: bool = False
    ) -> Callable[[Side, Path], list[str]]:
        def prepare(side: Side, scratch: Path) -> list[str]:
            shutil.copy(source(side), scratch / "job.xlsx")
            command = side.basinbook("recalc", "job.xlsx")
            if twice:
                run(command, scratch)
            return command

        return prepare

    def call(side: Side, _scratch: Path) -> list[str]:
        return side.basinbook("call", "WATERVOLUME", "48", "24", "16")

    def demo(side: Side, _scratch: Path) -> list[str]:
        return side.basinbook("demo")

    same: list[Work] = []
    if len(sides) > 1:
        same = [
            Work(f"recalc, workbook of {sides[0].name}, no drawings", plain(lambda _: common)),
            Work(f"recalc, workbook of {sides[0].name}, all drawn anew", drawn(lambda _: common)),
        ]
    return [
        Work("recalc, own template filled in, no drawings", plain(own)),
        Work("recalc, own template filled in, all drawn anew", drawn(own)),
        Work("recalc again, drawings unchanged", drawn(own, twice=True)),
        *same,
        Work("call WATERVOLUME 48 24 16", call),
        Work("demo", demo),
    ]


def measured(sides: list[Side], work: Work, times: int) -> dict[str, Figures]:
    """Return the medians of each side, whose runs take turns; the first run is not counted."""
    found: dict[str, list[tuple[float, float]]] = {side.name: [] for side in sides}
    for _ in range(times + 1):
        for side in sides:
            with tempfile.TemporaryDirectory(prefix="basinbook-bench-") as name:
                scratch = Path(name)
                command = work.prepare(side, scratch)
                found[side.name].append(run(command, scratch))
    return {
        name: Figures(median(cpu for cpu, _ in runs[1:]), median(wall for _, wall in runs[1:]))
        for name, runs in found.items()
    }


def run(command: list[str], folder: Path) -> tuple[float, float]:
    """Run a command in a folder; return its processor time and its wall time [s]."""
    with tempfile.TemporaryFile() as said:
        start, before = time.perf_counter(), os.times()
        done = subprocess.run(
            command, cwd=folder, stdout=said, stderr=said, timeout=_TIMEOUT, check=False
        )
        wall, after = time.perf_counter() - start, os.times()
        if done.returncode:
            said.seek(0)
            raise SystemExit(f"{command}: {said.read().decode(errors='replace')[-2000:]}")
    user = after.children_user - before.children_user
    system = after.children_system - before.children_system
    return user + system, wall


def with_number(source: Path, name: str, value: float, target: Path) -> None:
    """Copy a workbook with another number in the cell of a defined name, all else byte for byte."""
    book = openpyxl.load_workbook(source)
    sheet, _, place = book.defined_names[name].attr_text.rpartition("!")
    cell = place.replace("$", "").partition(":")[0]
    part = f"xl/worksheets/sheet{book.sheetnames.index(sheet.strip(chr(39))) + 1}.xml"
    pattern = re.compile(rf'(<c r="{cell}"[^>]*>)<v>[^<]*</v>'.encode())
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for info in old.infolist():
            data = old.read(info)
            if info.filename == part:
                data, changed = pattern.subn(rb"\g<1><v>%d</v>" % value, data)
                if changed != 1:
                    raise SystemExit(f"{source}: no number in {name}")
            new.writestr(info, data)
