"""Where whole blocks may lie across a wall: in back wall and second wall, into the pipe space.

Across a wall a block takes its depth along it, and reaches past the face by what its length is
more than its depth: never into the water, only into the pipe space.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line
from basinbook.engine.layout.checked_inputs import BACK, Job, refuse
from basinbook.engine.layout.parts.openings import Gap
from basinbook.engine.layout.ticks import at_least, text, ticks
from basinbook.engine.spec import NO_TURNED, SAVING

_PIPE_CLEAR: Final = ticks(0.0254)
APART: Final = ticks(0.6096)

Stretch = tuple[int, int]
"""From and to along a wall [ticks]."""


class Open(NamedTuple):
    """Of each course the stretches open to turned blocks, and those that must hold one each."""

    stretches: tuple[tuple[Stretch, ...], ...]
    ties: tuple[tuple[Stretch, ...], ...]


class Tail(NamedTuple):
    """The part of a turned block in the pipe space: along the basin's outside length, and height.

    low, high, bed, top: from the outside left corner and the base [ticks].
    """

    low: int
    high: int
    bed: int
    top: int

    def meets(self, other: Tail, joint: int) -> bool:
        """Return whether another is as high, and no joint away along the wall."""
        return (
            self.bed < other.top
            and other.bed < self.top
            and self.low < other.high + joint
            and other.low < self.high + joint
        )


Tails = tuple[Tail, ...]


def reach(job: Job) -> int:
    """Return how far a turned block reaches past the face of its wall [ticks]."""
    return job.block.length - job.depth


def ties_walls(job: Job) -> bool:
    """Return whether a turned block reaches from its wall to the other, over the pipe space."""
    return reach(job) + job.block.joint == ticks(job.spec.pipe_space)


def check_turned(job: Job) -> None:
    """Refuse turned blocks that have no room to reach into."""
    spec = job.spec
    if spec.turned_walls == NO_TURNED and (
        spec.turned_second == NO_TURNED or spec.second_wall == "no"
    ):
        return
    need, block = reach(job) + job.block.joint, f"a block of {text(job.block.length)}"
    if spec.second_wall == "no":
        raise refuse(
            "turned_walls",
            spec.turned_walls,
            f"{block} laid across a wall of {text(job.depth)} would reach {text(reach(job))} past "
            "its outer face, or into the water: give none, or a second wall with a pipe space of "
            f"{at_least(need)}",
        )
    between = ticks(spec.pipe_space)
    if between < need:
        raise refuse(
            "pipe_space",
            text(between),
            f"{at_least(need)}, as {block} laid across a wall of {text(job.depth)} reaches "
            f"{text(reach(job))} into it, or no turned blocks",
        )


def second_wall_courses(job: Job) -> int:
    """Return the second wall's courses: as given, or as many as reach the basin's height."""
    pitch = job.height + job.block.joint
    return job.spec.second_wall_courses or -(-(job.top + job.block.joint) // pitch)


def open_back(job: Job, pipes: Iterable[Gap], tails: Iterable[Tail]) -> Open | None:
    """Return where turned blocks may lie in the back wall, from its inside left corner.

    pipes: openings where a pipe rises. tails: of turned blocks of the second wall. None where
    none may lie at all. Above the second wall there is no pipe space to reach into.
    """
    spec, joint = job.spec, job.block.joint
    if spec.turned_walls == NO_TURNED or spec.second_wall == "no":
        return None
    left, right = (spec.second_wall_returns in ("both", side) for side in ("left", "right"))
    taken = [_clear_of(pipe) for pipe in pipes]
    top = job.row_bed(second_wall_courses(job)) - joint
    rows: list[tuple[Stretch, ...] | None] = []
    for row in job.walls[BACK]:
        if row.on_edge or row.bed + row.height > top:
            rows.append(None)
            continue
        low = joint if left else -job.depth
        high = job.length - joint if right else job.length + job.depth
        beside = [
            (tail.low - job.depth - joint, tail.high - job.depth + joint)
            for tail in tails
            if tail.bed < row.bed + row.height and row.bed < tail.top
        ]
        rows.append(_without((low, high), [*taken, *beside], job.depth))
    return _open(job, spec.turned_walls, rows)


def open_second(
    job: Job, pipes: Iterable[Gap], tails: Iterable[Tail], rows: int, closed: int
) -> Open | None:
    """Return where turned blocks may lie in the second wall, from its left end; else None.

    rows: its courses; closed: those up to the basin's height. The rest as ``open_back`` has it.
    """
    spec, joint = job.spec, job.block.joint
    if spec.turned_second == NO_TURNED:
        return None
    left, right = (spec.second_wall_returns in ("both", side) for side in ("left", "right"))
    low = job.depth + joint if left else 0
    high = job.outside_length - (job.depth + joint if right else 0)
    taken = [(start + job.depth, end + job.depth) for start, end in map(_clear_of, pipes)]
    found = []
    for row in range(rows):
        bed = job.row_bed(row)
        beside = [
            (tail.low - joint, tail.high + joint)
            for tail in tails
            if tail.bed < bed + job.height and bed < tail.top
        ]
        free = _without((low, high), [*taken, *beside], job.depth) if row < closed else None
        found.append(free)
    return _open(job, spec.turned_second, found)


def _clear_of(pipe: Gap) -> Stretch:
    return pipe.low - _PIPE_CLEAR, pipe.high + _PIPE_CLEAR


def _without(whole: Stretch, taken: Iterable[Stretch], least: int) -> tuple[Stretch, ...]:
    """Return what is left of a stretch, in parts of at least some length."""
    found, low = [], whole[0]
    for start, end in [*sorted(taken), (whole[1], whole[1])]:
        if min(start, whole[1]) - low >= least:
            found.append((low, min(start, whole[1])))
        low = max(low, end)
    return tuple(found)


def _open(job: Job, choice: str, rows: Sequence[tuple[Stretch, ...] | None]) -> Open | None:
    """Return what is open by the choice; by rule, each part of a course holds a turned block."""
    every = job.spec.turned_every
    if choice == SAVING:
        stretches = tuple(row or () for row in rows)
        return Open(stretches, ((),) * len(rows)) if any(stretches) else None
    chosen = [
        row if row and number % every == 0 else () for number, row in enumerate(rows, start=1)
    ]
    ties = tuple(tuple(part for stretch in row for part in _parts(stretch)) for row in chosen)
    return Open(tuple(chosen), ties) if any(chosen) else None


def _parts(stretch: Stretch) -> list[Stretch]:
    """Return a stretch in equal parts of at most 24 in (610 mm)."""
    low, high = stretch
    count = -(-(high - low) // APART)
    edges = [low + (high - low) * number // count for number in range(count + 1)]
    return list(pairwise(edges))


def with_turned(lines: Sequence[Line], open_to: Open | None, least: int) -> tuple[Line, ...]:
    """Return the courses of a wall with the stretches open to turned blocks.

    least: what a turned block takes along the wall [ticks].
    """
    if open_to is None:
        return tuple(lines)
    # Courses that take turns are the same, with the same stretches.
    made: dict[tuple[Line, tuple[Stretch, ...], tuple[Stretch, ...]], Line] = {}
    found = []
    for key in zip(lines, open_to.stretches, open_to.ties, strict=True):
        if key not in made:
            made[key] = _with_stretches(*key, least)
        found.append(made[key])
    return tuple(found)


def _with_stretches(
    line: Line, stretches: tuple[Stretch, ...], ties: tuple[Stretch, ...], least: int
) -> Line:
    spans = []
    for span in line.spans:
        within = span.start, span.end
        turned = _cut_to(within, stretches, least)
        spans.append(span._replace(turned=turned, ties=_cut_to(within, ties, least)))
    return line._replace(spans=tuple(spans))


def _cut_to(within: Stretch, stretches: Iterable[Stretch], least: int) -> tuple[Stretch, ...]:
    """Return what of stretches lies within another, in parts of at least some length."""
    cut = [(max(low, within[0]), min(high, within[1])) for low, high in stretches]
    return tuple((low, high) for low, high in cut if high - low >= least)
