"""Charts on paper: bars as long as their numbers, curves in their colour, other kinds left out.

The charts are made by openpyxl, written, and read again.
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import openpyxl
import pypdfium2
import pytest
from openpyxl.chart import BarChart, PieChart, Reference, ScatterChart, Series
from openpyxl.worksheet.worksheet import Worksheet

from basinbook.workbook.paper.render import pdf_bytes

GREEN = (0, 170, 0)


@pytest.fixture
def sheet() -> Worksheet:
    book = openpyxl.Workbook()
    found = book.worksheets[0]
    found.title = "It's"
    for row, cells in enumerate(((20, "a $1", 1), (40, "b $2", 3), (60, "gone", "-")), 1):
        for column, value in enumerate(cells, 1):
            found.cell(row, column, value)
    # The page must reach below the charts.
    found["A40"] = "end"
    return found


def page(sheet: Worksheet) -> Any:
    """The printed page's points as an array: row, column, colour."""
    file = io.BytesIO()
    assert sheet.parent is not None
    sheet.parent.save(file)
    book = openpyxl.load_workbook(file, data_only=True)
    printed = pypdfium2.PdfDocument(pdf_bytes(book, sheet.title))[0]
    return np.asarray(printed.render(scale=1).to_pil().convert("RGB")).astype(int)


def values(sheet: Worksheet, column: int) -> Reference:
    return Reference(sheet, min_col=column, min_row=1, max_row=3)


def test_bars_are_as_long_as_their_numbers(sheet: Worksheet) -> None:
    chart = BarChart()
    chart.type, chart.legend = "bar", None
    series = Series(values(sheet, 3), title="Price, $")
    series.graphicalProperties.solidFill = "00AA00"
    chart.series.append(series)
    chart.set_categories(values(sheet, 2))
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.scaling.orientation = "maxMin"
    chart.y_axis.scaling.min = 0
    chart.y_axis.number_format = "#,##0"
    sheet.add_chart(chart, "A5")
    lengths = list((page(sheet) == GREEN).all(axis=2).sum(axis=1))
    bars = {length for length in lengths if length and lengths.count(length) > 10}
    long, short = max(bars), min(bars)
    assert long == pytest.approx(3 * short, abs=6)  # three edges of a bar are mixed points
    # The first category on top: maxMin turns the axis round.
    assert lengths.index(short) < lengths.index(long)


def test_a_curve_over_words_is_drawn_over_their_numbers(sheet: Worksheet) -> None:
    """Spreadsheet programs count the words 1, 2, 3: common practice, no source."""
    chart = ScatterChart()
    chart.legend = None
    series = Series(values(sheet, 3), values(sheet, 2))
    series.graphicalProperties.line.solidFill = "00AA00"
    chart.series.append(series)
    sheet.add_chart(chart, "A5")
    red, green, _ = np.moveaxis(page(sheet), 2, 0)
    assert (green - red > 80).sum() > 50


def test_a_curve_is_drawn_and_a_broken_one_or_a_pie_is_left_out(sheet: Worksheet) -> None:
    bare = page(sheet)
    pie = PieChart()
    pie.add_data(values(sheet, 1))
    sheet.add_chart(pie, "A5")
    assert np.array_equal(page(sheet), bare)
    chart = ScatterChart()
    series = Series(values(sheet, 3), values(sheet, 1), title="Head")
    series.graphicalProperties.line.solidFill = "C80000"
    chart.series.append(series)
    sheet.add_chart(chart, "A5")
    red, green, _ = np.moveaxis(page(sheet), 2, 0)
    assert (red - green > 80).sum() > 50
    series.yVal.numRef.f = "Nowhere!$A$1:$A$3"
    assert np.array_equal(page(sheet), bare)
    series.yVal.numRef.f = "'It''s'!$A$1:$XFD$1048576"
    assert np.array_equal(page(sheet), bare)
