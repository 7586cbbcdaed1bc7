"""Earth: conversion factors and worked examples of manual and textbook, solids by a library."""

from __future__ import annotations

import pytest
from scipy.integrate import quad
from shapely import union_all
from shapely.geometry import box

from basinbook.catalogue import call
from basinbook.engine import earth
from basinbook.engine.errors import InputError
from outside import Check, Exhibit, judge, named

MANUAL = "FM 5-434, Earthmoving Operations (2000), soil conversion factors; from memory"
BOOK = "Nunnally, Construction Methods and Management, chapter 2, spoil piles; from memory"
# Soil: loose to bank, loose to compacted, compacted to bank, compacted to loose, as printed. We
# hold bank to loose and bank to compacted; these four follow from them.
PRINTED = {
    "sand or gravel": (0.90, 0.86, 1.05, 1.17),
    "common earth": (0.80, 0.72, 1.11, 1.39),
    "clay": (0.70, 0.63, 1.11, 1.59),
    "blasted rock": (0.67, 0.87, 0.77, 1.15),
}


def _factors(name: str) -> tuple[float, float, float, float]:
    soil = earth.SOILS[name]
    return (
        1 / soil.loose, soil.compacted / soil.loose, 1 / soil.compacted,
        soil.loose / soil.compacted,
    )  # fmt: skip


# An L of two boxes [m], grown by shapely with square corners.
_L = union_all([box(0, 0, 4.0, 1.5), box(0, 0, 1.2, 3.0)])


def _area(margin: float) -> float:
    return float(_L.buffer(margin, join_style="mitre").area)


def _by_slices(depth: float, slope: float) -> float:
    """Volume of a sloped dig, its slices added up by scipy."""
    volume, _ = quad(lambda z: _area(slope * z), 0.0, depth)
    return float(volume)


OUTSIDE = [
    Exhibit(
        "Earth: the other ways through the conversion table",
        MANUAL,
        "printed to two digits from factors that are printed to two digits themselves",
        tuple(
            Check(
                f"{name}: {way}",
                value,
                "-",
                lambda name=name, at=at: _factors(name)[at],  # type: ignore[misc]
                abs=0.0101,
            )
            for name, values in PRINTED.items()
            for at, (way, value) in enumerate(
                zip(
                    (
                        "loose to bank",
                        "loose to compacted",
                        "compacted to bank",
                        "compacted to loose",
                    ),
                    values,
                    strict=True,
                )
            )
        ),
        "coral, no ground of a garden",
    ),
    Exhibit(
        "Earth: conical spoil pile, a whole worked example",
        BOOK,
        "printed to 1 cm; 76.5 m³ in the bank, swell 12 %, angle of repose 32°",
        (
            Check("diameter", 10.16, "m", lambda: earth.heap(76.5 * 1.12, 32.0)[0], abs=0.01),
            Check("height", 3.17, "m", lambda: earth.heap(76.5 * 1.12, 32.0)[1], abs=0.01),
        ),
    ),
    Exhibit(
        "Earth: dig with sloped sides, its slices added up by libraries",
        "shapely grows an L of 4.0 by 1.5 and 1.2 by 3.0 m with square corners, scipy.integrate "
        "adds its slices up",
        "the integral is good to 1e-8",
        tuple(
            Check(
                f"{depth} m deep, {slope} to 1",
                _by_slices(depth, slope),
                "m³",
                lambda d=depth, s=slope: earth.dig_volume(_area, d, s),  # type: ignore[misc]
                rel=1e-6,
            )
            for depth, slope in ((0.1, 0.0), (0.3, 0.5), (0.45, 1.0), (0.6, 1.5))
        ),
    ),
]


@pytest.mark.parametrize("name", named(OUTSIDE))
def test_outside(name: str) -> None:
    judge(*named(OUTSIDE)[name])


def test_a_dig_of_a_layout_by_hand() -> None:
    # Outside 64 + 16 by 46 + 16 in, and 6 in all round: 92 by 74 in, 1 ft deep.
    labels = ("Inside length", "Inside width", "Block length", "Block height", "Block depth",
              "Courses", "Water depth")  # fmt: skip
    values = (64, 46, 18, 4, 8, 2, 2)
    layout = [[label] for label in labels], [[value] for value in values]
    assert call("DIGVOLUME", 6, 12, 0, *layout).value == pytest.approx(92 * 74 / 144 / 27)
    # Sloped 1 to 1 it is 92 + 24 by 74 + 24 in at the ground; a frustum's middle is 104 by 86 in.
    sloped = (92 * 74 + 4 * 104 * 86 + 116 * 98) / 6 / 144 / 27
    assert call("DIGVOLUME", 6, 12, 1, *layout).value == pytest.approx(sloped)
    assert call("DIGVOLUME", 6, 0, 1, *layout).value == 0.0


def test_what_is_not_known_is_refused_or_said() -> None:
    with pytest.raises(InputError, match="common earth"):
        earth.swollen(1.0, "snow")
    with pytest.raises(InputError, match="repose"):
        earth.heap(1.0, 90.0)
    assert "ask the supplier" in earth.factor_note("Slag", 1.2)
    assert "outside" in earth.factor_note("Stone dust, bulk", 1.5)
    assert earth.tamping_of("Crushed stone 3/4 in") is earth.TAMPING["crushed stone, graded"]
