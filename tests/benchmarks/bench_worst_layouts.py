"""The slowest of many layouts: python tests/benchmarks/bench_worst_layouts.py [jobs] [first seed].

Solves random realistic jobs (10,000 unless told otherwise), each with empty caches, and prints the
processor time by median, 99 % and worst, and how many are not proved to have the fewest cuts.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench_layout import forget

from basinbook.engine.errors import InputError
from basinbook.engine.layout import solver
from layout_jobs import realistic_job


def main(jobs: int = 10_000, first: int = 0) -> None:
    """Print the table."""
    times: list[tuple[float, int]] = []
    refused = unsure = open_proof = 0
    for seed in range(first, first + jobs):
        spec = realistic_job(Random(seed))
        forget()
        start = time.process_time()
        try:
            notes = solver.solve(spec).advice
            open_proof += any(note.startswith("Not proved") for note in notes)
        except InputError as error:
            refused += 1
            unsure += "limit of search" in error.allowed
        times.append((time.process_time() - start, seed))
    times.sort()
    laid = jobs - refused
    print(f"{jobs} jobs from seed {first}: {laid} laid out, {refused} refused")
    for name, at in (("median", jobs // 2), ("99 %", jobs * 99 // 100), ("worst", jobs - 1)):
        print(f"{name:<7} {1000 * times[at][0]:8.1f} ms of processor time (seed {times[at][1]})")
    print(f"over 2 s: {sum(took > 2.0 for took, _ in times)}")
    print(f"not proved {open_proof}: {100 * open_proof / max(1, laid):.1f} % of those laid out")
    print(f"refused since nothing was found in the limit of search: {unsure}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
