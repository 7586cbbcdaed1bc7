"""How the blocks of one course of a square column lie: round a core, or two side by side."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.ticks import text


class Rect(NamedTuple):
    """A rectangle in plan [ticks]: its least corner and its size."""

    x: int
    y: int
    dx: int
    dy: int

    def moved(self, x: int, y: int) -> Rect:
        """Return it that much further along both axes."""
        return Rect(self.x + x, self.y + y, self.dx, self.dy)


class Pinwheel(NamedTuple):
    """The blocks of a course: length, thickness and height as they lie, and the joint [ticks].

    cored: four blocks round a square core, else two side by side. laid: "flat", "on edge" or
    "on end".
    """

    long: int
    thick: int
    high: int
    joint: int
    cored: bool
    laid: str

    @property
    def side(self) -> int:
        """Side of the column: length and thickness round a core, else the length."""
        return self.long + self.thick + self.joint if self.cored else self.long

    @property
    def core(self) -> int:
        """Side of the square core; 0 without one."""
        return self.side - 2 * self.thick if self.cored else 0

    @property
    def blocks(self) -> int:
        """Blocks in a course."""
        return 4 if self.cored else 2

    @property
    def pitch(self) -> int:
        """From the bed of a course to that of the next."""
        return self.high + self.joint

    def boxes(self, turned: bool) -> list[Rect]:
        """Return the blocks of a course, the one at the front first; turned: the other way."""
        side, long, thick = self.side, self.long, self.thick
        if not self.cored:
            boxes = [Rect(0, 0, long, thick), Rect(0, side - thick, long, thick)]
            return [Rect(y, x, dy, dx) for x, y, dx, dy in boxes] if turned else boxes
        boxes = around(side, long, thick)
        return [Rect(side - x - dx, y, dx, dy) for x, y, dx, dy in boxes] if turned else boxes


def around(side: int, long: int, thick: int) -> list[Rect]:
    """Return four pieces round the middle of a square: along the front, right, back and left."""
    return [
        Rect(0, 0, long, thick),
        Rect(side - thick, 0, thick, long),
        Rect(side - long, side - thick, long, thick),
        Rect(0, side - long, thick, long),
    ]


def free_pinwheel(job: Job) -> Pinwheel:
    """Return how the blocks of a free column's course lie."""
    return _pinwheel(job, "flat", job.spec.column_core == "yes", "column_core")


def wall_pinwheel(job: Job, laid: str = "", cored: bool | None = None) -> Pinwheel:
    """Return how the blocks of a wall column's course lie; as the inputs say where not given."""
    core = job.spec.wall_column_core == "yes" if cored is None else cored
    return _pinwheel(job, laid or job.spec.wall_column_laid, core, "wall_column_core")


def _pinwheel(job: Job, laid: str, cored: bool, name: str) -> Pinwheel:
    """Return the blocks of a course, checked to make a square; name: of the input for a core."""
    block, high, deep = job.block, job.height, job.depth
    long, thick, tall = {
        "flat": (block.length, deep, high),
        "on edge": (block.length, high, deep),
        "on end": (max(deep, high), min(deep, high), block.length),
    }[laid]
    if not cored and long != 2 * thick + block.joint:
        of = {"flat": "deep", "on edge": "high", "on end": "wide on end"}[laid]
        raise refuse(
            name,
            "no",
            f"two blocks make a square only where the block is twice as long as {of} and a joint: "
            f"{text(2 * thick + block.joint)} for this depth; or give yes",
        )
    return Pinwheel(long, thick, tall, block.joint, cored, laid)
