"""The tamped base: volume, what to order loose, weight and bags."""

from __future__ import annotations

from math import ceil

# Room for rounding, so that a quantity that fills packs exactly does not open one more.
_SLACK = 1e-9
_ROUNDING = 1e-14


def compacted_volume(area: float, thickness: float) -> float:
    """Return the volume [m³] of a tamped base of an area [m²] and a thickness [m].

    Equation: V = A · t. 4 in (100 mm) of tamped fines is common practice, no source.
    """
    return area * thickness


def loose_volume(compacted: float, compaction_factor: float) -> float:
    """Return the loose volume to order [m³] for a compacted volume [m³].

    Equation: V_loose = V · f, with f = loose / compacted, 1 or more; it belongs to the material
    (its supplier's figure; 1.1 to 1.4 is common practice, no source).
    """
    return compacted * compaction_factor


def bulk_mass(volume: float, density: float) -> float:
    """Return the mass [kg] of a loose volume [m³] at its loose bulk density [kg/m³].

    Equation: m = ρ · V. Source: definition of density.
    """
    return volume * density


def packs(quantity: float, pack_size: float) -> int:
    """Return the whole packs [count] that cover a quantity: bags, pallets, boxes, loads.

    quantity, pack_size: in one unit [any]. Equation: n = ⌈q / p⌉; a quantity that fills packs
    exactly opens no further one. Validity: pack_size above 0. Source: arithmetic.
    """
    ratio = quantity / pack_size
    return max(0, ceil(ratio - max(_SLACK, _ROUNDING * ratio)))
