"""How far a price may go: parts of it with a low, a likely and a high amount."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from basinbook.engine.errors import InputError

if TYPE_CHECKING:
    import numpy as np

DRAWS: Final = 20_000
_SEED: Final = 1
_MOST_PARTS: Final = 200


class Part(NamedTuple):
    """A part of a price: its lowest, most likely and highest amount [money]."""

    low: float
    likely: float
    high: float

    @property
    def swing(self) -> float:
        """How far it moves the price from its low to its high."""
        return self.high - self.low


def sum_below(share: float, parts: Sequence[Part]) -> float:
    """Return the sum [money] that so many of all cases stay below.

    Each part is drawn from a triangle over low, likely and high, independent of the others, so
    parts that rise together must be given as one. Draws: 20,000, the same each time, spread evenly
    over each part (Latin hypercube). Raises InputError for parts that don't rise.
    Equation: x = low + √(u (high − low)(likely − low)) up to the likely value, mirrored beyond.
    Source: triangular distribution, its inverse (Evans, Hastings and Peacock, Statistical
    Distributions, 3rd ed. 2000, chapter 40; from memory); Latin hypercube (McKay, Beckman and
    Conover, Technometrics 21, 1979, pages 239 to 245; from memory).
    """
    if not 0.0 <= share <= 1.0:
        raise InputError("share", share, "give a share from 0 to 1")
    sums = _sums(_checked(parts))
    place = share * (len(sums) - 1)
    below = math.floor(place)
    above = min(below + 1, len(sums) - 1)
    return sums[below] + (place - below) * (sums[above] - sums[below])


def _checked(parts: Sequence[Part]) -> tuple[Part, ...]:
    if not parts:
        raise InputError("low", None, "give at least one part")
    if len(parts) > _MOST_PARTS:
        raise InputError("low", f"{len(parts)} parts", f"give at most {_MOST_PARTS}")
    for number, part in enumerate(parts, start=1):
        if not all(map(math.isfinite, part)):
            raise InputError("low", f"part {number}", "give plain numbers")
        if not part.low <= part.likely <= part.high:
            raise InputError(
                "likely",
                f"{part.likely:g} in part {number}",
                f"give an amount from its low {part.low:g} to its high {part.high:g}",
            )
    return tuple(parts)


# A sheet asks for several shares of the same parts.
@lru_cache(maxsize=16)
def _sums(parts: tuple[Part, ...]) -> tuple[float, ...]:
    """Return the sums of all draws, rising."""
    import numpy as np

    total = np.zeros(DRAWS)
    # Amounts beyond what a number holds end as no number, which the caller refuses.
    with np.errstate(over="ignore", invalid="ignore"):
        for (low, likely, high), drawn in zip(parts, _draws(len(parts)), strict=True):
            if high == low:
                total += low
                continue
            up = (likely - low) / (high - low)
            rising = low + np.sqrt(drawn * (high - low) * (likely - low))
            falling = high - np.sqrt((1.0 - drawn) * (high - low) * (high - likely))
            total += np.where(drawn < up, rising, falling)
    return tuple(np.sort(total).tolist())


# They are the same for other amounts of as many parts.
@lru_cache(maxsize=2)
def _draws(count: int) -> tuple[np.ndarray[Any, np.dtype[np.float64]], ...]:
    """Return the draws of so many parts, from 0 to 1."""
    import numpy as np

    generator = np.random.Generator(np.random.PCG64(_SEED))
    # One draw in each of so many equal slices, in random order.
    return tuple(
        (np.argsort(generator.random(DRAWS)) + generator.random(DRAWS)) / DRAWS
        for _ in range(count)
    )
