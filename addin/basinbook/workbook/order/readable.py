"""What a sheet hides by its looks: text too pale, too small or struck out, and cells too narrow.

Such text would be sent unseen, so an order with it is refused. The limits are this program's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from basinbook.evaluation.number_format import format_value
from basinbook.workbook.paper.cell_colour import Palette, rgb

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

SMALLEST: Final = 5.0
"""Smallest letters that are read [pt]."""
LOWEST: Final = 4.0
"""Lowest row that shows anything [pt]."""
NARROWEST: Final = 0.8
"""Narrowest column that shows anything [characters]."""
LEAST_CONTRAST: Final = 1.5
_WHITE: Final = "FFFFFF"
_PALE: Final = "its letters have nearly the colour of their ground"
_SMALL: Final = f"its letters are smaller than {SMALLEST:g} pt"
_STRUCK: Final = "it is struck out"
CONDITIONAL: Final = "a conditional format may hide or change it"


@dataclass(frozen=True)
class Run:
    """A part of a cell's text with a look of its own."""

    colour: Any = None
    size: float | None = None
    strike: bool = False


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours RRGGBB, 1 to 21 (WCAG 2.1, definitions)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4))
    linear = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return sum(weight * p for weight, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def too_pale(colour: str, grounds: Iterator[str] | list[str]) -> bool:
    """Return True when text of the colour can't be told from one of its grounds."""
    return any(contrast(colour, ground) < LEAST_CONTRAST for ground in grounds)


def unseen_reason(cell: Any, palette: Palette, runs: Mapping[str, list[Run]]) -> str | None:
    """Return why a reader does not see a cell's text; None where nothing hides it.

    runs: the parts of texts with a look of their own, by the cell's name.
    """
    font = cell.font
    shown = format_value(cell.value, cell.number_format)
    colour = shown.colour or rgb(font.color, palette) or "000000"
    grounds = _grounds(cell.fill, palette)
    if not cell.protection.locked:
        # An order is sent without the fill of open cells.
        grounds = [*grounds, _WHITE]
    looks = [(colour, float(font.sz or 11), bool(font.strike))]
    for run in runs.get(cell.coordinate, []):
        looks.append((rgb(run.colour, palette) or colour, run.size or 11.0, run.strike))
    for look, size, strike in looks:
        if too_pale(look, grounds):
            return _PALE
        if not size >= SMALLEST:
            return _SMALL
        if strike:
            return _STRUCK
    return CONDITIONAL if _condition_hides(cell, colour, grounds, palette) else None


def _grounds(fill: Any, palette: Palette) -> list[str]:
    """Return every colour that a fill may put behind the text."""
    kind = fill.fill_type
    if getattr(fill, "stop", None):
        return [rgb(stop.color, palette) or _WHITE for stop in fill.stop]
    if not kind or kind == "none":
        return [_WHITE]
    if kind == "solid":
        return [rgb(fill.fgColor, palette) or _WHITE]
    return [rgb(fill.fgColor, palette) or "000000", rgb(fill.bgColor, palette) or _WHITE]


def _condition_hides(cell: Any, colour: str, grounds: list[str], palette: Palette) -> bool:
    for area in cell.parent.conditional_formatting:
        if cell.coordinate not in area.cells:
            continue
        if any(_rule_hides(rule, colour, grounds, palette) for rule in area.rules):
            return True
    return False


def _rule_hides(rule: Any, colour: str, grounds: list[str], palette: Palette) -> bool:
    for drawn in (rule.dataBar, rule.iconSet):
        if drawn is not None and drawn.showValue is False:
            return True
    if rule.colorScale is not None:
        scale = [rgb(stop, palette) or _WHITE for stop in rule.colorScale.color]
        if too_pale(colour, scale):
            return True
    look = rule.dxf
    if look is None:
        return False
    if look.numFmt is not None or (look.font is not None and look.font.strike):
        return True
    if look.fill is not None:
        grounds = _conditional_grounds(look.fill, palette) or grounds
    own = rgb(look.font.color, palette) if look.font is not None else None
    return too_pale(own or colour, grounds)


def _conditional_grounds(fill: Any, palette: Palette) -> list[str]:
    """Return a conditional format's colours: where it is plain, its colour is the second one."""
    if getattr(fill, "stop", None):
        return _grounds(fill, palette)
    plain = fill.patternType in (None, "solid")
    colours = [rgb(fill.bgColor, palette), *([] if plain else [rgb(fill.fgColor, palette)])]
    return [colour for colour in colours if colour and fill.patternType != "none"]


def theme_palette(book: Workbook) -> Palette:
    """Return the colours of a workbook's own theme and of its own list of numbered colours."""
    numbered = tuple(str(colour)[-6:] for colour in getattr(book, "_colors", ()))
    return Palette.of_theme(book.loaded_theme, numbered)


def too_narrow(sheet: Worksheet, row: int, width: float | None) -> bool:
    """Return True for a cell whose row or column is too small to show anything."""
    own = sheet.row_dimensions[row].height if row in sheet.row_dimensions else None
    height = own if own is not None else sheet.sheet_format.defaultRowHeight
    return (height is not None and height < LOWEST) or (width is not None and width < NARROWEST)
