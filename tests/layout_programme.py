"""The least number of cuts by an integer programme, formulated apart from the layout solver.

All lengths are whole numbers of one unit. A course is a path through positions: each piece is an
arc from its left edge to the left edge of what follows its joint. One unknown per arc; ownership
of corners is an unknown too. Every course of the wall is modelled, with no assumption that
courses repeat. Solved by HiGHS (J. Huangfu and J. A. J. Hall, "Parallelizing the dual revised
simplex method", Mathematical Programming Computation 10, 2018) through ``scipy.optimize.milp``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from types import MappingProxyType

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix


@dataclass
class Programme:
    """Whole unknowns with their costs, from 0 to 1 or more, and rows low ≤ Σ a·x ≤ high.

    pieces: of each unknown that is a piece its own length and how many leaves it stands for.
    """

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)
    pieces: dict[int, tuple[int, int]] = field(default_factory=dict)

    def unknown(self, cost: float = 0.0, most: float = 1.0) -> int:
        self.costs.append(cost)
        self.most.append(most)
        return len(self.costs) - 1

    def row(self, terms: dict[int, float], low: float, high: float) -> None:
        self.rows.append((terms, low, high))

    def least(self) -> int | None:
        """Return the least cost, or None where there is no solution.

        Raises TimeoutError where HiGHS takes a minute.
        """
        at, to, values = [], [], []
        for index, (terms, _, _) in enumerate(self.rows):
            for unknown, value in terms.items():
                at.append(index)
                to.append(unknown)
                values.append(value)
        matrix = coo_matrix((values, (at, to)), shape=(len(self.rows), len(self.costs)))
        found = milp(
            np.array(self.costs),
            constraints=LinearConstraint(
                matrix.tocsr(), [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            integrality=np.ones(len(self.costs)),
            bounds=Bounds(0, self.most),
            options={"time_limit": 60.0},
        )
        if found.status == 2:
            return None
        if found.status == 1:
            raise TimeoutError(found.message)
        assert found.status == 0, found.message
        return round(found.fun)


# A corner's ownership in a course: the unknown and whether its 1 means "mine"; with None for
# the unknown, the flag itself says it.
Owner = tuple[int | None, bool]
Terms = dict[int, float]
"""A sum of unknowns with their factors; -1 stands for 1."""


@dataclass(frozen=True)
class Blocks:
    """Block length, joint, shortest piece, least joint offset, wall thickness [units]."""

    length: int
    joint: int
    shortest: int
    offset: int
    depth: int


@dataclass(frozen=True)
class Hole:
    """A gap left in a wall from low to high, in courses first to last (from 0).

    lintel: from where to where one lies in the course over it; None for a whole block.
    """

    first: int
    last: int
    low: int
    high: int
    lintel: tuple[int, int] | None = None


@dataclass(frozen=True)
class Wall:
    """A wall's clear inside length, and a gap left in it: course (from 0), low and high.

    turned: stretches in which a block may lie across the wall: ``depth`` along it, and no cut.
    """

    inside: int
    gap: tuple[int, int, int] | None = None
    turned: tuple[tuple[int, int], ...] = ()
    holes: tuple[Hole, ...] = ()

    def voids(self, course: int) -> list[tuple[int, int, bool]]:
        """Where holes leave no place in a course: from, to, and whether a lintel lies there."""
        found = [(h.low, h.high, False) for h in self.holes if h.first <= course <= h.last]
        found += [(*h.lintel, True) for h in self.holes if h.lintel and h.last == course - 1]
        return sorted(found)


@dataclass(frozen=True)
class Course:
    """One course of a wall: who has its corners, how thick the walls there are, its leaves.

    fixed: left edges of blocks that stand in it whatever fills the rest; upper: whether they
    stand in the course below too. begin: length of its first piece, 0 for any. outer: a second
    leaf with a run of its own, whose ring is wider by shift on all sides. slack: how much wider
    than a joint those between blocks may be, all alike, in place of a cut.
    butts: the joints where it butts, as sums of unknowns, where not having the corner isn't all
    there is to them. free: ends that need not reach over a corner.
    """

    start: Owner
    end: Owner
    depth: int
    leaves: int = 1
    fixed: tuple[int, ...] = ()
    upper: bool = False
    begin: int = 0
    outer: Course | None = None
    shift: int = 0
    slack: int = 0
    butts: tuple[Terms, Terms] | None = None
    free: tuple[bool, bool] = (False, False)


def share(owner: Owner) -> tuple[dict[int, float], float]:
    """Return ownership as terms and a constant: unknown, 1 − unknown, or a fixed 0 or 1."""
    unknown, flag = owner
    if unknown is None:
        return {}, float(flag)
    return ({unknown: 1.0}, 0.0) if flag else ({unknown: -1.0}, 1.0)


Arcs = dict[int, tuple[int, int, bool]]
"""The unknowns of pieces: left edge, length, and whether it is a block laid across the wall."""


def add_wall(
    programme: Programme,
    blocks: Blocks,
    wall: Wall,
    courses: list[Course],
    standing: Iterable[int] = (),
) -> list[Arcs]:
    """Add the unknowns and rows of one wall, from the base up; return its pieces by course.

    standing: left edges of the joints of a course that is laid, under the first.
    """
    joints_before: list[tuple[float, dict[int, float]]] = [(at, {-1: 1.0}) for at in standing]
    found = []
    for number, course in enumerate(courses):
        gap = wall.gap if wall.gap is not None and wall.gap[0] == number else None
        arcs, joints = _course(programme, blocks, wall, course, gap, wall.voids(number))
        _bear(programme, blocks, wall, number, arcs)
        joints_here = list(joints.items())
        if course.outer is not None:
            shift = course.outer.shift
            wider = Wall(wall.inside + 2 * shift)
            _, more = _course(programme, blocks, wider, course.outer, None)
            joints_here += [(at - shift, terms) for at, terms in more.items()]
        if wall.gap is not None and wall.gap[0] == number - 1:
            low, high = wall.gap[1] - blocks.offset, wall.gap[2] + blocks.offset
            over = {
                arc: 1.0
                for arc, (left, length, _) in arcs.items()
                if length == blocks.length and left <= low and left + length >= high
            }
            programme.row(over or {programme.unknown(): 0.0}, 1, 1)
        sides = {at for low in course.fixed for at in (low - blocks.joint, low + blocks.length)}
        for below, terms in joints_before:
            for above, others in joints_here:
                if course.upper and below == above and below in sides:
                    # One joint, beside a block that is as high as both courses.
                    continue
                if abs(below - above) < blocks.offset - 1e-6:
                    _not_both(programme, terms, others)
        joints_before = joints_here
        found.append(arcs)
    return found


def lies_across(blocks: Blocks, wall: Wall, at: int, length: int) -> bool:
    """Whether a piece may be a whole block laid across the wall."""
    return length == blocks.depth and any(
        low <= at and at + length <= high for low, high in wall.turned
    )


def _bear(
    programme: Programme,
    blocks: Blocks,
    wall: Wall,
    number: int,
    arcs: Arcs,
) -> None:
    """Have a whole block, or the lintel, bear at both sides of each hole under a course."""
    for hole in wall.holes:
        if hole.last != number - 1:
            continue
        low, high = hole.lintel or (hole.low - blocks.offset, hole.high + blocks.offset)
        for other in wall.holes:
            beside = other.first <= hole.last <= other.last and other is not hole
            if beside and other.low < high and low < other.high:
                programme.row({programme.unknown(): 0.0}, 1, 1)
        if not hole.lintel:
            over = {
                arc: 1.0
                for arc, (left, length, across) in arcs.items()
                if length == blocks.length and not across and left <= low and left + length >= high
            }
            programme.row(over or {programme.unknown(): 0.0}, 1, 1)


def _not_both(programme: Programme, one: dict[int, float], other: dict[int, float]) -> None:
    """Forbid two joints together; a term at -1 is the constant of a joint's sum."""
    terms: dict[int, float] = defaultdict(float)
    constant = 0.0
    for joint in (one, other):
        for unknown, value in joint.items():
            if unknown == -1:
                constant += value
            else:
                terms[unknown] += value
    programme.row(dict(terms), -np.inf, 1.0 - constant)


