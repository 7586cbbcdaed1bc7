"""Whether the walls carry a column on them, and whether its first course bonds with theirs."""

from __future__ import annotations

from itertools import product
from math import ceil
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.caps import clear_need
from basinbook.engine.layout.parts.columns.bearing import bearing
from basinbook.engine.layout.parts.columns.site import BOTH, ON_BACK, ON_SECOND, Site, carrying
from basinbook.engine.layout.parts.pinwheel import Pinwheel, wall_pinwheel
from basinbook.engine.layout.parts.second_wall import space
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.ticks import at_least, at_most, text, ticks
from basinbook.engine.layout.unfit import between, place_refused
from basinbook.engine.spec_columns import LAID

# The part of a block that bears, without and with an overhang that is typed: common practice, no
# source.
_LEAST_SHARE: Final = 2 / 3
_TYPED_SHARE: Final = 1 / 2


def reach(job: Job, wheel: Pinwheel) -> int:
    """Return how far a column may reach past what carries it [ticks].

    Equation: the less of half the block's height and a third of its thickness; as typed where it
    is. Source: corbelled masonry in the International Residential Code, as quoted in Modern
    Masonry, section 12.4.1.
    """
    typed = job.spec.wall_column_reach
    return min(wheel.high // 2, wheel.thick // 3) if typed is None else ticks(typed)


def check_reach(site: Site, name: str, column: Standing) -> None:
    """Refuse a column that reaches too far past the walls that carry it, or tips on them."""
    job, wheel, most = site.job, column.wheel, reach(site.job, column.wheel)
    under = carrying(site, column.place, True)
    low, high = min(r.y for r in under), max(r.y + r.dy for r in under)
    across = max(low - column.y, column.y + wheel.side - high)
    if across > most:
        other = _other_ways(job, column, high - low)
        raise refuse(
            name,
            column.place,
            f"the column is {text(wheel.side)} wide on {text(high - low)} of wall, and would reach "
            f"{text(across)} past it, more than {text(most)}; {other}",
        )
    long, half = job.outside_length, wheel.side // 2
    if column.x < -most or column.x + wheel.side > long + most:
        least, farthest = max(0, half - most - job.depth), long + most - half - job.depth
        at = column.middle[0] - job.depth
        raise place_refused(
            f"{name}_at",
            at,
            f"from {text(least)} to {text(farthest)}, so that the wall carries the column",
            between(at, least, farthest),
        )
    # At the middle of walls without openings and recesses: the rest is a matter of the place.
    middle = column._replace(x=long // 2 - half)
    if _ways(site, middle, whole=True):
        return
    shares = [bearing(rect, carrying(site, column.place, True)).share for rect in middle.rects(0)]
    why = f"a block of its first course would bear with {min(shares):.0%} of it only, and may tip"
    widest = wheel.side - 2 * ceil(_least_share(job) * wheel.long - 1e-6)
    if column.place != BOTH or not 0 < widest < space(job):
        raise refuse(name, column.place, f"{why}; {_other_ways(job, column, high - low)}")
    narrowest = _narrowest(job, wheel)
    if narrowest <= widest:
        if site.caps is None or clear_need(job, site.caps) <= widest:
            raise refuse("pipe_space", text(space(job)), f"{why}; give {at_most(widest)}")
        why, narrowest = f"{why}, nor have the caps room", clear_need(job, site.caps)
    raise refuse(
        name,
        column.place,
        f"{why}: that wants a pipe space of {at_most(widest)}, and of "
        f"{at_least(narrowest)}; give another block{', or narrower caps' if site.caps else ''}",
    )


def _narrowest(job: Job, wheel: Pinwheel) -> int:
    """Return the pipe space from which both walls carry a column's whole side [ticks]."""
    return wheel.side - 2 * job.depth - 2 * reach(job, wheel)


def _least_share(job: Job) -> float:
    """Return how much of a block of the first course has to bear."""
    return _LEAST_SHARE if job.spec.wall_column_reach is None else _TYPED_SHARE


def _other_ways(job: Job, column: Standing, deep: int) -> str:
    """Return what to change for a column that is too wide for the wall that carries it."""
    ways = []
    for laid, cored in product(LAID, (True, False)):
        try:
            wheel = wall_pinwheel(job, laid, cored)
        except InputError:
            continue
        if wheel.side <= deep and column.place != BOTH:
            core = "" if cored else " without a core"
            ways.append(f"lay its blocks {laid}{core} ({text(wheel.side)} wide)")
    if column.place == BOTH:
        needed = _narrowest(job, column.wheel)
        if needed > space(job):
            ways.append(f"give a pipe space of {at_least(needed)}")
    elif job.spec.second_wall == "yes":
        ways.append("stand it on both walls")
    else:
        ways.append("give a second wall and stand it on both walls")
    return " or ".join([*ways, "type the overhang that its engineer allows"])


def ways_round(site: Site, column: Standing) -> list[Standing]:
    """Return the ways round in which the column's first course bears and bonds, best first."""
    return [
        way
        for way in _ways(site, column)
        if site.caps is not None or _apart(site, way) >= site.job.block.offset
    ]


def _ways(site: Site, column: Standing, whole: bool = False) -> list[Standing]:
    """Return the ways round in which every block of the first course bears."""
    under = carrying(site, column.place, whole)
    least = _least_share(site.job)
    return [
        way
        for way in (column, column._replace(turned=True))
        if all(
            found.steady and found.share >= least - 1e-9
            for found in (bearing(rect, under) for rect in way.rects(0))
        )
    ]


def _apart(site: Site, column: Standing) -> int:
    """Return the least distance of a joint in the column's first course from one below it."""
    wheel, least = column.wheel, column.wheel.side
    rects = column.rects(0)
    front, back = rects[0], rects[len(rects) // 2]
    joints = site.joints
    rows = {
        BOTH: ((front, joints.back), (back, joints.second)),
        ON_SECOND: ((front, joints.second), (back, joints.second)),
        ON_BACK: ((front, joints.back), (back, joints.back)),
    }
    for row, below in rows[column.place]:
        half = wheel.joint // 2
        ends = {row.x - half, row.x + row.dx + half}
        inner = ends - {column.x - half, column.x + wheel.side + half}
        least = min([least, *(abs(at - joint) for at in inner for joint in below)])
    return least
