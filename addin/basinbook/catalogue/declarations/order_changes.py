"""Worksheet function on the difference between what is needed and what was ordered."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.invoke import as_text
from basinbook.catalogue.model import Argument, Array, Column, Example, choice, worksheet_function
from basinbook.engine import kinds
from basinbook.engine import order_changes as engine
from basinbook.engine.arrival import delivery
from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import Line, OrderedLine
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
_BECAME = ("received", "broken", "not coming")


@worksheet_function(
    category="Order",
    summary="What to order more of or less, after all orders sent: add, reduce, cancel, return",
    details="Lines are the same thing where item, description and unit are, in any case. Blank "
    "rows are passed over. Of what is less than was ordered, For return is what has come already. "
    "Broken pieces and what will not come are ordered again. An order that begins with replaces "
    "takes the place of those before it: of these counts what has come.",
    arguments=(
        Argument("needed", kinds.RANGE, "Rows of item, description, quantity, unit"),
        Argument(
            "ordered",
            kinds.RANGE,
            "Rows of item, description, quantity, unit, received, broken, will not come",
        ),
        Argument("numbers", kinds.RANGE, "Order's number of each ordered row; may be blank"),
        Argument("orders", kinds.RANGE, "Rows of number, what it is, as sent; may be blank"),
        ROWS,
        choice("anew", "Whether the next order replaces all", ("yes", "no"), default="no"),
    ),
    result=Array(_COLUMNS),
    source="Arithmetic",
    examples=(
        Example(
            (
                '[["Block","18 x 4 x 8",59,"each"],["Liner","Sheet",1,"each"]]',
                '[["Block","18 x 4 x 8",50,"each",50],["Cap","24 x 12",20,"each",0]]',
                '[["BB-1"],["BB-1"]]',
                '[["BB-1","first"]]',
            ),
            "Block\t18 x 4 x 8\teach\t59\t50\t9\t0\tadd\n"
            "Liner\tSheet\teach\t1\t0\t1\t0\tadd\n"
            "Cap\t24 x 12\teach\t0\t20\t-20\t0\tcancel",
        ),
    ),
)
def order_changes(
    needed: _Rows,
    ordered: _Rows,
    numbers: _Rows,
    orders: _Rows,
    rows: int | None,
    anew: str,
) -> list[Sequence[object]]:
    sent = [(_text("orders", row, 0), _text("orders", row, 1)) for row in orders]
    replaced = engine.replaced_orders([one for one in sent if one[0]], anew=anew == "yes")
    found = engine.order_changes(
        [Line(*line) for row in needed if (line := _line("needed", row, 4))],
        engine.standing(_ordered(ordered, numbers), replaced),
    )
    table = [
        (
            one.item, one.description, one.unit, one.needed, one.ordered, one.change, one.back,
            one.word,
        )
        for one in found
    ]  # fmt: skip
    return fitted(table, rows, len(_COLUMNS))


@worksheet_function(
    category="Order",
    summary="The lines of one order, for its delivery sheet: what has come of them, what is due",
    details="The last order is taken for a blank number. What is due has neither come nor was told "
    "not to come; of a line that took something off it is below 0.",
    arguments=(
        Argument(
            "ordered",
            kinds.RANGE,
            "Rows of item, description, quantity, unit, received, broken, will not come",
        ),
        Argument("numbers", kinds.RANGE, "Order's number of each ordered row"),
        Argument("number", kinds.ANY, "The order's number", default=None),
        ROWS,
    ),
    result=Array(
        (
            Column("Item", kinds.TEXT),
            Column("Description", kinds.TEXT),
            Column("Unit", kinds.TEXT),
            *(
                Column(name, kinds.RATIO)
                for name in ("Ordered", "Received", "Broken", "Will not come", "Due")
            ),
        )
    ),
    source="Arithmetic",
    examples=(
        Example(
            (
                '[["Block","18 x 4 x 8",59,"each",50,2,4],["Cap","24 x 12",20,"each"]]',
                '[["BB-1"],["BB-2"]]',
                "BB-1",
            ),
            "Block\t18 x 4 x 8\teach\t59\t50\t2\t4\t5",
        ),
    ),
)
def delivery_lines(
    ordered: _Rows, numbers: _Rows, number: object, rows: int | None
) -> list[Sequence[object]]:
    lines = _ordered(ordered, numbers)
    wanted = as_text("number", number or "").strip() or (lines[-1].order if lines else "")
    return fitted(delivery(lines, wanted), rows, 8)


def _ordered(ordered: _Rows, numbers: _Rows) -> list[OrderedLine]:
    """Return the lines that something stands in, with their orders' numbers."""
    pairs = zip_longest(
        (_text("numbers", row, 0) for row in numbers),
        (_line("ordered", row, 7) for row in ordered),
        fillvalue="",
    )
    return [OrderedLine(order, *line) for order, line in pairs if line]


def _text(name: str, row: Sequence[object], at: int) -> str:
    return as_text(name, row[at] or "").strip() if at < len(row) else ""


def _line(name: str, row: Sequence[object], width: int) -> tuple[Any, ...]:
    """Return item, description, quantity, unit and the further amounts; nothing of a blank row."""
    cells = [*row, *[None] * width][:width]
    if all(cell in (None, "") for cell in cells):
        return ()
    item, description, unit = (_text(name, cells, at) for at in (0, 1, 3))
    if not item:
        raise InputError(name, description or cells[2], "give each line an item")
    became = zip(_BECAME, cells[4:], strict=False)
    more = (_number(f"{what} of {item}", cell or 0) for what, cell in became)
    return item, description, _number(f"quantity of {item}", cells[2]), unit, *more


def _number(name: str, cell: object) -> float:
    if isinstance(cell, str):
        raise InputError(name, cell, "give a plain number")
    return read(cell, kinds.RATIO, "us", name)
