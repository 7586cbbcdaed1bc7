"""Statements on layouts that hold whatever the sizes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Line, Rules, Span
from basinbook.engine.layout.bond.whole_wall import Wall, fill
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.solver import count_cuts, solve
from basinbook.engine.spec import INCH, BasinSpec

WALLS = ("front", "right", "back", "left")
GRAIN = 1e-3 / 320


@st.composite
def specs(draw: st.DrawFn) -> BasinSpec:
    """Plain basins of flat courses in inches or millimetres."""
    if draw(st.booleans()):
        unit, block = INCH / 4, draw(st.sampled_from([(16, 4, 8), (12, 4, 8), (18, 6, 12)]))
        sizes = tuple(size * INCH for size in block)
        joint = draw(st.sampled_from([0.0, 3 / 8 * INCH]))
    else:
        unit, sizes = 0.005, draw(st.sampled_from([(0.4, 0.1, 0.2), (0.29, 0.12, 0.19)]))
        joint = draw(st.sampled_from([0.0, 0.01]))
    return BasinSpec(
        inside_length=draw(st.integers(60, 500)) * unit,
        inside_width=draw(st.integers(60, 300)) * unit,
        block_length=sizes[0],
        block_height=sizes[1],
        block_depth=sizes[2],
        courses=draw(st.integers(2, 7)),
        water_depth=0.1,
        freeboard=0.0,
        joint=joint,
        joint_offset=draw(st.sampled_from([0.0, sizes[0] / 8, sizes[0] / 5])),
        shortest_piece=draw(st.sampled_from([0.0, sizes[0] / 8, sizes[0] / 3])),
    )


def _solved(spec: BasinSpec) -> Layout:
    try:
        return solve(spec)
    except InputError:
        assume(False)
        raise


@settings(max_examples=150, deadline=None)
@given(specs())
def test_pieces_and_joints_make_up_every_course(spec: BasinSpec) -> None:
    """Σ (length + joint) = 2 (L + W) + 4 t in each course: the walls along their middle line.

    Each end of a wall that runs through adds the thickness t and each that butts takes a joint;
    four of both, and one joint a wall more than its pieces have.
    """
    layout = _solved(spec)
    around = 2 * (spec.inside_length + spec.inside_width) + 4 * spec.block_depth
    for course in layout.courses:
        laid = sum(piece.length + spec.joint for piece in course.pieces)
        assert laid == pytest.approx(around, abs=10 * GRAIN)


@settings(max_examples=150, deadline=None)
@given(specs())
def test_pieces_are_whole_or_long_enough(spec: BasinSpec) -> None:
    layout = _solved(spec)
    shortest = spec.shortest_piece or spec.block_length / 4
    for piece in layout.pieces:
        if piece.whole:
            assert piece.length == pytest.approx(spec.block_length, abs=GRAIN)
        else:
            assert shortest - GRAIN <= piece.length < spec.block_length
    assert layout.blocks.whole + layout.blocks.cut_pieces == len(layout.pieces)


@settings(max_examples=150, deadline=None)
@given(specs())
def test_needed_blocks_lie_between_their_bounds(spec: BasinSpec) -> None:
    """No fewer blocks than their length makes up, no more than one for each piece.

    The lower bound rises with either side, so a larger basin never needs fewer blocks than a
    smaller one's length of wall.
    """
    layout = _solved(spec)
    laid = sum(piece.length for piece in layout.pieces)
    assert layout.blocks.needed * spec.block_length >= laid - GRAIN * len(layout.pieces)
    assert layout.blocks.needed <= len(layout.pieces)
    assert count_cuts(spec)[:2] == (layout.blocks.cut_pieces, layout.blocks.needed)


@settings(max_examples=80, deadline=None)
@given(specs(), st.booleans())
def test_a_block_more_in_length_adds_no_cut(spec: BasinSpec, long: bool) -> None:
    """Longer by one block and joint: whole blocks go in between, and the cuts stay as they are.

    Cuts may fall and blocks may then rise by less; that a larger basin takes more blocks is not
    true for every two sizes, as cuts differ.
    """
    layout = _solved(spec)
    more = spec.block_length + spec.joint
    name = "inside_length" if long else "inside_width"
    larger = solve(replace(spec, **{name: getattr(spec, name) + more}))  # type: ignore[arg-type]
    assert larger.blocks.cut_pieces <= layout.blocks.cut_pieces
    if larger.blocks.cut_pieces == layout.blocks.cut_pieces:
        assert larger.blocks.needed >= layout.blocks.needed


@settings(max_examples=80, deadline=None)
@given(specs())
def test_turning_the_basin_changes_no_count(spec: BasinSpec) -> None:
    layout = _solved(spec)
    turned = replace(spec, inside_length=spec.inside_width, inside_width=spec.inside_length)
    assert solve(turned).blocks.cut_pieces == layout.blocks.cut_pieces


@settings(max_examples=80, deadline=None)
@given(specs())
def test_pieces_are_numbered_in_laying_order(spec: BasinSpec) -> None:
    """Front from its middle, then sides from front to back, the back wall last, to its middle."""
    layout = _solved(spec)
    middle = spec.inside_length / 2 + spec.block_depth
    for course in layout.courses:
        assert [piece.number for piece in course.pieces] == list(range(1, len(course.pieces) + 1))
        parts = [WALLS.index(piece.part) for piece in course.pieces]
        order = [{0: 0, 1: 1, 3: 1, 2: 2}[part] for part in parts]
        assert order == sorted(order)
        off = {
            part: [abs(p.box.x + p.box.dx / 2 - middle) for p in course.pieces if p.part == part]
            for part in ("front", "back")
        }
        assert off["front"] == pytest.approx(sorted(off["front"]))
        assert off["back"] == pytest.approx(sorted(off["back"], reverse=True))


def _fillings(span: Span, rules: Rules) -> list[tuple[int, ...]]:
    """Every filling of a span with whole lengths in units of 12 ticks, by plain recursion."""
    found: list[tuple[int, ...]] = []

    def go(left: int, steps: tuple[int, ...]) -> None:
        if left == 0:
            first, last = steps[0] - rules.joint, steps[-1] - rules.joint
            if first >= span.first and last >= span.last:
                found.append(steps)
            return
        for step in range(rules.least, rules.pitch + 1, 12):
            if step <= left:
                go(left - step, (*steps, step))

    go(span.end - span.start + rules.joint, ())
    return found


@settings(max_examples=60, deadline=None)
@given(
    st.integers(4, 5), st.integers(1, 2), st.integers(2, 3), st.integers(2, 3),
    st.integers(3, 10), st.booleans(), st.booleans(),
)  # fmt: skip
def test_ties_go_to_the_fewest_lengths(
    length: int, offset: int, shortest: int, depth: int, inside: int, start: bool, end: bool
) -> None:
    """Two courses in all their fillings: no pair with as few cuts has fewer different lengths."""
    assume(depth + offset <= length and 2 * offset <= length)
    rules = Rules(length * 12, 0, shortest * 12, offset * 12)
    spans = []
    for mine, other in ((start, end), (not start, not end)):
        spans.append(
            Span(
                -depth * 12 if mine else 0, (inside + depth * other) * 12, not mine, not other,
                depth * 12 * mine, depth * 12 * other,
            )
        )  # fmt: skip
    best: tuple[int, int] | None = None
    rows = []
    for span in spans:
        row = []
        for steps in _fillings(span, rules):
            at, joints = span.start, [span.start] if span.start_joint else []
            for step in steps[:-1]:
                at += step
                joints.append(at)
            joints += [span.end] if span.end_joint else []
            row.append((frozenset(s for s in steps if s != rules.pitch), steps, joints))
        rows.append(row)
    for sizes, steps, joints in rows[0]:
        for others, more, above in rows[1]:
            if all(abs(a - b) >= rules.offset for a in joints for b in above):
                cuts = sum(step != rules.pitch for step in (*steps, *more))
                rank = (cuts, len(sizes | others))
                best = rank if best is None or rank < best else best
    chain = fill(Budget(), Wall(tuple(Line((span,)) for span in spans), inside * 12), rules)
    assert (chain is None) == (best is None)
    if chain is not None and best is not None:
        # Lengths off the grid, such as halves, can make fewer different ones.
        assert chain.cuts == best[0]
        assert len(chain.sizes) <= best[1]
