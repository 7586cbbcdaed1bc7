"""The take-off: every quantity of a layout that an estimate, an order or a check sheet shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import pairwise
from math import ceil
from typing import Final

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.engine.layout.model import (
    LINTEL,
    ON_EDGE,
    ON_END,
    WALLS,
    Box,
    CutPlan,
    Layout,
    Piece,
)
from basinbook.engine.layout.results.advice import NOT_PROVED
from basinbook.engine.layout.results.cap_joints import cap_joints
from basinbook.engine.layout.results.columns import columns_of, holes
from basinbook.engine.layout.results.heights import basin_top, top, wall_top
from basinbook.engine.layout.results.look_cost import asks_for_look
from basinbook.engine.layout.results.remarks import (
    short_mitred_caps,
    shortest_cap,
    shortest_mitred_edge,
)
from basinbook.engine.layout.results.strips import (
    narrow_courses,
    overhangs,
    thinner_course,
    thinnest,
)
from basinbook.engine.layout.results.ties import ties, turned_blocks
from basinbook.engine.layout.ticks import ticks
from basinbook.engine.spec_openings import MOST_OPENINGS, PIPE, opening_name
from basinbook.engine.squareness import diagonal


@dataclass(frozen=True)
class Item:
    """One quantity: its label on the sheets, kind, help text and how it follows from a layout.

    measure: None where it is not worked out.
    """

    label: str
    kind: Kind
    help: str
    measure: Callable[[Layout], float | None]


def outside_size(layout: Layout) -> tuple[float, float]:
    """Return the basin's outside length and width over the block walls [m]."""
    spec = layout.spec
    return (
        spec.inside_length + 2.0 * spec.block_depth,
        spec.inside_width + 2.0 * spec.block_depth,
    )


@lru_cache(maxsize=16)
def footprint_boxes(layout: Layout) -> tuple[Box, ...]:
    """Return what stands on the base: the basin as a filled rectangle, and all else as built.

    The strip between back wall and second wall belongs to it, since both stand on one base.
    """
    length, width = outside_size(layout)
    boxes = [Box(0.0, 0.0, 0.0, length, width, 0.0)]
    parts: dict[str, list[Box]] = {}
    on_walls = {column.part for column in columns_of(layout) if column.on_walls}
    for piece in layout.pieces:
        column = piece.part.startswith("column") and piece.part not in on_walls
        if column or piece.part == "second wall":
            parts.setdefault(piece.part, []).append(piece.box)
    for part, built in parts.items():
        around = _around(built)
        if part == "second wall":
            back = around.y + around.dy
            around = Box(around.x, width, 0.0, around.dx, back - width, 0.0)
        boxes.append(around)
    return tuple(boxes)


def _around(boxes: list[Box]) -> Box:
    """The rectangle round boxes in plan; the hollow core of a column is inside it."""
    left, front = min(b.x for b in boxes), min(b.y for b in boxes)
    right, back = max(b.x + b.dx for b in boxes), max(b.y + b.dy for b in boxes)
    return Box(left, front, 0.0, right - left, back - front, 0.0)


def union_area(boxes: Iterable[Box], margin: float = 0.0) -> float:
    """Return the plan area [m²] that boxes cover together, each grown by a margin [m] all round.

    Overlaps count once. Method: the plane is cut along all box edges and the covered cells
    are added up (exact for axis-parallel boxes). Source: geometry.
    """
    spans = [(b.x - margin, b.x + b.dx + margin, b.y - margin, b.y + b.dy + margin) for b in boxes]
    xs = sorted({edge for s in spans for edge in s[:2]})
    ys = sorted({edge for s in spans for edge in s[2:]})
    return sum(
        (x1 - x0) * (y1 - y0)
        for x0, x1 in pairwise(xs)
        for y0, y1 in pairwise(ys)
        if any(s[0] <= x0 and x1 <= s[1] and s[2] <= y0 and y1 <= s[3] for s in spans)
    )


def bed_length(layout: Layout) -> float:
    """Return the length [m] of all glued beds: block on block and cap on block, along the pieces.

    Equation: sum of the lengths of all pieces whose bed is glued. The first course lies on the base
    without adhesive, and loose pieces are not glued; both leaves of a doubled course count, and
    mitred caps along their middle, which is their area over their width. A turned block bears on
    its wall over what it takes along it; where it ties, its far end is glued to the other wall as
    well. Source: placed layout; the rest is common practice.
    """
    glued: list[Piece] = [p for p in layout.pieces if p.box.z > 1e-9]
    glued += [*layout.caps, *layout.column_caps]
    glued += ties(layout)
    return sum(p.middle_length for p in glued if not p.loose)


def with_breakage(plan: CutPlan) -> int:
    """Return the whole blocks or caps to buy: laid, cut up, and an allowance for breakage."""
    return ceil(plan.needed * (1.0 + plan.breakage) - 1e-9)


def _part(pieces: Iterable[Piece], prefix: str) -> int:
    return sum(1 for p in pieces if p.part.startswith(prefix))


