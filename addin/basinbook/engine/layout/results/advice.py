"""What to tell about a layout that can be built, and what to change in one that can't."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.whole_wall import fill
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import BACK, LEFT, RIGHT, WALL_NAMES, Job, job, refuse
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.openings import Gap, pipe_gap
from basinbook.engine.layout.parts.second_wall import (
    SecondWall,
    access_gap,
    alternates,
    courses,
    has_returns,
    solve_second_wall,
    space,
)
from basinbook.engine.layout.parts.walls import Walls, solve_walls, wall_options
from basinbook.engine.layout.ticks import metres, text, ticks
from basinbook.engine.spec import BasinSpec

_STEP = ticks(0.0127)
_STEPS = 16
NOT_PROVED: Final = "Not proved"
"""How a note begins that says what is not proved."""
TRIAL_STEPS: Final = LAYOUT_STEPS // 12
"""Steps of search for one place of a gap, or one size, that may do."""


def advice(
    work: Job,
    caps: CapSizes | None,
    walls: Walls,
    second: SecondWall | None,
    pipe: Gap | None,
    access: Gap | None,
    stand_off: int,
    fewest_caps: bool,
) -> tuple[str, ...]:
    """Return what the crew and the estimator should know about a layout, as sentences.

    stand_off: distance of columns from the walls [ticks]. fewest_caps: whether the caps are
    proved to have the fewest cuts.
    """
    found = []
    if pipe is not None and pipe.last == len(work.walls[BACK]) - 1:
        over = "lay a whole cap over it" if caps else "bridge it with a cap or a lintel"
        found.append(
            f"No course of block bridges the pipe opening: {over}, with at least "
            f"{text(work.block.offset)} of bearing at both sides."
        )
    if second is not None and access is not None and access.last == courses(work) - 1 and caps:
        found.append(
            "The access gap reaches the top of the second wall: leave its caps loose, and bridge "
            "the gap where a cap is too short to bear on both sides."
        )
    if second is not None and any(has_returns(work)) and not alternates(work):
        found.append(
            f"The pipe space is shorter than the shortest piece of {text(work.block.shortest)}: "
            "the returns run through at every course and do not interlock with the second wall."
        )
    if stand_off > work.block.joint:
        found.append(
            f"Columns stand {text(stand_off)} off the walls, so that the overhang of caps has room."
        )
    chains = dict(zip(WALL_NAMES, walls, strict=True)) | (second.chains if second else {})
    open_proof = [name for name, chain in chains.items() if not chain.proved]
    if not fewest_caps:
        open_proof.append("caps")
    if open_proof:
        found.append(
            f"{NOT_PROVED} to have the least number of cuts: {', '.join(open_proof)}. "
            "A layout with fewer may exist."
        )
    return tuple(found)


def cutting_advice(blocks_proved: bool, caps_proved: bool) -> tuple[str, ...]:
    """Return what to know of cut plans that are not proved to take the fewest blocks or caps."""
    found = [
        name for name, proved in (("blocks", blocks_proved), ("caps", caps_proved)) if not proved
    ]
    if not found:
        return ()
    which = " and ".join(found)
    return (f"{NOT_PROVED} to cut up the fewest {which}. A cut plan with fewer may exist.",)


def check_corners(work: Job) -> None:
    """Refuse a block that is too short to interlock at a corner, before a bond is looked for.

    At a corner a joint lies at the wall's thickness in one course, and the piece that runs
    through in the next must reach the joint offset past it, unless it is the whole wall.
    """
    block, flat = work.block, any(not level.on_edge for level in work.levels)
    stacked = flat and len(work.levels) > 1
    short = min(work.length, work.width)
    if work.spec.second_wall == "yes" and any(has_returns(work)):
        flat, stacked = True, stacked or (alternates(work) and courses(work) > 1)
    past = block.length - work.depth
    if flat and past < 0:
        raise refuse(
            "block_length",
            text(block.length),
            f"at least the block depth of {text(work.depth)}: at a corner a block reaches over "
            "the thickness of the wall that butts",
        )
    if not stacked or past >= block.offset or short + work.depth <= block.length:
        return
    why = (
        f"at a corner a block of {text(block.length)} reaches {text(max(0, past))} past the wall's "
        f"thickness of {text(work.depth)}, which is all the joint offset there can be"
    )
    if past > 0:
        raise refuse("joint_offset", text(block.offset), f"{why}; give at most {text(past)}")
    raise refuse("block_length", text(block.length), f"{why}; give a block longer than deep")


def no_bond(work: Job) -> InputError:
    """Return the error for a size without a bond that is only compared with others."""
    return refuse("inside_length", text(work.length), "no bond was found")


def walls_refused(budget: Budget, work: Job, pipe: Gap | None, sure: bool) -> InputError:
    """Return the error for walls without a bond: what to change, and the nearest that works.

    sure: whether there is no bond, or only none was found before the budget's end.
    """
    if pipe is not None and _plain_works(budget, work):
        middle = (pipe.low + pipe.high) // 2
        why = (
            "no bond leaves a block over the pipe opening here"
            if sure
            else "no bond with a block over the pipe opening here was found in the limit of search"
        )
        return _nearest(budget, work.spec, "opening_offset", middle, why, _works)
    sides = all(
        fill(budget, lines, work.width, work.block) is None
        for wall in (LEFT, RIGHT)
        for lines in wall_options(work, wall, None)
    )
    name, size = ("inside_width", work.width) if sides else ("inside_length", work.length)
    why = "no bond exists" if sure else "no bond was found in the limit of search"
    return _nearest(
        budget,
        work.spec,
        name,
        size,
        f"{why} with pieces of at least {text(work.block.shortest)} and joints offset by "
        f"at least {text(work.block.offset)}",
        _works,
    )


def _works(budget: Budget, spec: BasinSpec) -> bool:
    changed = job(spec)
    return solve_walls(budget, changed, pipe_gap(changed)) is not None


def _plain_works(budget: Budget, work: Job) -> bool:
    with budget.trial(TRIAL_STEPS):
        return solve_walls(budget, work, None) is not None


def _plain_second_works(budget: Budget, work: Job) -> bool:
    with budget.trial(TRIAL_STEPS):
        return solve_second_wall(budget, work, None) is not None


def second_wall_refused(budget: Budget, work: Job, access: Gap | None, sure: bool) -> InputError:
    """Return the error for a second wall without a bond, with the nearest input that works."""
    if access is not None and _plain_second_works(budget, work):
        middle = (access.low + access.high) // 2
        why = (
            "no bond of the second wall leaves this gap"
            if sure
            else "no bond of the second wall with this gap was found in the limit of search"
        )
        return _nearest(budget, work.spec, "access_offset", middle, why, _second_works)
    why = (
        "no bond of the second wall and its returns exists"
        if sure
        else "no bond of the second wall and its returns was found in the limit of search"
    )
    return _nearest(budget, work.spec, "pipe_space", space(work), why, _second_works)


def _second_works(budget: Budget, spec: BasinSpec) -> bool:
    changed = job(spec)
    return solve_second_wall(budget, changed, access_gap(changed)) is not None


_Works = Callable[[Budget, BasinSpec], bool]


def _nearest(
    budget: Budget, spec: BasinSpec, name: str, value: int, why: str, works: _Works
) -> InputError:
    """Return the error with the nearest value that works."""
    found = _nearest_value(budget, spec, name, value, works)
    if found is not None:
        which = "nearest that works" if found.sure else "what works"
        return refuse(name, text(value), f"{why}; {which}: {text(found.value)}")
    return refuse(
        name, text(value), f"{why}; give a smaller shortest piece or joint offset, or another block"
    )


class _Near(NamedTuple):
    """A value that works [ticks], and whether all that lie nearer are known not to."""

    value: int
    sure: bool


def _nearest_value(
    budget: Budget, spec: BasinSpec, name: str, value: int, works: _Works
) -> _Near | None:
    """Return the nearest value that works, looked for in half inches; None for none."""
    sure = True
    for step in range(1, _STEPS + 1):
        for sign in (1, -1):
            tried = (value // _STEP + (step if sign > 0 else 1 - step)) * _STEP
            if tried <= 0 or tried == value:
                continue
            if budget.ended:
                return None
            change: dict[str, Any] = {name: metres(tried)}
            try:
                with budget.trial(TRIAL_STEPS):
                    if works(budget, replace(spec, **change)):
                        return _Near(tried, sure)
                    sure = sure and not budget.ended
            except InputError:
                continue
    return None


class Moved(NamedTuple):
    """The inputs with a gap moved off the centre, and whether no nearer place is known to do."""

    spec: BasinSpec
    sure: bool


def moved_pipe(budget: Budget, work: Job, pipe: Gap | None) -> Moved | None:
    """Return the spec with the pipe opening as near the centre as the bond allows.

    None where its place was given, where there is none, and where moving it doesn't help.
    """
    spec = work.spec
    if pipe is None or spec.opening_offset is not None or not _plain_works(budget, work):
        return None
    middle = (pipe.low + pipe.high) // 2
    found = _nearest_value(budget, spec, "opening_offset", middle, _works)
    if found is None:
        return None
    return Moved(replace(spec, opening_offset=metres(found.value)), found.sure)


def moved_access(budget: Budget, work: Job, access: Gap | None) -> Moved | None:
    """Return the spec with the access gap as near the centre as the bond allows; else None."""
    spec = work.spec
    if access is None or spec.access_offset is not None or not _plain_second_works(budget, work):
        return None
    middle = (access.low + access.high) // 2
    found = _nearest_value(budget, spec, "access_offset", middle, _second_works)
    if found is None:
        return None
    return Moved(replace(spec, access_offset=metres(found.value)), found.sure)


def moves(spec: BasinSpec, laid: BasinSpec, sure: bool) -> tuple[str, ...]:
    """Return what was moved from the centre, from the spec as given and as laid out."""
    found = []
    no_bond = "no bond" if sure else "no bond was found that"
    if spec.opening_offset is None and laid.opening_offset is not None:
        found.append(
            f"The pipe opening's middle stands {text(ticks(laid.opening_offset))} from the inside "
            f"left corner, not in the centre: {no_bond} leaves a block over it there."
        )
    if spec.access_offset is None and laid.access_offset is not None:
        found.append(
            f"The access gap's middle stands {text(ticks(laid.access_offset))} from the second "
            f"wall's left end, not in the centre: {no_bond} leaves it there."
        )
    return tuple(found)
