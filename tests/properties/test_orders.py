"""What is ordered covers what is needed, in the fewest whole packs."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from basinbook.catalogue import call
from basinbook.engine.adhesive import bead_volume, cartridges
from basinbook.engine.base import loose_volume, packs
from basinbook.engine.layout.model import CutPlan, Stock
from basinbook.engine.takeoff import with_breakage


def _covers(ordered: float, needed: float, pack: float) -> bool:
    """Up to a billionth of a pack, which is rounding, not material."""
    return ordered >= needed - 2e-9 * max(needed, pack)


# Decimal quantities and pack sizes as people type them.
quantities = st.integers(0, 10**7).map(lambda n: Fraction(n, 1000))
pack_sizes = st.integers(1, 10**5).map(lambda n: Fraction(n, 100))


@given(quantities, pack_sizes)
def test_pack_rounding_is_exact(quantity: Fraction, size: Fraction) -> None:
    assert packs(float(quantity), float(size)) == ceil(quantity / size)
    assert call("PACKS", float(quantity), float(size)).value == ceil(quantity / size)


@given(st.integers(0, 10**5), pack_sizes)
def test_full_packs_open_no_further_one(count: int, size: Fraction) -> None:
    assert packs(count * float(size), float(size)) == count


@given(st.floats(0.0, 1e4), st.floats(0.001, 1e3))
def test_packs_cover_the_quantity(quantity: float, size: float) -> None:
    count = packs(quantity, size)
    assert _covers(count * size, quantity, size)
    assert count == 0 or (count - 1) * size < quantity


@given(
    st.floats(0.0, 1e3), st.integers(1, 6), st.floats(0.002, 0.02), st.floats(1e-4, 2e-3),
    st.floats(0.0, 0.5),
)  # fmt: skip
def test_cartridges_hold_the_beads(
    bed: float, beads: int, diameter: float, cartridge: float, waste: float
) -> None:
    count = cartridges(bed, beads, diameter, cartridge, waste)
    needed = bead_volume(bed * beads, diameter)
    assert _covers(count * cartridge, needed, cartridge)
    assert count >= cartridges(bed, beads, diameter, cartridge)


@given(st.floats(0.0, 1e3), st.floats(1.0, 2.0))
def test_loose_volume_is_never_less(compacted: float, factor: float) -> None:
    assert loose_volume(compacted, factor) >= compacted


@given(st.integers(0, 3000), st.integers(0, 50), st.integers(0, 500))
def test_blocks_to_buy_cover_blocks_needed(whole: int, bars: int, permille: int) -> None:
    plan = CutPlan(
        stock="block", whole=whole, cut_pieces=bars, saw_cuts=bars, different_lengths=1,
        bars=tuple(Stock(n, "block", (0.1,), 0.1) for n in range(bars)), breakage=permille / 1000,
    )  # fmt: skip
    exact = (whole + bars) * (1 + Fraction(permille, 1000))
    assert with_breakage(plan) == ceil(exact)
    assert with_breakage(plan) >= plan.needed
