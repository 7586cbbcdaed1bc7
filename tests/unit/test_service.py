from __future__ import annotations

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.water import service


def test_drained_and_left_make_up_the_basin() -> None:
    found = service.drain_down(1.2, 1.0, 0.35, 0.05, 0.002)
    assert found.by_gravity + found.left == pytest.approx(1.2 * 0.35)
    assert (found.left, found.pipe) == (pytest.approx(0.06), 0.002)


def test_a_drain_above_the_water_is_refused() -> None:
    with pytest.raises(InputError, match="drain_level"):
        service.drain_down(1.2, 1.0, 0.35, 0.36)


@pytest.mark.parametrize(
    ("gap", "item", "fits", "turned"),
    [
        ((0.30, 0.20), (0.18, 0.15), True, False),
        ((0.18, 0.30), (0.25, 0.12), True, True),
        ((0.18, 0.15), (0.18, 0.12), False, False),
        ((0.15, 0.15), (0.18, 0.12), False, False),
    ],
)
def test_access(
    gap: tuple[float, float], item: tuple[float, float], fits: bool, turned: bool
) -> None:
    found = service.access_fit(*gap, *item, clearance=0.025)
    assert (found.fits, found.turned) == (fits, turned)


def test_an_exact_clearance_fits() -> None:
    assert service.access_fit(0.2, 0.2, 0.175, 0.175, 0.025).fits