def _course(
    programme: Programme,
    blocks: Blocks,
    wall: Wall,
    course: Course,
    gap: tuple[int, int, int] | None,
    voids: Sequence[tuple[int, int, bool]] = (),
) -> tuple[Arcs, dict[float, Terms]]:
    """Add a course's pieces; return arcs as (left edge, length) and joints by left edge."""
    start, end, depth, far = course.start, course.end, course.depth, wall.inside
    sizes = {*range(blocks.shortest, blocks.length + 1), blocks.depth}
    sources: dict[int, Owner] = {-depth: start, blocks.joint: (start[0], not start[1])}
    sinks: dict[int, Owner] = {far + depth: end, far - blocks.joint: (end[0], not end[1])}
    stretches = [(-depth, far + depth)]
    if gap is not None:
        stretches = [(-depth, gap[1]), (gap[2], far + depth)]
    # Where the course ends for good and where it begins anew, beside blocks that are fixed.
    stops = {low - blocks.joint for low in course.fixed}
    begins = {low + blocks.length + blocks.joint for low in course.fixed}
    for stop, begin in zip(sorted(stops), sorted(begins), strict=True):
        (cut,) = [pair for pair in stretches if pair[0] < stop and begin < pair[1]]
        stretches.remove(cut)
        stretches += [(cut[0], stop), (begin, cut[1])]
    for low, high, lintel in voids:
        off = blocks.joint if lintel else 0
        around = [pair for pair in stretches if pair[0] <= low - off and high + off <= pair[1]]
        if not around:
            programme.row({programme.unknown(): 0.0}, 1, 1)
            continue
        stretches.remove(around[0])
        stretches += [(around[0][0], low - off), (high + off, around[0][1])]
        stops.add(low - off)
        begins.add(high + off)
    arcs: Arcs = {}
    flow: dict[int, dict[int, float]] = defaultdict(dict)
    into: dict[int, dict[int, float]] = defaultdict(dict)
    for left, right in stretches:
        for at in range(left, right):
            for length in sizes:
                stop = at + length
                across = lies_across(blocks, wall, at, length)
                ways = [True] * across + [False] * (length >= blocks.shortest)
                # A piece ends at an end of the stretch, or a joint follows it.
                goals = [stop + blocks.joint] if stop + blocks.joint < right else []
                if stop in sinks or stop in stops or (gap is not None and stop == gap[1]):
                    goals.append(-1000 - stop)
                if stop > right:
                    continue
                if at == -depth and stop < 0 and not course.free[0]:
                    continue
                if stop == far + depth and at > far and not course.free[1]:
                    continue
                for goal, turned in product(goals, ways):
                    whole = length == blocks.length or turned
                    arc = programme.unknown(0.0 if whole else float(course.leaves))
                    if course.begin and length != course.begin and at in sources:
                        _not_first(programme, arc, sources[at])
                    arcs[arc] = (at, length, turned)
                    programme.pieces[arc] = (blocks.length if turned else length, course.leaves)
                    flow[at][arc] = flow[at].get(arc, 0.0) + 1.0
                    flow[goal][arc] = flow[goal].get(arc, 0.0) - 1.0
                    if goal > -1000:
                        into[stop][arc] = 1.0
    spread: list[tuple[float, int]] = []
    for at in sources if course.slack else ():
        for stop in sinks:
            edges = _spread(blocks, course, at, stop, far)
            if edges:
                arc = programme.unknown()
                _not_first(programme, arc, (sources[at][0], not sources[at][1]))
                flow[at][arc] = 1.0
                flow[-1000 - stop][arc] = -1.0
                spread += [(edge, arc) for edge in edges]
    nodes = {*flow, *sources, *(-1000 - sink for sink in sinks)}
    nodes |= begins | {-1000 - stop for stop in stops}
    if gap is not None:
        nodes |= {gap[2], -1000 - gap[1]}
    for node in nodes:
        terms = dict(flow.get(node, {}))
        supply = 0.0
        for places, sign, key in ((sources, 1.0, node), (sinks, -1.0, -1000 - node)):
            if key in places:
                unknowns, constant = share(places[key])
                supply += sign * constant
                for unknown, value in unknowns.items():
                    terms[unknown] = terms.get(unknown, 0.0) - sign * value
        supply += (node in begins) - (-1000 - node in stops)
        if gap is not None and node == gap[2]:
            supply += 1.0
        if gap is not None and node == -1000 - gap[1]:
            supply -= 1.0
        if terms or supply:
            programme.row(terms or {programme.unknown(): 0.0}, supply, supply)
    joints: dict[float, Terms] = {at: dict(terms) for at, terms in into.items()}
    for low, high, lintel in voids:
        for side in (low - blocks.joint, high) if lintel else ():
            joints.setdefault(side, {})[-1] = 1.0
    for edge, arc in spread:
        joints.setdefault(edge, {})[arc] = 1.0
    butts = course.butts or (_butt(start), _butt(end))
    for at, butt in zip((0, far - blocks.joint), butts, strict=True):
        joint = joints.setdefault(at, {})
        for unknown, value in butt.items():
            joint[unknown] = joint.get(unknown, 0.0) + value
    for at in (side for low in course.fixed for side in (low - blocks.joint, low + blocks.length)):
        # Pieces that end here are no joints of their own.
        joints[at] = {-1: 1.0}
    return arcs, joints


