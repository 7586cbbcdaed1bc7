"""Freeze and service: draining down, and whether pump and fittings come out by the gap."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.engine.errors import InputError
from basinbook.engine.water.volume import water_volume


@dataclass(frozen=True)
class DrainDown:
    """Volumes [m³] of draining down: by gravity, left to pump or bail, and out of the pipe."""

    by_gravity: float
    left: float
    pipe: float


@dataclass(frozen=True)
class AccessFit:
    """How an item goes through a gap: spare width and height [m] (negative: too big), turned.

    fits: with at least the wanted clearance in all; turned: on its side, as that fits better.
    """

    spare_width: float
    spare_height: float
    turned: bool
    fits: bool


def drain_down(
    inside_length: float,
    inside_width: float,
    water_depth: float,
    drain_level: float,
    pipe_volume: float = 0.0,
) -> DrainDown:
    """Return the volumes [m³] of a drain-down before frost.

    Lengths [m]; drain_level: height of the drain above the floor [m]: water above it runs out,
    water below stays to be pumped or bailed; pipe_volume: contents of pipe and pump [m³], which
    must be emptied too. Raises InputError where the drain is above the water.
    Equation: V = L · W · Δh. Source: geometry of a cuboid.
    """
    if drain_level > water_depth:
        raise InputError("drain_level", drain_level, "allowed is at most the water depth")
    left = water_volume(inside_length, inside_width, drain_level)
    out = water_volume(inside_length, inside_width, water_depth) - left
    return DrainDown(out, left, pipe_volume)


def access_fit(
    gap_width: float, gap_height: float, item_width: float, item_height: float, clearance: float
) -> AccessFit:
    """Return how an item fits through the access gap, upright or turned on its side.

    gap_width, gap_height, item_width, item_height: [m]; clearance: wanted spare size in width
    and in height, for hands and hose [m]. The pose whose tighter direction has more to spare is
    given. Source: geometry; the clearance is common practice, no source.
    """
    poses = (
        (gap_width - item_width, gap_height - item_height, False),
        (gap_width - item_height, gap_height - item_width, True),
    )
    width, height, turned = max(poses, key=lambda pose: min(pose[0], pose[1]))
    return AccessFit(width, height, turned, min(width, height) >= clearance - 1e-12)
