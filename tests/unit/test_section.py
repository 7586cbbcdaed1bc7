"""The section shows and names what a job has, and nothing that it does not have."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.drawing_set import pages
from basinbook.drawings.section import SectionView
from basinbook.drawings.section_cut import Cut, section_plane
from basinbook.drawings.section_notes import back_remarks, front_remarks
from basinbook.drawings.section_pipe import Plumbing
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import BOWL, EFFECTS, LIP, Outfit
from basinbook.engine.spec import BY_RULE, INCH, BasinSpec
from drawing_jobs import JOBS, OUTFIT, layout_of
from layout_jobs import realistic_job

CAPPED = BasinSpec(
    64 * INCH, 40 * INCH, 16 * INCH, 4 * INCH, 8 * INCH,
    cap_length=16 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH,
)  # fmt: skip
OPEN = replace(CAPPED, opening_width=4 * INCH, opening_course=2)
COLUMN = replace(OPEN, columns=1, column_courses=8)
STILL = Outfit(
    liner="Sheet liner 45 mil", liner_type="sheet", liner_lap=6 * INCH,
    base_material="Stone dust", base_thickness=6 * INCH, base_margin=0.0,
)  # fmt: skip
FULL = replace(
    OUTFIT, check_valve="Check valve", check_valves=1, light="Lamp 5 W", lights=2,
    automatic_fill="Float valve", automatic_fills=1, cord_passage="Gland", cord_passages=1,
)  # fmt: skip


def words(spec: BasinSpec, outfit: Outfit, system: str = "us") -> str:
    """All that the section says, and the lines below it."""
    view = SectionView(solve(spec), outfit, system)
    canvas = Canvas("letter")
    view.draw(canvas, Rect(10.0, 30.0, 270.0, 200.0), 24)
    return " ".join([*(text.get_text() for text in canvas.figure.texts), *view.lines])


def test_still_water_has_no_pump_pipe_cord_or_power() -> None:
    said = words(CAPPED, STILL)
    for part in ("pump", "Pump", "pipe", "spillway", "bowl", "cord", "ground-fault", "underlay"):
        assert part not in said
    assert "flexible sheet liner (Sheet liner 45 mil)" in said
    assert 'tamped base of Stone dust 6" thick, flush with the' in said


@pytest.mark.parametrize("underlay", ["", "Fleece 8 oz"])
def test_a_preformed_liner_is_called_one_and_has_no_flap(underlay: str) -> None:
    liner = replace(STILL, liner="Shell", liner_type="preformed", liner_lap=0, underlay=underlay)
    said = words(CAPPED, liner)
    assert "preformed liner (Shell)" in said
    assert "flexible" not in said
    assert "flap" not in said
    assert ("on underlay" in said) == bool(underlay)


def test_a_job_of_block_alone_speaks_of_block_and_water() -> None:
    said = words(replace(CAPPED, cap_length=0.0), Outfit())
    for part in ("liner", "base", "glued", "cap", "pump", "pipe", "flap", "underlay"):
        assert part not in said
    assert "wall: 4 courses" in said


@pytest.mark.parametrize(
    ("effect", "goes"),
    [
        ("straight lip", "pipe up to the spillway lip"),
        ("notch", "pipe up to the notch"),
        ("bowl rim", "pipe up to the bowl"),
        ("bubbler", "pipe up to the bubbler"),
        ("circulation", "pipe back into the basin"),
    ],
)
def test_the_pipe_goes_where_the_water_goes(effect: str, goes: str) -> None:
    for spec in (CAPPED, OPEN, COLUMN):
        assert goes in words(spec, replace(FULL, effect=effect))


def test_the_caution_speaks_of_what_takes_power() -> None:
    assert "Power of pump and light: ground-fault" in words(OPEN, FULL)
    assert "Power of pump: ground-fault" in words(OPEN, OUTFIT)
    assert "Power of light: ground-fault" in words(OPEN, replace(STILL, light="Lamp", lights=1))
    for outfit in (STILL, OUTFIT, FULL):
        assert "Open water and wall heights: local codes govern." in words(OPEN, outfit)


def test_parts_without_a_known_place_are_named_below() -> None:
    said = words(OPEN, FULL)
    assert (
        "not drawn: light (2 × Lamp 5 W), automatic fill (Float valve), cord passage (Gland)."
        in said
    )
    assert "not drawn: bulkhead fitting (Bulkhead 1 1/2 in), light" in words(CAPPED, FULL)
    assert "not drawn" not in words(OPEN, OUTFIT)


def _joints(layout: Layout) -> list[tuple[str, float]]:
    """The rows across the section that have no piece where it cuts."""
    cut = Cut(layout, section_plane(layout))
    rows = {(p.part, round(p.box.z, 6)) for p in _across(layout)}
    here = {(p.part, round(p.box.z, 6)) for p in cut.pieces}
    return sorted(rows - here)


def _across(layout: Layout) -> list[Piece]:
    every = (*layout.pieces, *layout.caps)
    return [p for p in every if p.part in ("front", "back", "second wall")]


# The middle of the length is a joint between the mitred caps here: seen in a job of today.
MITRED = replace(
    CAPPED, joint=3 / 8 * INCH, cap_corner="mitred", inside_length=44 * INCH, inside_width=48 * INCH
)


def test_a_joint_of_mitred_caps_is_not_where_the_section_cuts() -> None:
    layout = solve(MITRED)
    middle = layout.spec.block_depth + layout.spec.inside_length / 2.0
    front = [p for p in layout.caps if p.part == "front"]
    assert not any(p.box.x < middle < p.box.x + p.box.dx for p in front)
    assert _joints(layout) == []
    assert 'cap 1\' 0" × 2", overhang 2" outside, 2" inside' in words(MITRED, STILL)


@pytest.mark.parametrize("job", JOBS)
def test_the_section_runs_through_blocks_and_the_opening(job: str) -> None:
    layout = layout_of(job)
    x = section_plane(layout)
    edges = [edge for p in layout.pieces for edge in (p.box.x, p.box.x + p.box.dx)]
    assert min(abs(edge - x) for edge in edges) > 0.001
    for opening in layout.openings:
        if opening.part == "back":
            assert opening.box.x < x < opening.box.x + opening.box.dx


def some_layouts(count: int, seed: int) -> list[Layout]:
    rng = Random(seed)
    found: list[Layout] = []
    while len(found) < count:
        try:
            found.append(solve(realistic_job(rng)))
        except InputError:
            continue
    return found


def test_caps_are_cut_through_in_any_layout() -> None:
    seen = 0
    for layout in some_layouts(12, 5):
        cut = Cut(layout, section_plane(layout))
        for wall in ("front", "back", "second wall"):
            seen += bool(cut.caps(wall))
            assert not cut.caps(wall) or any(p in cut.pieces for p in cut.caps(wall)), layout.spec
    assert seen > 10


def _in_the_way(layout: Layout, outfit: Outfit) -> list[Piece]:
    """What the pipe that goes up would run through, but a column's cap over its core."""
    cut = Cut(layout, section_plane(layout))
    pipe = Plumbing(cut, outfit)
    (_, low), (y, high) = pipe.path[-2:]
    return [
        p
        for p in (*cut.pieces, *layout.caps)
        if p.stock != "column cap"
        and p.part not in ("left", "right")
        and p.box.y < y + pipe.half - 1e-6
        and p.box.y + p.box.dy > y - pipe.half + 1e-6
        and p.box.z < high
        and p.box.z + p.box.dz > low + pipe.half
    ]


