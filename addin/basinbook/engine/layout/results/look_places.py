"""Looks that no bond has: first pieces, blocks on edge between flat ones, half and third bond."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.engaged import engaged_slots
from basinbook.engine.layout.results.nearest import (
    HINT_STEPS,
    TRIAL_STEPS,
    Ways,
    first_that_works,
    named,
    refused_with_nearest,
    said,
)
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.layout.unfit import near
from basinbook.engine.spec import FIELDS, BasinSpec
from basinbook.engine.spec_look import BONDS, LEAST, place_field, places_of

# Half inches to look through either way.
_FAR: Final = 24
_NUMBERS: Final = 6


def look_refused(budget: Budget, work: Job, sure: bool, ways: Ways) -> InputError | None:
    """Return the error for the choice of look without which there is a bond; None where none is.

    With the nearest that works. sure: whether there is no bond, or only none was found before the
    budget's end.
    """
    spec = work.spec
    asked = list(_asked(spec))
    plain = spec
    for name in asked:
        plain = without(plain, name)
    if not asked or not _tried(budget, plain, ways):
        return None
    why = "no bond exists" if sure else "no bond was found in the limit of search"
    for name in asked:
        if _tried(budget, without(spec, name), ways):
            return _refused(budget, spec, name, why, ways)
    others = " and ".join(FIELDS[name].label for name in asked[1:])
    value = getattr(spec, asked[0])
    return refuse(
        asked[0],
        text(ticks(value)) if isinstance(value, float) else value,
        f"{why} with it and {others}; leave all but one of them blank",
    )


def _asked(spec: BasinSpec) -> Iterator[str]:
    """Yield the inputs of the look that are given, the easiest to do without first."""
    for name in ("start_even", "start_odd"):
        if getattr(spec, name):
            yield name
    for slot in reversed(engaged_slots(spec)):
        yield f"wall_column_{slot}"
    for place in reversed(places_of(spec)):
        yield place_field(place.number, "middle")
    if spec.mixed_number:
        yield "mixed_number"
    if spec.bond != LEAST:
        yield "bond"


def without(spec: BasinSpec, name: str) -> BasinSpec:
    """Return the spec with an input of the look left alone; no course is mixed without a block."""
    change: dict[str, Any] = {name: FIELDS[name].default}
    found = replace(spec, **change)
    if not found.mixed_number and not places_of(found):
        pattern = found.course_pattern.lower().replace("mixed", "flat")
        found = replace(found, mixed_courses="", course_pattern=pattern)
    return found


def _refused(budget: Budget, spec: BasinSpec, name: str, why: str, ways: Ways) -> InputError:
    value = getattr(spec, name)
    if name == "bond":
        with budget.trial(HINT_STEPS):
            return _bond_refused(budget, spec, why, ways)
    if name == "mixed_number":
        steps = range(1, _NUMBERS + 1)
        numbers = [number for step in steps for number in (value - step, value + step)]
        tries = [number for number in numbers if 0 < number <= (FIELDS[name].high or 0)]
        found = first_that_works(budget, spec, name, tries, ways)
        if found is not None:
            return refuse(name, value, f"{why} with so many; {named(found)}")
        return refuse(name, value, f"{why} with blocks on edge evenly spaced; type their places")
    if name.startswith("wall_column"):
        with budget.trial(HINT_STEPS):
            return _column_refused(budget, spec, name, why, ways)
    middle = name.startswith("place")
    what = "with a block on edge here" if middle else "that begins with such a piece"
    return refused_with_nearest(budget, spec, name, ticks(value), f"{why} {what}", ways, _FAR)


def _column_refused(budget: Budget, spec: BasinSpec, name: str, why: str, ways: Ways) -> InputError:
    """Return the error for a column in a wall whose courses have no bond beside it."""
    at, why = getattr(spec, f"{name}_at"), f"{why} with a column in the wall here"
    if at is None:
        inside = spec.inside_width
        if getattr(spec, name) not in ("in left wall", "in right wall"):
            inside = spec.inside_length
        at = inside / 2.0
    return refused_with_nearest(budget, spec, f"{name}_at", ticks(at), why, ways, _FAR)


def _bond_refused(budget: Budget, spec: BasinSpec, why: str, ways: Ways) -> InputError:
    """Return the error for a bond, with the next weaker one and the nearest length that work."""
    weaker = tuple(reversed(BONDS[: BONDS.index(spec.bond)]))
    found = first_that_works(budget, spec, "bond", weaker, ways)
    # With the weakest the walls have a bond: only the limit of search can leave it unfound.
    allowed = f"{why} with joints {spec.bond} of a block apart; " + (
        named(found) if found else f"give {LEAST}"
    )
    lengths = map(metres, near(ticks(spec.inside_length), _FAR))
    other = first_that_works(budget, spec, "inside_length", lengths, ways)
    if other is not None and other.then is None:
        allowed += f", or an inside length of {said(other.value)}"
    return refuse("bond", spec.bond, allowed)


def _tried(budget: Budget, spec: BasinSpec, ways: Ways) -> bool:
    try:
        with budget.trial(TRIAL_STEPS):
            return ways.bond(budget, spec)
    except InputError:
        return False
