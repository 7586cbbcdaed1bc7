"""Garbage in any argument of any worksheet function ends in a value or an InputError, at once.

A table rather than random text: what spreadsheets, other hosts and people hand over.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import random
import time
from collections.abc import Iterator
from typing import Any

import pytest

from basinbook.catalogue import functions
from basinbook.catalogue.invoke import Result, invoke
from basinbook.catalogue.model import Argument, CellError, Function
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.spec import FIELDS
from basinbook.units import from_si

LONGEST = 2.0
"""Time that any call may take [s]."""

GARBAGE: tuple[object, ...] = (
    # blanks, texts and what looks like a number
    None, "", "  ", "text", "-", "in", "\x00", "5\n6", "\ud800", "½ in", "1/0", "1 0/0 in", "--5",
    "1e999", "-1e999", "1e308", "nan", "inf", "1,000", "1_000", "0x10", "9" * 400, "9" * 5000,
    "x" * 100_000, "1 " * 1000 + "/", "1" + " " * 100_000 + "in",
    # units that are wrong, odd or meant to be run
    "5 kg", "5 ft/s", "5 gal", "5 %", "5 °C", "5 delta_degF", "5 m m", "5 m**3", "5 ft**99",
    "5 in in", "5 m" * 2000, "5 kilokilometer", "5 (ft)", "5 ft*", "1**1**9", "=1+1",
    "__import__('os')", "5 __class__",
    # numbers
    math.nan, math.inf, -math.inf, -1, -1.0, 0, 0.0, 0.1, 3, 1e308, -1e308, 1e-320, 10**400,
    # what is no cell
    True, False, CellError("#DIV/0!"), dt.date(2026, 1, 2), dt.datetime(2026, 1, 2), 1 + 2j,
    object(), b"12", {}, {"a": 1},
    # ranges of many shapes
    [], (), ((),), [[]], [[], []], [[None]], [[1, 2], [3, 4]], [[1], [2, 3]], [[["a"]]], [[{}]],
    [[[]]], [["\x00"]], [[CellError("#N/A")]],
)  # fmt: skip

ALL = list(functions().values())
WITH_RANGES = [f for f in ALL if any(a.kind is kinds.RANGE for a in f.arguments)]


def example(function: Function) -> list[Any]:
    """The arguments of the function's first example, blanks for those left out."""
    first = function.examples[0]
    given = [json.loads(a) if a.startswith("[[") else a for a in first.arguments]
    given += [None] * (len(function.all_arguments) - len(given))
    if function.has_units:
        given[-1] = first.units
    return given


def outcome(function: Function, arguments: list[Any]) -> Result | InputError:
    """Call it: only an InputError may come out, within the time, and every cell is a plain one."""
    started = time.perf_counter()
    found: Result | InputError
    try:
        found = invoke(function, arguments)
        found.text()
    except InputError as error:
        found = error
    assert time.perf_counter() - started < LONGEST
    if isinstance(found, InputError):
        # One line that a cell can show, however long what was typed.
        assert 0 < len(str(found)) < 3000
        return found
    rows = found.value if isinstance(found.value, list) else [[found.value]]
    for cell in (cell for row in rows for cell in row):
        assert cell is None or isinstance(cell, (str, int, float, bool))
        assert not isinstance(cell, float) or math.isfinite(cell)
    return found


@pytest.mark.parametrize("function", ALL, ids=[f.name for f in ALL])
def test_garbage_in_each_argument(function: Function) -> None:
    good = example(function)
    # The example itself works, so it is the garbage that is refused.
    assert isinstance(outcome(function, good), Result)
    refused = 0
    for index in range(len(function.all_arguments)):
        for garbage in GARBAGE:
            arguments = [*good]
            arguments[index] = garbage
            refused += isinstance(outcome(function, arguments), InputError)
    # WHY turns what is refused into its text.
    assert refused > 0 or function.name in ("WHY", "ADDINVERSION")


@pytest.mark.parametrize("function", ALL, ids=[f.name for f in ALL])
def test_garbage_in_all_arguments(function: Function) -> None:
    for garbage in GARBAGE:
        outcome(function, [garbage] * len(function.all_arguments))
    if function.arguments and not function.arguments[-1].repeats:
        assert isinstance(outcome(function, [None] * 30), InputError)


PLAIN = [f for f in ALL if f.arguments and f not in WITH_RANGES and not f.arguments[-1].repeats]


def _extremes(argument: Argument, system: str) -> list[object]:
    """The ends of an argument's range as one types them, what lies between, and its choices."""
    if argument.choices:
        return list(argument.choices)
    if argument.low is None or argument.high is None:
        return ["text"]
    low, high = argument.low, argument.high
    middle = round((low + high) / 2) if argument.kind is kinds.COUNT else (low + high) / 2
    found: list[object] = [from_si(n, argument.kind, system) for n in (low, high, middle)]
    return found if argument.required else [*found, None]


@pytest.mark.parametrize("function", PLAIN, ids=[f.name for f in PLAIN])
def test_ends_of_all_ranges_together(function: Function) -> None:
    """Every limit is allowed with every other: a value, or an InputError that says what clashes."""
    source = random.Random(function.name)
    for _ in range(150):
        system = source.choice(["us", "metric"]) if function.has_units else "us"
        arguments = [source.choice(_extremes(a, system)) for a in function.arguments]
        outcome(function, [*arguments, *([system] if function.has_units else [])])


@pytest.mark.parametrize("function", WITH_RANGES, ids=[f.name for f in WITH_RANGES])
def test_garbage_in_each_cell_of_a_range(function: Function) -> None:
    good = example(function)
    for index, argument in enumerate(function.arguments):
        if argument.kind is not kinds.RANGE:
            continue
        for row, column in _cells(good[index]):
            for garbage in GARBAGE:
                table = [[*cells] for cells in good[index]]
                table[row][column] = garbage
                outcome(function, [*good[:index], table, *good[index + 1 :]])


def _cells(table: list[list[object]]) -> Iterator[tuple[int, int]]:
    return ((r, c) for r, row in enumerate(table) for c in range(len(row)))


LABELS = ["Inside length", "Inside width", "Block length", "Block height", "Block depth"]
VALUES: list[object] = [1600, 1000, 400, 100, 200]


@pytest.mark.parametrize("name", FIELDS)
def test_garbage_in_each_input_of_a_layout(name: str) -> None:
    """Every input of a basin, the ends of its range and its choices among the garbage."""
    field = FIELDS[name]
    scale = 1000.0 if field.kind is kinds.LENGTH else 1.0
    ends = [end * scale for end in (field.low, field.high) if end is not None]
    refused = 0
    for garbage in (*GARBAGE, *ends, *field.choices):
        given = dict(zip(LABELS, VALUES, strict=True)) | {field.label: garbage}
        labels, values = [[label] for label in given], [[value] for value in given.values()]
        found = outcome(functions()["TAKEOFF"], ["Blocks to buy", labels, values, "metric"])
        refused += isinstance(found, InputError)
    assert refused > 10
