"""Weirs and falling sheets against printed tables, older tests, textbooks and libraries."""

from __future__ import annotations

import math
from collections.abc import Callable

import fluids.open_flow as library
import pytest
from scipy.optimize import minimize_scalar

from basinbook.engine.water import throw, weir
from outside import Check, Exhibit, judge, named

FOOT = 0.3048
INCH = 0.0254
CFS = FOOT**3
CFM = CFS / 60.0
GPM = 3.785411784e-3 / 60.0
# Two tables give a coefficient: c of Q = 2/3 c L √(2g) H^1.5, m or µ of the same without 2/3.
ROOT_2G = math.sqrt(2.0 * weir.GRAVITY)

# Extension circular: rows of 0.01 ft from 0.10 ft on, printed in sixteenths of an inch.
# (90° notch, 1 ft, 2 ft) [gal/min]; None: lost in the stored copy.
CIRCULAR: list[tuple[float, float, float | None]] = [
    (3.6, 46, 95), (4.6, 54, 110), (5.7, 62, 125), (6.8, 70, 140), (8.1, 77, 157), (9.5, 86, 173),
    (11.2, 95, 190), (13.1, 103, 208), (15.2, 112, 227), (17.5, 122, 246), (19.9, 131, 265),
    (22.5, 140, 284), (25.3, 151, 305), (28.3, 161, 325), (31.6, 171, 346), (35.1, 182, 368),
    (38.8, 193, 389), (42.8, 203, 411), (47.0, 215, 434), (51.4, 226, 459), (56.0, 237, 482),
    (60.8, 249, 504), (65.8, 261, 531), (71.1, 273, 554), (76.7, 285, 576), (82.6, 297, 603),
    (88.8, 310, 630), (95, 323, 653), (101, 335, 680), (108, 348, 707), (115, 362, 734),
    (122, 375, 761), (130, 388, 788), (137, 402, 815), (145, 416, 846), (154, 430, None),
    (162, 444, 900), (171, 459, 932), (181, 473, 959), (190, 486, 990),
]  # fmt: skip
HEADS = [0.10 + 0.01 * row for row in range(len(CIRCULAR))]
OREGON = (
    "M. Shearer, Measurement of Flow in Small Streams, Extension Circular 550, Oregon State "
    "College and Federal Cooperative Extension Service, August 1952, table 1"
)
STEPS = "the heads are printed to 1/16 in and go up by 0.01 ft, which was taken"
LOST = "one value of the 2 ft weir, at 0.45 ft, which the stored copy has lost"

# H. Bazin's µ by head [m]: m = µ (1 + 0.55 (h/(p + h))²).
BAZIN = {0.05: 0.4481, 0.10: 0.4322, 0.20: 0.4215, 0.30: 0.4174, 0.40: 0.4144, 0.50: 0.4118,
         0.60: 0.4092}  # fmt: skip
# T. E. Blackwell's c by head [in] and length [ft]; the columns have dots where he has no value.
SHARP = {3: {1: 0.677, 2: 0.675, 3: 0.630, 4: 0.617}}
PLANKS = {
    3: {1: 0.467, 2: 0.509, 3: 0.563, 4: 0.549},
    6: {1: 0.459, 2: 0.561, 3: 0.597, 4: 0.575},
    10: {1: 0.435, 2: 0.585, 3: 0.569, 4: 0.602},
}
BROAD = {3: {1: 0.452, 2: 0.482, 3: 0.441, 4: 0.419}, 6: {3: 0.492}, 10: {1: 0.381, 2: 0.479}}
# Table 5, ft³/min for each foot of weir, and table 6, of a right-angled notch; head in inches.
NOTCHES = {"Box": 5.13, "Cotterill": 4.78, "Molesworth": 5.15, "Santo Crimp": 4.69}
TRIANGLES = {"Alexander": 0.321, "Cotterill": 0.306, "Molesworth": 0.317, "Thomson": 0.306}


def _notch(head: float, angle: float, unit: float) -> Callable[[], float]:
    return lambda: weir.v_notch_flow(head, angle).flow / unit


def _lip(head: float, lip: weir.Lip, unit: float = 1.0) -> Callable[[], float]:
    return lambda: weir.lip_flow(head, lip).flow / unit


def _box(head: float, crest: float, unit: float = 1.0) -> Callable[[], float]:
    """A lip of 1 m that fills its box."""
    return lambda: weir.boxed_lip_flow(head, 1.0, 1.0, crest).flow / unit


def _unit(coefficient: float, head: float, length: float) -> float:
    """Flow for a coefficient of 1."""
    return coefficient * length * ROOT_2G * head**1.5


