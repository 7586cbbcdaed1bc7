"""Restating the engine's errors, whose values are SI numbers, in the user's units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.units import shown


@contextmanager
def errors_in(system: str, names: dict[str, Kind]) -> Iterator[None]:
    """Reraise an InputError whose value is a number with the value as text in ``system``.

    ``names`` gives the kind of quantity of each argument that may be wrong.
    """
    try:
        yield
    except InputError as error:
        kind = names.get(error.argument, kinds.RATIO)
        # What is no finite number comes as the user gave it.
        if not isinstance(error.value, float) or not math.isfinite(error.value):
            raise
        text = shown(error.value, kind, system)
        raise InputError(error.argument, text, error.allowed) from error
