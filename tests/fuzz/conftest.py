"""Fuzzing in two lengths: a bounded one in every run, a long one with BASINBOOK_FUZZ=long.

BASINBOOK_FUZZ=1000 makes the long one of so many cases a test.

The lengths hold for this folder only; property tests elsewhere keep hypothesis' own settings.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator
from contextlib import contextmanager

import pytest
from hypothesis import HealthCheck, settings

_QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]

settings.register_profile(
    "fuzz-short", max_examples=40, deadline=None, derandomize=True, suppress_health_check=_QUIET
)
_WANTED = os.environ.get("BASINBOOK_FUZZ", "")
_LONG = int(_WANTED) if _WANTED.isdecimal() else 5000
settings.register_profile(
    "fuzz-long", max_examples=_LONG, deadline=None, suppress_health_check=_QUIET
)


@contextmanager
def _fuzzing() -> Iterator[None]:
    before = settings.get_current_profile_name()
    settings.load_profile("fuzz-long" if _WANTED else "fuzz-short")
    try:
        yield
    finally:
        settings.load_profile(before)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Tests take what their own settings leave open from here when they are imported."""
    with _fuzzing():
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Generator[None, None, None]:
    """Tests without settings of their own take them when they run."""
    with _fuzzing():
        return (yield)
