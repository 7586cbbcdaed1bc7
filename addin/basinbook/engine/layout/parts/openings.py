"""Gaps in walls: the pipe opening in the back wall and the access gap in the second wall."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Span
from basinbook.engine.layout.checked_inputs import BACK, Job, refuse
from basinbook.engine.layout.ticks import text, ticks


class Gap(NamedTuple):
    """A gap from low to high along its wall [ticks], in courses first to last (from 0)."""

    low: int
    high: int
    first: int
    last: int


def pipe_gap(job: Job) -> Gap | None:
    """Return the pipe opening in the back wall, from its inside left corner; None for none."""
    spec, joint = job.spec, job.block.joint
    width = ticks(spec.opening_width)
    if not width:
        return None
    if spec.opening_course > len(job.levels):
        raise refuse(
            "opening_course", spec.opening_course, f"the basin has courses 1 to {len(job.levels)}"
        )
    rows = job.walls[BACK]
    row = next(i for i, one in enumerate(rows) if one.level == spec.opening_course - 1)
    check_bridge(job, "opening_width", width, row + 1 < len(rows))
    margin = joint + job.block.shortest
    low = gap_start(job, "opening_width", "opening_offset", width, job.length, margin, margin)
    return Gap(low, low + width, row, row)


def check_bridge(job: Job, name: str, width: int, bridged: bool) -> None:
    """Refuse a gap that a whole block can't bridge with the least joint offset as bearing."""
    most = job.block.length - 2 * job.block.offset
    if bridged and width > most:
        raise refuse(
            name,
            text(width),
            f"at most {text(most)}, so that one whole block bridges it with "
            f"{text(job.block.offset)} of bearing at both sides",
        )


def gap_start(
    job: Job, name: str, offset_name: str, width: int, wall: int, left: int, right: int
) -> int:
    """Return where a gap begins, checked to leave room for a piece at both sides."""
    if width > wall - left - right:
        raise refuse(
            name,
            text(width),
            f"at most {text(max(0, wall - left - right))}, so that a piece fits at both sides "
            f"of the gap in a wall of {text(wall)}",
        )
    offset: float | None = getattr(job.spec, offset_name)
    middle = wall // 2 if offset is None else ticks(offset)
    low = middle - width // 2
    least, most = left, wall - right - width
    if not least <= low <= most:
        raise refuse(
            offset_name,
            text(middle),
            f"from {text(least + width // 2)} to {text(most + width // 2)}, clear of the corners",
        )
    return low


def with_gap(lines: tuple[Line, ...], gap: Gap | None) -> tuple[Line, ...]:
    """Return the courses of a wall with a gap left in them and a block over it."""
    if gap is None:
        return lines
    found = list(lines)
    for row in range(gap.first, gap.last + 1):
        (span,) = lines[row].spans
        before = Span(span.start, gap.low, span.start_joint, False, span.first, 0)
        after = Span(gap.high, span.end, False, span.end_joint, 0, span.last)
        found[row] = lines[row]._replace(spans=(before, after))
    if gap.last + 1 < len(lines):
        found[gap.last + 1] = lines[gap.last + 1]._replace(bridges=((gap.low, gap.high),))
    return tuple(found)
