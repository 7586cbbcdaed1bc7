"""Once something was ordered, the Order sheet says what has changed, by its own formulas."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell import Cell
from openpyxl.utils.cell import rows_from_range

from basinbook.workbook.order.sheet_looks import sheet_looks
from basinbook.workbook.order.write_order import write_read_order
from basinbook.workbook.recalculation.opened import Key
from leaks import leaks, planted
from workbook.edited import Edited

Line = tuple[object, ...]


@pytest.fixture(scope="module")
def demo(demos: dict[str, Path]) -> Edited:
    return Edited(demos["us"])


def column(demo: Edited, name: str) -> list[Key]:
    sheet, area = demo.cell(name)
    return [(sheet, row[0]) for row in rows_from_range(area)]


def needed(demo: Edited) -> list[Line]:
    return [row[1:5] for row in demo.named(demo.start).cells("Order_needed") if row[0] != ""]


def sent(demo: Edited, *orders: tuple[str, str, list[Line]]) -> dict[Key, object]:
    """What is typed where orders of item, description, quantity, unit and what came were sent."""
    typed: dict[Key, object] = {}
    row = 0
    for at, (number, kind, lines) in enumerate(orders):
        typed[column(demo, "Orders_number")[at]] = number
        typed[column(demo, "Orders_kind")[at]] = kind
        for line in lines:
            keys = ("item", "description", "quantity", "unit", "received", "broken", "missing")
            for key, value in zip(("order", *keys), (number, *line), strict=False):
                typed[column(demo, f"Ordered_{key}")[row]] = value
            row += 1
    return typed


def shown(demo: Edited, typed: dict[Key, object]) -> tuple[str, list[Line]]:
    """The line over the order's lines, and these without their notes."""
    after = demo.whole(typed)
    cells = demo.named(after).cells("Order_lines")
    sheet, area = demo.cell("Order_lines")
    above = f"A{int(area.partition(':')[0][1:]) - 2}"
    return str(after[sheet, above]), [row[1:5] for row in cells if row[1] not in ("", None)]


def test_before_the_first_order_the_sheet_lists_all(demo: Edited) -> None:
    message, lines = shown(demo, {})
    assert (message, lines) == ("", needed(demo))
    named = demo.named(demo.start)
    assert named.cells("Order_this_number") == named.cells("Order_number")


def test_after_it_only_what_has_changed(demo: Edited) -> None:
    """Blocks too few were ordered and some came broken; caps too many; a thing nobody needs."""
    lines = needed(demo)
    by_item = {str(line[0]): line for line in lines}
    block, cap = by_item["Wall block"], by_item["Wall cap"]
    others = [line for line in lines if line not in (block, cap)]
    number, caps = float(str(block[2])), float(str(cap[2]))
    ordered = [
        (*block[:2], number - 10, "each", number - 20, 3, 0),
        (*cap[:2], caps + 4, "each", None, None, None),
        ("Bowl", "Round", 1, "each", 1, None, None),
    ]
    typed = sent(demo, ("D-014-1", "first", [*others, *ordered]))
    message, found = shown(demo, typed)
    assert message.startswith("Order D-014-1-2 adds to D-014-1: only what has changed")
    assert found == [
        ("Add: Wall block", block[1], 13, "each"),
        ("Reduce: Wall cap", cap[1], 4, "each"),
        ("Return: Bowl", "Round", 1, "each"),
    ]
    after = demo.whole(typed)
    due = [after[sheet, f"K{at[1:]}"] for sheet, at in column(demo, "Ordered_order")]
    assert due[len(others) :][:3] == [10, caps + 4, 0]


