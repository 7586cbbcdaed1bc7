"""Pump curves, the operating point on a pipe run, power, energy and circuit load."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.engine.water.pipe import (
    SMOOTH,
    PipeRun,
    check_velocity,
    fitting_head,
    total_head,
    total_heads,
)
from basinbook.engine.water.volume import GRAVITY, WATER_DENSITY

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

# Branch circuits carry continuous loads to 80 % of their rating (NFPA 70, 210.20(A)).
CONTINUOUS_SHARE = 0.8


@dataclass(frozen=True)
class PumpCurve:
    """A pump's published table: flows [m³/s], rising, and the head [m] at each, falling.

    Between the points the curve is taken as straight. A pump curve bends downwards, so this
    reads a little low: the careful side.
    """

    flows: tuple[float, ...]
    heads: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse tables that are too short, out of order or not falling."""
        if len(self.flows) != len(self.heads):
            raise InputError(
                "heads", f"{len(self.heads)} heads", f"give one for each of {len(self.flows)} flows"
            )
        if len(self.flows) < 3:
            raise InputError(
                "flows", f"{len(self.flows)} points", "give at least three points of the pump curve"
            )
        for name, values in (("flows", self.flows), ("heads", self.heads)):
            if min(values) < 0.0:
                raise InputError(name, min(values), "give no value below zero")
        for before, after in zip(self.flows, self.flows[1:], strict=False):
            if after <= before:
                raise InputError("flows", after, "give the flows in rising order, each once")
        for before, after in zip(self.heads, self.heads[1:], strict=False):
            if after >= before:
                raise InputError("heads", after, "the head must fall as the flow rises")

    def head_at(self, flow: float) -> float:
        """Return the head [m] at a flow [m³/s]; raises InputError outside the table.

        Equation: straight line between neighbouring points. Source: the maker's table.
        """
        flows, heads = self.flows, self.heads
        if not flows[0] <= flow <= flows[-1]:
            raise InputError("flow", flow, "it lies outside the pump's table")
        i = min(bisect_right(flows, flow), len(flows) - 1)
        share = (flow - flows[i - 1]) / (flows[i] - flows[i - 1])
        return heads[i - 1] + share * (heads[i] - heads[i - 1])


@dataclass(frozen=True)
class OperatingPoint:
    """Where pump curve and system curve meet: flow [m³/s] and head [m]."""

    flow: float
    head: float


def operating_point(curve: PumpCurve, run: PipeRun) -> OperatingPoint:
    """Return the point where a pump's curve meets the system curve of a pipe run.

    Solved by Brent's method between the table's ends, to 1e-11 of its largest flow; the system
    curve has a step where laminar flow ends, at which the method halves its way. Raises InputError
    where the curves do not meet: the pump cannot lift the water, or its table ends too early.
    """
    from fluids.numerics import brenth

    def excess(flow: float) -> float:
        return curve.head_at(flow) - total_head(flow, run)

    first, last = curve.flows[0], curve.flows[-1]
    spare, short = excess(first), excess(last)
    if spare <= 0.0:
        raise InputError(
            "static_lift",
            run.static_lift,
            "the pump curve lies below the system curve from its first point on; "
            "give a pump with more head, or lift less",
        )
    if short > 0.0:
        raise InputError(
            "flows",
            last,
            "the table ends before the pump curve meets the system curve; "
            "add points of larger flow, or throttle",
        )
    found = brenth(excess, first, last, xtol=1e-11 * last, fa=spare, fb=short)  # type: ignore[no-untyped-call]
    flow = float(found)
    return OperatingPoint(flow, curve.head_at(flow))


