"""The inputs of a layout as ticks and whole numbers, checked for what can't be built."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.spec import FIELDS, BasinSpec

FRONT, RIGHT, BACK, LEFT = range(4)
WALL_NAMES = ("front", "right", "back", "left")
_ON_EDGE = {
    "all": (FRONT, RIGHT, BACK, LEFT),
    "front": (FRONT,),
    "back": (BACK,),
    "sides": (RIGHT, LEFT),
    "front and back": (FRONT, BACK),
}
_MOST_COURSES = 40


def refuse(name: str, value: object, allowed: str) -> InputError:
    """Return the error for a field of the inputs, named as the sheets name it."""
    return InputError(FIELDS[name].label, value, allowed)


class Row(NamedTuple):
    """One course of one wall: on edge or flat, its bed and height [ticks], within its level."""

    level: int
    bed: int
    height: int
    on_edge: bool
    leaves: int
    thickness: int


class Level(NamedTuple):
    """One numbered course: bed and height [ticks], and whether some walls stand on edge in it."""

    bed: int
    height: int
    on_edge: bool


@dataclass(frozen=True)
class Job:
    """What the layout modules work from; lengths in ticks."""

    spec: BasinSpec
    length: int
    width: int
    block: Rules
    height: int
    depth: int
    levels: tuple[Level, ...]
    walls: tuple[tuple[Row, ...], ...]

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
    """Return the checked job; raises InputError for inputs that can't go together."""
    length, height, depth = (
        ticks(spec.block_length),
        ticks(spec.block_height),
        ticks(spec.block_depth),
    )
    block = block_rules(spec, length, "block_length")
    if 2 * block.offset > block.pitch:
        raise refuse(
            "joint_offset",
            text(block.offset),
            f"at most half a block and joint: {text(block.pitch // 2)}",
        )
    levels = _levels(spec, height, depth, block.joint)
    return Job(
        spec=spec,
        length=ticks(spec.inside_length),
        width=ticks(spec.inside_width),
        block=block,
        height=height,
        depth=depth,
        levels=levels,
        walls=tuple(_rows(spec, wall, levels, height, depth, block.joint) for wall in range(4)),
    )


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
    on_edge = _edge_numbers(spec)
    need = ticks(spec.water_depth) + ticks(spec.freeboard)
    levels: list[Level] = []
    bed = 0
    while (len(levels) < spec.courses) if spec.courses else (bed - joint < need):
        edge = len(levels) + 1 in on_edge
        levels.append(Level(bed, depth if edge else height, edge))
        bed += levels[-1].height + joint
        if len(levels) > _MOST_COURSES:
            raise refuse(
                "water_depth",
                text(ticks(spec.water_depth)),
                f"with freeboard at most {text(bed - joint)} in {_MOST_COURSES} courses",
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
    for number in sorted(on_edge):
        if number > len(levels):
            raise refuse("edge_courses", spec.edge_courses, f"there are courses 1 to {len(levels)}")
    return tuple(levels)


def _edge_numbers(spec: BasinSpec) -> set[int]:
    numbers = set()
    for part in re.split(r"[,;\s]+", spec.edge_courses.strip()):
        if not part:
            continue
        if not re.fullmatch(r"\d{1,3}(\.0)?", part) or float(part) < 1:
            raise refuse(
                "edge_courses", spec.edge_courses, "give course numbers such as 2 or 2, 4, or blank"
            )
        numbers.add(int(float(part)))
    return numbers


def _rows(
    spec: BasinSpec, wall: int, levels: tuple[Level, ...], height: int, depth: int, joint: int
) -> tuple[Row, ...]:
    leaves = 2 if spec.edge_doubled == "yes" else 1
    edge_walls = _ON_EDGE[spec.edge_walls]
    rows: list[Row] = []
    for number, level in enumerate(levels):
        if level.on_edge and wall in edge_walls:
            thickness = leaves * height + (leaves - 1) * joint
            if thickness > depth:
                raise refuse(
                    "edge_doubled",
                    spec.edge_doubled,
                    f"blocks on edge would make the wall {text(thickness)} thick, more than its "
                    f"{text(depth)}; lay them single, or all courses flat",
                )
            rows.append(Row(number, level.bed, level.height, True, leaves, thickness))
            continue
        count = 1
        if level.on_edge:
            count, odd = divmod(level.height + joint, height + joint)
            if odd:
                raise refuse(
                    "edge_courses",
                    spec.edge_courses,
                    f"an on-edge block of {text(depth)} must be as high as whole flat courses of "
                    f"{text(height)} beside it; lay all walls on edge, or use a block whose depth "
                    f"is {text(count * (height + joint) - joint)} or "
                    f"{text((count + 1) * (height + joint) - joint)}",
                )
        for sub in range(count):
            bed = level.bed + sub * (height + joint)
            rows.append(Row(number, bed, height, False, 1, depth))
    return tuple(rows)
