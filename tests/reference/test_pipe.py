"""Pipe friction, pipe sizes, water and fittings against tables, charts and libraries."""

from __future__ import annotations

import fluids
import numpy as np
import pytest

from basinbook.engine.water import fittings, pipe

FOOT = 0.3048
INCH = 0.0254
GPM = 3.785411784e-3 / 60.0


# Illinois Administrative Code, title 77, part 906, appendix A, exhibit I: friction loss in
# schedule 40 plastic pipe, C = 150, ft per 100 ft. Left out are rows under 0.5 ft, which have two
# figures, and rows that depart by 0.7 % and more from the power 1.852 through the other rows of the
# same pipe: 1-1/4 in at 10, 1-1/2 in at 10 and 25, 2 in at 20 gal/min.
FRICTION = [
    ("1", 4.0, 1.01),
    ("1", 5.0, 1.52),
    ("1", 6.0, 2.14),
    ("1", 8.0, 3.63),
    ("1", 10.0, 5.50),
    ("1-1/4", 15.0, 3.06),
    ("1-1/4", 20.0, 5.23),
    ("1-1/2", 20.0, 2.46),
    ("1-1/2", 30.0, 5.22),
    ("2", 30.0, 1.54),
    ("2", 40.0, 2.62),
    ("2", 45.0, 3.27),
    ("2", 50.0, 3.98),
    ("3", 50.0, 0.58),
    ("3", 80.0, 1.38),
    ("3", 100.0, 2.09),
]


@pytest.mark.parametrize(("size", "gpm", "printed"), FRICTION)
def test_friction_table_of_plastic_pipe(size: str, gpm: float, printed: float) -> None:
    """Hazen-Williams to half a unit of the printed figure, and 0.3 % for rounded bores."""
    bore = pipe.PIPES[f"sch40 {size}"].inside_diameter
    found = pipe.pipe_head_hazen_williams(gpm * GPM, bore, 100.0)
    assert found == pytest.approx(printed, abs=0.005 + 0.003 * printed)


@pytest.mark.parametrize(
    ("size", "gpm", "printed"),
    [("1", 10.0, 5.50), ("1-1/4", 20.0, 5.23), ("1-1/2", 30.0, 5.22), ("2", 50.0, 3.98),
     ("3", 100.0, 2.09)],
)  # fmt: skip
def test_friction_table_by_darcy_weisbach(size: str, gpm: float, printed: float) -> None:
    """The row of each pipe nearest 1.3 m/s, from 1.1 to 1.5 m/s: Hazen and Williams fitted their
    formula to flows near 1 m/s. C = 150 is a round figure, ±5, and that is ±6 % of the head.
    """
    bore = pipe.PIPES[f"sch40 {size}"].inside_diameter
    assert pipe.pipe_head(gpm * GPM, bore, 100.0) == pytest.approx(printed, rel=0.06)


@pytest.mark.parametrize("gpm", [1.0, 5.0, 20.0, 60.0])
def test_hazen_williams_of_the_trade(gpm: float) -> None:
    """f = 0.2083 (100/C)^1.852 Q^1.852 / d^4.8655, ft per 100 ft: Plastic Pipe and Fittings
    Association. Its exponent of the diameter is rounded from 2.63/0.54 = 4.8704: 1.5 %.
    """
    for bore in (0.622, 1.049, 2.067):
        expected = 0.2083 * (100.0 / 140.0) ** 1.852 * gpm**1.852 / bore**4.8655
        found = pipe.pipe_head_hazen_williams(gpm * GPM, bore * INCH, 100.0, 140.0)
        assert found == pytest.approx(expected, rel=0.015)


def test_printed_chart() -> None:
    """Moody chart: Re = 40,000, ε/D = 0.01 gives f = 0.04.

    DOE Fundamentals Handbook, DOE-HDBK-1012/3-92, Fluid Flow, example on the chart; read to the
    width of a line: 3 %.
    """
    viscosity, bore = 1.0e-6, 0.05
    flow = 40_000.0 * viscosity / bore * np.pi / 4.0 * bore**2
    assert pipe.friction_factor(flow, bore, 0.01 * bore, viscosity) == pytest.approx(0.04, rel=0.03)


