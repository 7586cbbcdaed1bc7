"""Square columns of whole blocks, round a core or as two blocks a course."""

from __future__ import annotations

from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.model import FLAT
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.ticks import text, ticks


def column_side(job: Job) -> int:
    """Return the side of a column [ticks]: block length plus depth round a core, else length."""
    block, depth = job.block, job.depth
    if job.spec.column_core == "yes":
        return block.length + depth + block.joint
    if block.length != 2 * depth + block.joint:
        raise refuse(
            "column_core",
            "no",
            "two blocks make a square only where the block is twice as long as deep and a joint: "
            f"{text(2 * depth + block.joint)} for this depth; or give yes",
        )
    return block.length


def column_corners(job: Job, clear: int, back: int, clear_back: int) -> list[tuple[int, int]]:
    """Return the least x and y of each column [ticks].

    clear: distance from the side walls; back: outer face of what the middle column stands
    behind, clear_back the distance from it.
    """
    side, long, wide = column_side(job), job.outside_length, job.outside_width
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


def column_blocks(job: Job) -> int:
    """Return the blocks in a course of a column."""
    return 4 if job.spec.column_core == "yes" else 2


def column_pieces(job: Job, number: int, x: int, y: int) -> list[Placed]:
    """Return the blocks of one column; the direction alternates from course to course."""
    side, part, high, long = column_side(job), f"column {number}", job.height, job.block.length
    turns = (_boxes(job, side, False), _boxes(job, side, True))
    found = []
    for course in range(job.spec.column_courses):
        bed = job.row_bed(course)
        for dx, dy, wide, deep in turns[course % 2]:
            box = (x + dx, y + dy, bed, wide, deep, high)
            found.append(Placed(part, "block", FLAT, *box, long, True))
    return found


def _boxes(job: Job, side: int, turned: bool) -> list[tuple[int, int, int, int]]:
    long, deep = job.block.length, job.depth
    if job.spec.column_core == "no":
        boxes = [(0, 0, long, deep), (0, side - deep, long, deep)]
        return [(y, x, dy, dx) for x, y, dx, dy in boxes] if turned else boxes
    boxes = [
        (0, 0, long, deep),
        (side - deep, 0, deep, long),
        (side - long, side - deep, long, deep),
        (0, side - long, deep, long),
    ]
    return [(side - x - dx, y, dx, dy) for x, y, dx, dy in boxes] if turned else boxes


def column_overhang(job: Job) -> int:
    """Return how far a column's cap reaches past each face [ticks]; 0 where there is none."""
    spec = job.spec
    cap, side = ticks(spec.column_cap_side), column_side(job)
    if not cap:
        return 0
    if cap < side:
        raise refuse("column_cap_side", text(cap), f"at least the column's side, {text(side)}")
    if not ticks(spec.column_cap_height):
        raise refuse("column_cap_height", 0, "give the column caps' height, or no cap side")
    return (cap - side) // 2


def check_apart(job: Job, corners: list[tuple[int, int]], over: int) -> None:
    """Refuse columns that would stand in each other, their caps among them."""
    side, gap = column_side(job) + 2 * over, job.block.joint
    for index, (x, y) in enumerate(corners):
        for other_x, other_y in corners[:index]:
            if abs(x - other_x) < side + gap and abs(y - other_y) < side + gap:
                raise refuse(
                    "columns",
                    job.spec.columns,
                    "two columns would stand in each other; they need "
                    f"{text(side + gap)} from middle to middle: give fewer columns, smaller column "
                    f"caps, or an inside width of at least {text(2 * side + gap - 2 * job.depth)}",
                )


def column_caps(job: Job, corners: list[tuple[int, int]]) -> list[Placed]:
    """Return one cap per column, its middle over the column's."""
    over, cap = column_overhang(job), ticks(job.spec.column_cap_side)
    top, thick = job.row_bed(job.spec.column_courses), ticks(job.spec.column_cap_height)
    return [
        Placed(
            f"column {number}", "column cap", FLAT, x - over, y - over, top, cap, cap, thick,
            cap, True,
        )
        for number, (x, y) in enumerate(corners, start=1)
    ]  # fmt: skip
