"""What a call of a worksheet function costs beside its calculation alone.

Run: ``python tests/benchmarks/bench_calls.py``. The plain numbers of each first example, no texts
with units, no ranges: what reading the arguments and making the result add.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).parents[1]))

from basinbook.catalogue import call, functions
from basinbook.catalogue.invoke import read_argument
from basinbook.catalogue.model import Function
from basinbook.engine import kinds
from basinbook.units import from_si

ROUNDS, CALLS = 7, 500


def per_call(work: Callable[[], object]) -> float:
    """Least processor time of several rounds, for one call [µs]."""
    rounds = []
    for _ in range(ROUNDS):
        start = time.process_time()
        for _ in range(CALLS):
            work()
        rounds.append((time.process_time() - start) / CALLS * 1e6)
    return min(rounds)


def one(function: Function) -> tuple[float, float]:
    """Return the time of a call and of the calculation alone [µs]."""
    example = function.examples[0]
    system = example.units
    given = [*example.arguments, *[None] * (len(function.arguments) - len(example.arguments))]
    read = {
        a.name: read_argument(a, value, system)
        for a, value in zip(function.arguments, given, strict=True)
    }
    plain = [
        from_si(value, a.kind, system) if typed and isinstance(value, float) else typed and value
        for a, typed, value in zip(function.arguments, given, read.values(), strict=True)
    ]

    def alone() -> object:
        values = dict(read)
        for group in function.groups:
            values[group.name] = group.make(**{a.name: values.pop(a.name) for a in group.arguments})
        return function.compute(**values)

    units = [system] if function.has_units else []
    return per_call(lambda: call(function.name, *plain, *units)), per_call(alone)


def main() -> None:
    """Print the mean over all functions that take and give plain numbers."""
    number = (kinds.TEXT, kinds.ANY)
    plain = [
        each
        for each in functions().values()
        if isinstance(each.result, kinds.Kind)
        and each.result not in number
        and each.arguments
        and not any(a.kind in (kinds.RANGE, *number) for a in each.arguments)
        and not each.takes_system
    ]
    times = {each.name: one(each) for each in plain}
    calls, alone = (mean(column) for column in zip(*times.values(), strict=True))
    print(f"{len(plain)} functions of plain numbers, mean of all")
    print(f"  a call:                {calls:6.2f} µs")
    print(f"  the calculation alone: {alone:6.2f} µs")
    print(f"  the call adds:         {calls - alone:6.2f} µs, {calls / alone:.1f} times in all")
    slowest = sorted(times.items(), key=lambda item: item[1][1] - item[1][0])[:3]
    for name, (whole, part) in slowest:
        print(f"  most added: {name} {whole - part:.2f} µs")


if __name__ == "__main__":
    main()
