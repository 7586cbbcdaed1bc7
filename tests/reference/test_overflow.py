"""Rain and overflow against a plumbing code's table and tests of culvert mouths."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from scipy.optimize import brentq

from basinbook.engine.water.overflow import overflow_flow, overflow_head, rain_flow
from outside import Check, Exhibit, judge, named

FOOT = 0.3048
GALLON = 231 * 0.0254**3
# National Standard Plumbing Code: flow [gal/min] of a leader, and the roof [ft²] it serves at 1
# and at 4 in of rain an hour.
LEADERS = [(23, 2_180, 545), (67, 6_426, 1_607), (144, 13_840, 3_460), (261, 25_094, 6_273),
           (424, 40_805, 10_201), (913, 87_878, 21_970)]  # fmt: skip


def _rain(inches: float, square_feet: float) -> Callable[[], float]:
    return lambda: rain_flow(inches * FOOT / 12, 3600.0, square_feet * FOOT**2) / GALLON * 60.0


def _critical_head(flow: float) -> float:
    """Specific head [ft] at critical depth of a flow [ft³/s] in a pipe of 1 ft."""

    def area(angle: float) -> float:
        return (angle - math.sin(angle)) / 8.0

    def missing(angle: float) -> float:
        return area(angle) * math.sqrt(32.2 * area(angle) / math.sin(angle / 2.0)) - flow

    angle = float(brentq(missing, 1e-6, 2 * math.pi - 1e-9))
    return (1 - math.cos(angle / 2)) / 2 + area(angle) / (2 * math.sin(angle / 2))


def _culvert(number: float) -> float:
    """Headwater over diameter by HDS-5: two equations, part full and drowned."""
    if number > 3.5:
        return 0.0398 * number**2 + 0.67
    return _critical_head(number * math.pi / 4) + 0.0098 * number**2.0


def _ours(number: float) -> Callable[[], float]:
    return lambda: overflow_head(FOOT, number * math.pi / 4 * FOOT**3) / FOOT


OUTSIDE = [
    Exhibit(
        "Rain on a roof",
        "National Standard Plumbing Code (2006), table 13.6.1, columns of 1 and 4 in an hour, 2 to "
        "8 in leaders",
        "flows are printed in whole gallons, and the 2 in one is the table's own round-up: 0.6",
        tuple(
            Check(f"{rain} in an hour on {area:,} ft²", flow, "gal/min", _rain(rain, area), abs=0.6)
            for flow, *areas in LEADERS
            for rain, area in zip((1, 4), areas, strict=True)
        ),
        "columns of other rains and leaders over 8 in, which are the same proportion",
    ),
    Exhibit(
        "Head at the mouth of a level pipe through a wall",
        "FHWA, Hydraulic Design of Highway Culverts (HDS-5), inlet control, circular concrete, "
        "square edge with headwall: equations A.1 (K 0.0098, M 2.0) and A.3 (c 0.0398, Y 0.67), "
        "fitted to tests (from memory)",
        "ours has an entrance loss of half a velocity head at every flow, which at low flows is "
        "more than the tests: up to 13 %, on the side of the higher water; drowned 4 %",
        tuple(
            Check(
                f"Q/(A√D) = {number} ft^0.5/s",
                _culvert(number),
                "head over diameter",
                _ours(number),
                rel=0.13 if number < 3 else 0.06,
            )
            for number in (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)
        ),
    ),
    Exhibit(
        "A drowned mouth as a hole",
        "U.S. Bureau of Reclamation, Water Measurement Manual, chapter 9: Q = 0.61 A √(2 g h) of a "
        "square-edged hole (from memory)",
        "0.60 for 0.61, as a pipe's wall and leaves take some",
        (
            Check(
                "1 ft across, 4 ft over its middle",
                0.61 * math.pi / 4 * math.sqrt(2 * 32.174 * 4),
                "ft³/s",
                lambda: overflow_flow(FOOT, 4.5 * FOOT) / FOOT**3,
                rel=0.02,
            ),
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])
