"""Adhesive yields against a published table and sealant-supply figures."""

from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.engine.adhesive import bead_yield, cartridges

INCH = 0.0254
FLUID_OUNCE = 231 * INCH**3 / 128  # NIST Handbook 44, appendix C
ML = 1e-6

# Technical bulletin TB2017-15 of an adhesive maker, "How much adhesive will I need?" (March 2017),
# table "Linear yield by package size": metres of bead by pack [mL] and bead diameter [mm], as
# printed (one decimal, or whole metres).
PACKS = (30, 50, 200, 310, 400, 1000)
TABLE = {
    1: ("38", "64", "255", "395", "509", "1273"),
    2: ("9.5", "16", "64", "99", "127", "318"),
    3: ("4.2", "7.1", "28", "44", "57", "141"),
    4: ("2.4", "4.0", "16", "25", "32", "80"),
    5: ("1.5", "2.5", "10", "16", "20", "51"),
    6: ("1.1", "1.8", "7", "11", "14", "35"),
}


@pytest.mark.parametrize("diameter", TABLE)
def test_yield_table_of_an_adhesive_maker(diameter: int) -> None:
    for pack, printed in zip(PACKS, TABLE[diameter], strict=True):
        ours = bead_yield(pack * ML, diameter / 1000.0)
        # Half a unit in the last printed digit.
        half = 0.05 if "." in printed else 0.5
        assert ours == pytest.approx(float(printed), abs=half), (pack, diameter)


# A sealant supplier's yield rule: contents in cubic inches by cartridge, "27 ounce fill has
# 48.7 cubic inches, 30 ounce fill has 54.1"; yield in feet = contents / (12 · area of the bead).
@pytest.mark.parametrize(("ounces", "cubic_inches"), [(27, 48.7), (30, 54.1)])
def test_yield_by_cubic_inches(ounces: float, cubic_inches: float) -> None:
    diameter = 0.375
    area = 3.14159265 / 4 * diameter**2
    feet = cubic_inches / (12 * area)
    ours = bead_yield(ounces * FLUID_OUNCE, diameter * INCH) / (12 * INCH)
    assert ours == pytest.approx(feet, rel=2e-3)
    assert call("BEADYIELD", f"{ounces} fl oz", "3/8 in").value == pytest.approx(feet, rel=2e-3)


def test_cartridges_of_the_trades_two_sizes() -> None:
    # By hand, from 1 fl oz = 231/128 in³: a 1/4 in bead holds π/4 · 1/16 · 12 = 0.58905 in³ a
    # foot, so 10 fl oz (18.047 in³) make 30.6 ft and 28 fl oz (50.531 in³) make 85.8 ft.
    quarter, foot = 0.25 * INCH, 12 * INCH
    assert bead_yield(10 * FLUID_OUNCE, quarter) / foot == pytest.approx(30.6, abs=0.05)
    assert bead_yield(28 * FLUID_OUNCE, quarter) / foot == pytest.approx(85.8, abs=0.05)
    # Two beads along 60 ft are 120 ft: 4 of the small (122.5 ft), 2 of the large (171.6 ft);
    # with a tenth lost, 132 ft: 5 and 2.
    for waste, small, large in ((0.0, 4, 2), (0.1, 5, 2)):
        assert cartridges(60 * foot, 2, quarter, 10 * FLUID_OUNCE, waste) == small
        assert cartridges(60 * foot, 2, quarter, 28 * FLUID_OUNCE, waste) == large


def test_half_the_diameter_goes_four_times_as_far() -> None:
    # Geometry: the area of a circle grows with the square of its diameter.
    assert bead_yield(1e-3, 0.003) == pytest.approx(4 * bead_yield(1e-3, 0.006), rel=1e-12)
