"""Values that can't be used whatever the bond: refused with those near by that may be."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.spec import FIELDS

STEP: Final = ticks(0.0127)
"""Places are looked for in half inches."""
_FAR: Final = 24


class UnfitError(InputError):
    """A refusal to which the solver adds the first of ``tries`` that works, where it gives hints.

    field: the input's name. tries: values of it [m where it is a length], the nearest first; gone
    through once. otherwise: what to do where each of these is free of what is refused here, and
    there is none.
    """

    def __init__(
        self, field: str, value: object, allowed: str, tries: Iterable[Any], otherwise: str = ""
    ) -> None:
        super().__init__(FIELDS[field].label, value, allowed)
        self.field = field
        self.tries = iter(tries)
        self.otherwise = otherwise


def place_refused(
    field: str, at: int, allowed: str, tries: Iterable[int], otherwise: str = ""
) -> UnfitError:
    """Return the refusal of a length; tries: lengths near by [ticks]."""
    return UnfitError(field, text(at), allowed, map(metres, tries), otherwise)


def near(value: int, steps: int, step: int = STEP) -> list[int]:
    """Return multiples of a step so many steps round a length at most, the nearest first."""
    low = value // step
    found = [number * step for number in range(low - steps + 1, low + steps + 1)]
    return _by_distance(value, (one for one in found if one > 0 and one != value))


def between(value: int, low: int, high: int, step: int = STEP) -> list[int]:
    """Return lengths from low to high by the end that one outside is nearer to, nearest first."""
    end = low if value < low else high
    found = {end, *near(end, _FAR, step)}
    return _by_distance(value, (one for one in found if low <= one <= high))


def _by_distance(value: int, found: Iterable[int]) -> list[int]:
    return sorted(found, key=lambda one: (abs(one - value), -one))
