"""Inputs whose values mean something else today: what an old value becomes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.outfit import BUBBLER, CIRCULATION, FALLS, STILL
from basinbook.evaluation.book import Value
from basinbook.units import read


class Translation(NamedTuple):
    """What a value of an input of this name is now, in workbooks before a version.

    ``now`` gives it from the old value and all inputs of the old workbook by name; a value that
    means the same today comes back as it is.
    """

    name: str
    before: int
    now: Callable[[Value, Mapping[str, Value]], Value]


def _no_spillway(value: Value, inputs: Mapping[str, Value]) -> Value:
    """A pump was bought whatever it fed: with no spillway it moves the water about."""
    if value not in ("none", "", None):
        return value
    return STILL if inputs.get("Pump") in (None, "") else CIRCULATION


def _share_lost(value: Value, _: Mapping[str, Value]) -> Value:
    """What was added to the adhesive that becomes bead, as a share of what is bought.

    1 + w bought for 1 used is a loss of w / (1 + w): the same cartridges as before.
    """
    if value in (None, "") or isinstance(value, bool):
        return value
    try:
        added = read(value, kinds.RATIO, "us", "Adhesive waste")
    except InputError:
        return value
    return added / (1.0 + added) if added > 0.0 else value


def _none_bought(value: Value, inputs: Mapping[str, Value]) -> Value:
    """No outlet was bought where none was named; a blank name is the first of its kind now."""
    wants = inputs.get("Spill_kind") in (*FALLS, BUBBLER)
    return 0.0 if wants and inputs.get("Outlet") in (None, "") else value


TRANSLATIONS: Final = (
    Translation("Spill_kind", 2, _no_spillway),
    Translation("Adhesive_waste", 3, _share_lost),
    Translation("Outlet_count", 6, _none_bought),
)


def translated(name: str, value: Value, inputs: Mapping[str, Value], version: int) -> Value:
    """Return what a value of a workbook of some version is today; ``inputs``: all by name."""
    for found in TRANSLATIONS:
        if found.name == name and version < found.before:
            return found.now(value, inputs)
    return value
