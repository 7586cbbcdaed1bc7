"""Heights and lengths of the water's way: by hand, in inches, from sizes easy to follow."""

from __future__ import annotations

from dataclasses import replace

import pytest

from basinbook.engine import suggest
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import EFFECTS, FALLS
from basinbook.engine.spec import BasinSpec

INCH = 0.0254
# 4 courses of 4 in: 16 in of wall; the water is 12 in deep.
PLAIN = BasinSpec(64 * INCH, 46 * INCH, 18 * INCH, 4 * INCH, 8 * INCH)
# With an opening in the second course, whose middle is 6 in up, and a second wall 4 in behind.
WALLED = replace(
    PLAIN, second_wall="yes", opening_width=6 * INCH, opening_course=2, second_wall_courses=6
)
# Two columns of 8 courses beside the side walls, caps of 2 in on them; all round a core: 26 in.
COLUMNS = replace(
    PLAIN, columns=2, column_courses=8, column_cap_side=28 * INCH, column_cap_height=2 * INCH
)


def inches(metres: float) -> float:
    return metres / INCH


@pytest.mark.parametrize(
    ("spec", "effect", "fall"),
    [
        (PLAIN, "straight lip", 16 - 12),
        (PLAIN, "bowl rim", 16 - 12),
        (PLAIN, "circulation", 0),
        (PLAIN, "bubbler", 0),
        (PLAIN, "still water", 0),
        # Six courses of the second wall are 24 in.
        (WALLED, "notch", 24 - 12),
        # A bowl stands on a column, a lip on the wall between them.
        (COLUMNS, "bowl rim", 32 + 2 - 12),
        (COLUMNS, "straight lip", 16 - 12),
        # The one behind the back wall carries a lip.
        (replace(COLUMNS, columns=1), "straight lip", 32 + 2 - 12),
        (replace(PLAIN, cap_length=24 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH),
         "straight lip", 18 - 12),
    ],
)  # fmt: skip
def test_fall(spec: BasinSpec, effect: str, fall: float) -> None:
    layout = solve(spec)
    assert inches(suggest.fall(layout, effect)) == pytest.approx(fall, abs=1e-6)
    lift = inches(suggest.lift(layout, effect, 1 * INCH))
    assert lift == pytest.approx(fall + 1 if effect in FALLS else 0, abs=1e-6)


@pytest.mark.parametrize(
    ("spec", "effect", "run"),
    [
        # Up the wall, over its 8 in, and back.
        (PLAIN, "straight lip", 16 + 8 + 8),
        # 6 in up, 8 in through the wall and 2 in to the middle of the gap, 18 in up, 10 in back.
        (WALLED, "notch", 6 + 10 + 18 + 10),
        # The same, with 10 in along the wall from an opening off the middle.
        (replace(WALLED, opening_offset=22 * INCH), "notch", 6 + 10 + 18 + 10 + 10),
        (PLAIN, "circulation", 12 + 64),
        (PLAIN, "bubbler", 12 + 32),
        (PLAIN, "still water", 0),
        # Over the wall to behind it and up to 34 in; then half the length, the 8 in of a side wall
        # and half the column of 26 in; and half the column forward from the wall's outer face.
        (COLUMNS, "bowl rim", 16 + 8 + 18 + (32 + 8 + 13) + 13),
    ],
)
def test_pipe_length(spec: BasinSpec, effect: str, run: float) -> None:
    found = inches(suggest.pipe_length(solve(spec), effect))
    assert found == pytest.approx(1.1 * run, abs=1e-6)


def test_every_effect_has_figures_of_no_less_than_nothing() -> None:
    for spec in (PLAIN, WALLED, COLUMNS, replace(COLUMNS, columns=4)):
        layout = solve(spec)
        for effect in EFFECTS:
            figures = (suggest.fall, suggest.lift, suggest.pipe_length)
            assert all(figure(layout, effect) >= 0 for figure in figures)
