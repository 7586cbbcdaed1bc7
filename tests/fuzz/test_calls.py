"""Whatever any argument of any worksheet function holds: a value or an InputError, at once.

First a table of garbage, as spreadsheets, other hosts and people hand it over, in each argument;
then random, extreme and garbled arguments together.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import random
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from basinbook.catalogue import functions
from basinbook.catalogue.invoke import Result, invoke
from basinbook.catalogue.model import Argument, CellError, Function
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.spec import FIELDS
from basinbook.units import SYSTEMS, UNITS, from_si, read
from fuzz_limits import limited

# Time [s] and memory [MiB] that any call may take.
LIMITS = (5.0, 512)

GARBAGE: tuple[object, ...] = (
    # blanks, texts and what looks like a number
    None, "", "  ", "text", "-", "in", "\x00", "5\n6", "\ud800", "½ in", "1/0", "1 0/0 in", "--5",
    "1e999", "-1e999", "1e308", "nan", "inf", "1,000", "1_000", "0x10", "9" * 400, "9" * 5000,
    "x" * 100_000, "1 " * 1000 + "/", "1" + " " * 100_000 + "in",
    # units that are wrong, odd or meant to be run
    "5 kg", "5 ft/s", "5 gal", "5 %", "5 °C", "5 delta_degF", "5 m m", "5 m**3", "5 ft**99",
    "5 in in", "5 m" * 2000, "5 kilokilometer", "5 (ft)", "5 ft*", "1**1**9", "=1+1",
    "5 m**3**3**3**3", "5 m²²²²", "5 m**3m**3", "9**9**9", "1e9**1e9 m", "10**10**10", "(" * 5000,
    "5 m 2",
    "1" + "0" * 30 + "e5", "1/2e5", "1/9e-999 in", "٣", "٣ in", "٣/٤", "1 2 3", "4' 2' 1'",
    "4\"2'", "-4' 2\"",
    "4' -2\"", "4''", "4' 2 1/0\"", "5 " + "m " * 19, "5 " + "m*" * 18 + "m",
    "5 " + "per " * 9, "5 1e5",
    "__import__('os')", "5 __class__",
    # what stands for a range
    "JOINCELLS [[1],[2]]", 'JOINCELLS [[""],[{"error":"#N/A"}]]', "JOINCELLS [[1],[2,3]]",
    "JOINCELLS []", "JOINCELLS [[]]", "JOINCELLS [[NaN]]", "JOINCELLS " + "[" * 5000,
    "JOINCELLS [[" + "9" * 5000 + "]]",
    # numbers
    math.nan, math.inf, -math.inf, -1, -1.0, 0, 0.0, 0.1, 3, 1e308, -1e308, 1e-320, 10**400,
    10**5000, -(10**5000), 2**53 + 1, -0.0,
    # what is no cell
    True, False, CellError("#DIV/0!"), dt.date(2026, 1, 2), dt.datetime(2026, 1, 2), 1 + 2j,
    object(), b"12", {}, {"a": 1},
    # ranges of many shapes
    [], (), ((),), [[]], [[], []], [[None]], [[1, 2], [3, 4]], [[1], [2, 3]], [[["a"]]], [[{}]],
    [[[]]], [["\x00"]], [[CellError("#N/A")]],
)  # fmt: skip

ALL = list(functions().values())
WITH_RANGES = [f for f in ALL if any(a.kind is kinds.RANGE for a in f.arguments)]


def first_example(function: Function) -> list[Any]:
    """The arguments of the function's first example, blanks for those left out."""
    first = function.examples[0]
    given = [json.loads(a) if a.startswith("[[") else a for a in first.arguments]
    given += [None] * (len(function.all_arguments) - len(given))
    if function.has_units:
        given[-1] = first.units
    return given


def outcome(function: Function, arguments: list[Any]) -> Result | InputError:
    """Call it: only an InputError may come out, within the time, and every cell is a plain one."""
    found: Result | InputError
    with limited(*LIMITS):
        try:
            found = invoke(function, arguments)
            found.text()
        except InputError as error:
            found = error
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
    good = first_example(function)
    # The example itself works, so it is the garbage that is refused.
    assert isinstance(outcome(function, good), Result)
    refused = 0
    for index in range(len(function.all_arguments)):
        for garbage in GARBAGE:
            arguments = [*good]
            arguments[index] = garbage
            refused += isinstance(outcome(function, arguments), InputError)
    # WHY turns what is refused into its text; the others take nothing that could be wrong.
    assert refused > 0 or function.name in ("WHY", "ADDINVERSION", "COMPACTIONFACTORS")


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
    good = first_example(function)
    for index, argument in enumerate(function.arguments):
        if argument.kind is not kinds.RANGE or good[index] is None:
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