def test_no_secret_goes_out_with_an_order_of_changes(
    demo: Edited, demos: dict[str, Path], tmp_path: Path
) -> None:
    """Neither what is planted in the workbook, nor what the crew wrote beside what came."""
    block = next(line for line in needed(demo) if line[0] == "Wall block")
    few = (*block[:2], 3, "each", 3, 1, 0)
    typed = sent(demo, ("D-014-1", "first", [few]))
    typed[column(demo, "Ordered_by")[0]] = "zqcrew"
    after = demo.whole(typed)
    book = openpyxl.load_workbook(demos["us"], data_only=True)
    for (sheet, at), value in after.items():
        cell = book[sheet][at]
        if isinstance(cell, Cell):
            cell.value = value
    book.save(tmp_path / "calculated.xlsx")
    job, values, secrets = planted(tmp_path / "calculated.xlsx", tmp_path)
    order = write_read_order(job, values, sheet_looks(job, "Order"), tmp_path / "out")
    assert order.workbook.name.startswith("Order D-014-1-2")
    files = [order.workbook, order.pdf, order.email]
    assert leaks(files, ["Add: Wall block"]) != []
    ours = [one for one in secrets if "zqyard" not in one.casefold()]
    assert leaks(files, [*ours, "zqcrew"]) == []


def test_all_anew_leaves_out_what_has_come(demo: Edited) -> None:
    lines = needed(demo)
    first = [(*lines[0], lines[0][2]), *lines[1:]]
    typed = sent(demo, ("D-014-1", "first", first))
    assert shown(demo, typed) == ("Nothing to order: all that is needed was ordered", [])
    anew = {**typed, demo.cell("Order_next"): "all anew"}
    message, found = shown(demo, anew)
    assert message.startswith("Order D-014-1-2 replaces D-014-1: it is all that is needed now")
    assert found == lines[1:]
    # Sent and recorded, it counts in place of the first.
    again = sent(demo, ("D-014-1", "first", first), ("D-014-1-2", "replaces D-014-1", lines[1:]))
    assert shown(demo, again)[1] == []


def test_a_job_that_is_not_complete_cancels_nothing(demo: Edited) -> None:
    typed = sent(demo, ("D-014-1", "first", needed(demo)))
    message, found = shown(demo, {**typed, demo.cell("Block"): None})
    assert (message[:14], found) == ("NOT TO BE SENT", [])


def test_the_delivery_sheet_lists_the_order_chosen_and_what_it_weighs(demo: Edited) -> None:
    """Weights by hand: 100 blocks of 46 lb, at 2,500 lb a pallet; 2 yd3 of 27 ft3 of 95 lb."""
    lines = [
        ("Wall block", "Plank block 18 x 4 x 8", 100, "each", 90, 2, 4),
        ("Base", "Stone dust, bulk by volume", 2, "yd³", None, None, None),
        ("Adhesive", "Masonry adhesive 28 oz", 5, "cartridge", None, None, None),
    ]
    typed = sent(demo, ("1", "first", lines), ("1-2", "adds to 1", lines[:1]))
    typed[demo.cell("Delivery_order")] = "1"
    after = demo.whole(typed)
    sheet, at = demo.cell("Delivery_weight")
    first = next(row for row in range(1, 20) if after.get((sheet, f"A{row}")) == "Item") + 1
    row = [after[sheet, f"{letter}{first}"] for letter in "ABCDEFGHIJ"]
    assert row == [*lines[0][:4], 4600, 2, 90, 2, 4, 6]
    assert [after[sheet, f"A{first + n}"] for n in (1, 2, 3)] == ["Base", "Adhesive", ""]
    assert after[sheet, at] == pytest.approx(4600 + 2 * 27 * 95)
    assert "without 1 lines" in str(after[sheet, f"A{at[1:]}"])


def test_measured_sizes_are_judged_by_their_mean(demo: Edited) -> None:
    sheet, at = demo.cell("Arrival_block_length")
    row = at[1:]
    assert demo.start[demo.cell("Arrival_advice")] == "measure block and cap first"
    texts = {"D": "18 1/8", "E": '18 3/8"', "F": 18.25}
    after = demo.whole({(sheet, f"{letter}{row}"): text for letter, text in texts.items()})
    assert after[sheet, at] == pytest.approx(18.25)
    assert str(after[demo.cell("Arrival_advice")]).startswith("Set out anew: the inside length")
