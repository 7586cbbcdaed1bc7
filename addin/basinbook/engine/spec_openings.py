"""The openings among the inputs of a layout: the pipe opening, and up to three more."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.spec import BasinSpec

MOST_OPENINGS: Final = 4
ACCESS: Final = 0
"""The number of the access gap, which has inputs of its own."""
PIPE: Final = 1


def opening_name(number: int) -> str:
    """Return what sentences call an opening."""
    return {ACCESS: "access gap", PIPE: "pipe opening"}.get(number, f"opening {number}")


class OpeningSpec(NamedTuple):
    """One opening as given: the pipe opening is number 1, in the back wall. Lengths in metres.

    rows: courses that it is high. offset: of its middle, None for the centre. lintel: name of
    what lies over it; a lintel_length of 0 stands for a whole block.
    """

    number: int
    use: str
    wall: str
    width: float
    course: int
    rows: int
    offset: float | None
    lintel: str
    lintel_length: float
    lintel_height: float

    @property
    def name(self) -> str:
        """What sentences call it."""
        return opening_name(self.number)

    def field(self, key: str) -> str:
        """Return the name of one of its fields in ``BasinSpec``."""
        return opening_field(self.number, key)


def opening_field(number: int, key: str) -> str:
    """Return the name of a field of an opening in ``BasinSpec``."""
    return f"opening_{key}" if number == PIPE else f"opening_{number}_{key}"


_FIELDS_OF: Final = {
    number: {
        key: opening_field(number, key)
        for key in OpeningSpec._fields[1:]
        if number != PIPE or key not in ("use", "wall")
    }
    for number in range(PIPE, MOST_OPENINGS + 1)
}


def openings_of(spec: BasinSpec) -> tuple[OpeningSpec, ...]:
    """Return the openings that there are, by number."""
    found = []
    for number, fields in _FIELDS_OF.items():
        if getattr(spec, fields["width"]):
            given: dict[str, Any] = {key: getattr(spec, field) for key, field in fields.items()}
            if number == PIPE:
                given |= {"use": "", "wall": "back"}
            found.append(OpeningSpec(number, **given))
    return tuple(found)


def without_openings(spec: BasinSpec, *numbers: int) -> BasinSpec:
    """Return the spec without some openings; without all of them where none is named."""
    gone = numbers or range(PIPE, MOST_OPENINGS + 1)
    changes: dict[str, Any] = {opening_field(number, "width"): 0.0 for number in gone}
    return replace(spec, **changes)
