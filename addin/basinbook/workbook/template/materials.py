"""The Materials sheet: what the suppliers sell, at what size and price."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.edited_tables import EditedColumn, put_edited_table
from basinbook.workbook.template.formulas import awake
from basinbook.workbook.template.input_cells import fit_note
from basinbook.workbook.template.inputs.parts import PART_KINDS
from basinbook.workbook.template.sheet_writer import COUNT, FACTOR, MONEY, Rows, Template
from basinbook.workbook.template.tables import TABLES, MaterialTable, TableColumn

# Tables that begin a page, so that none is torn.
_PAGES: Final = ("Bases", "Water_parts")
_FORMATS: Final = {
    kinds.TEXT: "",
    kinds.MONEY: MONEY,
    kinds.COUNT: COUNT,
    kinds.RATIO: f"{FACTOR}#",
}


def add_materials(template: Template) -> None:
    """Add the sheet, and a defined name for each column of each table."""
    sheet = template.sheet("Materials", [34, 16, 12, 12, 12, 12, 12], scale=78)
    sheet.title("Materials and prices", message=False)
    sheet.merge(f"A2:{sheet.last}2")
    sheet.put(
        "A2",
        awake(
            "\"Type your suppliers' sizes and prices over the starter rows, which are invented. "
            'Prices in "&Currency&", before tax. A blank is unknown, and a typed 0 nothing; a pack '
            'left blank is by the piece."'
        ),
        style.NOTE,
    )
    sheet.height(2, 26)
    rows = sheet.rows(3)
    for table in TABLES:
        if table.name in _PAGES:
            sheet.break_before(rows.row + 2)
        _add_table(rows, table)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="B3", titles="1:2")


def _add_table(rows: Rows, table: MaterialTable) -> None:
    sheet = rows.sheet
    area = f"per {sheet.unit(kinds.AREA)}"

    def column_of(column: TableColumn) -> EditedColumn:
        unit = sheet.unit(column.kind)
        heading = f"{column.heading}, {unit}" if unit else column.heading
        heading = heading.replace("per area", area)
        return EditedColumn(heading, column.key, _FORMATS.get(column.kind, "General"), column.fixed)

    columns = [column_of(column) for column in table.columns]
    title = table.title.replace("per area", area)
    starters = table.rows(sheet.system)
    cells = put_edited_table(rows, title, table.name, columns, starters, table.spare)
    choices = {
        "type": ("preformed", "sheet"),
        "kind": PART_KINDS,
        "sold_by": (sheet.unit(kinds.BULK), sheet.unit(kinds.LOAD_MASS), "bag"),
    }
    for letter, column in zip(sheet.letters, columns, strict=False):
        if column.key in choices:
            sheet.list_of(f"{letter}{cells[0]}:{letter}{cells[-1]}", choices[column.key])
    if table.note:
        row = rows.next()
        sheet.merge(f"A{row}:{sheet.last}{row}")
        sheet.put(f"A{row}", table.note, style.NOTE)
        fit_note(sheet, row, table.note, "A")