def _butt(owner: Owner) -> Terms:
    """Return the joint where a course butts: there where it doesn't have the corner."""
    unknowns, constant = share((owner[0], not owner[1]))
    return {**unknowns, -1: constant}


def _spread(blocks: Blocks, course: Course, at: int, stop: int, far: int) -> set[float]:
    """Return the edges of the joints of whole blocks with wide joints; none where none fit."""
    pitch = blocks.length + blocks.joint
    count, rest = divmod(stop - at + blocks.joint, pitch)
    corners = at == -course.depth or stop == far + course.depth
    if count < 2 or not rest or rest > course.slack * (count - 1):
        return set()
    if corners and blocks.length < course.depth:
        return set()
    found: set[float] = set()
    for number in range(count - 1):
        end = at + (number + 1) * pitch - blocks.joint + number * rest / (count - 1)
        found |= {end, end + rest / (count - 1)}
    return found


def _not_first(programme: Programme, arc: int, owner: Owner) -> None:
    """Forbid a piece where its course begins there."""
    unknowns, constant = share(owner)
    terms = {arc: 1.0}
    for unknown, value in unknowns.items():
        terms[unknown] = terms.get(unknown, 0.0) + value
    programme.row(terms, -np.inf, 1.0 - constant)


def least_run_cuts(
    blocks: Blocks, wall: Wall, start: bool, end: bool, depths: list[int], leaves: list[int]
) -> int | None:
    """Return the least cuts of one wall whose corners change hands at every course.

    start, end: whether it has its corners in the first course. depths, leaves: for each course.
    """
    programme = Programme()
    add_wall(
        programme,
        blocks,
        wall,
        [
            Course((None, start == (n % 2 == 0)), (None, end == (n % 2 == 0)), depth, leaf)
            for n, (depth, leaf) in enumerate(zip(depths, leaves, strict=True))
        ],
    )
    return programme.least()


