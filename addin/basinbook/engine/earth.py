"""Earth: what is dug, how it swells, what is hauled off or heaped, and how a base tamps down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, radians, tan
from types import MappingProxyType
from typing import Final

from basinbook.engine.errors import InputError, check_choice

_PRACTICE: Final = "common practice, no source"
_MANUAL: Final = "typical: FM 5-434, from memory; range: common practice"


@dataclass(frozen=True)
class Soil:
    """How a soil changes its volume: loose, and compacted, over what it has in the bank [-]."""

    loose: float
    compacted: float


SOILS: Final = MappingProxyType(
    {
        "sand or gravel": Soil(1.11, 0.95),
        "common earth": Soil(1.25, 0.90),
        "clay": Soil(1.43, 0.90),
        "blasted rock": Soil(1.50, 1.30),
    }
)
"""Conversion factors: FM 5-434, Earthmoving Operations (2000), soil conversion; from memory."""


@dataclass(frozen=True)
class Tamping:
    """How much loose material makes 1 of tamped [-]: from low to high, with its source."""

    low: float
    typical: float
    high: float
    source: str


TAMPING: Final = MappingProxyType(
    {
        "sand": Tamping(1.10, 1.17, 1.25, _MANUAL),
        "gravel": Tamping(1.10, 1.17, 1.25, _MANUAL),
        "stone dust": Tamping(1.15, 1.25, 1.35, _PRACTICE),
        "screenings": Tamping(1.15, 1.25, 1.35, _PRACTICE),
        "crushed stone, graded": Tamping(1.20, 1.30, 1.40, _PRACTICE),
        "crushed stone, one size": Tamping(1.05, 1.10, 1.15, _PRACTICE),
    }
)
"""Loose over tamped volume by material: to check the supplier's figure with."""


def soil(name: str) -> Soil:
    """Return a soil by its name; raises InputError listing the names."""
    check_choice("soil", name, SOILS)
    return SOILS[name]


def dig_volume(area_at: Callable[[float], float], depth: float, slope: float) -> float:
    """Return the bank volume [m³] of a dig whose sides slope back.

    area_at: gives the plan area [m²] with a further margin [m]; depth [m]; slope: run to a rise of
    1 [-]. Equation: V = d/6 · (A0 + 4 · Am + A1), the prismoidal formula, with the areas at floor,
    half depth and ground. Validity: exact where the outline's area is of second degree in its
    margin, as of rectangles with sloped sides meeting in straight edges. Source: prismoidal formula
    of solid geometry.
    """
    if depth <= 0.0:
        return 0.0
    floor, middle, ground = (area_at(slope * depth * share) for share in (0.0, 0.5, 1.0))
    return prismoid(floor, middle, ground, depth)


def prismoid(floor: float, middle: float, ground: float, depth: float) -> float:
    """Return the volume [m³] of a prismoid from three areas [m²] and its depth [m].

    Equation: V = d/6 · (A0 + 4 · Am + A1). Source: prismoidal formula of solid geometry.
    """
    return depth / 6.0 * (floor + 4.0 * middle + ground)


def swollen(bank: float, name: str) -> float:
    """Return the loose volume [m³] of what was so much in the bank [m³], by the soil's name.

    Equation: V_loose = V_bank · f. Source: FM 5-434, table of soil conversion factors, from memory.
    """
    return bank * soil(name).loose


def heap(loose: float, repose: float) -> tuple[float, float]:
    """Return diameter and height [m] of a heap of so much loose earth [m³].

    repose: angle of repose [°], above 0 and below 90. Equation: a cone, V = π D² H / 12 with
    H = D/2 · tan R, so D = (24 V / (π tan R))^(1/3). Source: geometry of a cone; Nunnally,
    Construction Methods and Management, spoil piles.
    """
    if not 0.0 < repose < 90.0:
        raise InputError("repose", repose, "an angle above 0 and below 90 degrees")
    steep = tan(radians(repose))
    diameter = (24.0 * max(0.0, loose) / (pi * steep)) ** (1.0 / 3.0)
    return diameter, diameter / 2.0 * steep


def tamping_of(material: str) -> Tamping | None:
    """Return the tamping of the material that a name speaks of, or None for none of the list."""
    words = material.casefold()
    for name, found in TAMPING.items():
        if name.partition(",")[0] in words:
            return found
    return None


def factor_note(material: str, factor: float) -> str:
    """Return in words what factor is usual for a material, and whether one lies beside it."""
    found = tamping_of(material)
    if found is None:
        return "no usual range known: ask the supplier"
    beside = "" if found.low <= factor <= found.high else f"; {factor:g} lies outside"
    return f"{found.low:g} to {found.high:g}{beside}"
