from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.water import pipe

FLOW, BORE = 6e-4, 0.0266


def test_laminar_flow_is_poiseuille() -> None:
    """h = 32 ν L v / (g D²)."""
    viscosity, flow = 1.0e-6, 1e-5
    speed = pipe.velocity(flow, 0.02)
    expected = 32.0 * viscosity * 3.0 * speed / (9.80665 * 0.02**2)
    assert pipe.pipe_head(flow, 0.02, 3.0, 0.0, viscosity) == pytest.approx(expected)


def test_total_head_is_the_sum_of_its_parts() -> None:
    run = pipe.PipeRun(1.2, BORE, 4.0, 1e-5, 6.0)
    parts = 1.2 + pipe.pipe_head(FLOW, BORE, 4.0, 1e-5) + pipe.fitting_head(6.0, FLOW, BORE)
    assert pipe.total_head(FLOW, run) == pytest.approx(parts)
    assert pipe.total_head(0.0, run) == 1.2


def test_many_heads_agree_with_one_by_one() -> None:
    flows = np.array([0.0, 1e-6, 2e-5, 1e-4, 6e-4, 2e-3])
    bores = np.array([0.0158, 0.0266, 0.0525])
    found = pipe.total_heads(flows[:, None], 1.0, bores, 3.0, 1e-5, 4.0)
    expected = [
        [pipe.total_head(float(q), pipe.PipeRun(1.0, float(d), 3.0, 1e-5, 4.0)) for d in bores]
        for q in flows
    ]
    np.testing.assert_allclose(found, expected, rtol=1e-9)


def test_head_rises_with_flow_and_roughness_and_cold() -> None:
    heads = [pipe.pipe_head(1e-5 * n, BORE, 3.0) for n in range(1, 200)]
    assert all(after > before for before, after in pairwise(heads))
    ribs = pipe.RIBBED_SHARE * BORE
    assert pipe.pipe_head(FLOW, BORE, 3.0, ribs) > 2.0 * pipe.pipe_head(FLOW, BORE, 3.0)
    cold, warm = (pipe.water_viscosity(273.15 + t) for t in (2.0, 30.0))
    assert pipe.pipe_head(FLOW, BORE, 3.0, viscosity=cold) > pipe.pipe_head(
        FLOW, BORE, 3.0, viscosity=warm
    )


@pytest.mark.parametrize("family", pipe.FAMILIES)
def test_smallest_pipe_is_the_smallest(family: str) -> None:
    flow = 8e-4
    found = pipe.smallest_pipe(flow, family)
    assert pipe.velocity(flow, found.inside_diameter) <= pipe.USUAL_VELOCITY
    smaller = [
        row
        for row in pipe.PIPES.values()
        if row.name.split()[0] == family and row.inside_diameter < found.inside_diameter
    ]
    assert smaller
    for row in smaller:
        assert pipe.velocity(flow, row.inside_diameter) > pipe.USUAL_VELOCITY


def test_velocity_notes() -> None:
    feet = 0.3048
    assert pipe.velocity_note(5.0 * feet) == "usual"
    assert pipe.velocity_note(5.1 * feet).startswith("fast")
    assert pipe.velocity_note(8.1 * feet).startswith("too fast")


@pytest.mark.parametrize("row", pipe.PIPES.values(), ids=lambda row: row.name)
def test_every_pipe_has_a_bore_and_a_source(row: pipe.Pipe) -> None:
    assert 0.005 < row.inside_diameter < 0.1
    assert row.source
    run = pipe.PipeRun(1.0, row.inside_diameter, 1.0, row.roughness)
    assert pipe.total_head(1e-4, run) > 1.0


@pytest.mark.parametrize(
    ("attempt", "argument"),
    [
        (lambda: pipe.velocity(1e-4, 0.0), "inside_diameter"),
        (lambda: pipe.pipe_head_hazen_williams(1e-4, 0.0, 1.0), "inside_diameter"),
        (lambda: pipe.PipeRun(1.0, 0.0, 1.0), "inside_diameter"),
        (lambda: pipe.PipeRun(1.0, 0.02, 1.0, 0.002), "roughness"),
        (lambda: pipe.smallest_pipe(1.0, "sch40"), "flow"),
        (lambda: pipe.smallest_pipe(1e-4, "lead"), "family"),
        (lambda: pipe.water_viscosity(400.0), "water_temperature"),
    ],
)
def test_impossible_cases_give_an_error_not_a_number(attempt: object, argument: str) -> None:
    with pytest.raises(InputError) as error:
        attempt()  # type: ignore[operator]
    assert error.value.argument == argument


def test_sheet_shows_errors_in_the_users_units() -> None:
    with pytest.raises(InputError, match=r"roughness: '100 mil'"):
        call("TOTALHEAD", 500, 3, 1, 10, 5, "100 mil")
    with pytest.raises(InputError, match=r"100,000 gal/h.*split the flow"):
        call("PIPEFORFLOW", 100000, "sch40")


def test_roughness_may_carry_a_unit() -> None:
    plain = call("PIPEHEADLOSS", 600, 1, 10, "0.0015 mm").value
    assert call("PIPEHEADLOSS", 600, 1, 10).value == pytest.approx(plain)
    assert call("PIPEROUGHNESS", "tube 1").value == pytest.approx(1.5e-6 / 25.4e-6)
