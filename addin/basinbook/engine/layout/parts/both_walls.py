"""Basin walls and second wall together, where turned blocks of both reach into the pipe space."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.whole_wall import Chain
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.checked_inputs import BACK, Job
from basinbook.engine.layout.model import TURNED
from basinbook.engine.layout.parts.openings import BasinGaps, Gap, basin_gaps
from basinbook.engine.layout.parts.placed_pieces import Placed, wall_pieces
from basinbook.engine.layout.parts.second_wall import (
    SecondWall,
    second_wall_gaps,
    second_wall_pieces,
    solve_second_wall,
)
from basinbook.engine.layout.parts.turned import APART, Tail, Tails, reach
from basinbook.engine.layout.parts.walls import Walls, proved_least, solve_walls, solved_walls
from basinbook.engine.layout.ticks import text, ticks
from basinbook.engine.layout.unfit import UnfitError
from basinbook.engine.spec import BY_RULE, NO_TURNED, SAVING

_SHARING_STEPS: Final = 40_000
_SOON: Final = 20_000
_TRIAL_STEPS: Final = LAYOUT_STEPS // 12


class Both(NamedTuple):
    """The filled walls of the basin, and the second wall where there is one."""

    walls: Walls
    second: SecondWall | None


def solve_both(
    budget: Budget, job: Job, gaps: BasinGaps, behind: tuple[Gap, ...], second: SecondWall | None
) -> Both | None:
    """Return the walls with the fewest cuts beside a second wall that was solved alone.

    Turned blocks of one wall keep clear of those of the other. Where that costs cuts, one wall
    after the other is kept to a share of the pipe space, and the other solved beside it. The best
    is proved only where it has no more cuts than each wall by itself, and none has turned blocks
    by rule. None where no way has a filling, or none was found before the budget's end.
    """
    taken = tails_of(second_wall_pieces(job, second, behind)) if second else []
    clash = job.spec.turned_walls != NO_TURNED and taken and not room_for_both(job)
    before = budget.left
    walls, chosen = solved_walls(budget, job, gaps, taken if clash else ())
    found = Both(walls, second) if walls else None
    if second is None or not clash:
        return found
    # Where the search is long, what it leaves of the budget decides what else is found: so it is
    # not cut short. By rule a wall has as many turned blocks as its open stretches have parts, so
    # that by itself it may have more cuts than beside another: then that is no bound.
    ruled = BY_RULE in (job.spec.turned_walls, job.spec.turned_second)
    soon = before - budget.left < _SOON and not ruled
    if walls and chosen and soon and proved_least(budget, job, gaps, chosen, _cuts(walls)):
        return found
    free = solve_walls(budget, job, gaps)
    if free is None:
        return found
    alone = _cuts(free) + _cuts(second.chains.values())
    if found is None or _total(found) > alone:
        with budget.part(_SHARING_STEPS):
            for both in _shared(budget, job, gaps, behind, free):
                if found is None or _total(both) < _total(found):
                    found = both
                if _total(found) == alone or budget.ended:
                    break
    # Walls by themselves that are not proved are no bound.
    least = all(chain.proved for chain in (*free, *second.chains.values()))
    if found is None or (_total(found) == alone and least and not ruled):
        return found
    return _not_proved(found)


def by_rule_refused(budget: Budget, job: Job, second: bool, sure: bool) -> InputError | None:
    """Return the error for a bond that only the rule for turned blocks stands against; else None.

    second: of the second wall, not the basin's walls. sure: whether it was sought to its end.
    """
    field = "turned_second" if second else "turned_walls"
    change: dict[str, Any] = {field: SAVING}
    if getattr(job.spec, field) != BY_RULE:
        return None
    other = replace(job, spec=replace(job.spec, **change))
    with budget.trial(_TRIAL_STEPS):
        if second:
            works = solve_second_wall(budget, other, second_wall_gaps(job)) is not None
        else:
            works = solve_walls(budget, other, basin_gaps(job)) is not None
    if not works:
        return None
    none = "no bond has" if sure else "no bond was found in the limit of search with"
    return UnfitError(
        field,
        BY_RULE,
        f"{none} a turned block in each {text(APART)} of every course that wants them, one in "
        f"{job.spec.turned_every}; give another number of courses",
        [SAVING],
        f"or: {SAVING}",
    )


def _shared(
    budget: Budget, job: Job, gaps: BasinGaps, behind: tuple[Gap, ...], free: Walls
) -> Iterator[Both]:
    """Yield walls of which the one was solved without regard to the other, or for a share."""
    for share in ((), *_shares(job)):
        second = solve_second_wall(budget, job, behind, share) if share else None
        if second is not None:
            beside = tails_of(second_wall_pieces(job, second, behind))
            walls = solve_walls(budget, job, gaps, beside)
            if walls is not None:
                yield Both(walls, second)
        walls = solve_walls(budget, job, gaps, share) if share else free
        if walls is not None:
            beside = tails_of(wall_pieces(job, BACK, walls[BACK], gaps[BACK]))
            second = solve_second_wall(budget, job, behind, beside)
            if second is not None:
                yield Both(walls, second)


_EIGHTHS: Final = (((3, 5),), ((2, 6),), ((0, 4),), ((4, 8),), ((0, 2), (6, 8)), ((0, 3), (5, 8)))
_TOP: Final = 1 << 60


def _shares(job: Job) -> list[Tails]:
    """Return what is kept free for the other wall: parts of the pipe space's length."""
    part = job.outside_length // 8
    return [
        tuple(Tail(low * part, high * part, 0, _TOP) for low, high in ranges) for ranges in _EIGHTHS
    ]


def apart(job: Job) -> Iterator[tuple[Tails, Tails]]:
    """Yield what back wall and second wall may each keep clear of, so that they do of each other.

    All of the pipe space, none of it, every other course, or a share of the length.
    """
    long = job.outside_length
    every = (Tail(0, long, 0, _TOP),)
    rows = [(row.bed, row.bed + row.height) for row in job.walls[BACK]]
    odd, even = (tuple(Tail(0, long, *row) for row in rows[first::2]) for first in (0, 1))
    yield from ((every, ()), ((), every), (odd, even), (even, odd))
    for share in _shares(job):
        rest, low = [], 0
        for one in share:
            rest += [Tail(low, one.low, 0, _TOP)] if low < one.low else []
            low = one.high
        rest += [Tail(low, long, 0, _TOP)] if low < long else []
        yield share, tuple(rest)
        yield tuple(rest), share


def tails_of(pieces: Iterable[Placed]) -> list[Tail]:
    """Return what turned blocks among pieces take of the pipe space."""
    return [
        Tail(piece.x, piece.x + piece.dx, piece.z, piece.z + piece.dz)
        for piece in pieces
        if piece.orientation == TURNED
    ]


def room_for_both(job: Job) -> bool:
    """Return whether turned blocks of both walls have room end to end in the pipe space."""
    return 2 * reach(job) + job.block.joint <= ticks(job.spec.pipe_space)


def _cuts(chains: Iterable[Chain]) -> int:
    return sum(chain.cuts for chain in chains)


def _total(both: Both) -> int:
    return _cuts(both.walls) + (_cuts(both.second.chains.values()) if both.second else 0)


def _not_proved(both: Both) -> Both:
    """Return walls of which back wall and second wall could be better together."""
    second = both.second
    if second is not None:
        chains = {part: chain._replace(proved=False) for part, chain in second.chains.items()}
        second = second._replace(chains=chains)
    return Both(both.walls._replace(back=both.walls.back._replace(proved=False)), second)
