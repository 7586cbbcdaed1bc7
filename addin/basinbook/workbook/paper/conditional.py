"""Conditional formats by formula: where it is true, a cell has another font, ground or box.

These are the only kind that our templates write. Others (colour scales, bars, icons, comparisons
with a value) are not drawn, nor is a rule whose formula can't be computed here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Book, Formula, Grid, Table, Value
from basinbook.evaluation.evaluator import evaluate_book
from basinbook.workbook.file.limits import LAST_ROW
from basinbook.workbook.paper.cell_colour import rgb

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

# Characters of formulas that are read for the cells of a sheet, and what a cell counts besides; a
# template's sheet has some thousand such cells. Rules beyond are not drawn.
_MOST_WORK: Final = 450_000
_CELL_WORK: Final = 100
_NO_COLOUR: Final = "00000000"

Place = tuple[int, int]
_PLAIN: Final = (str, int, float, bool)


class Look(NamedTuple):
    """What rules change of a cell; None where they leave it as it is."""

    fill: str | None = None
    colour: str | None = None
    bold: bool | None = None
    italic: bool | None = None
    strike: bool | None = None
    border: Any = None


class Looks:
    """The looks that the rules of a workbook's sheets give, from its cached values."""

    def __init__(self, workbook: Workbook) -> None:
        self._workbook = workbook
        self._book: Book | None = None

    def of(
        self, sheet: Worksheet, rows: Sequence[int], columns: Sequence[int]
    ) -> dict[Place, Look]:
        """Return the look of each cell in these rows and columns for which a rule holds."""
        ruled = list(_ruled(sheet, rows, columns))
        if not ruled:
            return {}
        if self._book is None:
            self._book = _evaluated(self._workbook)
        name = sheet.title.upper()
        # Where no cell of the sheet is: a rule may read its own cell.
        formulas = {(LAST_ROW - i, 1): Formula(rule.formula) for i, rule in enumerate(ruled)}
        grids = dict(self._book.grids)
        grids[name] = Grid(sheet.title, grids[name].values, formulas)
        asked = [(name, *place) for place in formulas]
        values = evaluate_book(
            Book(grids, self._book.names, self._book.tables, self._book.date_1904), asked
        ).values
        found: dict[Place, Look] = {}
        ended: set[Place] = set()
        for rule, cell in zip(ruled, asked, strict=True):
            if rule.place in ended or not _holds(values.get(cell)):
                continue
            found[rule.place] = _joined(found.get(rule.place, Look()), rule.look)
            if rule.ends:
                ended.add(rule.place)
        return found


class _Ruled(NamedTuple):
    """A cell of a rule: the formula as it is for this cell, and what it gives."""

    place: Place
    formula: str
    look: Look
    ends: bool


def _ruled(sheet: Worksheet, rows: Sequence[int], columns: Sequence[int]) -> Iterator[_Ruled]:
    """Yield the cells of the sheet's rules, the first rule first."""
    listed = [
        (rule, found.sqref)
        for found in sheet.conditional_formatting
        for rule in found.rules
        if rule.type == "expression" and rule.formula and rule.dxf is not None
    ]
    work = _MOST_WORK
    for rule, ranges in sorted(listed, key=lambda item: item[0].priority or 0):
        formula, look = str(rule.formula[0]), _look(rule.dxf)
        first = min(area.min_row for area in ranges.ranges), min(a.min_col for a in ranges.ranges)
        for place in _cells(ranges, rows, columns):
            work -= _CELL_WORK + len(formula)
            if work < 0:
                return
            own = _moved(formula, first, place)
            if own is not None:
                yield _Ruled(place, own, look, bool(rule.stopIfTrue))


def _moved(formula: str, first: Place, place: Place) -> str | None:
    """Return a rule's formula, written for its first cell, for another; None for what is none."""
    from openpyxl.formula.tokenizer import TokenizerError
    from openpyxl.formula.translate import Translator, TranslatorError

    if place == first:
        return formula
    try:
        moved: str = Translator(f"={formula}", origin=_name(*first)).translate_formula(
            _name(*place)
        )
    except (TokenizerError, TranslatorError, ValueError, IndexError):
        return None
    return moved.removeprefix("=")


def _cells(ranges: Any, rows: Sequence[int], columns: Sequence[int]) -> Iterator[Place]:
    for area in ranges.ranges:
        across = [column for column in columns if area.min_col <= column <= area.max_col]
        for row in rows:
            if area.min_row <= row <= area.max_row:
                yield from ((row, column) for column in across)


def _name(row: int, column: int) -> str:
    from openpyxl.utils import get_column_letter

    return f"{get_column_letter(column)}{row}"


def _look(style: Any) -> Look:
    font = style.font
    return Look(
        _ground(style.fill),
        rgb(font.color) if font is not None else None,
        # A rule that says nothing of these is read as one that says no.
        (font.b or None) if font is not None else None,
        (font.i or None) if font is not None else None,
        (font.strike or None) if font is not None else None,
        style.border,
    )


def _ground(fill: Any) -> str | None:
    """Return the colour of a rule's ground: the second of a plain fill (ECMA-376, 18.8.14)."""
    if fill is None or getattr(fill, "fill_type", None) not in (None, "solid"):
        return None
    for colour in (fill.bgColor, fill.fgColor):
        if colour is not None and colour.rgb != _NO_COLOUR:
            return rgb(colour)
    return None


def _joined(first: Look, then: Look) -> Look:
    """Return what two rules give; of what both change, the first one's."""
    return Look(*(a if a is not None else b for a, b in zip(first, then, strict=True)))


def _holds(value: Value) -> bool:
    return isinstance(value, (bool, int, float)) and bool(value)


def _evaluated(workbook: Workbook) -> Book:
    """Return the workbook's cached values, names and tables as the evaluation takes them."""
    grids: dict[str, Grid] = {}
    names: dict[tuple[str, str], str] = {
        ("", name.upper()): defined.attr_text or ""
        for name, defined in workbook.defined_names.items()
    }
    tables: dict[str, Table] = {}
    for sheet in workbook.worksheets:
        key = sheet.title.upper()
        values = {
            place: _value(cell) for place, cell in sheet._cells.items() if cell.value is not None
        }
        grids[key] = Grid(sheet.title, values)
        for name, defined in sheet.defined_names.items():
            names[key, name.upper()] = defined.attr_text or ""
        for table in sheet.tables.values():
            # Where one has no such range, the rules that read it are not drawn.
            with suppress(ValueError, TypeError):
                tables[table.displayName.upper()] = _table(sheet.title, table)
    return Book(grids, names, tables)


def _value(cell: Any) -> Value:
    value = cell.value
    if type(value) in _PLAIN and cell.data_type != "e":
        plain: Value = value
        return plain
    from openpyxl.utils.datetime import to_excel

    if cell.data_type == "e":
        return CellError(str(value))
    if isinstance(value, (dt.date, dt.time, dt.timedelta)):
        return float(to_excel(value))  # type: ignore[no-untyped-call]
    return value if isinstance(value, (bool, int, float)) else str(value)


def _table(sheet: str, table: Any) -> Table:
    from openpyxl.utils.cell import range_boundaries

    left, top, _, bottom = range_boundaries(table.ref)
    return Table(
        sheet,
        top or 1,
        left or 1,
        bottom or LAST_ROW,
        tuple(column.name for column in table.tableColumns),
        1 if table.headerRowCount is None else table.headerRowCount,
        table.totalsRowCount or 0,
    )
