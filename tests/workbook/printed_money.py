"""Money as the sheets print it: every printed line in whole cents, every total their sum."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any

from openpyxl.workbook import Workbook

from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.template import costs
from workbook.places import place

_CENT = Decimal("0.01")
_OPTIONS = "CDEF"


def printed(value: Any, where: str) -> Decimal:
    """Return money as it is printed; it must hold no more than that."""
    assert isinstance(value, (int, float)), (where, value)
    shown = Decimal(f"{value:.2f}")
    assert abs(Decimal(repr(value)) - shown) < _CENT / 10**6, (where, value)
    return shown


class Printed:
    """The money of a workbook's Estimate and Options sheets."""

    def __init__(self, book: Workbook, values: Mapping[Key, Any]) -> None:
        self.book, self.values = book, values

    def named(self, name: str) -> Decimal:
        return printed(self.values[place(self.book, name)], name)

    def row(self, name: str) -> int:
        at = place(self.book, name)[1]
        return int("".join(letter for letter in at.partition(":")[0] if letter.isdigit()))

    def column(self, sheet: str, column: str, rows: Iterable[int]) -> Iterator[Decimal]:
        for row in rows:
            yield printed(self.values[sheet, f"{column}{row}"], f"{sheet}!{column}{row}")

    def check_estimate(self) -> None:
        total, hours = self.row("Total_materials"), self.row("Person_hours")
        (base,) = (row for row in range(1, total) if self._text("Estimate", row) == "Base")
        site = self.row("Total_site")
        first = self.row("Total_plumbing_and_other") + 1
        tasks = [row for row in range(first, hours) if self._number("Estimate", f"J{row}")]
        assert len(tasks) >= len(costs.WORK)
        spent = [row for row in range(hours + 1, site) if self._number("Estimate", f"J{row}")]
        assert len(spent) == len(costs.SITE)
        assert sum(self.column("Estimate", "J", range(base, total))) == self.named(
            "Total_materials"
        )
        assert sum(self.column("Estimate", "J", tasks)) == self.named("Total_labour")
        assert sum(self.column("Estimate", "J", spent)) == self.named("Total_site")
        self._check_price({line.name: self.named(line.name) for line in costs.SUMMARY})
        for part, whole in (
            ("Sum_materials", "Total_materials"),
            ("Sum_labour", "Total_labour"),
            ("Sum_site", "Total_site"),
        ):
            assert self.named(part) == self.named(whole)

    def check_options(self) -> int:
        """Return how many options have a price."""
        rows: dict[str, int] = {}
        for row in range(self.book["Options"].max_row, 0, -1):
            rows.setdefault(self._text("Options", row), row)  # the calculated rows stand last
        lines = [line for line in costs.material_lines("us") if not line.everywhere]
        priced = 0
        for number, column in enumerate(_OPTIONS, start=1):
            price = self.values[place(self.book, f"Option_{number}_price")]
            if price == "unknown":
                continue
            priced += 1

            def of(labels: Iterable[str], column: str = column) -> list[Decimal]:
                return list(self.column("Options", column, [rows[label] for label in labels]))

            goods = [*of(f"{line.item}: cost" for line in lines)]
            goods.append(self.named("Total_plumbing_and_other"))
            tasks = of(f"{line.task}: cost" for line in costs.WORK)
            sheet, own = place(self.book, "Own_labour")
            first, last = (int(cell.strip("$J")) for cell in own.split(":"))
            tasks += self.column(sheet, "J", range(first, last + 1))
            site = of(f"{line.what}: cost" for line in costs.SITE)
            found = dict(
                zip(
                    (line.name for line in costs.SUMMARY),
                    of(line.label for line in costs.SUMMARY),
                    strict=True,
                )
            )
            assert found["Sum_materials"] == sum(goods)
            assert found["Sum_labour"] == sum(tasks)
            assert found["Sum_site"] == sum(site)
            assert found[costs.TOTAL] == printed(price, f"price of option {number}")
            self._check_price(found)
        return priced

    def check_same(self) -> None:
        """The option that is as the job costs what the estimate does."""
        assert self.named("Option_1_price") == self.named(costs.TOTAL)

    @staticmethod
    def _check_price(found: Mapping[str, Decimal]) -> None:
        before, tax, total = (found[name] for name in ("Price_before_tax", "Tax", costs.TOTAL))
        names = list(found)
        cost, last = names.index("Cost_in_all"), names.index("Price_before_tax")
        # The lines above a subtotal, and from there on.
        assert found["Cost_in_all"] == sum(found[name] for name in names[:cost])
        assert before == sum(found[name] for name in names[cost:last])
        assert total == before + tax

    def _text(self, sheet: str, row: int) -> str:
        return str(self.values.get((sheet, f"A{row}"), ""))

    def _number(self, sheet: str, at: str) -> bool:
        return isinstance(self.values.get((sheet, at)), (int, float))
