"""Basins with all means of the layout at once, made up by a seeded generator.

Each means is a group of inputs. Where a job can't be built, the means that is refused is left out:
so jobs have as many as go together.
"""

from __future__ import annotations

from dataclasses import fields, replace
from random import Random
from typing import Any

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import FIELDS, INCH, BasinSpec
from basinbook.engine.spec_columns import IN_WALL
from basinbook.engine.spec_look import PLACE_WALLS

Means = list[dict[str, Any]]
_HAVE = {field.name for field in fields(BasinSpec)}
_BY_LABEL = {about.label: name for name, about in FIELDS.items()}


def plain_basin(rng: Random) -> BasinSpec:
    """Return a basin that mostly can be built, in inches or millimetres."""
    inches = rng.random() < 0.5
    unit = INCH if inches else 0.001
    long, high, deep = rng.choice(
        ((16, 4, 8), (12, 4, 8), (18, 6, 12), (24, 6, 12), (12, 3, 6))
        if inches
        else ((400, 100, 200), (300, 150, 200), (300, 100, 200), (450, 200, 200))
    )
    step = 0.5 if inches else 10
    low, most = (16, 100) if inches else (400, 2500)
    dry = rng.random() < 0.7
    return BasinSpec(
        inside_length=rng.randint(round(low / step), round(most / step)) * step * unit,
        inside_width=rng.randint(round(low / step), round(0.6 * most / step)) * step * unit,
        block_length=long * unit,
        block_height=high * unit,
        block_depth=deep * unit,
        water_depth=0.05,
        freeboard=0.0,
        courses=rng.randint(2, 6),
        joint=0.0 if dry else (3 / 8 * INCH if inches else 0.01),
        joint_offset=rng.choice((0.0, 0.0, long * unit / 6)),
    )


def means_of(rng: Random, spec: BasinSpec) -> Means:
    """Return means to add to a basin, in the order in which they are given up last to first."""
    long, high, deep = spec.block_length, spec.block_height, spec.block_depth
    unit = 0.005 if spec.joint == 0.01 else INCH / 2
    wide = max(1, round((long / 2 - 2 * unit) / unit))
    courses = spec.courses or 3
    course = str(rng.randint(1, courses))
    found: Means = []

    def some(chance: float, **inputs: Any) -> None:
        if rng.random() < chance:
            found.append(inputs)

    some(
        0.85,
        cap_length=rng.choice((long, 1.5 * long, 24 * INCH)),
        cap_depth=deep + rng.randint(0, 8) * unit,
        cap_height=0.05,
        cap_corner=rng.choice(("butted", "mitred")),
    )
    some(
        0.7,
        second_wall="yes",
        pipe_space=rng.choice((long - deep, long - deep, long / 2, deep / 2)),
        second_wall_courses=rng.choice((0, 0, courses + 2)),
        second_wall_returns=rng.choice(("both", "both", "left", "none")),
    )
    some(
        0.5,
        turned_walls=rng.choice(("where they save cuts", "every n-th course", "none")),
        turned_second=rng.choice(("where they save cuts", "where they save cuts", "none")),
        turned_every=rng.randint(2, 3),
    )
    some(
        0.4,
        mixed_courses=course,
        mixed_number=rng.randint(1, 2),
        mixed_walls=rng.choice(("all", "front", "back", "sides", "front and back")),
    )
    some(
        0.25,
        edge_courses=str(rng.randint(1, courses)),
        edge_walls=rng.choice(("all", "front", "back", "sides", "front and back")),
        edge_doubled="yes" if 2 * high + spec.joint <= deep else "no",
    )
    some(0.5, edge_leaves="leaf by leaf", liner_gap=rng.choice((0.0, 0.01)))
    some(0.2, bond=rng.choice(("half", "third")))
    some(
        0.5,
        opening_width=rng.randint(6, max(6, wide)) * unit,
        opening_course=rng.randint(1, courses),
    )
    some(
        0.4,
        opening_2_wall=rng.choice(("front", "left", "right", "second wall")),
        opening_2_width=rng.randint(6, max(6, wide)) * unit,
        opening_2_course=rng.randint(1, courses),
    )
    some(
        0.3,
        opening_3_wall=rng.choice(("front", "back", "left")),
        opening_3_width=rng.randint(6, 2 * max(6, wide)) * unit,
        opening_3_course=rng.randint(1, courses),
        opening_3_lintel="Lintel",
        opening_3_lintel_length=2 * long,
        opening_3_lintel_height=high,
    )
    some(
        0.4,
        access_width=rng.randint(8, 2 * max(6, wide)) * unit,
        access_courses=rng.choice((0, 0, 1)),
    )
    some(
        0.3,
        wall_column_1=rng.choice(("on both walls", "by front wall", "by left wall", "by left end")),
        wall_column_1_courses=rng.randint(1, 3),
    )
    some(0.3, columns=rng.randint(1, 4), column_courses=rng.randint(2, 8))
    some(
        0.5,
        cap_overhang_least=0.0,
        cap_overhang_greatest=rng.choice((None, 4 * unit)),
    )
    some(0.7, cap_joints=rng.choice(("apart where it costs no cut", "always apart")))
    some(0.5, cap_short_edge="on the short edge")
    some(
        0.6,
        cap_gaps=rng.choice(("one cap bridges", "open over the access gap")),
        cap_bearing=rng.choice((0.0, 0.05)),
    )
    some(
        0.5,
        service_cap=rng.choice(
            ("over the pipe opening", "over the access gap", "in the back wall")
        ),
    )
    # Drawn last, so that all else is as without it, and given up last.
    if rng.random() < 0.8:
        found.insert(
            0,
            {
                "wall_column_2": rng.choice(IN_WALL),
                "wall_column_2_at": rng.choice((None, rng.randint(20, 120) * unit)),
                "wall_column_2_courses": courses + rng.randint(1, 3),
            },
        )
    return found


