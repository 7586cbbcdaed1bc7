"""What a crew reads is as the tape has it: feet, inches and 1/16, or whole mm, on every sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from basinbook.drawings.lengths import length_text
from basinbook.engine.layout.solver import solve
from basinbook.workbook.recalculation.drawing_inputs import inputs_from
from workbook.edited import Edited

CREW = ("Setting plan", "Pieces", "Cuts", "Checks")
UNREAD = ("Options", "Ranges", "Sizes", "Losses and loads", "Estimate", "Water")
# A decimal of inches or mm, but for the half that a sawn piece may have in mm, and piece 3.7.
_DECIMAL = {"us": re.compile(r"\d\.\d"), "metric": re.compile(r"\d\.(?!5\b)\d")}
_NO_LENGTH = re.compile(r"\d\.\d+ (?:US )?(?:gal|L|h|yd|m³|ft|kg|lb)\b|\d+\.\d+[/.]\d+")
# Columns of counts and numbers of courses.
_COUNTS = {"Setting plan": "AFGI", "Pieces": "AB", "Cuts": "C", "Checks": "DE"}
JOBS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("us", {}),
    ("us", {"Inside_length": "5' 1 3/16\"", "Columns": 0, "Liner": "Sheet liner 45 mil"}),
    ("metric", {"Inside_width": 1163}),
)


@pytest.mark.parametrize(("system", "typed"), JOBS)
def test_no_crew_sheet_has_decimals_of_a_length(
    demos: dict[str, Path], system: str, typed: Mapping[str, Any]
) -> None:
    edited = Edited(demos[system], UNREAD)
    changed = edited.cells(typed)
    values = {**edited.start, **changed, **edited.after(changed)} if typed else edited.start
    seen = 0
    (taken,) = (
        int(at[1:])
        for (sheet, at), value in values.items()
        if sheet == "Checks" and str(value).startswith("What the job took")
    )
    for (sheet, at), value in values.items():
        # The notes on the layout stand in both systems' units, see docs/setting_out.md.
        if sheet not in CREW or value in (None, "") or (sheet, at) == ("Setting plan", "A4"):
            continue
        # Below it stand hours, blocks and volumes, which are no lengths.
        if sheet == "Checks" and int(at[1:]) > taken:
            continue
        if isinstance(value, (int, float)):
            assert at[0] in _COUNTS[sheet], f"{sheet}!{at}: {value}"
            continue
        seen += 1
        text = _NO_LENGTH.sub("", str(value))
        assert not _DECIMAL[system].search(text), f"{sheet}!{at}: {value}"
    assert seen > 300
    # The same text as the drawings have, of each piece that is cut.
    spec = inputs_from(edited.named(values).cells, "letter").spec
    layout = solve(spec)
    cut = {length_text(p.length, system) for p in (*layout.pieces, *layout.caps) if not p.whole}
    listed = {str(values.get(("Cuts", f"B{row}"), "")) for row in range(6, 46)}
    assert cut <= listed
    assert {text for (sheet, at), text in values.items() if sheet == "Checks" and at == "B7"} == {
        length_text(spec.inside_length, system)
    }
