"""Volume, weight and filling time of the water in a basin."""

from __future__ import annotations

# Standard gravity [m/s²], 3rd General Conference on Weights and Measures (1901).
GRAVITY = 9.80665
# Water at 4 °C and one atmosphere: the round figure that site work uses, 62.4 lb/ft³.
WATER_DENSITY = 1000.0


def water_volume(length: float, width: float, depth: float) -> float:
    """Return the volume of water [m³] in a rectangular basin.

    length, width: inside size [m]; depth: water depth [m].
    Equation: V = L · W · d. Source: geometry of a cuboid.
    """
    return length * width * depth


def water_weight(volume: float, density: float = WATER_DENSITY) -> float:
    """Return the mass [kg] of a volume [m³] of water of a density [kg/m³].

    Equation: m = ρ · V. Source: definition of density.
    """
    return density * volume


def fill_time(volume: float, flow: float) -> float:
    """Return the time [s] to fill a volume [m³] at a steady hose flow [m³/s].

    Equation: t = V / Q. Source: definition of volume flow.
    """
    return volume / flow
