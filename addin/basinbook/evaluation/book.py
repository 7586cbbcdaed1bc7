"""A workbook as its evaluation needs it: values, formulas, names and tables."""

from __future__ import annotations

from dataclasses import dataclass, field

from basinbook.catalogue.model import CellError

Value = float | int | str | bool | CellError | None
Cell = tuple[str, int, int]
"""A sheet's name in capitals, and the row and column from 1."""


class NotComputed(Exception):  # noqa: N818 - an outcome to report
    """A formula that can't be computed here; its text says why."""


@dataclass(frozen=True)
class Formula:
    """A cell's formula without its equals sign; ``rows`` by ``columns`` cells if an array's."""

    text: str
    rows: int = 1
    columns: int = 1
    is_array: bool = False
    problem: str = ""
    """Why it can't be computed, where the file already tells."""


@dataclass
class Grid:
    """One sheet: its values (of formula cells: the stored ones) and formulas by row, column."""

    name: str
    values: dict[tuple[int, int], Value] = field(default_factory=dict)
    formulas: dict[tuple[int, int], Formula] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Table:
    """A table of a sheet, its rows and columns from 1, inclusive, with headers and totals."""

    sheet: str
    top: int
    left: int
    bottom: int
    columns: tuple[str, ...]
    headers: int = 1
    totals: int = 0


@dataclass
class Book:
    """A workbook to evaluate.

    ``grids``: sheets by name in capitals. ``names``: defined names' formulas by (sheet or "",
    name), both in capitals. ``tables``: by name in capitals.
    """

    grids: dict[str, Grid]
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)
    date_1904: bool = False


@dataclass(frozen=True)
class Evaluation:
    """What came out: the value of every computed cell, and what could not be computed and why.

    ``refused`` has, for cells that show an error, what our functions said of their arguments.
    """

    values: dict[Cell, Value]
    not_computed: dict[Cell, str]
    refused: dict[Cell, str]
