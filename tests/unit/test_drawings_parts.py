from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from scipy.optimize import isotonic_regression

from basinbook.drawings import plan
from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.cutlist import bars, cut_rows, summary
from basinbook.drawings.dimensions import chain, spread
from basinbook.drawings.isometric import Bounds, drawing_order
from basinbook.drawings.pieces import Extent, footprint
from basinbook.drawings.plan_views import plan_views
from basinbook.engine.layout.model import Box, Piece
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import INCH
from drawing_jobs import JOBS, layout_of
from layout_jobs import PLAIN_BASIN


def test_labels_move_apart_as_little_as_need_be() -> None:
    assert spread([], 2.0) == []
    assert spread([1.0, 9.0], 2.0) == [1.0, 9.0]
    # Two labels at one place move half the pitch each.
    assert spread([5.0, 5.0], 2.0) == pytest.approx([4.0, 6.0])
    assert spread([5.0, 5.0, 5.0], 2.0) == pytest.approx([3.0, 5.0, 7.0])
    assert spread([0.0, 0.0], 2.0, low=0.0) == pytest.approx([0.0, 2.0])
    assert spread([9.0, 9.5], [3.0], high=10.0) == pytest.approx([7.0, 10.0])


def test_labels_keep_order_and_pitch_for_random_wishes() -> None:
    chance = random.Random(4)
    for _ in range(200):
        wishes = sorted(chance.uniform(0.0, 20.0) for _ in range(chance.randint(2, 9)))
        places = spread(wishes, 1.5)
        assert all(b - a >= 1.5 - 1e-9 for a, b in pairwise(places))
        # Moved as little as need be, as another library has it.
        apart = [wish - 1.5 * index for index, wish in enumerate(wishes)]
        nearest = isotonic_regression(apart).x + 1.5 * np.arange(len(wishes))
        assert places == pytest.approx(list(nearest))


def test_nearer_boxes_are_drawn_later() -> None:
    # A heap of unit cubes: each must come after its left, back and lower neighbour.
    cells = [(u, v, z) for u in range(4) for v in range(3) for z in range(3)]
    random.Random(1).shuffle(cells)
    bounds = [(float(u), u + 1.0, float(v), v + 1.0, float(z), z + 1.0) for u, v, z in cells]
    place = {cells[index]: rank for rank, index in enumerate(drawing_order(bounds))}
    assert len(place) == len(cells)
    for u, v, z in cells:
        for before in ((u - 1, v, z), (u, v - 1, z), (u, v, z - 1)):
            if before in place:
                assert place[before] < place[u, v, z]


def test_a_tall_block_beside_two_flat_ones_is_drawn_in_its_turn() -> None:
    flat_low = Bounds(0.0, 1.0, 0.0, 1.0, 0.0, 1.0)
    flat_high = Bounds(0.0, 1.0, 0.0, 1.0, 1.0, 2.0)
    tall_near = Bounds(1.0, 2.0, 0.0, 1.0, 0.0, 2.0)
    assert drawing_order([tall_near, flat_high, flat_low]) == [2, 1, 0]


def cap(part: str, box: Box, mitres: int) -> Piece:
    return Piece(1, 9, part, "cap", "flat", box, max(box.dx, box.dy), False, mitres=mitres)


def test_a_mitred_cap_loses_a_triangle_at_its_corner() -> None:
    ring = Extent(0.0, 0.0, 3.0, 2.0)
    left_end = cap("front", Box(0.0, 0.0, 0.0, 1.0, 0.2, 0.05), 1)
    assert footprint(left_end, ring) == [(0.0, 0.0), (1.0, 0.0), (1.0, 0.2), (0.2, 0.2)]
    right_end = cap("front", Box(2.0, 0.0, 0.0, 1.0, 0.2, 0.05), 1)
    assert footprint(right_end, ring) == [(2.0, 0.0), (3.0, 0.0), (2.8, 0.2), (2.0, 0.2)]
    side = cap("right", Box(2.8, 0.0, 0.0, 0.2, 2.0, 0.05), 2)
    corners = [value for point in footprint(side, ring) for value in point]
    assert corners == pytest.approx([3.0, 0.0, 3.0, 2.0, 2.8, 1.8, 2.8, 0.2])
    plain = cap("back", Box(1.0, 1.8, 0.0, 1.0, 0.2, 0.05), 0)
    assert len(footprint(plain, ring)) == 4


