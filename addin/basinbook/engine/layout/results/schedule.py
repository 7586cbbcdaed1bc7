"""The setting plan as a crew reads it: one line for each wall of each course."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from basinbook.engine.layout.model import (
    FLAT,
    LINTEL,
    ON_EDGE,
    TURNED,
    TURNED_ON_EDGE,
    Box,
    Layout,
    Piece,
)
from basinbook.engine.layout.ticks import text, ticks

# A joint is at most 30 mm (see engine/spec.py); what is wider is a gap.
_LEAST_GAP = 0.0305
_SAME = 1e-6
# Turned blocks stand in one run with those that lie along the wall.
_ALONG: Final = {TURNED: FLAT, TURNED_ON_EDGE: ON_EDGE}

OTHERS: Final = -1
"""Stands for how many in a row, where blocks on edge stand between flat ones, or these between."""


class Group(NamedTuple):
    """Like neighbours in a run: how many, 0 for a gap left open, their length [m], and how laid."""

    many: int
    length: float
    whole: bool = False
    turned: bool = False


@dataclass(frozen=True)
class Run:
    """The pieces of one wall in one course, from left to right or front to back.

    start: x of the first piece where the wall runs left to right, else y [m]; z: height of the
    bed [m]; lengths: like neighbours in order; numbers: piece numbers in the same order as the
    pieces stand.
    """

    course: int
    part: str
    orientation: str
    start: float
    z: float
    total: float
    whole: int
    cut: int
    lengths: tuple[Group, ...]
    numbers: tuple[int, ...]
    note: str


@lru_cache(maxsize=16)
def runs(layout: Layout) -> tuple[Run, ...]:
    """Return the runs of all courses from the base up, then those of the caps.

    Pieces of one wall, bed height, orientation and row (doubled on-edge blocks stand in two rows)
    make one run; so do columns that are alike in a course, whose lengths then stand for each.
    """
    found: list[Run] = []
    columns = [piece for piece in layout.pieces if piece.part.startswith("column")]
    for course in layout.courses:
        found += _course_runs(course.pieces, layout.spec.joint, columns)
    found += _course_runs(layout.caps, layout.spec.joint, columns)
    found += _course_runs(layout.column_caps, layout.spec.joint, columns)
    return tuple(found)


def _across(piece: Piece) -> bool:
    """Whether the piece's wall runs left to right."""
    if piece.part.startswith("column"):
        return piece.box.dx >= piece.box.dy
    return piece.part in ("front", "back", "second wall")


def _row_key(piece: Piece) -> tuple[str, str, float, float]:
    row = piece.in_wall.y if _across(piece) else piece.in_wall.x
    column = piece.part.startswith("column")
    way = _ALONG.get(piece.orientation, piece.orientation)
    return (piece.part, way, round(piece.box.z, 6), 0.0 if column else round(row, 6))


def _course_runs(pieces: Iterable[Piece], joint: float, columns: Sequence[Piece]) -> list[Run]:
    rows: dict[tuple[str, str, float, float], list[Piece]] = {}
    for piece in pieces:
        rows.setdefault(_row_key(piece), []).append(piece)
    return _alike(
        [
            _run(row, _others(row, rows), [_leaf(row, rows), *_in_gaps(row, columns)], joint)
            for row in rows.values()
        ]
    )


def _in_gaps(row: list[Piece], columns: Sequence[Piece]) -> list[str]:
    """Return what stands in gaps of a row: columns that are part of the wall."""
    one = row[0].box
    if row[0].part.startswith("column"):
        return []
    across = _across(row[0])
    axis, along = (1, 0) if across else (0, 1)
    start = min(piece.box[along] for piece in row)
    end = max(piece.box[along] + piece.box[along + 3] for piece in row)
    found = {
        piece.part
        for piece in columns
        if _overlap(piece.box, one, 2)
        and _overlap(piece.box, one, axis)
        and start < piece.box[along] + piece.box[along + 3] / 2.0 < end
    }
    return [f"{part} stands in the gap" for part in sorted(found)]


def _overlap(one: Box, other: Box, axis: int) -> bool:
    """Return whether two boxes have more than a point of an axis in common."""
    low = max(one[axis], other[axis])
    return min(one[axis] + one[axis + 3], other[axis] + other[axis + 3]) - low > _SAME


def _others(
    row: list[Piece], rows: dict[tuple[str, str, float, float], list[Piece]]
) -> list[Piece]:
    """Return the blocks on edge between the flat ones of a row, or the flat ones between those."""
    one = row[0]
    low, high = one.box.z, one.box.z + one.box.dz
    return [
        piece
        for (part, way, *_), other in rows.items()
        for piece in other
        if part == one.part
        and {way, one.orientation} == {FLAT, ON_EDGE}
        and piece.stock == one.stock
        and piece.box.z < high - _SAME
        and low + _SAME < piece.box.z + piece.box.dz
    ]


