"""Several outlets on one pump: how the flow divides between them, and what their valves must take.

From the pump one pipe runs to a manifold, from there a branch to each outlet. All heights and heads
are over the basin's water.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.water import outlets
from basinbook.engine.water.pipe import PipeRun, check_velocity, fitting_head, total_head, velocity
from basinbook.engine.water.pump import PumpCurve
from basinbook.engine.water.volume import GRAVITY
from basinbook.engine.water.weir import Lip, lip_flow, rim_flow, v_notch_flow
from basinbook.engine.water.weir_flow import THUMB, WITHIN, WeirFlow

SPOUT: Final = "spout"
HOLE: Final = "orifice"
BUBBLER: Final = "bubbler"
SCUPPER: Final = "scupper"
LIP: Final = "lip"
NOTCH: Final = "notch"
V_NOTCH: Final = "V-notch 90°"
BOWL: Final = "bowl"
OUTLETS: Final = (SPOUT, HOLE, BUBBLER, SCUPPER, LIP, NOTCH, V_NOTCH, BOWL)
"""A spout, orifice or bubbler ends the pipe; over the others water runs from a box or bowl."""
MOST_OUTLETS: Final = 4
_END_THE_PIPE: Final = (SPOUT, HOLE, BUBBLER)
# Into still water the whole velocity head is lost.
_INTO_A_POOL: Final = 1.0


@dataclass(frozen=True)
class Branch:
    """An outlet and the branch of pipe to it.

    outlet: one of ``OUTLETS``; size: diameter of hole, riser or bowl, width of lip, notch or
    scupper, of no account for spout and V-notch [m]; height: of its floor, lip or rim, of the
    middle of a spout or hole, of a riser's end [m]; run: the pipe, without lift, its fittings and
    valve in ``k_sum``; thickness: of a scupper's wall [m].
    """

    outlet: str
    size: float
    height: float
    run: PipeRun
    thickness: float = 0.0

    def __post_init__(self) -> None:
        """Refuse an outlet that is none of the list."""
        check_choice("outlets", self.outlet, OUTLETS)


class Share(NamedTuple):
    """What an outlet gets: flow [m³/s], head over it [m], velocity [m/s] in its pipe, status."""

    flow: float
    head: float
    velocity: float
    status: str


class Split(NamedTuple):
    """How a pump's flow divides: total flow [m³/s], head at the manifold [m], share of each."""

    flow: float
    head: float
    shares: tuple[Share, ...]


class Valve(NamedTuple):
    """What a branch's valve must take: K [-], head [m]; below zero the branch lacks that head."""

    k: float
    head: float


def outlet_flow(branch: Branch, head: float) -> WeirFlow:
    """Return the flow [m³/s] of an outlet with a head [m] over its height, with its status.

    Equations: a spout Q = π/4 d² √(2 g h), the pipe's bore running full; where that is less than
    fills a level pipe it needs a little less head: a rule of thumb. A hole as orifice_flow, under
    pressure at any head. Others as riser_flow, scupper_flow, lip_flow (sharp), rim_flow and
    v_notch_flow. Validity and sources: theirs.
    """
    size = branch.size
    if branch.outlet == SPOUT:
        bore = branch.run.diameter
        flow = math.pi / 4.0 * bore**2 * math.sqrt(2.0 * GRAVITY * head)
        full = outlets.spout_flow(bore, bore).flow
        return WeirFlow(flow, head, WITHIN if flow >= full else THUMB, outlets.SPOUT_SOURCE)
    if branch.outlet == HOLE:
        if head > 0.5 * size:
            return outlets.orifice_flow(head, size)
        flow = math.pi / 4.0 * size**2 * math.sqrt(2.0 * GRAVITY * head)
        flow *= outlets.orifice_coefficient(head, size)
        return WeirFlow(flow, head, THUMB, outlets.ORIFICE_SOURCE)
    if branch.outlet == BUBBLER:
        return outlets.riser_flow(head, size)
    if branch.outlet == SCUPPER:
        return outlets.scupper_flow(head, size, branch.thickness)
    if branch.outlet == BOWL:
        return rim_flow(head, size)
    if branch.outlet == V_NOTCH:
        return v_notch_flow(head, 90.0)
    return lip_flow(head, Lip(size, contractions=2 if branch.outlet == NOTCH else 0))


def _ends(branch: Branch, room: float) -> tuple[float, float]:
    """Return the least and the greatest head [m] over an outlet that are looked at."""
    low, high = 1e-7, room
    if branch.outlet == SCUPPER:
        # The boundary layer of the slab takes 0.003 of its length; contracted ends end at 3 widths.
        low = 0.003 * branch.thickness * (1.0 + 1e-6) + 1e-7
    if branch.outlet in (SCUPPER, NOTCH):
        high = min(room, 3.0 * branch.size)
    return low, high


def losses(branch: Branch, flow: float) -> float:
    """Return the head [m] that pipe, fittings, valve and a pool take of a branch's flow [m³/s]."""
    pool = 0.0 if branch.outlet in _END_THE_PIPE else _INTO_A_POOL
    run = branch.run
    return total_head(flow, run) - run.static_lift + fitting_head(pool, flow, run.diameter)


