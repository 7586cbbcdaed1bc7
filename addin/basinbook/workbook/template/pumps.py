"""The Pump and pipe sheet: pump curves, pipes and fittings that the estimator edits."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import NamedTuple

from basinbook.engine import kinds
from basinbook.engine.water.fittings import FITTINGS
from basinbook.engine.water.pipe import PIPES
from basinbook.units import from_si
from basinbook.workbook.template import style
from basinbook.workbook.template.edited_tables import EditedColumn, put_edited_table
from basinbook.workbook.template.formulas import awake
from basinbook.workbook.template.sheet_writer import FACTOR, MONEY, Rows, Template

CURVE_POINTS = 6
_SPARE = 3


class Pump(NamedTuple):
    """An invented pump: power [W], price, and its curve in the units of the sheets."""

    name: str
    power: float
    price: float
    flows: tuple[float, ...]
    heads: tuple[float, ...]


class SoldPipe(NamedTuple):
    """A pipe on the sheet: invented price per foot or metre, and the length it is sold in."""

    name: str
    price: float
    step: float


_US_PUMPS = (
    Pump("Pump 500", 34, 79.0, (0, 120, 240, 340, 430, 500), (7.2, 6.4, 5.2, 3.7, 1.8, 0)),
    Pump("Pump 1200", 85, 139.0, (0, 300, 600, 850, 1050, 1200), (11.0, 9.9, 8.1, 5.6, 2.8, 0)),
    Pump(
        "Pump 2400", 180, 228.0, (0, 600, 1200, 1700, 2100, 2400), (15.5, 14.0, 11.3, 7.9, 4.0, 0)
    ),
    Pump(
        "Pump 3600", 290, 312.0, (0, 900, 1800, 2600, 3200, 3600), (18.0, 16.4, 13.2, 8.8, 4.2, 0)
    ),
)
_METRIC_PUMPS = (
    Pump("Pump 1900", 34, 84.0, (0, 450, 900, 1290, 1630, 1900), (2.2, 1.95, 1.6, 1.15, 0.55, 0)),
    Pump("Pump 4500", 85, 148.0, (0, 1140, 2270, 3220, 3970, 4500), (3.35, 3.0, 2.5, 1.7, 0.85, 0)),
    Pump("Pump 9000", 180, 239.0, (0, 2270, 4540, 6440, 7950, 9000), (4.7, 4.3, 3.4, 2.4, 1.2, 0)),
    Pump(
        "Pump 13500", 290, 330.0, (0, 3400, 6800, 9840, 12100, 13500), (5.5, 5.0, 4.0, 2.7, 1.3, 0)
    ),
)
_US_PIPES = (
    SoldPipe("sch40 3/4", 0.72, 10),
    SoldPipe("sch40 1", 1.05, 10),
    SoldPipe("sch40 1-1/4", 1.42, 10),
    SoldPipe("sch40 1-1/2", 1.68, 10),
    SoldPipe("sch40 2", 2.25, 10),
    SoldPipe("flex40 1", 1.95, 5),
    SoldPipe("flex40 1-1/2", 2.75, 5),
    SoldPipe("flex40 2", 3.60, 5),
    SoldPipe("tube 1", 1.10, 1),
    SoldPipe("ribbed 1-1/2", 1.85, 1),
)
_METRIC_PIPES = (
    SoldPipe("pn16 25", 2.6, 3),
    SoldPipe("pn16 32", 3.5, 3),
    SoldPipe("pn16 40", 4.6, 3),
    SoldPipe("pn16 50", 6.2, 3),
    SoldPipe("pn16 63", 9.1, 3),
    SoldPipe("tube 1", 3.4, 1),
    SoldPipe("ribbed 1-1/2", 5.9, 1),
)
# Invented prices of the built-in fittings, in their order; none for what is no part to buy.
_PRICES = (None, None, 14.5, 1.6, 2.4, 1.5, 1.9, 1.9, 11.0, 16.0, 13.5, 1.2, 1.8, None)


def add_pump_and_pipe(template: Template) -> None:
    """Add the sheet, and a defined name for each column of its tables."""
    sheet = template.sheet("Pump and pipe", [30, 10, 10, *[8.5] * 12], landscape=True)
    sheet.title("Pump and pipe: curves, sizes, loss coefficients, prices", message=False)
    sheet.merge(f"A2:{sheet.last}2")
    sheet.put(
        "A2",
        awake(
            "\"Type the makers' figures over the starter rows. Pumps and prices are invented; the "
            'sources of pipe sizes and loss coefficients stand beside them."'
        ),
        style.NOTE,
    )
    rows = sheet.rows(3)
    _pumps(rows)
    _pipes(rows)
    _fittings(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="B3", titles="1:2")


def _pumps(rows: Rows) -> None:
    sheet, points = rows.sheet, range(1, CURVE_POINTS + 1)
    flow, head = sheet.unit(kinds.PUMP_FLOW), sheet.unit(kinds.HEAD)
    columns = (
        EditedColumn("Name", "name"),
        EditedColumn("Power, W", "power", "General"),
        EditedColumn("Price each", "price", MONEY),
        *(EditedColumn(f"Flow {n}, {flow}", f"flow{n}", "General") for n in points),
        *(EditedColumn(f"Head {n}, {head}", f"head{n}", "General") for n in points),
    )
    starters = [
        (pump.name, pump.power, pump.price, *pump.flows, *pump.heads)
        for pump in (_METRIC_PUMPS if sheet.metric else _US_PUMPS)
    ]
    title = "Pumps: flow and head of up to six points of the maker's curve"
    put_edited_table(rows, title, "Pumps", columns, starters, _SPARE)


def _sourced(
    rows: Rows,
    title: str,
    name: str,
    columns: Sequence[EditedColumn],
    starters: Sequence[Sequence[object]],
) -> range:
    """Write a table whose last column, the source, takes as many lines as it needs."""
    cells = put_edited_table(rows, title, name, columns, starters, _SPARE, wide=True)
    # Characters of a source that go on one line.
    line = int(rows.sheet.width(rows.sheet.letters[len(columns) - 1 :])) - 1
    for row, values in zip_longest(cells, starters):
        source = str(values[-1]) if values else ""
        rows.sheet.height(row, 13 * max(1, -(-len(source) // line)))
    return cells


def _pipes(rows: Rows) -> None:
    sheet = rows.sheet
    length, run = sheet.unit(kinds.LENGTH), sheet.unit(kinds.RUN)
    starters = []
    for sold in _METRIC_PIPES if sheet.metric else _US_PIPES:
        pipe = PIPES[sold.name]
        bore = round(from_si(pipe.inside_diameter, kinds.LENGTH, sheet.system), 3)
        rough = round(from_si(pipe.roughness, kinds.ROUGHNESS, sheet.system), 6)
        starters.append((sold.name, bore, rough, sold.price, sold.step, pipe.source))
    columns = (
        EditedColumn("Name", "name"),
        EditedColumn(f"Inside diameter, {length}", "bore", "0.000"),
        EditedColumn(f"Roughness, {sheet.unit(kinds.ROUGHNESS)}", "roughness", "General"),
        EditedColumn(f"Price per {run}", "price", MONEY),
        EditedColumn(f"Sold in lengths of, {run}", "step", "General"),
        EditedColumn("Source of the size", "source"),
    )
    _sourced(rows, "Pipe", "Pipes", columns, starters)


def _fittings(rows: Rows) -> None:
    sheet = rows.sheet
    starters = [
        (
            found.name, found.low, found.typical, found.high,
            price, "no" if price is None else "yes", found.source,
        )
        for found, price in zip(FITTINGS, _PRICES, strict=True)
    ]  # fmt: skip
    columns = (
        EditedColumn("Name", "name"),
        EditedColumn("K low", "low", FACTOR),
        EditedColumn("K typical", "typical", FACTOR),
        EditedColumn("K high", "high", FACTOR),
        EditedColumn("Price each", "price", MONEY),
        EditedColumn("Bought: yes, no", "bought"),
        EditedColumn("Source of the loss coefficients K", "source"),
    )
    # Before the gap, which else may be all that is left for a page.
    sheet.break_before(rows.row + 1)
    title = "Fittings: published loss coefficients differ; edit them"
    cells = _sourced(rows, title, "Fittings", columns, starters)
    bought = sheet.letters[[column.key for column in columns].index("bought")]
    sheet.list_of(f"{bought}{cells[0]}:{bought}{cells[-1]}", ("yes", "no"))
    row = rows.next()
    sheet.merge(f"A{row}:{sheet.last}{row}")
    sheet.put(
        f"A{row}",
        "Bought: no for what nobody sells, such as an entrance. What is bought and has no price "
        "leaves the job without one; a typed 0 is a price of nothing.",
        style.NOTE,
    )
