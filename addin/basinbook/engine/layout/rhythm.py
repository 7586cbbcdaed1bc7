"""Which courses are flat, on edge or mixed: as typed by their numbers, or as a pattern repeats."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import FLAT, ON_EDGE
from basinbook.engine.spec import FIELDS, BasinSpec

MIXED: Final = "mixed"
"""A course of flat blocks with blocks on edge between them."""

_WORDS: Final = {
    "flat": FLAT, "f": FLAT, "on edge": ON_EDGE, "on-edge": ON_EDGE, "edge": ON_EDGE, "e": ON_EDGE,
    "mixed": MIXED, "m": MIXED,
}  # fmt: skip
_NUMBERED: Final = {"edge_courses": ON_EDGE, "mixed_courses": MIXED}


def course_kinds(spec: BasinSpec) -> Callable[[int], str]:
    """Return what tells of a course, numbered from 1, whether it is flat, on edge or mixed."""
    pattern = _pattern(spec.course_pattern)
    if pattern:
        return lambda number: pattern[(number - 1) % len(pattern)]
    named = {name: course_numbers(name, getattr(spec, name)) for name in _NUMBERED}
    both = named["edge_courses"] & named["mixed_courses"]
    if both:
        raise _refuse(
            "mixed_courses",
            spec.mixed_courses,
            f"course {min(both)} is in Courses on edge too: leave it out of one of the two",
        )
    kinds = {number: _NUMBERED[name] for name, numbers in named.items() for number in numbers}
    return lambda number: kinds.get(number, FLAT)


def check_numbers(spec: BasinSpec, count: int) -> None:
    """Refuse numbers of courses above the top, and such as the pattern has otherwise.

    count: of the courses that there are.
    """
    kind = course_kinds(spec)
    for name, word in _NUMBERED.items():
        typed = getattr(spec, name)
        numbers = course_numbers(name, typed)
        if not numbers:
            continue
        if max(numbers) > count:
            raise _refuse(name, typed, f"there are courses 1 to {count}")
        wanted = [number for number in range(1, count + 1) if kind(number) == word]
        if set(wanted) != numbers:
            what = ", ".join(str(number) for number in wanted)
            raise _refuse(
                name,
                typed,
                f"the pattern of courses, {spec.course_pattern}, has "
                + (f"courses {what} {word}" if wanted else f"no course {word}")
                + f"; {f'give {what} or ' if wanted else ''}leave this blank, or leave the pattern "
                "blank",
            )


def course_numbers(name: str, given: str) -> set[int]:
    """Return the course numbers in the text of an input."""
    numbers = set()
    for part in re.split(r"[,;\s]+", given.strip()):
        if not part:
            continue
        if not re.fullmatch(r"\d{1,3}(\.0)?", part) or float(part) < 1:
            raise _refuse(name, given, "give course numbers such as 2 or 2, 4, or blank")
        numbers.add(int(float(part)))
    return numbers


def _pattern(given: str) -> tuple[str, ...]:
    parts = [" ".join(part.lower().split()) for part in re.split(r"[,;/]", given.strip())]
    if parts == [""]:
        return ()
    for part in parts:
        if part not in _WORDS:
            raise _refuse(
                "course_pattern",
                given,
                f"{part or 'a blank'} is none of flat, on edge, mixed; give such as flat, mixed, "
                "flat, from the base up",
            )
    return tuple(_WORDS[part] for part in parts)


def _refuse(name: str, value: object, allowed: str) -> InputError:
    return InputError(FIELDS[name].label, value, allowed)
