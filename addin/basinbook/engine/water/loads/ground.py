"""What the ground takes: presumptive soil values, friction, and pressure under wall and basin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.water.loads.ratios import positive
from basinbook.engine.water.volume import GRAVITY

FOOT: Final = 0.3048
_PSF: Final = 4.4482216152605 / FOOT**2


@dataclass(frozen=True)
class Soil:
    """A class of soil: presumptive bearing pressure [Pa] and friction; no friction for clay."""

    bearing: float
    friction: float | None


# International Building Code (2012), table 1806.2. Clay resists by cohesion, so it has no friction.
# Mud, organic soil, peat and unprepared fill have no presumptive value there.
SOILS: Final = {
    "bedrock": Soil(12000 * _PSF, 0.70),
    "foliated rock": Soil(4000 * _PSF, 0.35),
    "gravel": Soil(3000 * _PSF, 0.35),
    "sand": Soil(2000 * _PSF, 0.25),
    "clay": Soil(1500 * _PSF, None),
}

# NAVFAC Design Manual 7.02 (1986), table 1, ultimate friction factors: the lower end of each range
# for mass concrete on this; masonry on foundation materials has the same. On a slab: masonry on
# masonry, dressed hard rock on dressed hard rock (from memory).
FRICTIONS: Final = {
    "gravel or coarse sand": 0.55,
    "screenings or medium sand": 0.45,
    "fine sand": 0.35,
    "stiff clay": 0.30,
    "concrete slab": 0.55,
}


@dataclass(frozen=True)
class BearingPressure:
    """Pressure under a strip: greatest and least [Pa], eccentricity and contact width [m]."""

    greatest: float
    least: float
    eccentricity: float
    contact: float
    middle_third: bool


def block_density(mass: float, length: float, height: float, depth: float) -> float:
    """Return the density of a block [kg/m³] from its mass [kg] and outside sizes [m].

    Cores count as empty block, so that a wall of so much volume weighs what its blocks weigh.
    Equation: ρ = m / (l · h · d). Source: definition.
    """
    return mass / (length * height * depth)


def bearing_pressure(vertical: float, moment: float, base_width: float) -> BearingPressure:
    """Return the pressure under a strip base that can't pull on the ground.

    vertical: load per unit length [N/m]; moment: about the middle of the base [N·m/m];
    base_width: of the base [m].
    Equations: e = M / V; e ≤ B/6: q = V/B · (1 ± 6e/B); beyond, the pressed width is
    3 · (B/2 − e) and q = 2V / (3 · (B/2 − e)). Raises InputError where e reaches B/2.
    Source: Das, Principles of Foundation Engineering, chapter on eccentric footings.
    """
    positive("vertical", vertical)
    eccentricity = abs(moment) / vertical
    if eccentricity >= base_width / 2:
        raise InputError("moment", moment, "the load falls outside the base: widen the base")
    if eccentricity <= base_width / 6 * (1 + 1e-12):
        mean, part = vertical / base_width, 6 * eccentricity / base_width
        return BearingPressure(
            mean * (1 + part), max(0.0, mean * (1 - part)), eccentricity, base_width, True
        )
    contact = 3 * (base_width / 2 - eccentricity)
    return BearingPressure(2 * vertical / contact, 0.0, eccentricity, contact, False)


def spread_pressure(mass: float, length: float, width: float, depth: float = 0.0) -> float:
    """Return the mean pressure [Pa] of a mass [kg] at a depth [m] below a rectangle [m × m].

    Equation: q = m · g / ((L + z) · (W + z)): the load spreads 1 sideways to 2 down.
    At depth 0 it is the mean pressure under the rectangle itself.
    Source: 2:1 method, Das, Principles of Foundation Engineering, chapter on stress increase.
    """
    return mass * GRAVITY / ((length + depth) * (width + depth))


def toe_pressure(weight: float, lever: float, moment: float, width: float) -> BearingPressure:
    """Return the pressure under a free strip of wall, at the level it stands on.

    weight: of wall and cap [N/m]; lever: of it from the outer edge [m]; moment: of the water about
    that level [N·m/m]; width: the lowest course's [m]. Raises InputError where the strip tips.
    Equations, validity and source: those of ``bearing_pressure``, with M = G · (b/2 − a) + M_w.
    """
    return bearing_pressure(weight, weight * (width / 2.0 - lever) + moment, width)
