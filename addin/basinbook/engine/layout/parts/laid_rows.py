"""Courses that stand, in a wall that measures longer or shorter than it was planned.

Pieces keep their distance from the nearer corner, so that the difference lies in one joint at the
middle. What a wall is shorter, beyond that joint, was taken from pieces there: no two lie in one
place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from basinbook.engine.layout.bond.whole_wall import Filled
from basinbook.engine.layout.parts.openings import Gap

Course = tuple[Filled, ...]
Stretch = tuple[int, int]


class InWall(NamedTuple):
    """A column that is part of a wall: over its whole width, and its block across the wall."""

    whole: Stretch
    block: Stretch


class Beside(NamedTuple):
    """What is in a course of a wall beside its pieces, from and to along it [ticks].

    fixed: blocks on edge, lintels and blocks of columns. opened: openings. apart: whether an outer
    leaf has a run of its own, which follows that of the inner one. columns: those that are part of
    the wall.
    """

    fixed: tuple[Stretch, ...]
    opened: tuple[Stretch, ...]
    apart: bool = False
    columns: tuple[InWall, ...] = ()

    def is_open(self, low: int, high: int) -> bool:
        """Return whether an opening is what lies between two places."""
        return any(2 * low < sum(gap) < 2 * high for gap in self.opened)


class Sizes(NamedTuple):
    """Lengths of a wall, as planned and as measured, and its shortest piece [ticks].

    kept: least width of the joint at the middle. to_lay: whether pieces are still to cut.
    """

    before: int
    far: int
    shortest: int
    kept: int = 0
    to_lay: bool = False

    def right(self, low: int, high: int) -> bool:
        """Return whether the corner at its right is the nearer one to what lies there."""
        return low + high > self.before

    def by(self, low: int, high: int) -> int:
        """Return by how much what lies there moves, to keep to the nearer corner."""
        return self.far - self.before if self.right(low, high) else 0


def beside(
    number: int,
    on_edge: Iterable[Stretch],
    gaps: Sequence[Gap],
    apart: bool = False,
    columns: Sequence[InWall] = (),
) -> Beside:
    """Return what is in a course, numbered from 0, beside its pieces."""
    lintels = [gap.lintel for gap in gaps if gap.lintel is not None and gap.last + 1 == number]
    opened = [(gap.low, gap.high) for gap in gaps if gap.first <= number <= gap.last]
    fixed = (*on_edge, *lintels, *(column.block for column in columns))
    return Beside(tuple(sorted(fixed)), tuple(sorted(opened)), apart, tuple(columns))


def stood(course: Course, row: Beside, sizes: Sizes) -> Course:
    """Return a course of a wall as planned where it stands; row: what is beside, as planned."""
    return tuple(piece for leaf in leaves(course, row) for piece in _stood(leaf, row, sizes))


def leaves(course: Course, row: Beside) -> list[Course]:
    """Return the runs of a course: one, or one of each leaf."""
    for number, (one, other) in enumerate(pairwise(course), start=1):
        if row.apart and other.at <= one.at:
            return [course[:number], course[number:]]
    return [course]


def joints(course: Course, row: Beside, joint: int) -> list[int]:
    """Return the left edges of the joints between what stands in a course; butted ends apart.

    Beside a joint that is wider or narrower than planned both edges count.
    """
    found = set()
    for leaf in leaves(course, row):
        places = sorted([*((piece.at, piece.end) for piece in leaf), *row.fixed])
        for (_, end), (start, _) in pairwise(places):
            if not row.is_open(end, start):
                found |= {end, start - joint}
    return sorted(found)


class _Item(NamedTuple):
    """A piece, or what has its place for all courses: then None."""

    low: int
    high: int
    piece: Filled | None


def _stood(course: Course, row: Beside, sizes: Sizes) -> Course:
    """Return a run where it stands."""
    items = sorted(
        [
            *(_Item(piece.at, piece.end, piece) for piece in course),
            *(_Item(*stretch, None) for stretch in row.fixed),
        ],
        key=lambda item: item.low,
    )
    by = sizes.far - sizes.before
    right = _kept_left(items, row, sizes)
    moved = [
        item.piece._replace(at=item.low + by * (number >= right))
        for number, item in enumerate(items)
        if item.piece is not None
    ]
    # Beyond its ends are the corners: where a run has one piece alone, that meets them.
    end = items[right - 1].high if right else items[0].low
    start = (items[right].low if right < len(items) else items[-1].high) + by
    kept = sizes.kept if 0 < right < len(items) else 0
    over = end + kept - start
    if over <= 0:
        return tuple(moved)
    low, high = _run(items, row, right)
    short = _shortened(items[low:high], over, sizes)
    at, found = items[low].low if low < right else end, []
    for number in range(low, high):
        if number > low:
            before = items[number].low - items[number - 1].high
            at += kept if number == right else before
        piece, less = items[number].piece, short[number - low]
        assert piece is not None
        found.append(_as_stands(piece, at, less, sizes))
        at += piece.length - less
    first = course.index(items[low].piece) if found else 0
    return (*moved[:first], *found, *moved[first + len(found) :])


def _kept_left(items: Sequence[_Item], row: Beside, sizes: Sizes) -> int:
    """Return how many of a run's items keep to the left corner; the others to the right one.

    A column that is part of the wall does so as a whole, with all pieces that it touches; where
    these reach to a corner or an opening, with its block alone.
    """
    left = _beside_columns(items, [column.whole for column in row.columns], row, sizes)
    if 0 < left < len(items) and not row.is_open(items[left - 1].high, items[left].low):
        return left
    return _beside_columns(items, [column.block for column in row.columns], row, sizes)


def _beside_columns(
    items: Sequence[_Item], kept: Sequence[Stretch], row: Beside, sizes: Sizes
) -> int:
    """Return how many items keep to the left; kept: of each column what does not come apart."""
    least, most = 0, len(items)
    for column, (low, high) in zip(row.columns, kept, strict=True):
        if sizes.right(*column.whole):
            most = min(most, sum(item.high <= low for item in items))
        else:
            least = max(least, sum(item.low < high for item in items))
    nearer = sum(not sizes.right(item.low, item.high) for item in items)
    return max(least, min(nearer, most))


def _as_stands(piece: Filled, at: int, less: int, sizes: Sizes) -> Filled:
    if less and sizes.to_lay:
        return Filled(at, piece.length - less, False)
    return piece._replace(at=at, short=less)


def _run(items: Sequence[_Item], row: Beside, right: int) -> tuple[int, int]:
    """Return the pieces on both sides of the middle that nothing fixed or open lies between."""
    low = high = right
    while low and items[low - 1].piece is not None:
        if low < right and row.is_open(items[low - 1].high, items[low].low):
            break
        low -= 1
    while high < len(items) and items[high].piece is not None:
        if high > right and row.is_open(items[high - 1].high, items[high].low):
            break
        high += 1
    return low, high


def _shortened(run: Sequence[_Item], over: int, sizes: Sizes) -> list[int]:
    """Return by how much each piece of a run is shorter: one near the middle, or all.

    That is the cut piece nearest the middle, else the whole block: where none of these is left
    long enough, all have their share.
    """

    def can(item: _Item) -> bool:
        piece = item.piece
        return (
            piece is not None
            and not piece.turned
            and piece.length - over >= sizes.shortest
            and 0 <= item.low < item.high <= sizes.before
        )

    def rank(number: int) -> tuple[bool, int]:
        low, high, piece = run[number]
        whole = piece is not None and piece.whole and not sizes.to_lay
        return whole, abs(low + high - sizes.before)

    able = [number for number, item in enumerate(run) if can(item)]
    if able:
        cut = min(able, key=rank)
        return [over if number == cut else 0 for number in range(len(run))]
    lengths = [item.high - item.low for item in run]
    shares = [over * upto // sum(lengths) for upto in accumulate(lengths)]
    return [other - one for one, other in pairwise((0, *shares))]
