"""Worksheet functions on the placed layout: setting plan, courses and cut list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.fitting_rows import fitted
from basinbook.catalogue.model import Array, Column, Example, count, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.layout.model import LINTEL, WALLS, CutPlan, Layout, Piece
from basinbook.engine.layout.results.columns import holes
from basinbook.engine.layout.results.remarks import stand_shorter
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.units import one_system, tape_length, tape_mark

_CATEGORY = "Setting-out"
_SOURCE = "Placed layout with the least number of cuts (see docs/setting_out.md)"
_ROWS = count("rows", "Rows to fill; blank for as many as there are", 1, 5000, default=None)
_FIRST_ROW = count("first_row", "First row of the plan to show, from 1", 1, 100_000, default=1)
_EXAMPLE = (
    EXAMPLE_LABELS[:-1] + ',["Water depth"],["Freeboard"]]',
    "[[66],[46],[18],[4],[8],[2],[2]]",
)

_PLAN = (
    Column("Course", kinds.COUNT),
    Column("Number", kinds.COUNT),
    Column("Wall", kinds.TEXT),
    Column("Laid", kinds.TEXT),
    Column("Piece", kinds.TEXT),
    Column("Length", kinds.LENGTH),
    Column("x", kinds.LENGTH),
    Column("y", kinds.LENGTH),
    Column("z", kinds.LENGTH),
    Column("Note", kinds.TEXT),
)
_LENGTHS = {at for at, column in enumerate(_PLAN) if column.kind is kinds.LENGTH}
_PIECES = tuple(
    Column(column.name, kinds.TEXT) if column.kind is kinds.LENGTH else column for column in _PLAN
)
_COURSES = (
    Column("Course", kinds.COUNT),
    Column("Laid", kinds.TEXT),
    Column("Bed height", kinds.LENGTH),
    Column("Top", kinds.LENGTH),
    Column("Whole in basin walls", kinds.COUNT),
    Column("Cut in basin walls", kinds.COUNT),
    Column("Whole in second wall", kinds.COUNT),
    Column("Cut in second wall", kinds.COUNT),
    Column("In columns", kinds.COUNT),
)
_CUTS = (
    Column("Stock", kinds.TEXT),
    Column("Length", kinds.LENGTH),
    Column("Pieces", kinds.COUNT),
    Column("Cut from", kinds.TEXT),
    Column("Courses", kinds.TEXT),
)


@worksheet_function(
    category=_CATEGORY,
    summary="Every piece of every course with its place, in laying order; caps last",
    arguments=(
        LAYOUT,
        _FIRST_ROW,
        _ROWS,
    ),
    result=Array(_PLAN),
    source=_SOURCE,
    examples=(
        # Outside 82 x 62 in. The front is through: 82 = 4 x 18 + 10; the back is butted between
        # the sides: 66 = 3 x 18 + 12; each side is 54 = 3 x 18 from the front's inner face.
        Example(
            (*_EXAMPLE, "14", "2"),
            "1\t14\tback\tflat\tcut\t12\t26\t54\t0\t\n1\t15\tback\tflat\twhole\t18\t38\t54\t0\t",
        ),
    ),
    details="x to the right, y to the back from the outside front left corner, z up from the top "
    "of the base; each to the corner of the piece with the least x, y and z. A plan that needs "
    "more rows says so in the last one.",
)
def setting_plan(spec: BasinSpec, first_row: int, rows: int | None) -> list[Sequence[object]]:
    table = _plan_rows(spec)
    return fitted(table[first_row - 1 :], rows, len(_PLAN))


@worksheet_function(
    category=_CATEGORY,
    summary="Every piece of every course with its place, lengths as a crew reads them off the tape",
    arguments=(LAYOUT, _FIRST_ROW, _ROWS),
    result=Array(_PIECES),
    source=_SOURCE,
    examples=(
        Example(
            (*_EXAMPLE, "14", "2"),
            '1\t14\tback\tflat\tcut\t1\' 0"\t2\' 2"\t4\' 6"\t0"\t\n'
            '1\t15\tback\tflat\twhole\t1\' 6"\t3\' 2"\t4\' 6"\t0"\t',
        ),
    ),
    details="The rows of SETTINGPLAN, their lengths as TAPELENGTHS writes them.",
)
def piece_list(
    spec: BasinSpec, first_row: int, rows: int | None, system: str
) -> list[Sequence[object]]:
    # A few lengths stand there hundreds of times.
    on_tape = cache(lambda length: tape_mark(length, system))
    table = [
        [on_tape(cell) if at in _LENGTHS else cell for at, cell in enumerate(row)]
        for row in _plan_rows(spec)[first_row - 1 :]
    ]
    return fitted(table, rows, len(_PIECES))


@lru_cache(maxsize=64)
def _plan_rows(spec: BasinSpec) -> list[list[object]]:
    layout = solve(spec)
    laid = spec.laid_courses
    shorter = set(stand_shorter(layout))
    table = []
    for piece in layout.pieces:
        stands = "laid, stands shorter" if piece in shorter else "laid"
        table.append(_plan_row(piece, piece.course, stands if piece.course <= laid else ""))
    table += [_plan_row(piece, "caps") for piece in layout.caps]
    table += [_plan_row(piece, "column caps") for piece in layout.column_caps]
    return table


def _made(piece: Piece) -> str:
    if piece.stock == LINTEL:
        return LINTEL
    return "whole" if piece.whole else "cut"


def _plan_row(piece: Piece, course: int | str, laid: str = "") -> list[object]:
    notes = [laid] if laid else []
    if piece.corner:
        notes.append("corner")
    if piece.mitres:
        notes.append("mitred" if piece.mitres == 1 else "mitred at both ends")
    if piece.service:
        notes.append("loose, for service")
    elif piece.loose:
        column = piece.part.startswith("column")
        notes.append("leave loose for the pipe" if column else "over the opening, leave loose")
    if piece.hole:
        notes.append("cut round the pipe")
    box = piece.box
    return [
        course, piece.number, piece.part, piece.orientation, _made(piece),
        piece.length, box.x, box.y, box.z, ", ".join(notes),
    ]  # fmt: skip


@worksheet_function(
    category=_CATEGORY,
    summary="Blocks of each course: basin walls, second wall with returns, and columns",
    arguments=(LAYOUT, _ROWS),
    result=Array(_COURSES),
    source=_SOURCE,
    examples=(Example(_EXAMPLE, "1\tflat\t0\t4\t13\t2\t0\t0\t0"),),
    details="A course on edge is as high as the block is deep; walls that stay flat in it have "
    "several flat courses, all counted in its row.",
)
def course_table(spec: BasinSpec, rows: int | None) -> list[Sequence[object]]:
    layout = solve(spec)
    table: list[list[object]] = []
    for course in layout.courses:
        blocks = [p for p in course.pieces if p.stock == "block"]
        second = [p for p in blocks if p.part.endswith("return") or p.part == "second wall"]
        columns = [p for p in blocks if p.part.startswith("column")]
        basin = [p for p in blocks if p not in second and p not in columns]
        laid = " and ".join(sorted({p.orientation for p in blocks}))
        table.append(
            [course.number, laid, course.z, course.z + course.height, *_split(basin),
             *_split(second), len(columns)]
        )  # fmt: skip
    return fitted(table, rows, len(_COURSES))


def _split(pieces: Iterable[Piece]) -> tuple[int, int]:
    whole = [piece.whole for piece in pieces]
    return sum(whole), len(whole) - sum(whole)


@worksheet_function(
    category=_CATEGORY,
    summary="What crew and estimator should know of a layout, in words; else an empty text",
    arguments=(LAYOUT,),
    result=kinds.TEXT,
    source="Placed layout (see docs/setting_out.md)",
    examples=(Example(_EXAMPLE, ""),),
    details="Walls thinner below than above, short edges of mitred caps, cap joints over joints, "
    "what keeping them apart costs, the overhang found, the service cap, gaps moved off the "
    "centre, what a cap must bridge, and whether the least number of cuts is proved.",
)
def layout_notes(spec: BasinSpec, system: str) -> str:
    return one_system(" ".join(solve(spec).advice), system)


@worksheet_function(
    category=_CATEGORY,
    summary="Cut list: pieces of each length, what they are cut from, and where they go",
    arguments=(LAYOUT, _ROWS),
    result=Array(_CUTS),
    source="Placed layout, cut from the fewest whole blocks (see docs/setting_out.md)",
    examples=(Example(_EXAMPLE, "block\t12\t1\t1 x (12)\t1\nblock\t10\t1\t1 x (10)\t1"),),
    details="Mitred caps are measured on their long edge.",
)
def cut_list(spec: BasinSpec, rows: int | None, system: str) -> list[Sequence[object]]:
    return fitted(_cut_rows(spec, system), rows, len(_CUTS))


@lru_cache(maxsize=64)
def _cut_rows(spec: BasinSpec, system: str) -> list[list[object]]:
    layout = solve(spec)
    return (
        _stock_rows(layout.blocks, layout.to_lay, system)
        + _stock_rows(
            layout.cap_cuts,
            [*layout.caps, *(piece for piece in layout.column_caps if piece.stock == "cap")],
            system,
        )
        + _hole_rows(layout, system)
    )


def _hole_rows(layout: Layout, system: str) -> list[list[object]]:
    """Return a row for each kind of piece that is cut round the pipe, whole before that or not."""
    alike = Counter(
        (piece.stock, "caps" if piece.part in (*WALLS, "second wall") else piece.part, piece.length,
         piece.hole)
        for piece in holes(layout)
    )  # fmt: skip
    return [
        [stock, length, many, f"round the pipe, {tape_length(hole, system)} across", where]
        for (stock, where, length, hole), many in alike.items()
    ]


def _stock_rows(plan: CutPlan, placed: Iterable[Piece], system: str) -> list[list[object]]:
    cut = [piece for piece in placed if not piece.whole]
    patterns = Counter(bar.lengths for bar in plan.bars)
    table: list[list[object]] = []
    for length in sorted({piece.length for piece in cut}, reverse=True):
        same = [piece for piece in cut if piece.length == length]
        from_bars = [
            f"{many} x ({' + '.join(tape_length(part, system) for part in lengths)})"
            for lengths, many in sorted(patterns.items(), reverse=True)
            if length in lengths
        ]
        where = "caps" if plan.stock == "cap" else _numbers({piece.course for piece in same})
        table.append([plan.stock, length, len(same), ", ".join(from_bars), where])
    return table


def _numbers(found: set[int]) -> str:
    """Return course numbers as text: 1, 3-5."""
    parts: list[str] = []
    for number in sorted(found):
        if number - 1 in found and number + 1 in found:
            continue
        joined = number - 1 in found and number - 2 in found
        parts.append(f"-{number}" if joined else f", {number}")
    return "".join(parts).removeprefix(", ")
