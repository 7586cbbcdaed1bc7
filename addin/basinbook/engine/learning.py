"""Rates and allowances from finished jobs: what was measured there, and how far jobs differ."""

from __future__ import annotations

import math
from collections.abc import Iterable
from statistics import median
from typing import NamedTuple

from basinbook.engine.errors import InputError


class Measured(NamedTuple):
    """One finished job: how much of something there was, and what it took.

    amount: such as pieces laid, or blocks in the layout. took: such as person-hours, or broken
    blocks, in a unit of its own.
    """

    job: str
    amount: float
    took: float


class Learned(NamedTuple):
    """A rate over several jobs.

    rate: all that was taken over all that there was. jobs: how many gave it. spread: standard
    deviation of the jobs about the rate, weighted by their amounts; None from one job. error:
    standard error of the rate; None from one job. low, high, median: of the jobs' own rates.
    """

    rate: float
    jobs: int
    spread: float | None
    error: float | None
    low: float
    high: float
    median: float


def learned(jobs: Iterable[Measured]) -> Learned | None:
    """Return the rate of jobs that had some of it; None where none had.

    Equation: r = Σy / Σx; its standard error √(Σ(y − r x)² / (n (n − 1))) / x̄; spread
    √(n / (n − 1) · Σx (y/x − r)² / Σx).
    Source: ratio estimate (Cochran, Sampling Techniques, 3rd ed. 1977, chapters 2.11 and 6; from
    memory). Raises InputError for an amount or what it took that is no number of 0 or more.
    """
    had = []
    for job in jobs:
        for value in (job.amount, job.took):
            if not (math.isfinite(value) and value >= 0):
                raise InputError(job.job, value, "give a number, 0 or more")
        if job.amount > 0:
            had.append(job)
    if not had:
        return None
    amount = sum(job.amount for job in had)
    rate = sum(job.took for job in had) / amount
    each = [job.took / job.amount for job in had]
    count = len(had)
    if count == 1:
        return Learned(rate, 1, None, None, rate, rate, rate)
    about = sum(job.amount * (one - rate) ** 2 for job, one in zip(had, each, strict=True))
    left = sum((job.took - rate * job.amount) ** 2 for job in had)
    return Learned(
        rate,
        count,
        math.sqrt(count / (count - 1) * about / amount),
        math.sqrt(left / (count * (count - 1))) / (amount / count),
        min(each),
        max(each),
        median(each),
    )
