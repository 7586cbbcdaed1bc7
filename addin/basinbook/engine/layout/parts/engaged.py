"""Columns that are part of a wall: one block a course reaches into it, left and right by turns.

A course of such a column is a pinwheel of four whole blocks of which one is the wall's own run, and
the next lies across the wall, its head flush with the face that the column does not stand out of.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from basinbook.engine.layout.between import clear_of_corner
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job, refuse
from basinbook.engine.layout.parts.openings import SECOND_WALL, Gap
from basinbook.engine.layout.parts.pinwheel import Pinwheel, Rect, wall_pinwheel
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.parts.turned import second_wall_courses
from basinbook.engine.layout.ticks import at_least, at_most, text, ticks
from basinbook.engine.layout.unfit import STEP, between, near, place_refused
from basinbook.engine.spec import BasinSpec
from basinbook.engine.spec_columns import FIRST_BLOCKS, IN_WALL

SLOTS: Final = (1, 2, 3)
_NAMES: Final = tuple((slot, f"wall_column_{slot}") for slot in SLOTS)
FEWEST, LEFT_FIRST, RIGHT_FIRST = FIRST_BLOCKS


class Key(NamedTuple):
    """What a column takes of its wall [ticks], along it from where the wall's places count.

    rows: of each course of the wall, where the block across it begins. low, high: of the column.
    at_start, at_end: whether it stands at a free end of the wall. slot: the number of its inputs.
    over: where the joint of the column's first course over a wall of one course begins, which that
    keeps clear of; None for none. In a higher wall the last course but one has it there, too.
    """

    rows: tuple[int, ...]
    low: int
    high: int
    over: int | None
    at_start: bool
    at_end: bool
    slot: int


def wall_of(place: str) -> str:
    """Return the wall that a column is part of; "" for one that is not."""
    return place.removeprefix("in ").removesuffix(" wall") if place in IN_WALL[:4] else (
        SECOND_WALL if place == IN_WALL[4] else ""
    )  # fmt: skip


def engaged_slots(spec: BasinSpec) -> tuple[int, ...]:
    """Return the numbers of the columns that are part of walls."""
    return tuple(slot for slot, name in _NAMES if getattr(spec, name) in IN_WALL)


def engaged_wheel(job: Job) -> Pinwheel:
    """Return how the blocks of a column in a wall lie; refuse what can't be in its courses."""
    spec = job.spec
    if spec.wall_column_laid != "flat":
        raise refuse(
            "wall_column_laid",
            spec.wall_column_laid,
            "flat, as the wall's courses, for a column in it",
        )
    if spec.wall_column_core != "yes":
        raise refuse(
            "wall_column_core",
            spec.wall_column_core,
            "yes: a column in a wall is four round a core",
        )
    wheel = wall_pinwheel(job)
    if wheel.long - wheel.thick < job.block.offset:
        raise refuse(
            "joint_offset",
            text(job.block.offset),
            f"{at_most(wheel.long - wheel.thick)}, by which blocks of a column in a wall "
            "reach past each other",
        )
    return wheel


def engaged(job: Job, slot: int, part: str, courses: int) -> Standing:
    """Return a column that is part of a wall in its place, its input checked."""
    place = str(getattr(job.spec, f"wall_column_{slot}"))
    wall, wheel = wall_of(place), engaged_wheel(job)
    rows = _rows(job, slot, wall)
    if courses < rows:
        raise refuse(
            f"wall_column_{slot}_courses",
            courses,
            f"at least the wall's {rows}: a column in a wall is no lower than that",
        )
    low = _low(job, slot, wall, wheel)
    side, depth = wheel.side, job.depth
    far = job.outside_width + ticks(job.spec.pipe_space)
    x, y, strip = {
        "front": (low, depth - side, Rect(low, 0, side, depth)),
        "back": (low, job.outside_width - depth, Rect(low, job.outside_width - depth, side, depth)),
        "left": (depth - side, low, Rect(0, low, depth, side)),
        "right": (
            job.outside_length - depth, low, Rect(job.outside_length - depth, low, depth, side)
        ),
        SECOND_WALL: (low, far, Rect(low, far, side, depth)),
    }[wall]  # fmt: skip
    column = Standing(part, place, x, y, 0, courses, wheel, False, strip=strip, tied=rows)
    left = _across(column, 0) == low
    wanted = job.spec.wall_column_first != RIGHT_FIRST
    return column if left == wanted else column._replace(turned=True)


