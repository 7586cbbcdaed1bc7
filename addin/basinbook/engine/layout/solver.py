"""The layout of a basin: every block, cut piece and cap in its place, with the fewest cuts."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aimed import aimed, wall_pieces_counted
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget, remembered
from basinbook.engine.layout.capping import capped, overhang_open
from basinbook.engine.layout.checked_inputs import BACK, Job, job, levels_of
from basinbook.engine.layout.model import Box, Course, CutPlan, Layout, Piece, Stock
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
    advice,
    aim_advice,
    cap_advice,
    check_corners,
    cutting_advice,
    no_bond,
    second_wall_refused,
    walls_refused,
)
from basinbook.engine.layout.results.cutting import CutStock, fewest_stock, saw_cuts
from basinbook.engine.layout.results.look_cost import free_look, look_words
from basinbook.engine.layout.results.look_places import look_refused
from basinbook.engine.layout.results.nearest import HINT_STEPS, Ways, unfit_refused
from basinbook.engine.layout.results.numbering import in_laying_order
from basinbook.engine.layout.results.opening_places import (
    Moved,
    basin_works,
    first_clash,
    moves,
    of_second_wall,
    opening_refused,
    second_wall_works,
    settled,
)
from basinbook.engine.layout.results.openings import placed_openings
from basinbook.engine.layout.results.remarks import remarks
from basinbook.engine.layout.standing import (
    Measured,
    broken_pieces,
    gaps_moved,
    job_measured,
    measured,
    on_standing,
    second_on_standing,
)
from basinbook.engine.layout.ticks import metres, ticks
from basinbook.engine.layout.unfit import UnfitError
from basinbook.engine.spec import COST, CUTS, BasinSpec

# For all walls, and for the second wall or the basin's: so that some are left for what comes after.
_BOND_STEPS: Final = LAYOUT_STEPS // 10 * 9
_WALL_STEPS: Final = LAYOUT_STEPS // 10 * 7
# For the same basin with its look left free, which is only counted.
_FREE_STEPS: Final = LAYOUT_STEPS // 6
_PRICES: Final = ("block_price", "cut_cost", "laying_cost", "blade_wear")
# Courses that columns stand over the basin's walls where none are given: our own choice.
_COLUMNS_OVER: Final = 2


def solve(spec: BasinSpec) -> Layout:
    """Return the layout of a basin with the least possible number of cut blocks.

    spec: dimensions [m] and choices. Corners interlock and alternate from course to course,
    joints keep their least offset from those of the course below, no piece is shorter than the
    shortest allowed. Ties go to fewest different lengths, then to symmetry. The same spec is
    solved once. Raises InputError naming the input to change. Rules, their sources and proofs:
    ``docs/setting_out.md``.
    """
    found = _solve(spec)
    if isinstance(found, InputError):
        raise InputError(found.argument, found.value, found.allowed)
    return found


@lru_cache(maxsize=128)
def _solve(spec: BasinSpec) -> Layout | InputError:
    """Return the layout or the refusal: many cells ask for the same, and a refusal takes time."""
    try:
        built = _built(as_built(spec))
    except InputError as error:
        return error
    if isinstance(built, InputError):
        return built
    blocks, caps = (replace(x, breakage=spec.breakage) for x in (built.blocks, built.cap_cuts))
    sizes = {
        name: getattr(built.spec, name)
        for name in ("inside_length", "inside_width", "column_courses")
    }
    return replace(built, spec=replace(spec, **sizes), blocks=blocks, cap_cuts=caps)


def as_built(spec: BasinSpec) -> BasinSpec:
    """Return the spec with nothing in it that moves no block: its courses stand for the water.

    Columns without a height of their own are given one.
    Jobs that differ in water depth, freeboard or breakage alone are thus laid out once, and in
    prices alone where the cost is not what is aimed at.
    Raises InputError where the courses don't hold the water.
    """
    same: dict[str, Any] = {} if spec.aim == COST else dict.fromkeys(_PRICES, 0.0)
    courses = len(levels_of(spec))
    if spec.columns and not spec.column_courses:
        same["column_courses"] = courses + _COLUMNS_OVER
    return replace(spec, courses=courses, water_depth=0.0, freeboard=0.0, breakage=0.0, **same)


@lru_cache(maxsize=128)
def _built(spec: BasinSpec) -> Layout | InputError:
    try:
        return _laid_out(spec)
    except InputError as error:
        return error


def _laid_out(spec: BasinSpec) -> Layout:
    budget = Budget()
    plan, placed, laid = _with_overhang(budget, _plan(budget, spec))
    work = plan.job
    by_number = _courses(work, placed)
    broken = broken_pieces(spec, by_number)
    standing = _top_laid(work)
    of_block = [piece for piece in placed if piece.stock == "block" and piece.z >= standing]
    again = [_Broken(ticks(piece.length), piece.whole) for piece in broken]
    blocks, blocks_proved = _cut_plan(budget, "block", [*of_block, *again], work.block.length, spec)
    laid = laid or capped(budget, work, plan.caps, plan.gaps, plan.behind, by_number)
    caps = under_columns(work, plan.columns, laid.pieces) if laid else []
    on_columns = column_caps(work, plan.columns)
    cap_length = laid.sizes.rules.length if laid else 0
    of_caps = [*caps, *(piece for piece in on_columns if piece.stock == "cap")]
    cap_cuts, caps_proved = _cut_plan(budget, "cap", of_caps, cap_length, spec)
    built = Layout(
        spec=replace(spec, inside_length=metres(work.length), inside_width=metres(work.width))
        if spec.laid_courses
        else spec,
        courses=by_number,
        caps=_pieces(work, caps, len(work.levels) + 1),
        column_caps=_column_caps(plan, on_columns, by_number),
        openings=placed_openings(work, plan.gaps, plan.behind, by_number),
        blocks=blocks,
        cap_cuts=cap_cuts,
        advice=(
            *moves(spec, work.spec, plan.moved_surely),
            *cap_advice(laid),
            *advice(
                work,
                plan.caps,
                plan.walls,
                plan.second,
                plan.gaps,
                plan.behind,
                plan.columns.stand_off,
                laid is None or laid.proved,
            ),
            *plan.columns.wall.notes,
            *cutting_advice(blocks_proved, caps_proved),
            *aim_advice(spec.aim, plan.least),
        ),
        least=plan.least,
        broken=broken,
    )
    built = replace(built, advice=(*remarks(built), *built.advice))
    return _with_look_cost(built, plan.job)


def _with_overhang(budget: Budget, plan: _Plan) -> tuple[_Plan, list[Placed], LaidCaps | None]:
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
        laid = capped(budget, work, plan.caps, plan.gaps, plan.behind, _courses(work, placed))
        if laid is not None:
            site = Site(work, laid.sizes, plan.gaps[BACK], plan.behind)
            columns = stand(site, plan.walls, plan.second)
            plan = replace(plan, caps=laid.sizes, columns=columns)
    return plan, placed + column_blocks(work, plan.columns), laid


def _check(budget: Budget, spec: BasinSpec) -> None:
    """Raise InputError where a layout can't be built; without its cut plans, which always can."""
    plan = _plan(budget, spec, False, budget.left // 10 * 9)
    plan, placed, laid = _with_overhang(budget, plan)
    by_number = _courses(plan.job, placed)
    broken_pieces(spec, by_number)
    laid = laid or capped(budget, plan.job, plan.caps, plan.gaps, plan.behind, by_number)
    if laid is not None:
        under_columns(plan.job, plan.columns, laid.pieces)
    column_caps(plan.job, plan.columns)


def _ways(second: bool) -> Ways:
    """Return how a spec is tried for a hint; second: whether its second wall is what is refused."""
    works = second_wall_works if second else basin_works

    def bond(budget: Budget, spec: BasinSpec) -> bool:
        return any(works(budget, way) for way in _begun(spec))

    return Ways(bond, _check)


def _begun(spec: BasinSpec) -> list[BasinSpec]:
    """Return the ways to begin columns in walls, left or right block first; else the spec."""
    if not engaged_slots(spec) or spec.wall_column_first != FEWEST:
        return [spec]
    return [replace(spec, wall_column_first=first) for first in (LEFT_FIRST, RIGHT_FIRST)]


def _with_look_cost(built: Layout, work: Job) -> Layout:
    """Return the layout with what its look costs in cuts, where a look is asked for.

    Not where cuts are not what is aimed at, or some courses stand.
    """
    free = free_look(work)
    if free is None or work.spec.aim != CUTS or work.spec.laid_courses:
        return built
    asked = built.blocks.cut_pieces
    try:
        found = count_cuts(free, Budget(_FREE_STEPS, _FREE_STEPS // 2), hints=False)
    except InputError:
        # Flat courses may have no bond where courses on edge have one.
        found = Counted(asked, 0, 0, 0, 0.0, False)
    fewest = min(asked, found.cuts)
    proved = found.proved and (built.least or asked <= found.cuts)
    words = look_words(asked, fewest, proved)
    return replace(built, advice=(words, *built.advice), fewest_cuts=fewest)


class Counted(NamedTuple):
    """What a layout's blocks come to.

    cuts: cut pieces. blocks: whole ones laid or cut up. lengths: different lengths of cuts. whole:
    those laid. cut_length: of all cut pieces [m]. proved: whether blocks are proved the fewest for
    these cuts, and what is aimed at the least.
    """

    cuts: int
    blocks: int
    lengths: int
    whole: int
    cut_length: float
    proved: bool


def count_cuts(spec: BasinSpec, budget: Budget | None = None, hints: bool = True) -> Counted:
    """Return the least number of cut blocks, and of whole blocks laid or cut up [count].

    The same as ``solve(spec)`` gives for blocks (caps not counted), without its pieces, so
    that many sizes can be compared; budget: one for them all. The same spec is counted once
    (``as_built`` makes the same of many). Raises InputError as ``solve`` does; hints: whether it
    is to tell which input nearby works, which takes most of the time.
    """
    found = _counted(budget or Budget(), spec, hints)
    if isinstance(found, InputError):
        raise InputError(found.argument, found.value, found.allowed)
    return found


def can_be_capped(spec: BasinSpec, budget: Budget) -> bool:
    """Return whether caps, if there are any, can be laid on the walls that ``count_cuts`` counts.

    Over joints as they fall: to keep off them, caps are shifted and cut, and refused no sooner.
    """
    plan = _plan(budget, spec, False)
    try:
        capped(budget, plan.job, plan.caps, plan.gaps, plan.behind, ())
    except InputError:
        return False
    return True


# Sizes near a wanted one are mostly those near the one wanted before: some hundred of them.
@remembered(2048)
def _counted(budget: Budget, spec: BasinSpec, hints: bool) -> Counted | InputError:
    try:
        plan = _plan(budget, spec, hints)
    except InputError as error:
        return error
    whole, pieces = wall_pieces_counted(plan.job, plan.walls, plan.second)
    for block in column_blocks(plan.job, plan.columns):
        if block.whole:
            whole += 1
        else:
            pieces.append(block.length)
    bars, proved = fewest_stock(budget, pieces, plan.job.block.length, ticks(spec.kerf))
    return Counted(
        len(pieces),
        whole + len(bars),
        len(set(pieces)),
        whole,
        metres(sum(pieces)),
        proved and plan.least,
    )


@dataclass(frozen=True)
class _Plan:
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


def _plan(budget: Budget, spec: BasinSpec, hints: bool = True, steps: int = _BOND_STEPS) -> _Plan:
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
            ways = _ways(of_second_wall(spec, error.field))
            raise unfit_refused(budget, spec, error, ways) from None


def _either_way(budget: Budget, spec: BasinSpec, ways: Sequence[BasinSpec], hints: bool) -> _Plan:
    """Return the plan with columns in walls begun with the block that leaves the fewest cuts."""
    best: tuple[int, _Plan] | None = None
    sure = True
    for way in ways:
        try:
            with budget.part(_BOND_STEPS // 3):
                plan = _solved(budget, way, False, True)
        except InputError:
            sure = sure and not budget.ended
            continue
        cuts = len(wall_pieces_counted(plan.job, plan.walls, plan.second)[1])
        sure = sure and plan.least
        if best is None or cuts < best[0]:
            best = cuts, plan
    if best is None:
        # Neither works: what is said of the first is as good as of the other. A hint is for both.
        return _solved(budget, spec, hints, True)
    return replace(best[1], least=sure)


def _solved(budget: Budget, spec: BasinSpec, hints: bool, moved_surely: bool) -> _Plan:
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
    with budget.part(_WALL_STEPS):
        if not first_clash(work, gaps):
            both = solve_both(budget, work, gaps, behind, second)
        sure = not budget.ended
    if both is None:
        moved = _moved(budget, work, False, hints, sure)
        return _solved(budget, moved.spec, hints, moved_surely and sure and moved.sure)
    site = Site(work, caps, gaps[BACK], behind)
    # Where cuts are aimed at, the walls stay as they are, whatever columns are made of.
    of_columns = [] if spec.aim == CUTS else column_blocks(work, stand(site, *both))
    walls, second, least = aimed(budget, work, gaps, behind, *both, of_columns)
    columns = stand(site, walls, second)
    return _Plan(work, caps, gaps, behind, walls, second, columns, moved_surely, least)


def _on_what_stands(budget: Budget, plan: _Plan, stands: Measured) -> _Plan:
    """Return a plan whose first courses stand as planned, the others on what they measure."""
    before = plan.job
    work = job_measured(before, stands)
    second, proved = plan.second, plan.least
    with budget.part(_WALL_STEPS):
        found = on_standing(budget, before, work, plan.gaps, plan.walls, stands.courses)
    if second is not None:
        with budget.part(_WALL_STEPS):
            bed = _top_laid(work)
            behind_it = second_on_standing(budget, second, before, work, plan.behind, bed)
        second, proved = behind_it.second, proved and behind_it.proved
    caps = cap_sizes(work)
    behind = gaps_moved(plan.behind, before.outside_length, work.outside_length)
    return replace(
        plan,
        job=work,
        caps=caps,
        gaps=found.gaps,
        behind=behind,
        walls=found.walls,
        second=second,
        columns=stand(Site(work, caps, found.gaps[BACK], behind), found.walls, second),
        least=proved and found.proved,
    )


def _top_laid(work: Job) -> int:
    """Return the bed of the first course that is still to lay [ticks]; above all for none."""
    laid = work.spec.laid_courses
    return work.levels[laid].bed if laid < len(work.levels) else 1 << 60


class _Broken(NamedTuple):
    """A piece that is needed once more: its length [ticks], and whether it is a whole block."""

    length: int
    whole: bool


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


def _courses(work: Job, placed: Sequence[Placed]) -> tuple[Course, ...]:
    """Return the pieces by numbered course; the count goes on above the basin at flat height."""
    beds = [level.bed for level in work.levels]
    heights = [level.height for level in work.levels]
    pitch = work.height + work.block.joint
    highest = max(piece.z for piece in placed)
    while beds[-1] + heights[-1] + work.block.joint <= highest:
        beds.append(beds[-1] + heights[-1] + work.block.joint)
        heights.append(pitch - work.block.joint)
    rows: list[list[Placed]] = [[] for _ in beds]
    for piece in placed:
        rows[bisect_right(beds, piece.z) - 1].append(piece)
    return tuple(
        Course(number, metres(bed), metres(height), _pieces(work, row, number))
        for number, (bed, height, row) in enumerate(zip(beds, heights, rows, strict=True), start=1)
    )


def _pieces(work: Job, placed: Iterable[Placed], course: int) -> tuple[Piece, ...]:
    found = []
    ordered = in_laying_order(placed, work.outside_length)
    for number, item in enumerate(ordered, start=1):
        part, stock, way, x, y, z, dx, dy, dz, length, *_ = item
        box = Box(metres(x), metres(y), metres(z), metres(dx), metres(dy), metres(dz))
        marks = item.whole, item.corner, item.mitres, item.loose, metres(item.hole), item.service
        found.append(Piece(number, course, part, stock, way, box, metres(length), *marks))
    return tuple(found)


def _column_caps(
    plan: _Plan, laid: Sequence[Placed], courses: Sequence[Course]
) -> tuple[Piece, ...]:
    """Return the caps of columns; those of free ones lie over the columns' last course."""
    free = {column.part for column in plan.columns.free}
    over = plan.job.spec.column_courses + 1
    return tuple(
        piece
        if piece.part in free
        else piece._replace(course=1 + sum(course.z < piece.box.z - 1e-9 for course in courses))
        for piece in _pieces(plan.job, laid, over)
    )


def _cut_plan(
    budget: Budget, stock: str, placed: Sequence[Placed | _Broken], length: int, spec: BasinSpec
) -> tuple[CutPlan, bool]:
    """Return the cut plan, and whether it is proved to take the fewest blocks or caps."""
    kerf = ticks(spec.kerf)
    pieces = [item.length for item in placed if not item.whole]
    bars, proved = fewest_stock(budget, pieces, length, kerf) if pieces else CutStock((), True)
    in_metres = {
        bar: (
            tuple(metres(size) for size in bar),
            metres(max(0, length - sum(bar) - len(bar) * kerf)),
        )
        for bar in set(bars)
    }
    plan = CutPlan(
        stock=stock,
        whole=sum(item.whole for item in placed),
        cut_pieces=len(pieces),
        saw_cuts=saw_cuts(bars, length, kerf) if bars else 0,
        different_lengths=len(set(pieces)),
        bars=tuple(
            Stock(number, stock, *in_metres[bar]) for number, bar in enumerate(bars, start=1)
        ),
        breakage=spec.breakage,
    )
    return plan, proved
