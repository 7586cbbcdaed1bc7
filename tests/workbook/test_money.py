"""Printed totals are sums of printed lines; site costs are counted, and what has none is said."""

from __future__ import annotations

import math
import os
from pathlib import Path

import openpyxl
import pytest

from basinbook.workbook.template import costs
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place
from workbook.pricing import cents
from workbook.printed_money import Printed
from workbook.test_agreement import random_job

# BASINBOOK_MONEY=300 makes so many jobs; ``test_agreement`` looks at the money of its jobs, too.
JOBS = int(os.environ.get("BASINBOOK_MONEY", "2"))
_FIRST = 1000
_UNREAD = (
    "Basin", "Checks", "Findings", "Loads", "Order", "Pieces", "Quote", "Sizes",
)  # fmt: skip


@pytest.mark.parametrize("seed", range(_FIRST, _FIRST + JOBS))
def test_printed_totals_are_sums_of_printed_lines(blanks: dict[str, Path], seed: int) -> None:
    system = SYSTEMS[seed % 2]
    path = blanks[system]
    _, cells, _ = random_job(seed, path, system)
    money = Printed(openpyxl.load_workbook(path), evaluated(path, cells, _UNREAD))
    money.check_estimate()
    money.check_same()
    assert money.check_options() >= 1


def test_half_a_cent_is_rounded_away_from_zero(demos: dict[str, Path]) -> None:
    """As ROUND of the OpenDocument formula standard (OpenFormula, 6.17.5) does."""
    path = demos["us"]
    book = openpyxl.load_workbook(path)
    sheet, area = place(book, "Own_labour")
    row = int(area.partition(":")[0].strip("$J"))
    # 3 pieces at 0.335 are 1.005, and 0.00025 h at 58 are 0.0145.
    free = place(book, "Total_plumbing_and_other")[1]
    line = int(free[1:]) - 2
    typed = {
        (sheet, f"C{row}"): 1, (sheet, f"E{row}"): 0.00025,
        (sheet, f"C{line}"): 3, (sheet, f"I{line}"): 0.335,
    }  # fmt: skip
    values = evaluated(path, typed)
    assert values[sheet, f"J{line}"] == 1.01
    assert values[sheet, f"J{row}"] == 0.01


def test_what_the_site_takes_is_counted(demos: dict[str, Path]) -> None:
    """Soil as it lies, loose and by whole loads; hire for the days of the tasks that need it."""
    path = demos["us"]
    book = openpyxl.load_workbook(path)

    def priced(**more: float) -> dict[str, float]:
        """Costs by line at a price of 1 each, and the price to the client."""
        sheet, area = place(book, "Site_price")
        first, last = (int(cell[1:]) for cell in area.replace("$", "").split(":"))
        typed: dict[tuple[str, str], float] = {
            (sheet, f"{area.strip('$')[0]}{row}"): 1 for row in range(first, last + 1)
        }
        typed |= {place(book, name): value for name, value in more.items()}
        values = evaluated(path, typed, _UNREAD)
        lines = {line.what for line in costs.SITE}
        found = {
            text: values["Estimate", f"J{at[1:]}"]
            for (where, at), text in values.items()
            if where == "Estimate" and at.startswith("A") and text in lines
        }
        names_of = ("Qty_Dig_in_the_bank", "Qty_Haul_off", "Price_total", "Missing_price",
                    "Not_priced", "Option_1_price")  # fmt: skip
        return found | {name: values[place(book, name)] for name in names_of}

    found = priced(Haul_load=0.75)
    assert found["Dig out by machine"] == float(cents(found["Qty_Dig_in_the_bank"]))
    assert found["Haul soil away"] == float(cents(found["Qty_Haul_off"]))
    assert found["Haul soil away, by the load"] == math.ceil(found["Qty_Haul_off"] / 0.75)
    assert found["Qty_Haul_off"] > found["Qty_Dig_in_the_bank"]
    assert found["Compactor"] == 1
    assert found["Saw"] == 1
    assert found["Not_priced"] == "Blade"
    assert found["Price_total"] == found["Option_1_price"]
    # Loads of unknown size leave no price, and say so.
    unknown = priced()
    assert unknown["Price_total"] == unknown["Option_1_price"] == "unknown"
    assert unknown["Missing_price"] == "Load hauled at a time (Base and parts sheet) is blank"


def test_a_new_workbook_names_what_is_not_in_its_price(demos: dict[str, Path]) -> None:
    path = demos["us"]
    values = evaluated(path)
    book = openpyxl.load_workbook(path)
    named = values[place(book, "Not_priced")]
    assert named == "; ".join(line.what for line in costs.SITE)
    sheet, area = place(book, "Quote_left_out")
    last = f"A{area.replace('$', '').rpartition('A')[2]}"
    assert values[sheet, last] == ("hauling soil away, cleaning of the finished work, a permit")
