"""Caps: a ring over the basin's walls, and a straight row over the second wall."""

from __future__ import annotations

from typing import NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.corner_choice import Wall, fewest_cuts
from basinbook.engine.layout.bond.whole_wall import Chain, fill
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import (
    BACK,
    FRONT,
    LEFT,
    WALL_NAMES,
    Job,
    block_rules,
    refuse,
)
from basinbook.engine.layout.model import FLAT
from basinbook.engine.layout.parts.corners import CORNER_WAYS, OWNS
from basinbook.engine.layout.parts.openings import BasinGaps
from basinbook.engine.layout.parts.placed_pieces import Placed, over_gap
from basinbook.engine.layout.parts.second_wall import WALL, courses, space
from basinbook.engine.layout.ticks import text, ticks


class CapSizes(NamedTuple):
    """Caps in ticks: rules along the wall, depth, height and overhangs.

    inner: over the water. beyond: past the outer face of the flat-laid wall (negative where the
    top course is on edge and the caps are narrow). row: past the second wall's outer face.
    """

    rules: Rules
    depth: int
    height: int
    inner: int
    beyond: int
    row: int


def cap_sizes(job: Job) -> CapSizes | None:
    """Return the caps' sizes, checked; None for a basin without caps."""
    spec = job.spec
    length, depth, height = ticks(spec.cap_length), ticks(spec.cap_depth), ticks(spec.cap_height)
    if not length:
        return None
    if not depth:
        raise refuse("cap_depth", spec.cap_depth, "give the caps' depth, or no cap length")
    if not height:
        raise refuse("cap_height", spec.cap_height, "give the caps' height, or no cap length")
    wall = max(rows[-1].thickness for rows in job.walls)
    over = depth - wall
    if over < 0:
        raise refuse("cap_depth", text(depth), f"at least the wall's thickness of {text(wall)}")
    outer = over // 2 if spec.cap_overhang is None else ticks(spec.cap_overhang)
    if outer > over:
        raise refuse(
            "cap_overhang", text(outer), f"at most {text(over)}, so that caps reach the inner face"
        )
    inner = over - outer
    for name, inside in (("inside_length", job.length), ("inside_width", job.width)):
        if inside <= 2 * inner:
            raise refuse(
                name, text(inside), f"more than {text(2 * inner)}, so that caps leave an opening"
            )
    rules = block_rules(spec, length, "cap_length")._replace(offset=0)
    row = (depth - job.depth) // 2 if spec.cap_overhang is None else outer
    if spec.second_wall == "yes" and not 0 <= row <= depth - job.depth:
        raise refuse(
            "cap_depth", text(depth), f"at least {text(job.depth)} to cover the second wall"
        )
    return CapSizes(rules, depth, height, inner, depth - inner - job.depth, row)


class LaidCaps(NamedTuple):
    """Caps in their places, and whether they are proved to have the fewest cuts."""

    pieces: list[Placed]
    proved: bool


def ring_pieces(budget: Budget, job: Job, caps: CapSizes, gaps: BasinGaps) -> LaidCaps:
    """Return the caps over the four walls; corners butted for the fewest cuts, or mitred.

    Caps over openings (gaps) stay loose.
    """
    proved = True
    if job.spec.cap_corner == "mitred":
        walls = _mitred(job, caps)
    else:
        walls, proved = _butted(budget, job, caps)
    found = []
    for wall, pieces in walls.items():
        for piece in pieces:
            over = over_gap(gaps[wall], len(job.walls[wall]), piece.at, piece.length)
            found.append(_ring_box(job, caps, wall, piece)._replace(loose=over))
    return LaidCaps(found, proved)


class _Cap(NamedTuple):
    """A cap along its wall, measured from the inside face of the wall at its start [ticks]."""

    at: int
    length: int
    whole: bool
    mitres: int = 0
    corner: bool = False


def _butted(budget: Budget, job: Job, caps: CapSizes) -> tuple[dict[int, list[_Cap]], bool]:
    runs = [_run(job, caps, wall, owns) for wall in range(4) for owns in OWNS]
    best = fewest_cuts(budget, runs, CORNER_WAYS, caps.rules)
    if not best:
        raise _too_short(caps)
    tidiest = min(best, key=_tidiness)
    laid = {
        wall: [
            _Cap(
                at + caps.inner,
                length,
                whole,
                corner=at < 0 or at + length > _inside(job, caps, wall),
            )
            for at, length, whole, _ in chain.courses[0]
        ]
        for wall, chain in enumerate(tidiest)
    }
    return laid, all(chain.proved for chain in tidiest)


