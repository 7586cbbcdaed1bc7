"""What the columns on and at walls stand on and among."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from basinbook.engine.layout.checked_inputs import BACK, Job, Row, edge_leaves, refuse
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.columns.column_caps import cap_overhang, cap_thickness
from basinbook.engine.layout.parts.openings import Gap
from basinbook.engine.layout.parts.pinwheel import Rect
from basinbook.engine.layout.parts.second_wall import courses, space
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.ticks import text
from basinbook.engine.spec_columns import IN_WALL, ON_WALL

BOTH, ON_SECOND, ON_BACK = ON_WALL


class TopJoints(NamedTuple):
    """Joints in the topmost courses of back wall and second wall, from the left outer face."""

    back: tuple[int, ...]
    second: tuple[int, ...]


class Site(NamedTuple):
    """The job with its caps, the openings of back wall and second wall, and joints once known."""

    job: Job
    caps: CapSizes | None
    gaps: tuple[Gap, ...]
    behind: tuple[Gap, ...]
    joints: TopJoints = TopJoints((), ())


def carrying(site: Site, place: str, whole: bool = False) -> list[Rect]:
    """Return the tops of the walls' blocks under a column on them, openings left out.

    whole: as if there were no openings, and no blocks on edge between flat ones.

    Caps pass the weight on to the block: what reaches past that carries nothing.
    """
    job, found = site.job, list[Rect]()
    far, back = job.outside_length, job.outside_width
    if place != ON_SECOND:
        rows = job.walls[BACK]
        row = rows[-1]._replace(between=()) if whole else rows[-1]
        gaps = () if whole else site.gaps
        for start, end in _whole(gaps, len(rows), -job.depth, far - job.depth):
            for low, high, thick in _thick(job, row, start, end):
                found.append(Rect(job.depth + low, back - job.depth, high - low, thick))
    if place != ON_BACK:
        for start, end in _whole(() if whole else site.behind, courses(job), 0, far):
            found.append(Rect(start, back + space(job), end - start, job.depth))
    return found


def _thick(job: Job, row: Row, start: int, end: int) -> Iterator[tuple[int, int, int]]:
    """Yield from where to where a course is how thick: less at blocks on edge between flat ones."""
    leaves = edge_leaves(job.spec)
    thin = leaves * (job.height + job.block.joint) - job.block.joint
    for low in sorted(at for at in row.between if start <= at < end):
        yield start, low, row.thickness
        start = low + job.block.length
        yield low, start, thin
    yield start, end, row.thickness


def _whole(gaps: Sequence[Gap], rows: int, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Yield from where to where a wall's topmost course is whole."""
    for gap in sorted(gap for gap in gaps if gap.last == rows - 1):
        yield start, gap.low
        start = gap.high
    yield start, end


def check_free(site: Site, name: str, column: Standing, others: Sequence[Standing]) -> None:
    """Refuse a column that would stand in a wall, in caps or in another column."""
    body = _bodies(site.job, column)
    own = own_wall(column.place)
    for band, called in _walls(site):
        if own and called.endswith(own):
            continue
        if any(_meet(one, band) for one in body):
            raise refuse(
                name,
                column.place,
                f"the column or its cap would stand in {called}: move it, or give it another "
                "height or cap",
            )
    for other in others:
        if any(_meet(one, two) for one in body for two in _bodies(site.job, other)):
            over = cap_overhang(site.job, column.wheel, column.hole > 0)
            need = (other.wheel.side + column.wheel.side) // 2 + 2 * over + site.job.block.joint
            raise refuse(
                name,
                column.place,
                f"it would stand in {other.part}; they need {text(need)} from middle to middle: "
                "give another position",
            )


def own_wall(place: str) -> str:
    """Return what the wall is called that a column is part of; "" for none."""
    return place.replace("in ", "the ", 1) if place in IN_WALL else ""


class _Band(NamedTuple):
    """A stretch of wall, caps or column: its rectangle, bed and height [ticks]."""

    rect: Rect
    bed: int
    high: int


def _bodies(job: Job, column: Standing) -> list[_Band]:
    """Return the column and its cap."""
    over, thick = cap_overhang(job, column.wheel, column.hole > 0), cap_thickness(job)
    x, y, dx, dy = column.plan
    shaft = _Band(column.plan, column.bed, column.courses * column.wheel.pitch)
    cap = _Band(Rect(x - over, y - over, dx + 2 * over, dy + 2 * over), column.top, thick)
    return [shaft, cap] if over else [shaft]


def _meet(one: _Band, other: _Band) -> bool:
    a, b = one.rect, other.rect
    return (
        a.x < b.x + b.dx
        and b.x < a.x + a.dx
        and a.y < b.y + b.dy
        and b.y < a.y + a.dy
        and one.bed < other.bed + other.high
        and other.bed < one.bed + one.high
    )


def _walls(site: Site) -> Iterator[tuple[_Band, str]]:
    """Yield walls and rows of caps, with what they are called."""
    job, caps = site.job, site.caps
    long, wide, deep = job.outside_length, job.outside_width, job.depth
    sides = {
        "front": Rect(0, 0, long, deep), "back": Rect(0, wide - deep, long, deep),
        "left": Rect(0, 0, deep, wide), "right": Rect(long - deep, 0, deep, wide),
    }  # fmt: skip
    for wall, (x, y, dx, dy) in sides.items():
        yield _Band(Rect(x, y, dx, dy), 0, job.top), f"the {wall} wall"
        if caps is not None:
            past, along = caps.beyond, wall in ("front", "back")
            # The caps reach past the outer face, and their own depth from there.
            if along:
                at = -past if wall == "front" else y + deep + past - caps.depth
                rect = Rect(-past, at, long + 2 * past, caps.depth)
            else:
                at = -past if wall == "left" else x + deep + past - caps.depth
                rect = Rect(at, -past, caps.depth, wide + 2 * past)
            yield _Band(rect, job.cap_bed, caps.height), f"the caps of the {wall} wall"
    if job.spec.second_wall == "yes":
        y, top = wide + space(job), job.row_bed(courses(job))
        yield _Band(Rect(0, y, long, deep), 0, top - job.block.joint), "the second wall"
        if caps is not None:
            row = Rect(-caps.row, y + deep + caps.row - caps.depth, long + 2 * caps.row, caps.depth)
            yield _Band(row, top, caps.height), "the caps of the second wall"
