"""The cap that is not glued, so that it can be lifted off for service."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.engine.layout.checked_inputs import BACK, WALL_NAMES, Job, refuse
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.second_wall import WALL
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.spec import SERVICE_CAPS
from basinbook.engine.spec_openings import ACCESS, PIPE

NONE, _PIPE, _ACCESS, _BACK = SERVICE_CAPS


def with_service_cap(
    job: Job, caps: CapSizes, laid: Sequence[Placed], gaps: BasinGaps, behind: Sequence[Gap]
) -> list[Placed]:
    """Return the caps with the one over the place that is asked for marked loose, for service."""
    asked = job.spec.service_cap
    if asked == NONE:
        return list(laid)
    part, place = _place(job, gaps, behind)
    joint = caps.rules.joint
    over = [
        (abs(2 * (cap.x - place) + cap.length), number)
        for number, cap in enumerate(laid)
        if cap.part == part and cap.x - joint <= place <= cap.x + cap.length + joint
    ]
    if not over:
        raise refuse("service_cap", asked, f"no cap lies there: {_otherwise(asked)}")
    _check_stands(job, caps, part)
    found = list(laid)
    number = min(over)[1]
    found[number] = found[number]._replace(loose=True, service=True)
    return found


def _place(job: Job, gaps: BasinGaps, behind: Sequence[Gap]) -> tuple[str, int]:
    """Return the wall and the place along it, from the outside left corner [ticks]."""
    spec, back = job.spec, WALL_NAMES[BACK]
    if spec.service_cap == _PIPE:
        pipe = next((gap for gap in gaps[BACK] if gap.number == PIPE), None)
        if pipe is None:
            raise refuse("service_cap", _PIPE, f"there is no pipe opening: {_otherwise(_PIPE)}")
        return back, job.depth + (pipe.low + pipe.high) // 2
    if spec.service_cap == _ACCESS:
        access = next((gap for gap in behind if gap.number == ACCESS), None)
        if access is None:
            raise refuse("service_cap", _ACCESS, f"there is no access gap: {_otherwise(_ACCESS)}")
        return WALL, (access.low + access.high) // 2
    offset = spec.service_cap_offset
    place = job.length // 2 if offset is None else ticks(offset)
    if place > job.length:
        raise refuse(
            "service_cap_offset", text(place), f"at most the inside length of {text(job.length)}"
        )
    return back, job.depth + place


def _otherwise(asked: str) -> str:
    others = ", ".join(f"{one!r}" for one in SERVICE_CAPS if one not in (asked, NONE))
    return f"choose one of {others}, or {NONE!r}"


def _check_stands(job: Job, caps: CapSizes, part: str) -> None:
    """Refuse a cap that would tip when it is not glued: its middle must lie over the wall."""
    on_wall = job.depth if part == WALL else job.walls[BACK][-1].thickness
    outer = caps.row if part == WALL else caps.depth - caps.inner - on_wall
    most = max(outer, caps.depth - on_wall - outer)
    if 2 * most >= caps.depth:
        raise refuse(
            "service_cap",
            job.spec.service_cap,
            f"the cap would tip where it is not glued: it overhangs by {text(most)}, half its "
            f"depth or more; give an overhang under {text(caps.depth // 2)} on both faces",
        )
