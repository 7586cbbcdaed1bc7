"""Reading numbers and texts with units at the edge."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.units import check_system, feet_and_inches, from_si, inch_fraction, read, to_si

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
]


@pytest.mark.parametrize(("text", "system", "metres"), LENGTHS)
def test_length_texts(text: str, system: str, metres: float) -> None:
    assert read(text, kinds.LENGTH, system, "x") == pytest.approx(metres, rel=1e-12)


# Text, kind, SI value; factors as in NIST Special Publication 811, appendix B (from memory).
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
    ["", "abc", "4' x", "1/0", "5 kg", "5 furlongs per", "1,27 m", "10**10**10", "1 m**9", None,
     True, math.nan, math.inf, "1e999", "--5", "5 5", object(), "__import__('os')", "4 ft 2 in 3", "m"],
)  # fmt: skip
def test_what_is_no_length_is_refused_by_name(value: object) -> None:
    with pytest.raises(InputError) as caught:
        read(value, kinds.LENGTH, "us", "inside_length")
    assert str(caught.value).startswith("inside_length:")
    assert "a number in in" in str(caught.value)


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
