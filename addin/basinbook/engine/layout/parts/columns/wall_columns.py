"""Columns on the walls of the basin, and by them: each in its place, checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.columns.free import off_basin, off_second_wall
from basinbook.engine.layout.parts.columns.pipe import ColumnPipe, column_pipe
from basinbook.engine.layout.parts.columns.site import BOTH, ON_BACK, ON_SECOND, Site, check_free
from basinbook.engine.layout.parts.columns.support import check_reach, ways_round
from basinbook.engine.layout.parts.engaged import engaged, wall_column_courses
from basinbook.engine.layout.parts.pinwheel import wall_pinwheel
from basinbook.engine.layout.parts.second_wall import courses, space
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.layout.unfit import STEP, near, place_refused
from basinbook.engine.spec_columns import IN_WALL, ON_WALL
from basinbook.engine.spec_openings import PIPE

SLOTS: Final = (1, 2, 3)
_SECOND: Final = ("by second wall", "by left end", "by right end")
# Reach of the search for a place: as for gaps in walls.
_STEPS: Final = 16


class WallColumns(NamedTuple):
    """The columns on and at walls, the pipe in the first, and what to tell of them."""

    columns: tuple[Standing, ...]
    pipe: ColumnPipe | None
    notes: tuple[str, ...]


NO_COLUMNS: Final = WallColumns((), None, ())


def wanted(job: Job) -> bool:
    """Return whether there are columns on or at walls, or a pipe in one."""
    return any(_place(job, slot) != "none" for slot in SLOTS) or job.spec.column_pipe != "none"


def wall_columns(site: Site, free: Sequence[Standing]) -> WallColumns:
    """Return the columns on and at walls, checked for what carries them and what is in the way.

    free: the columns that stand already.
    """
    job, found, notes = site.job, list[Standing](), list[str]()
    wheel = wall_pinwheel(job)
    pipe = None
    for slot in SLOTS:
        place = _place(job, slot)
        rows = _rows(job, slot, place)
        if slot == 1:
            pipe = column_pipe(job, wheel, place, rows)
        if place == "none":
            continue
        part = f"column {len(free) + len(found) + 1}"
        _check_place(job, slot, place)
        if place in IN_WALL:
            column = engaged(job, slot, part, rows)
            _check_over_caps(site, slot, column)
            check_free(site, f"wall_column_{slot}", column, [*free, *found])
            found.append(column)
            continue
        hole = pipe.hole if pipe and slot == 1 else 0
        blank = Standing(part, place, 0, 0, 0, rows, wheel, False, hole)
        column, moved = _settled(site, f"wall_column_{slot}", blank)
        check_free(site, f"wall_column_{slot}", column, [*free, *found])
        found.append(column)
        notes += moved
    return WallColumns(tuple(found), pipe, tuple(notes))


def _check_over_caps(site: Site, slot: int, column: Standing) -> None:
    """Refuse a column in a wall that ends in the wall's caps or under them."""
    caps, joint = site.caps, site.job.block.joint
    if caps is None:
        return
    top = column.bed + column.tied * column.wheel.pitch + caps.height
    least = -(-(top + joint) // column.wheel.pitch)
    if column.courses < least:
        raise refuse(
            f"wall_column_{slot}_courses",
            column.courses,
            f"at least {least}, so that it stands over the caps, which end at it",
        )


def _place(job: Job, slot: int) -> str:
    return str(getattr(job.spec, f"wall_column_{slot}"))


def _rows(job: Job, slot: int, place: str) -> int:
    return 0 if place == "none" else wall_column_courses(job, slot)


def _check_place(job: Job, slot: int, place: str) -> None:
    """Refuse a place at a wall that isn't there, and a position where none is to be given."""
    name, second = f"wall_column_{slot}", job.spec.second_wall == "yes"
    typed = getattr(job.spec, f"{name}_at")
    if not second and place in (BOTH, ON_SECOND, *_SECOND):
        raise refuse(name, place, "there is no second wall: give one, or a place at the basin")
    if second and place == "by back wall":
        raise refuse(name, place, "the second wall stands there: by second wall")
    if typed is not None and place.endswith("end"):
        raise refuse(f"{name}_at", text(ticks(typed)), f"blank for a column {place}")


def _settled(site: Site, name: str, blank: Standing) -> tuple[Standing, list[str]]:
    """Return a column in its place, moved off the middle where the bond asks for it."""
    job = site.job
    typed = getattr(job.spec, f"{name}_at")
    middle = _middle(site, blank.place) if typed is None else job.depth + ticks(typed)
    column = _standing(site, name, blank, middle)
    if blank.place not in ON_WALL:
        return column, []
    check_reach(site, name, column)
    ways = ways_round(site, column)
    if ways:
        return ways[0], []
    given = text(middle - job.depth)
    why = (
        "its first course would bear too little, lie over an opening, or have a joint within "
        f"{text(job.block.offset)} of one below"
    )
    if typed is not None:
        tries = (one + job.depth for one in near(middle - job.depth, _STEPS))
        bears = (one.middle[0] - job.depth for one in _bearing(site, name, blank, tries))
        none = "no place near is better: move the opening, or lay caps"
        raise place_refused(f"{name}_at", middle - job.depth, why, bears, none)
    moved = next(_bearing(site, name, blank, _by_turns(middle)), None)
    if moved is None:
        raise refuse(
            f"{name}_at", given, f"{why}, as in all places near; move the opening, or lay caps"
        )
    at = text(moved.middle[0] - job.depth)
    return moved, [
        f"The middle of {moved.part} stands {at} from the inside left corner, not {given}: there "
        f"{why}."
    ]


def _bearing(site: Site, name: str, blank: Standing, tries: Iterable[int]) -> Iterator[Standing]:
    """Yield the column in those of the places where it bears and bonds."""
    for one in tries:
        yield from ways_round(site, _standing(site, name, blank, one))[:1]


def _by_turns(middle: int) -> Iterator[int]:
    """Yield places in half inches, farther and nearer by turns."""
    for step in range(1, _STEPS + 1):
        for sign in (1, -1):
            yield (middle // STEP + (step if sign > 0 else 1 - step)) * STEP


def _middle(site: Site, place: str) -> int:
    """Return where the middle of a column is whose position is not given, along its wall."""
    job = site.job
    if place in ("by left wall", "by right wall"):
        return job.outside_width // 2
    pipe = next((gap for gap in site.gaps if gap.number == PIPE), None)
    if pipe is not None and place != "by front wall":
        return job.depth + (pipe.low + pipe.high) // 2
    return job.outside_length // 2


def _standing(site: Site, name: str, blank: Standing, middle: int) -> Standing:
    """Return a column with its middle there along its wall."""
    job, side, place = site.job, blank.wheel.side, blank.place
    back, half = job.outside_width, blank.wheel.side // 2
    far = back + space(job) + job.depth
    if place in ON_WALL:
        between = {
            BOTH: back + space(job) // 2, ON_SECOND: far - job.depth // 2,
            ON_BACK: back - job.depth // 2,
        }  # fmt: skip
        bed = _bed(site, name, place)
        return blank._replace(x=middle - half, y=between[place] - half, bed=bed)
    off = off_basin(job, site.caps, blank.wheel, blank.courses)
    behind = off_second_wall(job, site.caps, blank.wheel, blank.courses) if place in _SECOND else 0
    # At the ends it stands beside the basin's side walls, too.
    beside = max(off, behind)
    x, y = {
        "by front wall": (middle - half, -off - side),
        "by back wall": (middle - half, back + off),
        "by left wall": (-off - side, middle - half),
        "by right wall": (job.outside_length + off, middle - half),
        "by second wall": (middle - half, far + behind),
        "by left end": (-beside - side, far - job.depth // 2 - half),
        "by right end": (job.outside_length + beside, far - job.depth // 2 - half),
    }[place]
    return blank._replace(x=x, y=y)


def _bed(site: Site, name: str, place: str) -> int:
    """Return the bed of a column on walls [ticks], on their caps where there are any.

    Both walls must be of one height for a column on both.
    """
    job, caps = site.job, site.caps
    back, second = job.cap_bed, job.row_bed(courses(job))
    if place == BOTH and back != second:
        rows, odd = divmod(back, job.height + job.block.joint)
        change = "lay the basin's courses flat" if odd else f"give {rows} second wall courses"
        raise refuse(
            name,
            place,
            f"both walls must be of one height: the back wall's block stands "
            f"{text(back - job.block.joint)} high, the second wall's "
            f"{text(second - job.block.joint)}; {change}",
        )
    bed = second if place == ON_SECOND else back
    return bed + (caps.height + job.block.joint if caps else 0)
