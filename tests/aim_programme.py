"""Other aims than the cuts for the integer programme of a basin: blocks, lengths, cost.

The pieces and their places are those of ``layout_programme``; here only what is to be least is
put in the place of the cuts. Blocks are bought whole for whole pieces and one for each way to cut
one up, all ways being written out; lengths are unknowns that a piece of that length needs.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations_with_replacement
from typing import Protocol

import numpy as np

from basinbook.engine.layout.model import Layout
from basinbook.engine.spec import BLOCKS, CUTS, LENGTHS
from layout_programme import Blocks, Programme


def _by_length(programme: Programme) -> dict[int, dict[int, float]]:
    """Return the unknowns of pieces of each length, with their leaves."""
    found: dict[int, dict[int, float]] = defaultdict(dict)
    for unknown, (length, leaves) in programme.pieces.items():
        found[length][unknown] = float(leaves)
    return found


def _ways(lengths: list[int], stock: float, kerf: float) -> list[tuple[int, ...]]:
    """Return all ways to cut pieces from one block to which no other piece could be added."""
    room = stock + kerf
    fit = [
        way
        for many in range(1, int(room // (min(lengths) + kerf)) + 1)
        for way in combinations_with_replacement(lengths, many)
        if sum(way) + many * kerf <= room + 1e-9
    ]
    return [way for way in fit if sum(way) + (len(way) + 1) * kerf + min(lengths) > room + 1e-9]


class Prices(Protocol):
    """Prices of a block bought, of a whole piece laid, and of a cut piece cut and laid."""

    @property
    def block(self) -> int: ...
    @property
    def whole(self) -> int: ...
    @property
    def cut(self) -> int: ...


def value_of(layout: Layout, aim: str, prices: Prices) -> int:
    """Return what a layout comes to in one of the aims."""
    plan = layout.blocks
    if aim == CUTS:
        return plan.cut_pieces
    if aim == LENGTHS:
        return plan.different_lengths
    if aim == BLOCKS:
        return plan.needed
    return prices.block * plan.needed + prices.whole * plan.whole + prices.cut * plan.cut_pieces


def aim_at_cost(programme: Programme, blocks: Blocks, kerf: float, prices: Prices) -> None:
    """Make the cost least; at prices 1, 0, 0 these are the blocks alone."""
    pieces = _by_length(programme)
    for length, unknowns in pieces.items():
        whole = length == blocks.length
        for unknown, leaves in unknowns.items():
            each = prices.block + prices.whole if whole else prices.cut
            programme.costs[unknown] = leaves * each
    cut_lengths = sorted(length for length in pieces if length != blocks.length)
    needs: dict[int, dict[int, float]] = {
        length: {unknown: -leaves for unknown, leaves in pieces[length].items()}
        for length in cut_lengths
    }
    for way in _ways(cut_lengths, blocks.length, kerf) if cut_lengths else []:
        bought = programme.unknown(float(prices.block), most=1000.0)
        for length in set(way):
            needs[length][bought] = float(way.count(length))
    for terms in needs.values():
        programme.row(terms, 0.0, np.inf)


def aim_at_lengths(programme: Programme, blocks: Blocks) -> None:
    """Make the number of different cut lengths least."""
    for unknown in programme.pieces:
        programme.costs[unknown] = 0.0
    for length, unknowns in _by_length(programme).items():
        if length == blocks.length:
            continue
        used = programme.unknown(1.0)
        some = list(unknowns)
        for low in range(0, len(some), 12):
            part = some[low : low + 12]
            terms = dict.fromkeys(part, 1.0)
            terms[used] = -float(len(part))
            programme.row(terms, -np.inf, 0.0)