def operating_flows(
    curves: Sequence[PumpCurve],
    diameter: ArrayLike,
    length: ArrayLike,
    static_lift: ArrayLike,
    roughness: ArrayLike = SMOOTH,
    k_sum: ArrayLike = 0.0,
    viscosity: float | None = None,
) -> Floats:
    """Return the operating flows [m³/s] of many pumps on many pipe runs at once.

    The run arrays [m, -] are broadcast together to a shape S (pipes down and lifts across, say);
    the result has the shape (pumps, *S). NaN where the curves do not meet within the table.
    The vectorised form of operating_point: the same curve, equation, validity and source.
    """
    import numpy as np

    lift, bore, along, rough, fittings = np.broadcast_arrays(
        *(np.asarray(a, dtype=float) for a in (static_lift, diameter, length, roughness, k_sum))
    )

    def needed(flow: Floats) -> Floats:
        return total_heads(flow, lift, bore, along, rough, fittings, viscosity)

    rows = []
    for curve in curves:
        flows, heads = np.array(curve.flows), np.array(curve.heads)
        low, high = np.full(lift.shape, flows[0]), np.full(lift.shape, flows[-1])
        meets = (needed(low) < heads[0]) & (needed(high) >= heads[-1])
        # 38 halvings leave 4e-12 of the table's span.
        for _ in range(38):
            middle = 0.5 * (low + high)
            spare = np.interp(middle, flows, heads) > needed(middle)
            low, high = np.where(spare, middle, low), np.where(spare, high, middle)
        rows.append(np.where(meets, 0.5 * (low + high), np.nan))
    result: Floats = np.array(rows)
    return result


@dataclass(frozen=True)
class Match:
    """How a pump suits a wanted flow.

    flow, head: its operating point [m³/s, m]; needed, given: head of the run and of the pump at
    the wanted flow [m] (given is None where the table has no such flow); throttle_k: K [-] that a
    valve must add to bring the flow down to the wanted one (None where the flow is too small);
    friction_share: share of the head at the wanted flow that pipe and fittings take [-].
    """

    flow: float
    head: float
    needed: float
    given: float | None
    throttle_k: float | None
    friction_share: float


def match(curve: PumpCurve, run: PipeRun, wanted: float) -> Match:
    """Return how a pump on a pipe run suits a wanted flow [m³/s].

    Equation of the valve: K = (pump head - system head) / (v²/2g) at the wanted flow. Raises
    InputError without a wanted flow, for one over 100 m/s, and as operating_point does. Source:
    definition of the loss coefficient; validity as total_head.
    """
    if not wanted > 0.0:
        raise InputError("wanted_flow", wanted, "give a flow above zero")
    check_velocity(wanted, run.diameter, "wanted_flow")
    point = operating_point(curve, run)
    needed = total_head(wanted, run)
    inside = curve.flows[0] <= wanted <= curve.flows[-1]
    given = curve.head_at(wanted) if inside else None
    throttle = None
    if given is not None and given >= needed:
        throttle = (given - needed) / fitting_head(1.0, wanted, run.diameter)
    share = (needed - run.static_lift) / needed if needed > 0.0 else 0.0
    return Match(point.flow, point.head, needed, given, throttle, share)


def hydraulic_power(flow: float, head: float, efficiency: float = 1.0) -> float:
    """Return the power [W] to lift a flow [m³/s] by a head [m] at an overall efficiency [-].

    Equation: P = ρ g Q H / η with ρ = 1000 kg/m³. Raises InputError for an efficiency that is not
    above 0 and up to 1. Source: definition of work.
    """
    if not 0.0 < efficiency <= 1.0:
        raise InputError("efficiency", efficiency, "allowed is above 0 to 1")
    return WATER_DENSITY * GRAVITY * flow * head / efficiency


def energy(power: float, hours_per_day: float, days_per_year: float) -> float:
    """Return the yearly energy [J] of a power [W] for some time per day [s] and days per year.

    Equation: E = P · t. Source: definition of power.
    """
    return power * hours_per_day * days_per_year


def circuit_current(power: float, voltage: float, power_factor: float = 1.0) -> float:
    """Return the current [A] of a single-phase load [W] at a voltage [V] and power factor [-].

    Equation: I = P / (U cos φ). Raises InputError without voltage, or for a power factor that is
    not above 0 and up to 1. Source: definition of active power.
    """
    if not voltage > 0.0:
        raise InputError("voltage", voltage, "give a voltage above zero")
    if not 0.0 < power_factor <= 1.0:
        raise InputError("power_factor", power_factor, "allowed is above 0 to 1")
    return power / (voltage * power_factor)


def circuit_share(current: float, rating: float) -> float:
    """Return a continuous load [A] as a share of what a circuit of a rating [A] may carry.

    Equation: I / (0.8 rating). Source: NFPA 70 (National Electrical Code), 210.20(A): continuous
    loads, three hours or more, to 80 % of the rating. Local code governs. Raises InputError without
    a rating.
    """
    if not rating > 0.0:
        raise InputError("circuit_rating", rating, "give a rating above zero")
    return current / (CONTINUOUS_SHARE * rating)
