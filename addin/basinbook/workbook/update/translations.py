"""Inputs whose values mean something else today: what an old value becomes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, NamedTuple

from basinbook.engine.outfit import CIRCULATION, STILL
from basinbook.evaluation.book import Value


class Translation(NamedTuple):
    """What a value of an input of this name is now, in workbooks before a version.

    ``old`` are the values that mean something else, ``now`` gives what they are today from all
    inputs of the old workbook by name.
    """

    name: str
    old: tuple[Value, ...]
    before: int
    now: Callable[[Mapping[str, Value]], Value]


def _no_spillway(inputs: Mapping[str, Value]) -> Value:
    """A pump was bought whatever it fed: with no spillway it moves the water about."""
    return STILL if inputs.get("Pump") in (None, "") else CIRCULATION


TRANSLATIONS: Final = (Translation("Spill_kind", ("none", "", None), 2, _no_spillway),)


def translated(name: str, value: Value, inputs: Mapping[str, Value], version: int) -> Value:
    """Return what a value of a workbook of some version is today; ``inputs``: all by name."""
    for found in TRANSLATIONS:
        if found.name == name and version < found.before and value in found.old:
            return found.now(inputs)
    return value