def _blackwell(
    title: str, columns: dict[int, dict[int, float]], edge: str, thickness: float, rel: float
) -> tuple[Check, ...]:
    return tuple(
        Check(
            f"{title}, {feet} ft long, {inches} in of head",
            value,
            "",
            _lip(
                inches * INCH,
                weir.Lip(feet * FOOT, edge, thickness),
                _unit(2.0 / 3.0, inches * INCH, feet * FOOT),
            ),
            rel=rel,
        )
        for feet, column in columns.items()
        for inches, value in column.items()
    )


def _thrown(head: float, fall: float, lip: weir.Lip) -> Callable[[], float]:
    return lambda: throw.throw(weir.lip_flow(head, lip).flow, fall, lip)


def _from_the_brink(per_width: float, fall: float) -> float:
    """Free fall of the middle of a sheet that leaves level with the depth of a brink."""
    brink = 0.715 * (per_width**2 / weir.GRAVITY) ** (1.0 / 3.0)
    return per_width / brink * math.sqrt(2.0 * (fall + brink / 2.0) / weir.GRAVITY)


def _ogee(head: float, fall: float) -> float:
    """x^1.85 = 2 Hd^0.85 y from an apex 0.25 H beyond the lip and 0.112 H over it."""
    design = (1.0 - 0.112) * head
    return float(0.25 * head + (2.0 * design**0.85 * (fall + 0.112 * head)) ** (1.0 / 1.85))


def _critical(head: float) -> float:
    """Most flow for each metre that a head can drive over a level crest, found by search."""

    def flow(depth: float) -> float:
        return depth * math.sqrt(2.0 * weir.GRAVITY * (head - depth))

    found = minimize_scalar(lambda depth: -flow(depth), bounds=(0.0, head), method="bounded")
    return flow(float(found.x))


SLAB = weir.Lip(1.0, "thick", 0.6)
FALLS = (0.3, 0.6, 1.0)
THROWN = (0.06, 0.10, 0.15)

