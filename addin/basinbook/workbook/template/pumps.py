"""The Pump and pipe sheet: pump curves, pipes and fittings that the estimator edits."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.engine import kinds
from basinbook.engine.water.fittings import FITTINGS
from basinbook.engine.water.pipe import PIPES
from basinbook.units import from_si
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import awake
from basinbook.workbook.template.sheet_writer import FACTOR, MONEY, Sheet, Template

LAST = "O"
CURVE_POINTS = 6
_SPARE = 3

# Invented pumps: name, power [W], price, flows, heads; the last head is nought.
_US_PUMPS = (
    ("Pump 500", 34, 79.0, (0, 120, 240, 340, 430, 500), (7.2, 6.4, 5.2, 3.7, 1.8, 0)),
    ("Pump 1200", 85, 139.0, (0, 300, 600, 850, 1050, 1200), (11.0, 9.9, 8.1, 5.6, 2.8, 0)),
    ("Pump 2400", 180, 228.0, (0, 600, 1200, 1700, 2100, 2400), (15.5, 14.0, 11.3, 7.9, 4.0, 0)),
    ("Pump 3600", 290, 312.0, (0, 900, 1800, 2600, 3200, 3600), (18.0, 16.4, 13.2, 8.8, 4.2, 0)),
)
_METRIC_PUMPS = (
    ("Pump 1900", 34, 84.0, (0, 450, 900, 1290, 1630, 1900), (2.2, 1.95, 1.6, 1.15, 0.55, 0)),
    ("Pump 4500", 85, 148.0, (0, 1140, 2270, 3220, 3970, 4500), (3.35, 3.0, 2.5, 1.7, 0.85, 0)),
    ("Pump 9000", 180, 239.0, (0, 2270, 4540, 6440, 7950, 9000), (4.7, 4.3, 3.4, 2.4, 1.2, 0)),
    ("Pump 13500", 290, 330.0, (0, 3400, 6800, 9840, 12100, 13500), (5.5, 5.0, 4.0, 2.7, 1.3, 0)),
)
# Pipes on the sheet, with an invented price per foot or metre, and the length sold.
_US_PIPES = (
    ("sch40 3/4", 0.72, 10),
    ("sch40 1", 1.05, 10),
    ("sch40 1-1/4", 1.42, 10),
    ("sch40 1-1/2", 1.68, 10),
    ("flex40 1", 1.95, 5),
    ("flex40 1-1/2", 2.75, 5),
    ("tube 1", 1.10, 1),
    ("ribbed 1-1/2", 1.85, 1),
)
_METRIC_PIPES = (
    ("pn16 25", 2.6, 3),
    ("pn16 32", 3.5, 3),
    ("pn16 40", 4.6, 3),
    ("pn16 50", 6.2, 3),
    ("tube 1", 3.4, 1),
    ("ribbed 1-1/2", 5.9, 1),
)
# Invented prices of the built-in fittings, in their order; none for what is no part to buy.
_PRICES = (None, None, 14.5, 1.6, 2.4, 1.5, 1.9, 1.9, 11.0, 16.0, 13.5, 1.2, 1.8, None)


def add_pump_and_pipe(template: Template) -> None:
    """Add the sheet, and a defined name for each column of its tables."""
    sheet = template.sheet("Pump and pipe", [30, 10, 10, *[8.5] * 12], pages=1)
    sheet.title("Pump and pipe: curves, sizes, loss coefficients, prices", message=False)
    sheet.merge(f"A2:{LAST}2")
    sheet.put(
        "A2",
        awake(
            "\"Type the makers' figures over the starter rows. Pumps and prices are invented; the "
            'sources of pipe sizes and loss coefficients stand beside them."'
        ),
        style.NOTE,
    )
    row = _pumps(sheet, 4)
    row = _pipes(sheet, row + 2)
    row = _fittings(sheet, row + 2)
    sheet.finish(f"A1:{LAST}{row}", freeze="B3", titles="1:2")


def _name(sheet: Sheet, name: str, column: str, first: int, last: int) -> None:
    sheet.name(name, f"${column}${first}:${column}${last}")


def _pumps(sheet: Sheet, row: int) -> int:
    sheet.section(row, "Pumps: flow and head of up to six points of the maker's curve")
    flow, head = sheet.unit(kinds.PUMP_FLOW), sheet.unit(kinds.HEAD)
    points = range(1, CURVE_POINTS + 1)
    sheet.row(
        row + 1,
        "A",
        (
            "Name",
            "Power, W",
            "Price each",
            *(f"Flow {n}, {flow}" for n in points),
            *(f"Head {n}, {head}" for n in points),
        ),
        style.HEAD,
    )
    sheet.height(row + 1, 30)
    rows: Sequence[tuple[object, ...]] = [
        (name, power, price, *flows, *heads)
        for name, power, price, flows, heads in (_METRIC_PUMPS if sheet.metric else _US_PUMPS)
    ]
    first, last = row + 2, row + 1 + len(rows) + _SPARE
    for offset in range(len(rows) + _SPARE):
        values = rows[offset] if offset < len(rows) else (None,) * (3 + 2 * CURVE_POINTS)
        for index, value in enumerate(values):
            cell = f"{chr(ord('A') + index)}{first + offset}"
            sheet.put(
                cell,
                value,
                style.INPUT_TEXT if not index else style.INPUT,
                number_format=MONEY if index == 2 else "General",
            )
    for index, key in enumerate(
        ("name", "power", "price", *(f"flow{n}" for n in points), *(f"head{n}" for n in points))
    ):
        _name(sheet, f"Pumps_{key}", chr(ord("A") + index), first, last)
    return last


def _table(
    sheet: Sheet,
    row: int,
    title: str,
    name: str,
    columns: Sequence[tuple[str, str, str]],
    rows: Sequence[tuple[object, ...]],
) -> int:
    """Write a table whose last column, the source, runs to the sheet's right edge."""
    sheet.section(row, title)
    source = chr(ord("A") + len(columns) - 1)
    for line in range(row + 1, row + 2 + len(rows) + _SPARE):
        sheet.merge(f"{source}{line}:{LAST}{line}")
    sheet.row(row + 1, "A", (heading for heading, _, _ in columns), style.HEAD)
    sheet.height(row + 1, 30)
    first, last = row + 2, row + 1 + len(rows) + _SPARE
    for offset in range(len(rows) + _SPARE):
        values = rows[offset] if offset < len(rows) else (None,) * len(columns)
        for index, (value, (_, _, shown)) in enumerate(zip(values, columns, strict=True)):
            cell = f"{chr(ord('A') + index)}{first + offset}"
            sheet.put(cell, value, style.INPUT if shown else style.INPUT_TEXT, number_format=shown)
        sheet.height(first + offset, 13 * max(1, -(-len(str(values[-1] or "")) // 84)))
    for index, (_, key, _) in enumerate(columns):
        _name(sheet, f"{name}_{key}", chr(ord("A") + index), first, last)
    return last


def _pipes(sheet: Sheet, row: int) -> int:
    length, run = sheet.unit(kinds.LENGTH), sheet.unit(kinds.RUN)
    rows = []
    for name, price, step in _METRIC_PIPES if sheet.metric else _US_PIPES:
        pipe = PIPES[name]
        bore = round(from_si(pipe.inside_diameter, kinds.LENGTH, sheet.system), 3)
        rough = round(from_si(pipe.roughness, kinds.ROUGHNESS, sheet.system), 6)
        rows.append((name, bore, rough, price, step, pipe.source))
    columns = (
        ("Name", "name", ""),
        (f"Inside diameter, {length}", "bore", "0.000"),
        (f"Roughness, {sheet.unit(kinds.ROUGHNESS)}", "roughness", "General"),
        (f"Price per {run}", "price", MONEY),
        (f"Sold in lengths of, {run}", "step", "General"),
        ("Source of the size", "source", ""),
    )
    return _table(sheet, row, "Pipe", "Pipes", columns, rows)


def _fittings(sheet: Sheet, row: int) -> int:
    rows = [
        (found.name, found.low, found.typical, found.high, price, found.source)
        for found, price in zip(FITTINGS, _PRICES, strict=True)
    ]
    columns = (
        ("Name", "name", ""),
        ("K low", "low", FACTOR),
        ("K typical", "typical", FACTOR),
        ("K high", "high", FACTOR),
        ("Price each", "price", MONEY),
        ("Source of the loss coefficients K", "source", ""),
    )
    return _table(
        sheet,
        row,
        "Fittings: published loss coefficients differ; edit them",
        "Fittings",
        columns,
        rows,
    )
