"""Loads besides the water: soil outside an empty basin, wind, a push; the frost is not one of them.

Water that freezes to the bottom pushes with more than any wall of block carries: no figure is given
here, the basin is drained before frost (see the cautions).
"""

from __future__ import annotations

from math import radians, sin, tan
from typing import Final

from basinbook.engine.water.loads.ratios import positive

# International Building Code, section 1607, concentrated load on a guard: 200 lb (from memory).
PUSH: Final = 200 * 4.4482216152605


def active_coefficient(friction_angle: float) -> float:
    """Return Rankine's coefficient of active earth pressure, upright wall and level soil.

    friction_angle: [degrees]. Equation: tan²(45° − φ/2). Validity: dry soil without cohesion, a
    wall that gives way. Source: Das, Principles of Foundation Engineering, lateral earth pressure.
    """
    return tan(radians(45.0 - friction_angle / 2.0)) ** 2


def rest_coefficient(friction_angle: float) -> float:
    """Return the coefficient of earth pressure at rest, for walls that can't give way.

    friction_angle: [degrees]. Equation: 1 − sin φ (Jaky, 1944). Source: as before.
    """
    return 1.0 - sin(radians(friction_angle))


def earth_thrust(coefficient: float, weight: float, height: float, surcharge: float = 0.0) -> float:
    """Return the thrust of soil on a wall per unit length [N/m].

    weight: of the soil [N/m³]; height: [m]; surcharge: on the soil behind [Pa].
    Equation: K (γ h² / 2 + q h). Source: as before.
    """
    return coefficient * (weight * height**2 / 2.0 + surcharge * height)


def earth_moment(coefficient: float, weight: float, height: float, surcharge: float = 0.0) -> float:
    """Return the moment of that thrust about the wall's foot [N·m/m].

    Equation: K (γ h³ / 6 + q h² / 2). Source: as before.
    """
    return coefficient * (weight * height**3 / 6.0 + surcharge * height**2 / 2.0)


def wind_pressure(speed: float, exposure: float = 0.85, direction: float = 0.9) -> float:
    """Return the velocity pressure of wind [Pa] from a gust's speed [m/s], 10 m over open ground.

    exposure: K_z, 0.85 up to 4.6 m in open ground, 0.57 in a town; direction: K_d, 0.9 for what is
    square. Equation: q = 0.613 K_z K_d V². Validity: level ground (K_zt = 1), 3-second gust.
    Source: ASCE 7-10, 29.3-1 and tables 29.3-1 and 26.6-1.
    """
    return 0.613 * exposure * direction * speed**2


def push_ratio(weight: float, width: float, height: float, push: float = PUSH) -> float:
    """Return how many times a push [N] at the top a free block of masonry stands.

    weight: [N]; width: the less of its foot [m]; height: [m]. Equation: G b / (2 F h).
    Source: statics; the push of the International Building Code, section 1607 (from memory).
    """
    positive("height", height)
    return weight * width / 2.0 / (push * height)
