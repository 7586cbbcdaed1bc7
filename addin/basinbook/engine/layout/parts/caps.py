"""Sizes of caps, and the room that they need behind the basin."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.checked_inputs import Job, block_rules, refuse
from basinbook.engine.layout.parts.second_wall import courses, space
from basinbook.engine.layout.ticks import at_least, text, ticks


class CapSizes(NamedTuple):
    """Caps in ticks: rules along the wall, depth, height and overhangs.

    inner: over the water. beyond: past the outer face of the flat-laid wall (negative where the
    top course is on edge and the caps are narrow). row: past the second wall's outer face.
    span: the range that the overhang was found in. fewest: cut caps that these need at least, where
    it was found. others: the same with other overhangs of the range, those with few cuts first.
    """

    rules: Rules
    depth: int
    height: int
    inner: int
    beyond: int
    row: int
    span: tuple[int, int] | None = None
    fewest: int = 0
    others: tuple[CapSizes, ...] = ()


class CapRoom(NamedTuple):
    """Thickness of the widest top course, and what the caps are deeper than that [ticks]."""

    wall: int
    over: int


def cap_room(job: Job) -> CapRoom:
    """Return how much of the caps' depth is left for overhang; refuse caps that don't cover."""
    spec, depth = job.spec, ticks(job.spec.cap_depth)
    if not depth:
        raise refuse("cap_depth", spec.cap_depth, "give the caps' depth, or no cap length")
    if not ticks(spec.cap_height):
        raise refuse("cap_height", spec.cap_height, "give the caps' height, or no cap length")
    wall = max(rows[-1].thickness for rows in job.walls)
    if depth < wall:
        raise refuse("cap_depth", text(depth), f"at least the wall's thickness of {text(wall)}")
    return CapRoom(wall, depth - wall)


def sized(job: Job, outer: int, row: int) -> CapSizes:
    """Return caps with an overhang past the outer faces of basin and second wall [ticks]."""
    spec, room = job.spec, cap_room(job)
    depth, inner = ticks(spec.cap_depth), room.over - outer
    for name, inside in (("inside_length", job.length), ("inside_width", job.width)):
        if inside <= 2 * inner:
            raise refuse(
                name, text(inside), f"more than {text(2 * inner)}, so that caps leave an opening"
            )
    rules = block_rules(spec, ticks(spec.cap_length), "cap_length")._replace(offset=0)
    if spec.second_wall == "yes" and not 0 <= row <= depth - job.depth:
        raise refuse("cap_depth", text(depth), f"{at_least(job.depth)} to cover the second wall")
    height = ticks(spec.cap_height)
    return CapSizes(rules, depth, height, inner, depth - inner - job.depth, row)


def clear_need(job: Job, caps: CapSizes) -> int:
    """Return the pipe space in which caps don't run into each other or into a wall [ticks]."""
    basin = (job.cap_bed, job.cap_bed + caps.height)
    second = (job.row_bed(courses(job)), job.row_bed(courses(job)) + caps.height)
    back, front = caps.beyond, caps.depth - job.depth - caps.row
    if basin[0] < second[1] and second[0] < basin[1]:
        return back + front
    return back if second[0] >= basin[1] else front


def check_clear(job: Job, caps: CapSizes) -> None:
    """Refuse a pipe space in which caps would run into each other or into a wall."""
    need = clear_need(job, caps)
    if space(job) < need:
        raise refuse(
            "pipe_space",
            text(space(job)),
            f"{at_least(need)}, so that the caps' overhang has room; or give narrower caps",
        )
