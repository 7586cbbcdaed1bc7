"""What all weirs have in common: the flow with its status and source, and the search for a head."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from basinbook.engine.errors import InputError

WITHIN = "within the validated range"
IF_CONTRACTED = "within the validated range, if fully contracted"
BELOW = "extrapolated below the validated head"
OUTSIDE = "extrapolated outside the validated proportions"
THUMB = "rule of thumb"
STATUSES = (WITHIN, IF_CONTRACTED, BELOW, OUTSIDE, THUMB)
"""How far a flow can be trusted. The second: head and lip are those of the tests, but the size of
the pool behind them, on which it hangs too, is not known."""

# The least head of the tests behind Kindsvater and Carter's formula. Under it surface tension
# and the finish of the lip matter as much as the head.
THIN_SHEET = 0.03
# 0.2 ft: the least head of the standard weirs (USBR, Water Measurement Manual, 3rd ed., ch. 7).
LEAST_HEAD = 0.2 * 0.3048
# Higher than any sheet over a lip of a basin [m]; no formula here was tested near it.
HIGHEST_HEAD = 2.0
# A length that was turned from one unit into another may miss a limit by its last digit.
CLOSE = 1.0 + 1e-9
# Where the search for a head ends: well above what is given, so that the ends are found exactly.
BRACKET = 100.0


@dataclass(frozen=True)
class WeirFlow:
    """A flow [m³/s] at a head [m], how far it can be trusted (one of STATUSES), and its source."""

    flow: float
    head: float
    status: str
    source: str


def inverse(
    flow: float, flow_at: Callable[[float], WeirFlow], least: float, most: float
) -> WeirFlow:
    """Return the head [m] between two heads [m] at which a weir gives a flow [m³/s].

    Raises InputError without a flow, and for one that is too small or that no head up to 2 m
    gives.
    """
    from fluids.numerics import brenth

    if not flow > 0.0:
        raise InputError("flow", flow, "give a flow above zero")
    low = min(max(least, 1e-7), most)
    if flow_at(low).flow > flow:
        raise InputError("flow", flow, "the flow is too small to reach over the lip")
    if flow_at(min(most, HIGHEST_HEAD)).flow * (1.0 + 1e-9) < flow:
        raise InputError("flow", flow, "no head gives this flow here; give a wider lip")
    if flow_at(most).flow <= flow:
        return flow_at(most)

    def excess(head: float) -> float:
        return flow_at(head).flow / flow - 1.0

    head = float(brenth(excess, low, most, xtol=1e-13))  # type: ignore[no-untyped-call]
    found = flow_at(head)
    return WeirFlow(flow, head, found.status, found.source)
