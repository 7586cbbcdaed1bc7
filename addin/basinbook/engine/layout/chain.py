"""Filling all courses of one wall, from the base up, with the fewest cuts."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from basinbook.engine.layout.bond import Line, Pair, Rules, Span, Steps, asymmetry, fewest, tidiest
from basinbook.engine.layout.unlike import best_chain


class Filled(NamedTuple):
    """A piece in its place along a wall [ticks]."""

    at: int
    length: int
    whole: bool


class Chain(NamedTuple):
    """All courses of a wall, from the base up.

    cuts: number of cut pieces. sizes: their different lengths [ticks]. asymmetry: joints without
    a mirror image about the wall's middle. proved: whether fewer cuts are proved impossible.
    """

    cuts: int
    courses: tuple[tuple[Filled, ...], ...]
    sizes: frozenset[int]
    asymmetry: int
    proved: bool


@lru_cache(maxsize=20_000)
def fill(lines: tuple[Line, ...], mirror: int, rules: Rules) -> Chain | None:
    """Return the courses of a wall filled in bond with the least number of cut pieces.

    mirror: twice the middle of the wall, less a joint (the image of a joint p is mirror − p).
    None where no filling exists.
    """
    if all(
        len(line.spans) == 1 and line.bridge is None and line.spans == lines[index % 2].spans
        for index, line in enumerate(lines)
    ):
        return _alternating(lines, mirror, rules)
    best = best_chain(lines, mirror, rules)
    if best is None:
        return None
    return _chain(
        lines, tuple(filling.steps for filling in best.fillings), mirror, rules, best.proved
    )


def _alternating(lines: tuple[Line, ...], mirror: int, rules: Rules) -> Chain | None:
    """Two courses in turn: the best pair repeated is the best wall (docs/setting_out.md)."""
    first = lines[0].spans[0]
    if len(lines) == 1:
        # A course on its own: the same span twice, without a bond between.
        alone = rules._replace(offset=0)
        pair = _pair((first, first), (1, 1), mirror, alone)
        return None if pair is None else _chain(lines, ((pair.first,),), mirror, rules, pair.proved)
    spans = (first, lines[1].spans[0])
    weights = (sum(line.leaves for line in lines[::2]), sum(line.leaves for line in lines[1::2]))
    pair = _pair(spans, weights, mirror, rules)
    if pair is None:
        return None
    return _chain(lines, ((pair.first,), (pair.second,)), mirror, rules, pair.proved)


def _pair(
    spans: tuple[Span, Span], weights: tuple[int, int], mirror: int, rules: Rules
) -> Pair | None:
    pair = fewest(spans, weights, rules)
    return None if pair is None else tidiest(spans, weights, pair, mirror, rules)


def _chain(
    lines: tuple[Line, ...],
    steps: tuple[tuple[Steps, ...], ...],
    mirror: int,
    rules: Rules,
    proved: bool,
) -> Chain:
    courses = tuple(
        tuple(
            piece
            for span, row in zip(line.spans, steps[index % len(steps)], strict=True)
            for piece in _placed(span, row, rules)
        )
        for index, line in enumerate(lines)
    )
    cuts = sum(
        line.leaves * sum(not piece.whole for piece in course)
        for line, course in zip(lines, courses, strict=True)
    )
    sizes = frozenset(piece.length for course in courses for piece in course if not piece.whole)
    odd = sum(
        asymmetry(span, row, mirror, rules)
        for line, rows in zip(lines, steps, strict=False)
        for span, row in zip(line.spans, rows, strict=True)
    )
    return Chain(cuts, courses, sizes, odd, proved)


def _placed(span: Span, steps: Steps, rules: Rules) -> tuple[Filled, ...]:
    found, at = [], span.start
    for step in steps:
        found.append(Filled(at, step - rules.joint, step == rules.pitch))
        at += step
    return tuple(found)
