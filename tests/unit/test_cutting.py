"""Cut plans whose answer follows by counting on one's fingers, and refused input."""

import random

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.results import cutting
from basinbook.engine.layout.results.cutting import (
    Packing,
    fewest_bound,
    fewest_stock,
    saw_cuts,
    solve_arc_flow,
)
from cut_plans import by_arc_flow, fewest_bars


def test_no_pieces_need_no_stock() -> None:
    assert fewest_bars([], 12, 1) == ()
    assert saw_cuts([], 12, 1) == 0


def test_without_kerf_two_halves_come_from_one_block() -> None:
    assert fewest_bars([6, 6], 12, 0) == ((6, 6),)
    # One cut parts the halves; both keep an end of the block.
    assert saw_cuts([(6, 6)], 12, 0) == 1


def test_kerf_makes_two_true_halves_cost_two_blocks() -> None:
    assert fewest_bars([60, 60], 120, 1) == ((60,), (60,))
    assert saw_cuts([(60,), (60,)], 120, 1) == 2


def test_two_pieces_that_leave_just_the_kerf_come_from_one_block_with_one_cut() -> None:
    assert fewest_bars([59, 60], 120, 1) == ((60, 59),)
    assert saw_cuts([(60, 59)], 120, 1) == 1


def test_last_cut_may_run_off_the_end() -> None:
    # 60 + 3 + 56 = 119 of 120: the last cut takes the 1 that is left, less than a kerf.
    assert fewest_bars([60, 56], 120, 3) == ((60, 56),)
    assert saw_cuts([(60, 56)], 120, 3) == 2


def test_a_whole_block_needs_no_cut() -> None:
    assert fewest_bars([120], 120, 1) == ((120,),)
    assert saw_cuts([(120,)], 120, 1) == 0


def test_three_kerfs_count_between_four_quarters() -> None:
    assert len(fewest_bars([30] * 4, 123, 1)) == 1
    assert len(fewest_bars([30] * 4, 122, 1)) == 2
    assert saw_cuts([(30, 30, 30, 30)], 123, 1) == 3


def test_best_fit_decreasing_alone_would_waste_a_block() -> None:
    # Best fit decreasing fills 24 + 24 + 8, 22 + 21 + 17 and 44 + 8 + 6, and is left with a 6.
    job = [44, 24, 24, 22, 21, 17, 8, 8, 6, 6]
    assert sum(job) == 180
    assert len(fewest_bars(job, 60, 0)) == 3


def test_bars_are_listed_longest_first() -> None:
    bars = fewest_bars([3, 9, 5, 7, 2], 12, 0)
    assert all(list(bar) == sorted(bar, reverse=True) for bar in bars)
    assert list(bars) == sorted(bars, reverse=True)


def test_bound_counts_pieces_over_half_one_by_one() -> None:
    # Volume 5 · 7 = 35 of 12 gives 3, but no two sevens share a block.
    assert fewest_bound([7] * 5, 12, 0) == 5


def test_solver_and_search_agree_where_the_first_guess_fails() -> None:
    items = [(44, 1), (24, 2), (22, 1), (21, 1), (17, 1), (8, 2), (6, 2)]
    bins = by_arc_flow(items, 60, 3, 4).bins
    assert len(bins) == 3
    assert sorted(size for b in bins for size in b) == sorted(
        size for size, count in items for _ in range(count)
    )
    assert all(sum(b) <= 60 for b in bins)


def test_solver_takes_over_where_the_search_runs_out_of_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(cutting, "_SEARCH_STEPS", 3)
    asked: list[int] = []

    def spy(*arguments: object) -> Packing:
        asked.append(1)
        return solve_arc_flow(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(cutting, "solve_arc_flow", spy)
    bars = fewest_bars([440, 240, 240, 220, 210, 170, 80, 80, 60, 60], 600, 0)
    assert asked
    assert len(bars) == 3


def test_many_bars_are_cut_without_deep_recursion() -> None:
    # No 40 fits beside a 61, so the 61s take 400 blocks and the 40s, in pairs, 200 more.
    assert len(fewest_bars([61] * 400 + [40] * 400 + [31] * 400, 100, 0)) == 600


def test_at_the_end_of_the_budget_the_best_plan_found_is_not_proved() -> None:
    job = [44, 24, 24, 22, 21, 17, 8, 8, 6, 6]
    found = fewest_stock(Budget(4), job, 60, 0)
    assert not found.proved
    assert len(found.bars) == 4
    # What was cut short is not remembered.
    assert len(fewest_stock(Budget(), job, 60, 0).bars) == 3


def test_too_large_a_programme_is_left_alone() -> None:
    """Many lengths, of which any sums fit a block: too large a programme to be solved in time."""
    source = random.Random(3)
    pieces = [source.randrange(1500, 8000) for _ in range(400)]
    found = fewest_stock(Budget(), pieces, 16000, 3)
    assert not found.proved
    assert sorted(piece for bar in found.bars for piece in bar) == sorted(pieces)
    assert len(found.bars) <= 1.02 * fewest_bound(pieces, 16000, 3)


@pytest.mark.parametrize(
    ("pieces", "stock", "kerf", "argument"),
    [([13], 12, 1, "pieces"), ([0], 12, 1, "pieces"), ([-1], 12, 1, "pieces"),
     ([1], 0, 1, "stock"), ([1], 12, -1, "kerf")],
)  # fmt: skip
def test_lengths_out_of_range_are_refused(
    pieces: list[int], stock: int, kerf: int, argument: str
) -> None:
    with pytest.raises(InputError) as caught:
        fewest_bars(pieces, stock, kerf)
    assert caught.value.argument == argument


def test_a_bar_longer_than_the_stock_has_no_cuts() -> None:
    with pytest.raises(InputError):
        saw_cuts([(6, 6)], 12, 1)
