"""Reasons to call an engineer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basinbook.engine.water.loads.ground import FOOT
from basinbook.engine.water.loads.ratios import rounded_down

# International Building Code (2009), section 1807.2.3: sliding and overturning.
LEAST_STABILITY_RATIO: Final = 1.5
# International Building Code (2009), section 105.2: walls over 4 ft, bottom of footing to top.
PERMIT_HEIGHT: Final = 4 * FOOT
# International Residential Code (2009), section R404.4: walls that retain over 24 in.
DESIGN_DEPTH: Final = 2 * FOOT


@dataclass(frozen=True)
class Trigger:
    """A reason to call an engineer: what it is about, its number and the limit it passes."""

    subject: str
    number: float
    limit: float
    source: str


def engineer_triggers(
    wall_height: float,
    water_depth: float,
    sliding: float | None = None,
    overturning: float | None = None,
    bond: float | None = None,
    bearing: float | None = None,
    second_height: float = 0.0,
    column_height: float = 0.0,
) -> tuple[Trigger, ...]:
    """Return the reasons why this wall needs an engineer; none found is no proof of anything.

    wall_height, second_height, column_height: bottom of the base to the top [m], 0 for none;
    water_depth: [m]; the rest are ratios, None where not worked out, judged as ``rounded_down``
    shows them. Sources of the limits: model codes named in each trigger; local code goes before
    them.
    """
    found = []
    code = "IBC 2009, 1807.2.3"
    for subject, ratio, limit, source in (
        ("sliding ratio", sliding, LEAST_STABILITY_RATIO, code),
        ("overturning ratio", overturning, LEAST_STABILITY_RATIO, code),
        ("bond shear ratio", bond, 1.0, "allowable that you typed"),
        ("bearing ratio", bearing, 1.0, "allowable that you typed"),
    ):
        if ratio is not None and rounded_down(ratio) < limit:
            found.append(Trigger(subject, rounded_down(ratio), limit, source))
    for subject, number, limit, source in (
        ("wall height", wall_height, PERMIT_HEIGHT, "IBC 2009, 105.2"),
        ("second wall height", second_height, PERMIT_HEIGHT, "IBC 2009, 105.2"),
        ("column height", column_height, PERMIT_HEIGHT, "IBC 2009, 105.2"),
        ("water depth", water_depth, DESIGN_DEPTH, "IRC 2009, R404.4"),
    ):
        if number > limit * (1 + 1e-9):
            found.append(Trigger(subject, number, limit, source))
    return tuple(found)
