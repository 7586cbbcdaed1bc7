"""Liner: strips laid and corners folded by shapely, compared with the formulas."""

from __future__ import annotations

import pytest
from shapely import Point, union_all
from shapely.geometry import LineString, Polygon, box

from basinbook.catalogue import call
from basinbook.engine import liner
from basinbook.engine.errors import InputError
from outside import Check, Exhibit, judge, named

INCH = 0.0254
# Sheet and roll [in]; strips overlap 3 in.
SHEETS = (
    (116, 98, 120),
    (116, 98, 60),
    (116, 98, 40),
    (200, 90, 72),
    (150, 150, 78),
    (123, 60, 63),
)


def _laid(length: float, width: float, roll: float) -> tuple[int, float, float]:
    """Strips, seam and cloth [in]: strips are laid one by one until they cover the sheet."""

    def along(run: float, across: float) -> tuple[float, float, int]:
        sheet = box(0, 0, run, across)
        cloth: list[Polygon] = []
        while not cloth or sheet.difference(union_all(cloth)).area > 1e-9:
            at = len(cloth) * (roll - 3)
            cloth.append(box(0, at, run, at + roll))
        return (len(cloth) - 1) * run, sum(strip.area for strip in cloth), len(cloth)

    seam, area, count = min(along(length, width), along(width, length))
    return count, seam, area


def _ear(side: float) -> float:
    """How far the corner's spare square of a side reaches along the wall, folded to an ear."""
    flat = Polygon([(0, 0), (side, 0), (side, side), (0, side)])
    folded = Polygon([(0, 0), (0, side), (side, side)])
    assert folded.area == pytest.approx(flat.area / 2.0)
    corner = LineString([(0, 0), (0, side)])
    return max(Point(at).distance(corner) for at in folded.exterior.coords)


def _strips(length: float, width: float, roll: float) -> liner.Strips:
    return liner.strips(length * INCH, width * INCH, roll * INCH, 3 * INCH)


OUTSIDE = [
    Exhibit(
        "Liner: strips of a roll laid until they cover the sheet",
        "shapely: boxes overlapping 3 in laid one by one, both ways round, until nothing of the "
        "sheet is bare",
        "a count has no difference; seam and area to rounding",
        tuple(
            check
            for length, width, roll in SHEETS
            for check in (
                Check(
                    f"{length} by {width} in off {roll} in: strips",
                    _laid(length, width, roll)[0],
                    "each",
                    lambda s=(length, width, roll): float(_strips(*s).number),  # type: ignore[misc]
                    abs=1e-6,
                ),
                Check(
                    f"{length} by {width} in off {roll} in: area off the roll",
                    _laid(length, width, roll)[2],
                    "in²",
                    lambda s=(length, width, roll): (  # type: ignore[misc]
                        _strips(*s).bought / INCH**2
                    ),
                    rel=1e-9,
                ),
            )
        ),
    ),
    Exhibit(
        "Liner: a corner folded to an ear",
        "shapely: the spare square of floor to rim and lap, folded on its diagonal",
        "rounding",
        tuple(
            Check(
                f"wall {depth} in, lap {lap} in",
                _ear(depth + lap),
                "in",
                lambda d=depth, w=lap: (  # type: ignore[misc]
                    liner.corner_fold(d * INCH, w * INCH) / INCH
                ),
                rel=1e-9,
            )
            for depth, lap in ((20, 6), (16, 0))
        ),
    ),
]


@pytest.mark.parametrize("name", named(OUTSIDE))
def test_outside(name: str) -> None:
    judge(*named(OUTSIDE)[name])


def test_edges_of_strips_laps_and_depths() -> None:
    # As wide as the roll: no seam; a hair more: two strips.
    assert _strips(120, 60, 60).number == 1
    assert _strips(120, 60.01, 60).number == 2
    with pytest.raises(InputError, match="roll"):
        _strips(120, 60, 3)
    assert liner.most_lap(0.2, 10, 0.05) == 0.0
    assert call("LINERDEPTH", 20, 20, 17).value == "goes with wall and water"
    assert call("LINERDEPTH", "20 1/16", 20, 17).value == "deeper than the wall"