OUTSIDE = [
    Exhibit(
        "A 90° V-notch for small streams, from 0.25 ft of head",
        OREGON,
        f"two or three printed figures; {STEPS}",
        tuple(
            Check(f"{head:.2f} ft", row[0], "gal/min", _notch(head * FOOT, 90.0, GPM), rel=0.018)
            for head, row in zip(HEADS, CIRCULAR, strict=True)
            if head > 0.245
        ),
        "lower heads, in the next table",
    ),
    Exhibit(
        "The same column under 0.25 ft of head",
        OREGON,
        "the column runs up to 6 % under Cone's formula for the same notch here (below); the "
        "formula's own least head is 0.2 ft",
        tuple(
            Check(f"{head:.2f} ft", row[0], "gal/min", _notch(head * FOOT, 90.0, GPM), rel=0.07)
            for head, row in zip(HEADS, CIRCULAR, strict=True)
            if head < 0.245
        ),
    ),
    Exhibit(
        "Contracted rectangular weirs for small streams, head to a third of the length",
        OREGON,
        f"two or three printed figures, and the formula of Francis has one coefficient; {STEPS}",
        tuple(
            Check(
                f"{feet:.0f} ft long, {head:.2f} ft",
                value,
                "gal/min",
                _lip(head * FOOT, weir.Lip(feet * FOOT, contractions=2), GPM),
                rel=0.035,
            )
            for feet, column in ((1.0, 1), (2.0, 2))
            for head, row in zip(HEADS, CIRCULAR, strict=True)
            if (value := row[column]) is not None and head < feet / 3.0
        ),
        f"{LOST}; higher heads on the 1 ft weir, in the next table",
    ),
    Exhibit(
        "The same 1 ft weir, heads over a third of its length",
        OREGON,
        "outside of the formula's range, which the status says: it reads less and less",
        tuple(
            Check(
                f"{head:.2f} ft",
                row[1],
                "gal/min",
                _lip(head * FOOT, weir.Lip(FOOT, contractions=2), GPM),
                rel=0.055,
            )
            for head, row in zip(HEADS, CIRCULAR, strict=True)
            if head > 1.0 / 3.0
        ),
    ),
    Exhibit(
        "Older coefficients of notches, 4 in of head",
        "H. C. Adams, The Sewerage of Sea Coast Towns, 1911, tables 5 and 6",
        "what the authors of that time differ by",
        (
            *(
                Check(
                    f"rectangular, {author}",
                    value,
                    "ft³/min, in",
                    _lip(4.0 * INCH, weir.Lip(FOOT), CFM * 4.0**1.5),
                    rel=0.07,
                )
                for author, value in NOTCHES.items()
            ),
            *(
                Check(
                    f"right-angled, {author}",
                    value,
                    "ft³/min, in",
                    _notch(4.0 * INCH, 90.0, CFM * 4.0**2.5),
                    rel=0.055,
                )
                for author, value in TRIANGLES.items()
            ),
        ),
        "Francis's rectangular notch, which is our formula",
    ),
    Exhibit(
        "Bazin's weirs without end contractions, deep pool",
        "W. C. Unwin, Hydraulics, Encyclopaedia Britannica, 11th ed., vol. 14, 1910, results of "
        "Bazin's experiments, values of µ",
        "his tests gave more than all later ones, by 8 % at 50 mm of head and 2 % at 0.6 m; those "
        "differences are known, and ours lies on the low side",
        tuple(
            Check(f"{head:g} m", value, "", _box(head, 1e4, _unit(1.0, head, 1.0)), rel=0.085)
            for head, value in BAZIN.items()
        ),
    ),
    Exhibit(
        "Bazin's lowest weir, 0.24 m",
        "the same article, m = µ (1 + 0.55 (h/(p + h))²) by its values of µ",
        "as there: what is tested is how the flow grows with h/p",
        tuple(
            Check(
                f"{head:g} m, h/p = {head / 0.24:.2f}",
                value * (1.0 + 0.55 * (head / (0.24 + head)) ** 2),
                "",
                _box(head, 0.24, _unit(1.0, head, 1.0)),
                rel=0.085,
            )
            for head, value in BAZIN.items()
        ),
    ),
    Exhibit(
        "Blackwell's weirs: sharp, planks 2 in thick, level crests 3 ft wide",
        "W. C. Unwin, as above, table of coefficients from the experiments of T. E. Blackwell",
        "single experiments of 1850, which scatter by 10 % among themselves; our values for planks "
        "are a rule of thumb and say so",
        (
            *_blackwell("sharp", SHARP, "sharp", 0.0, 0.10),
            *_blackwell("planks", PLANKS, "thick", 2.0 * INCH, 0.15),
            *_blackwell("wide crest", BROAD, "thick", 3.0 * FOOT, 0.18),
        ),
        "heads from 5 in on, which the stored copy has cut off; the sharp weir 10 ft long, 30 % "
        "over all others at 1 and 2 in; sloping crests and wing boards, which we do not have",
    ),
    Exhibit(
        "Suppressed weirs by three formulas",
        "library fluids: Kindsvater and Carter with SI constants, Ackers, Rehbock",
        "Kindsvater-Carter 0.4 % for rounded constants; the others are other sets of tests, each "
        "good to about 1.5 % (ISO 1438, from memory)",
        tuple(
            Check(
                f"{name}, {head:g} m over {crest:g} m",
                formula(head, crest, 1.0),
                "m³/s",
                _box(head, crest),
                rel=allowed,
            )
            for name, formula, allowed in (
                ("Kindsvater-Carter", library.Q_weir_rectangular_full_Kindsvater_Carter, 0.004),
                ("Ackers", library.Q_weir_rectangular_full_Ackers, 0.021),
                ("Rehbock", library.Q_weir_rectangular_full_Rehbock, 0.021),
            )
            for crest in (0.2, 0.5)
            for head in (0.04, 0.06, 0.10, 0.15, 0.20)
        ),
    ),
    Exhibit(
        "Francis's formula over a high crest",
        "library fluids, Ackers",
        "Francis is known to read up to 3.5 % high",
        tuple(
            Check(
                f"{head:g} m",
                library.Q_weir_rectangular_full_Ackers(head, 50.0, 1.0),
                "m³/s",
                _lip(head, weir.Lip(1.0)),
                rel=0.035,
            )
            for head in (0.07, 0.10, 0.20)
        ),
    ),
    Exhibit(
        "Slabs: coefficient of the broad and of the sharp end",
        "L. A. Rossman, EPA SWMM Reference Manual, vol. II, EPA/600/R-17/111, 2017, table 6-3, "
        "after Brater and King 1976 (table from memory)",
        "2.63 is a rounded mean of tests",
        tuple(
            Check(
                f"0.5 ft over a slab of {thickness:g} ft",
                coefficient,
                "ft, s",
                _lip(
                    0.5 * FOOT,
                    weir.Lip(2.0 * FOOT, "thick", thickness * FOOT),
                    CFS * 2.0 * 0.5**1.5,
                ),
                rel=0.01,
            )
            for thickness, coefficient in ((2.0, 2.63), (0.2, 3.32))
        ),
    ),
    Exhibit(
        "A level approach to a chute",
        "UFC 3-230-16FA (TM 5-820-3), eq. 7-1: Q = 3.1 W H^1.5",
        "two printed figures, and the loss along a rounded slab of 2 ft",
        (
            Check(
                "1 ft over 5 ft",
                15.5,
                "ft³/s",
                _lip(FOOT, weir.Lip(5.0 * FOOT, "rounded", 2.0 * FOOT), CFS),
                rel=0.03,
            ),
        ),
    ),
    Exhibit(
        "A rounded slab against critical flow",
        "the most of y √(2g (H - y)) by search with scipy: V. T. Chow, Open-Channel Hydraulics, "
        "1959, principle of critical flow",
        "the boundary layer takes 1 to 4 %",
        tuple(
            Check(
                f"{head:g} m over 0.3 m",
                2.0 * _critical(head),
                "m³/s",
                _lip(head, weir.Lip(2.0, "rounded", 0.3)),
                rel=0.04,
            )
            for head in (0.06, 0.10, 0.16)
        ),
    ),
    Exhibit(
        "A 90° notch by Cone's formula",
        "Q = 2.49 H^2.48, V. M. Cone, in USBR, Water Measurement Manual, 3rd ed., ch. 7 (formula "
        "from memory)",
        "two independent fits to tests",
        tuple(
            Check(
                f"{head:g} ft", 2.49 * head**2.48, "ft³/s", _notch(head * FOOT, 90.0, CFS), rel=0.02
            )
            for head in (0.2, 0.4, 0.6, 0.8, 1.0, 1.25)
        ),
    ),
    Exhibit(
        "V-notches of 45° and 60°",
        "Q = 1.035 H^2.5 and 1.443 H^2.5, R. Skrentner, Instrumentation Handbook for Water and "
        "Wastewater Treatment Plants, 1988 (from memory)",
        "2 %, which such tables claim; their coefficient does not change with the head",
        tuple(
            Check(
                f"{angle:g}°, {head:g} ft",
                coefficient * head**2.5,
                "ft³/s",
                _notch(head * FOOT, angle, CFS),
                rel=0.02,
            )
            for angle, coefficient in ((45.0, 1.035), (60.0, 1.443))
            for head in (0.5, 0.75, 1.0, 1.5, 2.0)
        ),
    ),
    Exhibit(
        "Sheet off a slab: free fall from the brink",
        "depth of a brink 0.715 yc, H. Rouse 1936 (from memory), and free fall of the sheet's "
        "middle, worked out here",
        "ours is the outer edge, half of the sheet further out",
        tuple(
            Check(
                f"{head:g} m of head, {fall:g} m down",
                _from_the_brink(weir.lip_flow(head, SLAB).flow, fall),
                "m",
                _thrown(head, fall, SLAB),
                rel=0.03,
            )
            for head in THROWN
            for fall in FALLS
        ),
    ),
    Exhibit(
        "Sheet off a sharp lip: profile of an ogee, which is its underside",
        "x^1.85 = 2 Hd^0.85 y, Corps of Engineers, Hydraulic Design Criteria, sheets 111-1 to "
        "111-2/1; apex 0.25 H beyond the lip and 0.112 H over it (from memory)",
        "ours is the outer edge, beyond the underside by the sheet's slant width, some 5 %",
        tuple(
            Check(
                f"{head:g} m of head, {fall:g} m down",
                _ogee(head, fall),
                "m",
                _thrown(head, fall, weir.Lip(1.0)),
                rel=0.05,
            )
            for head in THROWN
            for fall in FALLS
            if fall >= 5.0 * head - 1e-9
        ),
        "falls under 5 heads, where the sheet is still thick: the outer edge 6 to 12 % further out",
    ),
]
CHECKS = named(OUTSIDE)


@pytest.mark.parametrize("name", CHECKS)
def test_outside(name: str) -> None:
    judge(*CHECKS[name])


@pytest.mark.parametrize("head", [0.2, 0.5, 1.0, 1.25])
def test_status_of_government_weirs(head: float) -> None:
    """Limits of the Water Measurement Manual, ch. 7: heads to L/3, V-notch 0.2 to 1.25 ft."""
    found = weir.lip_flow(head * FOOT, weir.Lip(2.0 * FOOT, contractions=2))
    assert found.status == (weir.IF_CONTRACTED if head <= 2.0 / 3.0 else weir.OUTSIDE)
    assert weir.v_notch_flow(head * FOOT, 90.0).status == weir.IF_CONTRACTED
