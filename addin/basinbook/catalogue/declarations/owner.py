"""Worksheet functions on what the owner of a basin does with it, and its parts."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final

from basinbook.catalogue.declarations.steps import PARTS
from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import Array, Column, Example, choice, worksheet_function
from basinbook.engine import kinds, owner
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import BasinSpec
from basinbook.units import tape_words

_SOURCE: Final = "Common practice, no source; where a maker's word counts, it says so"
_LABELS: Final = (
    '[["Inside length"],["Inside width"],["Block length"],["Block height"],["Block depth"],'
    '["Water depth"],["Freeboard"]]'
)
_VALUES: Final = "[[64],[46],[18],[4],[8],[6],[2]]"


@worksheet_function(
    category="Hand-over",
    summary="What the owner does at start-up, every week or before frost: only what the job has",
    arguments=(
        LAYOUT,
        PARTS,
        choice("care", "When it is done", tuple(owner.CARE)),
        ROWS,
    ),
    result=Array((Column("Number", kinds.COUNT), Column("What to do", kinds.TEXT))),
    source=_SOURCE,
    examples=(
        Example(
            (_LABELS, _VALUES, '[["Liner"]]', '[["Sheet liner"]]', "before frost"),
            "1\tDrain the basin: by a siphon, where a full hose can end lower than its floor. Bail "
            "what is left.\n"
            "2\tThe liner stays in. Tread on it with care: cold makes it stiff. Look in after rain "
            "and thaw: water that gathers is drained again.",
        ),
    ),
)
def owner_care(
    spec: BasinSpec, outfit: Outfit, care: str, rows: int | None, system: str
) -> list[Sequence[object]]:
    lines = owner.CARE[care](solve(spec), outfit, partial(tape_words, system=system))
    return fitted(list(enumerate(lines, start=1)), rows, 2, note_column=1)


@worksheet_function(
    category="Hand-over",
    summary="Parts that may be bought again, with their names and sizes",
    arguments=(PARTS, ROWS),
    result=Array((Column("Part", kinds.TEXT), Column("Name and size", kinds.TEXT))),
    source=_SOURCE,
    examples=(
        Example(
            (
                '[["Water effect"],["Pump"],["Pipe"],["Inside diameter of the pipe"],["Liner"]]',
                '[["circulation"],["Pump 900"],["Pipe 1 in"],[1],["Sheet liner"]]',
            ),
            'Pump\tPump 900\nPipe\tPipe 1 in, 1" inside\nLiner\tSheet liner',
        ),
    ),
)
def owner_parts(outfit: Outfit, rows: int | None, system: str) -> list[Sequence[object]]:
    return fitted(list(owner.parts(outfit, partial(tape_words, system=system))), rows, 2)
