"""The cells of a sheet part: reading values and formulas, storing results in place."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from contextlib import suppress
from functools import cached_property
from typing import Final

from lxml import etree
from openpyxl.formula.tokenizer import TokenizerError
from openpyxl.formula.translate import Translator, TranslatorError
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter, range_boundaries
from openpyxl.utils.datetime import from_ISO8601, to_excel

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Formula, Grid, Value
from basinbook.workbook.file.markup import column_number

Place = tuple[int, int]
_TRUE: Final = ("1", "true")
_ILLEGAL: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ESCAPED: Final = re.compile("_x([0-9A-Fa-f]{4})_")
_DIGITS: Final = "0123456789"
# Width of a column without its own [characters], and how many there are (ECMA-376).
_COLUMN: Final = 8.43
_MOST_COLUMNS: Final = 16384
_XML_SPACE: Final = "{http://www.w3.org/XML/1998/namespace}space"


class SheetCells:
    """A sheet part's rows and cells by place; ``changed`` tells whether anything was stored."""

    def __init__(self, root: etree._Element, shared_texts: list[str]) -> None:
        self.root = root
        self.changed = False
        self._namespace = str(root.tag).partition("}")[0] + "}"
        self._formula_tag, self._value_tag = f"{self._namespace}f", f"{self._namespace}v"
        self._inline_tag = f"{self._namespace}is"
        self._texts = shared_texts
        self._rows: dict[int, etree._Element] = {}
        self._cells: dict[Place, etree._Element] = {}
        data = root.find(f"{self._namespace}sheetData")
        self._data = data if data is not None else etree.Element("none")
        row_number = 0
        for row in self._data.iterfind(f"{self._namespace}row"):
            # Both numbers may be left out; then they count on.
            row_number = int(row.get("r", row_number + 1))
            self._rows[row_number] = row
            column = 0
            for cell in row.iterfind(f"{self._namespace}c"):
                at = cell.get("r")
                column = column_number(at.rstrip(_DIGITS)) if at else column + 1
                self._cells[row_number, column] = cell

    def grid(self, name: str) -> Grid:
        """Return the sheet's values and formulas."""
        hidden = (number for number, row in self._rows.items() if row.get("hidden") in _TRUE)
        grid = Grid(name, hidden_rows=frozenset(hidden))
        shared: dict[str, tuple[str, str]] = {}
        for place, cell in self._cells.items():
            value = self._value(cell)
            if value is not None:
                grid.values[place] = value
            formula = next(cell.iterchildren(self._formula_tag), None)
            if formula is not None:
                grid.formulas[place] = _formula(formula, place, shared)
        return grid

    def value(self, place: Place) -> Value:
        """Return the stored value of a cell; None where there is none."""
        cell = self._cells.get(place)
        return None if cell is None else self._value(cell)

    def store(self, place: Place, value: Value) -> None:
        """Make ``value`` the stored value of the cell; a blank text makes no cell of its own."""
        cell = self._cells.get(place)
        if cell is None:
            if value in ("", None):
                return
            cell = self._new_cell(place)
        elif (stored := self._value(cell)) == value and type(stored) is type(value):
            return
        kind, text = _written(value)
        for old in [*cell.iterchildren(self._value_tag, self._inline_tag)]:
            cell.remove(old)
        if kind == "n":
            cell.attrib.pop("t", "")
        else:
            cell.set("t", kind)
        # What "vm" points at describes the old value.
        cell.attrib.pop("vm", "")
        formula = next(cell.iterchildren(self._formula_tag), None)
        self.changed = True
        if value is None and formula is None:
            # Blank: an empty text would be one that is typed.
            cell.attrib.pop("t", "")
            return
        element = etree.Element(self._value_tag)
        element.text = text
        if text != text.strip():
            element.set(_XML_SPACE, "preserve")
        cell.insert(0 if formula is None else cell.index(formula) + 1, element)

    def fit_row(self, number: int, points: float) -> None:
        """Set a row's height [pt], for programs to fit anew; a row that isn't there has none."""
        row = self._rows.get(number)
        height = f"{points:g}"
        if row is None or (row.get("ht") == height and row.get("customHeight") is None):
            return
        row.set("ht", height)
        if "customHeight" in row.attrib:
            del row.attrib["customHeight"]
        self.changed = True

    @cached_property
    def _widths(self) -> dict[int, float]:
        """Return the width of each column that has its own [characters]."""
        found: dict[int, float] = {}
        for column in self.root.iterfind(f"{self._namespace}cols/{self._namespace}col"):
            with suppress(ValueError):
                first, last = (int(column.get(key, "")) for key in ("min", "max"))
                width = float(column.get("width", ""))
                found |= dict.fromkeys(range(first, min(last, _MOST_COLUMNS) + 1), width)
        return found

    @cached_property
    def _merged(self) -> dict[Place, int]:
        """Return the last column of each merged range by its first cell."""
        tag = f"{self._namespace}mergeCells/{self._namespace}mergeCell"
        found: dict[Place, int] = {}
        for merged in self.root.iterfind(tag):
            with suppress(ValueError):
                first, _, last = str(merged.get("ref")).partition(":")
                found[coordinate_to_tuple(first)] = coordinate_to_tuple(last)[1]
        return found

    def width(self, place: Place) -> float:
        """Return the width of a cell, or of the merged range that it begins [characters]."""
        last = min(self._merged.get(place, place[1]), _MOST_COLUMNS)
        return sum(self._widths.get(at, _COLUMN) for at in range(place[1], last + 1))

    def _value(self, cell: etree._Element) -> Value:
        kind = cell.get("t", "n")
        if kind == "inlineStr":
            inline = next(cell.iterchildren(self._inline_tag), None)
            return None if inline is None else rich_text(inline)
        element = next(cell.iterchildren(self._value_tag), None)
        if element is None:
            return None
        text = element.text or ""
        if kind == "s":
            index = int(text) if text.strip().isdigit() else -1
            return self._texts[index] if 0 <= index < len(self._texts) else None
        if kind == "str":
            return unescaped(text)
        if kind == "b":
            return text.strip() in _TRUE
        if kind == "e":
            return CellError(text)
        if kind == "d":
            return float(to_excel(from_ISO8601(text)))  # type: ignore[no-untyped-call]
        return _number(text)

    @cached_property
    def _columns(self) -> dict[int, list[int]]:
        """The columns that have a cell, in rising order, of each row with cells."""
        columns: dict[int, list[int]] = {}
        for row, column in sorted(self._cells):
            columns.setdefault(row, []).append(column)
        return columns

    def _new_cell(self, place: Place) -> etree._Element:
        row_number, column = place
        row = self._rows.get(row_number)
        if row is None:
            row = etree.Element(f"{self._namespace}row", r=str(row_number))
            numbers = sorted(self._rows)
            following = bisect_left(numbers, row_number)
            if following < len(numbers):
                self._rows[numbers[following]].addprevious(row)
            else:
                self._data.append(row)
            self._rows[row_number] = row
        cell = etree.Element(f"{self._namespace}c", r=f"{get_column_letter(column)}{row_number}")
        columns = self._columns.setdefault(row_number, [])
        at = bisect_right(columns, column)
        if at < len(columns):
            self._cells[row_number, columns[at]].addprevious(cell)
        elif columns:
            row.insert(row.index(self._cells[row_number, columns[-1]]) + 1, cell)
        else:
            row.insert(0, cell)
        columns.insert(at, column)
        self._cells[place] = cell
        return cell


