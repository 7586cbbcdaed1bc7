"""The walls of a basin as a closed box: what friction, glue, corners and block carry together.

The load is shared between two ways that are in equilibrium, as strips of a slab are (Hillerborg,
Strip Method Design Handbook, 1996, from memory; a lower bound only where what carries gives a
little before it breaks, which glue hardly does: hence the 1.5 asked of it). The upright way is the
free strip: its weight, and friction on the base. What that can't take goes sideways, spread over
the wetted height q = R / h, through the walls as a closed frame under inside pressure, its corners
and the glue.

Left out: openings, columns and a second wall (they stand beside the walls without bond), help of
the base against bending, and any stiffness: this is statics, no analysis of stress.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Final, NamedTuple

from basinbook.engine.water.loads.pressure import wall_thrust, water_moment, water_pressure
from basinbook.engine.water.loads.ratios import positive
from basinbook.engine.water.loads.strip import JointLoad, WallStrip, strip_loads

_PSI: Final = 6894.757293168
# Bending of plain concrete, ACI 318-14, 14.5.2.1 (from memory): 0.60 · 5 · √f'c psi, over the load
# factor 1.4 of a fluid (ASCE 7-16, 2.3.1), with f'c 3000 psi (ASTM C1372, from memory).
BLOCK_BENDING: Final = 0.60 * 5.0 * 3000.0**0.5 / 1.4 * _PSI
# Block of less density than solid concrete of 140 lb/ft³ is hollow by so much.
_SOLID: Final = 140 * 16.018463
# Friction in a glued joint beside the glue: EN 1996-1-1:2005, 3.6.2 (from memory).
_JOINT_FRICTION: Final = 0.4
_MOST: Final = 1000.0


class FrameMoments(NamedTuple):
    """Moments of a closed frame per unit height [N·m/m]: at corners, mid-length, mid-width."""

    corner: float
    middle_length: float
    middle_width: float

    @property
    def greatest(self) -> float:
        """The greatest of them, whichever its sign [N·m/m]."""
        return max(abs(moment) for moment in self)


def frame_moments(pressure: float, length: float, width: float) -> FrameMoments:
    """Return the moments of a closed rectangular frame of one section under inside pressure [Pa].

    length, width: between centre lines [m]. Equations: corner p (l² − l w + w²) / 12, middle
    p l² / 8 less that. Validity: corners that turn a moment, thin walls. Source: Timoshenko,
    Strength of Materials, part I, closed rectangular frame (from memory).
    """
    corner = pressure * (length**2 - length * width + width**2) / 12.0
    return FrameMoments(
        corner, pressure * length**2 / 8.0 - corner, pressure * width**2 / 8.0 - corner
    )


def torsion_shear(moment: float, overlap: float, thickness: float) -> float:
    """Return the greatest shear [Pa] in a rectangle of glue that a moment [N·m] turns in its plane.

    overlap, thickness: sides of the rectangle [m]. Equation: τ = M r / J with
    J = b t (b² + t²) / 12 and r half the diagonal. Validity: blocks stiff against the glue.
    Source: Shigley, Mechanical Engineering Design, joints in torsion (from memory).
    """
    positive("overlap", overlap)
    inertia = overlap * thickness * (overlap**2 + thickness**2) / 12.0
    return moment * hypot(overlap, thickness) / 2.0 / inertia


@dataclass(frozen=True)
class BoxWalls:
    """Four walls (front, right, back, left) with what holds them.

    length, width: inside [m]; block_density [kg/m³]; friction: at the base; allowable: shear of the
    glue [Pa], 0 for none; glued_share; overlap: least of blocks over the joints of the course
    below [m]; bearing: of the ground [Pa], None for unlimited.
    """

    strips: Sequence[WallStrip]
    length: float
    width: float
    water_depth: float
    block_density: float
    friction: float
    allowable: float
    glued_share: float
    overlap: float
    bearing: float | None = None


@dataclass(frozen=True)
class Demand:
    """What glue and block of a course carry if all of its water goes one way, stresses in [Pa].

    upright: shear in the glue under it, as a free strip (None under course 1); turning: shear in
    the glue of the overlaps where the wall bends sideways; corner: shear in the glue where courses
    cross; bending: tension in the block, half of the courses having a joint there.
    """

    course: int
    height: float
    upright: float | None
    turning: float
    corner: float
    bending: float


@dataclass(frozen=True)
class BoxLoad:
    """How many times the water's load the box carries, what limits it, and the course over it."""

    ratio: float
    limit: str
    course: int


class _Sideways(NamedTuple):
    turning: float
    corner: float
    bending: float


def _sideways(box: BoxWalls, strip: WallStrip, index: int, pressure: float) -> _Sideways:
    """Return the stresses of a course that carries a pressure sideways."""
    course = strip.courses[index]
    leaves = [band.outer - band.inner for band in course.bands]
    thick, span = sum(leaves), course.thickness
    length, width = box.length + span, box.width + span
    moment = frame_moments(pressure, length, width).greatest
    count = len(strip.courses)
    turned = moment * course.height * (count / (count - 1) if count > 1 else 1.0)
    solid = min(1.0, box.block_density / _SOLID)
    return _Sideways(
        torsion_shear(turned, box.overlap, thick) / box.glued_share,
        pressure * course.height * hypot(box.length, box.width) / 2.0
        / (thick * span * box.glued_share),
        (2.0 * 6.0 * moment / sum(leaf**2 for leaf in leaves)
         + pressure * max(length, width) / 2.0 / thick) / solid,
    )  # fmt: skip


