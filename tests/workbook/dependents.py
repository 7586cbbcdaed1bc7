"""Which cells a spreadsheet works out anew after an edit: all that hang on the cell by formula."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter, range_boundaries
from openpyxl.workbook import Workbook
from openpyxl.worksheet.formula import ArrayFormula

from workbook.formula_text import formulas
from workbook.places import place

Key = tuple[str, str]
Area = tuple[str, str]


@dataclass
class Dependents:
    """The formulas of a workbook by what they read."""

    book: Workbook
    cells: dict[Key, set[Key]] = field(default_factory=lambda: defaultdict(set))
    areas: dict[Area, set[Key]] = field(default_factory=lambda: defaultdict(set))
    bounds: dict[str, list[tuple[int, int, int, int, set[Key]]]] = field(init=False)
    arrays: dict[Key, str] = field(default_factory=dict)
    direct: dict[Key, frozenset[Key]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Read every formula once."""
        for sheet, cell, text in formulas(self.book):
            for area in self._read(sheet, text):
                (self.areas if ":" in area[1] else self.cells)[area].add((sheet, cell))
            value = self.book[sheet][cell].value
            if isinstance(value, ArrayFormula):
                self.arrays[sheet, cell] = str(value.ref)
        self.bounds = defaultdict(list)
        for (sheet, area_text), readers in self.areas.items():
            self.bounds[sheet].append((*range_boundaries(area_text), readers))

    def of(self, *names: str) -> set[Key]:
        """Return all formula cells that hang on the cells of these names, however far away."""
        return self.after(place(self.book, name) for name in names)

    def after(self, edited: Iterable[Key]) -> set[Key]:
        """Return all formula cells that hang on these cells."""
        found: set[Key] = set()
        waiting = [key for edit in edited for key in self._in(*edit)]
        while waiting:
            for reader in self._readers(waiting.pop()) - found:
                found.add(reader)
                waiting += self._in(*reader)
        return found

    def _readers(self, key: Key) -> frozenset[Key]:
        """Return the formula cells that read this cell themselves."""
        if key not in self.direct:
            row, column = coordinate_to_tuple(key[1])
            readers = set(self.cells.get(key, ()))
            for low, first, high, last, here in self.bounds[key[0]]:
                if low <= column <= high and first <= row <= last:
                    readers |= here
            self.direct[key] = frozenset(readers)
        return self.direct[key]

    def _in(self, sheet: str, reference: str) -> Iterator[Key]:
        """The cells of an area, or those that an array formula in its first cell fills."""
        area = self.arrays.get((sheet, reference), reference)
        if ":" not in area:
            yield sheet, area
            return
        left, top, right, bottom = range_boundaries(area)
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                yield sheet, f"{get_column_letter(column)}{row}"

    def _read(self, sheet: str, text: str) -> Iterator[Area]:
        for token in Tokenizer(text).items:
            if token.type != Token.OPERAND or token.subtype != Token.RANGE:
                continue
            if token.value in self.book.defined_names:
                yield place(self.book, token.value)
                continue
            title, _, reference = token.value.rpartition("!")
            first, _, last = reference.replace("$", "").partition(":")
            yield title.strip("'") or sheet, first if last in ("", first) else f"{first}:{last}"
