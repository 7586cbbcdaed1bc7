"""What holds for every cut plan."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from basinbook.engine.layout.results.cutting import fewest_bound, saw_cuts
from cut_plans import fewest_bars


@st.composite
def jobs(draw: st.DrawFn) -> tuple[list[int], int, int]:
    stock = draw(st.integers(40, 400))
    kerf = draw(st.integers(0, 8))
    lengths = draw(st.lists(st.integers(stock // 6, stock), min_size=1, max_size=5, unique=True))
    pieces = draw(st.lists(st.sampled_from(lengths), max_size=30))
    return pieces, stock, kerf


@given(jobs())
def test_every_piece_is_cut_once_and_fits(job: tuple[list[int], int, int]) -> None:
    pieces, stock, kerf = job
    bars = fewest_bars(pieces, stock, kerf)
    assert Counter(piece for bar in bars for piece in bar) == Counter(pieces)
    for bar in bars:
        # Saw from one end: each cut but a last one at the block's own end takes a kerf.
        left = stock
        for piece in bar:
            assert piece <= left
            left = max(0, left - piece - kerf)


@given(jobs())
def test_count_is_between_its_bounds(job: tuple[list[int], int, int]) -> None:
    pieces, stock, kerf = job
    bars = fewest_bars(pieces, stock, kerf)
    volume = -(-sum(piece + kerf for piece in pieces) // (stock + kerf))
    assert volume <= fewest_bound(pieces, stock, kerf) <= len(bars) <= len(pieces)


@given(jobs(), st.randoms(use_true_random=False))
def test_order_of_the_pieces_does_not_matter(
    job: tuple[list[int], int, int], shuffler: object
) -> None:
    pieces, stock, kerf = job
    shuffled = list(pieces)
    shuffler.shuffle(shuffled)  # type: ignore[attr-defined]
    assert fewest_bars(shuffled, stock, kerf) == fewest_bars(pieces, stock, kerf)


@given(jobs())
def test_one_piece_less_never_takes_more(job: tuple[list[int], int, int]) -> None:
    pieces, stock, kerf = job
    assert len(fewest_bars(pieces[1:], stock, kerf)) <= len(fewest_bars(pieces, stock, kerf))


@given(jobs())
def test_wider_kerf_never_takes_less(job: tuple[list[int], int, int]) -> None:
    pieces, stock, kerf = job
    assert len(fewest_bars(pieces, stock, kerf + 1)) >= len(fewest_bars(pieces, stock, kerf))


@given(jobs())
def test_cuts_by_sawing_bar_by_bar(job: tuple[list[int], int, int]) -> None:
    pieces, stock, kerf = job
    bars = fewest_bars(pieces, stock, kerf)
    cuts = 0
    for bar in bars:
        left = stock
        for piece in bar:
            cuts += piece < left
            left = max(0, left - piece - kerf)
    assert saw_cuts(bars, stock, kerf) == cuts


@settings(max_examples=40)
@given(st.lists(st.integers(10, 60), min_size=1, max_size=7), st.integers(0, 3))
def test_no_plan_by_trying_all_is_better(pieces: list[int], kerf: int) -> None:
    stock = 60

    def least(rest: list[int], room: list[int]) -> int:
        if not rest:
            return len(room)
        size = rest[0] + kerf
        best = least(rest[1:], [*room, stock + kerf - size])
        for index, left in enumerate(room):
            if left >= size:
                best = min(best, least(rest[1:], [*room[:index], left - size, *room[index + 1 :]]))
        return best

    assert len(fewest_bars(pieces, stock, kerf)) == least(pieces, [])
