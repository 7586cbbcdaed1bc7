"""US customary and metric give the same physical answer, for every function of the catalogue."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from basinbook.catalogue import functions
from basinbook.catalogue.invoke import Result, invoke, read_argument
from basinbook.catalogue.model import Argument, Array, Cell, Column, Example, Function
from basinbook.engine import kinds, outfit
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.engine.spec import FIELDS
from basinbook.units import SYSTEMS, UNITS, from_si, read, to_si

_FIELD_KINDS = {
    "labels": {field.label.lower(): field.kind for field in FIELDS.values()},
    "part_labels": {field.label.lower(): field.kind for field in outfit.FIELDS.values()},
}
# Ranges of values, and that of the labels beside them.
_LABELS = {"values": "labels", "part_values": "part_labels"}
_RANGE_KINDS = {
    name: {a.name: a.cells for a in function.arguments if a.cells}
    for name, function in functions().items()
}
# The lifting equation is published in inches and in centimetres, up to 3 % apart: each unit system
# has its own form, as tests/reference/test_lifting.py holds.
_OWN_FORMS = ("LIFTINGINDEX", "LIFTLIMIT", "LIFTMULTIPLIERS", "LIFTREACH")
WITH_UNITS = [
    name for name, function in functions().items() if function.has_units and name not in _OWN_FORMS
]


def _cell(value: object, kind: Kind, given_in: str, wanted: str) -> object:
    """A cell of a labelled input, given in one unit system, as a plain number in another."""
    if value is None or value == "" or not kind.has_unit:
        return value
    return from_si(read(value, kind, given_in, "cell"), kind, wanted)


def _range(
    function: Function,
    name: str,
    ranges: dict[str, list[list[object]]],
    given_in: str,
    wanted: str,
) -> list[list[object]]:
    """A range argument; values beside layout labels are converted by their label's kind."""
    rows, of_cells = ranges[name], _RANGE_KINDS[function.name]
    if name in of_cells:
        return [[_cell(cell, of_cells[name], given_in, wanted) for cell in row] for row in rows]
    if name in _FIELD_KINDS:
        return rows
    assert name in _LABELS, f"say in its declaration what the cells of {name} are"
    beside = _LABELS[name]
    labels = [str(cell or "").strip().lower() for row in ranges[beside] for cell in row]
    cells = [cell for row in rows for cell in row]
    assert len(labels) == len(cells)
    return [
        [_cell(cell, _FIELD_KINDS[beside].get(label, kinds.ANY), given_in, wanted)]
        for label, cell in zip(labels, cells, strict=True)
    ]


def _arguments(function: Function, example: Example, wanted: str) -> list[object]:
    """The example's arguments as plain numbers in the unit system ``wanted``."""
    given_in = example.units
    ranges = {
        argument.name: json.loads(text)
        for argument, text in zip(function.arguments, example.arguments, strict=False)
        if argument.kind is kinds.RANGE and text.startswith("[")
    }
    found: list[object] = []
    for argument, text in zip(function.arguments, example.arguments, strict=False):
        if argument.name in ranges:
            found.append(_range(function, argument.name, ranges, given_in, wanted))
        elif argument.kind.has_unit and text.strip():
            si = read_argument(argument, text, given_in)
            assert isinstance(si, float)
            found.append(from_si(si, argument.kind, wanted))
        else:
            found.append(text)
    found += [None] * (len(function.arguments) - len(found))
    return [*found, wanted]


def _kind_of(function: Function, result: Result, system: str) -> Kind:
    """The kind of a single result; where it depends on the arguments, by its unit's label."""
    assert isinstance(function.result, Kind)
    if function.result.has_unit or not result.unit:
        return function.result
    index = SYSTEMS.index(system)
    return next(kind for kind, pair in UNITS.items() if pair[index].label == result.unit)


def _kind_in(row: list[Cell], column: Column, system: str) -> Kind:
    """The kind of a cell; in a column of any kind, by the unit that ends its row."""
    if column.kind is not kinds.ANY or not row[-1]:
        return column.kind
    index = SYSTEMS.index(system)
    return next(kind for kind, pair in UNITS.items() if pair[index].label == row[-1])


def _in_si(function: Function, result: Result, system: str) -> list[object]:
    if isinstance(function.result, Array):
        assert isinstance(result.value, list)
        columns = function.result.columns
        return [
            to_si(cell, _kind_in(row, column, system), system)
            if isinstance(cell, (int, float)) and not isinstance(cell, bool)
            else cell
            for row in result.value
            for cell, column in zip(row, columns, strict=True)
            if not (column.kind is kinds.TEXT and function.takes_system)
        ]
    if isinstance(result.value, float):
        return [to_si(result.value, _kind_of(function, result, system), system)]
    return [result.value]


def _same(us: list[object], metric: list[object]) -> None:
    assert len(us) == len(metric)
    for a, b in zip(us, metric, strict=True):
        if isinstance(a, float) or isinstance(b, float):
            assert isinstance(a, (int, float))
            assert isinstance(b, (int, float))
            assert math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-9), (a, b)
        else:
            assert a == b


def _gives_words_of_its_unit(function: Function) -> bool:
    """Whether its text may name values in the user's unit, and so rightly differ."""
    return function.result is kinds.TEXT and function.takes_system


@pytest.mark.parametrize("name", WITH_UNITS)
def test_every_example_in_both_systems(name: str) -> None:
    function = functions()[name]
    for example in function.examples:
        answers = [
            _in_si(function, invoke(function, _arguments(function, example, system)), system)
            for system in SYSTEMS
        ]
        if not _gives_words_of_its_unit(function):
            _same(*answers)


SCALAR = [
    name
    for name in WITH_UNITS
    if not any(a.kind in (kinds.RANGE, kinds.TEXT, kinds.ANY) for a in functions()[name].arguments)
    and not _gives_words_of_its_unit(functions()[name])
]


def _drawn(draw: st.DrawFn, argument: Argument) -> float | int | str:
    if argument.choices:
        return draw(st.sampled_from(argument.choices))
    low = argument.low if argument.low is not None else 0.0
    high = argument.high if argument.high is not None else 1000.0
    if argument.kind is kinds.COUNT:
        return draw(st.integers(math.ceil(low), math.floor(min(high, 10_000))))
    # Few digits, so that the same value can be typed in either system.
    share = draw(st.integers(0, 1000)) / 1000.0
    return low + share**3 * (high - low)


def _plain(value: float | int | str, kind: Kind, system: str) -> object:
    return from_si(value, kind, system) if isinstance(value, float) else value


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
@pytest.mark.parametrize("name", SCALAR)
def test_any_arguments_in_both_systems(name: str, data: st.DataObject) -> None:
    function = functions()[name]
    drawn = [data.draw(st.composite(lambda d, a=a: _drawn(d, a))()) for a in function.arguments]
    answers: list[list[object] | None] = []
    for system in SYSTEMS:
        plain = [
            _plain(value, argument.kind, system)
            for value, argument in zip(drawn, function.arguments, strict=True)
        ]
        try:
            answers.append(_in_si(function, invoke(function, [*plain, system]), system))
        except InputError:
            answers.append(None)
    us, metric = answers
    if us is None and metric is None:
        return
    assert us is not None
    assert metric is not None
    if us and isinstance(us[0], int):
        # A count may tip over where rounding of the last digit decides; never by more than one.
        assert isinstance(metric[0], int)
        assert abs(us[0] - metric[0]) <= 1
    else:
        _same(us, metric)