def least_basin_cuts(
    blocks: Blocks,
    length: int,
    width: int,
    depths: list[int],
    leaves: list[int],
    gap: tuple[int, int, int] | None = None,
    fixed: Mapping[tuple[str, int], tuple[int, ...]] = MappingProxyType({}),
    upper: Collection[int] = (),
    begins: tuple[int, int] = (0, 0),
    own: Collection[int] = (),
    apart: bool = False,
    slack: int = 0,
    holes: Mapping[str, tuple[Hole, ...]] = MappingProxyType({}),
) -> int | None:
    """Return the least cuts of a basin over all ways to begin at its corners.

    depths, leaves: wall thickness and rows of blocks one behind another, for each course.
    gap: in the back wall, from its inside left corner. fixed: left edges of blocks on edge between
    flat ones, by wall and course; upper: courses that share them with the one below. begins: first
    piece of odd and even courses of front and back. own: doubled courses whose leaves have runs of
    their own; apart: they turn corners one by one. slack: of the joints of inner leaves.
    holes: further gaps by wall, from its inside left or front corner.
    """
    look = fixed, upper, begins, own, apart, slack, holes
    return basin_programme(blocks, length, width, depths, leaves, gap, *look).least()


def basin_programme(
    blocks: Blocks,
    length: int,
    width: int,
    depths: list[int],
    leaves: list[int],
    gap: tuple[int, int, int] | None = None,
    fixed: Mapping[tuple[str, int], tuple[int, ...]] = MappingProxyType({}),
    upper: Collection[int] = (),
    begins: tuple[int, int] = (0, 0),
    own: Collection[int] = (),
    apart: bool = False,
    slack: int = 0,
    holes: Mapping[str, tuple[Hole, ...]] = MappingProxyType({}),
) -> Programme:
    """Return the programme whose least cost is ``least_basin_cuts``, with its arguments."""
    programme = Programme()
    corners = {name: programme.unknown() for name in ("fl", "fr", "bl", "br")}
    outside = {name: programme.unknown() for name in corners} if apart else corners
    ends = {
        "front": ("fl", "fr", True, length),
        "back": ("bl", "br", True, length),
        "left": ("fl", "bl", False, width),
        "right": ("fr", "br", False, width),
    }
    for name, (first, second, long, inside) in ends.items():
        courses = []
        for number, (depth, leaf) in enumerate(zip(depths, leaves, strict=True)):
            mine = long == (number % 2 == 0)
            start, end = (corners[first], mine), (corners[second], mine)
            begin = begins[number % 2] if long else 0
            there = fixed.get((name, number), ())
            course = Course(
                start, end, depth, leaf, fixed=there, upper=number in upper, begin=begin
            )
            if number in own:
                one = (depth - blocks.joint) // 2 if apart else depth
                course = replace(course, depth=one, leaves=1, slack=slack)
                ends_outside = (outside[first], mine), (outside[second], mine)
                shift = one + blocks.joint if apart else 0
                outer = Course(*ends_outside, one, begin=begin, shift=shift)
                course = replace(course, outer=outer)
            courses.append(course)
        one_gap = gap if name == "back" else None
        there_too = holes.get(name, ())
        add_wall(programme, blocks, Wall(inside, one_gap, holes=there_too), courses)
    return programme


