"""Layouts that the tests of the drawings share; sizes invented."""

from __future__ import annotations

from functools import cache

from basinbook.engine.layout.model import Box, Course, CutPlan, Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH, BasinSpec

SIMPLE = BasinSpec(
    50 * INCH, 30 * INCH, 16 * INCH, 4 * INCH, 6 * INCH,
    cap_length=12 * INCH, cap_depth=8 * INCH, cap_height=2 * INCH,
)  # fmt: skip
FULL_US = BasinSpec(
    72 * INCH, 48 * INCH, 16 * INCH, 6 * INCH, 8 * INCH, courses=6, water_depth=24 * INCH,
    second_wall="yes", access_width=12 * INCH, opening_width=4 * INCH, opening_offset=20 * INCH,
    cap_length=16 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH, cap_corner="mitred",
    columns=4, column_courses=8, column_cap_side=28 * INCH, column_cap_height=2.5 * INCH,
    edge_courses="3",
)  # fmt: skip
FULL_METRIC = BasinSpec(
    2.0, 1.2, 0.4, 0.1, 0.2, courses=6, water_depth=0.4,
    second_wall="yes", pipe_space=0.1, access_width=0.3, opening_width=0.1, opening_course=2,
    cap_length=0.4, cap_depth=0.25, cap_height=0.05, cap_corner="mitred",
    columns=3, column_courses=8, column_cap_side=0.65, column_cap_height=0.06,
    edge_courses="3", edge_walls="front",
)  # fmt: skip
LARGE = BasinSpec(6.13, 3.47, 0.39, 0.19, 0.19, courses=4, joint=0.01, water_depth=0.5)

# What the drawings of these jobs show besides block and caps: names and sizes invented.
OUTFIT = Outfit(
    effect="straight lip", outlet="Lip 18 in", outlets=1, pump="Pump 2400", pipe="Pipe 1 1/2 in",
    pipe_bore=1.61 * INCH, bulkhead="Bulkhead 1 1/2 in", bulkheads=1,
    liner="Sheet liner 45 mil", liner_type="sheet", liner_lap=6 * INCH, underlay="Fleece 8 oz",
    base_material="Stone dust", base_thickness=4 * INCH, base_margin=6 * INCH,
    adhesive="Masonry adhesive 28 oz", pump_width=7 * INCH, pump_height=5 * INCH,
)  # fmt: skip

JOBS = {
    "simple": (SIMPLE, "us", "letter"),
    "full us": (FULL_US, "us", "letter"),
    "full metric": (FULL_METRIC, "metric", "a4"),
    "large": (LARGE, "metric", "a4"),
}


@cache
def layout_of(job: str) -> Layout:
    """Return the solved layout of a job."""
    return solve(JOBS[job][0])


def one_course() -> Layout:
    """Return a layout made by hand: one course of four blocks round 400 × 200 mm, no caps."""
    spec = BasinSpec(0.4, 0.2, 0.6, 0.1, 0.1, water_depth=0.05, courses=1)
    places = (
        ("front", Box(0.0, 0.0, 0.0, 0.6, 0.1, 0.1), 0.6, True),
        ("left", Box(0.0, 0.1, 0.0, 0.1, 0.2, 0.1), 0.2, False),
        ("right", Box(0.5, 0.1, 0.0, 0.1, 0.2, 0.1), 0.2, False),
        ("back", Box(0.0, 0.3, 0.0, 0.6, 0.1, 0.1), 0.6, True),
    )
    pieces = tuple(
        Piece(number, 1, part, "block", "flat", box, length, whole)
        for number, (part, box, length, whole) in enumerate(places, 1)
    )
    blocks = CutPlan("block", 2, 2, 2, 1, (), 0.0)
    caps = CutPlan("cap", 0, 0, 0, 0, (), 0.0)
    return Layout(spec, (Course(1, 0.0, 0.1, pieces),), (), (), (), blocks, blocks, caps, ())
