"""What carries a piece: how much of it lies on what is below, and whether it tips."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.parts.pinwheel import Rect


class Bearing(NamedTuple):
    """How a piece bears: the part of its area that does, and whether its middle is over that."""

    share: float
    steady: bool


def bearing(piece: Rect, below: Sequence[Rect]) -> Bearing:
    """Return how a piece bears on what lies below it, which does not overlap.

    It is steady where its middle lies within the convex hull of the areas that it rests on; on
    the hull's edge it is not. Source: statics.
    """
    met = [common for under in below if (common := _common(piece, under))]
    area = sum(each.dx * each.dy for each in met)
    corners = {(2 * x, 2 * y) for a in met for x in (a.x, a.x + a.dx) for y in (a.y, a.y + a.dy)}
    middle = (2 * piece.x + piece.dx, 2 * piece.y + piece.dy)
    return Bearing(area / (piece.dx * piece.dy), _within(middle, sorted(corners)))


def over(one: Rect, other: Rect) -> bool:
    """Return whether two rectangles have an area in common."""
    return _common(one, other) is not None


def _common(one: Rect, other: Rect) -> Rect | None:
    """Return what two rectangles have in common; None for no area."""
    x, y = max(one.x, other.x), max(one.y, other.y)
    dx = min(one.x + one.dx, other.x + other.dx) - x
    dy = min(one.y + one.dy, other.y + other.dy) - y
    return Rect(x, y, dx, dy) if dx > 0 and dy > 0 else None


Point = tuple[int, int]


def _within(point: Point, corners: Sequence[Point]) -> bool:
    """Return whether a point lies inside the convex hull of corners, which are sorted."""
    if not corners:
        return False
    hull = [*_half(corners), *_half(corners[::-1])]
    turned = zip(hull, [*hull[1:], hull[0]], strict=True)
    return all(_turn(start, end, point) > 0 for start, end in turned)


def _half(corners: Sequence[Point]) -> list[Point]:
    """Return one side of the hull, anticlockwise, without its last corner.

    Source: A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions",
    Information Processing Letters 9 (1979).
    """
    hull: list[Point] = []
    for corner in corners:
        while len(hull) > 1 and _turn(hull[-2], hull[-1], corner) <= 0:
            hull.pop()
        hull.append(corner)
    return hull[:-1]


def _turn(start: Point, end: Point, point: Point) -> int:
    """Return twice the area of a triangle, above 0 where it runs anticlockwise."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
