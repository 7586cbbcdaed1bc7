"""How long a recalculation takes, against the ``formulas`` library's own workbook model.

Run by hand: ``python tests/benchmarks/bench_recalc.py``. Both compute the same workbook of plain
formulas and array formulas; the values are compared before a ratio is printed.
"""

from __future__ import annotations

import math
import tempfile
import time
from pathlib import Path

import formulas
import openpyxl
from openpyxl.worksheet.formula import ArrayFormula

from basinbook.evaluation.formula_tree import parse
from basinbook.workbook.recalculation.recalc import evaluate

ROWS = 150


def build(path: Path) -> None:
    """Write an estimate-like workbook: look-ups, rounding, running totals, two arrays."""
    book = openpyxl.Workbook()
    prices = book.active
    assert prices is not None
    prices.title = "Prices"
    for row in range(1, 101):
        prices.append((f"item{row}", row * 1.25))
    lines = book.create_sheet("Lines")
    for row in range(1, ROWS + 1):
        lines.append(
            (
                f"item{row % 100 + 1}",
                row,
                f"=IFERROR(INDEX(Prices!$B$1:$B$100,MATCH($A{row},Prices!$A$1:$A$100,0))"
                f"*ROUNDUP(B{row}*1.05,0),0)",
                f'=IF(C{row}>500,"large","small")',
                f"=SUMIF($A$1:$A${ROWS},A{row},$B$1:$B${ROWS})",
                f"=C{row}" if row == 1 else f"=F{row - 1}+C{row}",
            )
        )
    lines["H1"] = ArrayFormula(f"H1:J{ROWS}", f"=B1:B{ROWS}*{{1,2,3}}")
    lines["L1"] = ArrayFormula(f"L1:L{ROWS}", f"=A1:A{ROWS}&B1:B{ROWS}")
    book.save(path)


def library(path: Path) -> dict[tuple[str, str], object]:
    """Compute the workbook with the library's own model."""
    solution = formulas.ExcelModel().loads(str(path)).finish().calculate()
    found = {}
    for name, ranges in solution.items():
        _, _, place = str(name).rpartition("!")
        if str(name).startswith("'[") and "]LINES'!" in str(name) and place.isalnum():
            found["Lines", place] = ranges.value[0, 0]
    return found


def main() -> None:
    """Print both times and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lines.xlsx"
        build(path)
        evaluate(path)  # imports
        parse.cache_clear()
        start = time.perf_counter()
        ours = evaluate(path)
        own = time.perf_counter() - start
        start = time.perf_counter()
        theirs = library(path)
        other = time.perf_counter() - start
    compared = 0
    for key, value in theirs.items():
        mine = ours[key]
        if isinstance(value, str):
            assert mine == value, (key, mine, value)
        else:
            assert isinstance(mine, (int, float))
            assert math.isclose(mine, float(value), rel_tol=1e-12), (key, mine, value)
        compared += 1
    assert compared > 4 * ROWS
    print(f"{len(ours)} cells, {compared} compared")
    print(f"library's model {other:.2f} s, ours {own:.2f} s: {other / own:.1f} times as fast")


if __name__ == "__main__":
    main()
