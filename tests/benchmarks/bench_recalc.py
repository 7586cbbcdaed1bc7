"""How long a recalculation takes, in processes started afresh, and against earlier code.

Run: ``python tests/benchmarks/bench_recalc.py [EARLIER]``. The filled template of the invented job
is recalculated as the command line does it, without and with its drawings; no value is stored in
it before. EARLIER is a checkout of earlier code, measured in the same run, in turns, so that a busy
machine slows both; the values that both store are compared before a ratio is printed.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
TURNS = 5
COMPILED = Path(tempfile.gettempdir()) / f"basinbook-compiled-{os.getuid()}"
# "recalc" by the command line, with the drawings or without them. Where things stand in earlier
# code differs, so each name is looked for under both.
RECALC = """
import sys
from contextlib import nullcontext
from importlib import import_module
from basinbook import cli
if sys.argv[2] != "drawings":
    for name in ("basinbook.workbook.recalculation.redraw", "basinbook.workbook.redraw"):
        try:
            module = import_module(name)
        except ModuleNotFoundError:
            continue
        module.redraw = lambda package, values: {}
        module.redrawing = lambda package, read: nullcontext(module.redraw)
sys.exit(cli.main(["recalc", sys.argv[1]]))
"""
READ = """
import json, sys
from pathlib import Path
import openpyxl
book = openpyxl.load_workbook(sys.argv[1], data_only=True)
print(json.dumps({f"{sheet.title}!{cell.coordinate}": str(cell.value)
                  for sheet in book for row in sheet.iter_rows() for cell in row
                  if cell.value is not None}))
"""
MAKE = """
import sys
from pathlib import Path
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template import build_template, fill
from basinbook.workbook.template.template_files import _save
workbook = build_template("us")
fill(workbook, DEMO_US)
_save(workbook, Path(sys.argv[1]))
"""


@dataclass
class Series:
    """The times of one checkout for one kind of recalculation: on the clock and of the CPU [s]."""

    wall: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)

    def medians(self) -> tuple[float, float]:
        """Return the median of both."""
        return statistics.median(self.wall), statistics.median(self.cpu)


def run(root: Path, code: str, *arguments: str) -> tuple[str, float, float]:
    """Run code on a checkout in a process of its own; return what it prints, and its times [s]."""
    environment = {**os.environ, "PYTHONPATH": str(root / "addin")}
    # As in an installation, where modules were compiled when they were first used.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["PYTHONPYCACHEPREFIX"] = str(COMPILED)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        env=environment,
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return done.stdout, wall, cpu


def values(path: Path) -> dict[str, str]:
    """Return the values stored in a workbook."""
    found: dict[str, str] = json.loads(run(HERE, READ, str(path))[0])
    return found


def main() -> None:
    """Print the times of both checkouts and their ratio."""
    roots = [HERE, *(Path(argument).resolve() for argument in sys.argv[1:2])]
    with tempfile.TemporaryDirectory() as folder:
        filled = Path(folder) / "filled.xlsx"
        run(HERE, MAKE, str(filled))
        for what in ("values", "drawings"):
            times = [Series() for _ in roots]
            for turn in range(TURNS + 1):
                results: list[object] = []
                for root, series in zip(roots, times, strict=True):
                    copy = Path(folder) / f"copy{len(results)}.xlsx"
                    copy.write_bytes(filled.read_bytes())
                    _, wall, cpu = run(root, RECALC, str(copy), what)
                    results.append(copy)
                    if turn:  # the first one fills the disk's cache
                        series.wall.append(wall)
                        series.cpu.append(cpu)
            found = [values(copy) for copy in results]
            differing = sum(found[0].get(at) != found[-1].get(at) for at in found[0])
            wall, cpu = times[0].medians()
            print(f"recalc, {what}: {wall:.2f} s on the clock, {cpu:.2f} s of CPU", end="")
            if len(roots) > 1:
                old_wall, old_cpu = times[1].medians()
                print(
                    f"; earlier {old_wall:.2f} s and {old_cpu:.2f} s: "
                    f"{old_cpu / cpu:.1f} times the CPU; {differing} of {len(found[0])} stored "
                    "values written differently",
                    end="",
                )
            print()


if __name__ == "__main__":
    main()
