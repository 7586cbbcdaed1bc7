"""Openings in courses that stand in a wall longer or shorter than planned: what lies over them.

The block over an opening bears on both sides by the joint offset at least (docs/setting_out.md),
whatever the opening measures by now. ``BASINBOOK_STANDING_OPENINGS=300`` looks at so many.
"""

from __future__ import annotations

import os
import random
from dataclasses import replace
from functools import cache

from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Box, Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH
from means_jobs import plain_basin

_COUNT = int(os.environ.get("BASINBOOK_STANDING_OPENINGS", "0")) or 36
_HAIR = 1e-5


@cache
def basins() -> tuple[Layout, ...]:
    """Basins whose opening stands, its course the last that is laid."""
    source, found, refused = random.Random(5), list[Layout](), list[str]()
    while len(found) < _COUNT:
        spec = plain_basin(source)
        spec = replace(
            spec,
            opening_2_wall=source.choice(("back", "front", "left")),
            opening_2_width=source.randint(4, 14) * INCH / 2,
            opening_2_course=source.randint(1, spec.courses - 1),
        )
        if source.random() < 0.4:
            spec = replace(
                spec,
                second_wall="yes",
                pipe_space=spec.block_length - spec.block_depth,
                opening_3_wall="second wall",
                opening_3_width=4 * INCH,
                opening_3_course=spec.opening_2_course,
            )
        try:
            solve(spec)
        except InputError:
            continue
        half = (spec.joint_offset or spec.block_length / 4) / 2
        off = [source.choice((-1, 1, 1)) * source.choice((0.3, 0.6, 0.999)) * half for _ in "ab"]
        built = replace(
            spec,
            laid_courses=spec.opening_2_course,
            laid_length=spec.inside_length + off[0],
            laid_width=spec.inside_width + off[1],
        )
        try:
            found.append(solve(built))
        except InputError as error:
            refused.append(str(error))
    # Where the opening is too wide by now for a block to bear on both sides, or is none any more.
    assert all("with what stands" in message for message in refused), refused
    assert len(refused) < _COUNT / 2
    return tuple(found)


def _along(part: str, box: Box) -> tuple[float, float]:
    side = part in ("left", "right")
    return (box.y, box.y + box.dy) if side else (box.x, box.x + box.dx)


def _at_height(layout: Layout, part: str, height: float) -> list[Piece]:
    return [
        piece
        for piece in layout.pieces
        if piece.part == part and piece.box.z < height < piece.box.z + piece.box.dz
    ]


def test_an_opening_is_as_wide_as_what_stands_leaves_it() -> None:
    wider = 0
    for layout in basins():
        for opening in layout.openings:
            low, high = _along(opening.part, opening.box)
            beside = [
                _along(opening.part, piece.box)
                for piece in _at_height(layout, opening.part, opening.box.z + opening.box.dz / 2)
            ]
            assert not any(start < high - _HAIR and low + _HAIR < end for start, end in beside)
            # A corner block that it ends at is in the course of another wall.
            left = [end for _, end in beside if end < high]
            right = [start for start, _ in beside if start > low]
            assert not left or abs(max(left) - low) < _HAIR, layout.spec
            assert not right or abs(min(right) - high) < _HAIR, layout.spec
            width = (
                layout.spec.opening_3_width
                if opening.part == "second wall"
                else (layout.spec.opening_2_width)
            )
            wider += high - low > width + _HAIR
    assert wider > _COUNT / 5


def test_the_block_over_it_bears_on_both_sides_of_what_stands() -> None:
    seen = 0
    for layout in basins():
        spec = layout.spec
        offset = spec.joint_offset or spec.block_length / 4
        for opening in layout.openings:
            low, high = _along(opening.part, opening.box)
            over = [
                _along(opening.part, piece.box)
                for piece in _at_height(
                    layout, opening.part, opening.box.z + opening.box.dz + spec.block_height / 2
                )
            ]
            seen += bool(over)
            assert not over or any(
                start <= low - offset + _HAIR and high + offset - _HAIR <= end
                for start, end in over
            ), (spec, opening)
    assert seen > _COUNT / 2