def means_anywhere(rng: Random, spec: BasinSpec) -> Means:
    """Return half of such means with typed places anywhere in their walls, and looks and sizes.

    Many can't be built: no thought is given to what else stands there.
    """
    found = [one for one in means_of(rng, spec) if rng.random() < 0.5]

    def along(wall: str) -> float:
        far = spec.inside_width if wall in ("left", "right") else spec.inside_length
        return rng.randint(0, round(far / (INCH / 2))) * INCH / 2

    if rng.random() < 0.5:
        walls = [rng.choice(PLACE_WALLS) for _ in range(rng.randint(1, 2))]
        mixed: dict[str, Any] = {"mixed_courses": str(rng.randint(1, spec.courses))}
        mixed["mixed_mirrored"] = rng.choice(("yes", "no"))
        for number, wall in enumerate(walls, start=1):
            mixed |= {f"place_{number}_wall": wall, f"place_{number}_middle": along(wall)}
        found.insert(rng.randint(0, len(found)), mixed)
    for one in found:
        for name, value in list(one.items()):
            stem, _, last = name.rpartition("_")
            if last == "width" and rng.random() < 0.6:
                one[f"{stem}_offset"] = along(one.get(f"{stem}_wall", "back"))
            elif stem == "wall_column" and "end" not in value and rng.random() < 0.6:
                one[f"{name}_at"] = along(value.removesuffix(" wall").rpartition(" ")[2])
    for name in ("start_odd", "start_even"):
        if rng.random() < 0.2:
            found.append({name: rng.randint(6, 32) * INCH / 2})
    if rng.random() < 0.15:
        found.append({"bond": rng.choice(("half", "third"))})
    if rng.random() < 0.2:
        off = [rng.randint(-24, 24) * INCH / 16 for _ in range(2)]
        found.append(
            {
                "laid_courses": rng.randint(1, spec.courses),
                "laid_length": spec.inside_length + off[0],
                "laid_width": spec.inside_width + off[1],
            }
        )
    return found


def with_means(spec: BasinSpec, means: Means) -> BasinSpec:
    """Return a basin with means, those of them that there are inputs for."""
    given = {name: value for one in means for name, value in one.items() if name in _HAVE}
    return replace(spec, **given)


def laid_with_means(rng: Random) -> tuple[Layout | None, int]:
    """Return a layout with all means that go together, and how many jobs were refused for it."""
    spec = plain_basin(rng)
    means = means_of(rng, spec)
    for refused in range(30):
        try:
            return solve(with_means(spec, means)), refused
        except InputError as error:
            if not means:
                return None, refused
            means = without(means, error)
    return None, 30


def without(means: Means, error: InputError) -> Means:
    """Return the means without the one that a refused input belongs to, else without the last."""
    # "opening_3_offset" is not given, and belongs with "opening_3_width".
    stem = _BY_LABEL.get(error.argument, "none").rpartition("_")[0] or "none"
    kept = [one for one in means if not any(name.startswith(stem) for name in one)]
    return kept if len(kept) < len(means) else means[:-1]
