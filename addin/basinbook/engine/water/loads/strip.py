"""A wall as a free strip of unit length that stands alone, joint by joint.

Corners, columns and returns give no help: the lower bound of what a wall carries. Water reaches
the wall through the liner over its full depth; none stands under the wall (no uplift). Course 1
lies on the base and is held there by friction alone; glue is in the joints from course 2 up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.water.loads.pressure import wall_thrust, wall_weight, water_moment
from basinbook.engine.water.loads.ratios import (
    bond_ratio,
    bond_shear,
    overturning_ratio,
    sliding_ratio,
)


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
    by itself); shear: stress in the glue [Pa], None in the lowest joint, which lies on the base
    unglued; bond: allowable to shear (None without water, glue or allowable); pressed: the joint
    is pressed over its whole depth even without glue (resultant in the middle third).
    """

    course: int
    height: float
    water: float
    thrust: float
    weight: float
    lever: float
    sliding: float | None
    overturning: float | None
    shear: float | None
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
    joints, bond of the glued ones, from under course 2 up; None without an allowable.
    """

    weight: float
    lever: float
    sliding: Least
    overturning: Least
    bond: Least | None


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


# Opposite walls are mostly alike, and every load of a basin asks for them.
@lru_cache(maxsize=64)
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
        glued = sum(band.outer - band.inner for band in touching)
        shear = bond_shear(thrust, glued, glued_share) if below else None
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
                bond=bond_ratio(allowable, shear) if shear and allowable else None,
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
            shear=max((j.shear for j in here if j.shear is not None), default=None),
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
