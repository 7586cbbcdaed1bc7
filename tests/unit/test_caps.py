"""Choices of caps: overhang found, joints kept apart, short edges, gaps bridged, a service cap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from basinbook import catalogue
from basinbook.drawings.pieces import label, symbols
from basinbook.engine.errors import InputError
from basinbook.engine.inspections import inspections
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.capping import capped
from basinbook.engine.layout.model import Layout, Piece
from basinbook.engine.layout.planning import planned
from basinbook.engine.layout.results.cap_joints import cap_joints
from basinbook.engine.layout.results.strips import overhangs
from basinbook.engine.layout.solver import solve
from basinbook.engine.layout.ticks import metres
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import (
    CAP_GAPS,
    CAP_JOINTS,
    CAP_SHORT_EDGES,
    INCH,
    SERVICE_CAPS,
    BasinSpec,
)
from basinbook.engine.steps import steps
from basinbook.engine.takeoff import bed_length, item

FREE, APART = CAP_JOINTS[1:]
ONE_CAP, OPEN = CAP_GAPS[1:]
OVER_PIPE, OVER_ACCESS, IN_BACK = SERVICE_CAPS[1:]
BASIN = BasinSpec(
    48 * INCH, 24 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, courses=4, water_depth=12 * INCH,
    cap_length=16 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH,
)  # fmt: skip
BEHIND = replace(BASIN, second_wall="yes", access_width=9 * INCH)


def built(spec: BasinSpec, **change: object) -> Layout:
    return solve(replace(spec, **change))  # type: ignore[arg-type]


def refused(spec: BasinSpec, **change: object) -> InputError:
    with pytest.raises(InputError) as caught:
        built(spec, **change)
    return caught.value


def in_inches(pieces: list[Piece]) -> list[float]:
    return [round(piece.length / INCH, 4) for piece in sorted(pieces, key=lambda p: p.box.x)]


def row(layout: Layout) -> list[Piece]:
    return [cap for cap in layout.caps if cap.part == "second wall"]


def test_overhang_in_line_with_the_wall_saves_the_cuts() -> None:
    """Ring 64 × 40 in outside, 12 in deep: in turn 52 and 28 in, or 64 = 4 × 16 and 16 = 1 × 16.

    With 2 in of overhang it is 68 × 44 in: 56, 68 or 44 by 44, 32 or 20 in. The row of 64 or 68 in
    over the second wall needs none or one.
    """
    equal = built(BASIN, second_wall="yes")
    assert equal.cap_cuts.cut_pieces == 3
    found = built(BASIN, second_wall="yes", cap_overhang_least=0.0)
    assert found.cap_cuts.cut_pieces == 0
    assert overhangs(found)["front"].outer == pytest.approx(0.0, abs=1e-9)
    (note,) = [line for line in found.advice if line.startswith("Cap overhang found")]
    assert "0, in line with the wall, with no cut caps: 3 fewer than" in note
    # Within a range that leaves it out, another is found, or the one nearest to equal.
    some = built(BASIN, second_wall="yes", cap_overhang_least=1 * INCH, cap_overhang_greatest=0.1)
    assert 1.0 <= overhangs(some)["front"].outer / INCH <= 4.0
    assert some.cap_cuts.cut_pieces <= 3


def test_a_range_that_cannot_be_is_refused() -> None:
    assert "at most 4 in" in refused(BASIN, cap_overhang_least=5 * INCH).allowed
    assert "at most the greatest" in refused(
        BASIN, cap_overhang_least=2 * INCH, cap_overhang_greatest=1 * INCH
    ).allowed  # fmt: skip
    error = refused(BASIN, cap_overhang=0.0, cap_overhang_least=0.0)
    assert error.argument == "Cap overhang"
    assert "leave it blank" in error.allowed


def test_joints_keep_apart_free_or_at_their_price() -> None:
    """In line with the wall, the row of whole caps has a joint at 48 in, where blocks have one."""
    fall = built(BEHIND, cap_overhang=0.0, access_width=0.0)
    free = built(BEHIND, cap_overhang=0.0, access_width=0.0, cap_joints=FREE)
    assert free.cap_cuts.cut_pieces == fall.cap_cuts.cut_pieces == 0
    assert 0 < cap_joints(free).over <= cap_joints(fall).over
    (price,) = [line for line in free.advice if line.startswith("To keep all cap joints")]
    apart = built(BEHIND, cap_overhang=0.0, access_width=0.0, cap_joints=APART)
    assert cap_joints(apart).over == 0
    assert f"costs {apart.cap_cuts.cut_pieces} cut caps more." in price
    assert any("more than the fewest" in line for line in apart.advice)


def test_joints_that_cannot_keep_apart_are_refused() -> None:
    """24 × 24 in of ring by caps of 8 in that may not be cut: joints meet at 8 or 16 in."""
    square = replace(
        BASIN, inside_length=8 * INCH, inside_width=8 * INCH, block_length=16 * INCH,
        cap_length=8 * INCH, cap_depth=8 * INCH, shortest_piece=8 * INCH,
    )  # fmt: skip
    left = cap_joints(built(square, cap_joints=FREE)).over
    error = refused(square, cap_joints=APART)
    assert error.argument == "Cap joints over joints"
    assert f"leaves {left} over one" in error.allowed


def test_short_edges_of_mitred_caps() -> None:
    mitred = replace(BASIN, cap_corner="mitred", cap_overhang=0.0)
    assert item("Mitred caps under the shortest piece").measure(built(mitred)) > 0
    kept = built(mitred, cap_short_edge=CAP_SHORT_EDGES[1])
    assert item("Mitred caps under the shortest piece").measure(kept) == 0
    assert item("Shortest cap edge").measure(kept) >= 4 * INCH - 1e-9
    error = refused(mitred, cap_length=14 * INCH, cap_short_edge=CAP_SHORT_EDGES[1])
    assert "at least 15.5 in" in error.allowed
    assert "in the middle" in error.allowed


def test_one_cap_bridges_the_access_gap() -> None:
    """9 in at the middle of 64 in, 3 in at both sides: from 24.5 to 39.5 in without a joint."""
    layout = built(BEHIND, cap_gaps=ONE_CAP)
    ends = [cap.box.x / INCH for cap in row(layout)][1:]
    assert all(not 24.5 < end < 39.5 for end in ends)
    assert any("One cap bridges the access gap, with 3 in" in line for line in layout.advice)
    wide = refused(BEHIND, access_width=11 * INCH, cap_gaps=ONE_CAP)
    assert wide.argument == "Access gap"
    assert "at most 10 in" in wide.allowed
    assert built(BEHIND, access_width=11 * INCH, cap_gaps=ONE_CAP, cap_bearing=2 * INCH)


def test_the_row_may_stop_at_the_gap() -> None:
    """27.5 in at each side and 2 in of overhang at the ends: 16 + 13.5 in, none over the gap."""
    pieces = row(built(BEHIND, cap_gaps=OPEN))
    assert sorted(in_inches(pieces)) == [13.5, 13.5, 16.0, 16.0]
    assert all(
        piece.box.x + piece.box.dx <= 27.5 * INCH + 1e-9 or piece.box.x >= 36.5 * INCH - 1e-9
        for piece in pieces
    )


@pytest.mark.parametrize("joints", CAP_JOINTS[:2])
def test_the_row_stops_at_the_gap_where_the_search_ends_too(joints: str) -> None:
    """Without a step left for the caps, each part of the row is filled by itself."""
    plan = planned(Budget(), replace(BEHIND, cap_gaps=OPEN, cap_joints=joints))
    steps_left = Budget(0)
    assert plan.caps is not None
    laid = capped(steps_left, plan.job, plan.caps, plan.gaps, plan.behind, ())
    assert steps_left.ended
    assert laid is not None
    pieces = [(metres(p.x) / INCH, p.length) for p in laid.pieces if p.part == "second wall"]
    assert sorted(round(metres(long) / INCH, 6) for _, long in pieces) == [13.5, 13.5, 16.0, 16.0]
    for low, long in pieces:
        high = low + metres(long) / INCH
        assert high <= 27.5 + 1e-6 or low >= 36.5 - 1e-6


def test_joints_that_are_always_to_keep_apart_are_refused_where_the_search_ends() -> None:
    plan = planned(Budget(), replace(BASIN, cap_joints=APART))
    with pytest.raises(InputError, match="no layout found in the limit of search keeps every cap"):
        capped(Budget(0), plan.job, plan.caps, plan.gaps, plan.behind, ())


def test_a_cap_bridges_an_opening_in_the_top_course() -> None:
    layout = built(
        BASIN, opening_width=4 * INCH, opening_course=4, opening_offset=20 * INCH, cap_gaps=ONE_CAP
    )
    back = [cap for cap in layout.caps if cap.part == "back"]
    ends = [cap.box.x / INCH - 8.0 for cap in back]
    assert all(not 15.0 < end < 25.0 for end in ends)


def test_the_service_cap_is_loose_everywhere() -> None:
    plain, layout = built(BEHIND), built(BEHIND, service_cap=IN_BACK, service_cap_offset=4 * INCH)
    (cap,) = [piece for piece in layout.caps if piece.service]
    assert cap.loose
    assert cap.box.x <= 12 * INCH <= cap.box.x + cap.box.dx
    assert bed_length(plain) - bed_length(layout) == pytest.approx(cap.length)
    assert item("Service cap length").measure(layout) == pytest.approx(cap.length)
    assert label(cap) == f"{cap.number} S"
    assert any("for service" in symbol.text for symbol in symbols(layout.caps))
    words = " ".join(steps(layout, Outfit(adhesive="Tube"), str))
    assert f"Service cap: cap {cap.number} of the back wall lies loose" in words
    wanted = dict(inspections(layout, Outfit(adhesive="Tube"), str))
    assert f"cap {cap.number} loose, for service" in wanted["Caps"]
    assert any(f"Cap {cap.number} of the back wall" in line for line in layout.advice)
    over = built(BEHIND, service_cap=OVER_ACCESS)
    (cap,) = [piece for piece in over.caps if piece.service]
    assert cap.box.x <= 32 * INCH <= cap.box.x + cap.box.dx


def test_a_service_cap_that_is_not_there_is_refused() -> None:
    assert "there is no pipe opening" in refused(BASIN, service_cap=OVER_PIPE).allowed
    assert "there is no access gap" in refused(BASIN, service_cap=OVER_ACCESS).allowed
    open_row = refused(BEHIND, cap_gaps=OPEN, service_cap=OVER_ACCESS)
    assert "no cap lies there" in open_row.allowed
    assert "give caps" in refused(BASIN, cap_length=0.0, service_cap=IN_BACK).allowed
    far = refused(BASIN, service_cap=IN_BACK, service_cap_offset=2.0)
    assert far.argument == "Service cap position"
    tips = replace(BASIN, cap_depth=16 * INCH, cap_overhang=0.0)
    assert "would tip" in refused(tips, service_cap=IN_BACK).allowed


def test_the_setting_plan_notes_the_service_cap() -> None:
    labels = ["Inside length", "Inside width", "Block length", "Block height", "Block depth",
              "Cap length", "Cap depth", "Cap height", "Service cap"]  # fmt: skip
    values = [48, 24, 12, 4, 8, 16, 12, 2, IN_BACK]
    found = catalogue.call("SETTINGPLAN", [[one] for one in labels], [[one] for one in values])
    assert sum(row[-1] == "loose, for service" for row in found.value) == 1
