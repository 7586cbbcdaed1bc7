"""Where a formula stands while it is worked out, and the sign that it has to wait."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from basinbook.evaluation.book import Cell
from basinbook.evaluation.formula_tree import Parsed


class Here(NamedTuple):
    """Where a formula stands, whether it is an array formula, and what its tree points to."""

    sheet: str
    row: int
    column: int
    is_array: bool
    parsed: Parsed
    names: int = 0
    """How many defined names deep."""

    def as_array(self) -> Here:
        """Return the same place for an argument that works on whole ranges."""
        return Here(self.sheet, self.row, self.column, True, self.parsed, self.names)

    def inside(self, parsed: Parsed, deeper: int = 0) -> Here:
        """Return the same place for another formula that is worked out there."""
        return Here(self.sheet, self.row, self.column, self.is_array, parsed, self.names + deeper)


class Needs(Exception):  # noqa: N818 - a formula put off
    """The formula reads cells that have to be computed first."""

    def __init__(self, cells: Iterable[Cell]) -> None:
        super().__init__()
        self.cells = list(dict.fromkeys(cells))
