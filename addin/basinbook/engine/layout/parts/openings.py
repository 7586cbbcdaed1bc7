"""Openings in the basin's walls and in the second wall: where they are, and what lies over them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job, refuse
from basinbook.engine.layout.ticks import at_least, at_most, text, ticks
from basinbook.engine.layout.unfit import between, place_refused
from basinbook.engine.spec_openings import ACCESS, OpeningSpec, opening_name, openings_of

SECOND_WALL: Final = "second wall"


class Gap(NamedTuple):
    """A gap from low to high along its wall [ticks], in courses first to last (from 0).

    number: of the opening. lintel: from where to where one lies in the course over it; None for
    a whole block. top: whether no course lies over it.
    """

    low: int
    high: int
    first: int
    last: int
    number: int = ACCESS
    lintel: tuple[int, int] | None = None
    top: bool = False

    @property
    def name(self) -> str:
        """What sentences call it."""
        return opening_name(self.number)


class WallOf(NamedTuple):
    """What openings in a wall depend on [ticks]: its length, the room to leave at both ends, the
    heights of its courses, and of each numbered course, from 1, its lowest course of them.
    """

    far: int
    left: int
    right: int
    heights: tuple[int, ...]
    rows: dict[int, int]


BasinGaps = tuple[tuple[Gap, ...], ...]
"""The openings of the front, right, back and left wall."""
NO_GAPS: Final[BasinGaps] = ((), (), (), ())


def basin_gaps(job: Job) -> BasinGaps:
    """Return the openings in the four walls, each checked by itself.

    Positions are from the inside left corner, of the side walls from the inside front corner.
    """
    walls: list[list[Gap]] = [[], [], [], []]
    for given in openings_of(job.spec):
        if given.wall != SECOND_WALL:
            walls[WALL_NAMES.index(given.wall)].append(basin_gap(job, given))
    return tuple(tuple(gaps) for gaps in walls)


def basin_gap(job: Job, given: OpeningSpec) -> Gap:
    """Return an opening in one of the four walls."""
    wall = WALL_NAMES.index(given.wall)
    margin = job.block.joint + job.block.shortest
    rows: dict[int, int] = {}
    for index, row in enumerate(job.walls[wall]):
        rows.setdefault(row.level + 1, index)
    far = job.length if wall in (FRONT, BACK) else job.width
    heights = tuple(row.height for row in job.walls[wall])
    return gap_in(job, given, WallOf(far, margin, margin, heights, rows))


def gap_in(job: Job, given: OpeningSpec, wall: WallOf) -> Gap:
    """Return an opening in a wall, checked by itself; raises InputError naming its input."""
    width, course, length = ticks(given.width), given.course, ticks(given.lintel_length)
    if course not in wall.rows:
        of_wall = "second wall" if given.wall == SECOND_WALL else "basin"
        raise refuse(
            given.field("course"), course, f"the {of_wall} has courses 1 to {max(wall.rows)}"
        )
    first = wall.rows[course]
    last = first + given.rows - 1
    if last >= len(wall.heights):
        raise refuse(
            given.field("rows"),
            given.rows,
            f"at most {len(wall.heights) - first} from course {course} to the wall's top",
        )
    over = _check_lintel(job, given, wall, last) if length else 0
    if not length:
        check_bridge(job, given.field("width"), width, last + 1 < len(wall.heights))
    names = given.field("width"), given.field("offset")
    low = gap_start(job, *names, width, wall.far, wall.left + over, wall.right + over)
    start = low - (length - width) // 2
    lintel = (start, start + length) if length else None
    top = last + 1 == len(wall.heights)
    return Gap(low, low + width, first, last, given.number, lintel, top)


def _check_lintel(job: Job, given: OpeningSpec, wall: WallOf, last: int) -> int:
    """Return how much room a lintel takes at each side of its opening, joint counted in."""
    width, length = ticks(given.width), ticks(given.lintel_length)
    field, offset, joint = given.field("lintel_length"), job.block.offset, job.block.joint
    if last + 1 == len(wall.heights):
        raise refuse(
            field,
            text(length),
            f"no course lies over the {given.name} for a lintel: leave it out, so that a cap "
            "bridges the gap, or give a lower course",
        )
    least = width + 2 * offset
    if length < least:
        raise refuse(
            field, text(length), f"{at_least(least)}: {text(offset)} of bearing at both sides"
        )
    height = wall.heights[last + 1]
    if ticks(given.lintel_height) not in (0, height):
        raise refuse(
            given.field("lintel_height"),
            text(ticks(given.lintel_height)),
            f"{text(height)}, as high as the course that it lies in; or leave the lintel out",
        )
    room = wall.far - wall.left - wall.right - 2 * joint
    if length > room:
        raise refuse(
            field,
            text(length),
            f"{at_most(max(0, room))}, so that a piece fits at both sides of it in a wall of "
            f"{text(wall.far)}",
        )
    return joint + (length - width + 1) // 2


def check_bridge(job: Job, name: str, width: int, bridged: bool) -> None:
    """Refuse a gap that a whole block can't bridge with the least joint offset as bearing."""
    most = job.block.length - 2 * job.block.offset
    if bridged and width > most:
        lintel = "" if name == "access_width" else "; or give a lintel"
        raise refuse(
            name,
            text(width),
            f"{at_most(most)}, so that one whole block bridges it with "
            f"{text(job.block.offset)} of bearing at both sides{lintel}",
        )


