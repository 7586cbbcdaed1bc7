"""The revised NIOSH lifting equation: how much one person should lift, at a reach and a height.

Source: DHHS (NIOSH) Publication 94-110, Waters, Putz-Anderson, Garg: Applications Manual for the
Revised NIOSH Lifting Equation (1994, revised 2021). It gives the equation in inches and pounds and
in centimetres and kilograms; the two differ by about 3 %, so each unit system has its own form.

Validity: two hands, standing, on a firm floor, no carrying of more than a few steps, moderate
temperature, no shovel or barrow (section 1.2). It is for healthy workers and proves nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError, check_choice

_INCH: Final = 0.0254
TIMES: Final = ("up to 1 h", "up to 2 h", "up to 8 h")
"""How long the lifting goes on, with rests in between as table 5 has them."""
GRIPS: Final = ("good", "fair", "poor")


@dataclass(frozen=True)
class Form:
    """The equation in one set of units, its numbers held in SI.

    load: load constant [kg]; near: least reach and least travel [m]; far: greatest reach [m];
    knuckle: best height [m]; slope: loss of VM to a metre; travel: of DM = 0.82 + travel / D [m];
    high: greatest height and travel [m].
    """

    load: float
    near: float
    far: float
    knuckle: float
    slope: float
    travel: float
    high: float


METRIC: Final = Form(23.0, 0.25, 0.63, 0.75, 0.3, 0.045, 1.75)
US: Final = Form(
    51 * 0.45359237, 10 * _INCH, 25 * _INCH, 30 * _INCH, 0.0075 / _INCH, 1.8 * _INCH, 70 * _INCH
)

_RATES: Final = (0.2, 0.5, *map(float, range(1, 16)))
# Table 5, by time and by hands below and from 30 in (75 cm) up, a value for each rate; 0 beyond.
_FREQUENCY: Final = {
    "up to 1 h": (
        (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37),
        (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37,
         0.34, 0.31, 0.28),
    ),
    "up to 2 h": (
        (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26),
        (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21),
    ),
    "up to 8 h": (
        (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18),
        (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13),
    ),
}  # fmt: skip
# Table 7: hands below, and from 30 in (75 cm) up.
_COUPLING: Final = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.90, 0.90)}
# Heights that are the same in both forms' units may differ by rounding.
_SLACK: Final = 1e-9


class Lift(NamedTuple):
    """One lift: reach, heights of the hands [m], turn of the body [°], lifts a minute, time, grip.

    reach is from between the ankles to the hands, at both ends of the lift.
    """

    reach: float
    start: float
    end: float
    turn: float = 0.0
    rate: float = 0.2
    time: str = TIMES[0]
    grip: str = "good"


class Multipliers(NamedTuple):
    """The multipliers at one end of a lift [-], and the recommended weight limit [kg] there."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float
    limit: float


def horizontal_multiplier(reach: float, form: Form = METRIC) -> float:
    """Return HM [-] for a reach [m]: 25 cm / H, 0 beyond 63 cm (10 in and 25 in)."""
    return 0.0 if reach > form.far + _SLACK else form.near / max(form.near, reach)


def vertical_multiplier(height: float, form: Form = METRIC) -> float:
    """Return VM [-] for hands at a height [m]: 1 - 0.003 |V - 75 cm|, 0 above 175 cm."""
    if height > form.high + _SLACK:
        return 0.0
    return 1.0 - form.slope * abs(height - form.knuckle)


def distance_multiplier(travel: float, form: Form = METRIC) -> float:
    """Return DM [-] for a travel up or down [m]: 0.82 + 4.5 cm / D, 0 above 175 cm."""
    if travel > form.high + _SLACK:
        return 0.0
    return 0.82 + form.travel / max(form.near, travel)


def asymmetry_multiplier(turn: float) -> float:
    """Return AM [-] for a turn of the body [°]: 1 - 0.0032 A, 0 above 135°."""
    return 0.0 if turn > 135.0 + _SLACK else 1.0 - 0.0032 * turn


def frequency_multiplier(rate: float, time: str, height: float, form: Form = METRIC) -> float:
    """Return FM [-] of table 5 for lifts a minute, time, and height of the hands at the start [m].

    In between rates it is interpolated (section 1.3); beyond the last of its column it is 0.
    """
    check_choice("time", time, TIMES)
    column = _FREQUENCY[time][height >= form.knuckle - _SLACK]
    at = bisect_left(_RATES, rate)
    if at == 0:
        return column[0]
    if at >= len(column):
        return 0.0
    share = (rate - _RATES[at - 1]) / (_RATES[at] - _RATES[at - 1])
    return column[at - 1] + share * (column[at] - column[at - 1])


def coupling_multiplier(grip: str, height: float, form: Form = METRIC) -> float:
    """Return CM [-] of table 7 for a grip, and the height of the hands [m]."""
    check_choice("grip", grip, GRIPS)
    return _COUPLING[grip][height >= form.knuckle - _SLACK]


def multipliers(lift: Lift, form: Form = METRIC) -> tuple[Multipliers, Multipliers]:
    """Return the multipliers and the limit where a lift starts, and where it ends.

    RWL = LC · HM · VM · DM · AM · FM · CM. FM goes by the height at the start (section 1.3.5.4).
    """
    check_choice("time", lift.time, TIMES)
    check_choice("grip", lift.grip, GRIPS)
    travel = distance_multiplier(abs(lift.end - lift.start), form)
    rate = frequency_multiplier(lift.rate, lift.time, lift.start, form)

    def at(height: float) -> Multipliers:
        found = (
            horizontal_multiplier(lift.reach, form),
            vertical_multiplier(height, form),
            travel,
            asymmetry_multiplier(lift.turn),
            rate,
            coupling_multiplier(lift.grip, height, form),
        )
        limit = form.load
        for each in found:
            limit *= each
        return Multipliers(*found, limit)

    return at(lift.start), at(lift.end)


def weight_limit(lift: Lift, form: Form = METRIC) -> float:
    """Return the recommended weight limit [kg], the lower of those at start and end.

    A block is set with care, which section 2.3 calls significant control at the destination. 0
    where one person should lift nothing so.
    """
    return min(end.limit for end in multipliers(lift, form))


def lifting_index(mass: float, limit: float) -> float:
    """Return how many times the limit [kg] a mass [kg] is: LI = L / RWL.

    Raises InputError where the limit is 0: then no index exists.
    """
    if limit <= 0.0:
        raise InputError("limit", limit, "above 0; at 0 one person should lift nothing so")
    return mass / limit


def usual_reach(depth: float, height: float, form: Form = METRIC) -> float:
    """Return a reach [m] for a piece of some depth [m] in front of the body, hands at a height.

    H = 20 cm + W/2, and 25 cm + W/2 where the hands are below 25 cm (8 and 10 in): section
    1.3.1.1, for where it can't be measured.
    """
    body = form.near if height < form.near - _SLACK else 0.8 * form.near
    return body + depth / 2.0
