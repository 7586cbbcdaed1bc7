"""What to tell about a layout that can be built, and what to change in one that can't."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.whole_wall import fill
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import LEFT, RIGHT, WALL_NAMES, Job, refuse
from basinbook.engine.layout.parts.cap_ways import (
    AS_THEY_FALL,
    LEFT_OPEN,
    ONE_CAP,
    bearing,
    top_gaps,
)
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.laid_caps import LaidCaps
from basinbook.engine.layout.parts.openings import SECOND_WALL, BasinGaps, Gap
from basinbook.engine.layout.parts.second_wall import (
    SecondWall,
    alternates,
    courses,
    has_returns,
    space,
)
from basinbook.engine.layout.parts.walls import Walls, wall_options
from basinbook.engine.layout.results.nearest import NoBondError, Ways, refused_with_nearest
from basinbook.engine.layout.ticks import at_most, text
from basinbook.engine.layout.unfit import UnfitError
from basinbook.engine.spec import BLOCKS, COST, CUTS, FIELDS, LENGTHS
from basinbook.engine.spec_look import HALF, LEAST, THIRD
from basinbook.engine.spec_openings import ACCESS, openings_of

_OVER_ACCESS: Final = {
    AS_THEY_FALL: "The access gap reaches the top of the second wall: leave its caps loose, and "
    "bridge the gap where a cap is too short to bear on both sides.",
    ONE_CAP: "One cap bridges the access gap, with {} of bearing or more at both sides.",
    LEFT_OPEN: "The row of caps stops at both sides of the access gap.",
}
NOT_PROVED: Final = "Not proved"
"""How a note begins that says what is not proved."""


def advice(
    work: Job,
    caps: CapSizes | None,
    walls: Walls,
    second: SecondWall | None,
    gaps: BasinGaps,
    behind: Sequence[Gap],
    stand_off: int,
    fewest_caps: bool,
) -> tuple[str, ...]:
    """Return what the crew and the estimator should know about a layout, as sentences.

    gaps: openings in the four walls; behind: access gap and openings in the second wall.
    stand_off: distance of columns from the walls [ticks]. fewest_caps: whether the caps are
    proved to have the fewest cuts.
    """
    found = _not_bridged(work, caps, gaps, behind)
    if second is not None and caps and any(g.number == ACCESS for g in top_gaps(work, behind)):
        found.append(_OVER_ACCESS[work.spec.cap_gaps].format(text(bearing(work))))
    if second is not None and any(has_returns(work)) and not alternates(work):
        found.append(
            f"The pipe space is shorter than the shortest piece of {text(work.block.shortest)}: "
            "the returns run through at every course and do not interlock with the second wall."
        )
    if second is not None and second.stacked:
        found.append(
            f"One whole block closes the pipe space in each course ({' and '.join(second.stacked)})"
            ": no piece is cut for it, and it does not interlock with the second wall."
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


def _not_bridged(
    work: Job, caps: CapSizes | None, gaps: BasinGaps, behind: Sequence[Gap]
) -> list[str]:
    """Return what to know of openings in the top course, and of those without their wall."""
    high = [gap for gap in (*chain(*gaps), *behind) if gap.top and gap.number != ACCESS]
    over = "lay a whole cap over it" if caps else "bridge it with a cap or a lintel"
    bears = work.block.offset
    if caps and work.spec.cap_gaps == ONE_CAP:
        over, bears = "one cap does", bearing(work)
    found = [
        f"No course of block bridges the {gap.name}: {over}, with at least "
        f"{text(bears)} of bearing at both sides."
        for gap in sorted(high, key=lambda gap: gap.number)
    ]
    if work.spec.second_wall == "no":
        found += [
            f"{one.name.capitalize()} is left out: there is no second wall for it."
            for one in openings_of(work.spec)
            if one.wall == SECOND_WALL
        ]
    return found


def cutting_advice(blocks_proved: bool, caps_proved: bool) -> tuple[str, ...]:
    """Return what to know of cut plans that are not proved to take the fewest blocks or caps."""
    found = [
        name for name, proved in (("blocks", blocks_proved), ("caps", caps_proved)) if not proved
    ]
    if not found:
        return ()
    which = " and ".join(found)
    return (f"{NOT_PROVED} to cut up the fewest {which}. A cut plan with fewer may exist.",)


def cap_advice(laid: LaidCaps | None) -> tuple[str, ...]:
    """Return what to know of overhang and joints of the caps as laid."""
    if laid is None:
        return ()
    if laid.over_proved:
        return laid.notes
    return (*laid.notes, f"{NOT_PROVED} to have the fewest cap joints over joints.")


_LEAST: Final = {
    BLOCKS: "to take the fewest blocks",
    LENGTHS: "to have the fewest different lengths of cuts",
    COST: "to cost the least",
}


def aim_advice(aim: str, proved: bool) -> tuple[str, ...]:
    """Return what to know of a layout that is not proved to be the least in what is aimed at.

    Of cuts it is told wall by wall.
    """
    if proved or aim == CUTS:
        return ()
    return (f"{NOT_PROVED} {_LEAST[aim]}. A better layout may exist.",)


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
    if past > 0 and work.spec.bond != LEAST:
        fits = [THIRD] if work.spec.bond == HALF and 3 * past >= block.pitch else []
        raise UnfitError("bond", work.spec.bond, why, [*fits, LEAST], f"give {LEAST}")
    if past > 0:
        raise refuse("joint_offset", text(block.offset), f"{why}; give {at_most(past)}")
    raise refuse("block_length", text(block.length), f"{why}; give a block longer than deep")


def no_bond(work: Job) -> InputError:
    """Return the error for a size without a bond that is only compared with others."""
    label = FIELDS["inside_length"].label
    return NoBondError(label, text(work.length), "no bond was found")


def walls_refused(budget: Budget, work: Job, sure: bool, ways: Ways) -> InputError:
    """Return the error for walls without a bond: what to change, and the nearest that works.

    sure: whether there is no bond, or only none was found before the budget's end.
    """
    sides = all(
        fill(budget, option, work.block) is None
        for wall in (LEFT, RIGHT)
        for option in wall_options(work, wall, ())
    )
    name, size = ("inside_width", work.width) if sides else ("inside_length", work.length)
    why = "no bond exists" if sure else "no bond was found in the limit of search"
    return refused_with_nearest(
        budget,
        work.spec,
        name,
        size,
        f"{why} with pieces of at least {text(work.block.shortest)} and joints offset by "
        f"at least {text(work.block.offset)}",
        ways,
    )


def second_wall_refused(budget: Budget, work: Job, sure: bool, ways: Ways) -> InputError:
    """Return the error for a second wall without a bond, with the nearest input that works."""
    why = (
        "no bond of the second wall and its returns exists"
        if sure
        else "no bond of the second wall and its returns was found in the limit of search"
    )
    return refused_with_nearest(budget, work.spec, "pipe_space", space(work), why, ways)
