"""Worksheet functions on the work: the steps of a job, and its tests and inspections."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from textwrap import wrap

from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    count,
    worksheet_function,
)
from basinbook.catalogue.spec_reader import read_outfit
from basinbook.engine import inspections as tests
from basinbook.engine import kinds
from basinbook.engine import steps as work
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import BasinSpec
from basinbook.units import tape_words

PARTS = Group(
    "outfit",
    (
        Argument(
            "part_labels", kinds.RANGE, "Range of the labels of what the job has, such as Liner"
        ),
        Argument(
            "part_values", kinds.RANGE, "Range of the values beside them; blank for what it has not"
        ),
    ),
    read_outfit,
)
_LABELS = (
    '[["Inside length"],["Inside width"],["Block length"],["Block height"],["Block depth"],'
    '["Water depth"],["Freeboard"]]'
)
_STEPS = (Column("Step", kinds.COUNT), Column("What to do", kinds.TEXT))
_INSPECTIONS = (Column("Test", kinds.TEXT), Column("What is wanted", kinds.TEXT))
_SOURCE = "Placed layout (see docs/setting_out.md); common practice, no source"


@worksheet_function(
    category="Setting-out",
    summary="Steps of building the job in the order of work: only what it has, as it was typed",
    arguments=(
        LAYOUT,
        PARTS,
        count("width", "Most characters in a line; blank for one line a step", 40, 400, None),
        ROWS,
    ),
    result=Array(_STEPS),
    source=_SOURCE,
    examples=(
        Example(
            (
                _LABELS,
                "[[64],[46],[18],[4],[8],[2],[2]]",
                '[["Liner"],["Liner type"],["Base material"],["Base thickness"],["Base margin"]]',
                '[["Shell 64 x 46"],["preformed"],["stone dust"],[6],[0]]',
            ),
            "1\tBase: stone dust under basin, flush with the blocks, tamped in thin lifts to "
            '6". Tamp on until a heel leaves no dent, then check the level.\n'
            "2\tFirst course: set it out dry. Begin mid-front, go round both sides, and close the "
            "back wall by measure. Inside 5' 4\" by 3' 10\" clear, 6' 6 13/16\" corner to corner "
            "both ways.\n"
            "3\tPreformed liner: measure the clear inside, then let Shell 64 x 46 down level; its "
            "floor rests everywhere, its sides press nowhere.\n"
            '4\tFilling: 2" deep, which leaves 2" to the top of the block.\n'
            "5\tLeak test: mark the level, wait, and set what it fell against the limit of the "
            "check sheet.",
        ),
    ),
    details="Where a step takes several lines, its number stands in the first.",
)
def setting_steps(
    spec: BasinSpec, outfit: Outfit, width: int | None, rows: int | None, system: str
) -> list[Sequence[object]]:
    found: list[Sequence[object]] = []
    texts = work.steps(solve(spec), outfit, partial(tape_words, system=system))
    for number, text in enumerate(texts, start=1):
        lines = wrap(text, width) if width else [text]
        found += [(number if index == 0 else "", line) for index, line in enumerate(lines)]
    return fitted(found, rows, len(_STEPS), note_column=1)


@worksheet_function(
    category="Setting-out",
    summary="Tests and inspections of the job, each in its row, and what is wanted of it",
    arguments=(LAYOUT, PARTS),
    result=Array(_INSPECTIONS),
    source=_SOURCE,
    examples=(
        Example(
            (
                _LABELS,
                "[[64],[46],[18],[4],[8],[2],[2]]",
                '[["Liner"],["Liner type"]]',
                '[["Shell 64 x 46"],["preformed"]]',
            ),
            "Before digging\tBuried lines located and marked\n"
            "Base\tnot in this job\n"
            "Blocks\tLevel; square by both diagonals\n"
            "Blocks on edge\tnot in this job\n"
            "Pipe opening\tnot in this job\n"
            "Second wall\tnot in this job\n"
            "Access gap\tnot in this job\n"
            "Further openings\tnot in this job\n"
            "Columns\tnot in this job\n"
            "Underlay\tnot in this job\n"
            "Liner\tLevel; floor rests everywhere, sides press nowhere\n"
            "Bulkhead fitting\tnot in this job\n"
            "Cord passage\tnot in this job\n"
            "Caps\tnot in this job\n"
            "Column caps\tnot in this job\n"
            'First filling\t2" deep; no wall moves, no joint weeps\n'
            "Leak test\tLevel marked; fall within the limit above\n"
            "Pump\tnot in this job\n"
            "Check valve\tnot in this job\n"
            "Moving water\tnot in this job\n"
            "Light\tnot in this job\n"
            "Automatic fill\tnot in this job\n"
            "Hand-over\tClient shown draining for frost, and cautions",
        ),
    ),
    details="A test of what the job has not keeps its row and says so: what was typed beside "
    "others stays where it was.",
)
def inspections_(spec: BasinSpec, outfit: Outfit, system: str) -> Sequence[Sequence[object]]:
    return tests.inspections(solve(spec), outfit, partial(tape_words, system=system))
