"""The inputs of a layout as ticks and whole numbers, checked for what can't be built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.layout.between import check_given, places
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.model import FLAT, ON_EDGE
from basinbook.engine.layout.rhythm import MIXED, check_numbers, course_kinds
from basinbook.engine.layout.ticks import at_most, text, ticks
from basinbook.engine.spec import APART, FIELDS, BasinSpec
from basinbook.engine.spec_look import HALF, THIRD

FRONT, RIGHT, BACK, LEFT = range(4)
WALL_NAMES = ("front", "right", "back", "left")
_ON_EDGE = {
    "all": WALL_NAMES,
    "front": ("front",),
    "back": ("back",),
    "sides": ("right", "left"),
    "front and back": ("front", "back"),
}
_MOST_COURSES = 40
_CHOICES = tuple((name, field.choices) for name, field in FIELDS.items() if field.choices)
_COUNTS = tuple(
    (name, field.low or 0.0, field.high)
    for name, field in FIELDS.items()
    if field.kind is kinds.COUNT and field.high is not None
)


def refuse(name: str, value: object, allowed: str) -> InputError:
    """Return the error for a field of the inputs, named as the sheets name it."""
    return InputError(FIELDS[name].label, value, allowed)


class Row(NamedTuple):
    """One course of one wall: on edge or flat, its bed and height [ticks], within its level.

    between: where blocks on edge begin that stand in it between flat ones. upper: whether they
    stand in the course below it too. apart: whether each leaf has a run of its own.
    """

    level: int
    bed: int
    height: int
    on_edge: bool
    leaves: int
    thickness: int
    between: tuple[int, ...] = ()
    upper: bool = False
    apart: bool = False

    @property
    def alike(self) -> int:
        """How many times each piece of a run is laid: in all leaves, or in one."""
        return 1 if self.apart else self.leaves


class Level(NamedTuple):
    """One numbered course: bed and height [ticks], and whether it is flat, on edge or mixed.

    On edge some walls may be flat in it.
    """

    bed: int
    height: int
    laid: str

    @property
    def on_edge(self) -> bool:
        """Whether some walls stand on edge in it."""
        return self.laid == ON_EDGE

    @property
    def mixed(self) -> bool:
        """Whether blocks on edge may stand between flat ones in it."""
        return self.laid == MIXED


@dataclass(frozen=True)
class Job:
    """What the layout modules work from; lengths in ticks.

    begins: first piece of odd and of even courses of front and back wall; 0 for any. slack: how
    much wider than a joint those between blocks of an inner leaf may be. kept: of columns that are
    part of walls and stand, the number of their inputs and where they begin along their wall.
    """

    spec: BasinSpec
    length: int
    width: int
    block: Rules
    height: int
    depth: int
    levels: tuple[Level, ...]
    walls: tuple[tuple[Row, ...], ...]
    begins: tuple[int, int]
    slack: int
    kept: tuple[tuple[int, int], ...] = ()

    @property
    def outside_length(self) -> int:
        """Length over the flat-laid side walls."""
        return self.length + 2 * self.depth

    @property
    def outside_width(self) -> int:
        """Width over the flat-laid front and back walls."""
        return self.width + 2 * self.depth

    @property
    def top(self) -> int:
        """Height of the top of the basin's block wall."""
        return self.levels[-1].bed + self.levels[-1].height

    @property
    def cap_bed(self) -> int:
        """Height of the bed of the basin's caps: a bed joint over the block wall."""
        return self.top + self.block.joint

    def row_bed(self, row: int) -> int:
        """Return the bed of a flat course numbered from 0, where all courses are flat."""
        return row * (self.height + self.block.joint)


def job(spec: BasinSpec) -> Job:
    """Return the checked job; raises InputError for inputs that can't go together.

    And for a word that is none of an input's choices, which would be taken for one of them.
    """
    block, height, depth = _block(spec), ticks(spec.block_height), ticks(spec.block_depth)
    levels = _levels(spec, height, depth, block.joint)
    mixed = [number for number, level in enumerate(levels, start=1) if level.mixed]
    check_given(spec, mixed)
    inside = {name: ticks(spec.inside_length) for name in ("front", "back")}
    inside |= {name: ticks(spec.inside_width) for name in ("right", "left")}
    walls = []
    for name in WALL_NAMES:
        between = places(spec, name, mixed, inside[name], block)
        walls.append(_rows(spec, name, levels, height, depth, block.joint, between))
    return Job(
        spec=spec,
        length=ticks(spec.inside_length),
        width=ticks(spec.inside_width),
        block=block,
        height=height,
        depth=depth,
        levels=levels,
        walls=tuple(walls),
        begins=(_begin(spec, "start_odd", block), _begin(spec, "start_even", block)),
        slack=_slack(spec, block),
    )


def levels_of(spec: BasinSpec) -> tuple[Level, ...]:
    """Return the numbered courses of a basin; raises InputError where they don't hold the water."""
    joint = _block(spec).joint
    return _levels(spec, ticks(spec.block_height), ticks(spec.block_depth), joint)


def _block(spec: BasinSpec) -> Rules:
    """Return the rules for blocks, checked, and that words and numbers are what inputs allow."""
    for name, choices in _CHOICES:
        if (word := getattr(spec, name)) not in choices:
            raise refuse(name, word, f"allowed are {', '.join(choices)}")
    for name, low, high in _COUNTS:
        if not low <= (number := getattr(spec, name)) <= high:
            raise refuse(name, number, f"give a whole number from {low:g} to {high:g}")
    block = _in_bond(spec, block_rules(spec, ticks(spec.block_length), "block_length"))
    if 2 * block.offset > block.pitch:
        raise refuse(
            "joint_offset",
            text(block.offset),
            f"at most half a block and joint: {text(block.pitch // 2)}",
        )
    return block