def _tidiness(chains: tuple[Chain, ...]) -> tuple[int, int]:
    sizes = len(frozenset().union(*(chain.sizes for chain in chains)))
    return sizes, sum(chain.asymmetry for chain in chains)


def _too_short(caps: CapSizes) -> InputError:
    return refuse(
        "cap_length",
        text(caps.rules.length),
        f"the caps can't be laid without a piece shorter than {text(caps.rules.shortest)}; "
        "change the cap length or the shortest piece",
    )


def _mitred(job: Job, caps: CapSizes) -> dict[int, list[_Cap]]:
    """Return caps with the end pieces cut at 45 degrees, measured on their long edge.

    Both end pieces of a run are of one length, as long as possible; a further cut is made, in
    the middle, only where no length of the end pieces does without.
    """
    least = max(caps.depth, caps.rules.shortest + caps.depth // 2)
    if least > caps.rules.length:
        raise refuse(
            "cap_length",
            text(caps.rules.length),
            f"at least {text(least)} for mitred corners of this cap depth; or butt the corners",
        )
    return {wall: _mitred_run(job, caps, wall, least) for wall in range(4)}


def _mitred_run(job: Job, caps: CapSizes, wall: int, least: int) -> list[_Cap]:
    rules, run = caps.rules, _inside(job, caps, wall) + 2 * caps.depth
    start = caps.inner - caps.depth
    if run <= rules.length:
        return [_Cap(start, run, False, 2, True)]
    for extra in (0, 1):
        for whole in range(run // rules.pitch + 1):
            # What the two end pieces, and the further cut piece, share between them.
            left = run - (1 + extra) * rules.joint - whole * rules.pitch
            room = left - extra * rules.shortest
            end = min(rules.length, room // 2)
            middle = left - 2 * end
            if end < least or middle > (rules.length - 1) * extra:
                continue
            lengths = [rules.length] * whole
            if extra:
                lengths.insert(whole // 2, middle)
            lengths = [end, *lengths, end]
            return _in_row(start, lengths, rules)
    raise _too_short(caps)


def _in_row(start: int, lengths: list[int], rules: Rules) -> list[_Cap]:
    found, at = [], start
    for index, length in enumerate(lengths):
        mitred = index in (0, len(lengths) - 1)
        whole = length == rules.length and not mitred
        found.append(_Cap(at, length, whole, int(mitred), mitred))
        at += length + rules.joint
    return found


def _inside(job: Job, caps: CapSizes, wall: int) -> int:
    return (job.length if wall in (FRONT, BACK) else job.width) - 2 * caps.inner


def _run(job: Job, caps: CapSizes, wall: int, owns: tuple[bool, bool]) -> Wall:
    far, joint = _inside(job, caps, wall), caps.rules.joint
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


def row_pieces(budget: Budget, job: Job, caps: CapSizes) -> LaidCaps:
    """Return the straight row of caps over the second wall."""
    start, end = -caps.row, job.outside_length + caps.row
    chain = fill(budget, (Line((Span(start, end),)),), start + end, caps.rules)
    if chain is None:
        raise refuse(
            "cap_length",
            text(caps.rules.length),
            f"caps over the second wall need a piece shorter than {text(caps.rules.shortest)}; "
            "change the cap length or the shortest piece",
        )
    y = job.outside_width + space(job) + job.depth + caps.row - caps.depth
    bed = job.row_bed(courses(job))
    placed = [
        Placed(WALL, "cap", FLAT, at, y, bed, length, caps.depth, caps.height, length, whole)
        for at, length, whole, _ in chain.courses[0]
    ]
    return LaidCaps(placed, chain.proved)


def check_clear(job: Job, caps: CapSizes) -> None:
    """Refuse a pipe space in which caps would run into each other or into a wall."""
    basin = (job.cap_bed, job.cap_bed + caps.height)
    second = (job.row_bed(courses(job)), job.row_bed(courses(job)) + caps.height)
    back, front = caps.beyond, caps.depth - job.depth - caps.row
    if basin[0] < second[1] and second[0] < basin[1]:
        need = back + front
    elif second[0] >= basin[1]:
        need = back
    else:
        need = front
    if space(job) < need:
        raise refuse(
            "pipe_space",
            text(space(job)),
            f"at least {text(need)}, so that the caps' overhang has room; or give narrower caps",
        )
