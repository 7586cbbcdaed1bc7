"""Difference orders: with what was ordered before they come to what is needed, whatever changed."""

from __future__ import annotations

import random

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import (
    Line,
    OrderedLine,
    order_changes,
    replaced_orders,
    standing,
)

BLOCK = Line("Wall block", "18 x 4 x 8", 59, "each")


def test_nothing_is_ordered_twice() -> None:
    assert order_changes([BLOCK], [BLOCK]) == []
    assert order_changes([BLOCK], [BLOCK._replace(item="wall  BLOCK")]) == []


def test_the_words() -> None:
    def word(needed: float, ordered: float, received: float) -> str:
        (one,) = order_changes(
            [BLOCK._replace(quantity=needed)],
            [BLOCK._replace(quantity=ordered, received=received)],
        )
        return one.word

    assert word(60, 50, 50) == "add"
    assert word(40, 50, 0) == "reduce"
    assert word(40, 50, 40) == "reduce"
    assert word(40, 50, 45) == "return"
    assert word(0, 50, 0) == "cancel"
    assert word(0, 50, 3) == "return"


def test_of_what_has_come_only_the_surplus_goes_back() -> None:
    (one,) = order_changes(
        [BLOCK._replace(quantity=40)], [BLOCK._replace(quantity=50, received=45)]
    )
    assert (one.change, one.back) == (-10, 5)


def test_another_block_is_another_thing() -> None:
    other = BLOCK._replace(description="16 x 6 x 8", quantity=70)
    found = order_changes([other], [BLOCK])
    assert [(one.description, one.change, one.word) for one in found] == [
        ("16 x 6 x 8", 70, "add"),
        ("18 x 4 x 8", -59, "cancel"),
    ]


def test_any_row_of_changes_comes_to_what_is_needed() -> None:
    chance = random.Random(12)
    for _ in range(200):
        record: list[Line] = []
        for _ in range(4):
            needed = [
                Line(item, text, chance.randrange(0, 80) / 4, "each")
                for item, text in (("Block", "a"), ("Block", "b"), ("Cap", ""), ("Sand", "bag"))
                if chance.random() < 0.7
            ]
            record += [
                Line(one.item, one.description, one.change, one.unit)
                for one in order_changes(needed, record)
            ]
            sums: dict[tuple[str, str], float] = {}
            for line in record:
                key = line.item, line.description
                sums[key] = sums.get(key, 0.0) + line.quantity
            wanted = {(one.item, one.description): one.quantity for one in needed}
            assert {k: v for k, v in sums.items() if v} == {k: v for k, v in wanted.items() if v}
            assert order_changes(needed, record) == []


@pytest.mark.parametrize("quantity", [-1.0, float("nan"), float("inf")])
def test_what_is_no_quantity_is_refused(quantity: float) -> None:
    with pytest.raises(InputError, match="quantity of Wall block"):
        order_changes([BLOCK._replace(quantity=quantity)], [])


def test_what_came_beyond_the_order_is_there() -> None:
    assert order_changes([BLOCK], [BLOCK._replace(quantity=50, received=59)]) == []


SENT = OrderedLine("BB-1", *BLOCK[:4])


def changes(*sent: OrderedLine, replaced: set[str] | None = None) -> list[tuple[float, float, str]]:
    found = order_changes([BLOCK], standing(sent, replaced or set()))
    return [(one.change, one.back, one.word) for one in found]


def test_broken_and_missing_are_ordered_again_and_what_is_due_is_not() -> None:
    assert changes(SENT._replace(received=50)) == []
    assert changes(SENT._replace(received=50, broken=4)) == [(4, 0, "add")]
    assert changes(SENT._replace(received=50, broken=4, missing=9)) == [(13, 0, "add")]
    again = OrderedLine("BB-1-2", *BLOCK[:2], 13, "each")
    assert changes(SENT._replace(received=50, broken=4, missing=9), again) == []


def test_of_a_replaced_order_counts_what_has_come() -> None:
    assert changes(SENT, replaced={"BB-1"}) == [(59, 0, "add")]
    assert changes(SENT._replace(received=20, broken=1), replaced={"BB-1"}) == [(40, 0, "add")]


def test_the_last_that_replaces_counts() -> None:
    sent = [("1", "first"), ("1-2", "adds to 1"), ("1-3", "Replaces 1 to 1-2"), ("1-4", "adds")]
    assert replaced_orders(sent) == {"1", "1-2"}
    assert replaced_orders(sent, anew=True) == {"1", "1-2", "1-3", "1-4"}
    assert replaced_orders(sent[:2]) == set()


def test_what_went_back_is_not_asked_back_again() -> None:
    """The line that an order for return is recorded with."""
    all_there = SENT._replace(quantity=70, received=70)
    assert changes(all_there) == [(-11, 11, "return")]
    back = OrderedLine("BB-1-2", *BLOCK[:2], -11, "each", received=-11)
    assert changes(all_there, back) == []


def test_no_more_can_be_broken_than_has_come() -> None:
    with pytest.raises(InputError, match="at most received, 2"):
        changes(SENT._replace(received=2, broken=3))
