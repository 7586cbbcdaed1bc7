"""What the look of the walls costs in cuts: the same basin with its look left free."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from basinbook.engine.layout.checked_inputs import Job
from basinbook.engine.layout.ticks import ticks
from basinbook.engine.spec import FIELDS, BasinSpec
from basinbook.engine.spec_look import LEAST, MOST_PLACES, place_field
from basinbook.engine.spec_openings import opening_field, openings_of


def asks_for_look(spec: BasinSpec) -> bool:
    """Return whether a rhythm of courses, a bond or first pieces are asked for."""
    first = ticks(spec.start_odd) or ticks(spec.start_even)
    return _has_rhythm(spec) or spec.bond != LEAST or bool(first)


def _has_rhythm(spec: BasinSpec) -> bool:
    return bool(spec.course_pattern.strip() or spec.mixed_courses.strip())


def free_look(work: Job) -> BasinSpec | None:
    """Return the spec of the same basin with rhythm, bond and first pieces left free.

    Where courses follow a pattern or are mixed, it has flat courses as high as those. None where
    no look is asked for.
    """
    spec, changes = work.spec, dict[str, Any]()
    if spec.bond != LEAST:
        changes["bond"] = LEAST
    for name in ("start_odd", "start_even"):
        if ticks(getattr(spec, name)):
            changes[name] = 0.0
    if _has_rhythm(spec):
        changes |= _all_flat(work)
    return replace(spec, **changes) if changes else None


def _all_flat(work: Job) -> dict[str, Any]:
    spec, pitch = work.spec, work.height + work.block.joint
    names = ["course_pattern", "edge_courses", "mixed_courses", "mixed_number"]
    names += [place_field(number, "middle") for number in range(1, MOST_PLACES + 1)]
    changes: dict[str, Any] = {name: FIELDS[name].default for name in names}
    changes["courses"] = -(-(work.top + work.block.joint) // pitch)
    for given in openings_of(spec):
        if given.wall != "second wall" and given.course <= len(work.levels):
            bed = work.levels[given.course - 1].bed
            changes[opening_field(given.number, "course")] = min(bed // pitch + 1, 40)
    return changes


def look_words(asked: int, fewest: int, proved: bool) -> str:
    """Return what to say of a look's cost in cut pieces, and whether that is certain."""
    more = asked - fewest
    doubt = "" if proved else " (not proved)"
    if more <= 0:
        return f"The look costs no cut piece more than the fewest{doubt}."
    pieces = "cut piece" if more == 1 else "cut pieces"
    counts = f"{asked} in place of {fewest}"
    return f"The look costs {more} {pieces} more than the fewest{doubt}: {counts}."
