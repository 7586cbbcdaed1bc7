"""Cut plans that must be proved within the budget of a layout."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.results.cutting import Bars, Packing, every_arc, fewest_stock
from basinbook.engine.layout.results.cutting import solve_arc_flow as solve


def fewest_bars(pieces: Sequence[int], stock: int, kerf: int) -> Bars:
    """Return the bars of a cut plan that is proved to take the fewest."""
    found = fewest_stock(Budget(), pieces, stock, kerf)
    assert found.proved
    return found.bars


def by_arc_flow(
    items: Sequence[tuple[int, int]], capacity: int, bound: int, most: int, nodes: int = 1_000_000
) -> Packing:
    """Return the packing that HiGHS finds, whatever the size of its programme."""
    arcs = every_arc(items, capacity, 1_000_000)
    assert arcs is not None
    return solve(items, capacity, bound, most, arcs, nodes)
