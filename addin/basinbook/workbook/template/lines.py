"""Lines of the sheets that show results one under the other, tables and charts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.text import (
    CharacterProperties,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
)
from openpyxl.utils import column_index_from_string

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import call, quoted, shown
from basinbook.workbook.template.input_cells import fit_note
from basinbook.workbook.template.sheet_writer import MONEY, Area, Rows, Sheet, Template

# Columns of those sheets [characters], and the scale that fits them on a page.
WIDTHS = (31, 18, 8, 25, 10.5, 10.5, 10.5, 10.5)
SCALE = 78
# Rows that a chart takes up.
CHART_ROWS = 14


class Result(NamedTuple):
    """A calculated line: label, formula text, kind of quantity, note, name of its cell.

    as_typed: it shows what is typed elsewhere, which may have its unit with it.
    """

    label: str
    formula: str
    kind: Kind
    note: str = ""
    name: str = ""
    as_typed: bool = False


class Curve(NamedTuple):
    """A line of a chart: its column, label and dash ("solid" has a mark at each point)."""

    column: str
    label: str
    dash: str = "solid"


def put_results(rows: Rows, *results: Result) -> None:
    """Write calculated lines; one that can't be worked out says so."""
    sheet = rows.sheet
    for result in results:
        row, money = rows.next(), result.kind is kinds.MONEY
        sheet.put(f"A{row}", result.label, style.LABEL)
        sheet.put(
            f"B{row}",
            f'=IFERROR({result.formula},"-")',
            style.RESULT_TEXT if result.kind is kinds.TEXT else style.RESULT,
            number_format=MONEY if money else sheet.number_format(result.kind),
            name=result.name,
        )
        unit = "=Currency" if money else (sheet.unit(result.kind) or None)
        if result.as_typed:
            unit = f'=IF(ISTEXT(B{row}),"",{quoted(unit or "")})'
        sheet.put(f"C{row}", unit, style.UNIT)
        sheet.merge(f"D{row}:{sheet.last}{row}")
        sheet.put(f"D{row}", result.note or None, style.NOTE)
        fit_note(sheet, row, _longest(result.note), "D")


def _longest(note: str) -> str:
    """Return what a note has at most: of a formula its words, none of a choice."""
    if not note.startswith("="):
        return note
    return "" if note.startswith("=IF(") else "".join(re.findall(r'"([^"]*)"', note))


def put_sentence(rows: Rows, label: str, formula: str, height: float = 28, name: str = "") -> None:
    """Write a calculated text that needs the width of the sheet."""
    sheet, row = rows.sheet, rows.next()
    sheet.put(f"A{row}", label, style.LABEL)
    sheet.merge(f"B{row}:{sheet.last}{row}")
    sheet.put(f"B{row}", f'=IFERROR({formula},"-")', style.RESULT_TEXT, name=name)
    for column in sheet.letters[2:]:
        sheet.put(f"{column}{row}", None, style.RESULT_TEXT)
    sheet.height(row, height)


def put_array(
    rows: Rows,
    name: str,
    arguments: Sequence[str],
    count: int,
    columns: str,
    condition: str = "",
) -> range:
    """Write headings and cells of an array function into these columns; return the cells' rows.

    Where a condition is given and not true, the cells are blank and nothing is worked out.
    """
    sheet, head = rows.sheet, rows.next()
    cells = rows.take(count)
    declared = function(name)
    assert isinstance(declared.result, Array)
    table = sheet.template.table(call(name, *arguments), count, len(columns), condition)
    for index, (letter, column) in enumerate(zip(columns, declared.result.columns, strict=True)):
        unit = sheet.unit(column.kind)
        title = column.name[0].upper() + column.name[1:]
        sheet.put(f"{letter}{head}", f"{title}, {unit}" if unit else title, style.HEAD)
        words = column.kind is kinds.TEXT
        for line, row in enumerate(cells, start=1):
            sheet.put(
                f"{letter}{row}",
                shown(table.cell(line, index + 1)),
                style.RESULT_TEXT if words else style.RESULT,
                number_format="" if words else sheet.number_format(column.kind),
            )
    sheet.height(head, 28)
    return cells


def put_chart(
    sheet: Sheet,
    anchor: str,
    title: str,
    across: str,
    up: str,
    cells: range,
    x_column: str,
    curves: Sequence[Curve],
) -> None:
    """Write a chart of curves over the rows of a table; they are told apart without colour."""
    worksheet = sheet.worksheet
    chart = ScatterChart()
    chart.style = 1
    chart.title = _small(title, 1100)
    chart.x_axis.title, chart.y_axis.title = _small(across, 900), _small(up, 900)
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.height, chart.width = 7.2, 8.2  # type: ignore[assignment]
    chart.legend.position = "b"  # type: ignore[union-attr]

    def column_of(letter: str) -> Reference:
        index = column_index_from_string(letter)
        return Reference(worksheet, min_col=index, min_row=cells[0], max_row=cells[-1])

    for curve in curves:
        series = Series(column_of(curve.column), column_of(x_column), title=curve.label)
        series.marker.symbol = "circle" if curve.dash == "solid" else "none"
        series.graphicalProperties.line.solidFill = "22303C"
        series.graphicalProperties.line.dashStyle = curve.dash
        series.smooth = False
        chart.series.append(series)
    worksheet.add_chart(chart, anchor)


def _small(text: str, size: int) -> Title:
    """Return a chart title in a size [1/100 pt] that fits the chart."""
    words = CharacterProperties(sz=size, b=size > 1000)
    run = RegularTextRun(rPr=words, t=text)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=words), r=[run])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)


def tape(template: Template, area: Area, column: int) -> Area:
    """Write a column of lengths on the working sheet as the tape has them; return their area."""
    letter = area.letters[column - 1]
    given = f"'{area.worksheet.title}'!${letter}${area.first}:${letter}${area.last}"
    return template.table(call("TAPELENGTHS", given), area.last - area.first + 1, 1)
