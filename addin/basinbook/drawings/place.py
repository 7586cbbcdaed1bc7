"""Where a drawing's model lies on paper."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.drawings.canvas import Point, Rect
from basinbook.engine.layout.model import Opening, Piece


@dataclass(frozen=True)
class Map:
    """Where the model lies on paper: metres to mm."""

    x: float
    y: float
    scale: int

    def across(self, x: float) -> float:
        """Return the place on paper of a model x [m]."""
        return self.x + x * 1000.0 / self.scale

    def up(self, y: float) -> float:
        """Return the place on paper of a model y or z [m]."""
        return self.y + y * 1000.0 / self.scale

    def point(self, x: float, y: float) -> Point:
        """Return the point on paper of a model point [m]."""
        return self.across(x), self.up(y)

    def rect(self, x0: float, y0: float, x1: float, y1: float) -> Rect:
        """Return the rectangle on paper of a model rectangle [m]."""
        return Rect(self.across(x0), self.up(y0), self.across(x1), self.up(y1))


def on_paper(thing: Piece | Opening, place: Map) -> Rect:
    """Return the rectangle on paper of a piece or an opening in plan [mm]."""
    box = thing.box
    return place.rect(box.x, box.y, box.x + box.dx, box.y + box.dy)
