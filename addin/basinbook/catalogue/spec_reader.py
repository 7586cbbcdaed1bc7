"""Reading a layout's inputs from two ranges of a sheet: their labels and their values."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import chain

from basinbook.catalogue.invoke import as_text, read_argument, single
from basinbook.catalogue.model import REQUIRED, Argument
from basinbook.engine.errors import InputError
from basinbook.engine.spec import FIELDS, BasinSpec

Rows = tuple[tuple[object, ...], ...]
_PLAIN = {str, float, int, bool, type(None)}

_ARGUMENTS = {
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
    for name, field in FIELDS.items()
}


def read_spec(labels: Rows, values: Rows, system: str) -> BasinSpec:
    """Return the layout inputs given as a range of labels and a range of values beside it.

    A label is the name that the inputs have on the sheets ("Inside length"), in any case. Rows
    without a label or a value are passed over, so headings may stand between the inputs. A label
    that no input has, but with a value, is an error: a typing mistake must not go unseen.
    Raises InputError naming the label.
    """
    flat_labels, flat_values = _flat(labels, "labels"), _flat(values, "values")
    if len(flat_labels) != len(flat_values):
        raise InputError(
            "values",
            f"a range of {len(flat_values)} cells",
            f"give as many as there are labels ({len(flat_labels)})",
        )
    # 1, 1.0 and True are one key to a cache; their types keep them apart.
    types = tuple(map(type, flat_values))
    return _read(flat_labels, flat_values, types, system)


def _flat(rows: Rows, argument: str) -> tuple[object, ...]:
    cells = tuple(chain.from_iterable(rows))
    if {*map(type, cells)} <= _PLAIN:
        return cells
    for cell in cells:
        # Cells are keys of a cache below; a table inside a cell is no key, and no input.
        if isinstance(cell, (list, tuple)) or cell.__hash__ is None:
            raise InputError(argument, cell, "give one number or text in each cell")
    return cells


@lru_cache(maxsize=256)
def _read(
    labels: Sequence[object], values: Sequence[object], _types: object, system: str
) -> BasinSpec:
    given: dict[str, object] = {}
    for label, value in zip(labels, values, strict=True):
        name = as_text("labels", single(label, "labels") or "").strip()
        # A blank is "not given", whether the row is an input or a heading between inputs.
        if not name or value is None or (isinstance(value, str) and not value.strip()):
            continue
        if name.lower() not in _ARGUMENTS:
            raise InputError(
                name, value, "no input has this label; see the Job sheet for those there are"
            )
        field_name, argument = _ARGUMENTS[name.lower()]
        if field_name in given:
            raise InputError(name, value, "the label stands twice; give it once")
        given[field_name] = read_argument(argument, value, system)
    for name, field in FIELDS.items():
        if field.required and name not in given:
            raise InputError(field.label, None, "this input is missing")
    return BasinSpec(**given)  # type: ignore[arg-type]
