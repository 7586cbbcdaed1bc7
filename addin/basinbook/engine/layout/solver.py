"""The layout of a basin: every block, cut piece and cap in its place, with the fewest cuts."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import lru_cache

from basinbook.engine.layout.caps import CapSizes, cap_sizes, ring_pieces, row_pieces
from basinbook.engine.layout.columns import column_caps, column_corners, column_pieces, column_side
from basinbook.engine.layout.cutting import fewest_stock, saw_cuts
from basinbook.engine.layout.model import Box, Course, CutPlan, Layout, Piece, Stock
from basinbook.engine.layout.numbering import in_laying_order
from basinbook.engine.layout.place import Placed, wall_pieces
from basinbook.engine.layout.rules import Job, job, refuse
from basinbook.engine.layout.second_wall import (
    courses,
    second_wall_pieces,
    solve_second_wall,
    space,
)
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.layout.walls import solve_walls
from basinbook.engine.spec import BasinSpec


@lru_cache(maxsize=512)
def solve(spec: BasinSpec) -> Layout:
    """Return the layout of a basin with the least possible number of cut blocks.

    spec: dimensions [m] and choices. Corners interlock and alternate from course to course,
    joints keep their least offset from those of the course below, no piece is shorter than the
    shortest allowed. Ties go to fewest different lengths, then to symmetry.
    Raises InputError naming the input to change. Rules, their sources and proofs:
    ``docs/setting_out.md``.
    """
    work = job(spec)
    caps = cap_sizes(work)
    placed = _walls(work)
    placed += _second_wall(work)
    corners = _column_corners(work, caps)
    for number, (x, y) in enumerate(corners, start=1):
        placed += column_pieces(work, number, x, y)
    laid = _caps(work, caps)
    return Layout(
        spec=spec,
        courses=_courses(work, placed),
        caps=_pieces(work, laid, len(work.levels) + 1),
        column_caps=_column_caps(work, corners),
        openings=(),
        blocks=_cut_plan("block", placed, work.block.length, spec),
        cap_cuts=_cut_plan("cap", laid, caps.rules.length if caps else 0, spec),
        advice=(),
    )


def _walls(work: Job) -> list[Placed]:
    walls = solve_walls(work)
    if walls is None:
        raise refuse(
            "inside_length",
            text(work.length),
            "no bond without a piece shorter than the shortest exists for this size",
        )
    return [
        piece for wall, chain in enumerate(walls.chains) for piece in wall_pieces(work, wall, chain)
    ]


def _second_wall(work: Job) -> list[Placed]:
    if work.spec.second_wall == "no":
        return []
    wall = solve_second_wall(work)
    if wall is None:
        raise refuse("pipe_space", text(space(work)), "no bond exists for this space")
    return second_wall_pieces(work, wall)


def _column_corners(work: Job, caps: CapSizes | None) -> list[tuple[int, int]]:
    spec = work.spec
    if not spec.columns:
        return []
    if not spec.column_courses:
        raise refuse("column_courses", 0, "give at least 1, or no columns")
    top = work.row_bed(spec.column_courses)
    joint = work.block.joint
    clear = caps.outer if caps and top > work.top + joint else joint
    back, behind = work.outside_width, clear
    if spec.second_wall == "yes":
        back += space(work) + work.depth
        behind = caps.outer if caps and top > work.row_bed(courses(work)) else joint
    return column_corners(work, max(clear, joint), back, max(behind, joint))


def _column_caps(work: Job, corners: list[tuple[int, int]]) -> tuple[Piece, ...]:
    side, thick = ticks(work.spec.column_cap_side), ticks(work.spec.column_cap_height)
    if not side or not corners:
        return ()
    if side < column_side(work):
        raise refuse(
            "column_cap_side", text(side), f"at least the column's side, {text(column_side(work))}"
        )
    if not thick:
        raise refuse("column_cap_height", 0, "give the column caps' height, or no cap side")
    return _pieces(work, column_caps(work, corners, side, thick), work.spec.column_courses + 1)


def _caps(work: Job, caps: CapSizes | None) -> list[Placed]:
    if caps is None:
        return []
    placed = ring_pieces(work, caps)
    if work.spec.second_wall == "yes":
        placed += row_pieces(work, caps)
    return placed


def _courses(work: Job, placed: Sequence[Placed]) -> tuple[Course, ...]:
    """Return the pieces by numbered course; the count goes on above the basin at flat height."""
    beds = [level.bed for level in work.levels]
    heights = [level.height for level in work.levels]
    pitch = work.height + work.block.joint
    highest = max(piece.z for piece in placed)
    while beds[-1] + heights[-1] + work.block.joint <= highest:
        beds.append(beds[-1] + heights[-1] + work.block.joint)
        heights.append(pitch - work.block.joint)
    rows: list[list[Placed]] = [[] for _ in beds]
    for piece in placed:
        rows[bisect_right(beds, piece.z) - 1].append(piece)
    return tuple(
        Course(number, metres(bed), metres(height), _pieces(work, row, number))
        for number, (bed, height, row) in enumerate(zip(beds, heights, rows, strict=True), start=1)
    )


def _pieces(work: Job, placed: Iterable[Placed], course: int) -> tuple[Piece, ...]:
    return tuple(
        Piece(
            number=number,
            course=course,
            part=item.part,
            stock=item.stock,
            orientation="on edge" if item.on_edge else "flat",
            box=Box(*(metres(size) for size in item[3:9])),
            length=metres(item.length),
            whole=item.whole,
            corner=item.corner,
            mitres=item.mitres,
            loose=item.loose,
        )
        for number, item in enumerate(in_laying_order(placed, work.outside_length), start=1)
    )


def _cut_plan(stock: str, placed: Sequence[Placed], length: int, spec: BasinSpec) -> CutPlan:
    kerf = ticks(spec.kerf)
    pieces = [item.length for item in placed if not item.whole]
    bars = fewest_stock(pieces, length, kerf) if pieces else ()
    return CutPlan(
        stock=stock,
        whole=sum(item.whole for item in placed),
        cut_pieces=len(pieces),
        saw_cuts=saw_cuts(bars, length, kerf) if bars else 0,
        different_lengths=len(set(pieces)),
        bars=tuple(
            Stock(
                number,
                stock,
                tuple(metres(size) for size in bar),
                metres(max(0, length - sum(bar) - len(bar) * kerf)),
            )
            for number, bar in enumerate(bars, start=1)
        ),
        breakage=spec.breakage,
    )
