"""Worksheet function for the setting plan as a crew reads it."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import Array, Column, Example, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.layout.results.schedule import OTHERS, Group, Run, runs
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.units import one_system, tape_length

_COLUMNS = (
    Column("Course", kinds.COUNT),
    Column("Wall", kinds.TEXT),
    Column("Laid", kinds.TEXT),
    Column("Bed height", kinds.LENGTH),
    Column("Starts at", kinds.LENGTH),
    Column("Whole", kinds.COUNT),
    Column("Cut", kinds.COUNT),
    Column("Pieces in order", kinds.TEXT),
    Column("Piece numbers", kinds.TEXT),
    Column("Note", kinds.TEXT),
)


@worksheet_function(
    category="Setting-out",
    summary="Setting plan: one row for each wall of each course, with its pieces in order",
    arguments=(LAYOUT, ROWS),
    result=Array(_COLUMNS),
    source="Placed layout (see docs/setting_out.md)",
    examples=(
        Example(
            (
                '[["Inside length"],["Inside width"],["Block length"],["Block height"],'
                '["Block depth"],["Water depth"],["Freeboard"]]',
                "[[64],[46],[18],[4],[8],[2],[2]]",
            ),
            "1\tfront\tflat\t0\t0\t4\t0\t4 x 18\t4, 2, 1, 3\t\n"
            "1\tright\tflat\t0\t0\t3\t0\t3 x 18\t5, 7, 9\t\n"
            "1\tleft\tflat\t0\t8\t3\t0\t3 x 18\t6, 8, 10\t\n"
            "1\tback\tflat\t0\t8\t4\t0\t4 x 18\t12, 14, 13, 11\t",
        ),
    ),
    details="Pieces stand in the order left to right, or front to back for side walls; a gap left "
    "open stands among them, and in a mixed course the blocks laid the other way.",
)  # fmt: skip
def setting_runs(spec: BasinSpec, rows: int | None, system: str) -> list[Sequence[object]]:
    found = [_row(run, system) for run in runs(solve(spec))]
    return fitted(found, rows, len(_COLUMNS), note_column=7)


def _row(run: Run, system: str) -> list[object]:
    other = "on edge" if run.orientation == "flat" else "flat"
    lengths = ", ".join(_group(group, other, system) for group in run.lengths)
    numbers = f"{run.numbers[0]}" if len(run.numbers) == 1 else ", ".join(map(str, run.numbers))
    return [
        run.course, run.part, run.orientation, run.z, run.start, run.whole, run.cut, lengths,
        numbers, one_system(run.note, system),
    ]  # fmt: skip


def _group(group: Group, other: str, system: str) -> str:
    shown = tape_length(group.length, system)
    if group.many == OTHERS:
        return f"{other} {shown}"
    if not group.many:
        return f"gap {shown}"
    kind = " turned" if group.turned else "" if group.whole else " cut"
    return f"{group.many} x {shown}{kind}" if group.many > 1 else f"{shown}{kind}"
