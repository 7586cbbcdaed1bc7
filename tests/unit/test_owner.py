"""The owner's sheet speaks of what a job has and of nothing else."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import product

import pytest

from basinbook.engine import owner
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import EFFECTS, STILL, Outfit
from basinbook.engine.spec import BasinSpec
from basinbook.units import tape_words
from basinbook.workbook.template.owner import _CARE_ROWS, _PART_ROWS

INCH = 0.0254
SPEC = BasinSpec(
    inside_length=64 * INCH,
    inside_width=46 * INCH,
    block_length=18 * INCH,
    block_height=4 * INCH,
    block_depth=8 * INCH,
    water_depth=17 * INCH,
    freeboard=2 * INCH,
)
FULL = Outfit(
    effect="bowl rim",
    outlet="Bowl 24",
    outlets=1,
    pump="Pump 900",
    pipe="Pipe 1 in",
    pipe_bore=INCH,
    bulkhead="Bulkhead 1 in",
    bulkheads=2,
    check_valve="Check valve 1 in",
    check_valves=1,
    cord_passage="Passage",
    cord_passages=1,
    light="Light 6 W",
    lights=2,
    automatic_fill="Float valve",
    automatic_fills=1,
    liner="Sheet liner",
    liner_type="sheet",
    underlay="Felt",
    pump_width=7 * INCH,
    pump_height=8 * INCH,
)
# What a line may speak of only where the job has it.
WORDS = {
    "pump": "pump",
    "light": "light",
    "automatic fill": "automatic_fill",
    "liner": "liner",
    "pipe": "pipe",
    "check valve": "check_valve",
    "bowl": "",
    "ground-fault": "pump or light",
}


def said(outfit: Outfit) -> str:
    layout, write = solve(SPEC), partial(tape_words, system="us")
    lines = [line for care in owner.CARE.values() for line in care(layout, outfit, write)]
    return "\n".join(lines).lower()


def test_nothing_is_said_of_what_a_job_has_not() -> None:
    bare = said(Outfit())
    assert not [word for word in WORDS if word in bare]
    assert '1\' 5" deep, 3" under the top' in bare
    full = said(FULL)
    assert all(word in full for word in WORDS)
    for word, field in WORDS.items():
        if field in ("pump", "light", "automatic_fill", "liner", "check_valve"):
            without = said(replace(FULL, **{field: "", "pipe": ""}))
            assert word not in without.replace("the pump's", ""), word
    # A pump that is typed beside still water does not run: no line has it.
    assert "pump" not in said(replace(FULL, effect=STILL, light="", pump=""))


@pytest.mark.parametrize("effect", EFFECTS)
def test_every_line_has_its_row_and_its_length(effect: str) -> None:
    """The sheet has a row for each line of any job, and a cell holds the line."""
    layout, write = solve(SPEC), partial(tape_words, system="us")
    for pump, light, fill in product(("", "Pump"), ("", "Light"), ("", "Valve")):
        outfit = replace(FULL, effect=effect, pump=pump, light=light, automatic_fill=fill)
        for name, care in owner.CARE.items():
            lines = list(care(layout, outfit, write))
            assert len(lines) <= _CARE_ROWS[name]
            assert max(map(len, lines)) <= 160, "it takes one line of the sheet"
        assert len(list(owner.parts(outfit, write))) <= 2 * _PART_ROWS


def test_parts_have_their_sizes() -> None:
    found = dict(owner.parts(FULL, partial(tape_words, system="us")))
    assert found["Pump"] == 'Pump 900, 7" wide, 8" high'
    assert found["Pipe"] == 'Pipe 1 in, 1" inside'
    assert found["Liner"] == "Sheet liner"
    assert found["Fitting through the wall"] == "2 × Bulkhead 1 in"
