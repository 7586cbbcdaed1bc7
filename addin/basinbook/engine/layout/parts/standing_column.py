"""A column in its place, and its blocks."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.parts.pinwheel import Pinwheel, Rect
from basinbook.engine.layout.parts.placed_pieces import Placed


def plan_of(piece: Placed) -> Rect:
    """Return the rectangle of a piece in plan."""
    return Rect(piece.x, piece.y, piece.dx, piece.dy)


class Standing(NamedTuple):
    """A column where it stands; lengths in ticks.

    part: "column 1".. place: "free", or as the input names it. x, y: its least corner; bed: that
    of its first course. turned: whether the first course lies the other way round. hole: diameter
    of the pipe that comes up through its cap, 0 for none. strip: the stretch of the wall that it is
    part of, which lays the blocks along it in so many courses (tied); None for none.
    """

    part: str
    place: str
    x: int
    y: int
    bed: int
    courses: int
    wheel: Pinwheel
    turned: bool
    hole: int = 0
    strip: Rect | None = None
    tied: int = 0

    @property
    def top(self) -> int:
        """Height that a cap on it lies at: the bed above its topmost course."""
        return self.bed + self.courses * self.wheel.pitch

    @property
    def plan(self) -> Rect:
        """Its square in plan."""
        return Rect(self.x, self.y, self.wheel.side, self.wheel.side)

    @property
    def middle(self) -> tuple[int, int]:
        """The middle of its square in plan."""
        half = self.wheel.side // 2
        return self.x + half, self.y + half

    def rects(self, course: int) -> list[Rect]:
        """Return the blocks of a course, numbered from 0; the direction alternates."""
        boxes = self.wheel.boxes((course % 2 == 1) != self.turned)
        return [box.moved(self.x, self.y) for box in boxes]

    def pieces(self) -> list[Placed]:
        """Return its blocks, the one at the front first in each course."""
        wheel, found = self.wheel, []
        # Every other course is the same.
        both = self.rects(0), self.rects(1)
        part, laid, high, long = self.part, wheel.laid, wheel.high, wheel.long
        for course in range(self.courses):
            bed = self.bed + course * wheel.pitch
            for rect in both[course % 2]:
                if course < self.tied and self._of_wall(rect):
                    continue
                x, y, dx, dy = rect
                found.append(Placed(part, "block", laid, x, y, bed, dx, dy, high, long, True))
        return found

    def _of_wall(self, rect: Rect) -> bool:
        """Return whether a block lies wholly in the wall that the column is part of."""
        strip = self.strip
        return (
            strip is not None
            and strip.x <= rect.x
            and rect.x + rect.dx <= strip.x + strip.dx
            and strip.y <= rect.y
            and rect.y + rect.dy <= strip.y + strip.dy
        )
