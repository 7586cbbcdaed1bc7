"""Openings that can't stay where they are: moved off the centre, or refused with what works."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import Job, job
from basinbook.engine.layout.parts.openings import (
    SECOND_WALL,
    Clash,
    Gap,
    basin_gap,
    basin_gaps,
    clash,
)
from basinbook.engine.layout.parts.second_wall import (
    access_gap,
    second_wall_gap,
    second_wall_gaps,
    solve_second_wall,
)
from basinbook.engine.layout.parts.walls import solve_walls
from basinbook.engine.layout.results.nearest import (
    NEAR_STEPS,
    TRIAL_STEPS,
    Ways,
    nearest_bond,
    refused_with_nearest,
)
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.spec import BasinSpec
from basinbook.engine.spec_openings import ACCESS, PIPE, opening_field, opening_name, openings_of

# Half inches to look through for a place clear of other openings, and steps of search for them.
_FAR: Final = 160
_SEVERAL_STEPS: Final = LAYOUT_STEPS // 6


class Moved(NamedTuple):
    """The inputs with openings moved off the centre, and whether no nearer place is known to do."""

    spec: BasinSpec
    sure: bool


class Blamed(NamedTuple):
    """The first opening that a wall can't be built with, added to those before it."""

    number: int
    spec: BasinSpec


def first_clash(work: Job, walls: Iterable[Sequence[Gap]]) -> Clash | None:
    """Return the first two openings of one wall that stand too close; None for none."""
    return next(filter(None, (clash(gaps, work.block) for gaps in walls)), None)


def settled(budget: Budget, work: Job, second: bool, hints: bool) -> Moved | Blamed | None:
    """Return openings without a place moved as near the centre as the bond allows, or which fails.

    For a layout without a bond; second: of the second wall, else of the four walls. One after
    another is added, those with a place first. None where the walls have no bond without them.
    """
    numbers = _numbers(work.spec, second)
    blank = [number for number in numbers if _offset(work.spec, number) is None]
    if not numbers or not (blank or hints):
        return None
    # One opening has all that is left; where several are to be placed, each trial is of all walls.
    with budget.part(_SEVERAL_STEPS if len(numbers) > 1 else LAYOUT_STEPS):
        return _one_after_another(budget, work, second, numbers, blank)


def _one_after_another(
    budget: Budget, work: Job, second: bool, numbers: list[int], blank: list[int]
) -> Moved | Blamed | None:
    placed = _without(work.spec, numbers)
    with budget.trial(TRIAL_STEPS):
        if not _works(budget, placed, second):
            return None
    sure = True
    typed = [number for number in numbers if number not in blank]
    for number in typed + blank:
        tried = _with(placed, work.spec, number)
        if tried != work.spec and _tried(budget, tried, second):
            placed = tried
            continue
        if number in typed:
            return Blamed(number, tried)
        found = nearest_bond(
            budget,
            tried,
            _field(number, "offset"),
            _middle(job(tried), number),
            second_wall_works if second else basin_works,
            _steps(numbers),
        )
        if found is None:
            return Blamed(number, tried)
        sure = sure and found.sure
        change: dict[str, Any] = {_field(number, "offset"): found.value}
        placed = replace(tried, **change)
    return Moved(placed, sure) if placed != work.spec else None


def opening_refused(
    budget: Budget, work: Job, blamed: Blamed, second: bool, sure: bool, ways: Ways
) -> InputError:
    """Return the error for an opening without a bond, or too close to another.

    With the nearest place that works beside all those whose place is given. sure: whether there
    is no bond, or only none was found before the budget's end.
    """
    numbers, number = _numbers(work.spec, second), blamed.number
    others = [one for one in numbers if one != number and _offset(work.spec, one) is None]
    tried = job(blamed.spec)
    gaps = (second_wall_gaps(tried),) if second else basin_gaps(tried)
    close = first_clash(tried, gaps)
    with budget.part(_SEVERAL_STEPS if len(numbers) > 1 else LAYOUT_STEPS):
        return refused_with_nearest(
            budget,
            _without(work.spec, others),
            _field(number, "offset"),
            _middle(work, number),
            close.reason(number) if close else _why(work, number, second, sure),
            ways,
            _steps(numbers),
        )