@dataclass(frozen=True)
class Caps:
    """Cap length, joint, shortest piece, and the least length of the piece at a corner [units]."""

    length: int
    joint: int
    shortest: int
    corner: int


def _cap_run(
    programme: Programme,
    caps: Caps,
    lengths: dict[int, int],
    owners: tuple[Owner, Owner],
    mitred: bool,
) -> None:
    """Add a straight run of caps; lengths: the run's length by the unknown that chooses it."""
    flow: dict[int, dict[int, float]] = defaultdict(dict)
    sinks: dict[int, dict[int, float]] = defaultdict(dict)
    guard: tuple[dict[int, float], dict[int, float]] = ({}, {})
    longest = max(lengths)
    for at in range(longest):
        for size in range(1, caps.length + 1):
            stop = at + size
            if stop > longest:
                break
            # It ends the run, or a joint and another piece follow.
            for last in (False, True):
                if (last and stop not in lengths) or (not last and stop + caps.joint >= longest):
                    continue
                ends = (at == 0) + last
                least = caps.shortest
                if mitred and ends == 1:
                    least = caps.corner
                if size < least:
                    continue
                cut = size < caps.length or (mitred and ends > 0)
                arc = programme.unknown(float(cut))
                flow[at][arc] = 1.0
                if last:
                    sinks[stop][arc] = 1.0
                else:
                    flow[stop + caps.joint][arc] = flow[stop + caps.joint].get(arc, 0.0) - 1.0
                if not mitred and size < caps.corner:
                    for side, here in enumerate((at == 0, last)):
                        if here:
                            guard[side][arc] = 1.0
    for at, terms in flow.items():
        programme.row(terms, float(at == 0), float(at == 0))
    for stop, chosen in lengths.items():
        programme.row({**sinks[stop], chosen: -1.0}, 0, 0)
    for owner, arcs in zip(owners, guard, strict=True):
        if arcs:
            # A short piece only where the wall does not run through at that corner.
            terms, constant = share(owner)
            programme.row(arcs | dict(terms), -np.inf, 1.0 - constant)