def demands(box: BoxWalls) -> tuple[Demand, ...]:
    """Return what each course that water stands against would carry, the worst of the walls.

    The pressure of a course is that at its middle. Equations: those of ``frame_moments``,
    ``torsion_shear`` and ``bond_shear``; corner p · h · √(l² + w²) / 2 over the square of glue.
    """
    found: dict[int, Demand] = {}
    for strip in box.strips:
        for index, joint in enumerate(_joints(box, strip)):
            course = strip.courses[index]
            middle = max(0.0, box.water_depth - course.bed - course.height / 2.0)
            if not middle:
                continue
            side = _sideways(box, strip, index, water_pressure(middle))
            new = Demand(joint.course, joint.height, joint.shear, *side)
            old = found.get(joint.course, new)
            shears = [shear for shear in (new.upright, old.upright) if shear is not None]
            found[joint.course] = Demand(
                new.course,
                new.height,
                max(shears, default=None),
                max(new.turning, old.turning),
                max(new.corner, old.corner),
                max(new.bending, old.bending),
            )
    return tuple(found[course] for course in sorted(found))


def box_load(box: BoxWalls) -> BoxLoad:
    """Return the least multiple of the water's load at which something in the box is used up.

    Without an allowable of the glue nothing goes sideways, and it is the free strip's. Searched by
    halving up to 1000. Equations and source: see the module; glue and friction in a joint add up,
    EN 1996-1-1:2005, 3.6.2 (both from memory). Raises InputError where no water stands against the
    walls.
    """
    positive("water_depth", box.water_depth)
    unlike = dict.fromkeys(box.strips)
    return min((_wall(box, strip) for strip in unlike), key=lambda found: found.ratio)


def _joints(box: BoxWalls, strip: WallStrip) -> tuple[JointLoad, ...]:
    return strip_loads(
        strip, box.water_depth, box.block_density, box.friction, box.allowable, box.glued_share
    )


def _wall(box: BoxWalls, strip: WallStrip) -> BoxLoad:
    joints = _joints(box, strip)
    first = joints[0]
    lever = first.lever
    if box.bearing is not None:
        # The ground is pressed at the edge, over the width it needs: half of its triangle is lost.
        lever -= 2.0 * first.weight / (3.0 * box.bearing)
    if not box.allowable or len(joints) < 2:
        ratios = [
            (ratio, limit, joint.course)
            for joint in joints
            for limit, ratio in (("sliding", joint.sliding), ("tipping", joint.overturning))
            if ratio is not None
        ]
        tip = max(0.0, first.weight * lever / water_moment(box.water_depth))
        return BoxLoad(*min([*ratios, (tip, "ground", first.course)]))
    ground = _Ground(
        box.water_depth,
        box.friction * first.weight,
        first.weight * max(0.0, lever),
        first.weight * max(0.0, strip.courses[0].thickness - first.lever),
        first.course,
    )
    stands = _stands(box, strip, joints)
    low, high = 0.0, _MOST
    if _used_up(ground, stands, low):
        return BoxLoad(0.0, "ground", first.course)
    for _ in range(50):
        middle = (low + high) / 2.0
        if _used_up(ground, stands, middle):
            high = middle
        else:
            low = middle
    limit, course = _used_up(ground, stands, high) or ("none", first.course)
    return BoxLoad(low, limit, course)


class _Ground(NamedTuple):
    """What the ground gives a wall of a water depth [m]: thrust that friction holds [N/m], the
    moments of its weight against tipping outward and inward [N·m/m]; its lowest course.
    """

    depth: float
    held: float
    outward: float
    inward: float
    course: int


class _Stand(NamedTuple):
    """What a course stands. All of it is in proportion to the load, so it is worked out once.

    bending, sideways: stresses in block and glue for each pascal that goes sideways [-]; thrust,
    water: on the glue in its way [N/m, m]; width: of the glue [m], 0 for none; shear: that the
    glue takes [Pa], friction in the joint included.
    """

    course: int
    bending: float
    sideways: float
    thrust: float
    water: float
    width: float
    shear: float


def _stands(box: BoxWalls, strip: WallStrip, joints: Sequence[JointLoad]) -> list[_Stand]:
    """Return what each course stands that water stands against."""
    found = []
    for index, joint in enumerate(joints):
        if strip.courses[index].bed >= box.water_depth:
            break
        side = _sideways(box, strip, index, 1.0)
        glue = joints[index] if index else joints[1]
        width = glue.thrust / glue.shear if glue.shear and glue.thrust else 0.0
        pressed = _JOINT_FRICTION * glue.weight / width if width else 0.0
        found.append(
            _Stand(
                joint.course,
                side.bending,
                side.turning + side.corner,
                glue.thrust,
                glue.water,
                width,
                box.allowable + pressed,
            )
        )
    return found


def _used_up(ground: _Ground, stands: Sequence[_Stand], times: float) -> tuple[str, int] | None:
    """Return what is used up at a multiple of the load, and its course; None for nothing."""
    depth = ground.depth
    thrust, moment = times * wall_thrust(depth), times * water_moment(depth)
    needed = max(0.0, thrust - ground.held, (moment - ground.outward) * 2.0 / depth)
    if needed > thrust + ground.held or needed * depth / 2.0 - moment > ground.inward:
        return "ground", ground.course
    pressure = needed / depth
    for course in stands:
        if course.bending * pressure > BLOCK_BENDING:
            return "block", course.course
        if not course.width:
            continue
        upright = abs(times * course.thrust - pressure * course.water) / course.width
        if upright + course.sideways * pressure > course.shear:
            return "glue", course.course
    return None
