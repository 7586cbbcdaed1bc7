from __future__ import annotations

import math
from itertools import pairwise

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import weir

LIPS = [
    weir.Lip(0.6),
    weir.Lip(0.6, contractions=1),
    weir.Lip(0.1, contractions=2),
    weir.Lip(0.6, "thick", 0.3),
    weir.Lip(0.6, "thick", 0.01),
    weir.Lip(0.6, "thick", 2.0),
    weir.Lip(0.6, "rounded", 0.3),
    weir.Lip(0.6, "rounded", 0.02),
    weir.Lip(0.6, crest_height=0.1, approach_width=0.9),
]


@pytest.mark.parametrize("lip", LIPS, ids=str)
@pytest.mark.parametrize("head", [0.0065, 0.008, 0.02, 0.05, 0.15])
def test_head_is_the_inverse_of_flow(lip: weir.Lip, head: float) -> None:
    there = weir.lip_flow(head, lip)
    back = weir.lip_head(there.flow, lip)
    assert back.head == pytest.approx(head, rel=1e-9)
    assert back.status == there.status


@pytest.mark.parametrize("head", [0.003, 0.03, 0.1])
def test_inverse_of_notch_and_rim(head: float) -> None:
    assert weir.v_notch_head(weir.v_notch_flow(head, 60.0).flow, 60.0).head == pytest.approx(head)
    assert weir.rim_head(weir.rim_flow(head, 0.6).flow, 0.6).head == pytest.approx(head)


@pytest.mark.parametrize("lip", LIPS, ids=str)
def test_flow_rises_with_the_head(lip: weir.Lip) -> None:
    flows = [weir.lip_flow(0.001 * n, lip).flow for n in range(7, 250)]
    assert all(after > before for before, after in pairwise(flows))


def test_every_contracted_end_costs_flow() -> None:
    flows = [weir.lip_flow(0.05, weir.Lip(0.6, contractions=n)).flow for n in (0, 1, 2)]
    assert flows[0] - flows[1] == pytest.approx(flows[1] - flows[2])
    assert flows[0] > flows[1]


@pytest.mark.parametrize(
    ("head", "lip", "status"),
    [
        (0.029, weir.Lip(0.6), weir.THUMB),
        (0.031, weir.Lip(0.6), weir.BELOW),
        (0.0609, weir.Lip(0.6), weir.BELOW),
        (0.0610, weir.Lip(0.6), weir.IF_CONTRACTED),
        (0.2001, weir.Lip(0.6), weir.OUTSIDE),
        (0.02, weir.Lip(0.6, "thick", 0.3), weir.THUMB),
        (0.05, weir.Lip(0.6, "thick", 0.3), weir.BELOW),
        (0.08, weir.Lip(0.6, "thick", 0.3), weir.IF_CONTRACTED),
        (0.12, weir.Lip(0.6, "thick", 0.3), weir.OUTSIDE),
        (0.20, weir.Lip(0.6, "thick", 0.3), weir.THUMB),
        (0.08, weir.Lip(0.6, "thick", 0.3, 2), weir.THUMB),
        (0.08, weir.Lip(0.6, "rounded", 0.3), weir.IF_CONTRACTED),
        (0.08, weir.Lip(0.6, "rounded", 0.3, crest_height=0.3), weir.WITHIN),
        (0.08, weir.Lip(0.6, "rounded", 2.0), weir.OUTSIDE),
    ],
)
def test_status(head: float, lip: weir.Lip, status: str) -> None:
    found = weir.lip_flow(head, lip)
    assert found.status == status
    assert found.source


def test_thick_lip_joins_the_sharp_one_without_a_step() -> None:
    lip = weir.Lip(0.6, "thick", 0.02)
    for ratio in (0.5, 2.0):
        below, above = (weir.lip_flow(ratio * 0.02 * f, lip).flow for f in (1 - 1e-9, 1 + 1e-9))
        assert below == pytest.approx(above, rel=1e-6)
    assert weir.lip_flow(0.05, lip).flow == weir.lip_flow(0.05, weir.Lip(0.6)).flow


def test_a_rim_is_a_lip_as_long_as_the_rim_and_a_rule_of_thumb() -> None:
    rim = weir.rim_flow(0.1, 0.5)
    assert rim.flow == weir.lip_flow(0.1, weir.Lip(math.pi * 0.5)).flow
    assert rim.status == weir.THUMB