def _leaf(row: list[Piece], rows: dict[tuple[str, str, float, float], list[Piece]]) -> str:
    """Return which leaf of a doubled wall a row is; "" where there is but one."""
    part, way, z, place = _row_key(row[0])
    places = {key[3] for key in rows if key[:3] == (part, way, z)}
    if way != ON_EDGE or len(places) == 1:
        return ""
    inner = max(places) if part in ("front", "left") else min(places)
    return "inner leaf" if place == inner else "outer leaf"


def _alike(found: list[Run]) -> list[Run]:
    """Put columns that are built alike in a course into one run; the first one's place stands."""
    merged: dict[object, Run] = {}
    for run in found:
        column = run.part.rpartition("column ")[2] if "column " in run.part else ""
        if not column:
            merged[run.part, run.orientation, run.z, run.start, len(merged)] = run
            continue
        key = (run.part.replace(column, ""), run.orientation, run.z, run.lengths, run.note)
        if key not in merged:
            merged[key] = run
            continue
        first = merged[key]
        merged[key] = replace(
            first,
            part=f"{first.part.replace('column ', 'columns ')}, {column}",
            total=first.total + run.total,
            whole=first.whole + run.whole,
            cut=first.cut + run.cut,
            numbers=first.numbers + run.numbers,
        )
    return list(merged.values())


def _run(pieces: list[Piece], others: list[Piece], told: Sequence[str], joint: float) -> Run:
    across = _across(pieces[0])
    ordered = sorted(pieces, key=lambda p: p.box.x if across else p.box.y)
    first = ordered[0]
    notes = [note for note in told if note]
    wide = max(_joints(ordered, across), default=0.0)
    if wide > joint + _SAME:
        notes.append(f"joints up to {text(ticks(wide))} wide, behind the liner")
    if any(p.mitres for p in ordered):
        notes.append("mitred ends")
    lintels = ", ".join(str(p.number) for p in ordered if p.stock == LINTEL)
    if lintels:
        notes.append(f"lintel: {lintels}")
    loose = ", ".join(str(p.number) for p in ordered if p.loose and not p.service)
    if loose:
        notes.append(f"leave {loose} loose")
    notes += [f"leave {p.number} loose, for service" for p in ordered if p.service]
    if any(p.hole for p in ordered):
        cut = ", ".join(str(p.number) for p in ordered if p.hole)
        notes.append(f"cut {cut} round the pipe")
    return Run(
        course=first.course,
        part=first.part if first.stock in ("block", LINTEL) else f"cap, {first.part}",
        orientation=_ALONG.get(first.orientation, first.orientation),
        start=first.box.x if across else first.box.y,
        z=first.box.z,
        total=sum(p.length for p in ordered),
        whole=sum(p.whole and p.stock != LINTEL for p in ordered),
        cut=sum(not p.whole for p in ordered),
        lengths=_lengths(ordered, others, across),
        numbers=tuple(p.number for p in ordered),
        note="; ".join(notes),
    )


def _joints(ordered: list[Piece], across: bool) -> list[float]:
    """Return the widths of the joints between the blocks on edge of a row [m]."""
    axis = 0 if across else 1
    found = [
        two.box[axis] - one.box[axis] - one.box[axis + 3]
        for one, two in pairwise(ordered)
        if one.orientation == ON_EDGE
    ]
    return [width for width in found if width <= _LEAST_GAP]


def _lengths(ordered: list[Piece], others: list[Piece], across: bool) -> tuple[Group, ...]:
    """Put like neighbours together; a gap between two pieces stands between them."""
    axis = 0 if across else 1
    found: list[Group] = []
    end = None
    for piece in ordered:
        start = piece.box.x if across else piece.box.y
        if end is not None and start - end > _LEAST_GAP and not piece.part.startswith("column"):
            between = [
                other.length
                for other in others
                if end < other.box[axis] + other.box[axis + 3] / 2 < start
            ]
            long = between[0] if between and piece.orientation != ON_EDGE else start - end
            found.append(Group(OTHERS if between else 0, long))
        end = start + (piece.box.dx if across else piece.box.dy)
        this = Group(1, piece.length, piece.whole, piece.turned)
        like = found and found[-1].many > 0 and found[-1][1:] == this[1:]
        if like:
            this = this._replace(many=found.pop().many + 1)
        found.append(this)
    return tuple(found)
