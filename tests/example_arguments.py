"""The arguments of a declared example as a host hands them over; shared by several tests."""

from __future__ import annotations

import json

from basinbook.catalogue.model import Example, Function


def raw_arguments(function: Function, example: Example) -> list[object]:
    """Texts as they stand, ranges read from their JSON, the unit system in its place."""
    given: list[object] = [
        json.loads(text) if text.startswith("[[") else text for text in example.arguments
    ]
    if function.has_units:
        given += [None] * (len(function.arguments) - len(given))
        given.append(example.units)
    return given