def block_rules(spec: BasinSpec, length: int, name: str) -> Rules:
    """Return the rules for blocks or caps of a length [ticks]; a quarter where none is given."""
    shortest = ticks(spec.shortest_piece) or length // 4
    if shortest > length:
        raise refuse(
            "shortest_piece",
            text(shortest),
            f"at most the {FIELDS[name].label.lower()} of {text(length)}",
        )
    return Rules(length, ticks(spec.joint), shortest, ticks(spec.joint_offset) or length // 4)


def _levels(spec: BasinSpec, height: int, depth: int, joint: int) -> tuple[Level, ...]:
    kind = course_kinds(spec)
    need = ticks(spec.water_depth) + ticks(spec.freeboard)
    levels: list[Level] = []
    bed = 0
    while (len(levels) < spec.courses) if spec.courses else (bed - joint < need):
        laid = kind(len(levels) + 1)
        levels.append(Level(bed, height if laid == FLAT else depth, laid))
        bed += levels[-1].height + joint
        if len(levels) > _MOST_COURSES:
            raise refuse(
                "water_depth",
                text(ticks(spec.water_depth)),
                f"with freeboard {at_most(bed - joint)} in {_MOST_COURSES} courses",
            )
    if bed - joint < need:
        courses = len(levels) + -(-(need - bed + joint) // (height + joint))
        raise refuse(
            "courses",
            spec.courses,
            f"{spec.courses} courses stand {text(bed - joint)} high, but water depth and freeboard "
            f"need {text(need)}; give at least {courses} courses or 0, or a water depth of at most "
            f"{text(max(0, bed - joint - ticks(spec.freeboard)))}",
        )
    check_numbers(spec, len(levels))
    return tuple(levels)


def _begin(spec: BasinSpec, name: str, rules: Rules) -> int:
    """Return the first piece that is asked for, checked; 0 for none."""
    given = ticks(getattr(spec, name))
    if given and not rules.shortest <= given <= rules.length:
        raise refuse(
            name,
            text(given),
            f"from the shortest piece of {text(rules.shortest)} to a whole block of "
            f"{text(rules.length)}; 0 or blank where the fewest cuts have it",
        )
    return given


def _slack(spec: BasinSpec, rules: Rules) -> int:
    """Return how much wider than a joint the gaps of an inner leaf may be, checked."""
    gap, most = ticks(spec.liner_gap), max(rules.offset, rules.joint)
    if gap and not rules.joint < gap <= most:
        raise refuse(
            "liner_gap",
            text(gap),
            f"more than the joint of {text(rules.joint)}, and at most the least joint offset, "
            f"{text(most)}; 0 or blank for none",
        )
    return max(0, gap - rules.joint)


def _in_bond(spec: BasinSpec, rules: Rules) -> Rules:
    """Return the rules with the joint offset that the bond asked for needs."""
    parts = {THIRD: 3, HALF: 2}.get(spec.bond)
    if parts is None:
        return rules
    return rules._replace(offset=max(rules.offset, -(-rules.pitch // parts)))


def _rows(
    spec: BasinSpec,
    wall: str,
    levels: tuple[Level, ...],
    height: int,
    depth: int,
    joint: int,
    between: dict[int, tuple[int, ...]],
) -> tuple[Row, ...]:
    leaves = edge_leaves(spec)
    thickness = leaves * height + (leaves - 1) * joint
    rows: list[Row] = []
    for number, level in enumerate(levels):
        if level.laid != FLAT and thickness > depth:
            raise refuse(
                "edge_doubled",
                spec.edge_doubled,
                f"blocks on edge would make the wall {text(thickness)} thick, more than its "
                f"{text(depth)}; lay them single, or all courses flat",
            )
        if level.on_edge and wall in _ON_EDGE[spec.edge_walls]:
            apart = leaves > 1 and (spec.edge_leaves == APART or spec.liner_gap > 0.0)
            row = Row(number, level.bed, level.height, True, leaves, thickness)
            rows.append(row._replace(apart=apart))
            continue
        count = 1
        if level.laid != FLAT:
            count, odd = divmod(level.height + joint, height + joint)
            if odd:
                raise _not_whole(spec, level, count, height, joint)
        for sub in range(count):
            bed = level.bed + sub * (height + joint)
            blocks = between.get(number + 1, ())
            rows.append(Row(number, bed, height, False, 1, depth, blocks, sub > 0))
    return tuple(rows)


def edge_leaves(spec: BasinSpec) -> int:
    """Return how many blocks on edge stand one behind another."""
    return 2 if spec.edge_doubled == "yes" else 1


def _not_whole(spec: BasinSpec, level: Level, count: int, height: int, joint: int) -> InputError:
    """Return the error for a block that stands on edge beside flat courses of another height."""
    pitch = height + joint
    name = "course_pattern" if spec.course_pattern.strip() else "edge_courses"
    instead = "lay all walls on edge"
    if level.mixed:
        name = name if name == "course_pattern" else "mixed_courses"
        instead = "lay no course mixed"
    return refuse(
        name,
        getattr(spec, name),
        f"an on-edge block of {text(level.height)} must be as high as whole flat courses of "
        f"{text(height)} beside it; {instead}, or use a block whose depth is "
        f"{text(max(1, count) * pitch - joint)} or {text((max(1, count) + 1) * pitch - joint)}",
    )
