"""Lines of the sheets that take inputs and show results one under the other, and charts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.text import (
    CharacterProperties,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
)

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import call, shown
from basinbook.workbook.template.sheet_writer import Sheet

MONEY_KIND = Kind("money")

Line = tuple[str, str, Kind, str, str]
LAST = "H"
# Columns of those sheets [characters], and the scale that fits them on a page.
WIDTHS = (32, 21, 10, 30, 12, 12, 12, 12)
SCALE = 66


@dataclass(frozen=True)
class Typed:
    """One input: label, name, kind, starter (us, metric), help, choices."""

    label: str
    name: str
    kind: Kind
    us: object = None
    metric: object = None
    help: str = ""
    choices: str | Sequence[str] = ()


def put_inputs(sheet: Sheet, row: int, title: str, entries: Sequence[Typed]) -> int:
    """Write a section of inputs, one a row, and return the last row."""
    sheet.section(row, title)
    for entry in entries:
        row += 1
        value = entry.metric if sheet.metric else entry.us
        role = style.INPUT_TEXT if entry.kind is kinds.TEXT else style.INPUT
        sheet.put(f"A{row}", entry.label, style.LABEL)
        sheet.put(f"B{row}", value, role, name=entry.name)
        if entry.choices:
            sheet.list_of(f"B{row}", entry.choices)
        unit = "=Currency" if entry.kind is MONEY_KIND else (sheet.unit(entry.kind) or None)
        sheet.put(f"C{row}", unit, style.UNIT)
        _note(sheet, row, entry.help)
    return row


def _note(sheet: Sheet, row: int, text: str) -> None:
    sheet.merge(f"D{row}:{LAST}{row}")
    sheet.put(f"D{row}", text or None, style.NOTE)


def put_results(sheet: Sheet, row: int, lines: Sequence[Line]) -> int:
    """Write calculated lines under a row: label, formula, kind, note, name. Return the last row."""
    for label, formula, kind, note, name in lines:
        row += 1
        put_result(sheet, row, label, formula, kind, note, name)
    return row


def put_result(
    sheet: Sheet,
    row: int,
    label: str,
    formula: str,
    kind: Kind,
    note: str = "",
    name: str = "",
) -> None:
    """One calculated line; where it can't be worked out it says so, and why beside it."""
    sheet.put(f"A{row}", label, style.LABEL)
    role = style.RESULT_TEXT if kind is kinds.TEXT else style.RESULT
    number_format = "#,##0.00" if kind is MONEY_KIND else sheet.number_format(kind)
    sheet.put(f"B{row}", f'=IFERROR({formula},"-")', role, number_format=number_format, name=name)
    unit = "=Currency" if kind is MONEY_KIND else (sheet.unit(kind) or None)
    sheet.put(f"C{row}", unit, style.UNIT)
    _note(sheet, row, note)


def put_sentence(sheet: Sheet, row: int, label: str, formula: str, height: float = 28) -> None:
    """One calculated text that needs the width of the sheet."""
    sheet.put(f"A{row}", label, style.LABEL)
    sheet.merge(f"B{row}:{LAST}{row}")
    sheet.put(f"B{row}", f'=IFERROR({formula},"-")', style.RESULT_TEXT)
    for column in "CDEFGH":
        sheet.put(f"{column}{row}", None, style.RESULT_TEXT)
    sheet.height(row, height)


def put_array(
    sheet: Sheet,
    row: int,
    name: str,
    arguments: Sequence[str],
    rows: int,
    columns: str,
    condition: str = "",
) -> int:
    """Write the headings and cells of an array function into these columns of the sheet.

    Where a condition is given and not true, the cells are blank and nothing is worked out.
    """
    declared = function(name)
    assert isinstance(declared.result, Array)
    text = call(name, *arguments)
    if condition:
        text = f'IF({condition},{text},"")'
    table = sheet.template.table(text, rows, len(columns))
    for index, (letter, column) in enumerate(zip(columns, declared.result.columns, strict=True)):
        unit = sheet.unit(column.kind)
        head = column.name[0].upper() + column.name[1:]
        sheet.put(f"{letter}{row}", f"{head}, {unit}" if unit else head, style.HEAD)
        for line in range(1, rows + 1):
            words = column.kind is kinds.TEXT
            sheet.put(
                f"{letter}{row + line}",
                shown(table, line, index + 1),
                style.RESULT_TEXT if words else style.RESULT,
                number_format="" if words else sheet.number_format(column.kind),
            )
    sheet.height(row, 28)
    return row + rows


def put_chart(
    sheet: Sheet,
    anchor: str,
    title: str,
    across: str,
    up: str,
    first: int,
    last: int,
    x_column: str,
    lines: Sequence[tuple[str, str, str]],
) -> None:
    """Write a chart of lines: for each its column, label and dash; told apart without colour."""
    worksheet = sheet.worksheet
    chart = ScatterChart()
    chart.style = 1
    chart.title = _small(title, 1100)
    chart.x_axis.title, chart.y_axis.title = _small(across, 900), _small(up, 900)
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.height, chart.width = 7.2, 9.2  # type: ignore[assignment]
    chart.legend.position = "b"  # type: ignore[union-attr]
    x_index = ord(x_column) - ord("A") + 1
    for column, label, dash in lines:
        index = ord(column) - ord("A") + 1
        series = Series(
            Reference(worksheet, min_col=index, min_row=first, max_row=last),
            Reference(worksheet, min_col=x_index, min_row=first, max_row=last),
            title=label,
        )
        series.marker.symbol = "none" if dash == "dash" else "circle"
        series.graphicalProperties.line.solidFill = "22303C"
        series.graphicalProperties.line.dashStyle = dash
        series.smooth = False
        chart.series.append(series)
    worksheet.add_chart(chart, anchor)


def _small(text: str, size: int) -> Title:
    """Return a chart title in a size [1/100 pt] that fits the chart."""
    words = CharacterProperties(sz=size, b=size > 1000)
    run = RegularTextRun(rPr=words, t=text)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=words), r=[run])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)
