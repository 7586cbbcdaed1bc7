"""The parts of a layout solved and fitted to each other, before pieces are placed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aimed import aim_value, aimed, wall_pieces_counted
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget
from basinbook.engine.layout.capping import capped, overhang_open
from basinbook.engine.layout.checked_inputs import BACK, Job, job
from basinbook.engine.layout.parts.both_walls import by_rule_refused, solve_both
from basinbook.engine.layout.parts.cap_overhang import cap_sizes
from basinbook.engine.layout.parts.caps import CapSizes, check_clear
from basinbook.engine.layout.parts.columns.all_columns import (
    Columns,
    check_columns,
    column_blocks,
    column_caps,
    stand,
    under_columns,
)
from basinbook.engine.layout.parts.columns.site import Site
from basinbook.engine.layout.parts.engaged import (
    FEWEST,
    LEFT_FIRST,
    RIGHT_FIRST,
    check_engaged,
    engaged_slots,
)
from basinbook.engine.layout.parts.laid_caps import LaidCaps
from basinbook.engine.layout.parts.openings import BasinGaps, Gap, basin_gaps
from basinbook.engine.layout.parts.placed_pieces import Placed, wall_pieces
from basinbook.engine.layout.parts.second_wall import (
    SecondWall,
    second_wall_gaps,
    second_wall_pieces,
    solve_second_wall,
)
from basinbook.engine.layout.parts.turned import check_turned
from basinbook.engine.layout.parts.walls import Walls
from basinbook.engine.layout.results.advice import (
    check_corners,
    no_bond,
    second_wall_refused,
    walls_refused,
)
from basinbook.engine.layout.results.look_places import look_refused
from basinbook.engine.layout.results.nearest import HINT_STEPS, UNFIT_STEPS, Ways, unfit_refused
from basinbook.engine.layout.results.numbering import courses_of
from basinbook.engine.layout.results.opening_places import (
    Moved,
    basin_works,
    first_clash,
    of_second_wall,
    opening_refused,
    second_wall_works,
    settled,
)
from basinbook.engine.layout.standing.basin_walls import on_standing
from basinbook.engine.layout.standing.broken import broken_pieces
from basinbook.engine.layout.standing.second_wall import second_on_standing
from basinbook.engine.layout.standing.sizes import Measured, job_measured, measured
from basinbook.engine.layout.unfit import UnfitError
from basinbook.engine.spec import CUTS, BasinSpec

# For all walls, and for the second wall or the basin's: so that some are left for what comes after.
_BOND_STEPS: Final = LAYOUT_STEPS // 10 * 9
_WALL_STEPS: Final = LAYOUT_STEPS // 10 * 7
_MEASURED: Final = ("laid_length", "laid_width")
# For courses on what stands at least: the plan, which has to stay as it was, may have used all.
_STANDING_STEPS: Final = LAYOUT_STEPS // 4


@dataclass(frozen=True)
class Plan:
    """The solved parts of a layout, before pieces are placed.

    gaps: openings in the four walls. behind: access gap and openings in the second wall.
    moved_surely: a gap off the centre stands at the nearest place. least: whether the walls are
    proved to be the least in what is aimed at.
    """

    job: Job
    caps: CapSizes | None
    gaps: BasinGaps
    behind: tuple[Gap, ...]
    walls: Walls
    second: SecondWall | None
    columns: Columns
    moved_surely: bool
    least: bool


def planned(budget: Budget, spec: BasinSpec, hints: bool = True, steps: int = _BOND_STEPS) -> Plan:
    """Return the plan of a layout; raises InputError naming the input to change.

    hints: whether that is to tell what nearby works. steps: of search at most.
    """
    plan: Plan | None = None
    with budget.part(steps):
        try:
            begun = _begun(spec)
            if len(begun) == 1:
                plan = _solved(budget, spec, hints, True)
            else:
                plan = _either_way(budget, spec, begun, hints)
            # How columns begin is chosen for what was planned: what is laid stands so.
            stands = measured(plan.job)
            return plan if stands is None else _on_what_stands(budget, plan, stands)
        except UnfitError as error:
            if not hints:
                raise
            if plan is not None and error.field in _MEASURED:
                ways = _ways_on(plan)
            else:
                ways = _ways(of_second_wall(spec, error.field))
            with budget.at_least(2 * UNFIT_STEPS):
                raise unfit_refused(budget, spec, error, ways) from None


def _begun(spec: BasinSpec) -> list[BasinSpec]:
    """Return the ways to begin columns in walls, left or right block first; else the spec."""
    if not engaged_slots(spec) or spec.wall_column_first != FEWEST:
        return [spec]
    return [replace(spec, wall_column_first=first) for first in (LEFT_FIRST, RIGHT_FIRST)]


def _either_way(budget: Budget, spec: BasinSpec, ways: Sequence[BasinSpec], hints: bool) -> Plan:
    """Return the plan with columns in walls begun with the block that is best in the aim.

    Of ways as good as another the one that leaves fewer cuts.
    """
    best: tuple[tuple[int, int], Plan] | None = None
    sure = True
    for way in ways:
        with budget.part(_BOND_STEPS // 3):
            plan, whole = budget.nothing_left_out(partial(_solved_or_none, budget, way))
        if plan is None:
            sure = sure and whole
            continue
        counted = wall_pieces_counted(plan.job, plan.walls, plan.second)
        of_columns = column_blocks(plan.job, plan.columns)
        rank = aim_value(budget, plan.job, counted, of_columns), len(counted.cut)
        sure = sure and plan.least
        if best is None or rank < best[0]:
            best = rank, plan
    if best is None:
        # Neither works: what is said of the first is as good as of the other. A hint is for both.
        return _solved(budget, spec, hints, True)
    return replace(best[1], least=sure)


def _solved_or_none(budget: Budget, spec: BasinSpec) -> Plan | None:
    try:
        return _solved(budget, spec, False, True)
    except InputError:
        return None


def _solved(budget: Budget, spec: BasinSpec, hints: bool, moved_surely: bool) -> Plan:
    """Solve the parts; a gap whose place is not given moves off the centre where it must."""
    work = job(spec)
    caps, gaps = cap_sizes(work), basin_gaps(work)
    behind: tuple[Gap, ...] = ()
    second = both = None
    sure = True
    check_engaged(work, gaps, second_wall_gaps(work) if spec.second_wall == "yes" else ())
    check_corners(work)
    check_turned(work)
    if spec.second_wall == "yes":
        if caps:
            check_clear(work, caps)
        behind = second_wall_gaps(work)
    check_columns(Site(work, caps, gaps[BACK], behind))
    if spec.second_wall == "yes":
        with budget.part(_WALL_STEPS):
            if not first_clash(work, [behind]):
                second, sure = budget.nothing_left_out(
                    lambda: solve_second_wall(budget, work, behind)
                )
        if second is None:
            moved = _moved(budget, work, True, hints, sure)
            return _solved(budget, moved.spec, hints, moved_surely and sure and moved.sure)
    sure = True
    with budget.part(_WALL_STEPS):
        if not first_clash(work, gaps):
            both, sure = budget.nothing_left_out(
                lambda: solve_both(budget, work, gaps, behind, second)
            )
    if both is None:
        moved = _moved(budget, work, False, hints, sure)
        return _solved(budget, moved.spec, hints, moved_surely and sure and moved.sure)
    site = Site(work, caps, gaps[BACK], behind)
    # Where cuts are aimed at, the walls stay as they are, whatever columns are made of.
    of_columns = [] if spec.aim == CUTS else column_blocks(work, stand(site, *both))
    walls, second, least = aimed(budget, work, gaps, behind, *both, of_columns)
    columns = stand(site, walls, second)
    return Plan(work, caps, gaps, behind, walls, second, columns, moved_surely, least)


def _on_what_stands(budget: Budget, plan: Plan, stands: Measured) -> Plan:
    """Return a plan whose first courses stand as planned, the others on what they measure."""
    before = plan.job
    work = job_measured(before, stands)
    second, behind, proved = plan.second, plan.behind, plan.least
    with budget.at_least(_STANDING_STEPS), budget.part(_WALL_STEPS):
        found = on_standing(budget, before, work, plan.gaps, plan.walls, stands.courses)
    if second is not None:
        with budget.at_least(_STANDING_STEPS), budget.part(_WALL_STEPS):
            bed = top_laid(work)
            behind_it = second_on_standing(budget, second, before, work, plan.behind, bed)
        second, behind = behind_it.second, behind_it.gaps
        proved = proved and behind_it.proved
    caps = cap_sizes(work)
    # What is set out anew has the fewest cuts found, whatever is aimed at.
    in_aim = before.spec.aim == CUTS or (found.walls, second) == (plan.walls, plan.second)
    return replace(
        plan,
        job=work,
        caps=caps,
        gaps=found.gaps,
        behind=behind,
        walls=found.walls,
        second=second,
        columns=stand(Site(work, caps, found.gaps[BACK], behind), found.walls, second),
        least=proved and found.proved and in_aim,
    )


def top_laid(work: Job) -> int:
    """Return the bed of the first course that is still to lay [ticks].

    Where all of the basin is laid, those of columns and a higher second wall go on above it.
    """
    laid = work.spec.laid_courses
    return work.levels[laid].bed if laid < len(work.levels) else work.cap_bed


def _moved(budget: Budget, work: Job, second: bool, hints: bool, sure: bool) -> Moved:
    """Return the spec with openings moved where that helps; else raise what to change.

    second: for the second wall, not the basin's walls. sure: whether the bond was sought to its
    end.
    """
    clash = first_clash(work, [second_wall_gaps(work)] if second else basin_gaps(work))
    by_rule = None if clash else by_rule_refused(budget, work, second, sure)
    if by_rule is not None:
        raise by_rule
    found = settled(budget, work, second, hints)
    if isinstance(found, Moved):
        return found
    if not hints:
        raise no_bond(work)
    ways = _ways(second)
    # Nothing is laid out any more: what to change is worth a share of the search.
    if found is not None:
        with budget.trial(HINT_STEPS):
            raise opening_refused(budget, work, found, second, sure, ways)
    look = look_refused(budget, work, sure, ways)
    if look is not None:
        raise look
    with budget.trial(HINT_STEPS):
        raise (second_wall_refused if second else walls_refused)(budget, work, sure, ways)


def _ways(second: bool) -> Ways:
    """Return how a spec is tried for a hint; second: whether its second wall is what is refused."""
    works = second_wall_works if second else basin_works

    def bond(budget: Budget, spec: BasinSpec) -> bool:
        return any(works(budget, way) for way in _begun(spec))

    return Ways(bond, _check)


def _ways_on(plan: Plan) -> Ways:
    """Return how a measured size is tried for a hint: what stands is known, and not sought anew."""

    def layout(budget: Budget, spec: BasinSpec) -> None:
        sizes = {name: getattr(spec, name) for name in _MEASURED}
        work = replace(plan.job, spec=replace(plan.job.spec, **sizes))
        stands = measured(work)
        assert stands is not None
        _check_plan(budget, spec, _on_what_stands(budget, plan, stands))

    return Ways(lambda _budget, _spec: True, layout)


def _check(budget: Budget, spec: BasinSpec) -> None:
    """Raise InputError where a layout can't be built; without its cut plans, which always can."""
    _check_plan(budget, spec, planned(budget, spec, False, budget.left // 10 * 9))


def _check_plan(budget: Budget, spec: BasinSpec, plan: Plan) -> None:
    """Raise InputError where what is on the walls of a plan can't be built."""
    plan, placed, laid = with_overhang(budget, plan)
    by_number = courses_of(plan.job, placed)
    broken_pieces(spec, by_number)
    laid = laid or capped(budget, plan.job, plan.caps, plan.gaps, plan.behind, by_number)
    if laid is not None:
        under_columns(plan.job, plan.columns, laid.pieces)
    column_caps(plan.job, plan.columns)


def with_overhang(budget: Budget, plan: Plan) -> tuple[Plan, list[Placed], LaidCaps | None]:
    """Return the plan with its overhang chosen, its blocks, and the caps where that laid them."""
    work = plan.job
    placed = [
        piece
        for wall, chain in enumerate(plan.walls)
        for piece in wall_pieces(work, wall, chain, plan.gaps[wall])
    ]
    if plan.second is not None:
        placed += second_wall_pieces(work, plan.second, plan.behind)
    laid = None
    if overhang_open(work, plan.caps):
        laid = capped(budget, work, plan.caps, plan.gaps, plan.behind, courses_of(work, placed))
        if laid is not None:
            site = Site(work, laid.sizes, plan.gaps[BACK], plan.behind)
            columns = stand(site, plan.walls, plan.second)
            plan = replace(plan, caps=laid.sizes, columns=columns)
    return plan, placed + column_blocks(work, plan.columns), laid
