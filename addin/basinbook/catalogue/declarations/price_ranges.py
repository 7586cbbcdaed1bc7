"""Worksheet functions on how far a price may go."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.model import Argument, Example, ratio, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.ranges import Part, sum_below
from basinbook.units import read


def _amounts(name: str, what: str) -> Argument:
    return Argument(name, kinds.RANGE, f"{what} amounts of the parts of a price, a cell each")


@worksheet_function(
    category="Price",
    summary="The price that so many of all cases stay below, by low, likely and high of its parts",
    details="Each part is drawn from a triangle over its three amounts, 20,000 times, the same "
    "each time, independent of the others: give what rises together as one part. Rows with three "
    "blanks are passed over.",
    arguments=(
        ratio("share", "Share of the cases, such as 90%"),
        _amounts("low", "Lowest"),
        _amounts("likely", "Most likely"),
        _amounts("high", "Highest"),
    ),
    result=kinds.MONEY,
    source="Triangular distribution (Evans, Hastings and Peacock, Statistical Distributions, "
    "3rd ed., chapter 40; from memory); seeded simulation",
    examples=(
        Example(("50%", "[[100],[40]]", "[[100],[40]]", "[[100],[40]]"), "140"),
        Example(("90%", "[[0]]", "[[50]]", "[[100]]"), "77.636"),
    ),
)
def price_range(
    share: float,
    low: Sequence[Sequence[object]],
    likely: Sequence[Sequence[object]],
    high: Sequence[Sequence[object]],
) -> float:
    columns = {"low": _flat(low), "likely": _flat(likely), "high": _flat(high)}
    sizes = {len(cells) for cells in columns.values()}
    if len(sizes) != 1:
        raise InputError("low", f"{len(columns['low'])} cells", "give three ranges of one size")
    parts = []
    for row in zip(*columns.values(), strict=True):
        if all(cell in (None, "") for cell in row):
            continue
        parts.append(Part(*map(_number, columns, row)))
    return sum_below(share, parts)


def _flat(rows: Sequence[Sequence[object]]) -> list[object]:
    return [cell for row in rows for cell in row]


def _number(name: str, cell: object) -> float:
    if isinstance(cell, str):
        raise InputError(name, cell, "give a plain number in each row, or leave all three blank")
    return read(cell, kinds.MONEY, "us", name)
