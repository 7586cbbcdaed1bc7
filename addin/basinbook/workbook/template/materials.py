"""The Materials sheet: what the suppliers sell, at what size and price."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import awake
from basinbook.workbook.template.sheet_writer import COUNT, FACTOR, MONEY, Sheet, Template
from basinbook.workbook.template.tables import (
    TABLES,
    MaterialTable,
    TableColumn,
)

_FIRST = 4
_SECOND_PAGE = "Adhesives"


def add_materials(template: Template) -> None:
    """Add the sheet, and a defined name for each column of each table."""
    sheet = template.sheet("Materials", [34, 12, 12, 12, 12, 12, 12], scale=84)
    sheet.title("Materials and prices", message=False)
    sheet.merge("A2:G2")
    sheet.put(
        "A2",
        awake(
            "\"Type your suppliers' sizes and prices over the starter rows, which are invented. "
            'Prices in "&Currency&", before tax."'
        ),
        style.NOTE,
    )
    row = _FIRST
    for table in TABLES:
        if table.name == _SECOND_PAGE:
            sheet.break_before(row)
        row = _add_table(sheet, table, row) + 1
    sheet.finish(f"A1:G{row - 2}", freeze="B3", titles="1:2")


def _add_table(sheet: Sheet, table: MaterialTable, row: int) -> int:
    per_area = f"per {sheet.unit(kinds.AREA)}"
    sheet.section(row, table.title.replace("per area", per_area))
    for index, column in enumerate(table.columns):
        unit = sheet.unit(column.kind)
        heading = f"{column.heading}, {unit}" if unit else column.heading
        heading = heading.replace("per area", per_area)
        sheet.put(f"{_letter(index)}{row + 1}", heading, style.HEAD)
    sheet.height(row + 1, 28)
    first, rows = row + 2, table.rows(sheet.system)
    count = len(rows) + table.spare
    for offset in range(count):
        values = rows[offset] if offset < len(rows) else (None,) * len(table.columns)
        for index, (column, value) in enumerate(zip(table.columns, values, strict=True)):
            _put_value(sheet, f"{_letter(index)}{first + offset}", column, value)
    last = first + count - 1
    for index, column in enumerate(table.columns):
        letter = _letter(index)
        sheet.name(f"{table.name}_{column.key}", f"${letter}${first}:${letter}${last}")
        if column.key == "type":
            sheet.list_of(f"{letter}{first}:{letter}{last}", ("preformed", "sheet"))
        if column.key == "sold_by":
            units = (sheet.unit(kinds.BULK), sheet.unit(kinds.LOAD_MASS), "bag")
            sheet.list_of(f"{letter}{first}:{letter}{last}", units)
    if table.note:
        last += 1
        sheet.merge(f"A{last}:G{last}")
        sheet.put(f"A{last}", table.note, style.NOTE)
    return last + 1


def _letter(index: int) -> str:
    return chr(ord("A") + index)


def _put_value(sheet: Sheet, cell: str, column: TableColumn, value: object) -> None:
    if column.fixed:
        sheet.put(cell, value, style.BOX)
    elif column.kind is kinds.TEXT:
        sheet.put(cell, value, style.INPUT_TEXT)
    elif column.kind is kinds.MONEY:
        sheet.put(cell, value, style.INPUT, number_format=MONEY)
    elif column.kind is kinds.COUNT:
        sheet.put(cell, value, style.INPUT, number_format=COUNT)
    elif column.kind is kinds.RATIO:
        sheet.put(cell, value, style.INPUT, number_format=f"{FACTOR}#")
    else:
        sheet.put(cell, value, style.INPUT, number_format="General")
