"""Free columns, beside and behind the basin, off its walls and caps."""

from __future__ import annotations

from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.columns.column_caps import cap_overhang, cap_thickness
from basinbook.engine.layout.parts.pinwheel import Pinwheel, free_pinwheel
from basinbook.engine.layout.parts.second_wall import courses, space
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.ticks import at_least, text


def free_columns(job: Job, caps: CapSizes | None) -> tuple[list[Standing], int]:
    """Return the free columns, and how far they stand off the walls [ticks]."""
    spec = job.spec
    if not spec.columns:
        return [], 0
    wheel = free_pinwheel(job)
    clear, back = off_basin(job, caps, wheel, spec.column_courses), job.outside_width
    behind = clear
    if spec.second_wall == "yes":
        back += space(job) + job.depth
        behind = off_second_wall(job, caps, wheel, spec.column_courses)
        clear = max(clear, behind)
    corners = _corners(job, wheel, clear, back, behind)
    _check_apart(job, corners, wheel.side + 2 * cap_overhang(job, wheel))
    standing = [
        Standing(f"column {number}", "free", x, y, 0, spec.column_courses, wheel, False)
        for number, (x, y) in enumerate(corners, start=1)
    ]
    return standing, behind if spec.columns == 1 else max(clear, behind)


def off_basin(job: Job, caps: CapSizes | None, wheel: Pinwheel, rows: int) -> int:
    """Return how far a column on the base stands off the basin's walls [ticks]."""
    return _clear(job, caps, wheel, rows, job.top, caps.beyond if caps else 0)


def off_second_wall(job: Job, caps: CapSizes | None, wheel: Pinwheel, rows: int) -> int:
    """Return how far a column on the base stands off the second wall [ticks]."""
    top = job.row_bed(courses(job)) - job.block.joint
    return _clear(job, caps, wheel, rows, top, caps.row if caps else 0)


def _clear(
    job: Job, caps: CapSizes | None, wheel: Pinwheel, rows: int, top: int, reach: int
) -> int:
    """Return how far a column stands off a wall of that top, whose caps reach past its face.

    Neither may the column run into the wall's caps, nor the column's cap into wall or caps.
    """
    joint, over = job.block.joint, cap_overhang(job, wheel)
    column = rows * wheel.pitch
    cap_top = column + cap_thickness(job)
    need = [joint]
    if over and column < top:
        need.append(over)
    if caps is not None:
        bed = top + joint
        if column > bed:
            need.append(reach)
        if over and column < bed + caps.height and cap_top > bed:
            need.append(reach + over)
    return max(need)


def _corners(
    job: Job, wheel: Pinwheel, clear: int, back: int, clear_back: int
) -> list[tuple[int, int]]:
    """Return the least x and y of each column [ticks].

    clear: distance from the side walls; back: outer face of what the middle column stands
    behind, clear_back the distance from it.
    """
    side, long, wide = wheel.side, job.outside_length, job.outside_width
    left, right = -clear - side, long + clear
    beside = [(left, wide - side), (right, wide - side)]
    behind = [((long - side) // 2, back + clear_back)]
    return {
        0: [],
        1: behind,
        2: beside,
        3: beside + behind,
        4: [(left, 0), (right, 0), *beside],
    }[job.spec.columns]


def _check_apart(job: Job, corners: list[tuple[int, int]], side: int) -> None:
    """Refuse columns that would stand in each other; side: over their caps [ticks]."""
    gap = job.block.joint
    for index, (x, y) in enumerate(corners):
        for other_x, other_y in corners[:index]:
            if abs(x - other_x) < side + gap and abs(y - other_y) < side + gap:
                raise refuse(
                    "columns",
                    job.spec.columns,
                    "two columns would stand in each other; they need "
                    f"{text(side + gap)} from middle to middle: give fewer columns, smaller column "
                    f"caps, or an inside width of {at_least(2 * side + gap - 2 * job.depth)}",
                )
