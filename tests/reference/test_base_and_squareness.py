"""Base, liner and squareness against hand arithmetic, geometry and rules of common practice."""

from __future__ import annotations

import math

import pytest
from shapely import affinity
from shapely.geometry import Polygon

from basinbook.catalogue import call
from basinbook.engine import base, liner, squareness
from basinbook.engine.errors import InputError

INCH = 0.0254
FOOT = 12 * INCH
YARD = 3 * FOOT


def test_four_inches_of_tamped_base() -> None:
    # Common practice, no source: 4 in under the whole footprint. By hand: 9 ft · 12 ft · 1/3 ft
    # = 36 ft³ = 1 1/3 yd³; one cubic yard covers 81 ft² at 4 in (27 ft³ · 3).
    volume = base.compacted_volume(9 * FOOT * 12 * FOOT, 4 * INCH)
    assert volume / YARD**3 == pytest.approx(4 / 3, rel=1e-12)
    assert call("BASEVOLUME", "81", "4").value == pytest.approx(1.0, rel=1e-12)


def test_loose_volume_by_compaction_factor() -> None:
    # Definition: a factor of 1.25 means 5 loose for 4 tamped.
    assert base.loose_volume(4.0, 1.25) == pytest.approx(5.0, rel=1e-12)


def test_ton_of_screenings_per_yard() -> None:
    # By hand: 1 yd³ = 27 ft³; at 100 lb/ft³ that is 2700 lb = 1.35 short tons of 2000 lb
    # (NIST Handbook 44, appendix C).
    mass = base.bulk_mass(27 * FOOT**3, 100 * 0.45359237 / FOOT**3)
    assert mass / (2000 * 0.45359237) == pytest.approx(1.35, rel=1e-12)


def test_bags_of_half_a_cubic_foot() -> None:
    # By hand: 36 ft³ in bags of 1/2 ft³ are 72 bags, and one drop more opens the 73rd.
    assert base.packs(36 * FOOT**3, 0.5 * FOOT**3) == 72
    assert base.packs(36.01 * FOOT**3, 0.5 * FOOT**3) == 73
    # Arithmetic on large orders too: half a unit more than 10⁹ opens one more.
    assert base.packs(1_000_000_000.5, 1.0) == 1_000_000_001
    assert base.packs(0.3, 0.1) == 3
    assert base.packs(0.0, 5.0) == 0


@pytest.mark.parametrize("scale", [1.0, 2.0, 1.25])
def test_three_four_five(scale: float) -> None:
    # Euclid, Elements I.47; the trade's 3-4-5 rule.
    assert squareness.diagonal(3 * scale, 4 * scale) == pytest.approx(5 * scale, rel=1e-12)
    assert call("DIAGONAL", "3 ft", "4 ft").value == pytest.approx(60.0, rel=1e-12)


@pytest.mark.parametrize(("a", "b", "c"), [(5, 12, 13), (8, 15, 17), (20, 21, 29)])
def test_pythagorean_triples(a: int, b: int, c: int) -> None:
    # Euclid, Elements X, lemma to proposition 29.
    assert squareness.diagonal(a, b) == pytest.approx(c, rel=1e-12)


def test_equal_diagonals_mean_square_corners() -> None:
    # Common practice, no source; a parallelogram with equal diagonals is a rectangle (geometry).
    diagonal = math.hypot(1.6, 1.2)
    assert squareness.out_of_square(1.6, 1.2, diagonal, diagonal) == 0.0


@pytest.mark.parametrize("shift", [-0.05, 0.004, 0.02])
def test_shift_of_a_sheared_rectangle_drawn_by_shapely(shift: float) -> None:
    rectangle = Polygon([(0, 0), (1.6, 0), (1.6, 1.2), (0, 1.2)])
    sheared = affinity.skew(rectangle, xs=math.degrees(math.atan2(shift, 1.2)), origin=(0, 0))
    origin, b, c, d = sheared.exterior.coords[:4]
    assert origin == (0.0, 0.0)
    first = math.dist((0, 0), c)
    second = math.dist(b, d)
    side = math.dist((0, 0), d)
    assert squareness.out_of_square(1.6, side, first, second) == pytest.approx(shift, rel=1e-9)


def test_diagonals_of_other_sides_are_refused() -> None:
    # Parallelogram law (Euclid, Elements II.12 and 13): D1² + D2² = 2 · (L² + W²). Sides of 48 and
    # 36 have diagonals of 60; two of 100 are equal but belong to other sides.
    for first, second in ((100.0, 100.0), (63.0, 60.0), (58.0, 58.0)):
        with pytest.raises(InputError, match="measure all four again"):
            squareness.out_of_square(48.0, 36.0, first, second)
    # An inch off in one diagonal is a wall out of square, not a misreading: 121 / (4 · 48).
    assert squareness.out_of_square(48.0, 36.0, 61.0, 60.0) == pytest.approx(121 / 192)


def test_unfolded_liner_by_shapely() -> None:
    # The sheet must cover the floor grown by the walls' height and the flap, square corners.
    floor = Polygon([(0, 0), (1.5, 0), (1.5, 0.9), (0, 0.9)])
    sheet = floor.buffer(0.45 + 0.15, join_style="mitre")
    assert liner.sheet_area(1.5, 0.9, 0.45, 0.15) == pytest.approx(sheet.area, rel=1e-12)
    width = sheet.bounds[2] - sheet.bounds[0]
    assert liner.sheet_dimension(1.5, 0.45, 0.15) == pytest.approx(width, rel=1e-12)


def test_preformed_liner_wants_its_nominal_size() -> None:
    # Common practice, no source.
    assert liner.fit_message(0.0, 0.0, 0.0) == "fits"
    assert "length" in liner.fit_message(0.006, 0.0, 0.005)
    assert "width" in liner.fit_message(0.0, -0.006, 0.005)
