"""Lengths of pieces as text: one way on setting plan, cut list and drawings, halves kept."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from basinbook.catalogue import call
from basinbook.drawings.cutlist import cut_rows
from basinbook.drawings.lengths import length_text
from basinbook.drawings.plan_views import plan_views
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.units import (
    feet_and_inches,
    inch_fraction,
    millimetres,
    one_system,
    one_unit,
    tape_length,
)

# Caps of 600 × 300 mm round 1,600 × 1,150 mm, 50 mm over: the front's ring is 2,100 mm. Two whole
# caps and three joints of 5 mm leave 2,100 − 1,215 = 885 mm for its two mitred ends: 442.5 each.
JOB = {
    "Inside length": 1600, "Inside width": 1150, "Block length": 450, "Block height": 100,
    "Block depth": 200, "Water depth": 350, "Freeboard": 50, "Joint": 5, "Cap length": 600,
    "Cap depth": 300, "Cap height": 50,
}  # fmt: skip


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (442.5, "442.5"), (443.5, "443.5"), (0.5, "0.5"), (442.0, "442"), (442.4, "442"),
        (442.6, "443"), (442.54, "442.5"), (442.56, "443"), (442.46, "442.5"), (442.44, "442"),
        (406.4, "406"), (1270.0, "1270"), (0.0, "0"), (1999.9999999, "2000"),
    ],
)  # fmt: skip
def test_millimetres(mm: float, text: str) -> None:
    assert millimetres(mm / 1000) == text
    assert tape_length(mm / 1000, "metric") == length_text(mm / 1000, "metric") == text


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        (15.03125, "15 1/32"), (15.09375, "15 3/32"), (7.5, "7 1/2"), (0.3125, "5/16"),
        (0.03125, "1/32"), (5 + 1 / 3, "5 5/16"), (5 + 2 / 3, "5 11/16"), (18.0, "18"),
        # An eighth of 1/16: nearer to the sixteenth than to half of one.
        (15.0078125, "15"), (15.0313, "15 1/32"), (15.04, "15 1/16"),
    ],
)  # fmt: skip
def test_inches(inches: float, text: str) -> None:
    assert inch_fraction(inches * 0.0254) == text
    assert tape_length(inches * 0.0254, "us") == text
    feet, rest = divmod(inches, 12)
    if not feet:
        assert length_text(rest * 0.0254, "us") == f'{text}"'


def test_feet_keep_the_half_sixteenth() -> None:
    assert length_text(15.03125 * 0.0254, "us") == "1' 3 1/32\""
    # Said without "about", for it is exact; a third is not.
    assert feet_and_inches(15.03125 * 0.0254) == "1' 3 1/32\""
    assert feet_and_inches(5 / 3 * 0.0254) == 'about 1 11/16"'


@pytest.mark.parametrize("tick", range(1, 700, 7))
def test_no_text_is_farther_off_than_half_its_step(tick: int) -> None:
    inches = tick * 0.0371
    whole, _, part = inch_fraction(inches * 0.0254).rpartition(" ")
    found = Fraction(whole or 0) + Fraction(part)
    assert abs(float(found) - inches) <= 1 / 32 + 1e-9
    mm = tick * 0.317
    assert abs(float(millimetres(mm / 1000)) - mm) <= 0.5


def test_a_half_is_the_same_wherever_it_is_read() -> None:
    given: dict[str, object] = {**JOB, "Cap corners": "mitred"}
    labels, values = [[label] for label in given], [[value] for value in given.values()]
    runs = call("SETTINGRUNS", labels, values, None, "metric").value
    cuts = call("CUTLIST", labels, values, None, "metric").value
    assert isinstance(runs, list)
    assert isinstance(cuts, list)
    (front,) = (row for row in runs if row[1] == "cap, front")
    assert front[7] == "442.5 cut, 2 x 600, 442.5 cut"
    (cut,) = (row for row in cuts if row[1] == pytest.approx(442.5))
    assert cut[3] == "4 x (442.5)"
    found = {label.lower().replace(" ", "_"): value / 1000 for label, value in JOB.items()}
    layout = solve(BasinSpec(**found, cap_corner="mitred"))  # type: ignore[arg-type]
    lengths = [row.cells("metric")[0] for row in cut_rows(layout)]
    assert "442.5, 1 end mitred" in lengths
    caps = plan_views(layout, "metric")[-1]
    front_cut = [p for p in caps.pieces if p.part == "front" and not p.whole]
    assert {length_text(p.length, "metric") for p in front_cut} == {"442.5"}


def test_notes_have_lengths_in_the_units_of_the_workbook() -> None:
    """By hand: 4.5 in is 114.3 mm, 30 in is 2 ft 6 in or 762 mm; 0.125 in is 1/8 in."""
    both = "shorter than 4.5 in (114.3 mm), of 30 in (762 mm); kerf 0.125 in (3.2 mm)."
    assert one_system(both, "us") == 'shorter than 4 1/2", of 2\' 6"; kerf 1/8".'
    assert one_system(both, "metric") == "shorter than 114 mm, of 762 mm; kerf 3 mm."
    assert one_system("4 in column", "metric") == "4 in column"
    kerf = "blank for 1/8 in (3 mm)"
    assert one_system(kerf, "us") == 'blank for 1/8"'
    assert one_system(kerf, "metric") == "blank for 3 mm"


def test_refusals_have_the_number_of_the_workbooks_unit_unchanged() -> None:
    """A limit that is rounded to the tape may no longer be one: 1.969 in is less than 2 in."""
    both = "'9.843 in (250 mm)' can't be used; give at most 1.969 in (50 mm)"
    assert one_unit(both, "us") == "'9.843 in' can't be used; give at most 1.969 in"
    assert one_unit(both, "metric") == "'250 mm' can't be used; give at most 50 mm"
    caution = "from 5 ft (1.5 m), over 23 kg (51 lb)"
    assert one_unit(caution, "us") == "from 5 ft, over 23 kg (51 lb)"
    assert one_unit(caution, "metric") == "from 1.5 m, over 23 kg (51 lb)"
    job = '[["Inside length"],["Inside width"],["Block length"],["Block height"],["Block depth"]]'
    sizes = "[[533],[533],[450],[100],[200]]"
    offset = [job.replace("]]", '],["Least joint offset"]]'), sizes.replace("]]", "],[200]]")]
    with pytest.raises(InputError) as refused:
        call("TAKEOFF", "Blocks to buy", *map(json.loads, offset), "metric")
    assert "joints offset by at least 200 mm" in str(refused.value)
    assert " in (" not in str(refused.value)


@pytest.mark.parametrize(("system", "other"), [("us", "mm"), ("metric", " in ")])
def test_notes_on_a_layout_have_one_unit_system(system: str, other: str) -> None:
    """A wall on edge of 4 in (101.6 mm) under one of 7 in (177.8 mm), as the job says."""
    inch = {"us": 1.0, "metric": 25.4}[system]
    job = {
        "Inside length": 56 * inch, "Inside width": 42 * inch, "Block length": 14 * inch,
        "Block height": 4 * inch, "Block depth": 7 * inch, "Water depth": 12 * inch,
        "Freeboard": 2 * inch, "Courses on edge": "1",
    }  # fmt: skip
    told = str(call("LAYOUTNOTES", [[k] for k in job], [[v] for v in job.values()], system))
    assert "thinner below than above" in told
    assert other not in told