def _overall(layout: Layout) -> tuple[float, float]:
    boxes = footprint_boxes(layout)
    return (
        max(b.x + b.dx for b in boxes) - min(b.x for b in boxes),
        max(b.y + b.dy for b in boxes) - min(b.y for b in boxes),
    )


def _second_wall(layout: Layout) -> int:
    return sum(1 for p in layout.pieces if p.part == "second wall" or p.part.endswith("return"))


def _column_side(layout: Layout) -> float:
    return max((column.plan.dx for column in columns_of(layout)), default=0.0)


def _column_height(layout: Layout) -> float:
    return top(p for p in layout.pieces if p.part.startswith("column"))


def _look_cuts(layout: Layout) -> int | None:
    """Cut pieces more than the same basin needs with its look left free."""
    if layout.fewest_cuts is None:
        return None if asks_for_look(layout.spec) else 0
    return layout.all_blocks.cut_pieces - layout.fewest_cuts


def _edge_length(layout: Layout) -> float:
    """Total length along the walls of pieces laid on edge: they hold less adhesive."""
    return sum(p.length for p in layout.pieces if p.orientation in (ON_EDGE, ON_END))


def _cap_overhang(layout: Layout) -> float:
    found = overhangs(layout)
    return found["front"].outer if found else 0.0


def _courses_needed(layout: Layout) -> int:
    """The fewest courses, on edge where they are, whose top holds water depth and freeboard."""
    spec = layout.spec
    need = ticks(spec.water_depth) + ticks(spec.freeboard)
    return next(c.number for c in layout.courses if ticks(c.z + c.height) >= need)


def _access_height(layout: Layout) -> float:
    return layout.access_gap.box.dz if layout.access_gap else 0.0


def _lintels(layout: Layout, number: int) -> int:
    """The lintels over an opening: one or none."""
    return sum(one.number == number and one.over == LINTEL for one in layout.openings)


