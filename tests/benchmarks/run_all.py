"""All benchmarks in one command, with a table of before and after in docs/benchmarks.md.

Run: ``python tests/benchmarks/run_all.py [--before CHECKOUT]``. CHECKOUT is a folder with an
earlier state, such as ``git worktree add ../before COMMIT`` makes. Both states are installed into
new environments from the same Python; their processes take turns, so that what else the machine
does meets both. Every ``bench_*.py`` is run from here and, where the earlier state has one of the
same name, from there right before, in rounds; figures with the same words are set side by side.
The last section of the page, on edits in Calc, is written by hand and stays.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import Final

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.cold_processes import Figures, Side, environment, measured, works

HERE: Final = Path(__file__).parent
ROOT: Final = HERE.parents[1]
_BOUND: Final = 900
_BY_HAND: Final = "## Edits in Calc"
_FIGURE: Final = re.compile(r"(?P<value>\d[\d,]*(?:\.\d+)?) (?P<unit>ms|s|µs|us|KiB|MiB)\b")


def main() -> int:
    """Run what is asked for and write the page."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--before", type=Path, metavar="CHECKOUT", help="folder of the old state")
    parser.add_argument("--times", type=int, default=5, help="runs of each command (default 5)")
    parser.add_argument("--rounds", type=int, default=3, help="of each bench_*.py (default 3)")
    parser.add_argument("--only", action="append", help="cold, or a name such as bench_layout")
    parser.add_argument("--out", type=Path, default=ROOT / "docs" / "benchmarks.md")
    asked = parser.parse_args()
    before = asked.before.resolve() if asked.before else None
    benches = sorted(path.stem for path in HERE.glob("bench_*.py"))
    only = asked.only or ["cold", *benches]
    with tempfile.TemporaryDirectory(prefix="basinbook-bench-") as folder:
        scratch = Path(folder)
        sides = [Side("after", environment(ROOT, scratch / "after-python", sys.executable))]
        if before:
            old = environment(before, scratch / "before-python", sys.executable)
            sides.insert(0, Side("before", old))
        parts = [heading(before)]
        if "cold" in only:
            parts.append(cold_table(sides, scratch, asked.times))
        for name in benches:
            if name in only:
                parts.append(bench_part(name, before, sides[0].python, asked.rounds))
    page = "\n".join([*parts, by_hand(asked.out)])
    asked.out.write_text(page, encoding="utf-8")
    print(page)
    return 0


def by_hand(page: Path) -> str:
    """Return the last section of the page as it is, if there is one."""
    text = page.read_text(encoding="utf-8") if page.exists() else ""
    at = text.find(_BY_HAND)
    return text[at:] if at >= 0 else ""


def heading(before: Path | None) -> str:
    """Return the page's head: what was compared, and on what machine."""
    states = f"after: {commit(ROOT)}"
    if before:
        states = f"before: {commit(before)}; {states}"
    return f"""# Benchmarks

Written by `python tests/benchmarks/run_all.py --before CHECKOUT`, but for the last section. Ratio:
before divided by after, so 2.0 is twice as fast.

- {states[0].upper()}{states[1:]}
- {machine()}
"""


def commit(checkout: Path) -> str:
    """Return the short name of a checkout's commit."""
    done = subprocess.run(
        ["git", "describe", "--always", "--dirty"],
        cwd=checkout, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return done.stdout.strip() or str(checkout.name)


def machine() -> str:
    """Return one line on the machine and how busy it is."""
    info = Path("/proc/cpuinfo")
    found = re.search(r"model name\s*: (.*)", info.read_text()) if info.exists() else None
    name = found[1] if found else platform.processor()
    return (
        f"{name}, {os.cpu_count()} cores, {platform.system()} {platform.machine()}, "
        f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f} at the start"
    )


def cold_table(sides: list[Side], scratch: Path, times: int) -> str:
    """Return the table of whole commands in new processes."""
    rows = []
    for work in works(sides, scratch):
        found = measured(sides, work, times)
        print(work.name, found, file=sys.stderr)
        rows.append(f"| {work.name} | {' | '.join(cells(found, sides))} |")
    if len(sides) > 1:
        titles = "before CPU [s] | after CPU [s] | ratio | before wall [s] | after wall [s] | ratio"
    else:
        titles = "CPU [s] | wall [s]"
    rule = " | ".join("---:" for _ in titles.split("|"))
    return "\n".join(
        (
            "## Whole commands",
            "",
            f"Each in a new process, median of {times} runs, the two states in turn. CPU is user "
            "and system time. The workbook is the demo's with its inside width changed.",
            "",
            f"| command | {titles} |",
            f"| --- | {rule} |",
            *rows,
            "",
        )
    )


def cells(found: dict[str, Figures], sides: list[Side]) -> Iterator[str]:
    """Yield the cells of a row: processor time, then wall time, of each side and as a ratio."""
    for what in ("processor", "wall"):
        values = [getattr(found[side.name], what) for side in sides]
        yield from (f"{value:.2f}" for value in values)
        if len(values) > 1:
            yield f"{values[0] / values[1]:.1f}"


def bench_part(name: str, before: Path | None, old_python: Path, rounds: int) -> str:
    """Return one benchmark's section: figures in common side by side, and what it printed last."""
    old = before / "tests" / "benchmarks" / f"{name}.py" if before else None
    earlier, now = [], []
    for _ in range(rounds):
        if old and old.exists():
            earlier.append(figures(bench(old_python, old)))
        said = bench(Path(sys.executable), HERE / f"{name}.py")
        now.append(figures(said))
    rows = []
    for label, unit in now[-1]:
        both = [
            [one[label, unit] for one in side if (label, unit) in one] for side in (earlier, now)
        ]
        if both[0] and median(both[1]):
            first, second = map(median, both)
            rows.append(
                f"| {label} | {first:.3g} {unit} | {second:.3g} {unit} | {first / second:.1f} |"
            )
    table = [
        f"Medians of {rounds} runs in turn.", "",
        "| figure | before | after | ratio |", "| --- | ---: | ---: | ---: |", *rows, "",
    ]  # fmt: skip
    return "\n".join((f"## {name}", "", *(table if rows else ()), "```", said.strip(), "```", ""))


def bench(python: Path, script: Path) -> str:
    """Run a benchmark and return what it prints, with the reason where it does not end well."""
    print(f"{script} ...", file=sys.stderr)
    try:
        done = subprocess.run(
            [str(python), str(script)],
            cwd=script.parents[2], capture_output=True, text=True, timeout=_BOUND, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return f"stopped after {_BOUND} s"
    if done.returncode:
        return f"{done.stdout}failed: {done.stderr.strip()[-500:]}"
    return done.stdout


def figures(said: str) -> dict[tuple[str, str], float]:
    """Return the figures with a unit of time or memory in a text, by the words before them."""
    found = {}
    for line in said.splitlines():
        end = 0
        head = ""
        for match in _FIGURE.finditer(line):
            words = " ".join(line[end : match.start()].strip(" ,;:()").split())
            head = head or words
            label = words if words == head else f"{head}: {words}"
            if "target" not in words:
                found[label, match["unit"]] = float(match["value"].replace(",", ""))
            end = match.end()
    return found


if __name__ == "__main__":
    sys.exit(main())
