"""Doubled courses whose leaves have runs of their own, between the courses below and above.

Neither leaf has to be in bond with the other. So between one filling below and one above, the
leaves with the fewest cuts are found each by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from basinbook.engine.layout.bond.alternating import Line
from basinbook.engine.layout.bond.fillings import Filling, Listed
from basinbook.engine.layout.bond.links import compatible
from basinbook.engine.layout.budget import Budget

_GROUPS_IN_A_STEP: Final = 4


def leaves_of(line: Line) -> tuple[Line, Line]:
    """Return the two leaves of a course as courses."""
    inner = line._replace(spans=line.spans[: line.second], second=0)
    return inner, inner._replace(spans=line.spans[line.second :])


class Between(NamedTuple):
    """What the fillings below and above allow of two leaves.

    costs: by filling above, cuts of both leaves -> fillings below with which these can be had, as
    bits. down, up: of each leaf by its filling the fillings below, and by filling above its own,
    as bits.
    """

    costs: list[dict[int, int]]
    down: list[list[int]]
    up: list[list[int]]


def between(
    budget: Budget,
    below: tuple[Filling, ...] | None,
    leaves: Sequence[Listed],
    usable: Sequence[int],
    above: tuple[Filling, ...] | None,
    offset: int,
) -> Between:
    """Return what two leaves can be between two courses; None stands for no course there.

    usable: bits of each leaf's fillings that may be used.
    """
    down, up = [], []
    costs: list[dict[int, int]] = []
    for leaf in leaves:
        fillings, every = leaf.fillings, (1 << len(leaf.fillings)) - 1
        down.append(
            [1] * len(fillings)
            if below is None
            else compatible(budget, below, fillings, offset, frozenset())
        )
        up.append(
            [every] if above is None else compatible(budget, fillings, above, offset, frozenset())
        )
    groups = [
        _groups(leaf.fillings, masks, bits)
        for leaf, masks, bits in zip(leaves, down, usable, strict=True)
    ]
    each = 1 + sum(len(group) for group in groups) // _GROUPS_IN_A_STEP
    for number in range(len(up[0])):
        if not budget.take(each):
            costs.append({})
            continue
        inner, outer = (
            _reached(group, mask[number]) for group, mask in zip(groups, up, strict=True)
        )
        found: dict[int, int] = {}
        for one, of_inner in inner.items():
            for other, of_outer in outer.items():
                both = of_inner & of_outer
                if both:
                    found[one + other] = found.get(one + other, 0) | both
        costs.append(found)
    return Between(costs, down, up)


def _groups(
    fillings: Sequence[Filling], down: Sequence[int], usable: int
) -> list[tuple[int, int, int]]:
    """Return fillings with as many cuts and the same fillings below: cuts, those, own bits."""
    found: dict[tuple[int, int], int] = {}
    for number, (filling, below) in enumerate(zip(fillings, down, strict=True)):
        if usable >> number & 1 and below:
            key = filling.cuts, below
            found[key] = found.get(key, 0) | 1 << number
    return [(cuts, below, own) for (cuts, below), own in found.items()]


def _reached(groups: Sequence[tuple[int, int, int]], allowed: int) -> dict[int, int]:
    """Return cuts of a leaf -> fillings below, where some of its fillings are allowed above."""
    found: dict[int, int] = {}
    for cuts, below, own in groups:
        if own & allowed:
            found[cuts] = found.get(cuts, 0) | below
    return found


def leaf_chosen(
    links: Between,
    leaves: Sequence[Listed],
    usable: Sequence[int],
    above: int,
    below: int,
    cuts: int,
) -> Filling:
    """Return the tidiest two leaves with so many cuts between two fillings, as one filling."""
    fits = [
        [
            filling
            for number, filling in enumerate(leaf.fillings)
            if usable[side] >> number & links.up[side][above] >> number & 1
            and links.down[side][number] >> below & 1
        ]
        for side, leaf in enumerate(leaves)
    ]
    pairs = (
        (len(inner.sizes | outer.sizes), inner, outer)
        for inner in fits[0]
        for outer in fits[1]
        if inner.cuts + outer.cuts == cuts
    )
    _, inner, outer = min(pairs, key=lambda pair: pair[0])
    return Filling(
        inner.steps + outer.steps, cuts, inner.joints + outer.joints, inner.sizes | outer.sizes
    )
