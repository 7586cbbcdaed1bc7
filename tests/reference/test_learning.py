"""Rates over several jobs: against numpy and scipy, and by drawing jobs again and again."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import bootstrap

from basinbook.engine.errors import InputError
from basinbook.engine.learning import Measured, learned


def jobs(amounts: list[float], took: list[float]) -> list[Measured]:
    return [Measured(f"job {n}", *pair) for n, pair in enumerate(zip(amounts, took, strict=True))]


def test_jobs_of_one_size_are_plain_statistics() -> None:
    """numpy's mean and sample standard deviation."""
    took = [8.0, 9.5, 7.25, 11.0]
    found = learned(jobs([100.0] * 4, took))
    assert found is not None
    rates = np.array(took) / 100
    assert found.rate == pytest.approx(rates.mean())
    assert found.spread == pytest.approx(rates.std(ddof=1))
    assert found.error == pytest.approx(rates.std(ddof=1) / 2)
    assert (found.low, found.high) == (rates.min(), rates.max())
    assert found.median == pytest.approx(np.median(rates))


def test_the_spread_is_that_of_weighted_jobs() -> None:
    """numpy's covariance with weights, put right for the number of jobs."""
    amounts, took = [40.0, 120.0, 200.0], [4.0, 9.0, 17.0]
    found = learned(jobs(amounts, took))
    assert found is not None
    assert found.rate == pytest.approx(30 / 360)
    weighted = np.cov(np.array(took) / amounts, aweights=amounts, ddof=0)
    assert found.spread == pytest.approx(float(np.sqrt(weighted * 3 / 2)))


def test_the_error_is_what_drawing_jobs_again_gives() -> None:
    """scipy.stats.bootstrap over 40 jobs."""
    chance = np.random.default_rng(5)
    amounts = chance.uniform(50, 250, 40)
    took = amounts * chance.normal(0.08, 0.02, 40)
    found = learned(jobs(list(amounts), list(took)))
    assert found is not None
    drawn = bootstrap(
        (took, amounts), lambda y, x, axis: y.sum(axis) / x.sum(axis),
        paired=True, n_resamples=2_000, rng=5, method="basic",
    )  # fmt: skip
    assert found.error == pytest.approx(drawn.standard_error, rel=0.1)


def test_one_job_has_no_spread_and_none_has_no_rate() -> None:
    found = learned([Measured("a", 10, 2), Measured("b", 0, 0)])
    assert found is not None
    assert (found.rate, found.jobs, found.spread, found.error) == (0.2, 1, None, None)
    assert learned([Measured("b", 0, 0)]) is None
    with pytest.raises(InputError, match="job x"):
        learned([Measured("job x", -1, 2)])
