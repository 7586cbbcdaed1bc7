"""Reading things from two ranges of a sheet: labels, and the values beside them."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from itertools import chain

from basinbook.catalogue.invoke import as_text, read_argument, single
from basinbook.catalogue.model import REQUIRED, Argument
from basinbook.engine.errors import InputError
from basinbook.engine.inputs import Input

Rows = tuple[tuple[object, ...], ...]
Labelled = Mapping[str, tuple[str, Argument]]
"""By the label in small letters: the field's name, and how its value is read."""

_PLAIN = {str, float, int, bool, type(None)}


def labelled(fields: Mapping[str, Input]) -> Labelled:
    """Return how fields are read, from their inputs."""
    return {
        field.label.lower(): (
            name,
            Argument(
                field.label,
                field.kind,
                field.help,
                field.low,
                field.high,
                field.choices,
                REQUIRED if field.required else field.default,
            ),
        )
        for name, field in fields.items()
    }


def flat_pairs(labels: Rows, values: Rows) -> tuple[tuple[object, ...], tuple[object, ...]]:
    """Return the cells of both ranges in a row each; raises InputError where they don't match."""
    flat_labels, flat_values = _flat(labels, "labels"), _flat(values, "values")
    if len(flat_labels) != len(flat_values):
        raise InputError(
            "values",
            f"a range of {len(flat_values)} cells",
            f"give as many as there are labels ({len(flat_labels)})",
        )
    return flat_labels, flat_values


def _flat(rows: Rows, argument: str) -> tuple[object, ...]:
    cells = tuple(chain.from_iterable(rows))
    if {*map(type, cells)} <= _PLAIN:
        return cells
    for cell in cells:
        # Cells may be keys of a cache; a table inside a cell is no key, and no input.
        if isinstance(cell, (list, tuple)) or cell.__hash__ is None:
            raise InputError(argument, cell, "give one number or text in each cell")
    return cells


def read_labelled(
    labels: Sequence[object], values: Sequence[object], system: str, known: Labelled
) -> dict[str, object]:
    """Return the values given, by field name, each read and checked.

    A label counts in any case. Rows without a label or a value are passed over, so headings may
    stand between. A label that is not known, but with a value, is an error: a typing mistake must
    not go unseen. Raises InputError naming the label.
    """
    given: dict[str, object] = {}
    for label, value in zip(labels, values, strict=True):
        name = as_text("labels", single(label, "labels") or "").strip()
        # A blank is "not given", whether the row is an input or a heading between inputs.
        if not name or value is None or (isinstance(value, str) and not value.strip()):
            continue
        if name.lower() not in known:
            raise InputError(name, value, "no input has this label; Job_labels has those there are")
        field_name, argument = known[name.lower()]
        if field_name in given:
            raise InputError(name, value, "the label stands twice; give it once")
        given[field_name] = read_argument(argument, value, system)
    return given


def read_known(
    labels: Sequence[object], values: Sequence[object], system: str, known: Labelled
) -> dict[str, object]:
    """Return the values that can be read, by field name; what can't be read is left out.

    For facts that other cells have judged already: what is wrong with an input is said there.
    A label that is not known is an error all the same.
    """
    found: dict[str, object] = {}
    for label, value in zip(labels, values, strict=True):
        name = as_text("labels", single(label, "labels") or "").strip().lower()
        if not name:
            continue
        if name not in known:
            raise InputError("labels", label, "no fact has this label; see docs/findings.md")
        field_name, argument = known[name]
        with contextlib.suppress(InputError):
            found[field_name] = read_argument(argument, value, system)
    return found
