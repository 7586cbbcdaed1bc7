"""The least cuts of a basin with its second wall and turned blocks, by an integer programme.

Built from the walls of ``layout_programme``; solved by HiGHS.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from layout_programme import Arcs, Blocks, Course, Hole, Programme, Wall, add_wall


@dataclass(frozen=True)
class Second:
    """A second wall behind a basin of like length, all of one height.

    space: between the two. returns: whether there is a left and a right one. turned: stretches
    open to turned blocks in the back wall, and in the second wall, both in the back wall's places;
    None: none. stacked: whether a return of one whole block may stand in every course.
    """

    space: int
    returns: tuple[bool, bool]
    turned: tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]
    stacked: bool


def least_cuts_with_second_wall(
    blocks: Blocks, length: int, width: int, courses: int, second: Second
) -> int | None:
    """Return the least cuts of a basin and its second wall, which share the pipe space."""
    return programme_with_second_wall(blocks, length, width, courses, second).least()


def programme_with_second_wall(
    blocks: Blocks,
    length: int,
    width: int,
    courses: int,
    second: Second,
    fixed: Mapping[tuple[str, int], tuple[int, ...]] = MappingProxyType({}),
    upper: Collection[int] = (),
    holes: Mapping[str, tuple[Hole, ...]] = MappingProxyType({}),
) -> Programme:
    """Return the programme of a basin and its second wall.

    A turned block of one wall may not stand where one of the other does in the same course,
    where the two don't have room end to end. fixed, upper, holes: of the basin's walls, as
    ``basin_programme`` has them.
    """
    programme = Programme()
    corners = {name: programme.unknown() for name in ("fl", "fr", "bl", "br")}
    ends = {
        "front": ("fl", "fr", True, length),
        "back": ("bl", "br", True, length),
        "left": ("fl", "bl", False, width),
        "right": ("fr", "br", False, width),
    }
    back: list[Arcs] = []
    for name, (start, end, long, inside) in ends.items():
        rows = [
            Course(
                (corners[start], long == (number % 2 == 0)),
                (corners[end], long == (number % 2 == 0)),
                blocks.depth,
                fixed=fixed.get((name, number), ()),
                upper=number in upper,
            )
            for number in range(courses)
        ]
        turned = second.turned[0] if name == "back" else ()
        wall = Wall(inside, turned=turned, holes=holes.get(name, ()))
        found = add_wall(programme, blocks, wall, rows)
        back = found if name == "back" else back
    # Of each end, whether the second wall has it in even and in odd courses (from 0).
    has = [(programme.unknown(), programme.unknown()) for _ in range(2)]
    alternate = second.space - 2 * blocks.joint >= blocks.shortest
    for (even, odd), here in zip(has, second.returns, strict=True):
        least, most = (1, 1) if alternate else (0, 0)
        if not here:
            least, most = 2, 2
        elif second.stacked and alternate:
            least = 0
        programme.row({even: 1.0, odd: 1.0}, least, most)
    rows = []
    for number in range(courses):
        mine, other = number % 2, 1 - number % 2
        # A joint where it butts counts where the corner alternates.
        rows.append(
            Course(
                (has[0][mine], True),
                (has[1][mine], True),
                blocks.depth,
                butts=tuple(  # type: ignore[arg-type]
                    {pair[other]: 1.0} if here else {}
                    for pair, here in zip(has, second.returns, strict=True)
                ),
                free=(not second.returns[0], not second.returns[1]),
            )
        )
    second_wall = Wall(length, turned=second.turned[1])
    beside = add_wall(programme, blocks, second_wall, rows)
    for pair, here in zip(has, second.returns, strict=True):
        if here:
            _add_return(programme, blocks, second.space, pair, courses)
    if 2 * (blocks.length - blocks.depth) + blocks.joint > second.space:
        for ours, theirs in zip(back, beside, strict=True):
            for arc, (at, _, mine) in ours.items():
                for other, (there, _, other_turned) in theirs.items():
                    near = abs(at - there) < blocks.depth + blocks.joint
                    if mine and other_turned and near:
                        programme.row({arc: 1.0, other: 1.0}, 0, 1)
    return programme


def _add_return(
    programme: Programme, blocks: Blocks, space: int, has: tuple[int, int], courses: int
) -> None:
    """Add a return: it butts against the back wall, and has the corner where the other has not."""
    rows = []
    for number in range(courses):
        mine = has[number % 2]
        rows.append(
            Course(
                (None, False),
                (mine, False),
                blocks.depth,
                butts=({}, {mine: 1.0}),
            )
        )
    add_wall(programme, blocks, Wall(space), rows)
