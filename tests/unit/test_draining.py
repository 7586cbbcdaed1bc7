from __future__ import annotations

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.water import draining as d
from basinbook.engine.water.pipe import PipeRun, total_head
from basinbook.engine.water.pump import PumpCurve

HOSE = PipeRun(0.0, 0.016, 7.5, k_sum=d.HOSE_ENDS)
CURVE = PumpCurve((0.0, 4e-4, 8e-4, 1.2e-3), (3.0, 2.7, 2.1, 0.9))


def test_the_siphon_uses_up_its_head() -> None:
    assert total_head(d.siphon_flow(0.8, HOSE), HOSE) == pytest.approx(0.8)
    assert d.siphon_flow(0.0, HOSE) == 0.0
    with pytest.raises(InputError, match="k_sum"):
        d.siphon_flow(0.8, PipeRun(0.0, 0.016, 7.5, k_sum=0.5))


def test_a_steady_flow_empties_at_its_rate() -> None:
    assert d.time_to_fall(2.0, 0.4, 0.1, lambda _: 1e-3) == pytest.approx(600.0)


def test_steps_are_fine_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    coarse = d.siphon_time(2.0, 0.4, 0.02, -0.1, HOSE)
    monkeypatch.setattr(d, "_STEPS", 960)
    assert coarse == pytest.approx(d.siphon_time(2.0, 0.4, 0.02, -0.1, HOSE), rel=2e-3)


def test_a_lower_end_and_a_wider_hose_are_quicker() -> None:
    times = [d.siphon_time(2.0, 0.4, 0.05, end, HOSE) for end in (0.0, -0.5, -1.0)]
    assert times == sorted(times, reverse=True)
    wide = PipeRun(0.0, 0.02, 7.5, k_sum=d.HOSE_ENDS)
    assert d.siphon_time(2.0, 0.4, 0.05, -0.5, wide) < times[1]


def test_what_cannot_run_out_is_refused() -> None:
    with pytest.raises(InputError, match="lower than the water"):
        d.siphon_time(2.0, 0.4, 0.0, 0.1, HOSE)
    with pytest.raises(InputError, match="lower than the water"):
        d.siphon_time(2.0, 0.4, 0.0, 0.0, HOSE)
    with pytest.raises(InputError, match="lowest"):
        d.pump_time(2.0, 0.4, 0.5, 0.6, CURVE, HOSE)
    with pytest.raises(InputError, match="more head"):
        d.pump_time(2.0, 0.4, 0.1, 4.0, CURVE, HOSE)


def test_the_pump_slows_as_the_level_falls() -> None:
    upper = d.pump_time(2.0, 0.4, 0.25, 0.6, CURVE, HOSE)
    lower = d.pump_time(2.0, 0.25, 0.1, 0.6, CURVE, HOSE)
    assert lower > upper
    assert d.pump_time(2.0, 0.4, 0.1, 0.6, CURVE, HOSE) == pytest.approx(upper + lower, rel=1e-3)
