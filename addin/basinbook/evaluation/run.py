"""What formulas and functions ask of the evaluation that they are worked out in."""

from __future__ import annotations

from typing import Protocol

from basinbook.evaluation.areas import Area, Reference
from basinbook.evaluation.book import Book, Value
from basinbook.evaluation.budget import Budget
from basinbook.evaluation.formula_tree import Name, Parsed
from basinbook.evaluation.here import Here
from basinbook.evaluation.values import Given, Rows


class Run(Protocol):
    """The evaluation of one workbook, as a formula sees it.

    Whatever reads cells raises Needs for those not computed yet, and NotComputed for those that
    can't be; ``here`` is the place of the formula that asks.
    """

    book: Book
    budget: Budget

    def rows(self, reference: Reference, *, trim: bool = False) -> Rows:
        """Return the values of a reference; of a union, in one column.

        ``trim`` leaves out cells beyond the last used row and column.
        """

    def value(self, found: Given | Reference, here: Here) -> Given:
        """Return an operand: in a plain formula, of a range the cell facing the formula."""

    def facing(self, found: Given | Reference, here: Here) -> Given | Reference:
        """Return the cell of a range that stands in the formula's own row or column."""

    def clipped(self, area: Area, *, trim: bool = False) -> Area:
        """Return an area of whole columns or rows without what lies beyond the used ones."""

    def cell(self, title: str | None, row: int, column: int, here: Here) -> Value:
        """Return the value of one cell; ``title`` None is a cell of the own sheet."""

    def area(self, area: Area, here: Here) -> Area:
        """Return a formula's area with its sheet as the book has it."""

    def named(self, name: Name, sheet: str) -> Parsed:
        """Return what a defined name stands for on a sheet."""

    def spilled(self, found: Given | Reference) -> Given | Reference:
        """Return what the array formula at one cell covers."""

    def referred(self, text: str, here: Here) -> Given | Reference:
        """Return what a text refers to (INDIRECT)."""

    def catalogue(self, function: str, arguments: list[object]) -> Given:
        """Return what a function of ours gives."""
