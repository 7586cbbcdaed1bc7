"""Worksheet functions on what the client gets, and what is not in it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from basinbook.catalogue.declarations.steps import PARTS
from basinbook.catalogue.declarations.takeoff import EXAMPLE_LABELS, LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import Argument, Array, Column, Example, worksheet_function
from basinbook.engine import kinds
from basinbook.engine import scope as engine
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.scope import Materials
from basinbook.engine.spec import BasinSpec
from basinbook.units import from_si, tape_words, unit_of

_CATEGORY = "Quote"
_SOURCE = "Placed layout (see docs/setting_out.md); geometry"
_SIZES = "[[64],[46],[18],[4],[8]]"
_COLUMNS = (Column("Part", kinds.TEXT), Column("What is built", kinds.TEXT))
_LEFT_OUT = (Column("Not included", kinds.TEXT),)


def _name(of: str) -> Argument:
    return Argument(of, kinds.TEXT, f"Name of the {of.replace('_', ' ')}", default="")


@worksheet_function(
    category=_CATEGORY,
    summary="What is built, part by part in plain words for the client: only what the job has",
    details="No price, rate or supplier is in it.",
    arguments=(LAYOUT, PARTS, _name("block"), _name("cap"), ROWS),
    result=Array(_COLUMNS),
    source=_SOURCE,
    examples=(
        Example(
            (
                EXAMPLE_LABELS,
                _SIZES,
                '[["Liner"],["Liner type"],["Water effect"]]',
                '[["Sheet 45 mil"],["sheet"],["circulation"]]',
                "Plank block",
            ),
            "Basin\tA raised basin of Plank block, 6' 8\" by 5' 2\" outside and 1' 4\" high in 4 "
            "courses, glued; inside 5' 4\" by 3' 10\".\n"
            "Water\t1' 0\" deep, about 153 gal.\n"
            "Liner\tSheet 45 mil, one sheet.\n"
            "Moving water\tThe water circulates in the basin.",
        ),
    ),
)
def scope_(
    spec: BasinSpec, outfit: Outfit, block: str, cap: str, rows: int | None, system: str
) -> list[Sequence[object]]:
    said = engine.scope(
        solve(spec),
        outfit,
        Materials(block.strip(), cap.strip()),
        partial(tape_words, system=system),
        partial(_liquid, system=system),
    )
    return fitted(said, rows, len(_COLUMNS), note_column=1)


@worksheet_function(
    category=_CATEGORY,
    summary="What a client might expect and this job has not, in plain words",
    arguments=(LAYOUT, PARTS, ROWS),
    result=Array(_LEFT_OUT),
    source=_SOURCE,
    examples=(
        Example(
            (EXAMPLE_LABELS, _SIZES, '[["Liner"]]', '[["Sheet 45 mil"]]'),
            "a pump: the water stands still\ncaps on the wall\nlights\nautomatic filling",
        ),
    ),
)
def not_included(spec: BasinSpec, outfit: Outfit, rows: int | None) -> list[Sequence[object]]:
    return fitted([(words,) for words in engine.left_out(solve(spec), outfit)], rows, 1)


def _liquid(volume: float, system: str) -> str:
    unit = unit_of(kinds.LIQUID, system)
    return f"{from_si(volume, kinds.LIQUID, system):,.0f} {unit.label}"
