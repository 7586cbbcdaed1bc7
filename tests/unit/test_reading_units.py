"""Reading numbers and texts with units at the edge."""

from __future__ import annotations

import math
import time
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basinbook.catalogue import call, functions
from basinbook.catalogue.invoke import read_argument
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.units import (
    check_system,
    feet_and_inches,
    from_si,
    inch_fraction,
    read,
    shown_range,
    to_si,
)

# Text, unit system, metres; by hand from 1 in = 0.0254 m and 1 ft = 12 in.
LENGTHS = [
    ("50", "us", 50 * 0.0254),
    ("50 in", "metric", 50 * 0.0254),
    ('50"', "us", 50 * 0.0254),
    ("4' 2\"", "us", 50 * 0.0254),
    ("4'2", "us", 50 * 0.0254),
    ("4′ 2″", "us", 50 * 0.0254),
    ("4' 2 1/2\"", "us", 50.5 * 0.0254),
    ("4'-2 1/2\"", "us", 50.5 * 0.0254),
    ("4 ft 2 in", "us", 50 * 0.0254),
    ("4'", "us", 48 * 0.0254),
    ("4 ft", "metric", 48 * 0.0254),
    ("3/4", "us", 0.75 * 0.0254),
    ("1 1/2 in", "us", 1.5 * 0.0254),
    ("1-1/2", "us", 1.5 * 0.0254),
    ("1.27 m", "us", 1.27),
    ("127cm", "us", 1.27),
    ("1270", "metric", 1.27),
    (" 1270 mm ", "us", 1.27),
    (".5 in", "us", 0.0127),
    ("1e2 mm", "us", 0.1),
    ("1 yd", "us", 0.9144),
    # Fractions in one sign, and those that a program sets from two numbers and a stroke.
    ("54½", "us", 54.5 * 0.0254),
    ("54 ½ in", "us", 54.5 * 0.0254),
    ("54-½", "us", 54.5 * 0.0254),
    ("½ in", "metric", 0.5 * 0.0254),
    ("-½", "us", -0.5 * 0.0254),
    ("4' 2½\"", "us", 50.5 * 0.0254),
    ("4'2½", "us", 50.5 * 0.0254),
    ("4′-2 ¼″", "us", 50.25 * 0.0254),
    ("4½'", "us", 54 * 0.0254),
    ("1 1⁄2 in", "us", 1.5 * 0.0254),
    ("3∕4", "us", 0.75 * 0.0254),
    ("1¹⁄₂ in", "us", 1.5 * 0.0254),
    ("2½e1 mm", "us", 0.025),
    # A comma for the decimals, where it can be no mark between thousands.
    ("1,27 m", "metric", 1.27),
    ("127,0cm", "us", 1.27),
    ("0,270 m", "metric", 0.27),
    (",5 in", "us", 0.0127),
    ("1270,125", "metric", 1.270125),
    ("4' 2,5\"", "us", 50.5 * 0.0254),
    ("1,5e2 mm", "us", 0.15),
    # Marks between thousands, where they can be nothing else.
    ("1,270.5 mm", "us", 1.2705),
    ("1.270,5 mm", "us", 1.2705),
    ("1,270,000 mm", "us", 1270.0),
]


@pytest.mark.parametrize(("text", "system", "metres"), LENGTHS)
def test_length_texts(text: str, system: str, metres: float) -> None:
    assert read(text, kinds.LENGTH, system, "x") == pytest.approx(metres, rel=1e-12)


# Text, kind, SI value; factors as in NIST Special Publication 811 (2008), appendix B.8.
OTHERS = [
    ("10 gal", kinds.LIQUID, 10 * 231 * 0.0254**3),
    ("300 L", kinds.LIQUID, 0.3),
    ("1 cu yd", kinds.BULK, 0.9144**3),
    ("2 tons", kinds.LOAD_MASS, 2 * 2000 * 0.45359237),
    ("2 t", kinds.LOAD_MASS, 2000.0),
    ("28 oz", kinds.CARTRIDGE, 28 * 231 * 0.0254**3 / 128),
    ("5 gpm", kinds.HOSE_FLOW, 5 * 231 * 0.0254**3 / 60),
    ("1200 gph", kinds.PUMP_FLOW, 1200 * 231 * 0.0254**3 / 3600),
    ("100 pcf", kinds.DENSITY, 100 * 0.45359237 / 0.3048**3),
    ("10 psi", kinds.PRESSURE, 10 * 0.45359237 * 9.80665 / 0.0254**2),
    ("68 °F", kinds.TEMPERATURE, 293.15),
    ("20 C", kinds.TEMPERATURE, 293.15),
    ("5%", kinds.RATIO, 0.05),
]


@pytest.mark.parametrize(("text", "kind", "expected"), OTHERS)
def test_other_texts(text: str, kind: kinds.Kind, expected: float) -> None:
    assert read(text, kind, "us", "x") == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    "value",
    ["", "abc", "4' x", "1/0", "5 kg", "5 furlongs per", "10**10**10", "1 m**9", None,
     True, math.nan, math.inf, "1e999", "--5", "5 5", object(), "__import__('os')", "4 ft 2 in 3",
     "m", "1e308 km", 10**400, "5½2", "½½", "54.½", "1/½", "½/2", "1,5½", "1,2,3", "1,27,0", "5,",
     ",", "1.2.3", "0,270,000", "1,270,00", "½⁄0", "1⁄0", "5, 4", "1½,5", "m½", "."],
)  # fmt: skip
def test_what_is_no_length_is_refused_by_name(value: object) -> None:
    with pytest.raises(InputError) as caught:
        read(value, kinds.LENGTH, "us", "inside_length")
    assert str(caught.value).startswith("inside_length:")
    assert "a number in in" in str(caught.value)


