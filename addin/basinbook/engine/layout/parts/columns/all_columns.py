"""All columns of a layout: where they stand, their blocks and their caps."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.columns.bearing import over
from basinbook.engine.layout.parts.columns.column_caps import cap_pieces
from basinbook.engine.layout.parts.columns.free import free_columns
from basinbook.engine.layout.parts.columns.pipe import ColumnPipe, cut_round, with_pipe
from basinbook.engine.layout.parts.columns.site import Site, TopJoints
from basinbook.engine.layout.parts.columns.wall_columns import (
    NO_COLUMNS,
    WallColumns,
    wall_columns,
    wanted,
)
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.second_wall import WALL, SecondWall
from basinbook.engine.layout.parts.standing_column import Standing, plan_of
from basinbook.engine.layout.parts.walls import Walls


class Columns(NamedTuple):
    """The free columns and those on and at walls; stand_off: of the free ones [ticks]."""

    free: tuple[Standing, ...]
    wall: WallColumns
    stand_off: int

    @property
    def standing(self) -> tuple[Standing, ...]:
        """All columns, in the order of their numbers."""
        return (*self.free, *self.wall.columns)

    def pipe_of(self, column: Standing) -> ColumnPipe | None:
        """Return the pipe in a column; None where it has none."""
        piped = self.wall.pipe is not None and column == self.wall.columns[0]
        return self.wall.pipe if piped else None


def check_columns(site: Site) -> None:
    """Refuse columns that can't stand whatever the walls' joints, before walls are filled."""
    free, _ = free_columns(site.job, site.caps)
    if wanted(site.job):
        wall_columns(site, free)


def stand(site: Site, walls: Walls, second: SecondWall | None) -> Columns:
    """Return the columns in their places on the walls as they are filled, checked."""
    job = site.job
    free, stand_off = free_columns(job, site.caps)
    wall = NO_COLUMNS
    if wanted(job):
        joint = job.block.joint
        back = _joints(walls.back, job.depth, joint)
        row = _joints(second.chains[WALL], 0, joint) if second else ()
        wall = wall_columns(site._replace(joints=TopJoints(back, row)), free)
    return Columns(tuple(free), wall, stand_off)


def _joints(chain: Chain, start: int, joint: int) -> tuple[int, ...]:
    """Return the middles of the joints at the ends of a wall's topmost pieces [ticks].

    The ends of the wall count as joints, too: no column stands over them without an overhang.
    """
    found = set()
    for piece in chain.courses[-1]:
        found |= {start + piece.at - joint // 2, start + piece.end + joint // 2}
    return tuple(sorted(found))


def column_blocks(job: Job, columns: Columns) -> list[Placed]:
    """Return the blocks of all columns, those that make up their caps among them."""
    found: list[Placed] = []
    for column in columns.standing:
        found += _laid(column, columns.pipe_of(column))
        found += [piece for piece in _cap(job, columns, column) if piece.stock == "block"]
    return found


# Among sizes that are compared most columns stand where those of the size before do.
@lru_cache(maxsize=256)
def _laid(column: Standing, pipe: ColumnPipe | None) -> tuple[Placed, ...]:
    return tuple(with_pipe(column, pipe))


def column_caps(job: Job, columns: Columns) -> list[Placed]:
    """Return the caps on columns that are not of block, of one piece or several."""
    return [
        piece
        for column in columns.standing
        for piece in _cap(job, columns, column)
        if piece.stock != "block"
    ]


def _cap(job: Job, columns: Columns, column: Standing) -> list[Placed]:
    pipe = columns.pipe_of(column)
    top = pipe is not None and pipe.course == column.courses - 1
    return cap_pieces(job, column, column.hole, loose=top)


def under_columns(job: Job, columns: Columns, laid: list[Placed]) -> list[Placed]:
    """Return the wall caps, those that the pipe runs into on its way up cut round it.

    Refuses a cap that is to be lifted off for service where a column stands on it.
    """
    for column, piece in product(columns.wall.columns, laid):
        if piece.service and piece.z < column.bed and over(column.plan, plan_of(piece)):
            raise refuse(
                "service_cap",
                job.spec.service_cap,
                f"{column.part} stands on that cap: give a place beside the column, or none",
            )
    pipe = columns.wall.pipe
    if pipe is None:
        return laid
    return cut_round(laid, columns.wall.columns[0], pipe)