def test_the_pipe_ends_at_the_lip_and_not_at_the_top_of_a_column_beside_it() -> None:
    """By hand: the lip stands on the walls' caps, a bowl on the column, as for SUGGESTPIPE."""
    spec = replace(
        CAPPED, wall_column_1="on back wall", wall_column_1_courses=2, wall_column_laid="on end",
        wall_column_core="no",
    )  # fmt: skip
    layout = solve(spec)
    cut = Cut(layout, section_plane(layout))
    walls = max(cap.box.z + cap.box.dz for cap in layout.caps)
    assert cut.high > walls + 0.5
    lip, bowl = (Plumbing(cut, replace(FULL, effect=effect)).path[-1][1] for effect in (LIP, BOWL))
    assert lip == pytest.approx(walls)
    assert bowl == pytest.approx(max(piece.box.z + piece.box.dz for piece in layout.pieces))


@pytest.mark.parametrize("effect", EFFECTS[1:])
def test_the_pipe_goes_up_clear_of_caps_and_blocks(effect: str) -> None:
    outfit = replace(FULL, effect=effect)
    second = replace(OPEN, second_wall="yes", pipe_space=8 * INCH)
    for spec in (CAPPED, OPEN, COLUMN, second):
        assert _in_the_way(solve(spec), outfit) == [], spec