@pytest.mark.parametrize(
    ("head", "width", "box", "crest", "status"),
    [
        (0.029, 0.5, 1.0, 0.3, weir.THUMB),
        (0.031, 0.5, 1.0, 0.3, weir.WITHIN),
        (0.05, 0.14, 0.3, 0.3, weir.OUTSIDE),
        (0.05, 0.5, 1.0, 0.09, weir.OUTSIDE),
        # H/p up to 2.5, and 4 in (0.1 m) beside a contracted lip: ISO 1438.
        (0.30, 0.5, 1.0, 0.12, weir.WITHIN),
        (0.301, 0.5, 1.0, 0.12, weir.OUTSIDE),
        (1.5 * 0.0254, 20 * 0.0254, 24 * 0.0254, 6 * 0.0254, weir.OUTSIDE),
        (1.5 * 0.0254, 16 * 0.0254, 24 * 0.0254, 6 * 0.0254, weir.WITHIN),
        (1.5 * 0.0254, 24 * 0.0254, 24 * 0.0254, 6 * 0.0254, weir.WITHIN),
        (0.05, 0.2, 1.1, 0.3, weir.OUTSIDE),
    ],
)
def test_status_in_a_box(head: float, width: float, box: float, crest: float, status: str) -> None:
    assert weir.boxed_lip_flow(head, width, box, crest).status == status


@pytest.mark.parametrize(
    ("head", "ends", "crest", "approach", "status"),
    [
        # Flush ends: the pool is as wide as the lip, and H/p may be up to 1/3.
        (0.07, 0, None, None, weir.IF_CONTRACTED),
        (0.07, 0, 0.22, None, weir.WITHIN),
        (0.07, 0, 0.20, None, weir.OUTSIDE),
        (0.07, 0, None, 0.6, weir.IF_CONTRACTED),
        (0.07, 0, None, 0.7, weir.OUTSIDE),
        # Contracted ends: H/p up to 1/2, and 2 H of room beside each.
        (0.07, 2, 0.15, None, weir.IF_CONTRACTED),
        (0.07, 2, 0.13, None, weir.OUTSIDE),
        (0.07, 2, None, 0.88, weir.IF_CONTRACTED),
        (0.07, 2, None, 0.87, weir.OUTSIDE),
        (0.07, 1, 0.15, 0.74, weir.WITHIN),
        (0.07, 1, 0.15, 0.73, weir.OUTSIDE),
        # Thin sheets and low heads stay what they are.
        (0.02, 0, 0.22, 0.6, weir.THUMB),
        (0.05, 2, 0.01, None, weir.BELOW),
        # Both known: by Kindsvater and Carter, with the limits of ISO 1438.
        (0.07, 0, 0.05, 0.6, weir.OUTSIDE),
        (0.07, 0, 0.10, 0.6, weir.WITHIN),
        (0.04, 2, 0.10, 0.8, weir.WITHIN),
        (0.04, 2, 0.10, 0.79, weir.OUTSIDE),
    ],
)
def test_status_by_the_pool(
    head: float, ends: int, crest: float | None, approach: float | None, status: str
) -> None:
    lip = weir.Lip(0.6, contractions=ends, crest_height=crest, approach_width=approach)
    assert weir.lip_flow(head, lip).status == status


@pytest.mark.parametrize(
    ("head", "angle", "crest", "approach", "status"),
    [
        (0.07, 90.0, None, None, weir.IF_CONTRACTED),
        (0.07, 90.0, 0.46, None, weir.IF_CONTRACTED),
        (0.07, 90.0, 0.46, 0.92, weir.WITHIN),
        (0.07, 90.0, 0.45, None, weir.OUTSIDE),
        (0.07, 90.0, None, 0.91, weir.OUTSIDE),
        (0.20, 90.0, 0.49, 1.01, weir.OUTSIDE),
        (0.20, 90.0, 0.51, 0.99, weir.OUTSIDE),
        (0.20, 90.0, 0.51, 1.01, weir.WITHIN),
        (0.39, 90.0, 3.0, 3.0, weir.OUTSIDE),
        (0.07, 24.0, 3.0, 3.0, weir.OUTSIDE),
        (0.07, 101.0, 3.0, 3.0, weir.OUTSIDE),
        (0.05, 90.0, None, None, weir.BELOW),
        (0.029, 90.0, 3.0, 3.0, weir.THUMB),
    ],
)
def test_status_of_a_v_notch(
    head: float, angle: float, crest: float | None, approach: float | None, status: str
) -> None:
    assert weir.v_notch_flow(head, angle, crest, approach).status == status


def test_a_sharp_lip_in_a_known_box_is_that_of_the_box() -> None:
    for width, ends in ((0.6, 0), (0.3, 2)):
        lip = weir.Lip(width, contractions=ends, crest_height=0.15, approach_width=0.6)
        assert weir.lip_flow(0.05, lip) == weir.boxed_lip_flow(0.05, width, 0.6, 0.15)
    one = weir.Lip(0.3, contractions=1, crest_height=0.15, approach_width=0.6)
    assert one.box is None
    assert weir.Lip(0.3, "thick", 0.1, 0, 0.15, 0.6).box is None


INCH = 0.0254


