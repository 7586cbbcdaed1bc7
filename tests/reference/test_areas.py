"""Areas of footprint and base against shapely: unions, and growth by a margin with square corners.

Reference library: shapely (GEOS). ``buffer`` with mitred joins grows an outline by a margin all
round and keeps its corners square, as a dug base has them.
"""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest
from shapely import set_precision, union_all
from shapely.geometry import Polygon, box

from basinbook.engine.layout.model import Box, Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.takeoff import base_area, footprint_boxes, union_area
from outside import Check, Exhibit, judge, named

FOOT = 0.3048


def _random_boxes(source: random.Random, count: int) -> list[Box]:
    # On a grid of 1/8 in, as walls are, so that edges often meet exactly.
    grid = 0.0254 / 8
    return [
        Box(
            source.randint(0, 400) * grid,
            source.randint(0, 400) * grid,
            0.0,
            source.randint(8, 300) * grid,
            source.randint(8, 300) * grid,
            0.2,
        )
        for _ in range(count)
    ]


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("margin", [0.0, 0.1524])
def test_union_with_margin(seed: int, margin: float) -> None:
    boxes = _random_boxes(random.Random(seed), 1 + seed % 9)
    outline = union_all([box(b.x, b.y, b.x + b.dx, b.y + b.dy) for b in boxes])
    grown = outline.buffer(margin, join_style="mitre") if margin else outline
    assert union_area(boxes, margin) == pytest.approx(grown.area, rel=1e-9)


def _built_on(layout: Layout) -> Polygon:
    """Outline of the first course by shapely, what it encloses filled in, to 1 micrometre."""
    pieces = [p.box for p in layout.courses[0].pieces]
    boxes = [box(b.x, b.y, b.x + b.dx, b.y + b.dy) for b in pieces]
    outline = union_all([set_precision(one, 1e-6) for one in boxes])
    parts = getattr(outline, "geoms", [outline])
    return union_all([Polygon(part.exterior) for part in parts])


LAYOUTS: dict[str, dict[str, Any]] = {
    "basin alone": {},
    "second wall, closed at both ends": {"second_wall": "yes"},
    "column behind": {"columns": 1, "column_courses": 6},
    "second wall and two columns": {"second_wall": "yes", "columns": 2, "column_courses": 8},
    "four columns": {"columns": 4, "column_courses": 5},
}


INSIDE = [(60.0, 36.0), (71.5, 40.25)]


@cache
def _layout(name: str, inside: tuple[float, float]) -> Layout:
    return solve(
        BasinSpec(
            inside_length=inside[0] * INCH, inside_width=inside[1] * INCH,
            block_length=16 * INCH, block_height=4 * INCH, block_depth=8 * INCH,
            **LAYOUTS[name],
        )
    )  # fmt: skip


def _rectangle() -> float:
    area = union_area([Box(0.0, 0.0, 0.0, 8 * FOOT, 5 * FOOT, 0.0)], FOOT / 2)
    return area / FOOT**2


def _footprint(name: str, inside: tuple[float, float]) -> Check:
    layout = _layout(name, inside)
    return Check(
        f"{name}, inside {inside[0]:g} by {inside[1]:g} in",
        _built_on(layout).area,
        "m²",
        lambda: union_area(footprint_boxes(layout)),
        rel=1e-5,
    )


def _base(name: str, inside: tuple[float, float], margin: float) -> Check:
    layout = _layout(name, inside)
    return Check(
        f"{name}, inside {inside[0]:g} by {inside[1]:g} in, margin {1000 * margin:g} mm",
        _built_on(layout).buffer(margin, join_style="mitre").area,
        "m²",
        lambda: base_area(layout, margin),
        rel=1e-5,
    )


GRID = "the outline for shapely is set to 1 micrometre"
OUTSIDE = [
    Exhibit(
        "A rectangle with a margin",
        "by hand: (8 + 1) ft · (5 + 1) ft",
        "exact",
        (Check("8 by 5 ft, 6 in all round", 54.0, "ft²", _rectangle, rel=1e-12),),
    ),
    Exhibit(
        "Footprints of whole layouts",
        "library shapely: union of the first course, what it encloses filled in",
        GRID,
        tuple(_footprint(name, inside) for name in LAYOUTS for inside in INSIDE),
    ),
    Exhibit(
        "Bases under whole layouts",
        "library shapely: the same outline grown by the margin, corners square",
        GRID,
        tuple(
            _base(name, inside, margin)
            for name in LAYOUTS
            for inside in INSIDE
            for margin in (4 * INCH, 0.3)
        ),
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])
