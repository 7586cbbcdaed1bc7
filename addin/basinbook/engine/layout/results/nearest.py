"""The nearest value of an input that a layout can be built with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import refuse
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.spec import BasinSpec

_STEP: Final = ticks(0.0127)
NEAR_STEPS: Final = 16
TRIAL_STEPS: Final = LAYOUT_STEPS // 12
"""Steps of search for one place of a gap, or one size, that may do."""

Works = Callable[[Budget, BasinSpec], bool]
"""Whether a layout of that spec has a bond."""


def refused_with_nearest(
    budget: Budget,
    spec: BasinSpec,
    name: str,
    value: int,
    why: str,
    works: Works,
    steps: int = NEAR_STEPS,
) -> InputError:
    """Return the error with the nearest value that works."""
    found = nearest_value(budget, spec, name, value, works, steps)
    if found is not None:
        which = "nearest that works" if found.sure else "what works"
        return refuse(name, text(value), f"{why}; {which}: {text(found.value)}")
    return refuse(
        name, text(value), f"{why}; give a smaller shortest piece or joint offset, or another block"
    )


class Near(NamedTuple):
    """A value that works [ticks], and whether all that lie nearer are known not to."""

    value: int
    sure: bool


def nearest_value(
    budget: Budget,
    spec: BasinSpec,
    name: str,
    value: int,
    works: Works,
    steps: int = NEAR_STEPS,
) -> Near | None:
    """Return the nearest value that works, looked for in half inches; None for none.

    steps: how many of these to look at either way.
    """
    sure = True
    for step in range(1, steps + 1):
        for sign in (1, -1):
            tried = (value // _STEP + (step if sign > 0 else 1 - step)) * _STEP
            if tried <= 0 or tried == value:
                continue
            if budget.ended:
                return None
            change: dict[str, Any] = {name: metres(tried)}
            try:
                with budget.trial(TRIAL_STEPS):
                    if works(budget, replace(spec, **change)):
                        return Near(tried, sure)
                    sure = sure and not budget.ended
            except InputError:
                continue
    return None
