"""Water levels: what drains back when the pump stops, and how far the level rises."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.outfit import BOWL, FALLS, OVER_THE_RIM, WAYS_IN, check_effect
from basinbook.engine.water.volume import GRAVITY, water_volume

# Of a spillway, front to back: common practice, no source.
BEHIND_LIP: Final = 0.3
# Of the cylinder about a bowl: a paraboloid fills 1/2, half an ellipsoid 2/3 (geometry). In
# between: no source; measure the bowl with a bucket.
BOWL_FULLNESS: Final = 0.6


@dataclass(frozen=True)
class WaterLevel:
    """A water level: its name, depth [m], volume [m³] and height left to the rim [m]."""

    name: str
    depth: float
    volume: float
    to_rim: float


def pipe_contents(inside_diameter: float, length: float) -> float:
    """Return the water [m³] in a full pipe of an inside diameter [m] and length [m].

    Equation: V = π/4 · d² · L. Source: geometry of a cylinder.
    """
    return math.pi / 4.0 * inside_diameter**2 * length


def volume_in_air(flow: float, drop: float) -> float:
    """Return the water [m³] in the air between a lip and the basin's water.

    flow: [m³/s]; drop: height of the fall [m].
    Equation: V = Q · t, t = √(2 · h / g): free fall from rest, no air resistance.
    Validity: a sheet that falls free; water running down a wall takes longer, so holds more.
    Source: law of free fall.
    """
    return flow * math.sqrt(2.0 * drop / GRAVITY)


def over_outlet(effect: str, size: float, head: float, behind: float = BEHIND_LIP) -> float:
    """Return the water [m³] that stands over a lip, notch or rim while the pump runs.

    effect: as in ``engine.outfit``; size: width of lip or notch, diameter of a rim [m]; head: of
    the water over it [m]; behind: how far the water stands back from a lip [m].
    Equation: V = b · t · h of lip and notch, π/4 · D² · h of a bowl, 0 of another effect.
    Validity: level water; what stands below the lip stays when the pump stops.
    Raises InputError for a word that is no effect.
    Source: geometry; how far it stands back is common practice, no source.
    """
    check_effect(effect)
    if effect == BOWL:
        return math.pi / 4.0 * size**2 * head
    return size * behind * head if effect in FALLS else 0.0


def bowl_contents(diameter: float, depth: float, fullness: float = BOWL_FULLNESS) -> float:
    """Return the water [m³] in a bowl under its rim.

    diameter: of the rim [m]; depth: inside, at its middle [m]; fullness: share of the cylinder
    about it. Equation: V = c · π/4 · D² · h. Validity: c = 1/3 of a cone, 1/2 of a paraboloid, 2/3
    of half an ellipsoid, 1 of a flat tub. Source: geometry; the 0.6 in between has no source.
    """
    return fullness * math.pi / 4.0 * diameter**2 * depth


def comes_back(
    pipe: float,
    air: float,
    over: float,
    pool: float | None,
    fed: str,
    check_valve: str = "no",
) -> float:
    """Return the water [m³] that comes back into the basin when the pump stops.

    pipe, air, over: in the pipe, in the air, over lip or rim [m³]; pool: in bowl or box under lip
    or rim [m³], None where it is not known; fed: "from below", by a pipe into the floor of bowl or
    box, or "over the rim", by an open end above the water; check_valve: "yes" where one is relied
    on to hold.
    Equations: without a check valve the pipe runs empty through the pump, and what is fed from
    below runs after it: pipe + air + over + pool; fed over the rim the pool stays. With one, air +
    over. Validity: the pump and its strainer stand in the basin's water. Raises InputError where
    the pool counts and is not known. Source: balance of volumes; siphon through the pump:
    communicating vessels.
    """
    check_choice("fed", fed, WAYS_IN)
    falling = air + over
    if check_valve not in ("yes", "no"):
        raise InputError("check_valve", check_valve, "allowed are yes, no")
    if check_valve == "yes":
        return falling
    if fed == OVER_THE_RIM:
        return falling + pipe
    if pool is None:
        raise InputError(
            "pool", "blank", "give what bowl or box holds: fed from below, it runs back"
        )
    return falling + pipe + pool


def pump_cover(water_depth: float, filled: float, pump_height: float) -> float:
    """Return how deep [m] the water stands over the pump's top once all is running.

    water_depth: of the basin filled before the start [m]; filled: how far the level falls while
    pipe, air and lip or bowl fill [m]; pump_height: [m]. Negative where the pump stands out.
    Equation: c = d - Δh - p. Source: definition.
    """
    return water_depth - filled - pump_height


def drain_back_rise(volume: float, inside_length: float, inside_width: float) -> float:
    """Return how far the level rises [m] when a volume [m³] drains back into the basin.

    Equation: Δh = V / (L · W). Validity: vertical walls. Source: geometry of a cuboid.
    """
    return volume / (inside_length * inside_width)


def freeboard_left(rim_height: float, water_depth: float, rise: float) -> float:
    """Return the height [m] left below the rim after a rise [m]; negative where it spills.

    rim_height, water_depth: above the basin's floor [m]. Source: definition of freeboard.
    """
    return rim_height - water_depth - rise


def highest_operating_depth(rim_height: float, rise: float, freeboard: float) -> float:
    """Return the greatest operating depth [m] that leaves a freeboard [m] after a rise [m].

    rim_height: above the basin's floor [m]. Equation: d = rim − Δh − freeboard.
    Raises InputError where the rise and the freeboard don't fit below the rim at all.
    Source: definition of freeboard.
    """
    depth = rim_height - rise - freeboard
    if depth <= 0.0:
        raise InputError(
            "rise", rise, "rise and freeboard together must be less than the rim height"
        )
    return depth


def water_levels(
    inside_length: float,
    inside_width: float,
    rim_height: float,
    water_depth: float,
    drained_volume: float,
) -> tuple[WaterLevel, ...]:
    """Return the operating level, the level after the pump stops, and the rim.

    Lengths in metres, drained_volume [m³]: all that runs back when the pump stops. Where it
    doesn't fit, the stopped level stands at the rim's height plus what spills (to_rim negative).
    Raises InputError where the operating level is above the rim. Source: geometry of a cuboid.
    """
    if water_depth > rim_height:
        raise InputError("water_depth", water_depth, "allowed is at most the rim height")
    rise = drain_back_rise(drained_volume, inside_length, inside_width)
    depths = (
        ("operating", water_depth),
        ("pump stopped", water_depth + rise),
        ("rim", rim_height),
    )
    return tuple(
        WaterLevel(
            name, depth, water_volume(inside_length, inside_width, depth), rim_height - depth
        )
        for name, depth in depths
    )
