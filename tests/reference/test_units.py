"""Unit conversions against NIST's factors.

NIST Special Publication 811 (2008), appendix B.8, gives seven digits of each factor, quoted here as
printed; NIST Handbook 44, appendix C, and the international yard and pound agreement of 1959 give
the exact definitions: 1 in = 0.0254 m, 1 lb = 0.453 592 37 kg, 1 US gal = 231 in³; standard gravity
9.806 65 m/s² (3rd CGPM, 1901).
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.units import from_si, read, to_si, unit_of
from outside import Check, Exhibit, judge, named

IN = Fraction(254, 10_000)
FT = 12 * IN
YD = 3 * FT
LB = Fraction(45_359_237, 100_000_000)
GAL = 231 * IN**3
LBF = LB * Fraction(980_665, 100_000)
HOUR = 3600

# kind, label, exact factor from the definitions, factor as printed in SP 811 (None: not listed)
US = [
    (kinds.LENGTH, "in", IN, "2.54 E-02"),
    (kinds.RUN, "ft", FT, "3.048 E-01"),
    (kinds.AREA, "ft²", FT**2, "9.290304 E-02"),
    (kinds.LIQUID, "gal", GAL, "3.785412 E-03"),
    (kinds.BULK, "yd³", YD**3, "7.645549 E-01"),
    (kinds.CARTRIDGE, "fl oz", GAL / 128, "2.957353 E-05"),
    (kinds.MASS, "lb", LB, "4.535924 E-01"),
    (kinds.LOAD_MASS, "ton", 2000 * LB, "9.071847 E+02"),
    (kinds.DENSITY, "lb/ft³", LB / FT**3, "1.601846 E+01"),
    (kinds.PUMP_FLOW, "gal/h", GAL / HOUR, None),
    (kinds.HOSE_FLOW, "gal/min", GAL / 60, "6.309020 E-05"),
    (kinds.HEAD, "ft", FT, "3.048 E-01"),
    (kinds.PRESSURE, "lb/ft²", LBF / FT**2, "4.788026 E+01"),
    (kinds.FORCE_PER_LENGTH, "lb/ft", LBF / FT, "1.459390 E+01"),
    (kinds.MOMENT_PER_LENGTH, "lb·ft/ft", LBF, "4.448222 E+00"),
    (kinds.VELOCITY, "ft/s", FT, "3.048 E-01"),
    (kinds.WATER_RATE, "in/day", IN / (24 * HOUR), None),
    (kinds.ENERGY, "kWh", Fraction(3_600_000), "3.6 E+06"),
]
# The litre is 1 dm³ (12th CGPM, 1964); the tonne is 1000 kg (SI brochure, 8th ed., table 6).
METRIC = [
    (kinds.LENGTH, "mm", Fraction(1, 1000)),
    (kinds.LIQUID, "L", Fraction(1, 1000)),
    (kinds.CARTRIDGE, "mL", Fraction(1, 1_000_000)),
    (kinds.LOAD_MASS, "t", Fraction(1000)),
    (kinds.PUMP_FLOW, "L/h", Fraction(1, 1000 * HOUR)),
    (kinds.HOSE_FLOW, "L/min", Fraction(1, 60_000)),
    (kinds.PRESSURE, "kPa", Fraction(1000)),
    (kinds.WATER_RATE, "mm/day", Fraction(1, 86_400_000)),
]

# Fixed points of the scales, by t/°C = (t/°F - 32)/1.8 and T/K = t/°C + 273.15.
POINTS = [
    (32.0, "us", 273.15), (212.0, "us", 373.15), (-40.0, "us", 233.15), (-40.0, "metric", 233.15),
    (39.2, "us", 277.15), (4.0, "metric", 277.15),
]  # fmt: skip
# What an estimator types.
TYPED = [
    ("4' 2\"", kinds.LENGTH, 50 * IN),
    ("4' 2 1/2\"", kinds.LENGTH, Fraction(101, 2) * IN),
    ("5 ft 4 3/8 in", kinds.LENGTH, Fraction(515, 8) * IN),
    ("1 yd", kinds.LENGTH, YD),
    ("127 cm", kinds.LENGTH, 50 * IN),
    ("231 in**3", kinds.LIQUID, GAL),
    ("1 cu yd", kinds.BULK, 27 * FT**3),
    ("32 fl oz", kinds.CARTRIDGE, GAL / 4),
    ("16 oz", kinds.MASS, LB),
    ("1 tonne", kinds.LOAD_MASS, Fraction(1000)),
    ("2000 lb", kinds.LOAD_MASS, 2000 * LB),
    ("1 psi", kinds.PRESSURE, LBF / IN**2),
    ("60 gph", kinds.PUMP_FLOW, GAL / 60),
]


def _factor(kind: Kind, system: str) -> Callable[[], float]:
    return lambda: to_si(1.0, kind, system)


def _typed(text: str, kind: Kind, system: str) -> Callable[[], float]:
    return lambda: read(text, kind, system, "value")


def _printed(label: str, printed: str, kind: Kind) -> Check:
    """Half a unit of the last printed digit."""
    mantissa, exponent = printed.split(" E")
    last = 10.0 ** (int(exponent) - len(mantissa.split(".")[1]))
    value = float(f"{mantissa}E{exponent}")
    return Check(f"1 {label} ({kind.name})", value, "", _factor(kind, "us"), abs=0.5001 * last)


OUTSIDE = [
    Exhibit(
        "Factors to SI as printed",
        "NIST Special Publication 811 (2008), appendix B.8, in m, m², m³, kg, N, Pa, J and s",
        "half a unit of the last printed digit",
        tuple(_printed(label, printed, kind) for kind, label, _, printed in US if printed),
        "gallons an hour and inches a day, which it does not list: see the next table",
    ),
    Exhibit(
        "Factors to SI by definition",
        "NIST Handbook 44, appendix C (gallon 231 in³); yard and pound agreement of 1959 (0.3048 "
        "m, 0.45359237 kg); standard gravity of the 3rd CGPM; multiplied here as fractions",
        "exact",
        tuple(
            Check(f"1 {label} ({kind.name})", float(exact), "", _factor(kind, "us"), rel=1e-12)
            for kind, label, exact, _ in US
        ),
    ),
    Exhibit(
        "Factors to SI of metric units",
        "12th CGPM, 1964: litre 1 dm³; SI brochure, 8th ed., 2006, table 6: tonne 1000 kg",
        "exact",
        tuple(
            Check(f"1 {label} ({kind.name})", float(exact), "", _factor(kind, "metric"), rel=1e-12)
            for kind, label, exact in METRIC
        ),
    ),
    Exhibit(
        "Temperatures",
        "NIST Special Publication 811 (2008), appendix B.8, entries degree Fahrenheit and degree "
        "Celsius",
        "exact",
        tuple(
            Check(
                f"{number:g} in the unit of {system}",
                kelvin,
                "K",
                lambda number=number, system=system: to_si(  # type: ignore[misc]
                    number, kinds.TEMPERATURE, system
                ),
                rel=1e-12,
            )
            for number, system, kelvin in POINTS
        ),
    ),
    Exhibit(
        "What an estimator types",
        "the same definitions, by hand, as fractions",
        "exact",
        tuple(
            Check(f"{text} ({system})", float(si), "", _typed(text, kind, system), rel=1e-12)
            for text, kind, si in TYPED
            for system in ("us", "metric")
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


@pytest.mark.parametrize(("kind", "label", "exact"), [row[:3] for row in US], ids=str)
def test_us_unit_and_back(kind: Kind, label: str, exact: Fraction) -> None:
    assert unit_of(kind, "us").label == label
    assert from_si(float(exact), kind, "us") == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(("kind", "label", "exact"), METRIC, ids=lambda v: str(v))
def test_metric_unit_and_back(kind: Kind, label: str, exact: Fraction) -> None:
    assert unit_of(kind, "metric").label == label
    assert from_si(float(exact), kind, "metric") == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(("number", "system", "kelvin"), POINTS)
def test_temperature_and_back(number: float, system: str, kelvin: float) -> None:
    assert from_si(kelvin, kinds.TEMPERATURE, system) == pytest.approx(number, abs=1e-9)
