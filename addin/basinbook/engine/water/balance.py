"""Water balance: levels, drain-back, losses, top-up, leak test and treatment dose."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.outfit import BOWL, FALLS
from basinbook.engine.water.volume import water_volume

# Standard gravity, 3rd General Conference on Weights and Measures (1901).
GRAVITY: Final = 9.80665
DAY: Final = 86400.0
WEEK_DAYS: Final = 7.0
# Of a spillway, front to back: common practice, no source.
BEHIND_LIP: Final = 0.3
# No source: a first guess for a smooth sheet falling well inside the walls, until the share is
# measured (``splash_share``).
SPLASH_SHARE: Final = 0.0001
# Kohler, Nordenson and Fox (1955), US Weather Bureau Research Paper 38: mean annual ratio of
# lake to Class A pan evaporation. A bucket standing in the basin's own water is taken as 1.
PAN_COEFFICIENTS: Final = {"bucket": 1.0, "pan": 0.70, "computed": 1.0}
# No source: what a careful reading of a pencil mark against a rule is good for.
READING_ERROR: Final = 0.001
# No source: order of the spread between the two evaporation methods, and of a pan coefficient.
REFERENCE_UNCERTAINTY: Final = {"bucket": 0.10, "pan": 0.20, "computed": 0.30}


@dataclass(frozen=True)
class WaterLevel:
    """A water level: its name, depth [m], volume [m³] and height left to the rim [m]."""

    name: str
    depth: float
    volume: float
    to_rim: float


@dataclass(frozen=True)
class LeakTest:
    """What a drop of the water level says.

    drop, expected: measured and explained drop [m]; uncertainty: of their difference [m];
    threshold: drop [m] above which evaporation doesn't explain it; leak: volume rate [m³/s] of
    the difference (negative: the level fell less than expected); leak_uncertainty: [m³/s];
    verdict: "more", "within" or "less".
    """

    drop: float
    expected: float
    uncertainty: float
    threshold: float
    leak: float
    leak_uncertainty: float
    verdict: str


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
    Source: geometry; how far it stands back is common practice, no source.
    """
    if effect == BOWL:
        return math.pi / 4.0 * size**2 * head
    return size * behind * head if effect in FALLS else 0.0


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


def splash_loss(flow: float, share: float, running: float = DAY) -> float:
    """Return the water splashed out in a day [m³].

    flow: [m³/s]; share: part of the flow that leaves the basin; running: time a day [s].
    Equation: V = Q · s · t. Source: definition; the share has no published value and is best
    measured (``splash_share``).
    """
    return flow * share * running


def splash_share(
    drop_running: float, drop_still: float, area: float, flow: float, duration: float
) -> float:
    """Return the share of the flow that splashes out, from two drops over the same time.

    drop_running, drop_still: drop of the level [m] with the pump running and stopped; area:
    water surface [m²]; flow: [m³/s]; duration: of each test [s].
    Equation: s = (d₁ − d₀) · A / (Q · t). Raises InputError where the level fell less with the
    pump running. Source: balance of volumes.
    """
    if drop_running < drop_still:
        raise InputError(
            "drop_running", drop_running, "it must be at least the drop with the pump stopped"
        )
    return (drop_running - drop_still) * area / (flow * duration)


def top_up(evaporation: float, area: float, splash: float, days: float = WEEK_DAYS) -> float:
    """Return the water to top up [m³] in a number of days, without rain.

    evaporation: [m/s]; area: water surface [m²]; splash: [m³] a day.
    Equation: V = (E · A · 86 400 + S) · n. Source: balance of volumes.
    """
    return (evaporation * area * DAY + splash) * days


def leak_test(
    drop: float,
    reference_drop: float,
    duration: float,
    area: float,
    reference: str = "bucket",
    uncertainty: float | None = None,
    reading_error: float = READING_ERROR,
) -> LeakTest:
    """Return what a drop of the level says, beside the evaporation over the same time.

    drop: of the basin's level [m], pump stopped, no rain, no filling; reference_drop: of the
    reference [m]; duration: of the test [s]; area: water surface [m²]; reference: "bucket"
    standing in the basin, Class A "pan" or "computed" evaporation; uncertainty: of the
    reference, as a part of the expected drop (None for the default); reading_error: of one
    reading [m].
    Equations: expected = k · reference drop; uncertainty = √((r · expected)² + n · δ²), n = 2
    readings for the basin and 2 for a measured reference; threshold = expected + uncertainty.
    Validity: tests of 12 to 72 h. Raises InputError outside.
    Source: combination of standard uncertainties, JCGM 100:2008, section 5.1; pan coefficient
    Kohler, Nordenson and Fox (1955). The bucket as a reference is common practice.
    """
    if reference not in PAN_COEFFICIENTS:
        raise InputError("reference", reference, f"allowed are {', '.join(PAN_COEFFICIENTS)}")
    if not 12 * 3600.0 * (1 - 1e-9) <= duration <= 72 * 3600.0 * (1 + 1e-9):
        raise InputError("duration", duration, "allowed is 12 to 72 h")
    part = REFERENCE_UNCERTAINTY[reference] if uncertainty is None else uncertainty
    expected = PAN_COEFFICIENTS[reference] * reference_drop
    readings = 2 if reference == "computed" else 4
    spread = math.hypot(part * expected, math.sqrt(readings) * reading_error)
    difference = drop - expected
    verdict = "within"
    if abs(difference) > spread:
        verdict = "more" if difference > 0.0 else "less"
    return LeakTest(
        drop=drop,
        expected=expected,
        uncertainty=spread,
        threshold=expected + spread,
        leak=difference * area / duration,
        leak_uncertainty=spread * area / duration,
        verdict=verdict,
    )


def treatment_dose(volume: float, label_amount: float, label_volume: float) -> float:
    """Return the dose for a volume [m³], in the unit of the label's amount.

    label_amount is what the label gives for label_volume [m³].
    Equation: dose = amount · V / V_label. Source: the product's label, which binds.
    """
    return label_amount * volume / label_volume
