"""Checks against the outside world, as data: each is judged by a test and listed in the docs.

A module of ``tests/reference`` keeps them in a list of exhibits named ``OUTSIDE`` and judges each
with ``judge``; ``python tests/outside_checks.py`` writes all of them into docs/outside_checks.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    """A value from outside, and what we compute for it.

    what: what is compared, with the numbers that go in; value: as the source prints it, in
    ``unit``; ours: computes ours in the same unit; rel, abs: how far they may lie apart, as a share
    of the value and in its unit (both count).
    """

    what: str
    value: float
    unit: str
    ours: Callable[[], float]
    rel: float = 0.0
    abs: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a check without a tolerance."""
        if not self.allowed > 0.0:
            raise ValueError(f"{self.what}: a tolerance is needed")

    @property
    def allowed(self) -> float:
        """How far ours may lie from the value, in its unit."""
        return self.abs + self.rel * abs(self.value)


@dataclass(frozen=True)
class Exhibit:
    """What one source says: a table, a worked example, a run of a library.

    source: document, edition, table or equation; with "from memory" where it was not found again,
    or "common practice, no source"; why: the reason for the tolerances; left_out: which rows of
    the exhibit are not here, why, and how far the worst of them lies from ours.
    """

    title: str
    source: str
    why: str
    checks: tuple[Check, ...]
    left_out: str = "nothing"

    def __post_init__(self) -> None:
        """Refuse an exhibit without source, reason or checks."""
        if not (self.title and self.source and self.why and self.checks and self.left_out):
            raise ValueError(f"{self.title}: title, source, reason and checks are needed")


def named(exhibits: Iterable[Exhibit]) -> dict[str, tuple[Exhibit, Check]]:
    """Return all checks by a name that tells them apart, for ``pytest.mark.parametrize``."""
    found: dict[str, tuple[Exhibit, Check]] = {}
    for each in exhibits:
        for check in each.checks:
            name = f"{each.title}: {check.what}"
            if name in found:
                raise ValueError(f"two checks are named {name}")
            found[name] = (each, check)
    return found


def judge(exhibit: Exhibit, check: Check) -> None:
    """Fail where ours lies farther from the outside value than the tolerance allows."""
    ours = check.ours()
    assert abs(ours - check.value) <= check.allowed * (1.0 + 1e-9), (
        f"{check.what}: ours {ours:.6g}, outside {check.value:.6g} {check.unit}, "
        f"allowed ±{check.allowed:.3g} ({exhibit.why}); {exhibit.source}"
    )
