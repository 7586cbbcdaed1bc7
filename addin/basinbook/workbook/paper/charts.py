"""Charts of the kinds that our templates have, curves over numbers and bars, as pictures.

They are drawn from the cells' cached values. Of a chart are drawn its curves or bars, titles,
numbers along the axes and legend, in our own type and spacing; other kinds of charts are left out.
"""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from basinbook.evaluation.number_format import format_value
from basinbook.workbook.file.limits import MAX_NAMED_CELLS

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

# What a sheet's charts may ask for: charts, points of a picture, categories of bars.
MOST_CHARTS: Final = 40
_MOST_POINTS: Final = 10_000_000
_MOST_BARS: Final = 200
_DPI: Final = 220
_INK: Final = "22303C"
_GRID: Final = "#D5DADF"
# At the smallest scale that sheets are printed at, 0.78, these are 7 points on paper.
TEXT_SIZE: Final = 9.0
_DASHES: Final = {"solid": "-", "dash": "--", "sysDash": "--", "sysDot": ":", "dot": ":"}
_DASH_DOT: Final = "-."
_MARKS: Final = {"circle": "o", "square": "s", "triangle": "^", "diamond": "D"}


def chart_picture(sheet: Worksheet, chart: Any, width: float, height: float) -> Any:
    """Return a chart of a sheet as Pillow's picture for a place of this size [pt].

    None for a kind that is not drawn, and for one whose parts, cells or numbers are not there.
    """
    if type(chart).__name__ not in ("ScatterChart", "BarChart"):
        return None
    if not 0 < width * height * (_DPI / 72) ** 2 < _MOST_POINTS:
        return None
    try:
        with warnings.catch_warnings():
            # Of signs that the type lacks, and the like.
            warnings.simplefilter("ignore")
            return _drawn(sheet, chart, width, height)
    except (ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError):
        # The library hands on whatever the file's chart lacks.
        return None


def _drawn(sheet: Worksheet, chart: Any, width: float, height: float) -> Any:
    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure
    from PIL import Image

    # A currency sign is no formula.
    with rc_context(
        {"text.parse_math": False, "font.size": TEXT_SIZE, "font.family": "DejaVu Sans"}
    ):
        figure = Figure((width / 72, height / 72), dpi=_DPI, layout="constrained")
        FigureCanvasAgg(figure)
        axes = figure.add_subplot()
        flat = type(chart).__name__ == "BarChart" and chart.type == "bar"
        if type(chart).__name__ == "BarChart":
            _bars(axes, sheet, chart, flat)
        else:
            _curves(axes, sheet, chart)
        if not _any_number(axes):
            return None
        _dress(axes, chart, flat)
        if chart.legend is not None and axes.get_legend_handles_labels()[1]:
            figure.legend(loc="outside lower center", ncols=2, frameon=False)
        file = io.BytesIO()
        figure.savefig(file, format="png")
    return Image.open(file)


def _curves(axes: Any, sheet: Worksheet, chart: Any) -> None:
    for series in chart.series:
        across, up = _numbers(sheet, series.xVal), _numbers(sheet, series.yVal)
        if all(map(math.isnan, across)):
            # Words along the axis: spreadsheet programs count them instead.
            across = [float(number) for number in range(1, len(across) + 1)]
        line = series.graphicalProperties.line
        dash = str(line.dashStyle or "solid")
        mark = str(series.marker.symbol) if series.marker is not None else ""
        axes.plot(
            across,
            up,
            color=_colour(line.solidFill),
            linestyle=_DASHES.get(dash, _DASH_DOT),
            linewidth=1.1,
            marker=_MARKS.get(mark, ""),
            markersize=3,
            label=_label(sheet, series),
        )
    axes.grid(color=_GRID, linewidth=0.5)
    axes.set_axisbelow(True)


