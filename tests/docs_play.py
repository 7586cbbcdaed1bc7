"""The parts of others in the pages of docs: what a supplier or a client types.

All names, addresses and prices are invented.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Final

import openpyxl

from basinbook.evaluation.book import Value
from basinbook.workbook.prices.book import read_book, write_book
from basinbook.workbook.prices.offers import Terms
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import recalculate

_NORTH: Final = Terms("North yard", "orders@north.example", least_order=Decimal(250))
_LAKE: Final = Terms("Lake yard", "sales@lake.example", delivery=Decimal(60))
# Price of one unit, by the words that an item's description starts with; the first for the rest.
_PRICES: Final = {
    "North yard": {
        "": 8.5, "Plank block": 5.7, "Smooth cap": 12.9, "Stone dust": 44.0, "Column cap": 71.0,
        "Masonry adhesive": 11.1, "Preformed liner": 149.0, "Sheet liner": 1.05, "Felt": 0.36,
        "sch40": 2.3, "Spillway": 161.0, "Pump": 231.0,
    },
    "Lake yard": {
        "": 9.5, "Plank block": 5.95, "Smooth cap": 12.4, "Stone dust": 52.0, "Column cap": 74.0,
        "Masonry adhesive": 11.9, "Preformed liner": 141.0, "Sheet liner": 1.0, "Felt": 0.33,
        "sch40": 2.1, "Spillway": 155.0, "Pump": 219.0,
    },
}  # fmt: skip


def suppliers(folder: Path) -> None:
    """The estimator types two yards into the price book."""
    path = folder / "book.xlsx"
    book = read_book(path)
    write_book(path, replace(book, suppliers=(_NORTH, _LAKE)))


def replies(folder: Path) -> None:
    """Each yard types its prices into what it was sent."""
    for supplier, prices in _PRICES.items():
        (path,) = folder.glob(f"Request*{supplier}.xlsx")
        book = openpyxl.load_workbook(path)
        sheet = book["Request"]
        for row in range(7, sheet.max_row + 1):
            text = str(sheet.cell(row, 3).value or "")
            if text:
                start = max((one for one in prices if text.startswith(one)), key=len)
                sheet.cell(row, 6).value = prices[start]  # type: ignore[assignment]
        book.save(folder / f"answered {supplier}.xlsx")


def delivery(folder: Path) -> None:
    """The crew types what came on all orders: three blocks broken, ten caps that will not come."""
    path = folder / "yard.xlsx"
    sheet = openpyxl.load_workbook(path, data_only=True)["Ordered"]
    head = {cell.value: cell.column_letter for row in sheet.iter_rows(23, 23) for cell in row}
    typed: dict[Key, Value] = {}
    for row in range(24, sheet.max_row + 1):
        item, wanted = sheet.cell(row, 2).value, sheet.cell(row, 4).value
        if not isinstance(wanted, (int, float)) or wanted <= 0:
            continue
        first = sheet.cell(row, 1).value == "L-7"
        short = 10 if first and item == "Wall cap" else 0
        typed["Ordered", f"{head['Received']}{row}"] = wanted - short
        typed["Ordered", f"{head['By whom']}{row}"] = "B. Layer"
        if short:
            typed["Ordered", f"{head['Will not come']}{row}"] = short
        if first and item == "Wall block":
            typed["Ordered", f"{head['of these broken']}{row}"] = 3
    recalculate(path, typed=typed)


def crew(folder: Path) -> None:
    """The crew types what the job took into the check sheet: each a tenth more than estimated."""
    path = folder / "yard.xlsx"
    sheet = openpyxl.load_workbook(path, data_only=True)["Checks"]
    rows = {sheet.cell(row, 1).value: row for row in range(1, sheet.max_row + 1)}
    typed: dict[Key, Value] = {}
    for row in range(rows["What"] + 1, sheet.max_row + 1):
        estimated = sheet.cell(row, 4).value
        if not isinstance(estimated, (int, float)):
            break
        typed["Checks", f"E{row}"] = round(1.1 * estimated, 1)
    recalculate(path, typed=typed)