def least_cap_cuts(
    caps: Caps,
    length: int,
    width: int,
    depth: int,
    twice_inner: range,
    mitred: bool,
    row: int | None = None,
) -> int | None:
    """Return the least cuts of a ring of caps, over all overhangs and ways round the corners.

    length, width: of the basin inside the walls. depth: of the caps. twice_inner: overhangs over
    the water to choose from, doubled. row: least length of the row over a second wall, which grows
    as the overhang over the water falls.
    """
    programme = Programme()
    chosen = {over: programme.unknown() for over in twice_inner}
    programme.row(dict.fromkeys(chosen.values(), 1.0), 1, 1)
    corners = {name: programme.unknown() for name in ("fl", "fr", "bl", "br")}
    ends = (
        ("fl", "fr", True, length),
        ("bl", "br", True, length),
        ("fl", "bl", False, width),
        ("fr", "br", False, width),
    )
    for first, second, long, inside in ends:
        owners = (corners[first], long), (corners[second], long)
        lengths: dict[int, int] = {}
        total: dict[int, float] = defaultdict(float)
        constant = float(inside)
        if mitred:
            constant += 2.0 * depth
        else:
            # Through at a corner it reaches the caps' depth, else a joint short of it.
            constant -= 2.0 * caps.joint
            for owner in owners:
                terms, one = share(owner)
                constant += one * (depth + caps.joint)
                for unknown, value in terms.items():
                    total[unknown] += value * (depth + caps.joint)
        for over, unknown in chosen.items():
            total[unknown] -= float(over)
        through = [n * (depth + caps.joint) - 2 * caps.joint for n in (0, 1, 2)]
        for more in [2 * depth] if mitred else through:
            for over in twice_inner:
                size = inside + more - over
                if size > 0 and size not in lengths:
                    lengths[size] = programme.unknown()
        programme.row(dict.fromkeys(lengths.values(), 1.0), 1, 1)
        for size, unknown in lengths.items():
            total[unknown] -= float(size)
        programme.row(dict(total), -constant, -constant)
        _cap_run(programme, caps, lengths, owners, mitred)
    if row is not None:
        by_over = {row + max(twice_inner) - over: unknown for over, unknown in chosen.items()}
        never = ((None, False), (None, False))
        _cap_run(programme, caps, by_over, never, False)
    return programme.least()
