"""Ratios of what resists to what drives, per unit length of wall."""

from __future__ import annotations

from math import floor, isfinite

from basinbook.engine.errors import InputError


def sliding_ratio(weight: float, friction: float, thrust: float) -> float:
    """Return resisting friction over thrust, both per unit length [N/m].

    friction: coefficient under the wall or in the joint; no glue counted.
    Equation: μ · G / P. Raises InputError where there is no thrust. Source: statics.
    """
    positive("thrust", thrust)
    return friction * weight / thrust


def overturning_ratio(weight: float, lever: float, moment: float) -> float:
    """Return the weight's moment about the outer toe over that of the water.

    weight: [N/m]; lever: of the weight from the outer toe [m], half the thickness for an even
    wall; moment: of the water about the toe's height [N·m/m].
    Equation: G · a / M. Raises InputError where there is no moment. Source: statics.
    """
    positive("moment", moment)
    return weight * lever / moment


def bond_shear(thrust: float, thickness: float, glued_share: float = 1.0) -> float:
    """Return the mean shear stress [Pa] in the glue of a bed joint.

    thrust: above the joint [N/m]; thickness: depth of the joint [m]; glued_share: part of the
    joint that glue covers. Equation: τ = P / (b · s), friction not counted. Raises InputError
    without a glued share. Source: statics.
    """
    positive("glued_share", glued_share)
    return thrust / (thickness * glued_share)


def bond_ratio(allowable: float, shear: float) -> float:
    """Return the allowable over the present shear stress, both [Pa].

    Raises InputError without shear. Source: definition; the allowable is the glue maker's.
    """
    positive("shear", shear)
    return allowable / shear


def bearing_ratio(allowable: float, pressure: float) -> float:
    """Return the allowable over the present pressure, both [Pa].

    Raises InputError without pressure. Source: definition; the allowable is the user's.
    """
    positive("pressure", pressure)
    return allowable / pressure


def rounded_down(ratio: float) -> float:
    """Return a ratio of what resists to what drives, rounded down to hundredths.

    One rule for cells, tables and texts: what is shown is what is judged against a limit, and it
    is never more than there is. What is a hundredth but for the arithmetic stays.
    """
    # What is past all numbers is told as such where results are converted.
    hundredths = ratio * 100.0 + 1e-9
    return floor(hundredths) / 100.0 if isfinite(hundredths) else ratio


def positive(argument: str, value: float) -> None:
    """Raise InputError where a value is not above 0."""
    if not value > 0.0:
        raise InputError(argument, value, "allowed is more than 0")
