"""Which fillings of neighbouring courses are in bond, as bits of whole numbers."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Final

from basinbook.engine.layout.bond.fillings import Filling
from basinbook.engine.layout.budget import Budget

_JOINTS_IN_A_STEP: Final = 36
_NEAR_AT_ONCE: Final = 1_000
_BITS_OF_A_JOINT: Final = 2_000


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
    # Fillings share their halves, so that few of these are looked at joint by joint.
    of_halves: dict[tuple[int, ...], int] = {}
    for number, filling in enumerate(below):
        bit = 1 << number
        for half in _halves(filling.joints):
            of_halves[half] = of_halves.get(half, 0) | bit
    having: dict[int, int] = {}
    for half, bits in of_halves.items():
        for at in half:
            having[at] = having.get(at, 0) | bits
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
    halves = [_halves(filling.joints) for filling in above]
    free: dict[tuple[int, ...], int] = {}
    for half in {half for both in halves for half in both}:
        bits = 0
        for at in half:
            bits |= clash[at]
        free[half] = every & ~bits
    return [free[one] & free[other] for one, other in halves]


def _halves(joints: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    middle = len(joints) // 2
    return joints[:middle], joints[middle:]
