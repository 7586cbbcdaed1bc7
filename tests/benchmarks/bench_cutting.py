"""Cut plans and module advice: python tests/benchmarks/bench_cutting.py.

Prints the time of the fast path beside the same jobs solved by HiGHS alone, in the same run, and
the time to rank 1,000 inside sizes. Times depend on the machine; the ratio says more.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from basinbook.engine.spec import INCH, BasinSpec
from cut_plans import by_arc_flow, fewest_bars

INCH_TICKS = 8128


def _job(source: random.Random) -> tuple[list[int], int, int]:
    stock = source.choice([8, 12, 16, 18]) * INCH_TICKS
    lengths = [source.randrange(stock // 4, stock, 508) for _ in range(source.randint(2, 6))]
    return [source.choice(lengths) for _ in range(source.randint(10, 60))], stock, INCH_TICKS // 8


def cut_plans(jobs: int = 200) -> None:
    """Fast path against HiGHS on typical jobs: 10 to 60 pieces of 2 to 6 lengths."""
    source = random.Random(2)
    fast, solver = [], []
    by_arc_flow([(3, 2), (2, 2)], 5, 1, 4)  # import scipy before the clock runs
    for _ in range(jobs):
        pieces, stock, kerf = _job(source)
        start = time.perf_counter()
        bars = fewest_bars(pieces, stock, kerf)
        middle = time.perf_counter()
        items = [(length + kerf, n) for length, n in sorted(Counter(pieces).items())[::-1]]
        bins = by_arc_flow(items, stock + kerf, 1, len(pieces)).bins
        end = time.perf_counter()
        if len(bars) != len(bins):
            raise SystemExit(f"differ: {pieces} {stock} {kerf}")
        fast.append(middle - start)
        solver.append(end - middle)
    print(f"cut plans, {jobs} jobs of 10 to 60 pieces, all {jobs} equal in number of blocks")
    print(f"  fast path: median {median(fast) * 1e3:.3f} ms, total {sum(fast):.3f} s")
    print(f"  HiGHS:     median {median(solver) * 1e3:.3f} ms, total {sum(solver):.3f} s")
    print(f"  ratio fast path : HiGHS = 1 : {sum(solver) / sum(fast):.0f} (totals)")


def module_advice(side: int = 32) -> None:
    """Rank about 1,000 inside sizes round a basin with second wall, columns and caps."""
    from basinbook.engine.layout.size_advice import module_sizes

    spec = BasinSpec(
        inside_length=60 * INCH,
        inside_width=36 * INCH,
        block_length=16 * INCH,
        block_height=4 * INCH,
        block_depth=8 * INCH,
        courses=6,
        second_wall="yes",
        columns=2,
        column_courses=10,
        cap_length=24 * INCH,
        cap_depth=12 * INCH,
        cap_height=2 * INCH,
    )
    step = INCH / 4
    span = step * (side // 2)
    start = time.perf_counter()
    sizes = module_sizes(spec, span=span, count=10_000, step=step)
    took = time.perf_counter() - start
    print(f"module advice: {len(sizes)} sizes ranked in {took:.2f} s on one core", end="")
    print(f" ({took / len(sizes) * 1e3:.2f} ms each); target 1,000 in 2 s")
    start = time.perf_counter()
    found = module_sizes(spec)
    took = time.perf_counter() - start
    print(f"  near a wanted size, closing sizes only: {took * 1e3:.0f} ms,", end="")
    print(f" best has {found[0].cuts} cuts")


if __name__ == "__main__":
    cut_plans()
    module_advice()
