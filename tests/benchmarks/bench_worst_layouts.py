"""The slowest of many layouts: python tests/benchmarks/bench_worst_layouts.py [jobs [seed [means]]]

Solves random realistic jobs (10,000 unless told otherwise) from a first seed on, each with empty
caches, and prints the processor time by median, 99 % and worst, and how many are not proved to have
the fewest cuts. With "means" as the third argument, the jobs have all means of the layout at once,
as many as go together; those that are refused on the way count as jobs too.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Generator, Iterator
from itertools import count
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench_layout import forget

from basinbook.engine.errors import InputError
from basinbook.engine.layout import solver
from basinbook.engine.spec import BasinSpec
from layout_jobs import realistic_job
from means_jobs import means_of, plain_basin, with_means, without


def realistic(first: int) -> Iterator[BasinSpec]:
    """Yield the jobs of one seed after the other."""
    for seed in count(first):
        yield realistic_job(Random(seed))


def with_all_means(first: int) -> Generator[BasinSpec, InputError | None]:
    """Yield jobs with all means; a refusal that is sent back has one of them left out."""
    for seed in count(first):
        rng = Random(seed)
        spec = plain_basin(rng) if seed % 2 else realistic_job(rng)
        means = means_of(rng, spec)
        while (refused := (yield with_means(spec, means))) is not None and means:
            means = without(means, refused)


def main(jobs: int = 10_000, first: int = 0, kind: str = "") -> None:
    """Print the table."""
    gc.set_threshold(100_000)  # As rarely as the engine's host for spreadsheets has it.
    times: list[tuple[float, int]] = []
    refused = unsure = open_proof = 0
    means = with_all_means(first)
    plain, spec = realistic(first), next(means)
    for number in range(jobs):
        if kind != "means":
            spec = next(plain)
        error = None
        forget()
        start = time.process_time()
        try:
            notes = solver.solve(spec).advice
            open_proof += any(note.startswith("Not proved") for note in notes)
        except InputError as caught:
            error = caught
            refused += 1
            unsure += "limit of search" in error.allowed
        times.append((time.process_time() - start, number))
        if kind == "means":
            spec = means.send(error)
    times.sort()
    laid = jobs - refused
    which = ", all means" if kind == "means" else ""
    print(f"{jobs} jobs from seed {first}{which}: {laid} laid out, {refused} refused")
    for name, at in (("median", jobs // 2), ("99 %", jobs * 99 // 100), ("worst", jobs - 1)):
        print(f"{name:<7} {1000 * times[at][0]:8.1f} ms of processor time (job {times[at][1]})")
    for most in (1.0, 2.0):
        print(f"over {most:.0f} s: {sum(took > most for took, _ in times)}")
    print(f"not proved {open_proof}: {100 * open_proof / max(1, laid):.1f} % of those laid out")
    print(f"refused since nothing was found in the limit of search: {unsure}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]), *sys.argv[3:4])
