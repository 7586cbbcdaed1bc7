"""Choosing among ways to begin at the corners: those whose walls have the fewest cuts together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.bond.tie_breaks import mirrored
from basinbook.engine.layout.bond.whole_wall import Chain, Floor, Wall, fill, floor, surely_least
from basinbook.engine.layout.budget import Budget


class Group(NamedTuple):
    """Walls that meet at corners, and the ways to begin there: of each the numbers of its walls."""

    walls: tuple[Wall, ...]
    ways: tuple[tuple[int, ...], ...]


class Chosen(NamedTuple):
    """The filled walls of every way with the fewest cuts.

    walls: those to choose from. floors: what is known of each then, None for those not looked at.
    """

    ways: list[tuple[Chain, ...]]
    walls: Sequence[Wall]
    floors: Sequence[Floor | None]


def fewest_cuts(
    budget: Budget, walls: Sequence[Wall], ways: Sequence[Sequence[int]], rules: Rules
) -> Chosen:
    """Return the filled walls of every way that has the fewest cuts; none where none can be built.

    ways: of each the numbers of its walls. A wall with unlike courses is solved only as far as it
    could still be part of a best way. A wall counts as proved where no way could have fewer cuts
    through a better wall in its place.
    """
    # Walls that are alike are one: it stands under the first's number.
    first: dict[Wall, int] = {}
    alike = [first.setdefault(wall, number) for number, wall in enumerate(walls)]
    ways = [[alike[number] for number in way] for way in ways]
    floors: dict[int, Floor] = {}
    for way in ways:
        for number in way:
            if number not in floors:
                floors[number] = floor(budget, walls[number], rules)
    solved: dict[int, Chain] = {}
    filled: dict[Wall, Chain] = {}

    def total(way: Sequence[int]) -> int | None:
        found = 0
        for number in way:
            least = floors[number].least
            if least is None:
                return None
            found += least
        return found

    best: int | None = None
    found: list[Sequence[int]] = []
    known = [(cuts, place) for place, way in enumerate(ways) if (cuts := total(way)) is not None]
    for _, place in sorted(known):
        if budget.ended and found:
            break
        way = ways[place]
        for number in way:
            cuts, own = total(way), floors[number].least
            if cuts is None or own is None or (best is not None and cuts > best):
                break
            if number not in solved:
                room = None if best is None else best - cuts + own
                chain, whole = _filled(budget, walls[number], rules, room, filled)
                if chain is None:
                    if budget.ended:
                        break
                    floors[number] = _none_found(floors[number], room, whole)
                    break
                solved[number] = filled[walls[number]] = chain
                low = max(chain.bound, floors[number].proved)
                floors[number] = Floor(chain.cuts, low, chain.proved)
        else:
            cuts = total(way)
            if cuts is None or (best is not None and cuts > best):
                continue
            if cuts != best:
                found.clear()
            best = cuts
            found.append(way)
    doubtful = _doubtful([[floors[number] for number in way] for way in ways], best or 0)
    chosen = [
        tuple(
            solved[number]._replace(proved=place not in doubtful)
            for place, number in enumerate(way)
        )
        for way in found
    ]
    return Chosen(chosen, walls, [floors.get(number) for number in alike])


def _filled(
    budget: Budget, wall: Wall, rules: Rules, room: int | None, before: Mapping[Wall, Chain]
) -> tuple[Chain | None, bool]:
    """Return a filled wall, None for none, and whether then there is none with so few cuts.

    before: walls that are filled already. With turned blocks a mirror image is filled as one; of
    plain walls ties go as they did before there were any.
    """
    image = before.get(mirror_image(wall, rules)) if rules.turned and before else None
    if image is not None:
        return image.mirrored(wall.far), True
    return budget.nothing_left_out(lambda: fill(budget, wall, rules, room))


def none_has_fewer(budget: Budget, group: Group, rules: Rules, before: Chosen, cuts: int) -> bool:
    """Return whether it is proved that no way has fewer cuts than some number.

    before: of as many walls, most of which are the same. Of the others only as many are filled as
    it takes to tell.
    """
    walls, ways = group
    known = [
        own if wall == other else None
        for wall, other, own in zip(walls, before.walls, before.floors, strict=True)
    ]
    floors = [own or floor(budget, wall, rules) for wall, own in zip(walls, known, strict=True)]
    proved = [own.proved for own in floors]
    able = []
    for place, way in enumerate(ways):
        least = [own for number in way if (own := floors[number].least) is not None]
        if len(least) == len(way):
            able.append((sum(least), place))
        elif _may_be([floors[number] for number in way], cuts):
            return False
    for total, place in sorted(able):
        way = ways[place]
        for number in way:
            if sum([proved[each] for each in way]) >= cuts:
                break
            if known[number]:
                continue
            # Only with so many could the way have fewer.
            room = cuts - 1 - total + (floors[number].least or 0)
            low = surely_least(budget, walls[number], rules, room)
            # Its mirror image has as many cuts at least.
            image = mirror_image(walls[number], rules)
            for each, wall in enumerate(walls):
                if wall in (walls[number], image):
                    proved[each] = max(proved[each], low)
        if sum([proved[number] for number in way]) < cuts:
            return False
    return True


# Of sizes that are compared many have the same wall.
@lru_cache(maxsize=64)
def mirror_image(wall: Wall, rules: Rules) -> Wall:
    """Return the mirror image of a wall; itself where its courses don't begin and end alike."""
    lines, far = wall.lines, wall.far
    if any(line.second or any(span.begin or span.ties for span in line.spans) for line in lines):
        return wall
    return Wall(
        tuple(
            line._replace(
                spans=tuple(mirrored(span, far) for span in reversed(line.spans)),
                bridges=tuple((far - high, far - low) for low, high in reversed(line.bridges)),
                common=frozenset(far - rules.joint - at for at in line.common),
            )
            for line in lines
        ),
        far,
    )


def _none_found(before: Floor, room: int | None, whole: bool) -> Floor:
    """Return what is known of a wall without a filling, or with none for so much room.

    whole: whether nothing was left out in looking for it.
    """
    if room is None or not whole:
        return Floor(None, before.proved, whole)
    return Floor(room + 1, max(before.proved, room + 1), False)


def _may_be(way: Sequence[Floor], cuts: int) -> bool:
    """Return whether a way that may have a filling could have fewer cuts than some number."""
    found = all(wall.least is not None or not wall.exact for wall in way)
    return found and sum(wall.proved for wall in way) < cuts


def _doubtful(ways: Sequence[Sequence[Floor]], best: int) -> set[int]:
    """Return the places of walls that leave open whether some way has fewer cuts than the best."""
    return {
        place
        for way in ways
        if _may_be(way, best)
        for place, wall in enumerate(way)
        if not wall.exact
    }
