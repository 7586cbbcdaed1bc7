"""Caps: a ring over the basin's walls, and a straight row over the second wall."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

from basinbook.engine.layout.bond import Rules, Span
from basinbook.engine.layout.chain import Chain, Line, fill
from basinbook.engine.layout.place import Placed
from basinbook.engine.layout.rules import (
    BACK,
    FRONT,
    LEFT,
    RIGHT,
    WALL_NAMES,
    Job,
    block_rules,
    refuse,
)
from basinbook.engine.layout.second_wall import WALL, courses, space
from basinbook.engine.layout.ticks import text, ticks


class CapSizes(NamedTuple):
    """Caps in ticks: rules along the wall, depth, height, outer and inner overhang."""

    rules: Rules
    depth: int
    height: int
    outer: int
    inner: int


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
    return CapSizes(rules, depth, height, outer, inner)


def ring_pieces(job: Job, caps: CapSizes) -> list[Placed]:
    """Return the caps over the four walls, with the corner owners that give the fewest cuts."""
    best: tuple[tuple[int, int, int], dict[int, Chain]] | None = None
    for fl, fr, bl, br in product((True, False), repeat=4):
        ways = {
            FRONT: (fl, fr),
            RIGHT: (not fr, not br),
            BACK: (bl, br),
            LEFT: (not fl, not bl),
        }
        chains = {}
        for wall, owns in ways.items():
            chain = _run(job, caps, wall, owns)
            if chain is not None:
                chains[wall] = chain
        if len(chains) < 4:
            continue
        sizes = len(frozenset().union(*(chain.sizes for chain in chains.values())))
        rank = (
            sum(chain.cuts for chain in chains.values()),
            sizes,
            sum(chain.asymmetry for chain in chains.values()),
        )
        if best is None or rank < best[0]:
            best = (rank, chains)
    if best is None:
        raise refuse(
            "cap_length",
            text(caps.rules.length),
            f"the caps can't be laid without a piece shorter than {text(caps.rules.shortest)}; "
            "change the cap length or the shortest piece",
        )
    return [
        piece for wall, chain in best[1].items() for piece in _ring_boxes(job, caps, wall, chain)
    ]


def _inside(job: Job, caps: CapSizes, wall: int) -> int:
    return (job.length if wall in (FRONT, BACK) else job.width) - 2 * caps.inner


def _run(job: Job, caps: CapSizes, wall: int, owns: tuple[bool, bool]) -> Chain | None:
    far, joint = _inside(job, caps, wall), caps.rules.joint
    reach = caps.depth if caps.rules.length >= caps.depth else 0
    span = Span(
        -caps.depth if owns[0] else joint,
        far + caps.depth if owns[1] else far - joint,
        first=reach if owns[0] else 0,
        last=reach if owns[1] else 0,
    )
    return fill((Line((span,)),), far - joint, caps.rules)


def _ring_boxes(job: Job, caps: CapSizes, wall: int, chain: Chain) -> list[Placed]:
    base = job.depth + caps.inner
    far = _inside(job, caps, wall)
    bed = job.top + job.block.joint
    found = []
    for at, length, whole in chain.courses[0]:
        if wall in (FRONT, BACK):
            y = base - caps.depth if wall == FRONT else base + job.width - 2 * caps.inner
            box = (base + at, y, bed, length, caps.depth, caps.height)
        else:
            x = base - caps.depth if wall == LEFT else base + job.length - 2 * caps.inner
            box = (x, base + at, bed, caps.depth, length, caps.height)
        corner = at < 0 or at + length > far
        found.append(Placed(WALL_NAMES[wall], "cap", False, *box, length, whole, corner))
    return found


def row_pieces(job: Job, caps: CapSizes) -> list[Placed]:
    """Return the straight row of caps over the second wall."""
    _check_clear(job, caps)
    start, end = -caps.outer, job.outside_length + caps.outer
    chain = fill((Line((Span(start, end),)),), start + end - caps.rules.joint, caps.rules)
    if chain is None:
        raise refuse(
            "cap_length",
            text(caps.rules.length),
            f"caps over the second wall need a piece shorter than {text(caps.rules.shortest)}; "
            "change the cap length or the shortest piece",
        )
    y = job.outside_width + space(job) + job.depth + caps.outer - caps.depth
    bed = job.row_bed(courses(job))
    return [
        Placed(WALL, "cap", False, at, y, bed, length, caps.depth, caps.height, length, whole)
        for at, length, whole in chain.courses[0]
    ]


def _check_clear(job: Job, caps: CapSizes) -> None:
    """Refuse a pipe space in which caps would run into each other or into a wall."""
    basin = (job.top + job.block.joint, job.top + job.block.joint + caps.height)
    second = (job.row_bed(courses(job)), job.row_bed(courses(job)) + caps.height)
    back = job.depth + job.width - caps.inner + caps.depth - job.outside_width
    front = caps.depth - job.depth - caps.outer
    need = 0
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
