from __future__ import annotations

from itertools import pairwise

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import manifold, outlets
from basinbook.engine.water.manifold import OUTLETS, Branch, branch_share, losses, split, valves
from basinbook.engine.water.pipe import PipeRun, total_head
from basinbook.engine.water.pump import PumpCurve, operating_point
from basinbook.engine.water.weir_flow import BELOW, IF_CONTRACTED, OUTSIDE, THUMB, WITHIN

INCH, FOOT = 0.0254, 0.3048
CURVE = PumpCurve((0.0, 8e-4, 1.6e-3, 2.4e-3), (4.0, 3.5, 2.4, 0.2))
MAIN = PipeRun(0.0, 0.05, 2.0, k_sum=2.0)
PIPE = PipeRun(0.0, 0.03, 1.5, k_sum=3.0)
SIZES = {"orifice": 0.02, "bubbler": 0.025, "bowl": 0.6}


def _branch(outlet: str, height: float = 0.6, run: PipeRun = PIPE) -> Branch:
    return Branch(outlet, SIZES.get(outlet, 0.3), height, run, 0.2)


@pytest.mark.parametrize("flow", [2e-4, 1e-3])
def test_heads_and_flows_lead_back_to_each_other(flow: float) -> None:
    assert outlets.orifice_flow(outlets.orifice_head(flow, 0.02).head, 0.02).flow == pytest.approx(
        flow
    )
    assert outlets.riser_flow(outlets.riser_height(flow, 0.03).head, 0.03).flow == pytest.approx(
        flow
    )
    assert outlets.spout_flow(outlets.spout_depth(flow, 0.1).head, 0.1).flow == pytest.approx(flow)
    head = outlets.scupper_head(flow, 0.2, 0.1).head
    assert outlets.scupper_flow(head, 0.2, 0.1, 0.1).flow == pytest.approx(flow)


def test_flow_of_a_riser_rises_without_a_step() -> None:
    heights = [0.05 * 0.05 * step for step in range(1, 60)]
    flows = [outlets.riser_flow(height, 0.05).flow for height in heights]
    assert all(a < b < 2.7 * a for a, b in pairwise(flows))
    for edge in (0.37 * 0.05, 1.4 * 0.05):
        near, beyond = (outlets.riser_flow(edge * (1.0 + e), 0.05).flow for e in (-1e-6, 1e-6))
        assert beyond == pytest.approx(near, rel=1e-5)


def test_status_of_each_follows_the_range_of_its_tests() -> None:
    def hole(head: float, size: float, room: float | None = None) -> str:
        return outlets.orifice_flow(head * FOOT, size * INCH, room).status

    assert hole(1, 1) == IF_CONTRACTED
    assert hole(1, 1, 2 * INCH) == WITHIN
    assert hole(1, 1, 1.9 * INCH) == OUTSIDE
    assert hole(0.5, 1) == BELOW
    assert hole(21, 1) == hole(1, 0.4) == hole(1, 3.1) == hole(0.2, 3) == OUTSIDE
    assert outlets.riser_flow(0.1, 2 * INCH).status == WITHIN
    assert outlets.riser_flow(0.1, INCH).status == OUTSIDE
    assert outlets.spout_flow(0.56 * 3 * INCH, 3 * INCH).status == WITHIN
    assert outlets.spout_flow(0.6 * 3 * INCH, 3 * INCH).status == OUTSIDE
    assert outlets.spout_flow(0.5 * INCH, 2 * INCH).status == OUTSIDE
    assert outlets.scupper_flow(0.05, 0.2, 0.1).status == THUMB


