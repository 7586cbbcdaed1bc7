"""Tables that the estimator edits: a named column each, starter rows and spare ones."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from basinbook.workbook.template import style
from basinbook.workbook.template.sheet_writer import Rows, Sheet, TableColumn


class EditedColumn(NamedTuple):
    """A column: heading, ending of its defined name, number format ("" for words).

    What is ``fixed`` is not typed, for other sheets look it up.
    """

    heading: str
    key: str
    number_format: str = ""
    fixed: bool = False


def put_edited_table(
    rows: Rows,
    title: str,
    name: str,
    columns: Sequence[EditedColumn],
    starters: Sequence[Sequence[object]],
    spare: int,
    *,
    wide: bool = False,
) -> range:
    """Write a table under a section heading, name its columns, and return its rows.

    Of a ``wide`` table the last column runs to the sheet's edge.
    """
    sheet = rows.sheet
    spare += sheet.more(name)
    rows.section(title)
    head = rows.next()
    cells = rows.take(len(starters) + spare)
    letters = sheet.letters[: len(columns)]
    if wide:
        for row in (head, *cells):
            sheet.merge(f"{letters[-1]}{row}:{sheet.last}{row}")
    sheet.row(head, "A", (column.heading for column in columns), style.HEAD)
    sheet.height(head, 30)
    # As messages speak of them: "Price each", "Wall blocks".
    short = re.split(r" \(|: ", title)[0]
    for letter, column in zip(letters, columns, strict=True):
        named = sheet.name(f"{name}_{column.key}", f"${letter}${cells[0]}:${letter}${cells[-1]}")
        heading = re.split(r", |: ", column.heading)[0]
        sheet.template.columns[named] = TableColumn(sheet.worksheet.title, short, heading)
    blank = (None,) * len(columns)
    for row, values in zip(cells, (*starters, *[blank] * spare), strict=True):
        for letter, column, value in zip(letters, columns, values, strict=True):
            _put(sheet, f"{letter}{row}", column, value)
    return cells


def _put(sheet: Sheet, cell: str, column: EditedColumn, value: object) -> None:
    words = style.BOX if column.fixed else style.INPUT_TEXT
    role = style.INPUT if column.number_format else words
    as_typed = "" if column.fixed else style.as_typed(value)
    sheet.put(cell, value, role, number_format=column.number_format or as_typed)
