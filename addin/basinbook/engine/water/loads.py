"""Loads of the water on the walls and of the basin on the ground.

A wall is taken as a free strip of unit length that stands alone, as if corners, columns and
returns gave no help: on the cautious side. Water reaches the wall through the liner over its
full depth; none stands under the wall (no uplift). Results are ratios of what resists to what
drives; they are no design and no proof of stability.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, isfinite
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.water.balance import GRAVITY
from basinbook.engine.water.volume import WATER_DENSITY

FOOT: Final = 0.3048
_PSF: Final = 4.4482216152605 / FOOT**2

# International Building Code (2009), section 1807.2.3: sliding and overturning.
LEAST_STABILITY_RATIO: Final = 1.5
# International Building Code (2009), section 105.2: walls over 4 ft, bottom of footing to top.
PERMIT_HEIGHT: Final = 4 * FOOT
# International Residential Code (2009), section R404.4: walls that retain over 24 in.
DESIGN_DEPTH: Final = 2 * FOOT


@dataclass(frozen=True)
class Soil:
    """A class of soil: presumptive bearing pressure [Pa] and friction; no friction for clay."""

    bearing: float
    friction: float | None


# International Building Code (2012), table 1806.2. Clay resists by cohesion, so it has no friction.
# Mud, organic soil, peat and unprepared fill have no presumptive value there.
SOILS: Final = {
    "bedrock": Soil(12000 * _PSF, 0.70),
    "foliated rock": Soil(4000 * _PSF, 0.35),
    "gravel": Soil(3000 * _PSF, 0.35),
    "sand": Soil(2000 * _PSF, 0.25),
    "clay": Soil(1500 * _PSF, None),
}


class Band(NamedTuple):
    """What lies across a wall: from where to where [m], outward from the wall's inner face."""

    inner: float
    outer: float


@dataclass(frozen=True)
class StripCourse:
    """One course of a strip: its number, bed and height [m], and its leaves across the wall."""

    course: int
    bed: float
    height: float
    bands: tuple[Band, ...]

    @property
    def inner(self) -> float:
        """Where its inner face lies, outward from the wall's [m]."""
        return min(band.inner for band in self.bands)

    @property
    def outer(self) -> float:
        """Where its outer face lies, outward from the wall's inner face [m]."""
        return max(band.outer for band in self.bands)

    @property
    def thickness(self) -> float:
        """From its inner to its outer face [m]; between two leaves is a joint."""
        return self.outer - self.inner


@dataclass(frozen=True)
class WallStrip:
    """A strip of unit length of a wall: its courses from the base up, and its cap."""

    courses: tuple[StripCourse, ...]
    cap: StripCourse | None


@dataclass(frozen=True)
class JointLoad:
    """What a bed joint carries, per unit length of wall; the joint is under its course.

    height: of the course's bed above the base [m]; water: depth of water above the joint's
    underside [m]; thrust: [N/m]; weight: of wall and cap above it [N/m]; lever: of that weight
    from the outer edge of the joint [m], below 0 where it tips outward by itself; sliding,
    overturning: ratios without glue (None where no water stands above, 0 where the weight tips
    by itself); shear: stress in the glue [Pa]; bond: allowable to shear (None without water or
    allowable); pressed: the joint is pressed over its whole depth even without glue (resultant in
    the middle third).
    """

    course: int
    height: float
    water: float
    thrust: float
    weight: float
    lever: float
    sliding: float | None
    overturning: float | None
    shear: float
    bond: float | None
    pressed: bool


class Least(NamedTuple):
    """The least of a ratio over the bed joints, and the course over that joint."""

    ratio: float
    course: int


@dataclass(frozen=True)
class WallLoad:
    """What is least favourable of some walls, per unit length.

    weight: of the lightest wall on the base [N/m]; lever: least one of a wall's weight from the
    outer edge of its lowest joint [m]; sliding, overturning, bond: least ratios over all bed
    joints, bond None without an allowable.
    """

    weight: float
    lever: float
    sliding: Least
    overturning: Least
    bond: Least | None


@dataclass(frozen=True)
class BearingPressure:
    """Pressure under a strip: greatest and least [Pa], eccentricity and contact width [m]."""

    greatest: float
    least: float
    eccentricity: float
    contact: float
    middle_third: bool


class PressureAt(NamedTuple):
    """The pressure of the water [Pa] at a depth [m]."""

    depth: float
    pressure: float


@dataclass(frozen=True)
class Trigger:
    """A reason to call an engineer: what it is about, its number and the limit it passes."""

    subject: str
    number: float
    limit: float
    source: str


