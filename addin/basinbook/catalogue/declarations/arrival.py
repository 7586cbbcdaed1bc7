"""Worksheet functions on sizes measured on arrival, against those of the layout."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    length,
    worksheet_function,
)
from basinbook.engine import arrival as engine
from basinbook.engine import kinds
from basinbook.engine.arrival import Sizes
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.units import tape_length

_CATEGORY = "Order"
_SOURCE = "Sums over the placed pieces"


def _measured(name: str, help: str) -> Argument:
    return length(name, f"{help} as measured; blank: as in the layout", 0.01, 2.0, default=None)


_SIZES = Group(
    "sizes",
    (
        _measured("block_length", "Block's length"),
        _measured("block_height", "Block's height"),
        _measured("block_depth", "Block's depth"),
        _measured("cap_length", "Cap's length"),
        _measured("cap_depth", "Cap's depth"),
        _measured("cap_height", "Cap's thickness"),
    ),
    Sizes,
)
_JOB = (EXAMPLE_LABELS, "[[64],[46],[18],[4],[8]]")


@worksheet_function(
    category=_CATEGORY,
    summary="What pieces of other sizes than the layout's do to its inside size, height and caps",
    details="All is laid as drawn: whole pieces as they are, cut pieces at their drawn length, "
    "joints as drawn. An inside size is the row of pieces and joints along the inner face less the "
    "walls at its ends; Course is the one that differs most, Pieces are whole ones in that row.",
    arguments=(LAYOUT, _SIZES),
    result=Array(
        (
            Column("Size", kinds.TEXT),
            Column("Planned", kinds.LENGTH),
            Column("Least", kinds.LENGTH),
            Column("Most", kinds.LENGTH),
            Column("Difference", kinds.LENGTH),
            Column("Course", kinds.COUNT),
            Column("Pieces", kinds.COUNT),
            Column("Joints", kinds.COUNT),
        )
    ),
    source=_SOURCE,
    examples=(
        # By hand: rows along the inner face have 4 lengths and 1 depth, or 3 and 1; two depths go
        # off. 4 x 18.125 - 8.25 = 64.25, 3 x 18.125 - 8.25 = 46.125; 4 courses of 4 in.
        Example(
            (*_JOB, "18.125", "", "8.25"),
            "Inside length\t64\t64.25\t64.25\t0.25\t1\t5\t4\n"
            "Inside width\t46\t46.125\t46.125\t0.125\t1\t4\t3\n"
            "Wall height\t16\t16\t16\t0\t\t4\t3",
        ),
    ),
)
def arrival_sizes(spec: BasinSpec, sizes: Sizes) -> list[Sequence[object]]:
    return [
        (
            one.what, one.planned, one.least, one.most, one.difference, one.course or "",
            one.pieces, one.joints,
        )
        for one in engine.effects(solve(spec), sizes)
    ]  # fmt: skip


@worksheet_function(
    category=_CATEGORY,
    summary="Whether the layout should be set out anew with the sizes measured on arrival",
    details="Where the inside size stays within the tolerance, the difference is spread over the "
    "joints of the row.",
    arguments=(
        LAYOUT,
        length("tolerance", "Most that the inside size may differ", 0.0, 0.1),
        _SIZES,
    ),
    result=kinds.TEXT,
    source=_SOURCE,
    examples=(
        Example(
            (*_JOB, "0.25", "18.0625", "", "8.125"),
            "Within the tolerance: lay as drawn; the inside length grows by 1/8 in, spread over "
            "the 4 joints of a row where they can take it",
        ),
        Example(
            (*_JOB, "0.25", "18.25"),
            "Set out anew: the inside length grows by 1 in; type the measured sizes over the "
            "block's on the Materials sheet and recalculate before the first block is laid",
        ),
    ),
)
def arrival_advice(spec: BasinSpec, tolerance: float, sizes: Sizes, system: str) -> str:
    worst = engine.worst_inside(engine.effects(solve(spec), sizes))
    unit = "mm" if system == "metric" else "in"
    by = f"{tape_length(abs(worst.difference), system)} {unit}"
    moves = "grows" if worst.difference > 0 else "shrinks"
    what = f"the {worst.what.lower()} {moves} by {by}"
    if abs(worst.difference) > tolerance + engine.SAME:
        return (
            f"Set out anew: {what}; type the measured sizes over the block's on the Materials "
            "sheet and recalculate before the first block is laid"
        )
    if abs(worst.difference) <= engine.SAME:
        return "Inside size as drawn"
    return (
        f"Within the tolerance: lay as drawn; {what}, spread over the {worst.joints} joints of a "
        "row where they can take it"
    )
