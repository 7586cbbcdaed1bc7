"""Adhesive: areas of round sections as standards print them, an integral, and hand arithmetic."""

from __future__ import annotations

from math import sqrt

import pytest
from scipy.integrate import quad

from basinbook.catalogue import call
from basinbook.engine.adhesive import bead_volume, bead_yield, cartridges
from outside import Check, Exhibit, judge, named

INCH = 0.0254
FOOT = 12 * INCH
FLUID_OUNCE = 231 * INCH**3 / 128  # NIST Handbook 44, appendix C

# Gauge, diameter [in], area [in²] as printed.
WIRE = ((6, 0.1620, 0.02062), (4, 0.2043, 0.03278), (2, 0.2576, 0.05213), (0, 0.3249, 0.08291))
# Number, nominal diameter [in], nominal area [in²] as printed.
BARS = (
    (3, 0.375, 0.11), (4, 0.500, 0.20), (5, 0.625, 0.31), (6, 0.750, 0.44), (7, 0.875, 0.60),
    (8, 1.000, 0.79), (9, 1.128, 1.00), (10, 1.270, 1.27), (11, 1.410, 1.56), (14, 1.693, 2.25),
    (18, 2.257, 4.00),
)  # fmt: skip
# Share of each cartridge lost, cartridges. 100 ft of a 1/4 in bead are π/4 · 1/16 · 1200 = 58.905
# in³; 10 fl oz are 18.047 in³: 3.264 of them. A tenth lost leaves 16.242 in³ (3.627), a half 9.023
# in³ (6.528), nine tenths 1.805 in³ (32.64). 135 ft are 79.522 in³: 8.813 halves, so 9.
LOST = ((100, 0.0, 4), (100, 0.1, 4), (100, 0.5, 7), (100, 0.9, 33), (135, 0.0, 5), (135, 0.5, 9))


def _swept(diameter: float, length: float) -> float:
    """Volume of a round bead, its section added up in strips by scipy."""
    radius = diameter / 2.0
    area, _ = quad(lambda x: 2.0 * sqrt(radius**2 - x**2), -radius, radius)
    return float(area) * length


OUTSIDE = [
    Exhibit(
        "Volume of a bead: areas of round wire",
        "NBS Handbook 100 (1966), Copper Wire Tables, table of American wire gauge: diameter and "
        "area; from memory",
        "four printed digits of diameter and area",
        tuple(
            Check(
                f"bead of {diameter} in, gauge {gauge}: in³ to the inch",
                area,
                "in²",
                lambda d=diameter: bead_volume(1.0, d),  # type: ignore[misc]
                rel=1e-3,
            )
            for gauge, diameter, area in WIRE
        ),
        "gauges of other sizes than a bead has",
    ),
    Exhibit(
        "Volume of a bead: areas of round bars",
        "ASTM A615/A615M, table 1, nominal diameters and areas of bars",
        "areas are printed to 0.01 in²",
        tuple(
            Check(
                f"bead of {diameter} in, bar no. {number}: in³ to the inch",
                area,
                "in²",
                lambda d=diameter: bead_volume(1.0, d),  # type: ignore[misc]
                abs=0.005,
            )
            for number, diameter, area in BARS
        ),
        "bars no. 7 to 18, thicker than any bead",
    ),
    Exhibit(
        "Length of bead from a cartridge: section added up by a library",
        "scipy.integrate.quad over the half chords of a circle; 1 US gallon = 231 in³, NIST "
        "Handbook 44, appendix C",
        "what the integral leaves at the ends of the half circle",
        tuple(
            Check(
                f"{ounces} fl oz, bead of {diameter} in",
                ounces * FLUID_OUNCE / _swept(diameter * INCH, FOOT),
                "ft",
                lambda o=ounces, d=diameter: (  # type: ignore[misc]
                    bead_yield(o * FLUID_OUNCE, d * INCH) / FOOT
                ),
                rel=1e-6,
            )
            for ounces in (10, 28)
            for diameter in (0.25, 0.375, 0.5)
        ),
    ),
    Exhibit(
        "Cartridges with a share of each lost",
        "hand arithmetic, written beside the values in the test: volume of a cylinder over what "
        "is left of 10 fl oz (18.047 in³)",
        "a count: no difference is allowed",
        tuple(
            Check(
                f"{feet} ft of a 1/4 in bead, {lost:.0%} lost",
                count,
                "each",
                lambda f=feet, w=lost: float(  # type: ignore[misc]
                    cartridges(f * FOOT, 1, 0.25 * INCH, 10 * FLUID_OUNCE, w)
                ),
                abs=1e-6,
            )
            for feet, lost, count in LOST
        ),
    ),
]


@pytest.mark.parametrize("name", named(OUTSIDE))
def test_outside(name: str) -> None:
    judge(*named(OUTSIDE)[name])


def test_cartridges_of_the_trades_two_sizes() -> None:
    # By hand, from 1 fl oz = 231/128 in³: a 1/4 in bead holds π/4 · 1/16 · 12 = 0.58905 in³ a
    # foot, so 10 fl oz (18.047 in³) make 30.6 ft and 28 fl oz (50.531 in³) make 85.8 ft.
    quarter = 0.25 * INCH
    assert bead_yield(10 * FLUID_OUNCE, quarter) / FOOT == pytest.approx(30.6, abs=0.05)
    assert bead_yield(28 * FLUID_OUNCE, quarter) / FOOT == pytest.approx(85.8, abs=0.05)
    # Two beads along 60 ft are 120 ft: 4 of the small (122.5 ft), 2 of the large (171.6 ft);
    # with a tenth of each lost, 110.3 and 154.4 ft: 5 and 2.
    for waste, small, large in ((0.0, 4, 2), (0.1, 5, 2)):
        assert cartridges(60 * FOOT, 2, quarter, 10 * FLUID_OUNCE, waste) == small
        assert cartridges(60 * FOOT, 2, quarter, 28 * FLUID_OUNCE, waste) == large


def test_half_lost_doubles_what_is_bought() -> None:
    # The reported case: 7 where a share lost of one half means 9.
    assert call("CARTRIDGES", "135", "1", "1/4 in", "10", 0.5).value == 9
    assert call("CARTRIDGES", "135", "1", "1/4 in", "10", "50%").value == 9
    for lost in (-0.01, 1.0, 1.5):
        with pytest.raises(ValueError, match="waste"):
            cartridges(10.0, 1, 0.01, 3e-4, lost)


def test_half_the_diameter_goes_four_times_as_far() -> None:
    # Geometry: the area of a circle grows with the square of its diameter.
    assert bead_yield(1e-3, 0.003) == pytest.approx(4 * bead_yield(1e-3, 0.006), rel=1e-12)
