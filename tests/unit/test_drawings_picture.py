from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from io import BytesIO

import pytest
from matplotlib.lines import Line2D
from PIL import Image
from shapely.geometry import LineString, box

from basinbook.drawings.canvas import Canvas, Rect, text_rect
from basinbook.drawings.client_picture import COLOURS, client_picture
from basinbook.drawings.isometric import Face, IsometricView
from basinbook.drawings.plan_views import plan_views
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BY_RULE
from drawing_jobs import FULL_METRIC, layout_of


def colours(png: bytes) -> Counter[tuple[int, int, int]]:
    picture = Image.open(BytesIO(png)).convert("RGB")
    counted = picture.getcolors(picture.width * picture.height)
    assert counted
    return Counter({colour: count for count, colour in counted if isinstance(colour, tuple)})


def eight_bits(colour: tuple[float, float, float]) -> tuple[int, int, int]:
    red, green, blue = (round(part * 255.0) for part in colour)
    return red, green, blue


def area(face: Face) -> float:
    pairs = zip(face.corners, (*face.corners[1:], face.corners[0]), strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2.0


def test_the_clients_picture_has_the_colours_asked_for() -> None:
    layout = layout_of("full us")
    grey = colours(client_picture(layout, pixels=500))
    tan = colours(client_picture(layout, block="tan", cap="red", pixels=500))
    tops = eight_bits(COLOURS["light grey"]), eight_bits(COLOURS["red"])
    assert grey[tops[0]] > 2000
    assert tan[tops[1]] == pytest.approx(grey[tops[0]], rel=0.02)
    assert not tan[tops[0]]
    # Between the joints, which are drawn last, a side wall of tan is a darker tan.
    sides = eight_bits(tuple(part * 0.86 for part in COLOURS["tan"]))
    assert any(max(abs(a - b) for a, b in zip(sides, found, strict=True)) < 2 for found in tan)
    assert client_picture(layout, pixels=300) == client_picture(layout, pixels=300)


def test_wrong_colours_and_sizes_are_refused_with_what_there_is() -> None:
    layout = layout_of("simple")
    with pytest.raises(InputError, match=r"cap colour.*dark grey"):
        client_picture(layout, cap="mauve")
    with pytest.raises(InputError, match="corner"):
        client_picture(layout, corner="front left")
    with pytest.raises(InputError, match="pixels"):
        client_picture(layout, pixels=20)


# Axes 120 degrees apart without foreshortening: an area of the level plane keeps
# sin 120 deg = 0.8660 of itself (plane geometry).
def test_water_is_as_large_as_the_basin_is_inside() -> None:
    layout = layout_of("full us")
    spec = layout.spec
    water = [face for face in IsometricView(layout, "back left").faces if face.look == "water"]
    wanted = spec.inside_length * spec.inside_width * 0.8660254
    assert [area(face) for face in water] == [pytest.approx(wanted)]


def test_openings_of_every_wall_are_dark_where_the_eye_sees_them() -> None:
    spec = replace(
        FULL_METRIC, opening_width=0.0,
        opening_2_wall="front", opening_2_width=0.15, opening_2_course=2,
        opening_3_wall="right", opening_3_width=0.12, opening_3_course=2,
    )  # fmt: skip
    layout = solve(spec)
    dark = (61, 61, 64)
    seen = {}
    for corner in ("front right", "back left"):
        faces = IsometricView(layout, corner).faces
        mouths = [face for face in faces if face.look == "opening" and area(face) > 1e-4]
        # Width by height, of one upright plane: the same share as of the level plane.
        assert sum(map(area, mouths)) == pytest.approx((0.15 + 0.12) * 0.1 * 0.8660254, rel=1e-3)
        seen[corner] = colours(client_picture(layout, corner=corner, pixels=500))[dark]
    # From the back left water and the walls that face the eye hide both.
    assert seen["front right"] > 60
    assert seen["back left"] == 0


def test_no_line_runs_through_a_pieces_number() -> None:
    layout = solve(
        replace(
            FULL_METRIC, turned_walls=BY_RULE, turned_second=BY_RULE, pipe_space=0.25, courses=4
        )
    )
    assert any(piece.turned for piece in layout.pieces)
    # In feet and inches every length has a mark, so a bare number is a piece's.
    for view in plan_views(layout, "us"):
        page = Canvas("a4")
        view.draw(page, Rect(0.0, 0.0, *view.size(32)), 32)
        lines = [line.get_xydata() for line in page.figure.findobj(Line2D)]
        ends = [tuple(map(tuple, line)) for line in lines if len(line) == 2]
        numbers = [text for text in page.figure.texts if re.fullmatch(r"\d+", text.get_text())]
        assert len(numbers) >= 3
        for text in numbers:
            x, y = text.get_position()
            across, up = text.get_horizontalalignment(), text.get_verticalalignment()
            words, size, turned = text.get_text(), text.get_fontsize(), text.get_rotation()
            room = text_rect(x, y, words, size, across, up, turned)
            inner = box(room.x0 + 0.2, room.y0 + 0.5, room.x1 - 0.2, room.y1 - 0.5)
            assert not any(inner.intersects(LineString(pair)) for pair in ends), words
