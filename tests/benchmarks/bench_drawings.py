"""How long the drawings take, in processes started afresh, and against earlier code.

Run: ``python tests/benchmarks/bench_drawings.py [EARLIER]``. Measured are the pictures of the
invented job's workbook drawn anew, the same where nothing that they show has changed, the
commands ``draw`` and ``demo``. EARLIER is a checkout of earlier code, measured in the same run, in
turns, so that a busy machine slows both.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
TURNS = 5
MAKE = """
import sys
from pathlib import Path
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook
make_workbook(Path(sys.argv[1]), "us", DEMO_US)
"""
# Values are read as they are stored, and that is taken out of the time; where things stand in
# earlier code differs, so each name is looked for under both. "anew": with the stamps taken out.
REDRAW = """
import sys, time
from importlib import import_module
from pathlib import Path
def found(*names):
    for name in names:
        try:
            return import_module(name)
        except ModuleNotFoundError:
            continue
recalc = found("basinbook.workbook.recalculation.recalc", "basinbook.workbook.recalc")
package = found("basinbook.workbook.file.package", "basinbook.workbook.package")
path = Path(sys.argv[1])
values = {(sheet, at): value for sheet, cells in recalc.read_values(path).items()
          for at, value in cells.items()}
opened = package.open_package(path)
if sys.argv[2] == "anew":
    for part in package.picture_parts(opened).values():
        opened.parts[part] += bytes(1)
start, cpu = time.perf_counter(), time.process_time()
redraw = found("basinbook.workbook.recalculation.redraw", "basinbook.workbook.redraw")
drawn = redraw.redraw(opened, values)
wall, cpu = time.perf_counter() - start, time.process_time() - cpu
assert len(drawn) == 6 or (not drawn and sys.argv[2] != "anew"), drawn.keys()
print(wall, cpu)
"""
COMMAND = "import sys; from basinbook.cli import main; sys.exit(main(sys.argv[1:]))"
Times = tuple[float, float]
"""On the clock and of the CPU [s]."""


def run(root: Path, code: str, *arguments: str) -> tuple[str, Times]:
    """Run code on a checkout in a process of its own; return what it prints, and its times."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        env={**os.environ, "PYTHONPATH": str(root / "addin")},
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return done.stdout, (wall, cpu)


def measured(root: Path, job: Path, what: str) -> Times:
    """Return the times of one trial in a process of its own."""
    if what in ("anew", "unchanged"):
        wall, cpu = run(root, REDRAW, str(job), what)[0].split()
        return float(wall), float(cpu)
    with tempfile.TemporaryDirectory() as folder:
        if what == "draw":
            return run(root, COMMAND, "draw", str(job), "--out", folder)[1]
        return run(root, COMMAND, "demo", "--out", f"{folder}/demo")[1]


def main() -> None:
    """Print the times of both checkouts and their ratio."""
    roots = [HERE, *(Path(argument).resolve() for argument in sys.argv[1:2])]
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job.xlsx"
        run(HERE, MAKE, str(job))
        for what in ("anew", "unchanged", "draw", "demo"):
            turns = [[measured(root, job, what) for root in roots] for _ in range(TURNS + 1)]
            # The first turn fills the disk's cache.
            medians = [
                tuple(map(statistics.median, zip(*series[1:], strict=True)))
                for series in zip(*turns, strict=True)
            ]
            wall, cpu = medians[0]
            print(f"{what}: {wall:.2f} s on the clock, {cpu:.2f} s of CPU", end="")
            for old_wall, old_cpu in medians[1:]:
                ratio = old_cpu / max(cpu, 1e-3)
                print(f"; earlier {old_wall:.2f} s and {old_cpu:.2f} s: {ratio:.1f} times", end="")
            print(flush=True)


if __name__ == "__main__":
    main()