def test_mitred_outlines_fill_the_ring_without_overlap() -> None:
    from shapely.geometry import Polygon, box
    from shapely.ops import unary_union

    layout = layout_of("full metric")
    ring = [piece for piece in layout.caps if piece.part in ("front", "right", "back", "left")]
    boxes = [piece.box for piece in ring]
    outer = Extent(
        min(b.x for b in boxes), min(b.y for b in boxes),
        max(b.x + b.dx for b in boxes), max(b.y + b.dy for b in boxes),
    )  # fmt: skip
    shapes = [Polygon(footprint(piece, outer)) for piece in ring]
    depth = layout.spec.cap_depth
    whole = box(outer.x0, outer.y0, outer.x1, outer.y1)
    clear = box(outer.x0 + depth, outer.y0 + depth, outer.x1 - depth, outer.y1 - depth)
    wanted = whole.area - clear.area
    assert sum(shape.area for shape in shapes) == pytest.approx(wanted, abs=1e-6)
    assert unary_union(shapes).area == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("job", JOBS)
def test_the_cut_list_holds_each_cut_once(job: str) -> None:
    layout = layout_of(job)
    sketched = sorted(
        round(length, 6) for bar in bars(layout) for length in bar.lengths for _ in range(bar.count)
    )
    cut = sorted(
        round(piece.length, 6) for piece in (*layout.pieces, *layout.caps) if not piece.whole
    )
    assert sketched == pytest.approx(cut)
    assert sum(bar.count for bar in bars(layout)) == sum(
        len(plan.bars) for plan in (layout.blocks, layout.cap_cuts)
    )
    listed = [piece for row in cut_rows(layout) for piece in row.pieces]
    assert len(listed) == len(cut)
    for bar in bars(layout):
        used = sum(bar.lengths) + bar.offcut
        assert used <= bar.stock_length + 1e-6


def test_the_cut_list_of_courses_that_stand_holds_what_is_still_to_cut() -> None:
    """Cuts of the courses above, and once more the piece that broke."""
    whole = layout_of("full us")
    laid = next(p for course in whole.courses[:2] for p in course.pieces if not p.whole)
    broke = f"{laid.course}/{laid.number}"
    layout = solve(replace(whole.spec, laid_courses=2, broken=broke))
    rows = [row for row in cut_rows(layout) if row.stock == "block" and not row.hole]
    listed = sorted(round(row.length, 6) for row in rows for _ in row.pieces)
    sketched = sorted(round(length, 6) for bar in layout.blocks.bars for length in bar.lengths)
    assert listed == pytest.approx(sketched)
    standing = [piece for row in rows for piece in row.pieces if piece.course <= 2]
    assert [f"{piece.course}/{piece.number}" for piece in standing] == [broke]


def test_the_pipe_is_marked_on_blocks_laid_as_a_cap(monkeypatch: pytest.MonkeyPatch) -> None:
    """On the plan of that course and on that of the wall caps, in the column's middle."""
    layout = solve(
        replace(
            PLAIN_BASIN, second_wall="yes", pipe_space=4 * INCH, opening_width=3 * INCH,
            cap_length=24 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH,
            wall_column_1="on both walls", wall_column_1_courses=3,
            column_pipe="through the cap", column_cap_of="blocks",
        )
    )  # fmt: skip
    marks: list[float] = []
    monkeypatch.setattr(plan, "hole_mark", lambda *given: marks.append(given[-1]))
    marked = []
    for view in plan_views(layout, "us"):
        marks.clear()
        view.draw(Canvas("letter"), Rect(20.0, 20.0, 250.0, 190.0), 20)
        if marks:
            marked.append(view.title)
            assert marks == pytest.approx([layout.spec.column_pipe_size * 1000.0 / 20 / 2])
    assert marked == ["Course 8", "Caps"]


def test_the_summary_counts_what_to_buy() -> None:
    layout = layout_of("simple")
    text = summary(layout.blocks, "us", layout.spec.kerf, 0)
    assert text.startswith("Blocks: ")
    assert f"= {layout.blocks.needed}, " in text
    assert 'kerf 1/8"' in text
    # Of what stands nothing is cut any more.
    assert summary(layout.blocks, "us", 0.0, 2).startswith("Blocks still needed: ")
    assert summary(layout.cap_cuts, "us", 0.0, 2).startswith("Caps: ")


def test_no_extension_line_runs_through_the_text_of_a_low_part() -> None:
    page = Canvas("a4")
    chain(page, "v", 40.0, 20.0, [10.0, 50.0, 51.6], ["40", "1.6"])
    text = page.taken[-1]
    drawn = sorted(page.figure.artists, key=lambda artist: artist.get_zorder())
    ground = next(artist for artist in drawn if isinstance(artist, Polygon))
    (x0, y0), (x1, y1) = ground.get_xy().min(axis=0), ground.get_xy().max(axis=0)
    # What is drawn before lies below it: both lines end where it does, on the far side of it.
    assert x0 < 21.0
    assert text.x1 <= x1 < 40.0
    assert y0 == pytest.approx(text.y0)
    assert y1 == pytest.approx(text.y1)
    lines = [artist for artist in drawn if isinstance(artist, Line2D)]
    assert all(line.get_zorder() < ground.get_zorder() for line in lines)