def _bars(axes: Any, sheet: Worksheet, chart: Any, flat: bool) -> None:
    count = len(chart.series)
    # The gap between groups is told in hundredths of a bar.
    wide = 1 / (count + (chart.gapWidth or 150) / 100)
    names: list[str] = []
    for number, series in enumerate(chart.series):
        sizes = _numbers(sheet, series.val)
        if len(sizes) > _MOST_BARS:
            raise ValueError(len(sizes))
        names = [str(value) for value in _cells(sheet, series.cat)] if series.cat else names
        at = [k + (number - (count - 1) / 2) * wide for k in range(len(sizes))]
        draw = axes.barh if flat else axes.bar
        colour = _colour(series.graphicalProperties.solidFill)
        draw(at, sizes, wide, color=colour, label=_label(sheet, series))
    set_ticks = axes.set_yticks if flat else axes.set_xticks
    set_ticks(range(len(names)), names)


def _any_number(axes: Any) -> bool:
    """Whether any point or bar is drawn: bare axes would tell of numbers that are not there."""
    points = (float(value) for line in axes.lines for value in line.get_ydata())
    bars = (bar.get_width() * bar.get_height() for bar in axes.patches)
    return any(not math.isnan(value) for value in (*points, *bars))


def _dress(axes: Any, chart: Any, flat: bool) -> None:
    """Write titles and numbers along the axes; of flat bars the first axis stands upright."""
    axes.set_title(_words(chart.title), fontsize=TEXT_SIZE + 1.5, fontweight="bold")
    upright = chart.x_axis if flat else chart.y_axis
    level = chart.y_axis if flat else chart.x_axis
    for axis, given, limits, turned, label in (
        (axes.xaxis, level, axes.set_xlim, axes.xaxis_inverted, axes.set_xlabel),
        (axes.yaxis, upright, axes.set_ylim, axes.yaxis_inverted, axes.set_ylabel),
    ):
        label(_words(given.title))
        limits(given.scaling.min, given.scaling.max)
        if given.scaling.orientation == "maxMin" and not turned():
            axis.set_inverted(True)
        if given.delete:
            axis.set_visible(False)
        form = getattr(given, "number_format", None)
        code = getattr(form, "formatCode", form)
        if code and code != "General" and type(given).__name__ == "NumericAxis":
            axis.set_major_formatter(_numbered(str(code)))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _numbered(code: str) -> Callable[[float, object], str]:
    return lambda value, _: format_value(float(value), code).text


def _numbers(sheet: Worksheet, source: Any) -> list[float]:
    """Return a series' numbers; what is none is a gap."""
    return [
        float(value)
        if isinstance(value, (int, float)) and not isinstance(value, bool)
        else math.nan
        for value in _cells(sheet, source)
    ]


def _cells(sheet: Worksheet, source: Any) -> list[object]:
    return _values(sheet, str((source.numRef or source.strRef).f))


def _label(sheet: Worksheet, series: Any) -> str:
    label = series.tx
    if label is None:
        return ""
    return str(label.v if label.v is not None else _values(sheet, str(label.strRef.f))[0])


def _values(sheet: Worksheet, reference: str) -> list[object]:
    """Return the values of a range such as ``Water!$B$4:$B$9``, blanks for empty cells."""
    from openpyxl.utils.cell import range_boundaries

    title, _, area = reference.rpartition("!")
    bounds = [bound or 0 for bound in range_boundaries(area)]
    left, top, right, bottom = bounds
    book: Any = sheet.parent
    if not all(bounds) or (right - left + 1) * (bottom - top + 1) > MAX_NAMED_CELLS:
        raise ValueError(reference)
    rows = book[title.strip("'").replace("''", "'")].iter_rows(
        top, bottom, left, right, values_only=True
    )
    return ["" if value is None else value for row in rows for value in row]


def _words(title: Any) -> str:
    if title is None or title.tx is None or title.tx.rich is None:
        return ""
    return "\n".join("".join(run.t for run in line.r or ()) for line in title.tx.rich.p)


def _colour(fill: Any) -> str:
    return f"#{getattr(fill, 'srgbClr', None) or _INK}"
