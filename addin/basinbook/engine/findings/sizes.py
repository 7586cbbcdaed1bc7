"""Findings on sizes: liner, lap, caps, courses and layout."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.findings.model import (
    LOOK,
    NOTE,
    STOPS,
    Facts,
    Finding,
    Found,
    Phrase,
    Topic,
    fact,
    length,
    whole,
)

# Room that the outer edge of the wall keeps for the adhesive of the caps: common practice, no
# source.
BARE_EDGE: Final = 0.050
# Half of the smallest step that a tape shows.
_SLACK: Final = 0.0005
_COUNT = kinds.COUNT


def _liner_size(facts: Facts) -> Found | None:
    sizes = facts.numbers("inside_length", "inside_width", "tolerance")
    if facts.text("liner_type") != "preformed" or sizes is None:
        return None
    *inside, tolerance = sizes
    nominal = facts.numbers("liner_length", "liner_width")
    if nominal is None:
        return Found(
            Phrase("The preformed liner has no nominal size"),
            Phrase("unknown"),
            Phrase(""),
            Phrase("Type its nominal inside length and width on the Materials sheet"),
        )
    for label, is_, wanted in zip(("length", "width"), inside, nominal, strict=True):
        if abs(is_ - wanted) > tolerance + _SLACK:
            word = "over" if is_ > wanted else "under"
            return Found(
                Phrase(f"The inside {label} is {word} that of the preformed liner"),
                Phrase("{}", length(is_)),
                Phrase("{} to {}", length(wanted - tolerance), length(wanted + tolerance)),
                Phrase("Choose another liner: the walls stand")
                if facts.stands
                else Phrase(
                    f"Set the inside {label} to {{}}, or choose another liner", length(wanted)
                ),
            )
    return None


def _liner_depth(facts: Facts) -> Found | None:
    sizes = facts.numbers("liner_depth", "wall_height")
    if facts.text("liner_type") != "preformed" or sizes is None:
        return None
    depth, wall = sizes
    if depth <= wall + _SLACK:
        return None
    return Found(
        Phrase("The preformed liner is deeper than the wall is high"),
        Phrase("{}", length(wall)),
        Phrase("{} or more", length(depth)),
        Phrase("Add a course, or choose a liner of less depth"),
    )


def _liner_shallow(facts: Facts) -> Found | None:
    sizes = facts.numbers("liner_depth", "water_depth")
    if facts.text("liner_type") != "preformed" or sizes is None:
        return None
    depth, water = sizes
    if depth >= water - _SLACK:
        return None
    return Found(
        Phrase("The water stands above the rim of the preformed liner"),
        Phrase("{}", length(water)),
        Phrase("{} at most", length(depth)),
        Phrase("Lower the water depth, or choose a deeper liner"),
    )


def _depth_unknown(facts: Facts) -> Found | None:
    if facts.text("liner_type") != "preformed" or facts.number("liner_depth") is not None:
        return None
    return Found(
        Phrase("The depth of the preformed liner is unknown, and not held against the wall"),
        Phrase("unknown"),
        Phrase(""),
        Phrase("Measure it and type it on the Materials sheet"),
    )


def _roll_width(facts: Facts) -> Found | None:
    sizes = facts.numbers("roll", "sheet_length", "sheet_width")
    if facts.text("liner_type") != "sheet" or sizes is None:
        return None
    roll, *sheet = sizes
    if min(sheet) <= roll + _SLACK:
        return None
    return Found(
        Phrase("The liner is wider than its roll: it needs a seam"),
        Phrase("{}", length(min(sheet))),
        Phrase("{}", length(roll)),
        Phrase("Order a wider roll, or plan the seam with the maker's tape and primer"),
    )


def _lap_over_wall(facts: Facts) -> Found | None:
    sizes = facts.numbers("lap", "wall")
    if sizes is None or sizes[0] < sizes[1] - _SLACK:
        return None
    lap, wall = sizes
    return Found(
        Phrase("The liner's lap covers the whole wall: no block is bare for the adhesive of caps"),
        Phrase("{}", length(lap)),
        Phrase("{} at most", length(max(wall - BARE_EDGE, 0.0))),
        Phrase("Shorten the lap"),
    )


def _bare_edge(facts: Facts) -> Found | None:
    sizes = facts.numbers("lap", "wall")
    if sizes is None or not sizes[1] - BARE_EDGE + 1.5e-3 < sizes[0] < sizes[1] - _SLACK:
        return None
    lap, wall = sizes
    return Found(
        Phrase("The liner's lap leaves little bare block for the adhesive of the caps"),
        Phrase("{} bare", length(wall - lap)),
        Phrase("{} or more", length(BARE_EDGE)),
        Phrase("Shorten the lap to {}", length(max(wall - BARE_EDGE, 0.0))),
    )


def _cap_joints(facts: Facts) -> Found | None:
    sizes = facts.numbers("cap_joints_over", "cap_joints")
    if sizes is None or sizes[0] < 1:
        return None
    over, joints = sizes
    return Found(
        Phrase("{} of {} cap joints stand over joints of the course below", whole(over),
               whole(joints)),
        Phrase("{}", whole(over)),
        Phrase("none, where it costs no cut"),
        Phrase("Take a cap of another length, or start the caps with a half piece"),
    )  # fmt: skip


def _cap_edge(facts: Facts) -> Found | None:
    sizes = facts.numbers("short_caps", "cap_edge", "shortest")
    if sizes is None or sizes[0] < 1:
        return None
    _, edge, shortest = sizes
    return Found(
        Phrase("A mitred cap has a short edge under the shortest piece"),
        Phrase("{}", length(edge)),
        Phrase("{} or more", length(shortest)),
        Phrase("Change the cap, butt the corners, or set a shorter piece")
        if facts.stands
        else Phrase("Change the inside size or the cap, butt the corners, or set a shorter piece"),
    )


def _courses(facts: Facts) -> Found | None:
    counts = facts.numbers("courses", "courses_needed")
    if counts is None or counts[0] <= counts[1] or counts[1] < 1:
        return None
    courses, needed = counts
    return Found(
        Phrase("The wall has more courses than water and freeboard need"),
        Phrase("{}", whole(courses)),
        Phrase("{}", whole(needed)),
        Phrase("Clear the courses to follow the water depth, or keep them for looks"),
    )  # fmt: skip


def _thin(facts: Facts) -> Found | None:
    sizes = facts.numbers("thin", "block_depth")
    if sizes is None or not 0.0 < sizes[0] < sizes[1] - _SLACK:
        return None
    thin, wall = sizes
    return Found(
        Phrase("A course is thinner than the one above or below it"),
        Phrase("{}", length(thin)),
        Phrase("{}", length(wall)),
        Phrase("Double the blocks on edge, or lay that course flat"),
    )


def _not_proved(facts: Facts) -> Found | None:
    count = facts.number("not_proved")
    if not count:
        return None
    return Found(
        Phrase("Not every layout is proved to have the fewest cuts"),
        Phrase("{} not proved", whole(count)),
        Phrase(""),
        Phrase("Build it so")
        if facts.stands
        else Phrase("Build it so, or try a size nearby: see the Sizes sheet"),
    )


SIZES: Final = Topic(
    "sizes",
    {
        "inside_length": fact("Inside length", kinds.LENGTH),
        "inside_width": fact("Inside width", kinds.LENGTH),
        "water_depth": fact("Water depth", kinds.LENGTH),
        "wall_height": fact("Wall height", kinds.LENGTH),
        "wall": fact("Wall thickness", kinds.LENGTH),
        "block_depth": fact("Block depth", kinds.LENGTH),
        "liner_type": fact("Liner type", kinds.TEXT),
        "liner_length": fact("Liner length", kinds.LENGTH),
        "liner_width": fact("Liner width", kinds.LENGTH),
        "liner_depth": fact("Liner depth", kinds.LENGTH),
        "roll": fact("Roll width", kinds.LENGTH),
        "tolerance": fact("Liner tolerance", kinds.LENGTH),
        "sheet_length": fact("Sheet length", kinds.LENGTH),
        "sheet_width": fact("Sheet width", kinds.LENGTH),
        "lap": fact("Liner lap under caps", kinds.LENGTH),
        "cap_joints": fact("Cap joints", _COUNT),
        "cap_joints_over": fact("Cap joints over joints", _COUNT),
        "short_caps": fact("Mitred caps under the shortest piece", _COUNT),
        "cap_edge": fact("Shortest cap edge", kinds.LENGTH),
        "shortest": fact("Shortest cap piece allowed", kinds.LENGTH),
        "courses": fact("Courses", _COUNT),
        "courses_needed": fact("Courses needed for the water", _COUNT),
        "thin": fact("Thin course", kinds.LENGTH),
        "not_proved": fact("Layouts not proved", _COUNT),
        "laid": fact("Courses laid", _COUNT),
    },
    (
        Finding(
            "liner size",
            STOPS,
            "Liner",
            _liner_size,
            "Nominal inside size of a preformed liner, with the tolerance typed for it; "
            "common practice, no source",
        ),
        Finding(
            "liner deeper than the wall",
            STOPS,
            "Liner",
            _liner_depth,
            "Height of the block wall; geometry",
        ),
        Finding(
            "water above the liner",
            STOPS,
            "Water_depth",
            _liner_shallow,
            "Depth of a preformed liner; geometry",
        ),
        Finding(
            "seam in the liner",
            LOOK,
            "Liner",
            _roll_width,
            "Roll width against the narrower side of the sheet; geometry",
        ),
        Finding(
            "lap over the whole wall",
            STOPS,
            "Liner_lap",
            _lap_over_wall,
            "Thickness of the thinnest course; geometry",
        ),
        Finding(
            "little room for adhesive",
            LOOK,
            "Liner_lap",
            _bare_edge,
            "50 mm (2 in) of the wall's outer edge stay bare; common practice, no source",
        ),
        Finding(
            "short edge of a mitre",
            LOOK,
            "Cap_corners",
            _cap_edge,
            "Shortest piece of the Walls sheet, blank for a quarter cap",
        ),
        Finding(
            "more courses than needed",
            LOOK,
            "Courses",
            _courses,
            "Fewest courses that hold water and freeboard; geometry",
        ),
        Finding(
            "thin course",
            LOOK,
            "Courses_on_edge",
            _thin,
            "Thickness of the courses of one wall; geometry",
        ),
        Finding(
            "cap joints over joints",
            NOTE,
            "Cap",
            _cap_joints,
            "Joints of the top course; joints are broken from course to course, common "
            "practice, no source",
        ),
        Finding(
            "liner depth unknown",
            NOTE,
            "Liners_depth",
            _depth_unknown,
            "Every preformed liner has a depth on the Materials sheet",
        ),
        Finding(
            "layout not proved",
            NOTE,
            "Inside_length",
            _not_proved,
            "The search ended at its limit of steps before it was done: docs/setting_out.md",
        ),
    ),
)
