"""Weirs against printed tables, worked examples and a reference library.

Tolerances are those of the printed figures or of the methods compared; each says why.
"""

from __future__ import annotations

import fluids.open_flow as library
import pytest

from basinbook.engine.water import weir

FOOT = 0.3048
INCH = 0.0254
CFS = FOOT**3
GPM = 3.785411784e-3 / 60.0

# "Rectangular weirs", table of gallons per minute by head and length of weir, formula
# Q = 3.33 (L - 0.2 H) H^1.5, as printed in pump makers' hydraulic handbooks; stored copy of
# constructionwork.com/resource/rectangular-weirs. The copy has lost its column of heads; its rows
# go up by 1/4 in. (head [in], 1 ft, 3 ft, 5 ft)
CONTRACTED = [
    (0.5, 12.8, 38.2, 63.8),
    (1.0, 35.4, 108.0, 180.0),
    (1.5, 64.9, 197.0, 330.0),
    (2.0, 98.5, 302.0, 506.0),
    (2.5, 136.0, 422.0, 706.0),
    (3.0, 178.0, 552.0, 926.0),
    (4.0, 269.0, 846.0, 1424.0),
]


@pytest.mark.parametrize(("head", "one", "three", "five"), CONTRACTED)
def test_contracted_weir_table(head: float, one: float, three: float, five: float) -> None:
    """Three printed figures, rows up to 1.6 % off the formula they state: 2 %."""
    for feet, printed in ((1.0, one), (3.0, three), (5.0, five)):
        found = weir.lip_flow(head * INCH, weir.Lip(feet * FOOT, contractions=2)).flow / GPM
        assert found == pytest.approx(printed, rel=0.02)


@pytest.mark.parametrize(
    ("head", "length", "printed"),
    # USBR, Water Measurement Manual, 3rd ed., tables of standard contracted and suppressed
    # weirs, ft³/s (from memory): printed to three figures, so 0.5 %.
    [(0.20, 1.0, 0.286), (0.30, 1.0, 0.514), (0.50, 2.0, 2.24), (0.20, 2.0, 0.584)],
)
def test_government_table_of_contracted_weirs(head: float, length: float, printed: float) -> None:
    found = weir.lip_flow(head * FOOT, weir.Lip(length * FOOT, contractions=2))
    assert found.flow / CFS == pytest.approx(printed, rel=0.005)
    assert found.status == (weir.WITHIN if head <= length / 3.0 else weir.OUTSIDE)


@pytest.mark.parametrize(
    ("head", "length", "printed"), [(0.20, 1.0, 0.298), (0.50, 2.0, 2.355), (1.00, 4.0, 13.32)]
)
def test_government_table_of_suppressed_weirs(head: float, length: float, printed: float) -> None:
    """As above (from memory)."""
    found = weir.lip_flow(head * FOOT, weir.Lip(length * FOOT)).flow
    assert found / CFS == pytest.approx(printed, rel=0.005)


def test_worked_example_of_end_contractions() -> None:
    """4 m long, two end contractions, 0.36 m head: 1.56 m³/s (byjus.com, question on weirs).

    Printed to three figures: 0.5 %.
    """
    found = weir.lip_flow(0.36, weir.Lip(4.0, contractions=2)).flow
    assert found == pytest.approx(1.56, rel=0.005)


@pytest.mark.parametrize("head", [0.04, 0.06, 0.10, 0.15, 0.20])
@pytest.mark.parametrize("crest", [0.2, 0.5])
def test_kindsvater_carter_against_the_library(head: float, crest: float) -> None:
    """Suppressed weir in the library fluids: Ackers, Rehbock and Kindsvater-Carter.

    Independent sets of tests; they differ among themselves by up to 3 %.
    """
    found = weir.boxed_lip_flow(head, 1.0, 1.0, crest).flow
    for formula in (
        library.Q_weir_rectangular_full_Ackers,
        library.Q_weir_rectangular_full_Rehbock,
        library.Q_weir_rectangular_full_Kindsvater_Carter,
    ):
        assert found == pytest.approx(formula(head, crest, 1.0), rel=0.03)


@pytest.mark.parametrize("head", [0.07, 0.10, 0.20])
def test_francis_against_the_library(head: float) -> None:
    """Over a high crest, Ackers' formula: Francis is known to read up to 3.5 % high."""
    found = weir.lip_flow(head, weir.Lip(1.0)).flow
    assert found == pytest.approx(
        library.Q_weir_rectangular_full_Ackers(head, 50.0, 1.0), rel=0.035
    )


