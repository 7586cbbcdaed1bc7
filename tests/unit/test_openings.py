"""Openings: what is refused and what works instead, places not given, lintels that are bought."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.inspections import inspections
from basinbook.engine.layout.model import LINTEL
from basinbook.engine.layout.results.strips import wall_strips
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import FIELDS, INCH, BasinSpec
from basinbook.engine.steps import steps
from basinbook.engine.takeoff import ITEMS

BASIN = BasinSpec(
    60 * INCH, 36 * INCH, 16 * INCH, 4 * INCH, 8 * INCH, courses=5, water_depth=12 * INCH
)
PIPE = {"opening_width": 6 * INCH, "opening_course": 2, "opening_offset": 30 * INCH}
SECOND = {"opening_2_width": 6 * INCH, "opening_2_course": 2}


def _spec(**changes: Any) -> BasinSpec:
    return replace(BASIN, **changes)


# What is given, the input that is named, and what the message says of it.
@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({**PIPE, **SECOND, "opening_2_offset": 36 * INCH}, "opening_2_offset", "too close"),
        ({**PIPE, **SECOND, "opening_2_offset": 41 * INCH}, "opening_2_offset", "no bearing"),
        (
            {**PIPE, **SECOND, "opening_2_course": 3, "opening_2_offset": 34 * INCH},
            "opening_2_offset",
            "leave open what a whole block has to bridge",
        ),
        (
            {**PIPE, **SECOND, "opening_2_offset": 40 * INCH, "opening_2_lintel_length": 14 * INCH},
            "opening_2_offset",
            "the lintel takes the place",
        ),
        ({**SECOND, "opening_2_offset": 4 * INCH}, "opening_2_offset", "clear of the corners"),
        ({**SECOND, "opening_2_width": 9 * INCH}, "opening_2_width", "or give a lintel"),
        ({**SECOND, "opening_2_course": 6}, "opening_2_course", "courses 1 to 5"),
        ({**SECOND, "opening_2_rows": 5}, "opening_2_rows", "at most 4 from course 2"),
        ({**PIPE, "opening_lintel_length": 12 * INCH}, "opening_lintel_length", "at least 14 in"),
        (
            {**PIPE, "opening_course": 5, "opening_lintel_length": 16 * INCH},
            "opening_lintel_length",
            "a cap bridges the gap",
        ),
        (
            {**PIPE, "opening_lintel_length": 16 * INCH, "opening_lintel_height": 6 * INCH},
            "opening_lintel_height",
            "4 in (101.6 mm), as high as the course",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_works(
    given: dict[str, Any], field: str, said: str
) -> None:
    with pytest.raises(InputError) as refused:
        solve(_spec(**given))
    assert refused.value.argument == FIELDS[field].label
    assert said in refused.value.allowed
    nearest = re.search(r"nearest that works: .*\(([\d.]+) mm\)", refused.value.allowed)
    if field.endswith("offset") and "corners" not in said:
        assert nearest is not None, refused.value
    if nearest:
        solve(_spec(**{**given, field: float(nearest[1]) / 1000.0}))


def test_openings_without_a_place_stand_beside_each_other_and_say_so() -> None:
    layout = solve(_spec(**{**PIPE, "opening_offset": None}, **SECOND))
    pipe, other = layout.openings
    assert pipe.box.x + pipe.box.dx / 2.0 == pytest.approx(38 * INCH)
    assert other.box.x > pipe.box.x + pipe.box.dx + 4 * INCH - 1e-9
    (note,) = [line for line in layout.advice if "Opening 2's middle stands" in line]
    middle = (other.box.x + other.box.dx / 2.0) / INCH - 8
    assert f"{middle:g} in" in note
    assert "beside the others" in note


def test_a_lintel_is_bought_and_not_cut() -> None:
    """It takes the place of blocks; the wall stays as thick, and no cut piece is made of it."""
    plain = solve(_spec(**PIPE))
    with_lintel = solve(_spec(**PIPE, opening_lintel_length=32 * INCH, opening_lintel="Beam"))
    (lintel,) = [piece for piece in with_lintel.pieces if piece.stock == LINTEL]
    assert (lintel.part, lintel.course, lintel.length) == ("back", 3, pytest.approx(32 * INCH))
    assert all(32 * INCH not in bar.lengths for bar in with_lintel.blocks.bars)
    measured = {label: item.measure(with_lintel) for label, item in ITEMS.items()}
    assert measured["lintel over pipe opening"] == 1
    assert measured["lintel over opening 2"] == 0
    blocks = measured["whole blocks"] + measured["cut pieces"]
    assert measured["pieces laid"] == blocks + 1 == len(with_lintel.pieces)
    assert wall_strips(with_lintel) == wall_strips(plain)
    words = " ".join(steps(with_lintel, Outfit(), lambda length: f"{length / INCH:g} in"))
    assert "A lintel (Beam, 32 in long) bridges it" in words


def test_the_lowest_opening_under_water_stops_the_filling() -> None:
    given = {"opening_2_use": "drain", "opening_2_wall": "left", "opening_2_width": 4 * INCH}
    layout = solve(_spec(**PIPE, **given))
    for outfit, stop in ((Outfit(), "opening 2"), (Outfit(pipe="Pipe 2 in"), "opening 2")):
        words = " ".join(steps(layout, outfit, lambda length: f"{length / INCH:g} in"))
        assert f"Stop below {stop} until what goes through it is closed." in words
    wanted = dict(inspections(layout, Outfit(), lambda length: f"{length / INCH:g} in"))
    assert wanted["Further openings"] == "2: 4 in in course 1, left wall, bridged"
    high = solve(_spec(**PIPE, **{**given, "opening_2_course": 4}))
    assert "Stop below" not in " ".join(steps(high, Outfit(), str))


def test_an_opening_in_a_second_wall_that_is_not_there_is_left_out() -> None:
    given = {**SECOND, "opening_2_wall": "second wall", "opening_2_course": 1}
    assert "Opening 2 is left out: there is no second wall for it." in solve(_spec(**given)).advice
    (opening,) = solve(_spec(**given, second_wall="yes")).openings
    assert (opening.part, opening.over) == ("second wall", "block")
