from __future__ import annotations

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.findings.model import Facts
from basinbook.engine.findings.water import WATER
from basinbook.engine.water import day_levels as d
from basinbook.engine.water.overflow import overflow_flow, overflow_head, rain_flow

BASIN = d.Basin(1.2, 1.0, 0.4, 0.3, 0.1)
NO_STORM = d.Storm(None, 3600.0, 2.4)
STORM = d.Storm(0.05, 3600.0, 2.4)
MOVED = d.Moved(0.024, 0.012, 0.006)
LOSS = 0.006 / d.DAY


def _levels(**more: object) -> dict[str, float | None]:
    given = {"moved": MOVED, "storm": STORM, "loss": LOSS, "days": 7.0, **more}
    return {level.name: level.depth for level in d.day_levels(BASIN, **given)}  # type: ignore[arg-type]


def test_every_level_keeps_the_volumes() -> None:
    levels = _levels()
    assert list(levels) == list(d.NAMES)
    rise = {name: (depth or 0.0) - 0.3 for name, depth in levels.items()}
    assert rise[d.FIRST] == pytest.approx(-0.024 / 1.2)
    assert rise[d.LATER] == pytest.approx(-0.012 / 1.2)
    assert (rise[d.FILLED], rise[d.RUNNING]) == (0.0, 0.0)
    assert rise[d.STOPPED] == pytest.approx(0.006 / 1.2)
    assert rise[d.LEAKED] == pytest.approx(0.012 / 1.2)
    # 50 mm on twice the water's area.
    assert rise[d.RAINED] == pytest.approx(0.012 / 1.2 + 0.1)
    assert rise[d.BEFORE] == pytest.approx(-0.012 / 1.2 - 7 * 0.006)


def test_what_is_not_known_stays_so() -> None:
    levels = _levels(moved=d.Moved(None, None, 0.006), storm=NO_STORM)
    assert levels[d.STOPPED] == pytest.approx(0.305)
    unknown = (d.FIRST, d.LATER, d.LEAKED, d.RAINED, d.BEFORE)
    assert [levels[name] for name in unknown] == [None] * 5
    assert _levels(loss=None)[d.BEFORE] is None


def test_still_water_has_no_start_and_no_stop() -> None:
    levels = _levels(moved=None)
    assert list(levels.values()) == [0.3, pytest.approx(0.4), pytest.approx(0.3 - 0.042)]


def test_an_overflow_that_carries_the_storm_holds_the_level() -> None:
    pipe = d.Overflow(0.34, 0.05)
    flow = rain_flow(0.05, 3600.0, 2.4)
    held = _levels(overflow=pipe)[d.RAINED]
    assert held == pytest.approx(0.34 + overflow_head(0.05, flow))
    assert (d.storm_carried(pipe, STORM, BASIN.rim) or 0.0) > 1.0
    # One that does not carry it is not counted on.
    small = d.Overflow(0.39, 0.005)
    assert (d.storm_carried(small, STORM, BASIN.rim) or 0.0) < 1.0
    assert _levels(overflow=small)[d.RAINED] == pytest.approx(0.41)
    assert d.storm_carried(pipe, NO_STORM, BASIN.rim) is None


def test_overflow_takes_nothing_below_its_mouth_and_more_with_each_head() -> None:
    assert overflow_flow(0.05, -0.01) == overflow_flow(0.05, 0.0) == 0.0
    flows = [overflow_flow(0.05, head / 1000) for head in range(2, 200, 2)]
    assert flows == sorted(flows)
    assert overflow_head(0.05, flows[20]) == pytest.approx(0.042)
    with pytest.raises(InputError, match="wider"):
        overflow_head(0.01, 0.1)


def test_water_over_the_rim_is_refused() -> None:
    with pytest.raises(InputError, match="water_depth"):
        d.Basin(1.2, 1.0, 0.4, 0.41)


@pytest.mark.parametrize(
    ("finding", "has", "lacks"),
    [
        ("level under the intake", {"over_intake": -0.01},
         {"over_intake": 0.0}),
        ("level under the intake", {"first_over_intake": -0.01}, {"first_over_intake": 0.0}),
        ("storm over the rim", {"storm_left": -0.01}, {"storm_left": 0.0}),
        ("overflow too small", {"overflow_flow": 1.0, "storm_flow": 1.1},
         {"overflow_flow": 1.1, "storm_flow": 1.1}),
        ("overflow too low", {"overflow_left": -0.01}, {"overflow_left": 0.0}),
    ],
)  # fmt: skip
def test_findings_on_levels(finding: str, has: dict[str, object], lacks: dict[str, object]) -> None:
    (judge,) = (each.judge for each in WATER.findings if each.name == finding)
    assert judge(Facts({"effect": "bowl rim", **has})) is not None
    assert judge(Facts({"effect": "bowl rim", **lacks})) is None
    assert judge(Facts({"effect": "bowl rim"})) is None
