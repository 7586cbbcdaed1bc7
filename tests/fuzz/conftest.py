"""Fuzzing in two lengths: a bounded one in every run, a long one with BASINBOOK_FUZZ=long."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

_QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]

settings.register_profile(
    "fuzz-short", max_examples=60, deadline=None, derandomize=True, suppress_health_check=_QUIET
)
settings.register_profile(
    "fuzz-long", max_examples=5000, deadline=None, suppress_health_check=_QUIET
)
settings.load_profile("fuzz-long" if os.environ.get("BASINBOOK_FUZZ") == "long" else "fuzz-short")