def shared_texts(root: etree._Element) -> list[str]:
    """Return the texts of the shared-strings part."""
    return [rich_text(item) for item in root.iterfind("{*}si")]


def rich_text(item: etree._Element) -> str:
    """Return the plain text of a text with or without formatted runs."""
    return unescaped("".join(_text_runs(item)))


def _text_runs(item: etree._Element) -> Iterator[str]:
    for child in item:
        name = str(child.tag).rpartition("}")[2]
        if name == "t":
            yield child.text or ""
        elif name == "r":
            yield from _text_runs(child)


def _formula(element: etree._Element, place: Place, shared: dict[str, tuple[str, str]]) -> Formula:
    text = unescaped(element.text or "")
    kind = element.get("t", "normal")
    own = f"{get_column_letter(place[1])}{place[0]}"
    if kind == "shared":
        number = element.get("si", "")
        if text:
            shared[number] = (text, own)
        elif number in shared:
            origin, at = shared[number]
            try:
                text = Translator(f"={origin}", at).translate_formula(own)[1:]
            except (TokenizerError, TranslatorError):
                return Formula(origin, problem="the formula that it shares can't be read here")
    if kind == "dataTable":
        return Formula(text, problem="it is a data table, which can't be computed here")
    if not text:
        return Formula(text, problem="its formula is missing")
    if kind == "array":
        left, top, right, bottom = range_boundaries(element.get("ref", own))
        if left is None or top is None or right is None or bottom is None:
            return Formula(text, problem="its array has no fixed range")
        return Formula(text, bottom - top + 1, right - left + 1, is_array=True)
    return Formula(text)


def _number(text: str) -> Value:
    try:
        number = float(text)
    except ValueError:
        return None
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _written(value: Value) -> tuple[str, str]:
    """Return the type letter and text that a cell stores for a value (ECMA-376, 18.18.11)."""
    if isinstance(value, bool):
        return "b", str(int(value))
    if isinstance(value, CellError):
        return "e", value.text
    if isinstance(value, (int, float)):
        number = float(value)
        return "n", str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)
    return "str", escaped(value or "")


def escaped(text: str) -> str:
    """Write characters that XML can't hold as ``_xHHHH_``, and guard texts that look so."""
    text = _ESCAPED.sub(lambda match: f"_x005F{match[0]}", text)
    text = _ILLEGAL.sub(lambda match: f"_x{ord(match[0]):04X}_", text)
    return text.replace("\r", "_x000D_")


def unescaped(text: str) -> str:
    """Return a text with the characters that the file format writes as ``_xHHHH_``."""
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text) if "_x" in text else text