def test_rounding_an_edge_does_not_reduce_the_flow() -> None:
    """16 in thick, 1/4 in of head: the rounded slab gave 15 % less than the square-edged one."""
    square, rounded = (weir.Lip(24 * INCH, edge, 16 * INCH) for edge in ("thick", "rounded"))
    assert weir.lip_flow(INCH / 4, rounded).flow >= weir.lip_flow(INCH / 4, square).flow
    for thickness in (0.001, 0.01, 0.05, 0.2, 0.4, 1.0, 2.0):
        square, rounded = (weir.Lip(0.6, edge, thickness) for edge in ("thick", "rounded"))
        for step in range(200):
            head = max(0.0031 * thickness, 0.0005) * 1.05**step
            if head > weir.HIGHEST_HEAD:
                break
            assert weir.lip_flow(head, rounded).flow >= weir.lip_flow(head, square).flow


def test_usual_flow_of_a_bowl_is_that_of_its_rim() -> None:
    """30 in across: a rim of 94.2 in at 100 gal/h for each."""
    assert call("USUALBOWLFLOW", 30).value == pytest.approx(9424.8, abs=0.1)
    assert call("USUALSPILLFLOW", 30).value == pytest.approx(3000.0)


@pytest.mark.parametrize(
    ("attempt", "argument"),
    [
        (lambda: weir.lip_flow(0.0, weir.Lip(0.6)), "head"),
        (lambda: weir.lip_flow(-0.1, weir.Lip(0.6)), "head"),
        (lambda: weir.lip_flow(math.nan, weir.Lip(0.6)), "head"),
        (lambda: weir.lip_flow(0.5, weir.Lip(0.1, contractions=2)), "head"),
        (lambda: weir.lip_head(0.0, weir.Lip(0.6)), "flow"),
        (lambda: weir.lip_head(1.0, weir.Lip(0.05, contractions=2)), "flow"),
        (lambda: weir.Lip(0.0), "lip_width"),
        (lambda: weir.Lip(0.6, "wavy"), "edge"),
        (lambda: weir.Lip(0.6, "thick"), "lip_thickness"),
        (lambda: weir.Lip(0.6, contractions=3), "contractions"),
        (lambda: weir.lip_flow(0.001, weir.Lip(0.6, "rounded", 0.5)), "lip_thickness"),
        (lambda: weir.lip_flow(0.001, weir.Lip(0.6, "thick", 0.5)), "lip_thickness"),
        (lambda: weir.Lip(0.6, crest_height=0.0), "crest_height"),
        (lambda: weir.Lip(0.6, approach_width=0.5), "approach_width"),
        (lambda: weir.lip_flow(0.6, weir.Lip(0.6, crest_height=0.1, approach_width=1)), "head"),
        (lambda: weir.boxed_lip_flow(0.05, 0.6, 0.5, 0.2), "lip_width"),
        (lambda: weir.boxed_lip_flow(0.05, 0.6, 0.7, 0.0), "crest_height"),
        (lambda: weir.boxed_lip_flow(0.0, 0.6, 0.7, 0.1), "head"),
        (lambda: weir.v_notch_flow(0.05, 150.0), "angle"),
        (lambda: weir.v_notch_flow(0.0, 90.0), "head"),
        (lambda: weir.rim_flow(0.01, 0.0), "bowl_diameter"),
        (lambda: weir.rim_head(0.01, 0.0), "bowl_diameter"),
        (lambda: weir.recommended_flow(0.6, "wild"), "look"),
    ],
)
def test_impossible_cases_give_an_error_not_a_number(attempt: object, argument: str) -> None:
    with pytest.raises(InputError) as error:
        attempt()  # type: ignore[operator]
    assert error.value.argument == argument


def test_sheet_shows_errors_in_the_users_units() -> None:
    with pytest.raises(InputError, match=r"20 in.*contraction is longer than the lip"):
        call("SPILLFLOW", 20, 4, "sharp", None, 2)
    with pytest.raises(InputError, match=r"500 mm.*contraction is longer than the lip"):
        call("SPILLFLOW", 500, 100, "sharp", None, 2, None, None, "metric")
    with pytest.raises(InputError, match="head: 0 can't be used"):
        call("SPILLFLOW", 0, 24)
    with pytest.raises(InputError, match="a thick lip needs its thickness"):
        call("SPILLFLOW", 1, 24, "thick")


def test_number_and_status_stand_side_by_side() -> None:
    """SPILLHEAD, SPILLSTATUS and SPILLSOURCE of the same lip belong together."""
    head = call("SPILLHEAD", 1000, 24, "thick", 12).value
    assert isinstance(head, float)
    assert call("SPILLFLOW", head, 24, "thick", 12).value == pytest.approx(1000.0)
    assert call("SPILLSTATUS", head, 24, "thick", 12).value == weir.THUMB
    assert "Bos" in str(call("SPILLSOURCE", head, 24, "thick", 12).value)