@pytest.mark.parametrize(
    ("ratio", "head_by_crest", "coefficient"),
    # EPA SWMM Reference Manual, vol. II, eq. 6-24 and table 6-2 (from USBR 2001): Cw [ft^0.5/s].
    [(0.5, 0.5, 0.0612 * 0.5 + 3.173), (0.8, 1.0, 0.2376 + 3.189), (0.2, 1.0, 3.152 - 0.0087)],
)
def test_contraction_by_share_of_the_box(
    ratio: float, head_by_crest: float, coefficient: float
) -> None:
    """On a large weir the small additions to width and head fall under 0.5 %."""
    length, head = 10.0 * FOOT, 2.0 * FOOT
    found = weir.boxed_lip_flow(head, length, length / ratio, head / head_by_crest).flow
    assert found / CFS == pytest.approx(coefficient * 10.0 * 2.0**1.5, rel=0.005)


def test_thick_lip_against_a_handbook() -> None:
    """Below H/t = 0.5 the coefficient tends to 2.63, above 2 it is 3.32.

    Brater and King 1976 by the EPA SWMM Reference Manual, vol. II, table 6-3. 1 %: 2.63 is a
    rounded mean of tests.
    """
    for thickness, coefficient in ((2.0, 2.63), (0.2, 3.32)):
        found = weir.lip_flow(0.5 * FOOT, weir.Lip(2.0 * FOOT, "thick", thickness * FOOT)).flow
        assert found / CFS == pytest.approx(coefficient * 2.0 * 0.5**1.5, rel=0.01)


def test_rounded_lip_against_critical_flow() -> None:
    """3.087 · 20 · 0.8^1.5 = 44.2 ft³/s without losses (San Diego State University, CIVE 530).

    The rounded lip loses a little: less than that, by at most 3 %.
    """
    found = weir.lip_flow(0.8 * FOOT, weir.Lip(20.0 * FOOT, "rounded", 2.0 * FOOT)).flow / CFS
    assert 0.97 * 44.2 < found < 44.2


def test_rounded_lip_against_a_chute_entrance() -> None:
    """Q = 3.1 W H^1.5 for a level approach: UFC 3-230-16FA, eq. 7-1. Two figures: 3 %."""
    found = weir.lip_flow(1.0 * FOOT, weir.Lip(5.0 * FOOT, "rounded", 2.0 * FOOT)).flow / CFS
    assert found == pytest.approx(3.1 * 5.0, rel=0.03)


@pytest.mark.parametrize(
    ("angle", "head", "printed"),
    # Tables of 60° and 45° V-notches in gpm, after ASTM D5242; they say "2-5 % accuracy" of
    # themselves, the formula tested here is good to 1 % more: 6 %.
    [
        (60.0, 0.20, 11.58),
        (60.0, 0.25, 20.24),
        (60.0, 0.30, 31.92),
        (45.0, 0.20, 8.309),
        (45.0, 0.25, 14.52),
        (45.0, 0.30, 22.90),
    ],
)
def test_v_notch_tables(angle: float, head: float, printed: float) -> None:
    found = weir.v_notch_flow(head * FOOT, angle).flow
    assert found / GPM == pytest.approx(printed, rel=0.06)


def test_v_notch_coefficients() -> None:
    """90°: Ce = 0.578, k = 0.0029 ft (San Diego State University, V-notch laboratory)."""
    head = 0.4
    expected = 8.0 / 15.0 * 0.578 * (2.0 * 32.174) ** 0.5 * (head + 0.0029) ** 2.5
    assert weir.v_notch_flow(head * FOOT, 90.0).flow / CFS == pytest.approx(expected, rel=0.001)


@pytest.mark.parametrize("head", [0.2, 0.4, 0.6, 0.8, 1.0, 1.25])
def test_ninety_degree_notch_by_cone(head: float) -> None:
    """Q = 2.49 H^2.48 for 0.2 to 1.25 ft: Cone, in USBR, Water Measurement Manual (from memory).

    Two independent fits to tests: 2 %.
    """
    found = weir.v_notch_flow(head * FOOT, 90.0)
    assert found.flow / CFS == pytest.approx(2.49 * head**2.48, rel=0.02)
    assert found.status == weir.WITHIN
