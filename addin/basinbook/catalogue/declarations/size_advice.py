"""Worksheet function on inside sizes that the block suits."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import fitted
from basinbook.catalogue.model import (
    Array,
    Column,
    Example,
    Group,
    count,
    length,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.size_advice import Liner, ModuleSize, module_sizes
from basinbook.engine.spec import BasinSpec

_COLUMNS = (
    Column("Inside length", kinds.LENGTH),
    Column("Inside width", kinds.LENGTH),
    Column("Cuts", kinds.COUNT),
    Column("Blocks to buy", kinds.COUNT),
    Column("Water", kinds.LIQUID),
    Column("Cost of blocks", kinds.RATIO),
    Column("Liner", kinds.TEXT),
)


def _liner(
    liner_length: float | None, liner_width: float | None, liner_tolerance: float
) -> Liner | None:
    if liner_length is not None and liner_width is not None:
        return Liner(liner_length, liner_width, liner_tolerance)
    if liner_length is None and liner_width is None:
        return None
    missing = "liner_width" if liner_width is None else "liner_length"
    raise InputError(missing, None, "give both the liner's length and its width, or neither")


_LINER = Group(
    "liner",
    (
        length("liner_length", "Nominal inside length of a preformed liner; blank for none",
               0.05, 30.0, default=None),
        length("liner_width", "Nominal inside width of a preformed liner; blank for none",
               0.05, 30.0, default=None),
        length("liner_tolerance", "Largest difference that the liner takes", 0.0, 0.5,
               default=0.0),
    ),
    _liner,
)  # fmt: skip


@worksheet_function(
    name="MODULESIZES",
    category="Setting-out",
    summary="Inside sizes near the wanted one that need no or few cuts, best first",
    arguments=(
        LAYOUT,
        length("span", "How far each size may differ, up and down; blank for one block length",
               0.0, 3.0, default=None),
        count("count", "Sizes to list at most; 10 if blank", 1, 200, default=10),
        ratio("block_price", "Price of a block, in your currency", 0.0, 1e6, default=0.0),
        count("rows", "Rows to fill; blank for as many as there are", 1, 200, default=None),
        _LINER,
    ),
    result=Array(_COLUMNS),
    source="Exact layout of each size; ranked by cuts, then by distance from the wanted size",
    examples=(
        # By hand: 64 x 40 in is 80 x 56 in outside; each course has runs of 72 and 48 in twice,
        # 20 blocks of 12 in; 4 courses reach 14 in; 80 blocks and 5 % are 84, 441 at 5.25 each.
        Example(
            (
                '[["Inside length"],["Inside width"],["Block length"],["Block height"],'
                '["Block depth"]]',
                "[[61],[37.5],[12],[4],[8]]",
                "12",
                "3",
                "5.25",
            ),
            "64\t40\t0\t84\t132.987\t441\t\n"
            "52\t40\t0\t76\t108.052\t399\t\n"
            "64\t28\t0\t76\t93.091\t399\t",
        ),
        Example(
            (
                '[["Inside length"],["Inside width"],["Block length"],["Block height"],'
                '["Block depth"]]',
                "[[1500],[900],[400],[100],[200]]",
                "",
                "2",
                "",
                "3",
                "1600",
                "1000",
                "5",
            ),
            "1,400\t800\t0\t55\t341.376\t0\tlength too small for the liner; "
            "width too small for the liner\n"
            "1,400\t1,000\t0\t59\t426.72\t0\tlength too small for the liner\n"
            "\t\t\t\t\t\t",
            units="metric",
        ),
    ),
    details=(
        "Columns: inside length, inside width, cuts, blocks to buy (with breakage), water, cost of "
        "the blocks, and whether the liner fits. Cuts at openings are not counted. Only "
        "sizes at which some run of a course closes in whole or half blocks are looked at, and "
        "the wanted size itself, next to it first, as far as the limit of search goes. The last "
        "column also says where the cuts are not proved the fewest."
    ),
)  # fmt: skip
def module_advice(
    spec: BasinSpec,
    span: float | None,
    count: int,
    block_price: float,
    rows: int | None,
    liner: Liner | None,
) -> list[Sequence[object]]:
    found = module_sizes(spec, span, count, block_price, liner=liner)
    table: list[tuple[object, ...]] = [
        (s.inside_length, s.inside_width, s.cuts, s.blocks, s.water, s.cost, _notes(s))
        for s in found
    ]
    return fitted(table[:rows], rows, len(_COLUMNS))


def _notes(size: ModuleSize) -> str:
    found = [size.liner_fit] if size.liner_fit else []
    return "; ".join(found if size.proved else [*found, "cuts not proved the fewest"])
