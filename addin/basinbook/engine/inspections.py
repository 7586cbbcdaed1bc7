"""Tests and inspections of a job: each keeps its row, and says what is wanted where it applies.

What is wanted is common practice, no source; where a maker's word counts, it says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, NamedTuple

from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Opening
from basinbook.engine.layout.results.columns import columns_of
from basinbook.engine.outfit import BUBBLER, CIRCULATION, GOES_UP_TO, PREFORMED, Outfit
from basinbook.engine.steps import (
    Write,
    column_pieces,
    courses_of,
    courses_text,
    lowest_wet,
    on_edge,
    opening_size,
    overhang_words,
    part_pieces,
    service_caps,
    the_opening,
)

NOT_HERE: Final = "not in this job"
_PROTECTED: Final = "ground-fault protection trips when tested"


class Job(NamedTuple):
    """What an inspection looks at, and how its lengths are written."""

    layout: Layout
    outfit: Outfit
    write: Write


@dataclass(frozen=True)
class Inspection:
    """A test or inspection; ``wanted`` gives what is wanted of it, "" where it does not apply."""

    label: str
    wanted: Callable[[Job], str]


def _digging(_: Job) -> str:
    return "Buried lines located and marked"


def _base(job: Job) -> str:
    thick = job.outfit.base_thickness
    return f"{job.write(thick)} tamped; a heel leaves no dent; level checked" if thick else ""


def _blocks(job: Job) -> str:
    if courses_of(part_pieces(job.layout, *WALLS)) < 2:
        return "Level; square by both diagonals"
    return "No joint over a joint; corners change from course to course"


def _edge(job: Job) -> str:
    return "In the courses drawn; level, upright" if on_edge(job.layout) else ""


def _opening(job: Job) -> str:
    opening = job.layout.pipe_opening
    if not opening:
        return ""
    where = courses_text(opening.course_from, opening.course_to)
    wet = "below the water level; " if opening.box.z < job.layout.spec.water_depth else ""
    return (
        f"{opening_size(opening, job.write)} in {where}; {wet}{_bridged(opening)}; blocks over it "
        "not glued"
    )


def _bridged(opening: Opening) -> str:
    return "bridged by its lintel" if opening.over == LINTEL else "bridged"


def _more_openings(job: Job) -> str:
    return "; ".join(
        f"{opening.number}: {opening_size(opening, job.write)} in "
        f"{courses_text(opening.course_from, opening.course_to)}, "
        f"{opening.part.removesuffix(' wall')} wall, {_bridged(opening)}"
        for opening in job.layout.more_openings
    )


def _second_wall(job: Job) -> str:
    if not part_pieces(job.layout, "second wall"):
        return ""
    return f"Plumb and level; {job.write(job.layout.spec.pipe_space)} clear behind the back wall"


def _access(job: Job) -> str:
    gap = job.layout.access_gap
    if not gap:
        return ""
    reach = "; pump comes out through it" if job.outfit.pump else ""
    return f"{job.write(gap.box.dx)} in {courses_text(gap.course_from, gap.course_to)}{reach}"


def _columns(job: Job) -> str:
    if not column_pieces(job.layout):
        return ""
    spec = job.layout.spec
    hollow = (spec.columns and spec.column_core == "yes") or spec.wall_column_core == "yes"
    core = "; core clear" if hollow else ""
    middles = [
        f"{column.part} {job.write(column.plan.x + column.plan.dx / 2.0 - spec.block_depth)}"
        for column in columns_of(job.layout)
        if column.on_walls
    ]
    at = f"; middle from the inside left: {', '.join(middles)}" if middles else ""
    return f"Two faces plumb; each row turned{core}{at}"


def _underlay(job: Job) -> str:
    return "Floor and walls covered; no grit beneath" if job.outfit.underlay else ""


def _liner(job: Job) -> str:
    if job.outfit.liner_type == PREFORMED:
        return "Level; floor rests everywhere, sides press nowhere"
    if not job.outfit.liner:
        return ""
    flap = f"; {job.write(job.outfit.liner_lap)} flaps on the wall" if job.outfit.liner_lap else ""
    return f"Hangs loose; folds flat, none stretched{flap}"


def _bulkhead(job: Job) -> str:
    return "Tightened by its instructions; dry when filled" if job.outfit.bulkhead else ""


def _cord(job: Job) -> str:
    return "Cord not pinched; dry when filled" if job.outfit.cord_passage else ""


def _caps(job: Job) -> str:
    if not job.layout.caps:
        return ""
    glued = "glued; " if job.outfit.adhesive else ""
    loose = "".join(f"; cap {cap.number} loose, for service" for cap in service_caps(job.layout))
    return f"Overhang {overhang_words(job.layout, job.write)}; {glued}none rocks{loose}"


def _column_caps(job: Job) -> str:
    of_block = job.layout.spec.column_cap_of == "blocks" and column_pieces(job.layout)
    if not job.layout.column_caps and not of_block:
        return ""
    return f"Overhang alike all round; {'glued; ' if job.outfit.adhesive else ''}none rocks"


def _first_filling(job: Job) -> str:
    depth, wet = job.layout.spec.water_depth, lowest_wet(job.layout, job.outfit)
    if wet:
        closed = "the pipe" if wet == job.layout.pipe_opening else "it"
        return (
            f"Stopped below {the_opening(wet)} until {closed} is closed; then {job.write(depth)} "
            "deep"
        )
    return f"{job.write(depth)} deep; no wall moves, no joint weeps"


def _leak(job: Job) -> str:
    off = ", pump off" if job.outfit.pump else ""
    return f"Level marked{off}; fall within the limit above"


def _pump(job: Job) -> str:
    return f"Runs; {_PROTECTED}; cord reachable" if job.outfit.pump else ""


def _check_valve(job: Job) -> str:
    return "Holds the pipe full, pump stopped" if job.outfit.check_valve else ""


def _effect(job: Job) -> str:
    if job.outfit.effect == CIRCULATION:
        return "All water returns to the basin"
    if job.outfit.effect == BUBBLER:
        return "None lost over the rim, nor by wind"
    goes_up_to = GOES_UP_TO.get(job.outfit.effect)
    return f"{goes_up_to.capitalize()} level; no water lands outside" if goes_up_to else ""


def _light(job: Job) -> str:
    return f"Lit; {_PROTECTED}" if job.outfit.light else ""


def _automatic_fill(job: Job) -> str:
    return (
        f"Closes at {job.write(job.layout.spec.water_depth)} of water"
        if job.outfit.automatic_fill
        else ""
    )


def _hand_over(job: Job) -> str:
    shut = "shut-off, " if job.outfit.pump or job.outfit.automatic_fill else ""
    return f"Client shown {shut}draining for frost, and cautions"


INSPECTIONS: Final = (
    Inspection("Before digging", _digging),
    Inspection("Base", _base),
    Inspection("Blocks", _blocks),
    Inspection("Blocks on edge", _edge),
    Inspection("Pipe opening", _opening),
    Inspection("Second wall", _second_wall),
    Inspection("Access gap", _access),
    Inspection("Further openings", _more_openings),
    Inspection("Columns", _columns),
    Inspection("Underlay", _underlay),
    Inspection("Liner", _liner),
    Inspection("Bulkhead fitting", _bulkhead),
    Inspection("Cord passage", _cord),
    Inspection("Caps", _caps),
    Inspection("Column caps", _column_caps),
    Inspection("First filling", _first_filling),
    Inspection("Leak test", _leak),
    Inspection("Pump", _pump),
    Inspection("Check valve", _check_valve),
    Inspection("Moving water", _effect),
    Inspection("Light", _light),
    Inspection("Automatic fill", _automatic_fill),
    Inspection("Hand-over", _hand_over),
)
"""In the order of work; a workbook's typed results stand in these rows."""


def inspections(layout: Layout, outfit: Outfit, write: Write) -> tuple[tuple[str, str], ...]:
    """Return label and what is wanted of each inspection; lengths in ``write``'s units."""
    return tuple(
        (each.label, each.wanted(Job(layout, outfit, write)) or NOT_HERE) for each in INSPECTIONS
    )
