"""Fields of the layout's inputs: each carries its input in its metadata."""

from __future__ import annotations

from dataclasses import MISSING, field
from typing import Any, Final

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import Kind

INPUT: Final = "input"
"""The key of a field's metadata under which its input is."""


def spec_field(group: str, label: str, kind: Kind, help: str, default: object, **given: Any) -> Any:
    """Return a field of the dataclass that carries its input."""
    required = default is MISSING
    declared = Input(
        label,
        kind,
        help=help,
        group=group,
        required=required,
        default=None if required else default,
        **given,
    )
    metadata = {INPUT: declared}
    return field(metadata=metadata) if required else field(metadata=metadata, default=default)


def length_field(
    group: str,
    label: str,
    help: str,
    low: float,
    high: float,
    default: object = MISSING,
    start: tuple[object, object] = (None, None),
    when: tuple[str, ...] = (),
) -> Any:
    """Return a field for a length [m]; start: what new US and metric workbooks have there."""
    us, metric = start
    given = {"low": low, "high": high, "us": us, "metric": metric, "when": when}
    return spec_field(group, label, kinds.LENGTH, help, default, **given)


def count_field(
    group: str,
    label: str,
    help: str,
    low: int,
    high: int,
    default: int,
    start: int | None = None,
    when: tuple[str, ...] = (),
) -> Any:
    """Return a field for a number of things."""
    given = {"low": low, "high": high, "us": start, "metric": start, "when": when}
    return spec_field(group, label, kinds.COUNT, help, default, **given)


def choice_field(
    group: str, label: str, help: str, choices: tuple[str, ...], when: tuple[str, ...] = ()
) -> Any:
    """Return a field for one of some words, the first where it is blank."""
    first = choices[0]
    given = {"choices": choices, "us": first, "metric": first, "when": when}
    return spec_field(group, label, kinds.CHOICE, help, first, **given)