def _rows(job: Job, slot: int, wall: str) -> int:
    """Return the courses of the wall, all flat."""
    if wall == SECOND_WALL:
        return second_wall_courses(job)
    rows = job.walls[WALL_NAMES.index(wall)]
    if any(row.on_edge for row in rows):
        raise refuse(
            f"wall_column_{slot}",
            getattr(job.spec, f"wall_column_{slot}"),
            f"blocks of the {wall} wall stand on edge, and bond with no flat column: lay it flat",
        )
    return len(rows)


def _ends(job: Job, wall: str) -> tuple[int, int, bool, bool]:
    """Return from where to where a wall's places count, and whether it ends free left and right."""
    if wall == SECOND_WALL:
        returns = job.spec.second_wall_returns
        return 0, job.outside_length, returns not in ("both", "left"), (
            returns not in ("both", "right")
        )  # fmt: skip
    lengthwise = WALL_NAMES.index(wall) in (FRONT, BACK)
    inside = job.length if lengthwise else job.width
    return job.depth, job.depth + inside, False, False


def _room(job: Job, wall: str, side: int) -> tuple[int, int]:
    """Return from where to where a column that wide may begin along its wall, clear of corners."""
    start, end, free_left, free_right = _ends(job, wall)
    clear = clear_of_corner(job.block) + (job.depth if wall == SECOND_WALL else 0)
    return start + (0 if free_left else clear), end - side - (0 if free_right else clear)


def _low(job: Job, slot: int, wall: str, wheel: Pinwheel) -> int:
    """Return where the column begins along its wall, from the outside corner [ticks]."""
    for number, kept in job.kept:
        if number == slot:
            return kept
    name = f"wall_column_{slot}_at"
    typed = getattr(job.spec, name)
    start, end, free_left, free_right = _ends(job, wall)
    least, most = _room(job, wall, wheel.side)
    if least > most:
        raise refuse(
            f"wall_column_{slot}",
            getattr(job.spec, f"wall_column_{slot}"),
            f"the wall has no room for a column of {text(wheel.side)} and a piece at both sides",
        )
    half = wheel.side // 2
    low = (start + end) // 2 - half if typed is None else job.depth + ticks(typed) - half
    # A hair off a free end is in line with it: inputs are rounded.
    low = next((edge for edge in (start, end - wheel.side) if abs(low - edge) <= _HAIR), low)
    beside = clear_of_corner(job.block)
    close = (free_left and start < low < start + beside) or (
        free_right and end - wheel.side - beside < low < end - wheel.side
    )
    if not least <= low <= most or close:
        at, first, last = (place + half - job.depth for place in (low, least, most))
        allowed = f"from {text(first)} to {text(last)}, with a piece between column and corner"
        if close:
            allowed = f"in line with the wall's end, or {at_least(beside)} off that"
        raise place_refused(name, at, allowed, between(at, first, last))
    return low


_HAIR: Final = ticks(0.0005)


def _across(column: Standing, course: int) -> int:
    """Return where the block of a course that lies across the wall begins, along it [ticks]."""
    strip = column.strip
    assert strip is not None
    along = strip.dx > strip.dy
    (found,) = [rect for rect in column.rects(course) if _crosses(rect, strip)]
    return found.x if along else found.y


def _crosses(rect: Rect, strip: Rect) -> bool:
    """Return whether a block lies in the wall's strip and out of it."""
    x = min(rect.x + rect.dx, strip.x + strip.dx) - max(rect.x, strip.x)
    y = min(rect.y + rect.dy, strip.y + strip.dy) - max(rect.y, strip.y)
    return x > 0 and y > 0 and x * y < rect.dx * rect.dy


def keys(job: Job, wall: str) -> tuple[Key, ...]:
    """Return what the columns that are part of a wall take of it, from left to right.

    Places along the second wall count from its left end, along the others from the inside corner.
    """
    # Most jobs have none, and a job takes long to look up.
    return _keys(job, wall) if engaged_slots(job.spec) else ()


def wall_column_courses(job: Job, slot: int) -> int:
    """Return how many courses a column has that stands on, at or in a wall."""
    name = f"wall_column_{slot}_courses"
    courses = int(getattr(job.spec, name))
    if not courses:
        raise refuse(
            name,
            courses,
            "type how many the column has, at least 1 (a blank counts as 0), or choose none for it",
        )
    return courses


