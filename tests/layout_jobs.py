"""Layouts made up by a seeded generator: what an estimator may ask for, up to the largest."""

from __future__ import annotations

from dataclasses import fields
from random import Random
from typing import Any

from basinbook.engine.spec import EDGE_WALLS, FIELDS, INCH, RETURNS, BasinSpec
from basinbook.engine.spec_look import LookSpec

# Length, height and depth as sold: in inches and in millimetres. Common practice, no source.
_INCH_BLOCKS = (
    (16, 4, 8), (12, 4, 8), (18, 4, 8), (16, 8, 8), (18, 6, 12), (12, 3, 6), (8, 4, 4),
    (11.625, 4, 7), (15.625, 7.625, 7.625), (17.25, 6, 10), (24, 6, 12), (7.875, 2.75, 3.875),
)  # fmt: skip
_MM_BLOCKS = (
    (400, 100, 200), (390, 190, 190), (290, 120, 190), (600, 150, 250), (240, 115, 120),
    (215, 65, 102.5), (440, 215, 100), (500, 200, 200), (300, 120, 150), (200, 100, 100),
)  # fmt: skip

PLAIN_BASIN = BasinSpec(
    inside_length=48 * INCH,
    inside_width=24 * INCH,
    block_length=12 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
    courses=4,
    water_depth=12 * INCH,
)
"""A small basin of flat courses, without anything that stands with it."""

_TEXTS = {
    "edge_courses": ("", "", "1", "2, 4", "1, 3, 5, 7, 9"),
    "mixed_courses": ("", "1", "2, 4"),
    "course_pattern": ("", "", "flat, mixed", "flat, on edge", "mixed, on edge, flat"),
}


def realistic_job(rng: Random) -> BasinSpec:
    """Return the inputs of a basin with some of all that can stand with it."""
    inches = rng.random() < 0.5
    unit = INCH if inches else 0.001
    long, high, deep = (size * unit for size in rng.choice(_INCH_BLOCKS if inches else _MM_BLOCKS))
    grain = rng.choice((1, 0.5, 0.25, 0.125, 1 / 16) if inches else (50, 10, 5, 1))

    def size(low: float, most: float) -> float:
        """A length between limits [m], as a round number of the user's units."""
        return round(rng.uniform(low, most) / (grain * unit)) * grain * unit

    def some(chance: float, value: Any, otherwise: Any) -> Any:
        return value if rng.random() < chance else otherwise

    def mistaken() -> bool:
        """Whether to leave in what can't be built."""
        return rng.random() < 0.05

    large = rng.random() < 0.15
    most = 15.0 if large else rng.choice((2.0, 4.0, 6.0))
    mortar = 3 / 8 * INCH if inches else 0.01
    courses = rng.randint(2, 40) if large else rng.randint(2, 12)
    found: dict[str, Any] = {
        "inside_length": size(0.5, most),
        "inside_width": size(0.5, most if large else min(most, 4.0)),
        "block_length": long,
        "block_height": high,
        "block_depth": deep,
        "water_depth": size(0.05, max(0.06, min(2.0, 0.8 * courses * high))),
        "freeboard": 0.0,
        "courses": some(0.8, courses, 0),
        "joint": some(0.4, rng.choice((mortar, mortar, 0.003, size(0.0, 0.03))), 0.0),
        "joint_offset": some(0.25, rng.choice((long / 8, long / 3, long / 2, 0.05)), 0.0),
        "shortest_piece": some(0.3, rng.choice((long / 8, long / 3, size(0.03, 0.15))), 0.0),
        "kerf": rng.choice((INCH / 8, 0.003, 0.0, 3 / 16 * INCH)),
    }
    joint, offset = found["joint"], found["joint_offset"] or long / 4
    laid = courses if found["courses"] else int(found["water_depth"] / (high + joint)) + 1
    if rng.random() < 0.25:
        picked = rng.sample(range(1, laid + 1), min(rng.randint(1, 3), laid))
        layers = (deep + joint) / (high + joint)
        beside = abs(layers - round(layers)) < 1e-6
        found |= {
            "edge_courses": ", ".join(str(number) for number in sorted(picked)),
            "edge_walls": rng.choice(EDGE_WALLS) if beside or mistaken() else "all",
            "edge_doubled": some(0.5, "yes", "no") if 2 * high + joint <= deep else "no",
        }
    if rng.random() < 0.6:
        found |= {
            "cap_length": rng.choice((long, 1.5 * long, size(0.2, 0.9))),
            "cap_depth": deep + size(0.0, 0.12),
            "cap_height": 2 * INCH if inches else 0.05,
            "cap_corner": rng.choice(("butted", "mitred")),
            "cap_overhang": None,
        }
        if rng.random() < 0.3:
            found["cap_overhang"] = min(size(0.0, 0.05), found["cap_depth"] - deep)
    if rng.random() < 0.35:
        found |= {
            "columns": rng.randint(1, 4),
            "column_courses": rng.randint(2, 14),
            "column_core": "no" if long == 2 * deep + joint and rng.random() < 0.5 else "yes",
            "column_cap_side": some(0.4, long + deep + size(0.05, 0.3), 0.0),
            "column_cap_height": 0.05,
        }
    gap = long if mistaken() else long - 2 * offset
    if rng.random() < 0.45:
        behind = some(0.4, rng.randint(1, 40 if large else 14), 0)
        found |= {
            "second_wall": "yes",
            "pipe_space": size(0.08, 0.4),
            "second_wall_courses": behind,
            "second_wall_returns": rng.choice(RETURNS),
        }
        if rng.random() < 0.6:
            full = rng.random() < 0.5
            outside = found["inside_length"] + 2 * deep
            found |= {
                "access_width": size(0.1, 0.6) if full else max(unit, size(0.1 * gap, gap)),
                "access_offset": some(0.4, size(0.3 * outside, 0.7 * outside), None),
                "access_courses": 0 if full else rng.randint(1, behind or laid),
            }
    if rng.random() < 0.45:
        inside = found["inside_length"]
        found |= {
            "opening_width": max(unit, size(0.1 * gap, gap)),
            "opening_course": min(laid, rng.randint(1, 6)),
            "opening_offset": some(0.5, size(0.2 * inside, 0.8 * inside), None),
        }
    return BasinSpec(**found)


