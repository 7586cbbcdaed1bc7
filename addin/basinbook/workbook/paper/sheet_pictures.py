"""The pictures and charts on a sheet: their size, and their place among what is printed."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from basinbook.engine.errors import InputError
from basinbook.workbook.file.limits import MAX_PICTURE_POINTS, MAX_PICTURE_POINTS_OF_A_SHEET
from basinbook.workbook.paper.charts import MOST_CHARTS, chart_picture

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_EMU = 1 / 12700  # English metric units in [pt] (ECMA-376 part 1, section 20.1.2.1).
_PIXEL = 0.75
_KINDS = ("PNG", "JPEG", "GIF", "BMP", "TIFF", "WEBP")


@dataclass(frozen=True)
class Picture:
    """A picture whose corner lies in a printed row and column; offsets and sizes [pt].

    ``last_row`` is the row that its lower edge lies in, as a place in the printed rows.
    """

    image: Any
    row: int
    column: int
    down: float
    across: float
    width: float
    height: float
    last_row: int


def pictures(
    sheet: Worksheet,
    rows: Sequence[int],
    columns: Sequence[int],
    heights: Sequence[float],
    widths: Sequence[float],
) -> list[Picture]:
    """Return the pictures and charts whose upper left corner is printed."""
    row_at = {row: i for i, row in enumerate(rows)}
    column_at = {column: i for i, column in enumerate(columns)}
    found = list(_found(sheet, row_at, column_at, heights, widths))
    points = [picture.image.size[0] * picture.image.size[1] for picture in found]
    if max(points, default=0) > MAX_PICTURE_POINTS or sum(points) > MAX_PICTURE_POINTS_OF_A_SHEET:
        raise InputError(
            f"pictures of {sheet.title!r}",
            f"{max(points) / 1e6:,.0f} million points, {sum(points) / 1e6:,.0f} together",
            f"a picture may have {MAX_PICTURE_POINTS / 1e6:g} million, those of a sheet "
            f"{MAX_PICTURE_POINTS_OF_A_SHEET / 1e6:g}; make them smaller",
        )
    return found


def _found(
    sheet: Worksheet,
    row_at: Mapping[int, int],
    column_at: Mapping[int, int],
    heights: Sequence[float],
    widths: Sequence[float],
) -> Iterator[Picture]:
    # openpyxl has no public way to a sheet's pictures and charts.
    charts = getattr(sheet, "_charts", [])[:MOST_CHARTS]
    for image in (*getattr(sheet, "_images", []), *charts):
        anchor = _anchor(image)
        corner = getattr(anchor, "_from", None)
        if corner is None or corner.row + 1 not in row_at or corner.col + 1 not in column_at:
            continue
        row, column = row_at[corner.row + 1], column_at[corner.col + 1]
        down, across = corner.rowOff * _EMU, corner.colOff * _EMU
        end = getattr(anchor, "to", None)
        if end is not None:
            height = _stretch(heights, row, row_at.get(end.row + 1), end.rowOff * _EMU) - down
            width = _stretch(widths, column, column_at.get(end.col + 1), end.colOff * _EMU) - across
        else:
            width, height = anchor.ext.width * _EMU, anchor.ext.height * _EMU
        if width > 0 and height > 0:
            last = _row_below(heights, row, down + height)
            is_chart = any(image is chart for chart in charts)
            drawn = chart_picture(sheet, image, width, height) if is_chart else _opened(image)
            if drawn is not None:
                yield Picture(drawn, row, column, down, across, width, height, last)


def _anchor(image: Any) -> Any:
    """Return the anchor, made from the cell's name for a picture that was never saved."""
    if not isinstance(image.anchor, str):
        return image.anchor
    from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, OneCellAnchor
    from openpyxl.drawing.xdr import XDRPositiveSize2D
    from openpyxl.utils.cell import coordinate_to_tuple

    row, column = coordinate_to_tuple(image.anchor)
    size = XDRPositiveSize2D(
        round(image.width * _PIXEL / _EMU), round(image.height * _PIXEL / _EMU)
    )
    return OneCellAnchor(_from=AnchorMarker(col=column - 1, row=row - 1), ext=size)


def _stretch(sizes: Sequence[float], first: int, last: int | None, rest: float) -> float:
    """Distance [pt] from the start of ``first`` to ``rest`` behind the start of ``last``."""
    if last is None:
        return sum(sizes[first:])
    return sum(sizes[first:last]) + rest


def _row_below(heights: Sequence[float], row: int, distance: float) -> int:
    while row + 1 < len(heights) and distance > heights[row] + 0.01:
        distance -= heights[row]
        row += 1
    return row


def _opened(image: Any) -> Any:
    """Return the picture as Pillow reads it; what it was read from stays open for others."""
    import io

    from PIL import Image

    source = image.ref
    if isinstance(source, Image.Image):
        return source
    if hasattr(source, "read"):
        source.seek(0)
        source = io.BytesIO(source.read())
    # Of other kinds some are drawn by programs that Pillow would start.
    try:
        with warnings.catch_warnings():
            # Its own limit is a warning; ours is a refusal.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            return Image.open(source, formats=_KINDS)
    except (OSError, ValueError, SyntaxError) as error:
        raise InputError("picture", None, f"use one of {', '.join(_KINDS)}") from error
