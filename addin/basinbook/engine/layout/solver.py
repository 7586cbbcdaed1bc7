"""The layout of a basin: every block, cut piece and cap in its place, with the fewest cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.aimed import wall_pieces_counted
from basinbook.engine.layout.budget import LAYOUT_STEPS, Budget, remembered
from basinbook.engine.layout.capping import capped
from basinbook.engine.layout.checked_inputs import Job, levels_of
from basinbook.engine.layout.model import Course, CutPlan, Layout, Piece, Stock
from basinbook.engine.layout.parts.columns.all_columns import (
    column_blocks,
    column_caps,
    under_columns,
)
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.planning import Plan, planned, top_laid, with_overhang
from basinbook.engine.layout.results.advice import advice, aim_advice, cap_advice, cutting_advice
from basinbook.engine.layout.results.cutting import CutStock, fewest_stock, saw_cuts
from basinbook.engine.layout.results.look_cost import free_look, look_words
from basinbook.engine.layout.results.numbering import courses_of, pieces_of
from basinbook.engine.layout.results.opening_places import moves
from basinbook.engine.layout.results.openings import placed_openings
from basinbook.engine.layout.results.remarks import remarks
from basinbook.engine.layout.standing.broken import broken_pieces
from basinbook.engine.layout.ticks import metres, ticks
from basinbook.engine.spec import COST, CUTS, BasinSpec

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
    plans = {
        name: replace(getattr(built, name), breakage=spec.breakage)
        for name in ("blocks", "all_blocks", "cap_cuts")
    }
    sizes = {
        name: getattr(built.spec, name)
        for name in ("inside_length", "inside_width", "column_courses")
    }
    return replace(built, spec=replace(spec, **sizes), **plans)


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
    plan, placed, laid = with_overhang(budget, planned(budget, spec))
    work = plan.job
    by_number = courses_of(work, placed)
    broken = broken_pieces(spec, by_number)
    of_block = [piece for piece in placed if piece.stock == "block"]
    again = [_Broken(ticks(piece.length), piece.whole) for piece in broken]
    standing = top_laid(work)
    to_lay = [piece for piece in of_block if piece.z >= standing]
    blocks, blocks_proved = _cut_plan(budget, "block", [*to_lay, *again], work.block.length, spec)
    all_blocks = blocks
    if spec.laid_courses:
        every: list[Placed | _Broken] = [*of_block, *again]
        all_blocks, _ = _cut_plan(budget, "block", every, work.block.length, spec)
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
        caps=pieces_of(work, caps, len(work.levels) + 1),
        column_caps=_column_caps(plan, on_columns, by_number),
        openings=placed_openings(work, plan.gaps, plan.behind, by_number),
        blocks=blocks,
        all_blocks=all_blocks,
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
    plan = planned(budget, spec, False)
    try:
        capped(budget, plan.job, plan.caps, plan.gaps, plan.behind, ())
    except InputError:
        return False
    return True


# Sizes near a wanted one are mostly those near the one wanted before: some hundred of them.
@remembered(2048)
def _counted(budget: Budget, spec: BasinSpec, hints: bool) -> Counted | InputError:
    try:
        plan = planned(budget, spec, hints)
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


class _Broken(NamedTuple):
    """A piece that is needed once more: its length [ticks], and whether it is a whole block."""

    length: int
    whole: bool


def _column_caps(
    plan: Plan, laid: Sequence[Placed], courses: Sequence[Course]
) -> tuple[Piece, ...]:
    """Return the caps of columns; those of free ones lie over the columns' last course."""
    free = {column.part for column in plan.columns.free}
    over = plan.job.spec.column_courses + 1
    return tuple(
        piece
        if piece.part in free
        else piece._replace(course=1 + sum(course.z < piece.box.z - 1e-9 for course in courses))
        for piece in pieces_of(plan.job, laid, over)
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