@pytest.mark.parametrize(
    ("spec", "where"),
    [
        (OPEN, ", outside the back wall"),
        (COLUMN, ", through the column's core"),
        (
            replace(COLUMN, column_cap_side=28 * INCH, column_cap_height=2 * INCH),
            ", through the column's core and its cap",
        ),
        (replace(COLUMN, column_core="no"), ", outside the back wall, beside the column"),
        (replace(OPEN, second_wall="yes", pipe_space=8 * INCH), ", in the pipe space"),
        (
            replace(OPEN, second_wall="yes", pipe_space=4 * INCH),
            ", in the pipe space, cut through the caps there",
        ),
    ],
)
def test_the_note_says_where_the_pipe_goes_up(spec: BasinSpec, where: str) -> None:
    outfit = replace(OUTFIT, outlet="")
    assert f"pipe up to the spillway lip{where} " in words(spec, outfit) + " "


def test_long_names_stay_in_their_column() -> None:
    name = "Superlongname" * 12
    title = TitleBlock("Courtyard", "", "", "us", "letter")
    outfit = replace(FULL, liner=name, pump=name, light=name)
    (page,) = (p for p in pages(solve(OPEN), title, outfit) if p.name == "Section")
    said = "".join(text.get_text() for text in page.figure.texts)
    assert said.count(name) == 3


def test_the_section_keeps_off_turned_blocks_where_it_can() -> None:
    spec = BasinSpec(
        2.0, 1.2, 0.4, 0.1, 0.2, courses=5, water_depth=0.3, second_wall="yes", pipe_space=0.25,
        turned_walls=BY_RULE, turned_second=BY_RULE,
        cap_length=0.4, cap_depth=0.25, cap_height=0.05,
    )  # fmt: skip
    layout = solve(spec)
    # Nearest to the middle it would cut two.
    assert [p.part for p in Cut(layout, 1.196).pieces if p.turned] == ["back", "back"]
    found = Cut(layout, section_plane(layout)).pieces
    assert not any(piece.turned for piece in found)
    assert {"front", "back", "second wall"} <= {piece.part for piece in found}


def test_an_opening_in_the_front_is_named_in_front() -> None:
    spec = replace(OPEN, opening_2_wall="front", opening_2_width=6 * INCH, opening_2_course=3)
    layout = solve(spec)
    cut = Cut(layout, section_plane(layout))
    before = [remark.text for remark in front_remarks(cut, STILL, "us")]
    behind = [remark.text for remark in back_remarks(cut, STILL, Plumbing(cut, STILL), "us")]
    assert any(text.startswith('opening 2 6" wide') for text in before)
    assert not any("opening 2" in text for text in behind)
    assert any("pipe opening" in text for text in behind)
