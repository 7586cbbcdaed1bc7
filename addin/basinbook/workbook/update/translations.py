"""Inputs whose values mean something else today: what an old value becomes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, NamedTuple

from basinbook.evaluation.book import Value


class Translation(NamedTuple):
    """In an input of this name, what an ``old`` value is now, given the old workbook's inputs."""

    name: str
    old: str
    now: Callable[[Mapping[str, Value]], str]


TRANSLATIONS: Final[tuple[Translation, ...]] = ()


def translated(name: str, value: Value, inputs: Mapping[str, Value]) -> Value:
    """Return what an old value of an input is today; ``inputs``: all old ones by name."""
    for found in TRANSLATIONS:
        if found.name == name and value == found.old:
            return found.now(inputs)
    return value