def _why(work: Job, number: int, second: bool, sure: bool) -> str:
    if number == ACCESS:
        return (
            "no bond of the second wall leaves this gap"
            if sure
            else "no bond of the second wall with this gap was found in the limit of search"
        )
    (given,) = (one for one in openings_of(work.spec) if one.number == number)
    over = "lintel" if given.lintel_length else "block"
    bond = "no bond of the second wall" if second else "no bond"
    return (
        f"{bond} leaves a {over} over the {given.name} here"
        if sure
        else f"{bond} with a {over} over the {given.name} here was found in the limit of search"
    )


def moves(spec: BasinSpec, laid: BasinSpec, sure: bool) -> tuple[str, ...]:
    """Return what was moved from the centre, from the spec as given and as laid out."""
    found = []
    no_bond = "no bond" if sure else "no bond was found that"
    second = [one.number for one in openings_of(laid) if one.wall == SECOND_WALL]
    front = [one.number for one in openings_of(laid) if one.wall in ("left", "right")]
    for number in [one.number for one in openings_of(laid)] + [ACCESS]:
        before, after = _offset(spec, number), _offset(laid, number)
        if before is not None or after is None:
            continue
        if number == ACCESS or number in second:
            where = "second wall's left end"
        else:
            where = "inside front corner" if number in front else "inside left corner"
        leaves = "leaves it there" if number == ACCESS else "leaves a block over it there"
        if len(_numbers(laid, number in (ACCESS, *second))) > 1:
            leaves = "leaves it there beside the others"
        found.append(
            f"{_the(number)}'s middle stands {text(ticks(after))} from the {where}, "
            f"not in the centre: {no_bond} {leaves}."
        )
    return tuple(found)


def _the(number: int) -> str:
    name = opening_name(number)
    return name.capitalize() if number > PIPE else f"The {name}"


def _numbers(spec: BasinSpec, second: bool) -> list[int]:
    found = [one.number for one in openings_of(spec) if (one.wall == SECOND_WALL) == second]
    return [ACCESS, *found] if second and ticks(spec.access_width) else found


def _field(number: int, key: str) -> str:
    return f"access_{key}" if number == ACCESS else opening_field(number, key)


def _offset(spec: BasinSpec, number: int) -> float | None:
    found: float | None = getattr(spec, _field(number, "offset"))
    return found


def _without(spec: BasinSpec, numbers: list[int]) -> BasinSpec:
    changes: dict[str, Any] = {_field(number, "width"): 0.0 for number in numbers}
    return replace(spec, **changes)


def _with(spec: BasinSpec, given: BasinSpec, number: int) -> BasinSpec:
    width = _field(number, "width")
    change: dict[str, Any] = {width: getattr(given, width)}
    return replace(spec, **change)


def _middle(work: Job, number: int) -> int:
    if number == ACCESS:
        gap = access_gap(work)
        assert gap is not None
    else:
        (given,) = (one for one in openings_of(work.spec) if one.number == number)
        gap = (second_wall_gap if given.wall == SECOND_WALL else basin_gap)(work, given)
    return (gap.low + gap.high) // 2


def _steps(numbers: list[int]) -> int:
    return _FAR if len(numbers) > 1 else NEAR_STEPS


def _tried(budget: Budget, spec: BasinSpec, second: bool) -> bool:
    with budget.trial(TRIAL_STEPS):
        return _works(budget, spec, second)


def _works(budget: Budget, spec: BasinSpec, second: bool) -> bool:
    return (second_wall_works if second else basin_works)(budget, spec)


def of_second_wall(spec: BasinSpec, name: str) -> bool:
    """Return whether an input is of the second wall: of a gap in it, or of its turned blocks."""
    second = [one.number for one in openings_of(spec) if one.wall == SECOND_WALL]
    return name in ["turned_second", *(_field(number, "offset") for number in (ACCESS, *second))]


def basin_works(budget: Budget, spec: BasinSpec) -> bool:
    """Return whether the four walls of that spec have a bond, with their openings."""
    work = job(spec)
    gaps = basin_gaps(work)
    return first_clash(work, gaps) is None and solve_walls(budget, work, gaps) is not None


def second_wall_works(budget: Budget, spec: BasinSpec) -> bool:
    """Return whether the second wall of that spec has a bond, with its openings."""
    work = job(spec)
    gaps = second_wall_gaps(work)
    return not clash(gaps, work.block) and solve_second_wall(budget, work, gaps) is not None
