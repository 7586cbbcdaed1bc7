"""Worksheet function on the difference between what is needed and what was ordered."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.invoke import as_text
from basinbook.catalogue.model import Argument, Array, Column, Example, worksheet_function
from basinbook.engine import kinds
from basinbook.engine import order_changes as engine
from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import Line
from basinbook.units import read

_COLUMNS = (
    Column("Item", kinds.TEXT),
    Column("Description", kinds.TEXT),
    Column("Unit", kinds.TEXT),
    Column("Needed", kinds.RATIO),
    Column("Ordered", kinds.RATIO),
    Column("Change", kinds.RATIO),
    Column("For return", kinds.RATIO),
    Column("What to do", kinds.TEXT),
)
_Rows = Sequence[Sequence[object]]


@worksheet_function(
    category="Order",
    summary="What to order more of or less, after all orders sent: add, reduce, cancel, return",
    details="Lines are the same thing where item, description and unit are, in any case. Blank "
    "rows are passed over. Of what is less than was ordered, For return is what has come already.",
    arguments=(
        Argument("needed", kinds.RANGE, "Rows of item, description, quantity, unit"),
        Argument(
            "ordered", kinds.RANGE, "Rows of item, description, quantity, unit, received (or none)"
        ),
        ROWS,
    ),
    result=Array(_COLUMNS),
    source="Arithmetic",
    examples=(
        Example(
            (
                '[["Block","18 x 4 x 8",59,"each"],["Liner","Sheet",1,"each"]]',
                '[["Block","18 x 4 x 8",50,"each",50],["Cap","24 x 12",20,"each",0]]',
            ),
            "Block\t18 x 4 x 8\teach\t59\t50\t9\t0\tadd\n"
            "Liner\tSheet\teach\t1\t0\t1\t0\tadd\n"
            "Cap\t24 x 12\teach\t0\t20\t-20\t0\tcancel",
        ),
    ),
)
def order_changes(needed: _Rows, ordered: _Rows, rows: int | None) -> list[Sequence[object]]:
    found = engine.order_changes(_lines("needed", needed, 4), _lines("ordered", ordered, 5))
    table = [
        (
            one.item, one.description, one.unit, one.needed, one.ordered, one.change, one.back,
            one.word,
        )
        for one in found
    ]  # fmt: skip
    return fitted(table, rows, len(_COLUMNS))


def _lines(name: str, rows: _Rows, width: int) -> list[Line]:
    found = []
    for row in rows:
        cells = [*row, *[None] * width][:width]
        if all(cell in (None, "") for cell in cells):
            continue
        item, description, unit = (as_text(name, cells[at] or "") for at in (0, 1, 3))
        if not item:
            raise InputError(name, description or cells[2], "give each line an item")
        found.append(
            Line(item, description, _number(item, cells[2]), unit, *map(_received, cells[4:]))
        )
    return found


def _number(item: str, cell: object) -> float:
    if isinstance(cell, str):
        raise InputError(f"quantity of {item}", cell, "give a plain number")
    return read(cell, kinds.RATIO, "us", f"quantity of {item}")


def _received(cell: object) -> float:
    return 0.0 if cell in (None, "") else _number("what was received", cell)
