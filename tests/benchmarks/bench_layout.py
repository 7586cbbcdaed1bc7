"""The layout solver beside an integer programme: python tests/benchmarks/bench_layout.py.

Prints, from one run: the processor time of a six-course basin with columns, caps and a second wall,
with ever more means of the layout, every cache emptied before each solve; the time to count 1,000
sizes; and the ratio to HiGHS on the same basin's walls alone. Times depend on the machine and what
else it does; the ratio says more.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from basinbook.engine.layout import solver
from basinbook.engine.spec import INCH, SAVING, BasinSpec
from layout_programme import Blocks, least_basin_cuts

WALLS = BasinSpec(
    inside_length=50 * INCH,
    inside_width=26 * INCH,
    block_length=16 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
    courses=6,
    water_depth=12 * INCH,
)
FULL = replace(
    WALLS,
    columns=3,
    column_courses=9,
    column_cap_side=28 * INCH,
    column_cap_height=2 * INCH,
    second_wall="yes",
    cap_length=16 * INCH,
    cap_depth=12 * INCH,
    cap_height=2 * INCH,
)
OPEN = replace(FULL, opening_width=2 * INCH, opening_course=2)
TURNED = replace(FULL, pipe_space=8 * INCH, turned_walls=SAVING, turned_second=SAVING)
TURNED_OPEN = replace(TURNED, opening_width=2 * INCH, opening_course=2)
EVERYTHING = replace(TURNED_OPEN, mixed_courses="3", mixed_number=1, mixed_walls="front")


def forget() -> None:
    """Empty every cache of the layout."""
    for name, module in list(sys.modules.items()):
        if name.startswith("basinbook.engine.layout"):
            for thing in vars(module).values():
                if hasattr(thing, "cache_clear") and not isinstance(thing, type):
                    thing.cache_clear()


def timed(work: Callable[[], object], times: int) -> float:
    """Return the median time [ms] with empty caches."""
    found = []
    for _ in range(times):
        forget()
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return 1000.0 * median(found)


def main() -> None:
    """Print the table."""
    gc.set_threshold(100_000)  # As rarely as the engine's host for spreadsheets has it.
    layout = solver.solve(FULL)
    print(f"{len(layout.pieces)} pieces, {layout.blocks.cut_pieces} cut")
    full = timed(lambda: solver.solve(FULL), 50)
    print(f"six courses, columns, caps, second wall  {full:8.2f} ms (median of 50)")
    print(
        f"the same with a pipe opening             {timed(lambda: solver.solve(OPEN), 20):8.2f} ms"
    )
    turned = timed(lambda: solver.solve(TURNED), 20)
    print(f"with turned blocks in both walls         {turned:8.2f} ms")
    both = timed(lambda: solver.solve(TURNED_OPEN), 20)
    print(f"with these and the pipe opening          {both:8.2f} ms")
    everything = timed(lambda: solver.solve(EVERYTHING), 20)
    print(f"and a block on edge in the front         {everything:8.2f} ms")
    walls = timed(lambda: solver.count_cuts(WALLS), 50)
    print(f"its basin walls counted                  {walls:8.2f} ms")
    # Units of 2 in: 50 x 26 inside, blocks 16 x 8, quarter block for offset and shortest piece.
    blocks = Blocks(8, 0, 2, 2, 4)
    programme: list[int | None] = []
    highs = timed(lambda: programme.append(least_basin_cuts(blocks, 25, 13, [4] * 6, [1] * 6)), 3)
    cuts = solver.count_cuts(WALLS)[0]
    if programme[0] != cuts:
        raise SystemExit(f"differ: {programme[0]} {cuts}")
    print(f"its basin walls by HiGHS                 {highs:8.2f} ms: {highs / walls:.0f} times")
    print(f"1,000 sizes counted                      {_sizes_counted(FULL):8.2f} s")
    print(f"with turned blocks in both walls         {_sizes_counted(TURNED):8.2f} s")
    print(f"with these and the pipe opening          {_sizes_counted(TURNED_OPEN):8.2f} s")


def _sizes_counted(like: BasinSpec) -> float:
    """Return the time [s] to count the cuts of 1,000 sizes, with empty caches at the start."""
    sizes = [
        replace(like, inside_length=(40 + i / 2) * INCH, inside_width=(20 + k / 2) * INCH)
        for i in range(40)
        for k in range(25)
    ]
    forget()
    start = time.process_time()
    for spec in sizes:
        solver.count_cuts(spec)
    return time.process_time() - start


if __name__ == "__main__":
    main()