# There are a hundred functions, so each gets a share of the cases.
SHARE = settings(max_examples=settings().max_examples // 3)
NUMBERS = (
    st.floats()
    | st.integers()
    | st.sampled_from([0.0, -0.0, 5e-324, 1e-300, 1e-15, 1e15, 1e300, 1.7e308, 2**53, 10**400])
)
# What texts with units are made of, and what people put between.
WORDS = st.sampled_from(
    ["1", "2", "50", "0", ".5", "1/2", "1e9", "e5", "9" * 20, "٣", "½", "-", "+", "'", '"', "′",
     "″", "''", "ft", "in", "m", "mm", "gal", "lb", "oz", "gph", "psi", "°F", "°C", "%", "**", "*",
     "/", "²", "³", "^", "(", ")", " ", "  ", "per", "delta_", "kilo", ".", ",", "e", "nan", "inf",
     "_", "µ", "·", "\x00", "\n", "us", "sharp", "thick", "low"]
)  # fmt: skip
TEXTS = st.lists(WORDS, max_size=12).map("".join) | st.text(max_size=40)


def _values(argument: Argument, system: str) -> st.SearchStrategy[Any]:
    """Values of an argument: within its range, its ends, choices, numbers, texts, garbage."""
    found = NUMBERS | TEXTS | st.sampled_from(GARBAGE) | st.none()
    if argument.choices:
        return st.sampled_from(argument.choices) | found
    low, high = argument.low, argument.high
    if low is None or high is None:
        return found
    if argument.kind is kinds.COUNT:
        return st.integers(int(low), int(high)) | found
    ends = [from_si(end, argument.quantity, system) for end in (low, high)]
    within = st.floats(*ends) | st.sampled_from(ends)
    # Mostly what is allowed: a call that is refused by its first argument says nothing of the rest.
    return st.one_of(*[within] * 8, found)


def _range(argument: Argument, system: str) -> st.SearchStrategy[Any]:
    cell = _values(argument, system) if argument.cells else NUMBERS | TEXTS | st.none()
    column = st.lists(cell.map(lambda value: [value]), max_size=5)
    # Tables of a pump rise in one column and fall in the other.
    numbers = st.lists(st.floats(0.0, 1000.0), min_size=3, max_size=5, unique=True).map(
        lambda found: [[n] for n in sorted(found, reverse=argument.name == "heads")]
    )
    return st.one_of(column, numbers, st.lists(st.lists(cell, max_size=3), max_size=3))


@pytest.mark.parametrize("function", ALL, ids=[f.name for f in ALL])
@SHARE
@given(data=st.data())
def test_random_extreme_and_garbled_arguments(function: Function, data: st.DataObject) -> None:
    system = data.draw(st.sampled_from(SYSTEMS))
    arguments = [
        data.draw(_range(a, system) if a.kind is kinds.RANGE else _values(a, system), label=a.name)
        for a in function.arguments
    ]
    outcome(function, [*arguments, *([system] if function.has_units else [])])


@pytest.mark.parametrize("function", WITH_RANGES, ids=[f.name for f in WITH_RANGES])
@SHARE
@given(data=st.data())
def test_damaged_ranges(function: Function, data: st.DataObject) -> None:
    """The ranges of the example with one cell, row or the shape changed."""
    good = first_example(function)
    index = data.draw(
        st.sampled_from(
            [
                i
                for i, a in enumerate(function.arguments)
                if a.kind is kinds.RANGE and good[i] is not None
            ]
        )
    )
    table = [[*row] for row in good[index]]
    row = data.draw(st.integers(0, len(table) - 1))
    garbled = NUMBERS | TEXTS | st.sampled_from(GARBAGE)
    change = data.draw(st.sampled_from(["cell", "row", "drop", "twice", "wider"]))
    if change == "cell":
        table[row][0] = data.draw(garbled)
    elif change == "row":
        table[row] = data.draw(garbled)
    elif change == "drop":
        del table[row]
    elif change == "twice":
        table.insert(row, table[row])
    else:
        table[row].append(data.draw(garbled))
    outcome(function, [*good[:index], table, *good[index + 1 :]])


KINDS = st.sampled_from([*UNITS, kinds.RATIO, kinds.COUNT])


@given(TEXTS, KINDS, st.sampled_from(SYSTEMS))
@example("5 m**3**3**3**3", kinds.LENGTH, "us")
@example("9**9**9", kinds.RATIO, "us")
@example("9" * 10_000, kinds.LENGTH, "us")
@example("(" * 10_000, kinds.LENGTH, "us")
@example("4' " * 3000, kinds.LENGTH, "us")
@example("1 " * 5000 + "/", kinds.LENGTH, "us")
@example("1e999", kinds.TEMPERATURE, "metric")
@example("1e308 km", kinds.LENGTH, "metric")
@example("1e308", kinds.HOURS, "us")
@example("5 " + "m*" * 5000, kinds.AREA, "us")
def test_texts_with_units_are_read_or_refused(text: str, kind: kinds.Kind, system: str) -> None:
    with limited(*LIMITS):
        try:
            number = read(text, kind, system, "x")
        except InputError:
            return
    assert math.isfinite(number)


@pytest.mark.parametrize(
    "text", ["5 m 2", "5 m**3**3**3**3", "5 m²²", "1**9 m", "5 m**-1**-1", "5 2m"]
)
def test_no_arithmetic_is_read_as_a_unit(text: str) -> None:
    with limited(*LIMITS), pytest.raises(InputError, match="give a number in in"):
        read(text, kinds.LENGTH, "us", "x")
