"""What a finding is: its grade, where it lies, the facts it is judged from, and what is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import Kind

STOPS: Final = "stops"
LOOK: Final = "look"
NOTE: Final = "note"
GRADES: Final = (STOPS, LOOK, NOTE)
"""What stops is not sent; what is to be looked at is sent with a reason only."""


@dataclass(frozen=True)
class Amount:
    """A quantity in SI, said in the user's unit."""

    number: float
    kind: Kind


def length(number: float) -> Amount:
    """Return a length [m] to be said."""
    return Amount(number, kinds.LENGTH)


def whole(number: float) -> Amount:
    """Return a count to be said."""
    return Amount(round(number), kinds.COUNT)


def fact(label: str, kind: Kind) -> Input:
    """Return a fact: its label on the sheets and its kind."""
    return Input(label, kind)


class Phrase:
    """A text with {} in place of each amount, or of a text of the user."""

    __slots__ = ("parts", "text")

    def __init__(self, text: str, *parts: Amount | str) -> None:
        self.text = text
        self.parts = parts


@dataclass(frozen=True)
class Found:
    """What was found: in words, the value and its limit, and what to change."""

    what: Phrase
    value: Phrase
    limit: Phrase
    change: Phrase


@dataclass(frozen=True)
class Facts:
    """The facts that a finding is judged from, SI numbers and texts by name; unknown ones lack."""

    given: Mapping[str, object]

    def number(self, name: str) -> float | None:
        """Return a number, or None where it is unknown."""
        value = self.given.get(name)
        return float(value) if isinstance(value, (int, float)) else None

    def numbers(self, *names: str) -> tuple[float, ...] | None:
        """Return several numbers, or None where one of them is unknown."""
        found = [self.number(name) for name in names]
        known = tuple(number for number in found if number is not None)
        return known if len(known) == len(found) else None

    @property
    def stands(self) -> bool:
        """Whether courses are laid, so that another inside size is no way out."""
        return bool(self.number("laid"))

    def text(self, name: str) -> str:
        """Return a text, blank where it is unknown."""
        value = self.given.get(name)
        return value.strip() if isinstance(value, str) else ""


@dataclass(frozen=True)
class Finding:
    """One finding: its name, grade, the defined name of the cell it lies in, and its judge.

    ``judge`` takes the facts of the finding's topic and returns what was found, or None;
    ``against`` says what they are judged by, with its source.
    """

    name: str
    grade: str
    cell: str
    judge: Callable[[Facts], Found | None]
    against: str


@dataclass(frozen=True)
class Topic:
    """Findings that are judged from the same facts: each fact with its label and kind."""

    name: str
    facts: Mapping[str, Input]
    findings: tuple[Finding, ...]
