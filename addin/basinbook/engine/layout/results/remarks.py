"""What to tell about pieces as they lie: short edges, thin courses, joints over joints."""

from __future__ import annotations

from basinbook.engine.layout.model import FLAT, WALLS, Layout, Piece
from basinbook.engine.layout.parts.openings import SECOND_WALL
from basinbook.engine.layout.results.cap_joints import cap_joints
from basinbook.engine.layout.results.strips import narrow_courses
from basinbook.engine.layout.results.ties import ties, turned_blocks
from basinbook.engine.layout.rhythm import MIXED, course_kinds
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.spec import BasinSpec

_SAME = 1e-6


def shortest_cap(spec: BasinSpec) -> float:
    """Return the shortest cap piece to lay [m]: as given, else a quarter cap; 0 without caps."""
    if not spec.cap_length:
        return 0.0
    return spec.shortest_piece or spec.cap_length / 4.0


def shortest_mitred_edge(layout: Layout) -> float:
    """Return the least short edge of the mitred caps [m]; 0 where none is mitred."""
    return min((cap.short_edge for cap in layout.caps if cap.mitres), default=0.0)


def short_mitred_caps(layout: Layout) -> int:
    """Return how many mitred caps have a short edge under the shortest piece; 0 long is one."""
    least = shortest_cap(layout.spec)
    return sum(1 for cap in layout.caps if cap.mitres and cap.short_edge < least - _SAME)


def remarks(layout: Layout) -> tuple[str, ...]:
    """Return what crew and estimator should know of pieces as they lie, as sentences."""
    return (
        *_shorter(layout), *_turned(layout), *_thin_courses(layout), *_short_edges(layout),
        *_cap_joints(layout), *_service(layout),
    )  # fmt: skip


def stand_shorter(layout: Layout) -> list[Piece]:
    """Return the pieces of laid courses that stand shorter than they were set out."""
    parts = (*WALLS, SECOND_WALL)
    laid = layout.courses[: layout.spec.laid_courses]
    return [
        piece
        for course in laid
        for piece in course.pieces
        if piece.part in parts and piece.shorter > _SAME
    ]


def _shorter(layout: Layout) -> list[str]:
    by_size: dict[int, list[str]] = {}
    for piece in stand_shorter(layout):
        by_size.setdefault(ticks(piece.shorter), []).append(piece.name)
    if not by_size:
        return []
    told = "; ".join(f"{text(size)}: {', '.join(named)}" for size, named in by_size.items())
    return [
        "The walls measure shorter than their laid pieces and joints add up to. Measure again; if "
        f"it is so, these were cut or set shorter by what stands before them: {told}."
    ]


def _turned(layout: Layout) -> list[str]:
    count, tied = len(turned_blocks(layout)), len(ties(layout))
    if not count:
        return []
    which = "all" if tied == count > 1 else "it" if count == 1 and tied else str(tied or "none")
    courses = ", ".join(str(number) for number in sorted({p.course for p in turned_blocks(layout)}))
    return [
        f"{count} turned block{'s' if count > 1 else ''}: {which} tie{'s' if tied == 1 else ''} "
        f"the second wall to the basin. They cross the pipe space in "
        f"{'courses' if ',' in courses else 'course'} {courses}: lay pipe and cord with these, "
        "not after."
    ]


def _thin_courses(layout: Layout) -> list[str]:
    kind = course_kinds(layout.spec)
    if all(kind(course.number) == FLAT for course in layout.courses):
        # Flat courses are all as thick as a block is deep.
        return []
    narrow = narrow_courses(layout)
    if not narrow:
        return []
    numbers = ", ".join(str(course.course) for course in narrow)
    thin = min(course.thickness for course in narrow)
    above = max(course.above for course in narrow)
    many = len(narrow) > 1
    mixed = any(kind(course.course) == MIXED for course in narrow)
    return [
        f"The wall is thinner below than above: course{'s' if many else ''} {numbers} on edge "
        f"{'are' if many else 'is'} {text(ticks(thin))} thick under {text(ticks(above))}, which "
        f"bears on its inner part only{' there' if mixed else ''}. Double the blocks on edge, or "
        "have the wall checked."
    ]


def _short_edges(layout: Layout) -> list[str]:
    least, short = shortest_cap(layout.spec), shortest_mitred_edge(layout)
    count = short_mitred_caps(layout)
    if not count:
        return []
    return [
        f"{count} mitred cap{'s' if count > 1 else ''} {'have' if count > 1 else 'has'} a short "
        f"edge under the shortest piece of {text(ticks(least))}, down to {text(ticks(short))}: "
        "butt the corners, or try another cap length."
    ]


def _cap_joints(layout: Layout) -> list[str]:
    joints = cap_joints(layout)
    if not joints.over:
        return []
    which = (
        f"All {joints.total}" if joints.over == joints.total else f"{joints.over} of {joints.total}"
    )
    return [
        f"{which} cap joints stand over a joint of the course below: give a cap of another length "
        "where they are to be covered."
    ]


def _service(layout: Layout) -> list[str]:
    return [
        f"Cap {cap.number} of the {'back wall' if cap.part == 'back' else cap.part} lies loose, to "
        "be lifted off for service: its bed gets no adhesive."
        for cap in layout.caps
        if cap.service
    ]