def branch_share(branch: Branch, head: float) -> Share:
    """Return what a branch gets from a head [m] at the manifold; nothing where it lies too high.

    Equation: head = height + head over the outlet + losses. Source: energy equation.
    """
    from fluids.numerics import brenth

    room = head - branch.height
    low, high = _ends(branch, room)
    if room <= low:
        return Share(0.0, 0.0, 0.0, "no flow: it lies too high")

    def excess(over: float) -> float:
        flow = outlet_flow(branch, over).flow
        return over + losses(branch, flow) - room

    if excess(low) >= 0.0:
        return Share(0.0, 0.0, 0.0, "no flow: it lies too high")
    if excess(high) < 0.0:
        raise InputError("sizes", branch.size, f"the {branch.outlet} is too small for its flow")
    over = float(brenth(excess, low, high, xtol=1e-9))  # type: ignore[no-untyped-call]
    found = outlet_flow(branch, over)
    speed = velocity(found.flow, branch.run.diameter)
    return Share(found.flow, over, speed, found.status)


def split(curve: PumpCurve, main: PipeRun, branches: Sequence[Branch]) -> Split:
    """Return how the flow of a pump divides between the branches of a manifold.

    main: the pipe from the pump to the manifold, without lift. Equation: at the total flow Q the
    manifold has H(Q) less the losses of the main; each branch takes what branch_share gives at that
    head, and all together Q. Losses in the manifold itself are those of the branches' tees, in
    their fittings. Solved by a bracketed search between the ends of the pump's table. Raises
    InputError without branches or over four, and where the pump's table does not reach. Source:
    energy and continuity, as parallel pipes in White, Fluid Mechanics.
    """
    from fluids.numerics import brenth

    if not 1 <= len(branches) <= MOST_OUTLETS:
        raise InputError("outlets", len(branches), f"give 1 to {MOST_OUTLETS} outlets")

    def head(flow: float) -> float:
        return curve.head_at(flow) - total_head(flow, main)

    def excess(flow: float) -> float:
        at = head(flow)
        return sum(branch_share(branch, at).flow for branch in branches) - flow

    first, last = curve.flows[0], curve.flows[-1]
    if excess(first) <= 0.0:
        raise InputError(
            "heights",
            min(branch.height for branch in branches),
            "the pump lifts no water to an outlet; give a pump with more head",
        )
    if excess(last) > 0.0:
        raise InputError(
            "flows",
            last,
            "the outlets take more than the table has; add points of larger flow, or throttle",
        )
    flow = float(brenth(excess, first, last, xtol=1e-9 * last))  # type: ignore[no-untyped-call]
    shares = tuple(branch_share(branch, head(flow)) for branch in branches)
    return Split(flow, head(flow), shares)


def valves(
    curve: PumpCurve, main: PipeRun, branches: Sequence[Branch], wanted: Sequence[float]
) -> tuple[Valve, ...]:
    """Return what the valve of each branch must take for the wanted flows [m³/s] of all.

    The run of a branch is without its valve. Equation: K = (H(ΣQ) - losses of the main - height -
    head over the outlet - losses)/(v²/2g) in the branch's pipe. Below zero the branch cannot have
    its flow. Raises InputError where the pump's table does not have the sum, or an outlet its flow.
    Source: energy equation; definition of the loss coefficient.
    """
    total = sum(wanted)
    for branch, flow in zip(branches, wanted, strict=True):
        if not flow > 0.0:
            raise InputError("wanted_flows", flow, "give a flow above zero")
        check_velocity(flow, branch.run.diameter, "wanted_flows")
    if not curve.flows[0] <= total <= curve.flows[-1]:
        raise InputError("wanted_flows", total, "their sum lies outside the pump's table")
    at = curve.head_at(total) - total_head(total, main)
    found = []
    for branch, flow in zip(branches, wanted, strict=True):
        spare = at - branch.height - _over(branch, flow) - losses(branch, flow)
        found.append(Valve(spare / fitting_head(1.0, flow, branch.run.diameter), spare))
    return tuple(found)


def _over(branch: Branch, flow: float) -> float:
    """Return the head [m] over an outlet at a flow [m³/s]."""
    from fluids.numerics import brenth

    low, high = _ends(branch, outlets.HIGHEST_HEAD)

    def excess(over: float) -> float:
        return outlet_flow(branch, over).flow / flow - 1.0

    if excess(low) >= 0.0 or excess(high) < 0.0:
        raise InputError("wanted_flows", flow, f"the {branch.outlet} has no such flow")
    return float(brenth(excess, low, high, xtol=1e-9))  # type: ignore[no-untyped-call]


def run_of(
    diameter: float, length: float, roughness: float, k_sum: float, viscosity: float | None
) -> PipeRun:
    """Return a pipe without lift: all lifts here are heights of outlets."""
    return PipeRun(0.0, diameter, length, roughness, k_sum, viscosity)
