"""Water balance against codes' tables, published constants and the normal distribution."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from basinbook.engine.water import balance, leak, levels
from outside import Check, Exhibit, judge, named

INCH, FOOT = 0.0254, 0.3048
GALLON = 231 * INCH**3  # NIST Handbook 44, appendix C: 231 cubic inches
DAY = 86400.0
TESTS = 10_000


def _an_inch_over(square_feet: float) -> Callable[[], float]:
    return lambda: balance.top_up(INCH / DAY, square_feet * FOOT**2, 0.0, 1.0) / GALLON


def _alarms(coverage: float) -> Callable[[], float]:
    """Share [%] of tests of a tight basin that end in "more", by drawing readings at random."""

    def share() -> float:
        draw = random.Random(7)
        seen = 0
        for _ in range(TESTS):
            fallen = 0.006 * draw.gauss(1.0, 0.10) + draw.gauss(0.0, 0.001 * 2**0.5)
            bucket = 0.006 + draw.gauss(0.0, 0.001 * 2**0.5)
            test = leak.leak_test(fallen, bucket, DAY, 1.0, coverage=coverage)
            seen += test.verdict == "more"
        return 100.0 * seen / TESTS

    return share


OUTSIDE = [
    Exhibit(
        "An inch of water",
        "University of Missouri Extension, G1681 (1993): an acre-inch is 27,154 gal; handbooks: "
        "0.623 gal on a square foot (from memory)",
        "half a unit of the last printed digit",
        (
            Check("on an acre of 43,560 ft²", 27_154, "gal", _an_inch_over(43_560), abs=0.6),
            Check("on a square foot", 0.623, "gal", _an_inch_over(1.0), abs=5e-4),
        ),
    ),
    Exhibit(
        "Free fall in the first second",
        "A body falls 16.1 ft from rest in its first second: handbooks (from memory)",
        "three figures are given",
        (
            Check(
                "air holds of a flow of 1 L/s over 16.1 ft",
                1.0,
                "L",
                lambda: levels.volume_in_air(0.001, 16.1 * FOOT) * 1e3,
                rel=1e-3,
            ),
        ),
    ),
    Exhibit(
        "Class A pan against a lake",
        "Kohler, Nordenson and Fox (1955), US Weather Bureau Research Paper 38: 0.70 in the mean "
        "of years (from memory); Subramanya, Engineering Hydrology, table 3.1: mean 0.70",
        "the constant as published",
        (
            Check(
                "drop explained by 10 mm out of a pan",
                7.0,
                "mm",
                lambda: leak.leak_test(0.0, 0.010, DAY, 1.0, "pan").expected * 1e3,
                rel=1e-9,
            ),
        ),
        "the range of the table, 0.60 to 0.80: it is within the standard uncertainty of 20 %",
    ),
    Exhibit(
        "Tight basins that seem to leak",
        "Normal distribution outside of k standard deviations: NIST Technical Note 1297 (1994), "
        "6.2, note (68.27, 95.45 and 99.73 % lie within 1, 2 and 3), of which half lies above; "
        f"ours by {TESTS:,} tests drawn at random",
        "four standard errors of so many draws, and that a reading of the bucket also moves the "
        "uncertainty taken from it",
        (
            Check("without a coverage factor, k = 1", 15.87, "%", _alarms(1.0), abs=1.5),
            Check("k = 2, as used", 2.28, "%", _alarms(2.0), abs=0.6),
            Check("k = 3", 0.135, "%", _alarms(3.0), abs=0.13),
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])
