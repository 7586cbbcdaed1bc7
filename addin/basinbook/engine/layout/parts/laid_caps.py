"""Caps in their places: a ring over the basin's walls, and a straight row over the second wall."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.corner_choice import fewest_cuts
from basinbook.engine.layout.bond.whole_wall import Chain, Wall, fill
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, LEFT, WALL_NAMES, Job, refuse
from basinbook.engine.layout.model import FLAT
from basinbook.engine.layout.parts.cap_runs import Laid, Run
from basinbook.engine.layout.parts.cap_ways import (
    AS_THEY_FALL,
    FOUND,
    NO_JOINTS,
    ONE_CAP,
    Best,
    Joints,
    Round,
    barred,
    best_way,
    fewest_caps_cut,
    inside,
    mitred_runs,
    rounds,
    too_short,
)
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.corners import CORNER_WAYS, OWNS
from basinbook.engine.layout.parts.openings import BasinGaps, Gap
from basinbook.engine.layout.parts.placed_pieces import Placed, over_gap
from basinbook.engine.layout.parts.second_wall import WALL, courses, space
from basinbook.engine.layout.ticks import text
from basinbook.engine.spec import CAP_JOINTS

FALLING, APART_FREE, APART = CAP_JOINTS


class LaidCaps(NamedTuple):
    """Caps in their places, and whether they are proved to have the fewest cuts.

    sizes: the caps with the overhang that was taken. cuts: cut pieces. over: joints over joints of
    the course below, counted where they are to keep apart; over_proved: whether fewer are
    impossible with so many cuts. notes: what crew and estimator should know.
    """

    sizes: CapSizes
    pieces: list[Placed]
    proved: bool
    cuts: int = 0
    over: int = 0
    over_proved: bool = True
    notes: tuple[str, ...] = ()


def bound(job: Job) -> bool:
    """Return whether joints of caps are to keep off anything."""
    return job.spec.cap_joints != FALLING or job.spec.cap_gaps == ONE_CAP


def lay_caps(
    budget: Budget,
    job: Job,
    caps: CapSizes,
    gaps: BasinGaps,
    behind: Sequence[Gap],
    below: Joints = NO_JOINTS,
) -> LaidCaps:
    """Return the caps over the four walls, and over the second wall where there is one.

    Caps over openings in the four walls (gaps) stay loose; behind: openings in the second wall.
    below: joints of the top courses, which the caps' joints keep off as the job asks: then the
    overhang may be one of the others too.
    """
    if not bound(job) or not caps.others:
        return _laid(budget, job, caps, gaps, behind, below)
    best: LaidCaps | None = None
    refused: InputError | None = None
    for one in (caps, *caps.others):
        if best is not None and one.fewest > best.cuts:
            break
        try:
            found = _laid(budget, job, one, gaps, behind, below)
        except InputError as error:
            refused = refused or error
            continue
        if best is None or (found.cuts, found.over) < (best.cuts, best.over):
            best = found
    if best is None:
        assert refused is not None
        raise refused
    return best._replace(
        proved=best.proved and best.cuts == caps.fewest, over_proved=best.over == 0
    )


def _laid(
    budget: Budget,
    job: Job,
    caps: CapSizes,
    gaps: BasinGaps,
    behind: Sequence[Gap],
    below: Joints,
) -> LaidCaps:
    asked = job.spec.cap_joints != FALLING
    runs = rounds(job, caps, below, gaps, behind)
    parts = [
        _ring_asked(budget, job, caps, runs[0])
        if asked or barred(runs[0]) or runs[0].broken
        else _ring_falling(budget, job, caps)
    ]
    if len(runs) > 1:
        parts.append(
            _row_asked(budget, job, caps, runs[1])
            if asked or barred(runs[1]) or runs[1].broken or len(runs[1].runs) > 1
            else _row_falling(budget, job, caps, runs[1])
        )
    pieces = [
        piece._replace(loose=_loose(job, piece, gaps)) for part in parts for piece in part.pieces
    ]
    cuts, over = sum(not piece.whole for piece in pieces), sum(part.over for part in parts)
    return LaidCaps(
        caps,
        pieces,
        all(part.proved for part in parts),
        cuts,
        over,
        all(part.over_proved for part in parts),
        _price(budget, job, caps, runs, cuts, over) if asked else (),
    )


def _loose(job: Job, piece: Placed, gaps: BasinGaps) -> bool:
    """Return whether a cap lies over an opening in one of the four walls."""
    if piece.part not in WALL_NAMES:
        return False
    wall = WALL_NAMES.index(piece.part)
    at = (piece.x if wall in (FRONT, BACK) else piece.y) - job.depth
    return over_gap(gaps[wall], len(job.walls[wall]), at, piece.length)


class _Part(NamedTuple):
    """The ring or the row as laid."""

    pieces: list[Placed]
    proved: bool
    over: int = 0
    over_proved: bool = True


def _ring_asked(budget: Budget, job: Job, caps: CapSizes, runs: Round) -> _Part:
    """Return the ring with joints kept apart, and off an opening, as the job asks."""
    best = _best(budget, job, caps, runs)
    if best is None:
        return _ring_falling(budget, job, caps)._replace(over_proved=False)
    pieces = []
    for wall, (run, laid) in zip(runs.walls, best.runs, strict=True):
        far = inside(job, caps, wall)
        for piece in _in_place(job, run, laid, caps.rules):
            corner = piece.corner or piece.at < 0 or piece.at + piece.length > far
            piece = piece._replace(at=piece.at + caps.inner, corner=corner)
            pieces.append(_ring_box(job, caps, wall, piece))
    return _Part(pieces, best.cuts_proved, best.over, best.over_proved)


def _row_asked(budget: Budget, job: Job, caps: CapSizes, runs: Round) -> _Part:
    best = _best(budget, job, caps, runs)
    if best is None:
        return _row_falling(budget, job, caps, runs)._replace(over_proved=False)
    pieces = [
        _row_box(job, caps, piece.at, piece.length, piece.whole)
        for run, laid in best.runs
        for piece in _along(run, laid, caps.rules)
    ]
    return _Part(pieces, best.cuts_proved, best.over, best.over_proved)


def _best(budget: Budget, job: Job, caps: CapSizes, runs: Round) -> Best | None:
    """Return the best way of the runs as the job asks; None where the search ended before one."""
    apart = job.spec.cap_joints == APART
    looked = best_way(budget, runs, caps.rules, apart)
    if looked.best is not None:
        return looked.best
    free = best_way(budget, runs, caps.rules, False) if apart else looked
    if apart and (free.best is not None or not free.whole_search):
        none = "no layout" if looked.whole_search else "no layout found in the limit of search"
        leaves = f"leaves {free.best.over} over one" if free.best else "leaves some over one"
        raise refuse(
            "cap_joints",
            APART,
            f"{none} keeps every cap joint off the joints below; {APART_FREE!r} {leaves}; or give "
            "a range for the overhang, or another cap length",
        )
    if not free.whole_search and not barred(runs) and not runs.broken:
        return None
    if barred(runs):
        none = "bridges" if free.whole_search else f"{FOUND} that bridges"
        raise refuse(
            "cap_gaps",
            ONE_CAP,
            f"no row of caps {none} the gap without a joint over it and without a piece shorter "
            f"than {text(caps.rules.shortest)}; choose {AS_THEY_FALL!r}, or move the gap",
        )
    raise too_short(caps, free.whole_search)


def _price(
    budget: Budget, job: Job, caps: CapSizes, runs: Sequence[Round], cuts: int, over: int
) -> tuple[str, ...]:
    """Return what it costs in cut caps to keep all joints apart."""
    if job.spec.cap_joints == APART:
        fewest = [fewest_caps_cut(one, caps.rules) for one in runs]
        more = cuts - sum(one or 0 for one in fewest)
        return (
            (f"To keep all cap joints off the joints below costs {_cut_caps(more)} more than the "
             "fewest.",)
            if more
            else ()
        )  # fmt: skip
    if not over:
        return ()
    looked = [best_way(budget, one, caps.rules, True) for one in runs]
    if all(one.best is not None for one in looked):
        more = sum(one.best.cuts for one in looked if one.best) - cuts
        return (f"To keep all cap joints off the joints below costs {_cut_caps(more)} more.",)
    if all(one.best is not None or one.whole_search for one in looked):
        return ("No layout of these caps keeps all their joints off the joints below.",)
    return (
        "No layout that keeps all cap joints off those below was found in the limit of search.",
    )


def _cut_caps(count: int) -> str:
    return f"{count} cut cap{'' if count == 1 else 's'}"


class _Cap(NamedTuple):
    """A cap along its wall, measured from the inside face of the wall at its start [ticks]."""

    at: int
    length: int
    whole: bool
    mitres: int = 0
    corner: bool = False


def _in_place(job: Job, run: Run, laid: Laid, rules: Rules) -> list[_Cap]:
    """Return the caps of a run as found; mitred ends as long as can be where nothing is asked."""
    if run.mitres and not run.bars and job.spec.cap_joints == FALLING:
        found = _long_ends(run, rules)
        if found is not None and sum(not piece.whole for piece in found) <= laid.cuts:
            return found
    return _along(run, laid, rules)


def _along(run: Run, laid: Laid, rules: Rules) -> list[_Cap]:
    """Return the caps of a run, in its own places."""
    found, at, last = [], run.start, len(laid.steps) - 1
    for index, step in enumerate(laid.steps):
        mitres = (index == 0 and run.mitred[0]) + (index == last and run.mitred[1])
        whole = step == rules.pitch and not mitres
        found.append(_Cap(at, step - rules.joint, whole, mitres, bool(mitres)))
        at += step
    return found


def _ring_falling(budget: Budget, job: Job, caps: CapSizes) -> _Part:
    """Return the ring with its joints as they fall: butted for the fewest cuts, or mitred."""
    if job.spec.cap_corner == "mitred":
        walls, proved = _mitred(job, caps), True
    else:
        walls, proved = _butted(budget, job, caps)
    return _Part(
        [_ring_box(job, caps, wall, piece) for wall, pieces in walls.items() for piece in pieces],
        proved,
    )


def _butted(budget: Budget, job: Job, caps: CapSizes) -> tuple[dict[int, list[_Cap]], bool]:
    runs = [_run(job, caps, wall, owns) for wall in range(4) for owns in OWNS]
    best = fewest_cuts(budget, runs, CORNER_WAYS, caps.rules).ways
    if not best:
        raise too_short(caps, not budget.ended)
    tidiest = min(best, key=_tidiness)
    laid = {
        wall: [
            _Cap(
                at + caps.inner,
                length,
                whole,
                corner=at < 0 or at + length > inside(job, caps, wall),
            )
            for at, length, whole, *_ in chain.courses[0]
        ]
        for wall, chain in enumerate(tidiest)
    }
    return laid, all(chain.proved for chain in tidiest)


def _tidiness(chains: tuple[Chain, ...]) -> tuple[int, int]:
    sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
    return sizes, sum(chain.asymmetry for chain in chains)


def _mitred(job: Job, caps: CapSizes) -> dict[int, list[_Cap]]:
    """Return the ring with mitred corners, the end pieces of each run alike."""
    found = {}
    for wall, run in enumerate(mitred_runs(job, caps)):
        row = _long_ends(run, caps.rules)
        if row is None:
            raise too_short(caps)
        found[wall] = [piece._replace(at=piece.at + caps.inner) for piece in row]
    return found


def _long_ends(run: Run, rules: Rules) -> list[_Cap] | None:
    """Return a run with the end pieces cut at 45 degrees, measured on their long edge.

    They are of one length, as long as possible; a further cut is made, in the middle or at the end
    that is not mitred, only where no length of the end pieces does without. None where more are.
    """
    long, ends, least = run.end - run.start, run.mitres, max(run.first, run.last)
    if ends == 2 and long <= rules.length:
        return [_Cap(run.start, long, False, 2, True)]
    for extra in (0, 1):
        for whole in range(long // rules.pitch + 1):
            # What the end pieces, and the further cut piece, share between them.
            left = long - (ends - 1 + extra) * rules.joint - whole * rules.pitch
            end = min(rules.length, (left - extra * rules.shortest) // ends)
            middle = left - ends * end
            if end < least or middle > (rules.length - 1) * extra:
                continue
            lengths = [rules.length] * whole
            if extra:
                lengths.insert(whole // 2 if ends == 2 else whole * run.mitred[0], middle)
            return _in_row(run, [end] * run.mitred[0] + lengths + [end] * run.mitred[1], rules)
    return None


def _in_row(run: Run, lengths: list[int], rules: Rules) -> list[_Cap]:
    found, at, last = [], run.start, len(lengths) - 1
    for index, length in enumerate(lengths):
        mitred = (index == 0 and run.mitred[0]) or (index == last and run.mitred[1])
        whole = length == rules.length and not mitred
        found.append(_Cap(at, length, whole, int(mitred), mitred))
        at += length + rules.joint
    return found


def _run(job: Job, caps: CapSizes, wall: int, owns: tuple[bool, bool]) -> Wall:
    far, joint = inside(job, caps, wall), caps.rules.joint
    reach = caps.depth if caps.rules.length >= caps.depth else 0
    span = Span(
        -caps.depth if owns[0] else joint,
        far + caps.depth if owns[1] else far - joint,
        first=reach if owns[0] else 0,
        last=reach if owns[1] else 0,
    )
    return Wall((Line((span,)),), far)


def _ring_box(job: Job, caps: CapSizes, wall: int, cap: _Cap) -> Placed:
    along, bed = job.depth + cap.at, job.cap_bed
    if wall in (FRONT, BACK):
        y = -caps.beyond if wall == FRONT else job.outside_width + caps.beyond - caps.depth
        box = (along, y, bed, cap.length, caps.depth, caps.height)
    else:
        x = -caps.beyond if wall == LEFT else job.outside_length + caps.beyond - caps.depth
        box = (x, along, bed, caps.depth, cap.length, caps.height)
    return Placed(
        WALL_NAMES[wall], "cap", FLAT, *box, cap.length, cap.whole, cap.corner, cap.mitres
    )


def _row_falling(budget: Budget, job: Job, caps: CapSizes, runs: Round) -> _Part:
    """Return the row of caps over the second wall, the joints of its runs as they fall."""
    pieces, proved = list[Placed](), True
    for run in runs.runs:
        line = Line((Span(run.start, run.end),))
        chain = fill(budget, Wall((line,), run.start + run.end), caps.rules)
        if chain is None:
            raise refuse(
                "cap_length",
                text(caps.rules.length),
                "caps over the second wall need a piece shorter than "
                f"{text(caps.rules.shortest)}; change the cap length or the shortest piece",
            )
        pieces += [_row_box(job, caps, at, long, whole) for at, long, whole, *_ in chain.courses[0]]
        proved = proved and chain.proved
    return _Part(pieces, proved)


def _row_box(job: Job, caps: CapSizes, at: int, length: int, whole: bool) -> Placed:
    y = job.outside_width + space(job) + job.depth + caps.row - caps.depth
    bed = job.row_bed(courses(job))
    return Placed(WALL, "cap", FLAT, at, y, bed, length, caps.depth, caps.height, length, whole)