def gap_start(
    job: Job, name: str, offset_name: str, width: int, wall: int, left: int, right: int
) -> int:
    """Return where a gap begins, checked to leave room for a piece at both sides."""
    if width > wall - left - right:
        raise refuse(
            name,
            text(width),
            f"{at_most(max(0, wall - left - right))}, so that a piece fits at both sides "
            f"of the gap in a wall of {text(wall)}",
        )
    offset: float | None = getattr(job.spec, offset_name)
    middle = wall // 2 if offset is None else ticks(offset)
    low = middle - width // 2
    least, most = left, wall - right - width
    if not least <= low <= most:
        first, last = least + width // 2, most + width // 2
        raise place_refused(
            offset_name,
            middle,
            f"from {text(first)} to {text(last)}, clear of the corners",
            between(middle, first, last),
        )
    return low


def with_gaps(lines: tuple[Line, ...], gaps: Iterable[Gap], rules: Rules) -> tuple[Line, ...]:
    """Return the courses of a wall with gaps left in them, and what lies over these.

    A lintel takes the place of pieces: beside it the course begins anew, with a joint.
    """
    found = list(lines)
    for gap in sorted(gaps):
        for row in range(gap.first, gap.last + 1):
            found[row] = cut_out(found[row], gap.low, gap.high, 0, rules)
        if gap.last + 1 == len(lines):
            continue
        above = found[gap.last + 1]
        if gap.lintel is not None:
            above = cut_out(above, *gap.lintel, 1, rules)
        else:
            above = above._replace(bridges=tuple(sorted((*above.bridges, (gap.low, gap.high)))))
        found[gap.last + 1] = above
    return tuple(found)


def cut_out(line: Line, low: int, high: int, joints: int, rules: Rules) -> Line:
    """Return a course with nothing from low to high; joints: whether there is one at each side."""
    spans: list[Span] = []
    second = line.second
    for number, span in enumerate(line.spans):
        if not span.start < low < high < span.end:
            spans.append(span)
            continue
        off, counts = joints * rules.joint, bool(joints)
        spans.append(span._replace(end=low - off, end_joint=counts, last=0))
        spans.append(span._replace(start=high + off, start_joint=counts, first=0, begin=0))
        second += number < line.second
    return line._replace(spans=tuple(spans), second=second)


class Clash(NamedTuple):
    """Two openings of a wall that can't both be where they are, and why."""

    one: Gap
    other: Gap
    why: str

    def reason(self, number: int) -> str:
        """Return what to say of one of the two, by its number."""
        other = self.one if self.other.number == number else self.other
        return f"too close to the {other.name}: {self.why}"


