"""What height and length the water's way has by the geometry, where the estimator gives none.

The pump stands on the floor at the back wall. Of a lip or notch the outlet is over the back wall,
as high as the highest of back wall, second wall and a column behind or on them, or where the pipe
comes out of a column; a bowl stands on a column
where one is as high; circulation and bubbler give their water at its level. What stands on top of
that, such as a bowl's own height, is not known and not counted.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, NamedTuple

from basinbook.engine.layout.model import Box, Layout
from basinbook.engine.layout.results.columns import column_pipe_of, columns_of
from basinbook.engine.outfit import BOWL, CIRCULATION, FALLS, STILL, check_effect
from basinbook.engine.takeoff import outside_size

# Bends, trimming and slack of a pipe: common practice, no source.
ALLOWANCE: Final = 0.1
_BACK, _SECOND = "back", "second wall"


class _Column(NamedTuple):
    """A column: the middle of it in plan and its top [m]."""

    x: float
    y: float
    top: float


def fall(layout: Layout, effect: str) -> float:
    """Return how far the water falls [m]: outlet to the operating level, 0 where nothing falls.

    Equation: h = H - d, with the outlet's height H and the water's depth d. Source: geometry; where
    the outlet stands is common practice.
    """
    check_effect(effect)
    return outlet_height(layout, effect) - layout.spec.water_depth if effect in FALLS else 0.0


def lift(layout: Layout, effect: str, head: float = 0.0) -> float:
    """Return the static lift [m]: operating level to the water over the outlet.

    head: of the water over lip, notch or rim [m]. Equation: h = H - d + head; 0 for circulation,
    bubbler and still water. Source: geometry; where the outlet stands is common practice.
    """
    check_effect(effect)
    return fall(layout, effect) + head if effect in FALLS else 0.0


def pipe_length(layout: Layout, effect: str) -> float:
    """Return the length of pipe from pump to outlet [m], with an allowance of 10 %.

    Along the axes: up from the floor to the pipe opening (or over the wall), through the back wall
    to the middle of the pipe space, up to the outlet, and back over the wall, or across to the
    column that a bowl stands on. Circulation runs the inside length, a bubbler half of it, both up
    to the water. 0 for still water. Source: geometry; route and allowance are common practice, no
    source.
    """
    check_effect(effect)
    spec = layout.spec
    if effect == STILL:
        return 0.0
    if effect not in FALLS:
        share = 1.0 if effect == CIRCULATION else 0.5
        return (spec.water_depth + share * spec.inside_length) * (1.0 + ALLOWANCE)
    outer = outside_size(layout)[1]
    gap = spec.pipe_space if spec.second_wall == "yes" else 0.0
    middle = outside_size(layout)[0] / 2.0
    opening = layout.pipe_opening.box if layout.pipe_opening else None
    start, through = middle, _top(layout, _BACK)
    if opening is not None:
        start, through = opening.x + opening.dx / 2.0, opening.z + opening.dz / 2.0
    high = outlet_height(layout, effect)
    behind = outer + gap / 2.0
    across = abs(start - middle) + gap / 2.0 + spec.block_depth
    if effect == BOWL:
        under = [column for column in _columns(layout) if column.top >= high - 1e-9]
        across = min((abs(start - each.x) + abs(behind - each.y) for each in under), default=across)
    run = through + spec.block_depth + gap / 2.0 + abs(high - through) + across
    return run * (1.0 + ALLOWANCE)


def outlet_height(layout: Layout, effect: str) -> float:
    """Return the height of lip or rim over the base [m]."""
    walls = [_top(layout, part) for part in (_BACK, _SECOND)]
    columns = _columns(layout)
    pipe = column_pipe_of(layout)
    if pipe is not None:
        return pipe.loose.box.z if pipe.cut else columns[layout.spec.columns].top
    if effect != BOWL:
        inner = outside_size(layout)[0]
        among = columns[: layout.spec.columns]
        columns = tuple(each for each in among if 0.0 < each.x < inner)
    return max(*walls, *(column.top for column in columns))


def _top(layout: Layout, part: str) -> float:
    """Return the top of a wall with its caps [m], 0 where there is none."""
    pieces = (*layout.pieces, *layout.caps)
    return max((_high(piece.box) for piece in pieces if piece.part == part), default=0.0)


def _high(box: Box) -> float:
    return box.z + box.dz


@lru_cache(maxsize=16)
def _columns(layout: Layout) -> tuple[_Column, ...]:
    """Return the columns in the order of their numbers, with their caps."""
    columns = []
    for column in columns_of(layout):
        x, y, _, dx, dy, _ = column.plan
        high = max(_high(piece.box) for piece in (*column.blocks, *column.caps))
        columns.append(_Column(x + dx / 2, y + dy / 2, high))
    return tuple(columns)
