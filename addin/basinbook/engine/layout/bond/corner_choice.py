"""Choosing among ways to begin at the corners: those whose walls have the fewest cuts together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Rules
from basinbook.engine.layout.bond.whole_wall import Chain, fill, floor


class Wall(NamedTuple):
    """The courses of a wall to fill, and its inside length [ticks]."""

    lines: tuple[Line, ...]
    far: int


def fewest_cuts(ways: Sequence[Sequence[Wall]], rules: Rules) -> list[tuple[Chain, ...]]:
    """Return the filled walls of every way that has the fewest cuts; none where none can be built.

    A wall with unlike courses is solved only as far as it could still be part of a best way.
    """
    floors: dict[Wall, int | None] = {}
    for way in ways:
        for wall in way:
            if wall not in floors:
                floors[wall] = floor(wall.lines, wall.far, rules)
    solved: dict[Wall, Chain] = {}

    def total(way: Sequence[Wall]) -> int | None:
        parts = [floors[wall] for wall in way]
        return None if None in parts else sum(part for part in parts if part is not None)

    best: int | None = None
    found: list[Sequence[Wall]] = []
    known = [(cuts, number) for number, way in enumerate(ways) if (cuts := total(way)) is not None]
    for _, number in sorted(known):
        way = ways[number]
        for wall in way:
            cuts, own = total(way), floors[wall]
            if cuts is None or own is None or (best is not None and cuts > best):
                break
            if wall not in solved:
                room = None if best is None else best - cuts + own
                chain = fill(wall.lines, wall.far, rules, room)
                if chain is None:
                    floors[wall] = None if room is None else room + 1
                    break
                solved[wall] = chain
                floors[wall] = chain.cuts
        else:
            cuts = total(way)
            if cuts is None or (best is not None and cuts > best):
                continue
            if cuts != best:
                found.clear()
            best = cuts
            found.append(way)
    return [tuple(solved[wall] for wall in way) for way in found]
