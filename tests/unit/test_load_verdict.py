"""The verdict on loads in three grades, and the closed box that it rests on."""

from __future__ import annotations

from pathlib import Path

import pytest

import strip_and_box
from basinbook.catalogue import call
from basinbook.engine.water import loads

INCH = 0.0254
PSI = 4.4482216152605 / INCH**2
LABELS = [["Inside length"], ["Inside width"], ["Block length"], ["Block height"],
          ["Block depth"], ["Freeboard"], ["Cap length"], ["Cap depth"], ["Cap height"],
          ["Water depth"], ["Columns"], ["Column courses"], ["Second wall"],
          ["Second wall courses"]]  # fmt: skip


def said(
    length: float = 64, width: float = 46, water: float = 14, glue: object = "10 psi",
    column: tuple[int, int] = (0, 0), second: int = 0, density: object = 138, base: float = 4,
    weight: float = 0, share: object = 0.2,
) -> str:  # fmt: skip
    values = [[length], [width], [18], [4], [8], [2], [24], [12], [2], [water], [column[0]],
              [column[1]], ["yes" if second else "no"], [second]]  # fmt: skip
    arguments = (LABELS, values, density, 0.45, glue, share, "clay", base, weight)
    return str(call("LOADVERDICT", *arguments).value)


def test_the_verdict_looks_at_all_that_stands() -> None:
    # Columns of 64 in, a second wall of 56, wall and cap of 46 on a base of 4;
    # over 48 in from the bottom of the base (IBC 2009, 105.2).
    assert "columns from the bottom of the base 68 in, over 48 in" in said(column=(2, 16))
    assert "second wall from the bottom of the base 60 in, over 48 in" in said(second=14)
    assert "wall with caps from the bottom of the base 50 in" in said(water=42)


@pytest.mark.parametrize("water", [14, 17])
def test_common_basins_do_not_need_an_engineer(water: float) -> None:
    assert said(water=water).startswith("Within what is commonly built")
    assert "proves nothing" in said(water=water)


@pytest.mark.parametrize(
    "given",
    [{"water": 17, "glue": "5 psi"}, {"length": 72, "width": 72, "water": 20},
     {"length": 84, "glue": "50 psi"}],
)  # fmt: skip
def test_what_practice_looks_at_closer(given: dict[str, object]) -> None:
    assert said(**given).startswith("Look closer: ")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("given", "because"),
    [
        ({"length": 120, "width": 48, "water": 24, "glue": "50 psi", "share": 1}, "bending"),
        ({"glue": ""}, "Allowable shear of the glue is blank"),
        ({"column": (2, 9), "weight": 40, "base": 0}, "weight on it 36 in, not under 36 in"),
        ({"water": 25}, "water 25 in, over 24 in"),
        ({"water": 23, "glue": "0.1 psi", "length": 70}, "ratio"),
    ],
)
def test_what_needs_an_engineer(given: dict[str, object], because: str) -> None:
    text = said(**given)  # type: ignore[arg-type]
    assert text.startswith("Needs an engineer: ")
    assert because in text


def test_what_is_not_known_is_no_verdict() -> None:
    assert said(density="").startswith("Not judged: Weight and size of the block")
    assert said(share="").startswith("Not judged: Share of the bed that is glued not known")
    # A reason that is known stays one.
    assert said(density="", water=25).startswith("Needs an engineer: water 25 in")


@pytest.mark.parametrize(
    ("ratio", "grade"), [(0.99, "Needs an engineer"), (1.4999, "Look closer"), (1.5, "Within")]
)
def test_the_note_of_older_workbooks_has_the_same_grades(ratio: float, grade: str) -> None:
    text = str(call("LOADNOTE", 24, 12, ratio, 4).value)
    assert text.startswith(grade)
    assert ("sliding ratio 1.49, under 1.5" in text) == (ratio == 1.4999)


def test_no_verdict_says_that_anything_holds() -> None:
    for text in (said(), said(glue="5 psi", water=17), said(glue="")):
        assert "safe" not in text.lower()
        assert text.endswith("Check local code.")


def box(allowable: float, depth: float = 17 * INCH) -> loads.BoxWalls:
    strip = loads.even_strip(8 * INCH, 4 * INCH, 5, 12 * INCH, 2 * INCH)
    return loads.BoxWalls(
        [strip] * 4, 64 * INCH, 46 * INCH, depth, 2210.5, 0.45, allowable, 0.2, 9 * INCH, 71.8e3
    )


def test_without_glue_the_box_is_the_free_strip() -> None:
    # 138 / 144 · (160 + 24) = 176.3 lb/ft; 62.65 lb/ft of thrust: 0.45 · 176.3 / 62.65 = 1.267.
    found = loads.box_load(box(0.0))
    assert (found.limit, found.course) == ("sliding", 1)
    assert found.ratio == pytest.approx(1.267, abs=2e-3)


def test_more_glue_never_carries_less() -> None:
    ratios = [loads.box_load(box(psi * PSI)).ratio for psi in (0.0, 1.0, 5.0, 20.0, 100.0, 1e4)]
    assert ratios == sorted(ratios)
    assert ratios[-1] == ratios[-2] or ratios[-1] < 100


def test_less_water_never_carries_less() -> None:
    ratios = [loads.box_load(box(10 * PSI, inch * INCH)).ratio for inch in (20, 17, 14, 11, 8)]
    assert ratios == sorted(ratios)


def test_the_box_at_its_ratio_uses_up_the_glue_by_hand() -> None:
    # At the ratio x: the ground holds 79.33 lb/ft, R = 62.65 x − 79.33 go sideways over 17 in. A
    # course of 4 in on the frame 72 × 54 in (corner moment l² − lw + w² = 4212 in² over 12, and
    # 5 courses over 4 joints) turns 9 × 8 in of glue, J = 870 in⁴, half diagonal 6.021 in.
    found = loads.box_load(box(10 * PSI))
    assert found.limit == "glue"
    rest = (62.65 * found.ratio - 79.33) / 12
    pressure = rest / 17
    turning = pressure * 4212 / 12 * 4 * 1.25 * 6.021 / 870 / 0.2
    corner = pressure * 4 * (64**2 + 46**2) ** 0.5 / 2 / 64 / 0.2
    upright = (36.64 * found.ratio / 12 - pressure * 13) / 8 / 0.2
    # Beside the glue 0.4 of the weight over the joint, 138 / 144 · 152 lb/ft on 8 in.
    assert turning + corner + upright == pytest.approx(10 + 0.4 * 145.67 / 12 / 8 / 0.2, rel=3e-3)


def test_the_page_of_strip_and_box_is_fresh() -> None:
    page = Path(__file__).parents[2] / "docs" / "loads_strip_and_box.md"
    assert page.read_text(encoding="utf-8") == strip_and_box.page()