@lru_cache(maxsize=64)
def _keys(job: Job, wall: str) -> tuple[Key, ...]:
    found = []
    for slot in engaged_slots(job.spec):
        if wall_of(getattr(job.spec, f"wall_column_{slot}")) != wall:
            continue
        courses = wall_column_courses(job, slot)
        column = engaged(job, slot, "", courses)
        off = 0 if wall == SECOND_WALL else job.depth
        rows = tuple(_across(column, course) - off for course in range(column.tied))
        low = (column.y if wall in ("left", "right") else column.x) - off
        over = None
        if courses > column.tied == 1:
            at = _across(column, column.tied) - off
            over = low + job.depth if at == low else at - job.block.joint
        high, far = low + column.wheel.side, job.outside_length
        at_end = wall == SECOND_WALL and high == far
        found.append(Key(rows, low, high, over, wall == SECOND_WALL and low == 0, at_end, slot))
    # Of two in one place the first input comes last, and is the one that a message names.
    return tuple(sorted(found, key=lambda key: (*key[:3], -key.slot)))


def with_columns(
    lines: tuple[Line, ...], columns: Sequence[Key], rules: Rules, depth: int
) -> tuple[Line, ...]:
    """Return the courses of a wall with room for the blocks of columns that lie across it.

    depth: what such a block takes along the wall. In a wall of one course a whole block lies under
    the joint of the column's next course.
    """
    found = list(lines)
    for key in columns:
        for row, low in enumerate(key.rows):
            found[row] = _cut_out(found[row], low, low + depth, rules.joint)
        if key.over is not None:
            last = found[-1]
            under = (key.over, key.over + rules.joint)
            found[-1] = last._replace(bridges=tuple(sorted((*last.bridges, under))))
    return tuple(found)


def _cut_out(line: Line, low: int, high: int, joint: int) -> Line:
    """Return a course without what lies from low to high, with a joint at each side.

    Where it ends there, nothing of it is left beyond.
    """
    spans: list[Span] = []
    second = line.second
    for number, span in enumerate(line.spans):
        if not span.start <= low < high <= span.end:
            spans.append(span)
            continue
        sides = []
        if low > span.start:
            sides.append(span._replace(end=low - joint, end_joint=True, last=0))
        if high < span.end:
            sides.append(span._replace(start=high + joint, start_joint=True, first=0, begin=0))
        spans += sides
        second += (len(sides) - 1) * (number < line.second)
    return line._replace(spans=tuple(spans), second=second)


def check_engaged(job: Job, gaps: Sequence[Sequence[Gap]], behind: Sequence[Gap]) -> None:
    """Refuse columns in walls where an opening, a block on edge or another column is."""
    for slot in engaged_slots(job.spec):
        name = f"wall_column_{slot}"
        place = str(getattr(job.spec, name))
        wall = wall_of(place)
        if wall == SECOND_WALL and job.spec.second_wall == "no":
            raise refuse(name, place, "there is no second wall: give one, or a wall of the basin")
        if wall == "back" and job.spec.second_wall == "yes":
            raise refuse(name, place, "the second wall stands there: in second wall")
    clear = clear_of_corner(job.block)
    for index, wall in enumerate((*WALL_NAMES, SECOND_WALL)):
        there = keys(job, wall)
        if not there:
            continue
        rows = () if wall == SECOND_WALL else job.walls[index]
        in_way = [(at, at + job.block.length) for row in rows for at in row.between]
        for gap in behind if wall == SECOND_WALL else gaps[index]:
            low, high = gap.lintel or (gap.low, gap.high)
            over = 0 if gap.lintel else job.block.offset
            in_way.append((min(low, gap.low) - over, max(high, gap.high) + over))
        for number, key in enumerate(there):
            in_way += [(other.low, other.high) for other in there[:number]]
            for low, high in in_way:
                if key.low - clear < high and low < key.high + clear:
                    _refuse_place(job, wall, key, (low, high), clear)


def _refuse_place(job: Job, wall: str, key: Key, taken: tuple[int, int], clear: int) -> None:
    """Refuse the column there, with the nearest places clear of what is taken."""
    middle = (key.low + key.high) // 2
    half = middle - key.low
    corner = job.depth if wall == SECOND_WALL else 0
    before, after = taken[0] - clear - half - corner, taken[1] + clear + half - corner
    first, last = (end + half - job.depth for end in _room(job, wall, 2 * half))
    at, steps = middle - corner, 2 * (after - before) // STEP
    beside = [at_most(before)] if first <= before else []
    beside += [at_least(after)] if after <= last else []
    raise place_refused(
        f"wall_column_{key.slot}_at",
        at,
        "an opening, a block on edge or another column stands there: "
        + (" or ".join(beside) or "beside it there is no room for the column"),
        [one for one in near(at, steps) if first <= one <= before or after <= one <= last],
    )