_DEFINED: tuple[Item, ...] = (
    Item("Courses", kinds.COUNT, "Courses of the basin walls",
         lambda x: max(p.course for p in x.pieces if p.part in WALLS)),
    Item("Wall height", kinds.LENGTH, "Base to top of block, caps not counted", wall_top),
    Item("Wall height with caps", kinds.LENGTH, "Base to top of caps",
         basin_top),
    Item("Inside length", kinds.LENGTH, "Clear distance between the side walls",
         lambda x: x.spec.inside_length),
    Item("Inside width", kinds.LENGTH, "Clear distance between front and back walls",
         lambda x: x.spec.inside_width),
    Item("Inside diagonal", kinds.LENGTH, "Both inside diagonals when square",
         lambda x: diagonal(x.spec.inside_length, x.spec.inside_width)),
    Item("Outside length", kinds.LENGTH, "Over the side walls", lambda x: outside_size(x)[0]),
    Item("Outside width", kinds.LENGTH, "Over front and back walls", lambda x: outside_size(x)[1]),
    Item("Outside diagonal", kinds.LENGTH, "Both outside diagonals when square",
         lambda x: diagonal(*outside_size(x))),
    Item("Overall length", kinds.LENGTH, "Left to right over all that stands on the base",
         lambda x: _overall(x)[0]),
    Item("Overall width", kinds.LENGTH, "Front to back over all that stands on the base",
         lambda x: _overall(x)[1]),
    Item("Footprint area", kinds.AREA, "Plan area of all that stands on the base",
         lambda x: union_area(footprint_boxes(x))),
    Item("Wall run", kinds.RUN, "Centre-line length of the basin walls",
         lambda x: 2.0 * (sum(outside_size(x)) - 2.0 * x.spec.block_depth)),
    Item("Whole blocks", kinds.COUNT, "Blocks laid whole", lambda x: x.all_blocks.whole),
    Item("Cut pieces", kinds.COUNT, "Pieces cut from blocks", lambda x: x.all_blocks.cut_pieces),
    Item("Saw cuts", kinds.COUNT, "Cuts to make in blocks", lambda x: x.all_blocks.saw_cuts),
    Item("Different cut lengths", kinds.COUNT, "Saw settings for block",
         lambda x: x.all_blocks.different_lengths),
    Item("Blocks cut up", kinds.COUNT, "Whole blocks that the cut pieces come from",
         lambda x: len(x.all_blocks.bars)),
    Item("Blocks needed", kinds.COUNT, "Laid whole and cut up, before breakage",
         lambda x: x.all_blocks.needed),
    Item("Blocks to buy", kinds.COUNT, "Blocks needed and the breakage allowance",
         lambda x: with_breakage(x.all_blocks)),
    Item("Pieces laid", kinds.COUNT, "Whole blocks, cut pieces and lintels in walls and columns",
         lambda x: len(x.pieces)),
    Item("Column pieces", kinds.COUNT, "Of these, in columns",
         lambda x: _part(x.pieces, "column")),
    Item("Second wall pieces", kinds.COUNT, "Of these, in the second wall and its returns",
         _second_wall),
    Item("Column side", kinds.LENGTH, "Side of the widest square column", _column_side),
    Item("Column height", kinds.LENGTH, "Base to top of the highest column's block",
         _column_height),
    Item("Caps needed", kinds.COUNT, "Caps laid whole and cut up, before breakage",
         lambda x: x.cap_cuts.needed),
    Item("Caps to buy", kinds.COUNT, "Caps needed and the breakage allowance",
         lambda x: with_breakage(x.cap_cuts)),
    Item("Cap cut pieces", kinds.COUNT, "Pieces cut from caps",
         lambda x: x.cap_cuts.cut_pieces),
    Item("Cap saw cuts", kinds.COUNT, "Cuts to make in caps", lambda x: x.cap_cuts.saw_cuts),
    Item("Cap overhang", kinds.LENGTH, "Past the outer face of the front wall's top course",
         _cap_overhang),
    Item("Column caps", kinds.COUNT, "Column caps of one piece",
         lambda x: sum(p.stock == "column cap" for p in x.column_caps)),
    Item("Bed length", kinds.RUN, "Glued beds along the pieces, caps included", bed_length),
    Item("On-edge length", kinds.RUN, "Length of wall laid on edge", _edge_length),
    Item("Wall thickness", kinds.LENGTH, "Of the thinnest course of the basin walls", thinnest),
    Item("Thinnest course under a thicker one", kinds.LENGTH,
         "Its thickness; 0 where no course lies under a thicker one",
         lambda x: min((course.thickness for course in narrow_courses(x)), default=0.0)),
    Item("Courses needed for the water", kinds.COUNT,
         "Fewest courses that hold water depth and freeboard", _courses_needed),
    Item("Shortest cap edge", kinds.LENGTH,
         "Least short edge of mitred caps; 0 where none is mitred", shortest_mitred_edge),
    Item("Shortest cap piece allowed", kinds.LENGTH,
         "The shortest piece, or a quarter cap where none is given; 0 without caps",
         lambda x: shortest_cap(x.spec)),
    Item("Cap joints", kinds.COUNT, "Joints square across the wall; mitres are not counted",
         lambda x: cap_joints(x).total),
    Item("Cap joints over joints", kinds.COUNT,
         "Of these, over a joint of the course below, to 1/4 in (6 mm)",
         lambda x: cap_joints(x).over),
    Item("Access gap height", kinds.LENGTH, "Of the gap in the second wall; 0 for none",
         _access_height),
    Item("Layouts not proved", kinds.COUNT,
         "Notes of a layout or cut plan that is not proved to have the fewest cuts or blocks",
         lambda x: sum(1 for note in x.advice if note.startswith(NOT_PROVED))),
    Item("Mitred caps under the shortest piece", kinds.COUNT,
         "Whose short edge is shorter than the shortest cap piece allowed", short_mitred_caps),
    Item("Second wall height", kinds.LENGTH, "Base to top of its block; 0 for none",
         lambda x: top(p for p in x.pieces if p.part == "second wall")),
    Item("Thinnest course beside a thicker one", kinds.LENGTH,
         "Of courses of one wall; 0 where all are of one thickness", thinner_course),
    Item("Cuts for the look", kinds.COUNT,
         "More than with rhythm, bond and first pieces left free; blank: not worked out, as for "
         "another aim than cuts or where courses stand",
         _look_cuts),
    *(
        Item(f"Lintel over {opening_name(number)}", kinds.COUNT,
             "Laid in the course over it; 0 where a block bridges it, or there is none",
             partial(_lintels, number=number))
        for number in range(PIPE, MOST_OPENINGS + 1)
    ),
    Item("Service cap length", kinds.LENGTH,
         "Middle of the cap that lies loose for service; 0 for none",
         lambda x: sum(cap.middle_length for cap in x.caps if cap.service)),
    Item("Pieces cut round the pipe", kinds.COUNT, "Caps and blocks cut round the pipe in a column",
         lambda x: len(holes(x))),
    Item("Columns on walls", kinds.COUNT, "Columns that stand on the basin's walls",
         lambda x: sum(column.on_walls for column in columns_of(x))),
    Item("Turned blocks", kinds.COUNT, "Whole blocks laid across back wall or second wall",
         lambda x: len(turned_blocks(x))),
    Item("Ties of the second wall", kinds.COUNT,
         "Turned blocks that reach from back wall to second wall",
         lambda x: len(ties(x))),
    Item("Blocks still needed", kinds.COUNT,
         "Of the blocks needed, for courses that do not stand yet and pieces that broke",
         lambda x: x.blocks.needed),
)  # fmt: skip

ITEMS: Final[dict[str, Item]] = {item.label.lower(): item for item in _DEFINED}


def item(label: str) -> Item:
    """Return the item of that label, in any case; raises InputError listing the labels."""
    found = ITEMS.get(label.strip().lower())
    if found is None:
        names = ", ".join(i.label for i in ITEMS.values())
        raise InputError("item", label, f"allowed are {names}")
    return found


def base_area(layout: Layout, margin: float) -> float:
    """Return the area [m²] of the tamped base: all that stands on it, and a margin [m] all round.

    Equation: of one rectangle (L + 2m) · (W + 2m); overlaps count once. Source: geometry; base
    under the whole footprint and a margin is common practice.
    """
    return union_area(footprint_boxes(layout), margin)
