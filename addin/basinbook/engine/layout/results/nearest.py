"""The nearest value of an input that a layout can be built with."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import chain, islice
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import refuse
from basinbook.engine.layout.ticks import as_typed, metres, text, ticks
from basinbook.engine.layout.unfit import STEP, UnfitError, near
from basinbook.engine.spec import FIELDS, BasinSpec

NEAR_STEPS: Final = 16
TRIAL_STEPS: Final = LAYOUT_STEPS // 12
"""Steps of search for one place of a gap, or one size, that may do."""
HINT_STEPS: Final = LAYOUT_STEPS // 5
"""Steps of search for what to change in a layout that can't be built."""

UNFIT_STEPS: Final = LAYOUT_STEPS // 3
"""Steps for a value that is refused before any bond is looked for: most that have a bond show it
soon.
"""

_MOST_REFUSED: Final = 6
_QUICK_STEPS: Final = TRIAL_STEPS // 10

Works = Callable[[Budget, BasinSpec], bool]
"""Whether the walls of that spec have a bond."""


class Ways(NamedTuple):
    """How a spec is tried: whether its walls have a bond; then whether all else can be laid too.

    layout: raises InputError where it can't.
    """

    bond: Works
    layout: Callable[[Budget, BasinSpec], object]


class NoBondError(InputError):
    """A size without a bond that is only compared with others."""


class Found(NamedTuple):
    """A value, whether all that were tried before are known not to work, and what is then refused.

    then: None where there is a layout with it.
    """

    value: Any
    sure: bool
    then: InputError | None


def refused_with_nearest(
    budget: Budget,
    spec: BasinSpec,
    name: str,
    value: int,
    why: str,
    ways: Ways,
    steps: int = NEAR_STEPS,
) -> InputError:
    """Return the error with the nearest length that works, in half inches.

    steps: how many of these to look at either way.
    """
    found = first_that_works(budget, spec, name, map(metres, near(value, steps)), ways)
    if found is None:
        which = "give a smaller shortest piece or joint offset, or another block"
    else:
        which = named(found)
    return refuse(name, text(value), f"{why}; {which}")


def unfit_refused(budget: Budget, spec: BasinSpec, error: UnfitError, ways: Ways) -> InputError:
    """Return a refusal with the nearest value that works, where one is found near by."""
    name, tries = error.field, error.tries
    first, rounds = list(islice(tries, 1)), (_QUICK_STEPS, TRIAL_STEPS)
    # Its many tries share the reserve of one: with a reserve each they took three times as long.
    with budget.trial(UNFIT_STEPS):
        found = first_that_works(budget, spec, name, chain(first, tries), ways, rounds)
        more = error.otherwise
        if found is not None:
            more = named(found)
            if found.then is None and isinstance(found.value, str):
                # Words have no nearest: all that work are named.
                also = [first_that_works(budget, spec, name, [one], ways) for one in tries]
                more = ", ".join([more, *(one.value for one in also if one and not one.then)])
        elif more and first:
            more = _by_itself(first[0])
    return refuse(name, error.value, f"{error.allowed}; {more}" if more else error.allowed)


def named(found: Found) -> str:
    """Return what is said of a value that was found."""
    value = said(found.value)
    if found.then is None:
        nearest = found.sure and isinstance(found.value, float)
        return f"{'nearest that works' if nearest else 'what works'}: {value}"
    if isinstance(found.then, NoBondError):
        return _by_itself(found.value)
    return f"{value} would do by itself, but then {found.then.argument} can't be used"


def _by_itself(value: Any) -> str:
    return f"{said(value)} would do by itself, but no layout was found with it"


def said(value: Any) -> str:
    """Return a value of an input as messages have it: lengths in inches and millimetres."""
    return text(ticks(value)) if isinstance(value, float) else str(value)


def first_that_works(
    budget: Budget,
    spec: BasinSpec,
    name: str,
    tries: Iterable[Any],
    ways: Ways,
    rounds: Iterable[int] = (TRIAL_STEPS,),
) -> Found | None:
    """Return the first value of an input with which all is laid out.

    Where there is none, the first with which at least the walls have a bond; else None. Lengths
    [m] are tried as they are typed from a message, in either unit. rounds: steps of search for a
    bond with one value; what is not decided by the first is tried again with the next.
    """
    bond: Found | None = None
    sure, refused = True, 0
    for steps in rounds:
        undecided: list[Any] = []
        for tried in tries:
            if budget.ended:
                break
            changed = [_with(spec, name, value) for value in _typed(tried)]
            has_bond = _have_bond(budget, changed, ways, steps)
            if has_bond is None:
                undecided.append(tried)
            if not has_bond:
                continue
            then = _refused(budget, changed, ways)
            if then is None:
                return Found(tried, sure and not undecided, None)
            # Where no bond was found, the search for the other walls may have ended.
            sure = sure and not isinstance(then, NoBondError)
            if then.argument == FIELDS[name].label:
                continue
            bond = bond or Found(tried, False, then)
            refused += 1
            if refused == _MOST_REFUSED:
                return bond
        tries = undecided
    return bond


def _have_bond(budget: Budget, specs: Iterable[BasinSpec], ways: Ways, steps: int) -> bool | None:
    """Return whether the walls of all these have a bond; None where that was not decided."""
    try:
        with budget.trial(steps):
            found = all(ways.bond(budget, one) for one in specs)
            return None if not found and budget.ended else found
    except InputError:
        return False


def _refused(budget: Budget, specs: Iterable[BasinSpec], ways: Ways) -> InputError | None:
    """Return what is refused of the first that can't be laid out; None where all can."""
    try:
        with budget.trial(TRIAL_STEPS):
            for one in specs:
                ways.layout(budget, one)
    except InputError as error:
        return error
    return None


def _with(spec: BasinSpec, name: str, value: Any) -> BasinSpec:
    change: dict[str, Any] = {name: value}
    return replace(spec, **change)


def _typed(value: Any) -> list[Any]:
    if not isinstance(value, float):
        return [value]
    return [metres(one) for one in as_typed(ticks(value))]


def nearest_bond(
    budget: Budget, spec: BasinSpec, name: str, value: int, works: Works, steps: int
) -> Found | None:
    """Return the nearest place of a gap with which the walls have a bond, in half inches.

    steps: how many of these to look at either way.
    """
    tries = map(metres, _by_turns(value, steps))
    return first_that_works(budget, spec, name, tries, Ways(works, lambda *_: None))


def _by_turns(value: int, steps: int) -> Iterator[int]:
    """Yield the places that a gap is moved to, farther and nearer by turns."""
    for step in range(1, steps + 1):
        for sign in (1, -1):
            tried = (value // STEP + (step if sign > 0 else 1 - step)) * STEP
            if tried > 0 and tried != value:
                yield tried