@pytest.mark.parametrize(
    ("reynolds", "relative", "printed"),
    # Table after Moody 1944, "Moody Friction Factor Reference Table" of
    # inflectionpointengineering.com: printed to five figures.
    [
        (4_000.0, 0.001, 0.04091),
        (10_000.0, 1e-5, 0.030898),
        (20_000.0, 0.02, 0.050522),
        (100_000.0, 0.001, 0.022175),
        (500_000.0, 0.0001, 0.01443),
        (1_000_000.0, 0.01, 0.037965),
    ],
)
def test_table_of_friction_factors(reynolds: float, relative: float, printed: float) -> None:
    viscosity, bore = 1.0e-6, 0.025
    flow = reynolds * viscosity / bore * np.pi / 4.0 * bore**2
    found = pipe.friction_factor(flow, bore, relative * bore, viscosity)
    assert found == pytest.approx(printed, rel=5e-4)
    assert pipe.friction_factors(reynolds, relative) == pytest.approx(printed, rel=5e-4)


def test_smooth_pipe_by_blasius() -> None:
    """f = 0.316 / Re^0.25, Blasius 1913, for Re from 4,000 to 100,000: within 3 %."""
    for reynolds in (5_000.0, 20_000.0, 80_000.0):
        assert pipe.friction_factors(reynolds, 0.0) == pytest.approx(
            0.316 / reynolds**0.25, rel=0.03
        )


def test_friction_factors_against_the_library() -> None:
    """All at once against the library fluids one by one, laminar to fully rough."""
    reynolds = np.concatenate([np.linspace(1.0, 2039.0, 20), np.geomspace(2041.0, 1e8, 60)])
    relative = np.concatenate([[0.0], np.geomspace(1e-6, 0.05, 30)])
    found = pipe.friction_factors(reynolds[:, None], relative[None, :])
    expected = [[fluids.friction_factor(Re=re, eD=eps) for eps in relative] for re in reynolds]
    np.testing.assert_allclose(found, expected, rtol=1e-10)


@pytest.mark.parametrize(
    ("size", "printed"),
    # ASTM D1785 schedule 40, inside diameters in inches as tabulated from it (pdfcoffee.com
    # copy of a table of dimensions).
    [("1/2", 0.622), ("3/4", 0.824), ("1", 1.049), ("1-1/4", 1.380), ("1-1/2", 1.610), ("2", 2.067),
     ("2-1/2", 2.469), ("3", 3.068)],
)  # fmt: skip
def test_schedule_40_bores(size: str, printed: float) -> None:
    assert pipe.PIPES[f"sch40 {size}"].inside_diameter / INCH == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize("celsius", [1.0, 10.0, 20.0, 30.0])
def test_viscosity_against_the_library(celsius: float) -> None:
    """Library iapws (IAPWS-97 and its viscosity formulation); the fixed density costs 0.5 %."""
    iapws = pytest.importorskip("iapws")
    water = iapws.IAPWS97(T=273.15 + celsius, P=0.101325)
    assert pipe.water_viscosity(273.15 + celsius) == pytest.approx(water.nu, rel=0.006)


def test_viscosity_of_a_handbook() -> None:
    """1.004 mm²/s at 20 °C, 1.307 mm²/s at 10 °C: textbook tables (from memory), 0.5 %."""
    assert pipe.water_viscosity(293.15) == pytest.approx(1.004e-6, rel=0.005)
    assert pipe.water_viscosity(283.15) == pytest.approx(1.307e-6, rel=0.005)


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        # Munson, Young and Okiishi, as tabulated by lmnoeng.com ("Table of minor loss
        # coefficients"), threaded and flanged.
        ("90° elbow", 1.5),
        ("90° elbow, long radius", 0.7),
        ("90° elbow, long radius", 0.2),
        ("45° elbow", 0.4),
        ("Tee, flow straight through", 0.9),
        ("Tee, flow straight through", 0.2),
        ("Tee, flow into the branch", 2.0),
        ("Tee, flow into the branch", 1.0),
        ("Gate valve, open", 0.15),
        ("Swing check valve", 2.0),
        # Perry's handbook, copy at etoolonline.blogspot.com.
        ("90° elbow", 0.75),
        ("90° elbow, long radius", 0.45),
        ("45° elbow", 0.35),
        ("Tee, flow straight through", 0.4),
        ("Gate valve, open", 0.17),
        ("Coupling or union", 0.04),
        ("Foot valve with strainer", 15.0),
        # pe-calc.com, after Crane TP-410.
        ("90° elbow", 0.9),
        ("Ball valve, full bore, open", 0.05),
        ("Entrance, flush and sharp", 0.5),
        ("Outlet into the basin or bowl", 1.0),
    ],
)
def test_published_coefficients_lie_in_the_range(name: str, printed: float) -> None:
    row = next(row for row in fittings.FITTINGS if row.name == name)
    assert row.low <= printed <= row.high