@pytest.mark.parametrize(
    ("name", "arguments", "argument"),
    [
        ("ORIFICEFLOW", (0.4, 1), "head"),
        ("ORIFICEHEAD", (1, 6), "flow"),
        ("ORIFICEHEAD", (200000, 0.1), "flow"),
        ("SPOUTFLOW", (3.1, 3), "end_depth"),
        ("SCUPPERFLOW", (2.1, 6, 4, 2), "head"),
        ("SCUPPERHEAD", (5000, 6, 4, 2), "flow"),
        ("BUBBLERHEIGHT", (200000, 0.5), "flow"),
    ],
)
def test_what_is_out_of_use_is_refused_by_name(
    name: str, arguments: tuple[float, ...], argument: str
) -> None:
    with pytest.raises(InputError) as refused:
        call(name, *arguments)
    assert refused.value.argument == argument


@pytest.mark.parametrize("outlet", OUTLETS)
def test_one_outlet_alone_runs_where_both_curves_meet(outlet: str) -> None:
    branch = _branch(outlet)
    found = split(CURVE, MAIN, [branch])
    (share,) = found.shares
    assert share.flow == pytest.approx(found.flow, rel=1e-6)
    way = total_head(share.flow, MAIN) + losses(branch, share.flow)
    assert CURVE.head_at(found.flow) == pytest.approx(0.6 + share.head + way, abs=1e-6)


def test_a_spout_alone_is_the_pump_on_one_pipe_with_its_velocity_head() -> None:
    run = PipeRun(0.6, 0.03, 1.5, k_sum=4.0)
    none = PipeRun(0.0, 1.0, 0.0)
    point = operating_point(CURVE, run)
    found = split(CURVE, none, [_branch("spout")])
    assert found.flow == pytest.approx(point.flow, rel=1e-6)


def test_the_flows_of_all_are_those_of_the_pump_and_the_highest_gets_least() -> None:
    heights = (0.3, 0.6, 0.9, 5.0)
    found = split(CURVE, MAIN, [_branch("spout", height) for height in heights])
    flows = [share.flow for share in found.shares]
    assert sum(flows) == pytest.approx(found.flow, rel=1e-6)
    assert flows[0] > flows[1] > flows[2] > flows[3] == 0.0
    assert "too high" in found.shares[3].status


def test_valves_bring_each_outlet_to_its_wanted_flow() -> None:
    branches = [_branch("spout", 0.3), _branch("lip"), _branch("bubbler", 0.1)]
    wanted = (3e-4, 4e-4, 2e-4)
    found = valves(CURVE, MAIN, branches, wanted)
    assert all(valve.k > 0.0 for valve in found)
    set_ = [
        Branch(b.outlet, b.size, b.height,
               PipeRun(0.0, 0.03, 1.5, k_sum=3.0 + valve.k), b.thickness)
        for b, valve in zip(branches, found, strict=True)
    ]  # fmt: skip
    flows = [share.flow for share in split(CURVE, MAIN, set_).shares]
    assert flows == pytest.approx(wanted, rel=1e-4)


def test_a_branch_out_of_reach_says_how_much_head_it_lacks() -> None:
    low, high = valves(CURVE, MAIN, [_branch("spout", 0.1), _branch("spout", 3.8)], (3e-4, 3e-4))
    assert low.head > 0.0 > high.head
    assert high.k < 0.0


def test_what_cannot_be_divided_is_refused() -> None:
    with pytest.raises(InputError, match="pump with more head"):
        split(CURVE, MAIN, [_branch("spout", 9.0)])
    with pytest.raises(InputError, match="1 to 4"):
        split(CURVE, MAIN, [])
    wide = PipeRun(0.0, 0.2, 0.1)
    with pytest.raises(InputError, match="table"):
        split(CURVE, wide, [_branch("spout", 0.0, wide)])
    with pytest.raises(InputError, match="allowed are"):
        Branch("fountain", 0.1, 0.1, PIPE)
    with pytest.raises(InputError, match="table"):
        valves(CURVE, MAIN, [_branch("spout")], (5e-3,))
    assert branch_share(_branch("lip"), 0.5).flow == 0.0
    assert manifold.MOST_OUTLETS == 4
