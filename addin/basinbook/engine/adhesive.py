"""Construction adhesive: the beads between courses and the cartridges they take."""

from __future__ import annotations

from math import pi

from basinbook.engine.base import packs
from basinbook.engine.errors import InputError


def bead_volume(length: float, diameter: float) -> float:
    """Return the volume [m³] of a round bead of a length [m] and a diameter [m].

    Equation: V = π/4 · d² · L. Source: geometry of a cylinder, on which makers' yield tables rest.
    """
    return pi / 4.0 * diameter**2 * length


def bead_yield(cartridge: float, diameter: float) -> float:
    """Return the length of bead [m] from one cartridge [m³] at a bead diameter [m].

    Equation: L = 4 · V / (π · d²), the inverse of ``bead_volume``. Source: geometry of a cylinder.
    """
    return cartridge / bead_volume(1.0, diameter)


def cartridges(
    bed_length: float, beads: int, diameter: float, cartridge: float, waste: float = 0.0
) -> int:
    """Return the whole cartridges for beds of a length [m] with a number of beads along each.

    diameter: bead [m]; cartridge: its volume [m³]; waste: share of each cartridge's content that
    is lost, in nozzle, tail and what is wiped off [-], 0 or more and below 1.
    Equation: n = ⌈V(bed · beads, d) / (V_cartridge · (1 − w))⌉: only 1 − w of what is bought
    becomes bead. Source: geometry of a cylinder; bead and number of beads by the maker's
    instructions.
    """
    if not 0.0 <= waste < 1.0:
        raise InputError("waste", waste, "a share of each cartridge that is lost, 0 to below 1")
    return packs(bead_volume(bed_length * beads, diameter), cartridge * (1.0 - waste))
