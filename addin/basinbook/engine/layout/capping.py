"""Caps on the walls as laid: over their joints, with what is loose and what is to be told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import Job, refuse
from basinbook.engine.layout.model import WALLS, Course, Piece
from basinbook.engine.layout.parts.cap_overhang import equal_caps, overhang_notes, plain_cuts
from basinbook.engine.layout.parts.cap_ways import NO_JOINTS, Joints
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.laid_caps import FALLING, LaidCaps, bound, lay_caps
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.second_wall import WALL
from basinbook.engine.layout.parts.service_cap import NONE, with_service_cap
from basinbook.engine.layout.results.cap_joints import joints_below
from basinbook.engine.layout.ticks import twice


def overhang_open(job: Job, caps: CapSizes | None) -> bool:
    """Return whether the overhang is still to be chosen, by the joints of the walls as laid."""
    return caps is not None and bool(caps.others) and bound(job)


def capped(
    budget: Budget,
    job: Job,
    caps: CapSizes | None,
    gaps: BasinGaps,
    behind: Sequence[Gap],
    courses: Iterable[Course],
) -> LaidCaps | None:
    """Return the caps over walls and second wall; None for a basin without caps.

    gaps: openings in the walls; behind: in the second wall. courses: of the walls as laid. Raises
    InputError for caps that can't be laid as asked.
    """
    if caps is None:
        if job.spec.service_cap != NONE:
            raise refuse("service_cap", job.spec.service_cap, f"give caps, or {NONE!r}")
        return None
    below = _below(job, [piece for course in courses for piece in course.pieces])
    laid = lay_caps(budget, job, caps, gaps, behind, below)
    found: tuple[str, ...] = ()
    if caps.span is not None:
        equal = _cuts_when_equal(budget, job, gaps, behind, below)
        found = overhang_notes(job, laid.sizes, laid.cuts, equal)
    return laid._replace(
        pieces=with_service_cap(job, laid.sizes, laid.pieces, gaps, behind),
        notes=(*found, *laid.notes),
    )


def _cuts_when_equal(
    budget: Budget, job: Job, gaps: BasinGaps, behind: Sequence[Gap], below: Joints
) -> int | None:
    """Return the cut caps with equal overhang on both faces; None where they can't be laid."""
    caps = equal_caps(job)
    if caps is None:
        return None
    if not bound(job):
        return plain_cuts(job, caps)
    try:
        return lay_caps(budget, job, caps, gaps, behind, below).cuts
    except InputError:
        return None


def _below(job: Job, blocks: list[Piece]) -> Joints:
    """Return the joints of the top courses, where the caps' joints are to keep off them."""
    if job.spec.cap_joints == FALLING:
        return NO_JOINTS
    parts = {piece.part for piece in blocks} & {*WALLS, WALL}
    return {part: tuple(twice(at) for at in joints_below(blocks, job.spec, part)) for part in parts}