def extreme_job(rng: Random) -> BasinSpec:
    """Return inputs anywhere in their allowed ranges, often at an end: nobody's basin."""
    found: dict[str, Any] = {}
    for field in fields(BasinSpec):
        about = FIELDS[field.name]
        if about.choices:
            found[field.name] = rng.choice(about.choices)
        elif isinstance(field.default, str):
            found[field.name] = rng.choice(_TEXTS.get(field.name, ("",)))
        elif isinstance(field.default, int) and not isinstance(field.default, bool):
            found[field.name] = rng.randint(int(about.low or 0), int(about.high or 0))
        else:
            low, high = about.low or 0.0, about.high or 0.0
            tiny = low + (high - low) * rng.random() ** 6
            found[field.name] = rng.choice((low, high, rng.uniform(low, high), tiny, tiny))
            if field.default is None and rng.random() < 0.5:
                found[field.name] = None
    if rng.random() < 0.7:
        # Most looks don't go together: places without a mixed course, courses without a place.
        found |= {field.name: field.default for field in fields(LookSpec)}
    if rng.random() < 0.7:
        # Blocks that can be laid at all: twice as long as deep, small in a large basin.
        deep = rng.choice((0.05, 0.1, 0.2))
        found |= {
            "block_depth": deep,
            "block_length": deep * rng.choice((1.5, 2.0, 3.0)),
            "block_height": rng.choice((0.05, 0.1)),
            "water_depth": 0.1,
            "freeboard": 0.0,
        }
        found["shortest_piece"] = rng.choice((0.0, 0.0005, found["block_length"] / 3))
        found["joint_offset"] = rng.choice((0.0, 0.001, found["block_length"] / 5))
    return BasinSpec(**found)