def water_pressure(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the pressure of still water [Pa] over that of the air, at a depth [m].

    density: [kg/m³]. Equation: p = ρ · g · h. Source: hydrostatics.
    """
    return density * GRAVITY * depth


def pressure_table(
    depth: float, steps: int, density: float = WATER_DENSITY
) -> tuple[PressureAt, ...]:
    """Return depths [m] from 0 to ``depth`` in equal steps, each with its pressure [Pa].

    The result has steps + 1 rows. Equation and source: those of ``water_pressure``. Raises
    InputError for fewer than one step.
    """
    if steps < 1:
        raise InputError("steps", steps, "allowed is 1 or more")
    depths = (depth * step / steps for step in range(steps + 1))
    return tuple(PressureAt(each, water_pressure(each, density)) for each in depths)


def wall_thrust(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the thrust of water of a depth [m] per unit length of wall [N/m].

    It acts at a third of the depth above the floor. Equation: P = ρ · g · h² / 2.
    Source: hydrostatics.
    """
    return water_pressure(depth, density) * depth / 2.0


def wall_force(depth: float, length: float, density: float = WATER_DENSITY) -> float:
    """Return the thrust on a whole wall of an inside length [m], as a force [N].

    depth: of the water [m]; density: [kg/m³]. Equation: F = P · L. Source: hydrostatics.
    """
    return wall_thrust(depth, density) * length


def water_moment(depth: float, density: float = WATER_DENSITY) -> float:
    """Return the moment of the thrust about the floor, per unit length [N·m/m].

    Equation: M = P · h / 3 = ρ · g · h³ / 6. Source: hydrostatics.
    """
    return wall_thrust(depth, density) * depth / 3.0


def wall_weight(
    thickness: float,
    height: float,
    density: float,
    cap_depth: float = 0.0,
    cap_height: float = 0.0,
) -> float:
    """Return the weight of a wall per unit length [N/m].

    thickness, height: of the block wall [m]; density: of block and cap [kg/m³], cores counted
    as empty; cap_depth, cap_height: of the cap's section [m]. Equation: G = ρ · g · A. Source:
    definition of weight.
    """
    return density * GRAVITY * (thickness * height + cap_depth * cap_height)


def sliding_ratio(weight: float, friction: float, thrust: float) -> float:
    """Return resisting friction over thrust, both per unit length [N/m].

    friction: coefficient under the wall or in the joint; no glue counted.
    Equation: μ · G / P. Raises InputError where there is no thrust. Source: statics.
    """
    _positive("thrust", thrust)
    return friction * weight / thrust


def overturning_ratio(weight: float, lever: float, moment: float) -> float:
    """Return the weight's moment about the outer toe over that of the water.

    weight: [N/m]; lever: of the weight from the outer toe [m], half the thickness for an even
    wall; moment: of the water about the toe's height [N·m/m].
    Equation: G · a / M. Raises InputError where there is no moment. Source: statics.
    """
    _positive("moment", moment)
    return weight * lever / moment


def bond_shear(thrust: float, thickness: float, glued_share: float = 1.0) -> float:
    """Return the mean shear stress [Pa] in the glue of a bed joint.

    thrust: above the joint [N/m]; thickness: depth of the joint [m]; glued_share: part of the
    joint that glue covers. Equation: τ = P / (b · s), friction not counted. Raises InputError
    without a glued share. Source: statics.
    """
    _positive("glued_share", glued_share)
    return thrust / (thickness * glued_share)


def bond_ratio(allowable: float, shear: float) -> float:
    """Return the allowable over the present shear stress, both [Pa].

    Raises InputError without shear. Source: definition; the allowable is the glue maker's.
    """
    _positive("shear", shear)
    return allowable / shear


def rounded_down(ratio: float) -> float:
    """Return a ratio of what resists to what drives, rounded down to hundredths.

    One rule for cells, tables and texts: what is shown is what is judged against a limit, and it
    is never more than there is. What is a hundredth but for the arithmetic stays.
    """
    # What is past all numbers is told as such where results are converted.
    return floor(ratio * 100.0 + 1e-9) / 100.0 if isfinite(ratio) else ratio


def even_strip(
    thickness: float,
    course_height: float,
    courses: int,
    cap_depth: float = 0.0,
    cap_height: float = 0.0,
) -> WallStrip:
    """Return a strip whose courses are all alike, without joints, its cap over its middle [m]."""
    rows = tuple(
        StripCourse(course, (course - 1) * course_height, course_height, (Band(0.0, thickness),))
        for course in range(1, courses + 1)
    )
    if not cap_depth or not cap_height:
        return WallStrip(rows, None)
    over = (cap_depth - thickness) / 2.0
    band = Band(-over, thickness + over)
    return WallStrip(rows, StripCourse(courses + 1, courses * course_height, cap_height, (band,)))


def joint_loads(
    thickness: float,
    course_height: float,
    courses: int,
    water_depth: float,
    block_density: float,
    friction: float,
    allowable: float = 0.0,
    glued_share: float = 1.0,
    cap_depth: float = 0.0,
    cap_height: float = 0.0,
) -> tuple[JointLoad, ...]:
    """Return what each bed joint of an even wall carries, from the base up.

    thickness, course_height, water_depth, cap_depth, cap_height: [m], the water's depth above
    the base; the rest as ``strip_loads`` takes it, of which this is the plain case.
    """
    strip = even_strip(thickness, course_height, courses, cap_depth, cap_height)
    return strip_loads(strip, water_depth, block_density, friction, allowable, glued_share)


def strip_loads(
    strip: WallStrip,
    water_depth: float,
    block_density: float,
    friction: float,
    allowable: float = 0.0,
    glued_share: float = 1.0,
) -> tuple[JointLoad, ...]:
    """Return what each bed joint of a strip carries, from the base up (course 1 is on the base).

    water_depth: above the base [m]; block_density: of block and cap [kg/m³], bed joints counted
    as empty; friction: coefficient in the joints; allowable: of the glue [Pa], 0 for none;
    glued_share: part of a joint that is glued.
    A joint is as wide as both courses touch. The wall tips about the outer edge of that, which
    over or under a thin course lies inside of the outer face: the lever of the weight above is
    the distance of its centre of gravity from that edge, and where that is outside of it, the
    weight tips the wall by itself and the ratio is 0.
    Raises InputError where the water stands higher than the wall.
    Source: hydrostatics and statics of a free strip (see the module).
    """
    highest = strip.courses[-1]
    if water_depth > (highest.bed + highest.height) * (1 + 1e-9):
        raise InputError("water_depth", water_depth, "allowed is at most the height of the wall")
    loads = []
    for index, course in enumerate(strip.courses):
        below = strip.courses[index - 1] if index else None
        touching = _overlap(course.bands, below.bands) if below else course.bands
        underside = below.bed + below.height if below else 0.0
        edge = max(band.outer for band in touching)
        span = edge - min(band.inner for band in touching)
        water = max(0.0, water_depth - underside)
        thrust, moment = wall_thrust(water), water_moment(water)
        above = [*strip.courses[index:], *([strip.cap] if strip.cap else [])]
        area = sum(_area(row) for row in above)
        lever = edge - sum(_area_moment(row) for row in above) / area
        weight = wall_weight(area, 1.0, block_density)
        shear = bond_shear(thrust, sum(b.outer - b.inner for b in touching), glued_share)
        off = abs(span / 2 - lever + moment / weight)
        loads.append(
            JointLoad(
                course=course.course,
                height=course.bed,
                water=water,
                thrust=thrust,
                weight=weight,
                lever=lever,
                sliding=sliding_ratio(weight, friction, thrust) if water else None,
                overturning=max(0.0, overturning_ratio(weight, lever, moment)) if water else None,
                shear=shear,
                bond=bond_ratio(allowable, shear) if water and allowable else None,
                pressed=off <= span / 6 * (1 + 1e-12) + 1e-12,
            )
        )
    return tuple(loads)


def _overlap(upper: Sequence[Band], lower: Sequence[Band]) -> list[Band]:
    """Return where the leaves of two courses touch; at the inner face where they never do."""
    found = [
        Band(max(a.inner, b.inner), min(a.outer, b.outer))
        for a in upper
        for b in lower
        if max(a.inner, b.inner) < min(a.outer, b.outer) - 1e-9
    ]
    return found or [min(upper)]


def _area(row: StripCourse) -> float:
    return row.height * sum(band.outer - band.inner for band in row.bands)


def _area_moment(row: StripCourse) -> float:
    """Area of a course's section times its centre's distance outward from the inner face [m³]."""
    return row.height * sum((band.outer**2 - band.inner**2) / 2.0 for band in row.bands)


def least_favourable(walls: Sequence[Sequence[JointLoad]]) -> tuple[JointLoad, ...]:
    """Return for each bed height what is worst of the walls that have a joint there.

    Weight, lever and ratios are the least, thrust and shear the greatest, each for itself.
    """
    at: dict[float, list[JointLoad]] = {}
    for joints in walls:
        for joint in joints:
            at.setdefault(round(joint.height, 6), []).append(joint)
    return tuple(
        JointLoad(
            course=min(joint.course for joint in here),
            height=here[0].height,
            water=max(joint.water for joint in here),
            thrust=max(joint.thrust for joint in here),
            weight=min(joint.weight for joint in here),
            lever=min(joint.lever for joint in here),
            sliding=_least(joint.sliding for joint in here),
            overturning=_least(joint.overturning for joint in here),
            shear=max(joint.shear for joint in here),
            bond=_least(joint.bond for joint in here),
            pressed=all(joint.pressed for joint in here),
        )
        for _, here in sorted(at.items())
    )


def _least(values: Iterable[float | None]) -> float | None:
    return min((value for value in values if value is not None), default=None)


def wall_load(joints: Sequence[JointLoad]) -> WallLoad:
    """Return the least ratios over the bed joints, with weight and lever over the lowest.

    joints: from the base up, as ``least_favourable`` gives them. Raises InputError where no water
    stands against the wall.
    """

    def least(pairs: Iterable[tuple[float | None, int]]) -> Least | None:
        found = [Least(ratio, course) for ratio, course in pairs if ratio is not None]
        return min(found, default=None)

    sliding = least((joint.sliding, joint.course) for joint in joints)
    overturning = least((joint.overturning, joint.course) for joint in joints)
    if sliding is None or overturning is None:
        raise InputError("water_depth", joints[0].water, "allowed is more than 0")
    bond = least((joint.bond, joint.course) for joint in joints)
    return WallLoad(joints[0].weight, joints[0].lever, sliding, overturning, bond)


def bearing_pressure(vertical: float, moment: float, base_width: float) -> BearingPressure:
    """Return the pressure under a strip base that can't pull on the ground.

    vertical: load per unit length [N/m]; moment: about the middle of the base [N·m/m];
    base_width: of the base [m].
    Equations: e = M / V; e ≤ B/6: q = V/B · (1 ± 6e/B); beyond, the pressed width is
    3 · (B/2 − e) and q = 2V / (3 · (B/2 − e)). Raises InputError where e reaches B/2.
    Source: Das, Principles of Foundation Engineering, chapter on eccentric footings.
    """
    _positive("vertical", vertical)
    eccentricity = abs(moment) / vertical
    if eccentricity >= base_width / 2:
        raise InputError("moment", moment, "the load falls outside the base: widen the base")
    if eccentricity <= base_width / 6 * (1 + 1e-12):
        mean, part = vertical / base_width, 6 * eccentricity / base_width
        return BearingPressure(
            mean * (1 + part), max(0.0, mean * (1 - part)), eccentricity, base_width, True
        )
    contact = 3 * (base_width / 2 - eccentricity)
    return BearingPressure(2 * vertical / contact, 0.0, eccentricity, contact, False)


def spread_pressure(mass: float, length: float, width: float, depth: float = 0.0) -> float:
    """Return the mean pressure [Pa] of a mass [kg] at a depth [m] below a rectangle [m × m].

    Equation: q = m · g / ((L + z) · (W + z)): the load spreads 1 sideways to 2 down.
    At depth 0 it is the mean pressure under the rectangle itself.
    Source: 2:1 method, Das, Principles of Foundation Engineering, chapter on stress increase.
    """
    return mass * GRAVITY / ((length + depth) * (width + depth))


def bearing_ratio(allowable: float, pressure: float) -> float:
    """Return the allowable over the present pressure, both [Pa].

    Raises InputError without pressure. Source: definition; the allowable is the user's.
    """
    _positive("pressure", pressure)
    return allowable / pressure


def engineer_triggers(
    wall_height: float,
    water_depth: float,
    sliding: float | None = None,
    overturning: float | None = None,
    bond: float | None = None,
    bearing: float | None = None,
) -> tuple[Trigger, ...]:
    """Return the reasons why this wall needs an engineer; none found is no proof of anything.

    wall_height: bottom of the base to the top [m]; water_depth: [m]; the rest are ratios, None
    where not worked out, judged as ``rounded_down`` shows them. Sources of the limits: model codes
    named in each trigger; local code goes before them.
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
        ("water depth", water_depth, DESIGN_DEPTH, "IRC 2009, R404.4"),
    ):
        if number > limit * (1 + 1e-9):
            found.append(Trigger(subject, number, limit, source))
    return tuple(found)


def _positive(argument: str, value: float) -> None:
    if not value > 0.0:
        raise InputError(argument, value, "allowed is more than 0")
