"""Areas of footprint and base against shapely: unions, and growth by a margin with square corners.

Reference library: shapely (GEOS). ``buffer`` with mitred joins grows an outline by a margin all
round and keeps its corners square, as a dug base has them.
"""

from __future__ import annotations

import random

import pytest
from shapely import union_all
from shapely.geometry import box

from basinbook.engine.layout.model import Box
from basinbook.engine.takeoff import union_area


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


def test_rectangle_with_margin_by_hand() -> None:
    # (8 ft + 2 · 6 in) · (5 ft + 2 · 6 in) = 9 ft · 6 ft = 54 ft²
    foot = 0.3048
    area = union_area([Box(0.0, 0.0, 0.0, 8 * foot, 5 * foot, 0.0)], foot / 2)
    assert area / foot**2 == pytest.approx(54.0, rel=1e-12)
