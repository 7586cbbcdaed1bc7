"""Places of blocks on edge between flat ones, in mixed courses; lengths in ticks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.rhythm import course_numbers
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.layout.unfit import STEP, between, near, place_refused
from basinbook.engine.spec import FIELDS, BasinSpec
from basinbook.engine.spec_look import PLACE_WALLS, place_field, places_of

_MOST: Final = 20
_EVENLY: Final = {
    "all": PLACE_WALLS,
    "front": ("front",),
    "back": ("back",),
    "sides": ("right", "left"),
    "front and back": ("front", "back"),
}


class _Place(NamedTuple):
    """Where a block begins, from the wall's inside corner, and the input that says so."""

    low: int
    field: str


def places(
    spec: BasinSpec, wall: str, mixed: Sequence[int], far: int, rules: Rules
) -> dict[int, tuple[int, ...]]:
    """Return by mixed course where the blocks on edge of a wall begin, from left to right.

    mixed: numbers of the mixed courses. far: inside length of the wall. Raises InputError where
    they stand too near to a corner, to each other, or over each other in neighbouring courses.
    """
    found = {number: sorted(_of_course(spec, wall, number, mixed, far, rules)) for number in mixed}
    for course in found.values():
        _check(spec, course, far, rules)
    for below, above in pairwise(mixed):
        if above == below + 1:
            _check_over(spec, found[below], found[above], above, rules)
    return {number: tuple(one.low for one in course) for number, course in found.items()}


def check_given(spec: BasinSpec, mixed: Sequence[int]) -> None:
    """Refuse mixed courses without a block on edge, and places in courses that are not mixed."""
    typed = places_of(spec)
    if not mixed:
        if typed or spec.mixed_number:
            raise _refuse(
                "mixed_courses",
                spec.mixed_courses,
                "say which courses have the blocks on edge, such as 2; or leave their number and "
                "places blank",
            )
        return
    there = ", ".join(str(number) for number in mixed)
    placed = set(mixed) if spec.mixed_number else set()
    for place in typed:
        field = place_field(place.number, "courses")
        numbers = course_numbers(field, place.courses) or set(mixed)
        if not numbers <= set(mixed):
            raise _refuse(
                field,
                place.courses,
                f"course {min(numbers - set(mixed))} is not mixed; mixed are {there}",
            )
        placed |= numbers
    if placed < set(mixed):
        raise _refuse(
            "mixed_number",
            spec.mixed_number,
            f"course {min(set(mixed) - placed)} is mixed, but no block on edge stands in it: give "
            "at least 1, or a place",
        )


def _of_course(
    spec: BasinSpec, wall: str, course: int, mixed: Sequence[int], far: int, rules: Rules
) -> set[_Place]:
    count, length = spec.mixed_number, rules.length
    found = set()
    if count and wall in _EVENLY[spec.mixed_walls]:
        clear = far - count * length
        found = {
            _Place(clear * number // (count + 1) + (number - 1) * length, "mixed_number")
            for number in range(1, count + 1)
        }
    for place in places_of(spec):
        field = place_field(place.number, "courses")
        if place.wall == wall and course in (course_numbers(field, place.courses) or mixed):
            low, field = ticks(place.middle) - length // 2, place_field(place.number, "middle")
            found.add(_Place(low, field))
            if spec.mixed_mirrored == "yes":
                found.add(_Place(far - low - length, field))
    # A place in the middle is its own mirror image.
    return set({one.low: one for one in sorted(found)}.values())


def clear_of_corner(rules: Rules) -> int:
    """Return the least distance of a block on edge from the inside corner.

    There is room for the shortest piece, and the joint beside it keeps the least offset from the
    butt joint at the corner in the courses below and above.
    """
    return rules.joint + max(rules.shortest, rules.offset)


def _check(spec: BasinSpec, course: Sequence[_Place], far: int, rules: Rules) -> None:
    clear, length = clear_of_corner(rules), rules.length
    low, high = clear, far - clear - length
    for place in course:
        if low <= place.low <= high:
            continue
        if high < low:
            raise _at(
                spec, place,
                f"no block on edge of {text(length)} finds room between the corners of a wall of "
                f"{text(far)}: at a corner it can't bond; leave it out",
            )  # fmt: skip
        if place.field == "mixed_number":
            raise _fewer(spec, far, rules)
        given, (first, last) = _given(spec, place), (low + length // 2, high + length // 2)
        raise place_refused(
            place.field, given,
            f"from {text(first)} to {text(last)}: nearer to a corner a block on edge can't bond",
            between(given, first, last),
        )  # fmt: skip
    apart = rules.joint + max(rules.shortest + rules.joint, rules.offset)
    for one, other in pairwise(course):
        if other.low - one.low - length >= apart:
            continue
        if one.field == other.field == "mixed_number":
            raise _fewer(spec, far, rules)
        wrong = max(one, other, key=lambda place: place.field)
        other_one = one if wrong is other else other
        middle, given = other_one.low + length // 2, _given(spec, wrong)
        raise place_refused(
            wrong.field, given,
            f"too near to the block on edge whose middle is at {text(middle)}: at least "
            f"{text(length + apart)} from it, so that a piece fits between",
            near(given, 2 * (length + apart) // STEP),
        )  # fmt: skip


def _fewer(spec: BasinSpec, far: int, rules: Rules) -> InputError:
    """Return the error for more evenly spaced blocks than a wall has room for."""
    least = max(clear_of_corner(rules), rules.joint + max(rules.least, rules.offset))
    most = next(
        (
            count
            for count in range(min(spec.mixed_number, _MOST) - 1, 0, -1)
            if (far - count * rules.length) // (count + 1) >= least
        ),
        0,
    )
    return _refuse(
        "mixed_number",
        spec.mixed_number,
        f"at most {most} in a wall of {text(far)}, with {text(least)} at least between them and at "
        "the corners",
    )


def _check_over(
    spec: BasinSpec, below: Sequence[_Place], above: Sequence[_Place], course: int, rules: Rules
) -> None:
    for under in below:
        for over in above:
            sides = [
                place.low + side for place in (under, over) for side in (-rules.joint, rules.length)
            ]
            if all(abs(one - other) >= rules.offset for one in sides[:2] for other in sides[2:]):
                continue
            name = "course_pattern" if spec.course_pattern.strip() else "mixed_courses"
            raise _refuse(
                name,
                getattr(spec, name),
                f"courses {course - 1} and {course} lie on each other, and joints beside their "
                f"blocks on edge come closer than {text(rules.offset)}: lay a flat course between, "
                "or move a place",
            )


def _given(spec: BasinSpec, place: _Place) -> int:
    """Return the middle of a typed place as typed."""
    return ticks(getattr(spec, place.field))


def _at(spec: BasinSpec, place: _Place, why: str) -> InputError:
    value = spec.mixed_number if place.field == "mixed_number" else text(_given(spec, place))
    return _refuse(place.field, value, why)


def _refuse(name: str, value: object, allowed: str) -> InputError:
    return InputError(FIELDS[name].label, value, allowed)
