"""Heights with bed joints: one meaning on every sheet and drawing.

By hand: four flat courses of 100 mm with joints of 5 mm stand 4 · 100 + 3 · 5 = 415 mm high; the
caps lie on a joint over that, at 420, and 50 mm thick end at 470.
"""

from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.drawings.elevation import elevation_views, height_stops
from basinbook.drawings.isometric import IsometricView
from basinbook.drawings.section_cut import Cut, section_plane
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.heights import basin_top, cap_bed, wall_top
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.engine.takeoff import item

JOB = {
    "Inside length": 1600, "Inside width": 1150, "Block length": 450, "Block height": 100,
    "Block depth": 200, "Water depth": 350, "Freeboard": 50, "Joint": 5, "Cap length": 600,
    "Cap depth": 300, "Cap height": 50,
}  # fmt: skip
LABELS, VALUES = [[label] for label in JOB], [[value] for value in JOB.values()]


def built(**change: object) -> Layout:
    """Lengths are in metres."""
    found = {label.lower().replace(" ", "_"): value / 1000 for label, value in JOB.items()}
    return solve(BasinSpec(**{**found, **change}))  # type: ignore[arg-type]


def mm(layout: Layout, label: str) -> float:
    return item(label).measure(layout) * 1000


def test_take_off() -> None:
    layout = built()
    assert mm(layout, "Wall height") == pytest.approx(415)
    assert mm(layout, "Wall height with caps") == pytest.approx(470)
    assert mm(built(cap_length=0.0), "Wall height with caps") == pytest.approx(415)


def test_sheets_of_the_crew_beds_and_tops() -> None:
    runs = call("SETTINGRUNS", LABELS, VALUES, None, "metric").value
    assert isinstance(runs, list)
    beds = {row[1]: row[3] for row in runs if row[0] == 5}
    assert set(beds) == {f"cap, {wall}" for wall in ("front", "right", "back", "left")}
    assert list(beds.values()) == [pytest.approx(420)] * 4
    pieces = call("SETTINGPLAN", LABELS, VALUES, None, None, "metric").value
    assert isinstance(pieces, list)
    assert {round(row[8], 6) for row in pieces if row[0] == "caps"} == {420}
    courses = call("COURSETABLE", LABELS, VALUES, None, "metric").value
    assert isinstance(courses, list)
    assert [row[2:4] for row in courses] == [
        pytest.approx(pair) for pair in ([0, 100], [105, 205], [210, 310], [315, 415])
    ]


def test_elevation_has_the_cap_as_thick_as_it_is() -> None:
    fine, overall = height_stops(built())
    expected = [0, 100, 105, 205, 210, 310, 315, 415, 420, 470]
    assert [stop * 1000 for stop in fine] == pytest.approx(expected)
    assert [stop * 1000 for stop in overall] == pytest.approx([0, 470])
    # Glued dry, the caps lie on the block and there is no joint to dimension.
    dry, _ = height_stops(built(joint=0.0))
    assert [stop * 1000 for stop in dry] == pytest.approx([0, 100, 200, 300, 400, 450])


def test_drawings_stand_as_high_as_the_take_off_says() -> None:
    layout = built()
    top = pytest.approx(0.470)
    for view in elevation_views(layout, "metric", 0.1, 0.15):
        assert view._span.top == top
    assert max(solid.high for solid in IsometricView(layout, "front right")._solids) == top
    section = Cut(layout, section_plane(layout))
    assert section.wall == pytest.approx(0.415)
    caps = [piece for piece in section.pieces if piece.stock == "cap"]
    assert {piece.part for piece in caps} == {"front", "back"}
    assert all(piece.box.z == pytest.approx(0.420) for piece in caps)
    assert max(piece.box.z + piece.box.dz for piece in caps) == top


@pytest.mark.parametrize("joint", [0.0, 0.005, 0.012, 0.03])
def test_section_cuts_every_course_and_the_caps(joint: float) -> None:
    layout = built(joint=joint, cap_corner="mitred")
    x = section_plane(layout)
    through = [
        (p.part, p.course)
        for p in (*layout.pieces, *layout.caps)
        if p.part in ("front", "back") and p.box.x < x < p.box.x + p.box.dx
    ]
    levels = len(layout.courses) + 1
    assert sorted(through) == sorted(
        (part, course) for part in ("front", "back") for course in range(1, levels + 1)
    )


def test_section_does_not_leave_the_pipe_opening() -> None:
    layout = built(opening_width=0.06, opening_course=2)
    (opening,) = layout.openings
    assert abs(section_plane(layout) - opening.box.x - opening.box.dx / 2) < opening.box.dx / 2


@pytest.mark.parametrize(
    ("change", "wall", "bed"),
    [
        # One course on edge: 100 + 200 + 100 and two joints of 5.
        ({"edge_courses": "2", "edge_doubled": "yes", "block_height": 0.0975, "courses": 3},
         97.5 + 200 + 97.5 + 10, 410),
        # A higher second wall's caps are none of the basin's.
        ({"second_wall": "yes", "pipe_space": 0.2, "second_wall_courses": 6}, 415, 420),
    ],
)  # fmt: skip
def test_other_walls(change: dict[str, object], wall: float, bed: float) -> None:
    layout = built(**{"water_depth": 0.3, **change})
    if "second_wall" in change:
        layout = built(**change)
    assert wall_top(layout) * 1000 == pytest.approx(wall)
    assert cap_bed(layout) * 1000 == pytest.approx(bed)
    assert basin_top(layout) * 1000 == pytest.approx(bed + 50)


def test_access_gap_is_as_high_as_its_courses_and_their_joints() -> None:
    # Two courses and the joint between: 205; to the top of the second wall's six, 6 · 100 + 5 · 5.
    gap: dict[str, object] = {"second_wall": "yes", "pipe_space": 0.2, "access_width": 0.2,
                              "second_wall_courses": 6}  # fmt: skip
    assert mm(built(**gap, access_courses=2), "Access gap height") == pytest.approx(205)
    assert mm(built(**gap), "Access gap height") == pytest.approx(625)
    assert mm(built(), "Access gap height") == 0
