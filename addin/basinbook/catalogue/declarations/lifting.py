"""Worksheet functions on lifting: what one person should lift, at a reach and a height."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.model import (
    Array,
    Column,
    Example,
    Group,
    choice,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import cautions, kinds, lifting
from basinbook.engine.lifting import METRIC, US, Form, Lift
from basinbook.units import shown

_CATEGORY = "Lifting"
_SOURCE = "DHHS (NIOSH) Publication 94-110, revised lifting equation"
_LIMITS = (
    "For two hands, standing, on a firm floor; the lower of the limits where the lift starts and "
    "where it ends. 0: one person should lift nothing so. Each unit system has the form of the "
    "equation that the source prints in it; they differ by about 3 %."
)
_HEIGHT = "Height of the hands above the ground where the lift"
_LIFT = Group(
    "lift",
    (
        length("reach", "From between the ankles to the hands", 0.0, 2.0),
        length("start", f"{_HEIGHT} starts", 0.0, 3.0),
        length("end", f"{_HEIGHT} ends", 0.0, 3.0),
        ratio(
            "turn", "Turn of the body away from straight ahead, degrees", 0.0, 180.0, default=0.0
        ),
        ratio("rate", "Lifts a minute; 0.2 is one in 5 minutes", 0.0, 60.0, default=0.2),
        choice("time", "How long the lifting goes on", lifting.TIMES, default=lifting.TIMES[1]),
        choice("grip", "Grip, by table 6 of the source", lifting.GRIPS, default="fair"),
    ),
    Lift,
)
_MASS = quantity("mass", kinds.MASS, "Weight of one piece", 0.0, 5000.0)


def _form(system: str) -> Form:
    return METRIC if system == "metric" else US


@worksheet_function(
    category=_CATEGORY,
    summary="Recommended weight limit for one person",
    arguments=(_LIFT,),
    result=kinds.MASS,
    source=_SOURCE,
    # 51 · 10/12 · (1 - .0075 · 15) · 1 · 1 · .95 · .95
    examples=(
        Example(("12", "15", "20"), "34 lb"),
        Example(("300", "400", "500"), "15.5 kg", units="metric"),
        Example(("26", "15", "20"), "0 lb"),
    ),
    details=_LIMITS,
)
def lift_limit(lift: Lift, system: str) -> float:
    return lifting.weight_limit(lift, _form(system))


@worksheet_function(
    category=_CATEGORY,
    summary="How many times the recommended weight limit a piece weighs",
    arguments=(_MASS, _LIFT),
    result=kinds.RATIO,
    source=_SOURCE,
    examples=(Example(("46", "12", "15", "20"), "1.351"),),
    details="Above 1 the risk grows for some, above 3 for nearly all who lift (section 1.4.3). "
    + _LIMITS,
)
def lifting_index(mass: float, lift: Lift, system: str) -> float:
    return lifting.lifting_index(mass, lifting.weight_limit(lift, _form(system)))


@worksheet_function(
    category=_CATEGORY,
    summary="The multipliers of a lift, where it starts and where it ends, and the limit there",
    arguments=(_LIFT,),
    result=Array(
        (
            *(
                Column(name, kinds.RATIO)
                for name in (
                    "horizontal", "vertical", "distance", "asymmetry", "frequency", "coupling",
                )
            ),
            Column("limit", kinds.MASS),
        )
    ),
    source=_SOURCE,
    examples=(
        Example(
            ("20", "22", "59", "0", "3", "up to 1 h"),
            "0.5\t0.94\t0.869\t1\t0.88\t0.95\t17.407\n0.5\t0.782\t0.869\t1\t0.88\t1\t15.253",
        ),
    ),
    details=_LIMITS,
)  # fmt: skip
def lift_multipliers(lift: Lift, system: str) -> Sequence[Sequence[float]]:
    return lifting.multipliers(lift, _form(system))


@worksheet_function(
    category=_CATEGORY,
    summary="Reach of one who holds a piece before the body, where it can't be measured",
    arguments=(
        length("depth", "Size of the piece away from the body", 0.0, 2.0),
        length("height", "Height of the hands above the ground", 0.0, 3.0),
    ),
    result=kinds.LENGTH,
    source=f"{_SOURCE}, section 1.3.1.1: 8 in and half the depth, 10 in where the hands are low",
    examples=(
        Example(("8", "15"), "12 in"),
        Example(("8", "6"), "14 in"),
        Example(("200", "400"), "300 mm", units="metric"),
    ),
)
def lift_reach(depth: float, height: float, system: str) -> float:
    return lifting.usual_reach(depth, height, _form(system))


@worksheet_function(
    category=_CATEGORY,
    summary="A piece's weight against one person's limit, in words",
    arguments=(_MASS, quantity("limit", kinds.MASS, "Limit, as from LIFTLIMIT", 0.0, 100.0)),
    result=kinds.TEXT,
    source=_SOURCE,
    examples=(
        Example(("31", "34"), "31 lb: within 34 lb, one person's limit at this reach and height"),
        Example(
            ("46", "34"),
            "46 lb: over 34 lb, one person's limit at this reach and height (index 1.4). Lift it "
            "by two or with a tool, or nearer, less turned and less often. Check local code.",
        ),
    ),
)
def lift_advice(mass: float, limit: float, system: str) -> str:
    weight, most = (shown(each, kinds.MASS, system) for each in (mass, limit))
    where = "one person's limit at this reach and height"
    if mass <= limit:
        return f"{weight}: within {most}, {where}"
    if not limit:
        return (
            f"{weight}: one person should lift nothing at this reach and height. Lift it with a "
            f"tool, or nearer. {cautions.LOCAL}"
        )
    how = (
        "with a tool, not by hand alone"
        if mass > 3.0 * limit
        else "by two or with a tool, or nearer, less turned and less often"
    )
    return (
        f"{weight}: over {most}, {where} (index {mass / limit:.1f}). Lift it {how}. "
        f"{cautions.LOCAL}"
    )
