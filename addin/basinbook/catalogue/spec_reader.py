"""Reading a layout's inputs, and a job's outfit, from two ranges of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from basinbook.catalogue.labelled import Rows, flat_pairs, labelled, read_labelled
from basinbook.engine import outfit, spec
from basinbook.engine.errors import InputError
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import BasinSpec

_SPEC = labelled(spec.FIELDS)
_OUTFIT = labelled(outfit.FIELDS)


def read_spec(labels: Rows, values: Rows, system: str) -> BasinSpec:
    """Return the layout inputs given as a range of labels and a range of values beside it.

    A label is the name that the inputs have on the sheets ("Inside length"), in any case. Rows
    without a label or a value are passed over, so headings may stand between the inputs. A label
    that no input has, but with a value, is an error: a typing mistake must not go unseen.
    Raises InputError naming the label.
    """
    flat_labels, flat_values = flat_pairs(labels, values)
    # 1, 1.0 and True are one key to a cache; their types keep them apart.
    return _read(flat_labels, flat_values, tuple(map(type, flat_values)), system)


def read_outfit(part_labels: Rows, part_values: Rows, system: str) -> Outfit:
    """Return the outfit of a job given in the same way; a part without a value is not there."""
    given = read_labelled(*flat_pairs(part_labels, part_values), system, _OUTFIT)
    return Outfit(**given)  # type: ignore[arg-type]


@lru_cache(maxsize=256)
def _read(
    labels: Sequence[object], values: Sequence[object], _types: object, system: str
) -> BasinSpec:
    given = read_labelled(labels, values, system, _SPEC)
    for name, field in spec.FIELDS.items():
        if field.required and name not in given:
            raise InputError(field.label, None, "this input is missing")
    return BasinSpec(**given)  # type: ignore[arg-type]