# The sign's value is in the Unicode Character Database (field 8, "Numeric_Value").
@pytest.mark.parametrize("sign", "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")
def test_each_fraction_of_one_sign_is_worth_what_unicode_says(sign: str) -> None:
    value = unicodedata.numeric(sign)
    for text, expected in ((sign, value), (f"7{sign}", 7 + value), (f"7 {sign} in", 7 + value)):
        assert read(text, kinds.LENGTH, "us", "x") == pytest.approx(expected * 0.0254, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "large", "small"),
    [
        ("1,270 mm", "1270", "1.27"),
        ("1,270", "1270", "1.27"),
        ("12,500 L", "12500", "12.5"),
        ("-1,125", "1125", "1.125"),
        ("4' 2,125\"", "2125", "2.125"),
    ],
)
def test_a_comma_that_can_be_either_mark_is_refused_with_both_readings(
    text: str, large: str, small: str
) -> None:
    for kind in (kinds.LENGTH, kinds.LIQUID, kinds.RATIO):
        for system in ("us", "metric"):
            with pytest.raises(InputError, match=f"can be {large} or {small};"):
                read(text, kind, system, "x")


@pytest.mark.parametrize(
    "text", ["1," * 100, "½" * 200, "1,000" * 40, "¹" * 100 + "⁄" * 100, "1" * 199 + ",", "9," * 99]
)
def test_long_numbers_are_refused_at_once(text: str) -> None:
    started = time.perf_counter()
    with pytest.raises(InputError):
        read(text, kinds.LENGTH, "us", "x")
    assert time.perf_counter() - started < 0.5


@given(st.floats(-1e6, 1e6), st.sampled_from(["us", "metric"]))
def test_there_and_back(number: float, system: str) -> None:
    for kind in (kinds.LENGTH, kinds.TEMPERATURE, kinds.PUMP_FLOW, kinds.PRESSURE):
        back = from_si(to_si(number, kind, system), kind, system)
        assert back == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(st.integers(0, 100_000))
def test_written_inches_are_read_back(sixteenths: int) -> None:
    metres = sixteenths / 16 * 0.0254
    for text in (feet_and_inches(metres), inch_fraction(metres)):
        assert read(text, kinds.LENGTH, "us", "x") == pytest.approx(metres, abs=1e-9)


def test_unit_system_names() -> None:
    assert check_system(None) == "us"
    assert check_system(" Metric ") == "metric"
    with pytest.raises(InputError, match="units: 'imperial'"):
        check_system("imperial")


@pytest.mark.parametrize(
    ("low", "high", "kind", "us", "metric"),
    [
        # 50 mm is 1.9685 in and 30 m is 1181.10 in: rounded inwards, so that both are allowed.
        (0.05, 30.0, kinds.LENGTH, "1.97 in to 1,180 in", "50 mm to 30,000 mm"),
        (-1.0, 0.254, kinds.LENGTH, "-39.3 in to 10 in", "-1,000 mm to 254 mm"),
        (0.0002, 2.0, kinds.LENGTH, "0.00788 in to 78.7 in", "0.2 mm to 2,000 mm"),
        (273.15, 323.15, kinds.TEMPERATURE, "32 °F to 122 °F", "0 °C to 50 °C"),
        (0.0, 1_234_567.0, kinds.COUNT, "0 to 1,234,567", "0 to 1,234,567"),
    ],
)
def test_ranges_are_short_and_hold(
    low: float, high: float, kind: Kind, us: str, metric: str
) -> None:
    assert shown_range(low, high, kind, "us") == us
    assert shown_range(low, high, kind, "metric") == metric


def test_limits_as_shown_can_be_typed() -> None:
    """Every limit that a message names is itself allowed."""
    for declared in functions().values():
        for argument in declared.arguments:
            if argument.low is None or argument.high is None or not argument.kind.has_unit:
                continue
            for system in ("us", "metric"):
                for text in shown_range(argument.low, argument.high, argument.kind, system).split(
                    " to "
                ):
                    number = float(text.split()[0].replace(",", ""))
                    read_argument(argument, number, system)


def test_a_limit_typed_in_another_unit_reaches_the_engine_as_the_limit() -> None:
    """104 °F is 40 °C but for the last digit: the engine, which is exact, must not refuse it."""
    assert 104.0 * (5 / 9) + 255.37222222222223 > 313.15
    for typed in (104, "104 °F", "40 °C"):
        assert isinstance(call("PIPEHEADLOSS", "10 gpm", 1.049, 100, None, typed).value, float)
    for declared in functions().values():
        for argument in declared.arguments:
            if argument.low is None or argument.high is None or argument.cells:
                continue
            for system in ("us", "metric"):
                for limit in (argument.low, argument.high):
                    typed_limit = from_si(limit, argument.kind, system) * (1 + 4e-16)
                    found = read_argument(argument, typed_limit, system)
                    assert isinstance(found, (int, float))
                    assert argument.low <= found <= argument.high


@pytest.mark.parametrize(
    ("name", "arguments", "said"),
    [
        ("DRAINDOWN", (48, 24, 12, 20), "drain_level: '20 in' can't be used"),
        ("DRAINDOWN", (1200, 600, 300, 500, 0, "metric"), "drain_level: '500 mm' can't be used"),
        ("SQUARESHIFT", (48, 36, 100, 20), "first_diagonal: '100 in' can't be used"),
    ],
)
def test_engine_errors_are_in_the_users_unit(
    name: str, arguments: tuple[object, ...], said: str
) -> None:
    with pytest.raises(InputError) as caught:
        call(name, *arguments)
    assert str(caught.value).startswith(said)
