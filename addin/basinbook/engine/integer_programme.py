"""Integer programmes: whole numbers of least cost within bounds on their sums, by HiGHS.

Source: J. Huangfu and J. A. J. Hall, "Parallelizing the dual revised simplex method", Mathematical
Programming Computation 10, 2018; called through ``scipy.optimize.milp``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Any, Final, NamedTuple

# Statuses of ``scipy.optimize.milp``.
_OPTIMAL: Final = 0
_INFEASIBLE: Final = 2


class Solution(NamedTuple):
    """The values of least cost that were found, none where there are no values.

    proved: that no others cost less, or that there are none.
    """

    values: list[int]
    cost: float
    proved: bool


@dataclass
class IntegerProgramme:
    """Unknowns with cost and bounds, and rows low <= sum <= high; all unknowns whole."""

    costs: list[float] = field(default_factory=list)
    bounds: list[tuple[float, float]] = field(default_factory=list)
    rows: list[tuple[Mapping[int, float], float, float]] = field(default_factory=list)

    def unknown(self, cost: float, most: float, least: float = 0.0) -> int:
        """Add an unknown and return its number."""
        self.costs.append(cost)
        self.bounds.append((least, most))
        return len(self.costs) - 1

    def row(self, terms: Mapping[int, float], low: float, high: float = inf) -> None:
        """Add bounds of a sum: of each unknown in it, by number, how often it counts."""
        self.rows.append((terms, low, high))

    def matrix(self) -> Any:
        """Return how often each unknown counts in each row, as a sparse array by rows."""
        from scipy.sparse import coo_array

        entries = [
            (row, column, value)
            for row, (terms, _, _) in enumerate(self.rows)
            for column, value in terms.items()
        ]
        rows, columns, values = zip(*entries, strict=True)
        return coo_array((values, (rows, columns)), shape=(len(self.rows), len(self.costs))).tocsr()

    def solve(self, nodes: int) -> Solution:
        """Return what is found until so many nodes were branched to."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        low, high = zip(*self.bounds, strict=True)
        result = milp(
            np.array(self.costs),
            constraints=LinearConstraint(
                self.matrix(), [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            bounds=Bounds(np.array(low), np.array(high)),
            integrality=np.ones(len(self.costs)),
            options={"mip_rel_gap": 0.0, "node_limit": nodes},
        )
        if result.x is None:
            return Solution([], inf, result.status == _INFEASIBLE)
        whole = [round(value) for value in result.x]
        return Solution(whole, float(result.fun), result.status == _OPTIMAL)
