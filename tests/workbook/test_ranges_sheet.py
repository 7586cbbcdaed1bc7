"""The Ranges sheet: its parts are the price, and its range follows what is typed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from basinbook.workbook.recalculation.opened import Key
from workbook.edited import Edited

SYSTEMS = ("us", "metric")
# The price is rounded line by line, its parts are not.
_CENTS = 0.1
_UNREAD = ("Pieces", "Cuts", "Sizes", "Setting plan")


@pytest.fixture(scope="module")
def jobs(demos: dict[str, Path]) -> dict[str, Edited]:
    return {system: Edited(path, _UNREAD) for system, path in demos.items()}


def listed(job: Edited) -> range:
    """The rows of what moves the price most: below the second table's headings."""
    heads = (at for (sheet, at), text in job.start.items() if sheet == "Ranges" and text == "Part")
    first = max(int(at[1:]) for at in heads) + 1
    return range(first, first + 10)


def column(job: Edited, name: str) -> list[Key]:
    return [key for row in job.named({}).places(name) for key in row]


def parts(job: Edited, values: Mapping[Key, Any]) -> list[tuple[float, ...]]:
    """Low, estimated, high and swing of each part."""
    return [
        tuple(values[("Ranges", f"{letter}{at[1:]}")] for letter in "DEFG")
        for _, at in column(job, "Ranges_name")
    ]


def one(job: Edited, values: Mapping[Key, Any], name: str) -> Any:
    return values[column(job, name)[0]]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("taxed", ["all", "materials", "none"])
def test_the_parts_are_the_price(jobs: dict[str, Edited], system: str, taxed: str) -> None:
    job = jobs[system]
    values = job.whole(job.cells({"Tax_applies_to": taxed}))
    found = parts(job, values)
    price = one(job, values, "Price_total")
    assert sum(row[1] for row in found) == pytest.approx(price, abs=_CENTS)
    low, middle, high = (one(job, values, f"Price_{at}") for at in ("low", "middle", "high"))
    assert sum(row[0] for row in found) < low < middle < high < sum(row[2] for row in found)
    # Most parts rather rise than fall.
    assert price < middle


def test_without_any_range_all_cost_what_is_estimated(jobs: dict[str, Edited]) -> None:
    job = jobs["us"]
    changed: dict[Key, Any] = dict.fromkeys(
        [*column(job, "Ranges_down"), *column(job, "Ranges_up")], 0
    )
    changed[column(job, "Ranges_up")[1]] = 0.5
    values = job.whole(changed)
    block = parts(job, values)[1]
    assert block[2] == pytest.approx(1.5 * block[1])
    # A tenth of a triangle that only rises: 1 - sqrt(0.9) of its width.
    rise = one(job, values, "Price_low") - one(job, values, "Price_total")
    assert rise == pytest.approx((1 - 0.9**0.5) * 0.5 * block[1], rel=1e-3)
    swings = [values.get(("Ranges", f"G{row}")) for row in listed(job)]
    assert [value for value in swings if value not in ("", None)] == [pytest.approx(block[3])]


def test_what_moves_the_price_most_stands_first(jobs: dict[str, Edited]) -> None:
    job = jobs["metric"]
    swings = sorted((row[3] for row in parts(job, job.start)), reverse=True)[:10]
    assert [job.start[("Ranges", f"G{row}")] for row in listed(job)] == pytest.approx(swings)


def test_an_unknown_price_has_no_range(blanks: dict[str, Path]) -> None:
    job = Edited(blanks["us"], _UNREAD)
    assert one(job, job.start, "Price_middle") in ("", None)
    assert one(job, job.whole(job.cells({"Range_wanted": "yes"})), "Price_middle") == "unknown"
