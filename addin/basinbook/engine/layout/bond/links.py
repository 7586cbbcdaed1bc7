"""Which fillings of neighbouring courses are in bond, as bits of whole numbers."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import reduce
from operator import or_
from typing import Final

from basinbook.engine.layout.bond.fillings import Filling
from basinbook.engine.layout.budget import Budget

_JOINTS_IN_A_STEP: Final = 36
_NEAR_AT_ONCE: Final = 1_000
_BITS_OF_A_JOINT: Final = 2_000
# Of so many fillings the halves are worth looking at.
_MANY: Final = 200

_Joints = tuple[int, ...]


def tidiest_bit(bits: int, fillings: tuple[Filling, ...], used: set[int]) -> int:
    """Return the number of a filling among bits that brings the fewest new lengths."""
    best: tuple[int, int] | None = None
    for _ in range(64):
        if not bits:
            break
        number = (bits & -bits).bit_length() - 1
        bits &= bits - 1
        rank = (len(fillings[number].sizes - used), number)
        if best is None or rank < best:
            best = rank
    assert best is not None
    return best[1]


def compatible(
    budget: Budget,
    below: tuple[Filling, ...],
    above: tuple[Filling, ...],
    offset: int,
    common: frozenset[int],
) -> list[int]:
    """Return for each filling above, as bits, the fillings below that it is in bond with.

    common: joints that run on from the course below, each of which may stand over itself.
    """
    having = _having(below)
    every = (1 << len(below)) - 1
    places = sorted(having)
    joints = sum([len(filling.joints) for filling in (*below, *above)])
    budget.take(1 + joints * (1 + len(below) // _BITS_OF_A_JOINT) // _JOINTS_IN_A_STEP)
    clash: dict[int, int] = {}
    looked_at = 0
    for at in {at for filling in above for at in filling.joints}:
        bits = 0
        near = places[bisect_right(places, at - offset) : bisect_left(places, at + offset)]
        looked_at += len(near)
        if looked_at > _NEAR_AT_ONCE:
            if not budget.take(looked_at // _JOINTS_IN_A_STEP):
                return [0] * len(above)
            looked_at = 0
        for place in near:
            if place != at or at not in common:
                bits |= having[place]
        clash[at] = bits
    found = []
    if len(above) < _MANY:
        for filling in above:
            bits = 0
            for at in filling.joints:
                bits |= clash[at]
            found.append(every & ~bits)
        return found
    known: dict[_Joints, int] = {}
    for filling in above:
        bits = 0
        for half in _halves(filling.joints):
            if half not in known:
                known[half] = reduce(or_, [clash[at] for at in half], 0)
            bits |= known[half]
        found.append(every & ~bits)
    return found


def _having(fillings: Sequence[Filling]) -> dict[int, int]:
    """Return for each joint, as bits, the fillings that have it."""
    found: dict[int, int] = {}
    if len(fillings) < _MANY:
        for number, filling in enumerate(fillings):
            bit = 1 << number
            for at in filling.joints:
                found[at] = found.get(at, 0) | bit
        return found
    halves: dict[_Joints, int] = {}
    for number, filling in enumerate(fillings):
        bit = 1 << number
        for half in _halves(filling.joints):
            halves[half] = halves.get(half, 0) | bit
    for half, bits in halves.items():
        for at in half:
            found[at] = found.get(at, 0) | bits
    return found


def _halves(joints: _Joints) -> tuple[_Joints, _Joints]:
    """Return the two halves of a filling's joints, which many fillings share."""
    middle = len(joints) // 2
    return joints[:middle], joints[middle:]
