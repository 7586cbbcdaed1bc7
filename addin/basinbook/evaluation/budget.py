"""How much work one workbook may ask for, counted in steps so that a limit falls the same again.

A step is a cell read, an element of an array computed, or the like; each operator and function
costs some more. Any size of array is asked for here before it is made.
"""

from __future__ import annotations

from contextvars import ContextVar
from typing import Final

from basinbook.evaluation.book import NotComputed

CELL_STEPS: Final = 3_000_000
"""For one formula; the other formulas of the workbook still get computed."""
BOOK_STEPS: Final = 60_000_000
MOST_CELLS: Final = 2_000_000
"""Of one range that is read."""
MOST_ARRAY_CELLS: Final = 200_000
"""Covered by one array formula."""
MOST_COVERED: Final = 500_000
"""Covered by all array formulas of a workbook."""
MOST_FORMULA: Final = 8_192
MOST_TEXT: Final = 32_767
"""Characters of a formula and of a text in a cell, the limits of the file format's programs."""


class Budget:
    """The steps left, for the workbook and for the formula in hand."""

    def __init__(self) -> None:
        self._book = BOOK_STEPS
        self._share = self._left = CELL_STEPS

    def next_formula(self) -> None:
        """Give the next formula its own share."""
        self._book -= self._share - self._left
        self._share = self._left = min(CELL_STEPS, self._book)

    def spend(self, steps: int) -> None:
        """Take steps off; raises NotComputed where too few are left."""
        left = self._left - steps
        if left >= 0:
            self._left = left
        elif left + CELL_STEPS < self._share:
            raise NotComputed(f"it takes more than {CELL_STEPS:,} steps to compute")
        else:
            raise NotComputed(f"the workbook takes more than {BOOK_STEPS:,} steps to compute")


CURRENT: Final[ContextVar[Budget]] = ContextVar("budget")


def spend(steps: int) -> None:
    """Take steps off the budget of the evaluation under way, if there is one."""
    if (budget := CURRENT.get(None)) is not None:
        budget.spend(steps)
