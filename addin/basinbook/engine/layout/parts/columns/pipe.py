"""The pipe in a column's core: where it leaves, what stays loose for it, what is cut for it."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.columns.column_caps import meets
from basinbook.engine.layout.parts.pinwheel import Pinwheel, Rect
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.second_wall import space
from basinbook.engine.layout.parts.standing_column import Standing, plan_of
from basinbook.engine.layout.ticks import at_most, text, ticks
from basinbook.engine.spec_columns import FRONT


class ColumnPipe(NamedTuple):
    """The pipe in the first wall column; lengths in ticks.

    size: its outside diameter; course: of the column, from 0, in which it turns out or is fitted;
    gap: width left open in the front of that course, 0 where it goes up through the cap.
    """

    size: int
    course: int
    gap: int

    @property
    def hole(self) -> int:
        """Diameter of the hole in the column's cap; 0 for none."""
        return 0 if self.gap else self.size


def column_pipe(job: Job, wheel: Pinwheel, place: str, courses: int) -> ColumnPipe | None:
    """Return the pipe in the first wall column, checked; None for none."""
    spec = job.spec
    if spec.column_pipe == "none":
        return None
    if place != "on both walls":
        raise refuse(
            "column_pipe",
            spec.column_pipe,
            "only a column on both walls has its core over the pipe space: give that as wall "
            "column 1, or none",
        )
    if not wheel.cored:
        raise refuse("wall_column_core", spec.wall_column_core, "yes, for a pipe in the column")
    size = ticks(spec.column_pipe_size)
    room = min(wheel.core, space(job))
    if size > room:
        raise refuse(
            "column_pipe_size",
            text(size),
            f"{at_most(room)}: the column's core is {text(wheel.core)} wide, the pipe space "
            f"{text(space(job))}",
        )
    if spec.column_pipe_course > courses:
        raise refuse("column_pipe_course", spec.column_pipe_course, f"courses 1 to {courses}")
    course = (spec.column_pipe_course or courses) - 1
    gap = _gap(job, wheel, size) if spec.column_pipe == FRONT else 0
    return ColumnPipe(size, course, gap)


def _gap(job: Job, wheel: Pinwheel, size: int) -> int:
    """Return the width left open in the column's front [ticks]."""
    if wheel.laid == "on end":
        raise refuse(
            "wall_column_laid",
            wheel.laid,
            "flat or on edge: a block on end would have to be cut along its length for the pipe",
        )
    gap = ticks(job.spec.column_gap) or wheel.core
    most = min(wheel.core, wheel.long + wheel.joint - job.block.shortest)
    if not size <= gap <= most:
        raise refuse(
            "column_gap",
            text(gap),
            f"from the pipe's {text(size)} to {text(most)}, within the core and beside a piece of "
            "at least the shortest",
        )
    return gap


def front_piece(column: Standing, pipe: ColumnPipe) -> Rect:
    """Return the block at the front of the pipe's course, cut where the pipe comes out.

    What is left of it reaches from the column's corner to the gap, which lies beside the block
    that crosses: so one piece is cut, and a gap as wide as the core is in the middle.
    """
    front = column.rects(pipe.course)[0]
    if not pipe.gap:
        return front
    length = front.dx + column.wheel.joint - pipe.gap
    return Rect(front.x if front.x == column.x else front.x + front.dx - length, front.y, length,
                front.dy)  # fmt: skip


def with_pipe(column: Standing, pipe: ColumnPipe | None) -> list[Placed]:
    """Return the column's blocks, the one at the front of the pipe's course loose or cut."""
    pieces = column.pieces()
    if pipe is None:
        return pieces
    at = pipe.course * column.wheel.blocks
    rect, old = front_piece(column, pipe), pieces[at]
    pieces[at] = old._replace(
        x=rect.x, dx=rect.dx, length=rect.dx, whole=rect.dx == old.length, loose=True
    )
    return pieces


def cut_round(placed: list[Placed], column: Standing, pipe: ColumnPipe) -> list[Placed]:
    """Return wall caps, those in the pipe's way cut round it."""
    return [
        piece._replace(hole=pipe.size)
        if piece.z < column.bed and meets(plan_of(piece), column.middle, pipe.size)
        else piece
        for piece in placed
    ]