def clash(gaps: Sequence[Gap], rules: Rules) -> Clash | None:
    """Return two openings of one wall that stand too close to each other; None for none.

    Pieces between them must be no shorter than the shortest, blocks and lintels over them need
    their bearing, and nothing is left open in what bridges another.
    """
    for one in gaps:
        for other in gaps:
            why = "" if one is other else _too_close(one, other, rules)
            if why:
                return Clash(one, other, why)
    return next(filter(None, (_no_room(one, gaps, rules) for one in gaps)), None)


def _too_close(one: Gap, other: Gap, rules: Rules) -> str:
    """Return why another opening can't be where it is, beside or over one; "" where it can."""
    sides = one.low, one.high
    shared = max(one.first, other.first) <= min(one.last, other.last)
    if shared and _apart(sides, other) < rules.shortest:
        return f"no piece of {text(rules.shortest)} fits between them"
    beside, above = (other.first <= row <= other.last for row in (one.last, one.last + 1))
    if one.lintel is not None:
        return _by_lintel(one.lintel, one, other, beside, above, rules)
    if one.top:
        return ""
    bearing = one.low - rules.offset, one.high + rules.offset
    if beside and _apart(bearing, other) < 0:
        return f"a block needs {text(rules.offset)} of bearing at both sides"
    if above and _apart(bearing, other) < 0:
        return "it would leave open what a whole block has to bridge"
    if one.last != other.last or other.lintel is not None:
        return ""
    both = other.low - rules.offset, other.high + rules.offset
    long = max(bearing[1], both[1]) - min(bearing[0], both[0])
    if _between(bearing, both) < 0 and long > rules.length:
        return "two blocks over them have no bearing between, and one does not reach over both"
    return ""


def _by_lintel(
    lintel: tuple[int, int], one: Gap, other: Gap, beside: bool, above: bool, rules: Rules
) -> str:
    clear = rules.joint + rules.shortest
    if beside and _apart(lintel, other) < 0:
        return "the lintel has to bear on both sides"
    if above and _apart(lintel, other) < clear:
        return f"no piece of {text(rules.shortest)} fits beside the lintel"
    if one.last != other.last:
        return ""
    if other.lintel is not None:
        short = _between(lintel, other.lintel) < clear + rules.joint
        return f"no piece of {text(rules.shortest)} fits between the lintels" if short else ""
    bearing = other.low - rules.offset, other.high + rules.offset
    if _between(lintel, bearing) < rules.joint:
        return "the lintel takes the place of a block that has to bridge a gap"
    return ""


def _no_room(one: Gap, gaps: Sequence[Gap], rules: Rules) -> Clash | None:
    """Return the clash where two others leave no room for a whole block over one."""
    if one.lintel is not None or one.top:
        return None
    row, joint = one.last + 1, rules.joint
    # What the course over it is not built through.
    taken = [(gap.low, gap.high, gap) for gap in gaps if gap.first <= row <= gap.last]
    taken += [
        (gap.lintel[0] - joint, gap.lintel[1] + joint, gap)
        for gap in gaps
        if gap.lintel is not None and gap.last + 1 == row
    ]
    before = [(high, gap) for _, high, gap in taken if high <= one.low]
    after = [(low, gap) for low, _, gap in taken if low >= one.high]
    if not before or not after or min(after)[0] - max(before)[0] >= rules.length:
        return None
    other = max(min(after)[1], max(before)[1], key=lambda gap: gap.number)
    return Clash(one, other, f"no whole block fits over the {one.name}")


def _apart(stretch: tuple[int, int], gap: Gap) -> int:
    return _between(stretch, (gap.low, gap.high))


def _between(one: tuple[int, int], other: tuple[int, int]) -> int:
    """Return how far two stretches are apart; negative where they overlap."""
    return max(one[0], other[0]) - min(one[1], other[1])
