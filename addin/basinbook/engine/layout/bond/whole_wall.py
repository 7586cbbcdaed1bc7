"""Filling all courses of one wall, from the base up, with the fewest cuts."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from basinbook.engine.layout.bond.alternating import Line, Pair, Rules, Span, Steps, joints
from basinbook.engine.layout.bond.course_bounds import alone_bound, paired_bound
from basinbook.engine.layout.bond.tie_breaks import alone, asymmetry, bonded
from basinbook.engine.layout.bond.unlike_courses import best_chain
from basinbook.engine.layout.bond.with_turned import turned_steps
from basinbook.engine.layout.budget import Budget, remembered


class Wall:
    """The courses of a wall to fill, from the base up, and its inside length [ticks].

    About the middle of that length symmetry is sought. turned: whether turned blocks may lie
    somewhere in them. Hashed once, as walls are looked up often.
    """

    __slots__ = ("_hash", "far", "lines", "turned")

    def __init__(self, lines: tuple[Line, ...], far: int) -> None:
        self.lines, self.far = lines, far
        self.turned = any(span.turned for line in lines for span in line.spans)
        self._hash = hash((lines, far))

    def __hash__(self) -> int:
        """Return what was worked out once."""
        return self._hash

    def __eq__(self, other: object) -> bool:
        """Return whether the other has the same courses and length."""
        return self is other or (
            isinstance(other, Wall) and self.far == other.far and self.lines == other.lines
        )


class Filled(NamedTuple):
    """A piece in its place along a wall [ticks]; turned: a whole block laid across it.

    short: by how much it stands shorter than it was set out.
    """

    at: int
    length: int
    whole: bool
    turned: bool = False
    short: int = 0

    @property
    def end(self) -> int:
        """Where it ends as it stands."""
        return self.at + self.length - self.short


class Chain(NamedTuple):
    """All courses of a wall, from the base up.

    cuts: number of cut pieces. sizes: their different lengths [ticks]. asymmetry: joints without
    a mirror image about the wall's middle. proved: whether fewer cuts are proved impossible.
    bound: a number that no filling goes below.
    """

    cuts: int
    courses: tuple[tuple[Filled, ...], ...]
    sizes: frozenset[int]
    asymmetry: int
    proved: bool
    bound: int

    def mirrored(self, far: int) -> Chain:
        """Return its mirror image in a wall of an inside length."""
        return self._replace(
            courses=tuple(
                tuple(piece._replace(at=far - piece.end) for piece in reversed(course))
                for course in self.courses
            )
        )


def fill(budget: Budget, wall: Wall, rules: Rules, room: int | None = None) -> Chain | None:
    """Return the courses of a wall filled in bond with the least number of cut pieces.

    room: most cuts of interest. None where no filling exists, or where it is known to have more
    cuts than that, or where the budget ended before one was found.
    """
    return _fill(budget, wall, _own(rules, wall), room, bool(rules.turned))


@remembered(2_000)
def _fill(
    budget: Budget, wall: Wall, rules: Rules, room: int | None, thrifty: bool
) -> Chain | None:
    lines, far = wall.lines, wall.far
    if _alternate(lines):
        pair = _pair(budget, lines, far, rules, tidy=True)
        if pair is None:
            return None
        return _chain(
            lines, ((pair.first,), (pair.second,)), far, rules, pair.cost if pair.proved else 0
        )
    best = best_chain(budget, lines, far - rules.joint, rules, room, thrifty)
    if best is None or not best.steps:
        return None
    return _chain(lines, best.steps, far, rules, best.bound)


def fill_on(budget: Budget, standing: tuple[int, ...], wall: Wall, rules: Rules) -> Chain | None:
    """Return courses filled in bond with one that stands, with the fewest cuts found.

    standing: left edges of its joints, in rising order [ticks]. None where no filling was found.
    """
    lines, far = wall.lines, wall.far
    best = best_chain(budget, lines, far - rules.joint, rules, None, True, standing)
    return None if best is None else _chain(lines, best.steps, far, rules, best.bound)


def surely_least(budget: Budget, wall: Wall, rules: Rules, room: int) -> int:
    """Return a number of cut pieces that no filling of a wall goes below; 0 for nothing known.

    Sought only until it is more than there is room for.
    """
    return _surely_least(budget, wall, _own(rules, wall), room, bool(rules.turned))


@remembered(64)
def _surely_least(budget: Budget, wall: Wall, rules: Rules, room: int, thrifty: bool) -> int:
    if _alternate(wall.lines):
        return floor(budget, wall, rules).proved
    best = best_chain(budget, wall.lines, wall.far - rules.joint, rules, room, thrifty)
    return 0 if best is None else best.bound


class Floor(NamedTuple):
    """What is known of a wall's cuts before it is filled.

    least: the cuts of a wall where two plain courses take turns, for others a bound below; None
    where no filling was found. proved: a number that no filling goes below. exact: whether that is
    the least number itself, or where none was found, whether there is none.
    """

    least: int | None
    proved: int
    exact: bool


def floor(budget: Budget, wall: Wall, rules: Rules) -> Floor:
    """Return numbers of cut pieces that a wall has at least."""
    return _floor(budget, wall, _own(rules, wall))


@remembered(2_000)
def _floor(budget: Budget, wall: Wall, rules: Rules) -> Floor:
    lines, far = wall.lines, wall.far
    if not _alternate(lines):
        bound = paired_bound(budget, lines, far - rules.joint, rules)
        return Floor(bound, bound, False)
    pair, whole = budget.nothing_left_out(lambda: _pair(budget, lines, far, rules, tidy=False))
    if pair is not None and pair.proved:
        return Floor(pair.cost, pair.cost, True)
    alone = alone_bound(lines, rules)
    if pair is None:
        return Floor(alone if budget.ended else None, alone, whole)
    return Floor(pair.cost, alone, False)


def _own(rules: Rules, wall: Wall) -> Rules:
    """Return the rules for a wall, so that those without turned blocks share a search."""
    return rules if wall.turned or not rules.turned else _none_turned(rules)


@lru_cache(maxsize=16)
def _none_turned(rules: Rules) -> Rules:
    return rules._replace(turned=0)


def _alternate(lines: tuple[Line, ...]) -> bool:
    """Return whether two plain courses take turns: then the best pair, repeated, is the best."""
    return all(
        len(line.spans) == 1
        and not line.bridges
        and not line.spans[0].ties
        and not line.spans[0].begin
        and line == lines[index % 2]
        for index, line in enumerate(lines)
    )


def _pair(
    budget: Budget, lines: tuple[Line, ...], far: int, rules: Rules, tidy: bool
) -> Pair | None:
    first = lines[0].spans[0]
    if len(lines) == 1:
        pair = alone(budget, first, far, rules, tidy)
        return None if pair is None else pair._replace(cost=pair.cost // 2 * lines[0].leaves)
    spans = (first, lines[1].spans[0])
    weights = (sum(line.leaves for line in lines[::2]), sum(line.leaves for line in lines[1::2]))
    return bonded(budget, spans, weights, far, rules, tidy)


def _chain(
    lines: tuple[Line, ...],
    steps: tuple[tuple[Steps, ...], ...],
    far: int,
    rules: Rules,
    bound: int,
) -> Chain:
    # Courses that take turns are placed once.
    placed: dict[tuple[tuple[Span, ...], int], tuple[Filled, ...]] = {}
    courses, cuts, sizes = [], 0, set()
    for index, line in enumerate(lines):
        key = line.spans, index % len(steps)
        if key not in placed:
            placed[key] = tuple(
                piece
                for span, row in zip(line.spans, steps[key[1]], strict=True)
                for piece in _placed(span, row, rules)
            )
        course = placed[key]
        cut = [piece.length for piece in course if not piece.whole]
        courses.append(course)
        cuts += line.leaves * len(cut)
        sizes.update(cut)
    odd = sum(
        asymmetry(joints(span, row, rules), far - rules.joint)
        for line, rows in zip(lines, steps, strict=False)
        for span, row in zip(line.spans, rows, strict=True)
    )
    return Chain(cuts, tuple(courses), frozenset(sizes), odd, bound >= cuts, bound)


def chain_of(
    lines: tuple[Line, ...], steps: tuple[tuple[Steps, ...], ...], far: int, rules: Rules
) -> Chain:
    """Return a wall from the steps of all its courses, those of turned blocks below 0.

    Nothing is said of fewer cuts.
    """
    courses, odd = [], 0
    for line, rows in zip(lines, steps, strict=True):
        course = []
        for span, row in zip(line.spans, rows, strict=True):
            at = span.start
            for step in row:
                whole = step < 0 or step == rules.pitch
                course.append(Filled(at, abs(step) - rules.joint, whole, step < 0))
                at += abs(step)
            places = joints(span, [abs(step) for step in row], rules)
            odd += asymmetry(places, far - rules.joint)
        courses.append(tuple(course))
    cut = [
        [piece.length for piece in course if not piece.whole] * line.leaves
        for line, course in zip(lines, courses, strict=True)
    ]
    cuts = sum(len(lengths) for lengths in cut)
    sizes = frozenset(length for lengths in cut for length in lengths)
    return Chain(cuts, tuple(courses), sizes, odd, True, cuts)


def _placed(span: Span, steps: Steps, rules: Rules) -> tuple[Filled, ...]:
    found, at, pitch, joint = [], span.start, rules.pitch, rules.joint
    for step, turned in zip(steps, turned_steps(span, steps, rules), strict=True):
        found.append(Filled(at, min(step, pitch) - joint, turned or step >= pitch, turned))
        at += step
    return tuple(found)


def side_by_side(chains: Sequence[Chain]) -> Chain:
    """Return walls that stand in one line as one."""
    return Chain(
        sum(chain.cuts for chain in chains),
        tuple(
            tuple(piece for course in courses for piece in course)
            for courses in zip(*(chain.courses for chain in chains), strict=True)
        ),
        frozenset().union(*(chain.sizes for chain in chains)),
        sum(chain.asymmetry for chain in chains),
        all(chain.proved for chain in chains),
        sum(chain.bound for chain in chains),
    )
