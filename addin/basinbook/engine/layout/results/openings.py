"""The openings of a layout in their places."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, WALL_NAMES, Job
from basinbook.engine.layout.model import LINTEL, Box, Course, Opening
from basinbook.engine.layout.parts.openings import SECOND_WALL, BasinGaps, Gap
from basinbook.engine.layout.parts.second_wall import courses, space
from basinbook.engine.layout.ticks import metres
from basinbook.engine.spec_openings import ACCESS, openings_of


def placed_openings(
    work: Job, walls: BasinGaps, behind: Iterable[Gap], numbered: Sequence[Course]
) -> tuple[Opening, ...]:
    """Return the openings as boxes, with the numbered courses that they reach through.

    walls: of the four walls; behind: of the second wall, the access gap among them, which comes
    last.
    """
    found = []
    for wall, gaps in enumerate(walls):
        rows = work.walls[wall]
        for gap in gaps:
            row, last = rows[gap.first], rows[gap.last]
            thick = min(rows[number].thickness for number in range(gap.first, gap.last + 1))
            out = work.depth - thick
            if wall not in (FRONT, LEFT):
                out = work.depth + (work.width if wall == BACK else work.length)
            along, high = work.depth + gap.low, last.bed + last.height - row.bed
            box = (along, out, row.bed, gap.high - gap.low, thick, high)
            if wall not in (FRONT, BACK):
                box = (out, along, row.bed, thick, gap.high - gap.low, high)
            found.append(
                _opening(work, WALL_NAMES[wall], gap, box, numbered, gap.last + 1 < len(rows))
            )
    for gap in behind:
        bed = work.row_bed(gap.first)
        height = work.row_bed(gap.last) + work.height - bed
        y, wide = work.outside_width + space(work), gap.high - gap.low
        bridged = gap.last + 1 < courses(work)
        box = (gap.low, y, bed, wide, work.depth, height)
        found.append(_opening(work, SECOND_WALL, gap, box, numbered, bridged))
    return tuple(sorted(found, key=lambda one: (one.number == ACCESS, one.number)))


def _opening(
    work: Job,
    part: str,
    gap: Gap,
    box: tuple[int, int, int, int, int, int],
    numbered: Sequence[Course],
    bridged: bool,
) -> Opening:
    sizes = Box(*(metres(size) for size in box))
    beds = [course.z for course in numbered]
    last = bisect_right(beds, sizes.z + sizes.dz - 1e-9)
    given = next((one for one in openings_of(work.spec) if one.number == gap.number), None)
    lintel = given.lintel or LINTEL if given and gap.lintel else ""
    return Opening(
        part=part,
        course_from=bisect_right(beds, sizes.z + 1e-9),
        course_to=last,
        box=sizes,
        number=gap.number,
        use=given.use if given else "",
        over=LINTEL if lintel else "block" if bridged else "",
        rows=gap.last - gap.first + 1,
        lintel=lintel,
        lintel_length=given.lintel_length if given and lintel else 0.0,
    )
