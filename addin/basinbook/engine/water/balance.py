"""Water balance: splash, top-up and treatment dose."""

from __future__ import annotations

from typing import Final

from basinbook.engine.errors import InputError

DAY: Final = 86400.0
WEEK_DAYS: Final = 7.0
# No source: a first guess for a smooth sheet falling well inside the walls, until the share is
# measured (``splash_share``).
SPLASH_SHARE: Final = 0.0001


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


def treatment_dose(volume: float, label_amount: float, label_volume: float) -> float:
    """Return the dose for a volume [m³], in the unit of the label's amount.

    label_amount is what the label gives for label_volume [m³].
    Equation: dose = amount · V / V_label. Source: the product's label, which binds.
    """
    return label_amount * volume / label_volume
